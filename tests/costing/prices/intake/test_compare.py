"""What is odd about a list beside the one before it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from costing.findings import Finding
from costing.prices.intake import compare
from costing.shop.models import PriceRow
from tests.costing.prices.price_shops import row, shop

OLD = date(2026, 2, 16)
NEW = date(2026, 3, 2)


def was(item: str, pack: str, price: float, **other: Any) -> PriceRow:
    return row(
        other.pop("ingredient", "sugar"),
        pack,
        price,
        **({"item": item, "date": OLD, "where": "prices/old.csv:2"} | other),
    )


def now(item: str, pack: str, price: float, **other: Any) -> PriceRow:
    return row(
        other.pop("ingredient", "sugar"), pack, price, **({"item": item, "date": NEW, "where": "new.csv:7"} | other)
    )


def said(old: list[PriceRow], new: list[PriceRow], **other: Any) -> list[Finding]:
    model = shop(*old, **other)
    before = compare.earlier(model, "Mill Lane", NEW)
    assert before is not None
    return compare.against(before, new, model, ())


def one(old: list[PriceRow], new: list[PriceRow], **other: Any) -> Finding:
    (found,) = said(old, new, **other)
    return found


@pytest.mark.parametrize(
    ("price", "jumped"), [(125.0, False), (125.01, True), (75.0, False), (74.99, True), (100.0, False), (300.0, True)]
)
def test_a_jump_is_more_than_a_quarter_either_way(price: float, jumped: bool) -> None:
    found = said([was("A", "50 lb", 100.0)], [now("A", "50 lb", price)])
    assert bool(found) == jumped
    if jumped:
        assert "jumped" in found[0].what
        assert found[0].where == "new.csv:7"
        assert found[0].level == "warning"


def test_a_pack_that_shrank_at_the_same_price() -> None:
    found = one([was("A", "12/32 oz", 58.8)], [now("A", "12/30 oz", 58.8)])
    assert (found.level, "changed from 12/32 oz to 12/30 oz (−6%) at the same price" in found.what) == ("warning", True)


def test_a_pack_written_otherwise_is_the_same_pack() -> None:
    assert said([was("A", "4/1 gal", 16.0)], [now("A", "4 x 1 gal", 16.0)]) == []


def test_a_larger_pack_at_a_fair_price_is_only_a_note() -> None:
    assert one([was("A", "25 lb", 20.0)], [now("A", "50 lb", 40.0)]).level == "note"


def test_a_larger_pack_that_hides_a_jump_is_told_by_weight() -> None:
    found = said([was("A", "50 lb", 20.0)], [now("A", "25 lb", 15.0)])
    assert [f.level for f in found] == ["note", "warning"]
    assert "+50%" in found[1].what


def test_a_pack_of_another_kind_is_told() -> None:
    assert "another kind of measure" in one([was("A", "50 lb", 20.0)], [now("A", "500 ct", 20.0)]).what


def test_items_gone_and_new() -> None:
    gone, new = said([was("A", "50 lb", 20.0)], [now("B", "50 lb", 20.0)])
    assert (gone.level, gone.where) == ("warning", "prices/old.csv:2")
    assert "'A' (sugar)" in gone.what
    assert (new.level, new.what) == ("note", "'B' (sugar) is new since 2026-02-16")


def test_an_item_that_stands_there_without_a_price_is_not_gone() -> None:
    model = shop(was("A", "50 lb", 20.0))
    before = compare.earlier(model, "Mill Lane", NEW)
    assert before is not None
    assert compare.against(before, [], model, ["A"]) == []


def test_what_the_shop_does_not_use_is_only_counted() -> None:
    found = one([was("A", "50 lb", 20.0, ingredient="")], [now("B", "50 lb", 90.0, ingredient="")])
    assert "1 items are gone and 1 are new" in found.what


def test_several_packs_of_one_item_are_told_apart() -> None:
    old = [was("A", "25 lb", 20.0), was("A", "50 lb", 38.0)]
    found = one(old, [now("A", "25 lb", 20.0), now("A", "50 lb", 60.0)])
    assert "38.00 USD for 50 lb, now 60.00 USD for 50 lb" in found.what


def test_one_item_two_ingredients() -> None:
    found = one([was("A", "50 lb", 20.0)], [now("A", "50 lb", 20.0, ingredient="cream")])
    assert "one item, two ingredients" in found.what


def test_another_currency_is_told_and_compared_by_its_rate() -> None:
    old, new = [was("A", "50 lb", 100.0)], [now("A", "50 lb", 100.0, currency="EUR")]
    assert [f.what for f in said(old, new)] == ["'A' was priced in USD and is in EUR now"]
    assert "+50%" in said(old, new, rates={"EUR": 1.5})[1].what


def test_the_newest_earlier_list_is_meant() -> None:
    rows = (
        was("A", "50 lb", 1.0, date=date(2026, 1, 1), where="prices/a.csv:2"),
        was("A", "50 lb", 2.0, date=date(2026, 2, 1), where="prices/b.csv:2"),
        was("A", "50 lb", 3.0, date=date(2026, 4, 1), where="prices/c.csv:2"),
        was("A", "50 lb", 4.0, date=date(2026, 3, 1), where="prices/d.csv:2", supplier="Other"),
    )
    before = compare.earlier(shop(*rows), "mill lane", NEW)
    assert before is not None
    assert (before.file, [r.price for r in before.rows]) == ("prices/b.csv", [2.0])
    assert compare.earlier(shop(*rows), "Nobody", NEW) is None


def test_units_and_currencies_that_do_not_fit() -> None:
    rows = [
        now("A", "500 ct", 20.0),
        now("B", "50 lb", 3.0, currency="EUR"),
        now("C", "50 lb", 3.0, currency="EUR"),
        now("D", "1 gal", 1.0, ingredient=""),
        now("T", "50 lb", 3.0, ingredient="tub"),
    ]
    found = list(compare.fitting(rows, shop(), NEW))
    assert [("cannot be turned into grams" in f.what, "has no rate" in f.what) for f in found] == [
        (True, False),
        (False, True),
        (False, False),
    ]
    assert "how many pieces" in found[2].what


def test_two_prices_and_two_currencies_on_one_list() -> None:
    rows = [
        now("A", "50 lb", 20.0),
        now("A", "50 lb", 21.0),
        now("B", "1 lb", 3.0, currency="EUR"),
        now("B", "1 lb", 3.0, currency="EUR"),
    ]
    found = [*compare.twice(rows), *compare.mixed(rows)]
    assert len(found) == 2
    assert "two prices for one pack" in found[0].what
    assert "2 rows in USD, 2 rows in EUR" in found[1].what


def test_many_of_a_kind_are_counted() -> None:
    found = compare.limited(Finding("warning", f"new.csv:{i}", f"row {i}", "mend it") for i in range(100))
    assert len(found) == compare.MOST_TOLD + 1
    assert "60 more rows" in found[-1].what


def test_goods_that_were_named_later_are_one_row_of_the_list_before() -> None:
    nameless = was("A", "15 dz", 32.1, ingredient="", where="prices/old.csv:2")
    named = was("A", "15 dz", 32.1, where="prices/old-2.csv:2")
    found = one([nameless, named], [now("A", "15 kg", 32.1)])
    assert "changed from 15 dz to 15 kg, another kind of measure" in found.what
