"""Freight and rates in what a gram costs, and whose price is taken; figures worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from costing.prices import checks
from costing.prices.book import PriceBook
from costing.shop.models import ShopModel
from costing.shop.suppliers import Supplier
from tests.costing.prices.price_shops import DAY, ingredient, row, shop


def supplier(name: str, **entries: str) -> dict[str, Supplier]:
    return {name: Supplier.model_validate({"name": name, "where": "shop.yaml:20"} | entries)}


NEAR = supplier("Near", freight="none")
FAR = supplier("Far", freight="30 per order", **{"usual order": "200"})
ROWS = (row("sugar", "10 kg", 10.00, supplier="Far"), row("sugar", "10 kg", 11.00, supplier="Near"))
TUBS = (row("tub", "100 ct", 20.00, supplier="Far"), row("tub", "100 ct", 22.00, supplier="Near"))


def test_freight_is_beside_a_price_and_not_in_it() -> None:
    book = PriceBook(shop(*ROWS, suppliers=NEAR | FAR), DAY)
    first = book.ingredient("sugar")
    assert first is not None
    assert (first.supplier, first.per_gram, first.freight, first.counted) == ("Far", 0.001, 0.15, 0.0)


def test_counted_freight_is_in_the_price_and_in_the_choice() -> None:
    book = PriceBook(shop(*ROWS, *TUBS, suppliers=NEAR | FAR, count_freight=True), DAY)
    near, far = book.offers("sugar")
    assert (near.supplier, near.per_gram) == ("Near", pytest.approx(0.0011))
    # 10.00 and 15 % of it for 10 kg.
    assert (far.supplier, far.per_gram, far.counted) == ("Far", pytest.approx(0.00115), 0.15)
    tubs = book.item_offers("tub")
    assert [(one.supplier, one.per_each) for one in tubs] == [
        ("Near", pytest.approx(0.22)), ("Far", pytest.approx(0.23)),
    ]  # fmt: skip


def test_names_of_suppliers_are_compared_without_capitals() -> None:
    known = supplier("far", freight="30 per order", **{"usual order": "200"})
    first = PriceBook(shop(ROWS[0], suppliers=known), DAY).ingredient("sugar")
    assert first is not None
    assert first.freight == 0.15


@pytest.mark.parametrize(
    ("known", "said"),
    [({}, "nobody says what it is"), (supplier("Far", freight="30 per order"), "nobody says over which order it is")],
)
def test_unknown_freight_is_not_none(known: dict[str, Supplier], said: str) -> None:
    model = shop(*ROWS[:1], *TUBS[:1], uses=("sugar",), suppliers=known)
    quiet = PriceBook(model, DAY).ingredient("sugar")
    assert quiet is not None
    assert quiet.freight is None
    counting = replace(model, count_freight=True)
    assert PriceBook(counting, DAY).ingredient("sugar") is None
    found = [one for one in checks.findings(counting, DAY) if "the freight of 'Far'" in one.what]
    assert [one.level for one in found] == ["warning"]
    assert said in found[0].what
    # Nobody else sells sugar, so its price is unknown; labels and what has no sugar are answered all the same.
    (missing,) = [one for one in checks.findings(counting, DAY) if "'sugar'" in one.what]
    assert missing.level == "warning"
    assert "has no price that can be used" in missing.what
    other = replace(counting, prices=(*counting.prices, ROWS[1]), suppliers=known | NEAR)
    assert not [one for one in checks.findings(other, DAY) if "'sugar'" in one.what]
    assert "freight: none" in found[0].mend


def test_the_newest_price_may_be_preferred() -> None:
    old = row("sugar", "10 kg", 9.00, supplier="Near", date=date(2026, 1, 5))
    cheap, dear = row("sugar", "10 kg", 10.00, supplier="Far"), row("sugar", "25 kg", 27.50, supplier="Mid")
    model = shop(old, dear, cheap)

    def used(**other: object) -> str:
        first = PriceBook(replace(model, **other), DAY).ingredient("sugar")  # type: ignore[arg-type]
        return first.supplier if first else ""

    assert used() == "Near"
    # Of two prices of one day the cheaper usable gram.
    assert used(prefer="newest") == "Far"
    own = {**model.ingredients, "sugar": ingredient("sugar", prefer="newest")}
    assert used(ingredients=own) == "Far"
    own["sugar"] = ingredient("sugar", prefer="cheapest")
    assert used(ingredients=own, prefer="newest") == "Near"
    own["sugar"] = ingredient("sugar", supplier="Mid")
    assert used(ingredients=own, prefer="newest") == "Mid"


def test_packaging_follows_the_shop() -> None:
    old = row("tub", "100 ct", 20.00, supplier="Near", date=date(2026, 1, 5))
    new = row("tub", "100 ct", 22.00, supplier="Far")
    for prefer, supplier_used in (("cheapest", "Near"), ("newest", "Far")):
        first = PriceBook(shop(old, new, prefer=prefer), DAY).item("tub")
        assert first is not None
        assert first.supplier == supplier_used


def test_a_fixed_supplier_leaves_nothing_to_prefer() -> None:
    model = shop(*ROWS)
    entries = {**model.ingredients, "sugar": ingredient("sugar", supplier="Far", prefer="newest")}
    found = checks.findings(replace(model, ingredients=entries), DAY)
    assert "nothing to prefer" in " ".join(one.what for one in found)


RATES = {"EUR": {date(2026, 1, 1): 1.08, date(2026, 2, 15): 1.10}}


def test_the_rate_of_the_day_counts() -> None:
    bought = row("sugar", "1 kg", 2.00, currency="EUR", date=date(2026, 1, 5))
    for day, money in ((date(2026, 2, 14), 0.00216), (date(2026, 2, 15), 0.0022), (DAY, 0.0022)):
        first = PriceBook(shop(bought, rates=RATES), day).ingredient("sugar")
        assert first is not None
        assert first.per_gram == pytest.approx(money)


def test_a_rate_that_begins_later_is_a_finding() -> None:
    bought = row("sugar", "1 kg", 2.00, currency="EUR", date=date(2025, 12, 1))
    model = shop(bought, uses=("sugar",), rates=RATES)
    found = checks.findings(model, date(2025, 12, 20))
    (one,) = [one for one in found if "the price is in EUR" in one.what]
    assert one.level == "warning"
    assert "first rate for it is of 2026-01-01" in one.what
    assert "--as-of 2026-01-01" in one.mend


def test_a_rate_that_is_used_may_grow_old() -> None:
    bought = row("sugar", "1 kg", 2.00, currency="EUR", date=date(2026, 5, 1))
    model = shop(bought, uses=("sugar",), rates=RATES)

    def old(model: ShopModel, day: date) -> list[str]:
        return [one.what for one in checks.findings(model, day) if "the rate of EUR" in one.what]

    assert old(model, date(2026, 5, 10)) == []
    assert old(model, date(2026, 5, 20)) == ["the rate of EUR used is of 2026-02-15, 94 days before 2026-05-20"]
    assert old(replace(model, rates={"EUR": 1.1}), date(2026, 5, 20)) == []


@pytest.mark.parametrize(
    ("entries", "said"),
    [
        ({"minimum order": "150", "usual order": "100", "freight": "none"}, "is below its minimum order"),
        ({"freight": "18 per order"}, "over which order the freight"),
    ],
)
def test_what_is_odd_about_a_supplier(entries: dict[str, str], said: str) -> None:
    model = shop(*ROWS, suppliers=supplier("Far", **entries))
    assert said in " ".join(one.what for one in checks.findings(model, DAY))


def test_one_supplier_under_two_names() -> None:
    both = supplier("Far", freight="none") | supplier("FAR", freight="none")
    found = [one for one in checks.findings(shop(*ROWS, suppliers=both), DAY) if one.level == "error"]
    assert [one.what for one in found] == ["'FAR' and 'Far' are one supplier"]
