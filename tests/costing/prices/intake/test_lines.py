"""The goods of a list, and what on it is no goods."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

from tests.costing.prices.intake.lists import NORTH, goods, mapped, text_file, workbook

COLUMNS = {"item": "Item", "pack": "Pack", "price": "Price"}


def test_titles_sections_heads_again_totals_and_feet_are_no_goods(tmp_path: Path) -> None:
    columns = {
        "item": "Description", "code": "Item No", "pack": "Pack", "unit": "UOM", "price": "Case Price", "price by weight": "$/LB",
    }  # fmt: skip
    found = goods(text_file(tmp_path, NORTH), mapped(columns))
    assert list(zip(found.rows, found.items, found.packs, found.prices, strict=True)) == [
        (6, "CREAM HVY 36% UHT", "12/32 OZ", 58.8),
        (7, "MILK WHL", "4/1 GAL", 16.1),
        (8, "BTTR UNSLT", "36/1#", 126.0),
        (10, "SUGAR GRAN CANE", "50#", 38.5),
        (11, "PISTACHIOS SHELLED RAW", "1 lb", 9.85),
        (12, "EGGS LARGE LOOSE", "15 dz", 44.1),
        (13, "NAPKINS", "500 ct", 12.0),
    ]
    assert found.codes[0] == "10021"
    assert not found.unusable


def test_catch_weights_are_priced_by_the_pound_in_every_way(tmp_path: Path) -> None:
    unit = goods(
        text_file(tmp_path, "Item,Pack,Price,UOM\nDuck,2/10# AVG,3.20,LB\nSalt,12 x 3 lb,28.80,CS\n"),
        mapped(COLUMNS | {"unit": "UOM"}),
    )
    assert unit.packs == ["1 lb", "12 x 3 lb"]
    cell = goods(text_file(tmp_path, 'Item,Pack,Price\nDuck,2/10#,3.20/lb\nGoat,1 each,"€ 9.50/kg"\n'), mapped(COLUMNS))
    assert (cell.packs, cell.currencies) == (["1 lb", "1 kg"], ["USD", "EUR"])
    both = goods(
        text_file(
            tmp_path, "Item,Pack,Price,Price/kg\nDuck,2/10# AVG,64.00,7.05\nSalt,12 x 3 lb,28.80,1.76\nGoat,RW,,9.00\n"
        ),
        mapped(COLUMNS | {"price by weight": "Price/kg"}),
    )
    assert list(zip(both.packs, both.prices, strict=True)) == [("1 kg", 7.05), ("12 x 3 lb", 28.8), ("1 kg", 9.0)]


def test_a_unit_beside_bare_numbers_is_the_unit_of_the_size(tmp_path: Path) -> None:
    found = goods(
        text_file(tmp_path, "Item,Qty,Size,UOM,Price\nSugar,1,50,LB,21.50\nMilk,4,1,GAL,16.10\nCream,12,32,OZ,58.80\n"),
        mapped({"item": "Item", "count": "Qty", "size": "Size", "unit": "UOM", "price": "Price"}),
    )
    assert found.packs == ["50 LB", "4 x 1 GAL", "12 x 32 OZ"]


def test_pack_beside_size_is_how_many(tmp_path: Path) -> None:
    found = goods(
        text_file(tmp_path, "Item,Pack,Size,Price\nCream,12,32 OZ,58.80\nSugar,1,50 LB,21.50\n"),
        mapped({"item": "Item", "pack": "Pack", "size": "Size", "price": "Price"}),
    )
    assert found.packs == ["12 x 32 OZ", "50 LB"]


def test_goods_without_a_price_or_a_pack_are_told_of_by_row(tmp_path: Path) -> None:
    text = "Item,Pack,Price\nCream,12/32 OZ,call\nSugar,50 lb,0\nSalt,,3.00\nMilk,4/1 GAL,\nHoney,12 lb,49.80\n"
    found = goods(text_file(tmp_path, text), mapped(COLUMNS))
    assert found.items == ["Honey"]
    assert [(one.where, one.item) for one in found.unusable] == [
        ("list.csv:2", "Cream"), ("list.csv:3", "Sugar"), ("list.csv:4", "Salt"), ("list.csv:5", "Milk"),
    ]  # fmt: skip
    assert [one.what for one in found.unusable][1:] == [
        "the price is 0", "nothing says how much is in the pack", "there is no price",
    ]  # fmt: skip


def test_merged_rows_carry_their_item_on(tmp_path: Path) -> None:
    path = workbook(
        tmp_path,
        [["Item", "Pack", "Price"], ["Cream", "12/32 OZ", 58.8], [None, "4/1 GAL", 61.0], [], [None, None, 120.0]],
    )
    found = goods(path, mapped(COLUMNS))
    assert list(zip(found.items, found.packs, strict=True)) == [("Cream", "12/32 OZ"), ("Cream", "4/1 GAL")]
    assert found.carried == [3]
    assert found.left_out == 1


def test_text_that_looks_like_a_formula_stays_text(tmp_path: Path) -> None:
    text = 'Item,Pack,Price\n"=HYPERLINK(""http://x"")",50 lb,3\n@SUM(1),+1,4\n-18C ice,1 kg,5\n'
    found = goods(text_file(tmp_path, text), mapped(COLUMNS))
    assert found.items == ['\'=HYPERLINK("http://x")', "'@SUM(1)", "'-18C ice"]
    assert found.packs[1] == "'+1"


def test_each_row_keeps_its_own_currency(tmp_path: Path) -> None:
    text = "Item,Pack,Price,Cur\nA,1 lb,$3,\nB,1 lb,3 €,\nC,1 lb,3,GBP\nD,1 lb,3,\n"
    assert goods(text_file(tmp_path, text), mapped(COLUMNS | {"currency": "Cur"})).currencies == [
        "USD",
        "EUR",
        "GBP",
        "USD",
    ]


def test_days_of_rows_may_be_numbers(tmp_path: Path) -> None:
    rows: list[list[Any]] = [
        ["Item", "Pack", "Price", "From"],
        ["A", "1 lb", 3, 46349],
        ["B", "1 lb", 3, datetime(2026, 11, 23)],
        ["C", "1 lb", 3, "23.11.2026"],
        ["D", "1 lb", 3, None],
    ]
    found = goods(workbook(tmp_path, rows), mapped(COLUMNS | {"date": "From"}))
    assert found.days == [date(2026, 11, 23)] * 3 + [None]


def test_a_brand_belongs_to_the_name_unless_it_is_there_already(tmp_path: Path) -> None:
    text = "Item,Brand,Pack,Price\nCream,Alder,1 qt,3\nAlder milk,ALDER,1 qt,3\nSalt,,1 lb,1\n"
    found = goods(text_file(tmp_path, text), mapped(COLUMNS | {"brand": "Brand"}))
    assert found.items == ["Cream, Alder", "Alder milk", "Salt"]


def test_packs_that_the_owner_explained_are_what_was_said(tmp_path: Path) -> None:
    found = goods(
        text_file(tmp_path, "Item,Pack,Price\nCream,1/2 GAL,3\n"), mapped(COLUMNS, packs={"1/2 GAL": "0.5 gal"})
    )
    assert found.packs == ["0.5 gal"]


def test_rows_that_are_short_or_long_do_not_matter(tmp_path: Path) -> None:
    text = "Item,Pack,Price\nCream,1 qt,3,,,x\nSugar\nSalt,1 lb,2\n"
    found = goods(text_file(tmp_path, text), mapped(COLUMNS))
    assert found.items == ["Cream", "Salt"]


@pytest.mark.parametrize("long", [200, 2000])
def test_a_long_list_is_the_same_list(tmp_path: Path, long: int) -> None:
    # Long plain lists are cut into columns at once, short ones row by row.
    body = "".join(f'{i},Thing {i},4/{i % 9 + 1} GAL,"${i + 0.5:,.2f}"\n' for i in range(1, long))
    plain = goods(text_file(tmp_path, f"No,Item,Pack,Price\n{body}"), mapped(COLUMNS | {"code": "No"}))
    careful = goods(
        text_file(tmp_path, f"No,Item,Pack,Price\n{body}0,Käse,1 kg,$9.00\n"), mapped(COLUMNS | {"code": "No"})
    )
    assert careful.items.pop() == "Käse"
    assert (plain.items, plain.codes) == (careful.items, careful.codes[:-1])
    assert (plain.packs, plain.prices, plain.rows) == (careful.packs[:-1], careful.prices[:-1], careful.rows[:-1])


def test_a_list_with_nothing_below_its_heads_has_no_goods(tmp_path: Path) -> None:
    assert goods(text_file(tmp_path, "Item,Pack,Price\n"), mapped(COLUMNS)).items == []


def test_a_price_for_so_many_kilos_is_not_the_price_of_the_pack(tmp_path: Path) -> None:
    text = (
        "Item,Pack,Price,UOM\nWalnuts,5 kg,1062.00,100 kg\nSugar,50 lb,82.00,cwt\nDuck,2/10#,3.20,per LB\n"
        "Cones,4 x 100 ct,91.00,per 1000 ct\nSalt,12 x 3 lb,28.80,CS\nFlour,25 kg,31.00,25 kg\nOil,4 x 5 L,61.00,5 L\n"
    )
    found = goods(text_file(tmp_path, text), mapped(COLUMNS | {"unit": "UOM"}))
    assert found.packs == ["100 kg", "100 lb", "1 lb", "1000 ct", "12 x 3 lb", "25 kg", "4 x 5 L"]


def test_a_formula_behind_a_space_is_no_formula_in_a_long_list_either(tmp_path: Path) -> None:
    rows = "\n".join(f"Thing {n},1 lb,{n}.50" for n in range(1, 250))
    found = goods(text_file(tmp_path, f"Item,Pack,Price\n{rows}\n =1+1, +2,3.50\n"), mapped(COLUMNS))
    assert (found.items[-1], found.packs[-1]) == ("'=1+1", "'+2")


def packs_of(folder: Path, text: str, **columns: str) -> list[str]:
    """The packs of a list."""
    named = {"item": "Item", "price": "Price"} | {name.replace("_", " "): heading for name, heading in columns.items()}
    return list(goods(text_file(folder, text), mapped(named)).packs)


@pytest.mark.parametrize(
    ("heading", "pack"),
    [("Price/L", "1 l"), ("Price per 100 g", "100 g"), ("Price per dozen", "1 dozen"), ("Price/M", "1000 ct"), ("Price per 100", "100 ct")],
)  # fmt: skip
def test_a_heading_says_what_prices_are_for(heading: str, pack: str, tmp_path: Path) -> None:
    text = f"Item,Pack,{heading}\nA,5 L,1.10\nTitle,,\n"
    assert packs_of(tmp_path, text, pack="Pack", price=heading) == [pack]


def test_how_much_and_its_unit_in_two_columns_are_a_pack(tmp_path: Path) -> None:
    text = "Item,Qty,Unit,Price\nSugar,50,LB,39.00\nMilk,4,GAL,18.00\nEggs,15,DZ,32.10\nTubs,500,CT,114.00\n"
    assert packs_of(tmp_path, text, count="Qty", unit="Unit") == ["50 LB", "4 GAL", "15 DZ", "500 CT"]
    text = "Item,Qty,Size,Price\nEggs,15,DZ,32.10\n"
    assert packs_of(tmp_path, text, count="Qty", size="Size") == ["15 DZ"]
    assert packs_of(tmp_path, "Item,Case Qty,Price\nTubs,500,114.00\n", count="Case Qty") == ["500 ct"]


def test_a_price_for_each_is_for_the_pack_only_where_that_is_one_thing(tmp_path: Path) -> None:
    text = "Item,Pack,Price\nTub,500 ct,$0.23 each\nSalt,12/3 lb,2.10/ea\nMiso,4.4 lb,18.90 EA\nLid,,0.10 each\n"
    assert packs_of(tmp_path, text, pack="Pack") == ["500 ct each", "12/3 lb each", "4.4 lb", "1 each"]


def test_each_beside_cases_is_a_case_that_was_opened(tmp_path: Path) -> None:
    text = "Item,Pack,UOM,Price\nSugar,12/4 LB,CS,42.12\nSugar,12/4 LB,EA,3.85\nSalt,1/50#,EA,12.00\n"
    assert packs_of(tmp_path, text, pack="Pack", unit="UOM") == ["12/4 LB", "12/4 LB each", "1/50#"]
    alike = "Item,Pack,UOM,Price\nSugar,12/4 LB,EA,42.12\nSalt,1/50#,EA,12.00\n"
    assert packs_of(tmp_path, alike, pack="Pack", unit="UOM") == ["12/4 LB", "1/50#"]
    settled = mapped({"item": "Item", "pack": "Pack", "unit": "UOM", "price": "Price"}, packs={"12/4 LB each": "4 LB"})
    assert goods(text_file(tmp_path, text), settled).packs == ["12/4 LB", "4 LB", "1/50#"]


def test_heads_that_come_again_are_no_goods_with_a_brand_either(tmp_path: Path) -> None:
    text = "Item,Brand,Pack,Price\nHoney,Beehive,60 lb,210\nItem,Brand,Pack,Price\nSalt,,25 lb,9\n"
    found = goods(text_file(tmp_path, text), mapped(COLUMNS | {"brand": "Brand"}))
    assert (found.items, found.unusable, found.left_out) == (["Honey, Beehive", "Salt"], [], 1)
    assert found.bare["Honey, Beehive"] == "Honey"


def test_prices_for_a_hundred_or_a_litre_in_their_cells(tmp_path: Path) -> None:
    text = "Item,Pack,Price\nTub,1000 ct,18.50 EUR/100 Stk\nLid,1000 ct,$92 per 1000\nMilk,10 l,1.15/l\nCream,2.5GA BIB,33.45\n"
    found = goods(text_file(tmp_path, text), mapped(COLUMNS))
    assert list(zip(found.packs, found.prices, strict=True)) == [
        ("100 Stk", 18.5), ("1000 ct", 92.0), ("1 l", 1.15), ("2.5GA BIB", 33.45),
    ]  # fmt: skip
