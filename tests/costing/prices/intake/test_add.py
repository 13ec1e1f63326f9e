"""A list from the post into the shop: proposed once, known from then on, nothing ever overwritten."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from costing import files
from costing.findings import Finding, ShopError
from costing.prices.book import PriceBook
from costing.prices.intake.add import Added, add
from costing.prices.intake.home import Home
from costing.shop import reader
from tests.costing.prices.intake.lists import NORTH, TODAY, text_file, workbook


def tree(folder: Path) -> dict[str, bytes]:
    """Every file of a folder and what is in it."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def take(folder: Path, path: Path, supplier: str = "North", **other: Any) -> Added:
    return add(folder, path, supplier=supplier, **({"today": TODAY} | other))


def stopped(folder: Path, path: Path, supplier: str = "North", **other: Any) -> str:
    """What is said of a list that is refused; nothing in the shop may have changed but a mapping."""
    before = {name: data for name, data in tree(folder).items() if "mappings" not in name}
    with pytest.raises(ShopError) as told:
        take(folder, path, supplier, **other)
    assert {name: data for name, data in tree(folder).items() if "mappings" not in name} == before
    assert any(one.level == "error" and one.mend for one in told.value.findings)
    return "; ".join(f"{one.where}: {one.what}" for one in told.value.findings)


def about(found: tuple[Finding, ...], words: str) -> Finding:
    (one,) = [one for one in found if words in one.what]
    return one


@pytest.fixture
def north(quillfeather: Path, tmp_path: Path) -> Path:
    """The example shop, in which a list of North was added."""
    done = take(quillfeather, text_file(tmp_path, NORTH, "north feb.csv"), yes=True)
    assert done.state == "added"
    return quillfeather


def test_the_first_time_it_proposes_and_adds_nothing(quillfeather: Path, tmp_path: Path) -> None:
    before = tree(quillfeather)
    done = take(quillfeather, text_file(tmp_path, NORTH))
    assert done.state == "proposed"
    assert about(done.findings, "not confirmed yet").level == "error"
    new = tree(quillfeather).keys() - before.keys()
    assert new == {"prices/mappings/north.yaml"}
    text = (quillfeather / "prices/mappings/north.yaml").read_text(encoding="utf-8")
    assert "confirmed: yes\n" not in text
    assert (
        '"CREAM HVY 36% UHT": {ingredient: heavy cream, score: 100, code: "10021", confirmed: no}    # all words'
        in text
    )
    again = take(quillfeather, text_file(tmp_path, NORTH))
    assert again.state == "proposed"
    assert (quillfeather / "prices/mappings/north.yaml").read_text(encoding="utf-8") == text


def test_a_proposal_lists_what_nobody_knows_so_that_it_can_be_taken_up(quillfeather: Path, tmp_path: Path) -> None:
    shop = quillfeather / "shop.yaml"
    shop.write_text(
        shop.read_text(encoding="utf-8").replace("pint label]", "pint label, paper towel]"), encoding="utf-8"
    )
    path = text_file(tmp_path, NORTH)
    take(quillfeather, path, only_propose=True)
    file = quillfeather / "prices/mappings/north.yaml"
    text = file.read_text(encoding="utf-8")
    assert "# nothing on any list is yet: paper towel\n" in text
    line = '#  "NAPKINS": {ingredient: "", code: "10036", confirmed: yes}\n'
    assert text.index(line) < text.index("items:\n")
    named = line[1:].replace('""', "paper towel")
    text = text.replace(line, "").replace("items:\n", f"items:\n{named}").replace("confirmed: no ", "confirmed: yes ")
    file.write_text(text, encoding="utf-8")
    done = take(quillfeather, path)
    assert (done.state, done.used) == ("added", 1)


def test_a_confirmed_list_is_one_dated_file_with_the_original_beside_it(north: Path, tmp_path: Path) -> None:
    text = (north / "prices/2026-02-23-north.csv").read_text(encoding="utf-8")
    assert text.splitlines()[:4] == [
        "# received as north feb.csv, kept as received/2026-02-23-north.csv",
        "supplier,item,ingredient,pack,price,currency,date",
        "North,CREAM HVY 36% UHT,heavy cream,12/32 OZ,58.80,USD,2026-02-23",
        "North,MILK WHL,whole milk,4/1 GAL,16.10,USD,2026-02-23",
    ]
    assert "North,PISTACHIOS SHELLED RAW,pistachios,1 lb,9.85,USD,2026-02-23" in text
    assert "North,NAPKINS,,500 ct,12.00,USD,2026-02-23" in text
    assert (north / "prices/received/2026-02-23-north.csv").read_bytes() == NORTH.encode()


def test_the_shops_reader_takes_the_list_and_leaves_what_lies_below_alone(north: Path) -> None:
    shutil.copy(north / "prices/2026-02-23-north.csv", north / "prices/received/copy.csv")
    reading = reader.everything(north)
    assert reading.model is not None
    mine = [row for row in reading.model.prices if row.supplier == "North"]
    assert len(mine) == 7
    assert {row.where.rpartition(":")[0] for row in mine} == {"prices/2026-02-23-north.csv"}
    assert not [one for one in reading.findings if one.where.startswith("prices")]
    model, findings = reader.read(north)
    assert model is not None, findings


def test_the_next_list_needs_no_questions_and_no_name(north: Path, tmp_path: Path) -> None:
    lines = NORTH.replace("02/23", "03/01").replace("$16.10", "$22.10").replace("12/32 OZ", "12/30 OZ").splitlines()
    path = text_file(tmp_path, "\n".join(line for line in lines if "EGGS" not in line), "next.csv")

    def never(_: str) -> bool:
        raise AssertionError("it asked")

    done = take(north, path, "", ask=never)
    assert (done.state, done.supplier, done.day) == ("added", "North", date(2026, 3, 1))
    assert "+37%" in about(done.findings, "MILK WHL").what
    assert "at the same price" in about(done.findings, "CREAM HVY").what
    assert "is gone" in about(done.findings, "EGGS LARGE LOOSE").what
    assert {one.level for one in done.findings} == {"warning"}


def test_another_order_of_columns_and_more_of_them_is_the_same_list(north: Path, tmp_path: Path) -> None:
    text = "Valid from 03/01/2026\nNotes,Case Price,UOM,$/LB,Pack,Description,Item No\nx,$17.00,CS,,4/1 GAL,MILK WHL,10022\n"
    assert "nobody knows who sent" in stopped(north, text_file(tmp_path, text), "")
    done = take(north, text_file(tmp_path, text))
    assert (done.state, done.used) == ("added", 1)


def test_headings_that_changed_are_told(north: Path, tmp_path: Path) -> None:
    said = stopped(north, text_file(tmp_path, "Item No,Description,Packing,UOM,Price/Case,$/LB\n1,Milk,1 gal,CS,3,\n"))
    assert "'Pack', 'Case Price' cannot be found" in said


def test_the_same_list_again_says_so_and_changes_nothing(north: Path, tmp_path: Path) -> None:
    before = tree(north)
    done = take(north, text_file(tmp_path, NORTH, "again.csv"), "", today=date(2026, 5, 5))
    assert done.state == "known"
    assert "received already" in about(done.findings, "nothing was added").what
    assert tree(north) == before


def test_the_same_prices_from_another_day_are_another_list(north: Path, tmp_path: Path) -> None:
    done = take(north, text_file(tmp_path, NORTH), "", day=date(2026, 4, 1))
    assert (done.state, done.list_file) == ("added", "prices/2026-04-01-north.csv")


def test_other_prices_for_the_same_day_are_refused(north: Path, tmp_path: Path) -> None:
    said = stopped(north, text_file(tmp_path, NORTH.replace("$16.10", "$17.10")), "")
    assert "another list of North for 2026-02-23 says otherwise: 'MILK WHL' costs 17.10" in said


def test_more_goods_of_the_same_day_get_a_number(north: Path, tmp_path: Path) -> None:
    text = NORTH.replace("10036,NAPKINS,500 ct", "10050,HONEY WILD,12 lb")
    done = take(north, text_file(tmp_path, text), "")
    assert done.list_file == "prices/2026-02-23-north-2.csv"
    assert done.original == "prices/received/2026-02-23-north-2.csv"
    rows = (north / done.list_file).read_text(encoding="utf-8").splitlines()
    assert len(rows) == 3  # the note, the head, the honey
    assert "HONEY WILD" in rows[2]


def test_an_item_confirmed_later_comes_in_by_adding_the_list_again(north: Path, tmp_path: Path) -> None:
    mapping = north / "prices/mappings/north.yaml"
    mapping.write_text(
        mapping.read_text(encoding="utf-8") + "  NAPKINS: {ingredient: pint tub, confirmed: yes}\n", encoding="utf-8"
    )
    done = take(north, text_file(tmp_path, NORTH), "")
    assert (done.state, done.list_file) == ("added", "prices/2026-02-23-north-2.csv")
    assert done.original == "prices/received/2026-02-23-north.csv"
    assert (north / done.list_file).read_text(encoding="utf-8").count("\n") == 3
    assert take(north, text_file(tmp_path, NORTH), "").state == "known"


def test_a_new_item_is_written_to_the_mapping_and_waits(north: Path, tmp_path: Path) -> None:
    text = NORTH.replace("02/23", "03/01").replace(
        "Page 1", "10077,Light sugar powdered beet,25 lb,BG,30.00,\n10078,Granulated sugar,25 lb,BG,30.00,\nPage 1"
    )
    done = take(north, text_file(tmp_path, text), "")
    assert done.state == "added"
    assert about(done.findings, "'Granulated sugar' is new and may be sugar").mend
    content = (north / "prices/mappings/north.yaml").read_text(encoding="utf-8")
    assert '"Granulated sugar": {ingredient: sugar, score: 100, code: "10078", confirmed: no}' in content
    agreed = take(north, text_file(tmp_path, text), "", yes=True)
    assert agreed.state == "added"
    assert "Granulated sugar,sugar,25 lb" in (north / agreed.list_file).read_text(encoding="utf-8")


def test_an_item_that_was_renamed_is_known_by_its_number(north: Path, tmp_path: Path) -> None:
    text = (
        NORTH.replace("02/23", "03/01")
        .replace("MILK WHL", "WHOLE MILK VIT D")
        .replace("10031,SUGAR GRAN CANE", "10031,RUBBER GLOVES")
    )
    done = take(north, text_file(tmp_path, text), "")
    rows = (north / done.list_file).read_text(encoding="utf-8")
    assert "North,MILK WHL,whole milk,4/1 GAL,16.10" in rows
    assert "RUBBER GLOVES,,50#" in rows
    assert "stood for something else" in about(done.findings, "RUBBER GLOVES").what


def test_an_item_that_fits_two_names_is_told_and_not_taken(quillfeather: Path, tmp_path: Path) -> None:
    done = take(
        quillfeather,
        text_file(tmp_path, "Item,Pack,Price\nLid pint small,500 ct,46.00\nSalt,12 x 3 lb,28.80\n"),
        yes=True,
    )
    told = about(done.findings, "may be")
    assert "pint lid or small lid" in told.what
    assert told.level == "warning"
    assert "Lid pint small,,500 ct" in (quillfeather / done.list_file).read_text(encoding="utf-8")


def test_a_confirmed_item_with_two_ingredients_stops_everything(north: Path, tmp_path: Path) -> None:
    mapping = north / "prices/mappings/north.yaml"
    text = mapping.read_text(encoding="utf-8").replace(
        "ingredient: whole milk,", "ingredient: [whole milk, heavy cream],"
    )
    mapping.write_text(text, encoding="utf-8")
    said = stopped(north, text_file(tmp_path, NORTH.replace("02/23", "03/01")))
    assert "maps to whole milk and to heavy cream" in said


def test_a_name_that_the_shop_does_not_have_stops_everything(north: Path, tmp_path: Path) -> None:
    mapping = north / "prices/mappings/north.yaml"
    mapping.write_text(mapping.read_text(encoding="utf-8").replace("whole milk,", "hole milk,"), encoding="utf-8")
    assert "nothing in the shop is called 'hole milk'" in stopped(
        north, text_file(tmp_path, NORTH.replace("02/23", "03/01"))
    )


def test_what_cannot_be_used_is_left_out_so_that_the_shop_still_works(quillfeather: Path, tmp_path: Path) -> None:
    text = (
        "Item,Pack,Price\nSalt,1/2 gal,12.00\nHoney clover,12 lb,MARKET\nGranulated sugar,500 ct,9.00\n"
        "Whole milk,4 x 1 gal,€ 16.90\nButter unsalted 82 score,36 x 1 lb,0\nEggs large loose,15 dz,44.10\n"
    )
    done = take(quillfeather, text_file(tmp_path, text), yes=True)
    rows = (quillfeather / done.list_file).read_text(encoding="utf-8").splitlines()[2:]
    assert rows == [f"North,Eggs large loose,eggs,15 dz,44.10,USD,{TODAY}"]
    for words in (
        "read in two ways",
        "'MARKET' is no price",
        "cannot be turned into grams",
        "has no rate",
        "the price is 0",
    ):
        one = about(done.findings, words)
        assert one.level == "warning"
        assert one.mend
        assert one.where.startswith("list.csv:")
    model, findings = reader.read(quillfeather)
    assert model is not None, findings


def test_a_pack_that_the_owner_explains_comes_in_afterwards(quillfeather: Path, tmp_path: Path) -> None:
    path = text_file(tmp_path, "Item,Pack,Price\nWhole milk,1/2 gal,4.00\nEggs large loose,15 dz,44.10\n")
    take(quillfeather, path, yes=True)
    mapping = quillfeather / "prices/mappings/north.yaml"
    mapping.write_text(
        mapping.read_text(encoding="utf-8").replace("packs:\n", 'packs:\n  "1/2 gal": 0.5 gal\n'), encoding="utf-8"
    )
    done = take(quillfeather, path)
    assert "North,Whole milk,whole milk,0.5 gal,4.00" in (quillfeather / done.list_file).read_text(encoding="utf-8")


def test_two_currencies_in_a_column_are_told(quillfeather: Path, tmp_path: Path) -> None:
    text = "Item,Pack,Price\nSalt,12 x 3 lb,$28.80\nTowels,1 ct,3 €\nSoap,1 ct,$2\n"
    done = take(quillfeather, text_file(tmp_path, text), yes=True)
    assert "2 rows in USD, 1 row in EUR" in about(done.findings, "two currencies").what


def test_a_supplier_without_freight_waits_where_freight_counts(quillfeather: Path, tmp_path: Path) -> None:
    file = quillfeather / "shop.yaml"
    file.write_text(file.read_text(encoding="utf-8") + "\ncount freight: yes\n", encoding="utf-8")
    done = take(quillfeather, text_file(tmp_path, "Item,Pack,Price\nSalt,12 x 3 lb,$1.00\n"), yes=True)
    assert done.state == "added"
    assert "not taken yet" in about(done.findings, "the shop counts freight").what
    model, found = reader.read(quillfeather)
    assert model is not None, found
    salt = PriceBook(model, date(2027, 1, 1)).ingredient("salt")
    assert salt is not None
    assert salt.supplier == "Barrow & Finch Provisioners"


def test_two_currencies_are_told_where_one_has_no_rate(quillfeather: Path, tmp_path: Path) -> None:
    text = "Item,Pack,Price\nSalt,12 x 3 lb,$28.80\nWhole milk,4 x 1 gal,17.90 €\n"
    done = take(quillfeather, text_file(tmp_path, text), yes=True)
    assert "1 row in USD, 1 row in EUR" in about(done.findings, "two currencies").what
    assert "the row was left out" in about(done.findings, "no rate for it").what


def test_headings_that_stand_twice_must_be_settled_by_hand(quillfeather: Path, tmp_path: Path) -> None:
    path = text_file(tmp_path, "Item,Pack,Price,Price\nSalt,12 x 3 lb,28.80,2.40\n")
    done = take(quillfeather, path, yes=True)
    assert done.state == "proposed"
    assert any("stands there twice" in one.what for one in done.findings)
    mapping = quillfeather / "prices/mappings/north.yaml"
    text = mapping.read_text(encoding="utf-8")
    kept = [line for line in text.splitlines() if not line.startswith(("doubts:", "  - "))]
    mapping.write_text("\n".join(kept).replace("price: Price ", "price: Price (2) ") + "\n", encoding="utf-8")
    settled = take(quillfeather, path, yes=True)
    assert settled.state == "added"
    assert "salt,12 x 3 lb,2.40" in (quillfeather / settled.list_file).read_text(encoding="utf-8")


@pytest.mark.parametrize("heading", ["Last Price", "SRP Price", "Retail Price", "Alter Preis"])
def test_a_price_that_is_hardly_the_shops_must_be_settled_by_hand(
    quillfeather: Path, tmp_path: Path, heading: str
) -> None:
    done = take(quillfeather, text_file(tmp_path, f"Item,Pack,{heading}\nSalt,12 x 3 lb,28.80\n"), yes=True)
    assert done.state == "proposed"
    assert any(f"'{heading}' is taken for the price" in one.what for one in done.findings)


def test_a_proposal_that_is_shown_again_says_why_again(quillfeather: Path, tmp_path: Path) -> None:
    path = text_file(tmp_path, "Item,Pack,Price\nSea salt,12 x 3 lb,28.80\nHvy cream,12/32 fl oz,58.80\n")
    first = take(quillfeather, path)
    assert first.proposal is not None
    mapping = quillfeather / "prices/mappings/north.yaml"
    before = mapping.read_text(encoding="utf-8")
    again = take(quillfeather, path)
    assert (again.state, again.samples) == ("proposed", first.samples)
    assert mapping.read_text(encoding="utf-8") == before
    assert again.proposal is not None
    assert again.proposal.reasons == first.proposal.reasons
    whys = {name: item.why for name, item in again.proposal.items.items()}
    assert whys == {name: item.why for name, item in first.proposal.items.items()}
    assert all(whys.values())
    # What a person wrote has no reasons of ours.
    mapping.write_text(before.replace("price: Price", "price: Pack").replace("pack: Pack", "pack: Price"), "utf-8")
    changed = take(quillfeather, path).proposal
    assert changed is not None
    assert "item" in changed.reasons
    assert not {"price", "pack"} & changed.reasons.keys()


def test_decimals_that_nobody_can_tell_must_be_settled_by_hand(quillfeather: Path, tmp_path: Path) -> None:
    done = take(quillfeather, text_file(tmp_path, "Item;Pack;Price\nSalt;12 x 3 lb;1,234\n"), yes=True)
    assert done.state == "proposed"
    assert any("three decimals" in one.what for one in done.findings)


def test_a_list_of_another_country(quillfeather: Path, tmp_path: Path) -> None:
    shop = quillfeather / "shop.yaml"
    shop.write_text(shop.read_text(encoding="utf-8") + "\nrates: {EUR: 1.08}\n", encoding="utf-8")
    text = "Preisliste gültig ab 23.02.2026;;;\nArtikel-Nr.;Bezeichnung;Gebinde;Preis (€)\n7;Zucker fein;500 x 2,5 kg;1.234,50 €\n8;Vollmilch;6 x 1,5 l;12,-\n"
    done = take(quillfeather, text_file(tmp_path, text.encode("cp1252")), "Höfli", yes=True)
    assert (quillfeather / done.list_file).read_text(encoding="utf-8").splitlines()[2:] == [
        "Höfli,Zucker fein,sugar,500 x 2.5 kg,1234.50,EUR,2026-02-23",
        "Höfli,Vollmilch,whole milk,6 x 1.5 l,12.00,EUR,2026-02-23",
    ]


def test_a_workbook_with_titles_and_several_sheets(quillfeather: Path, tmp_path: Path) -> None:
    rows: list[list[Any]] = [
        ["North Foods"],
        ["Effective", date(2026, 2, 23)],
        [],
        ["Item", "Pack", "Price"],
        ["Salt", "12 x 3 lb", 28.8],
        ["Sugar", "50 lb", 38.5],
    ]
    done = take(quillfeather, workbook(tmp_path, rows), yes=True)
    assert (done.day, done.day_from) == (date(2026, 2, 23), "row 2 of the list says so")
    assert done.original.endswith(".xlsx")


@pytest.mark.parametrize(
    ("name", "given", "day", "words"),
    [
        ("prices 2026-02-20.csv", None, date(2026, 2, 20), "name of the file"),
        ("prices.csv", None, TODAY, "no day"),
        ("prices 2026-02-20.csv", date(2026, 1, 5), date(2026, 1, 5), "as given"),
    ],
)  # fmt: skip
def test_the_day_of_a_list(
    quillfeather: Path, tmp_path: Path, name: str, given: date | None, day: date, words: str
) -> None:
    done = take(quillfeather, text_file(tmp_path, "Item,Pack,Price\nSalt,12 x 3 lb,28.80\n", name), day=given, yes=True)
    assert done.day == day
    assert words in done.day_from


def test_a_day_far_ahead_is_a_slip(quillfeather: Path, tmp_path: Path) -> None:
    path = text_file(tmp_path, "Valid from 2062-02-23,,\nItem,Pack,Price\nSalt,12 x 3 lb,28.80\n")
    assert "more than a year ahead" in stopped(quillfeather, path, yes=True)


def test_a_sender_in_a_column_needs_no_name(quillfeather: Path, tmp_path: Path) -> None:
    path = text_file(tmp_path, "Vendor,Item,Pack,Price\nEast & Co,Salt,12 x 3 lb,28.80\nEast & Co,Sugar,50 lb,38.50\n")
    assert take(quillfeather, path, "", yes=True).supplier == "East & Co"


def test_two_senders_with_the_same_headings_must_be_named(quillfeather: Path, tmp_path: Path) -> None:
    path = text_file(tmp_path, "Item,Pack,Price\nSalt,12 x 3 lb,28.80\n")
    take(quillfeather, path, "East", yes=True)
    take(quillfeather, path, "West", yes=True)
    assert "'East' or 'West'" in stopped(quillfeather, path, "")


def test_a_list_of_which_nothing_can_be_used_is_refused(quillfeather: Path, tmp_path: Path) -> None:
    path = text_file(tmp_path, "Item,Pack,Price\nSalt,12 x 3 lb,€ 28.80\n")
    assert "none of the 1 goods" in stopped(quillfeather, path, yes=True)


def test_a_list_without_heads_is_refused(quillfeather: Path, tmp_path: Path) -> None:
    assert "no row names the columns" in stopped(quillfeather, text_file(tmp_path, "Salt,12 x 3 lb,28.80\n"))


def test_a_broken_shop_is_told_before_anything_happens(quillfeather: Path, tmp_path: Path) -> None:
    (quillfeather / "ingredients.yaml").write_text("salt: {food: usda:02047, label: [}\n", encoding="utf-8")
    assert "ingredients.yaml" in stopped(quillfeather, text_file(tmp_path, NORTH), yes=True)


def test_an_ingredient_without_a_price_does_not_stand_in_the_way(quillfeather: Path, tmp_path: Path) -> None:
    for path in (quillfeather / "prices").glob("*.csv"):
        path.unlink()
    assert take(quillfeather, text_file(tmp_path, NORTH), yes=True).state == "added"


def test_a_full_disk_or_a_locked_folder_loses_nothing(
    quillfeather: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = text_file(tmp_path, NORTH)
    take(quillfeather, path)
    before = {name: data for name, data in tree(quillfeather).items() if "mappings" not in name}

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files, "_place", full)
    with pytest.raises(ShopError, match="No space left"):
        take(quillfeather, path, yes=True)
    assert {name: data for name, data in tree(quillfeather).items() if "mappings" not in name} == before


def test_a_person_is_asked_once_and_may_say_no(quillfeather: Path, tmp_path: Path) -> None:
    asked: list[str] = []
    shown: list[str] = []
    path = text_file(tmp_path, NORTH)

    def no(question: str) -> bool:
        asked.append(question)
        return False

    done = take(quillfeather, path, ask=no, show=lambda one, _: shown.append(one.supplier))
    assert (done.state, shown, len(asked)) == ("proposed", ["North"], 1)
    done = take(quillfeather, path, ask=lambda _: True, show=lambda *_: None)
    assert done.state == "added"
    assert done.used == 6


def test_a_mapping_is_no_place_to_write_elsewhere(quillfeather: Path, tmp_path: Path) -> None:
    done = take(quillfeather, text_file(tmp_path, NORTH), "../../evil", yes=True)
    assert done.list_file == "prices/2026-02-23-evil.csv"
    assert Home(quillfeather).shop() is not None


def test_a_list_on_which_everything_looks_like_cream_makes_a_mapping_that_can_be_read(
    quillfeather: Path, tmp_path: Path
) -> None:
    body = "".join(f"{i},Heavy cream {i},1 qt,3.{i % 90 + 10}\n" for i in range(20_000))
    done = take(quillfeather, text_file(tmp_path, f"Item No,Item,Pack,Price\n{body}"), yes=True)
    assert (done.state, done.goods) == ("added", 20_000)
    assert done.used <= 3000
    assert (quillfeather / done.mapping_file).stat().st_size < 2_000_000


def test_plain_ounces_of_a_liquid_are_told_once(quillfeather: Path, tmp_path: Path) -> None:
    text = "Item,Pack,Price\nHeavy cream,CS 12x32oz,57.60\nSugar,12/32 OZ,30.00\nWhole milk,12/32 fl oz,20.00\n"
    done = take(quillfeather, text_file(tmp_path, text), yes=True)
    told = about(done.findings, "ounces")
    assert (told.level, told.where) == ("note", "list.csv:2")
    # 32 fl oz are 946.35 mL and hold 951.9 g of cream at 238 g a cup (USDA SR28, 01053); 32 oz are 907.2 g.
    assert "a kilogram costs 4.7% less" in told.what
    assert '"CS 12x32oz": CS 12x32 fl oz' in told.mend
    again = take(quillfeather, text_file(tmp_path, text.replace("57.60", "58.10")), day=date(2026, 3, 1))
    assert (again.state, [one for one in again.findings if "ounces" in one.what]) == ("added", [])


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Item,Pack,Qty,Price\nSugar,50 lb,2,39.25\n", "'Qty' is taken for how many are in a case"),
        ("Item;Pack;Unit;Net price\nSugar;25 kg;kg;28.00\nSalt;25 kg;kg;9.50\n", "prices are taken for one kg"),
        ("Artikel;Gebinde;Preis\nZucker;25 kg;28,00\n", "nothing says in which currency"),
        ("Item,Pack,Price (cents)\nSugar,1 lb,79\n", "seems to be in hundredths"),
        ("Item,Pack,FOB Price,Delivered Price\nSugar,50 lb,39.25,42.00\n", "could each be the price"),
    ],
)
def test_what_may_be_many_times_wrong_is_settled_by_hand(
    text: str, words: str, quillfeather: Path, tmp_path: Path
) -> None:
    done = take(quillfeather, text_file(tmp_path, text), yes=True)
    assert done.state == "proposed"
    assert any(words in one.what for one in done.findings)


def test_a_brand_takes_no_points_and_a_case_is_no_size(quillfeather: Path, tmp_path: Path) -> None:
    text = "Item,Brand,Case Qty,Case Weight,Price per Case\nPint lid flat,Kingsley Paper & Pack,500,14 lb,46.00\n"
    done = take(quillfeather, text_file(tmp_path, text), yes=True)
    assert (done.state, done.used) == ("added", 1)
    assert "pint lid,500 ct,46.00" in (quillfeather / done.list_file).read_text(encoding="utf-8")
