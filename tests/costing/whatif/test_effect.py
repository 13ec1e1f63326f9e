"""Prices of another day and another list: worked out on paper, and against the engine with the same prices."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costing.desk import Shop
from costing.findings import ShopError
from costing.kitchen.bench import KitchenError
from costing.prices.book import PriceBook
from costing.shop.models import Link, PriceRow
from costing.shop.suppliers import Supplier
from costing.whatif import sides, tally
from costing.whatif.effect import Effect, book_on, books_of, effects
from tests.costing.kitchen.builders import DAY, recipe
from tests.costing.kitchen.test_balance import recipes
from tests.costing.whatif.small import boxed, channel, desk, model, row
from tests.costing.whatif.test_changing import FLAVOURS, quillfeather

LATER = date(2026, 4, 1)
DEARER = (row("cream", 7.50, date=LATER), row("sugar", 1.60, date=LATER))
"""Cream +1.50 a kg on 200 g a pint is +0.30, sugar -0.40 on 50 g is -0.02."""


def later(*rows: PriceRow, **more: Any) -> Shop:
    shop = model(**more)
    return Shop(replace(shop, prices=(*shop.prices, *rows)), (), LATER)


def only(shop: Shop, since: date = DAY) -> Effect:
    (found,), notes = effects(shop, book_on(shop, since))
    assert notes == ()
    return found


def test_on_paper() -> None:
    found = only(later(*DEARER))
    assert (found.container, found.before, found.after) == ("pint", pytest.approx(4.80), pytest.approx(5.08))
    assert found.difference == pytest.approx(0.28)
    cream, sugar = found.contributions
    assert (cream.name, cream.kind, cream.adds) == ("cream", "ingredient", pytest.approx(0.30))
    assert (cream.before, cream.after) == (pytest.approx(6.0), pytest.approx(7.5))
    assert (sugar.name, sugar.adds) == ("sugar", pytest.approx(-0.02))


def test_the_target_that_is_missed_and_the_price_that_meets_it() -> None:
    found = only(later(*DEARER, price_endings=(".00", ".49", ".99")))
    shop, grocer = found.targets
    assert (shop.channel, shop.price, shop.target_pct) == ("shop", 9.60, pytest.approx(50.0))
    assert (shop.before_pct, shop.after_pct) == (pytest.approx(50.0), pytest.approx(100 * 4.52 / 9.60))
    assert (shop.falls_below, shop.met) == (True, False)
    assert (shop.price_for_target, shop.new_price) == (pytest.approx(10.16), Decimal("10.49"))
    # 6.00 - 3 % - 0.30 - 4.80 is 0.72, 12 %; at 5.08 it is 0.44, 7.3 %; (5.08 + 0.30) / 0.87 = 6.184
    assert (grocer.before_pct, grocer.after_pct) == (pytest.approx(12.0), pytest.approx(22 / 3))
    assert (grocer.falls_below, grocer.new_price) == (True, Decimal("6.49"))


def test_to_the_cent_without_endings_and_none_where_no_price_is_enough() -> None:
    found = only(later(*DEARER))
    assert [one.new_price for one in found.targets] == [Decimal("10.16"), Decimal("6.19")]
    never = only(later(*DEARER, channels={"mad": channel("mad", 9.0, 0.90, 0.15)}))
    assert never.targets[0].new_price is None
    assert never.targets[0].price_for_target is None


def test_what_was_below_does_not_fall_and_what_is_met_is_met() -> None:
    channels = {"low": channel("low", 5.0, 0.5), "high": channel("high", 50.0, 0.5), "free": channel("free", 5.0)}
    found = only(later(*DEARER, channels=channels))
    assert [(one.channel, one.falls_below, one.met) for one in found.targets] == [
        ("low", False, False),
        ("high", False, True),
    ]


def test_the_same_prices_do_nothing() -> None:
    found = only(later())
    assert (found.difference, found.contributions) == (0.0, ())
    assert not any(one.falls_below for one in found.targets)


def test_packaging_counts() -> None:
    packed = later(row("tub", 10.0, "100 ct"), row("tub", 25.0, "100 ct", date=LATER), containers=boxed())
    found = only(packed)
    (tub,) = found.contributions
    assert (tub.name, tub.kind, tub.adds) == ("tub", "packaging", pytest.approx(0.30))
    assert (tub.before, tub.after) == (pytest.approx(0.10), pytest.approx(0.25))


def test_a_rate_that_moved_does_as_a_price_does() -> None:
    """Cream for 5.00 EUR a kg, 1.20 and then 1.50 dollars each: 6.00 and 7.50, as on paper above."""
    shop = later()
    rows = tuple(
        one.model_copy(update={"currency": "EUR", "price": 5.0}) if one.ingredient == "cream" else one
        for one in shop.model.prices
    )
    rates = {"EUR": {date(2026, 1, 1): 1.20, LATER: 1.50}}
    found = only(Shop(replace(shop.model, prices=rows, rates=rates), (), LATER))
    (cream,) = found.contributions
    assert (cream.before, cream.after, cream.adds) == (pytest.approx(6.0), pytest.approx(7.5), pytest.approx(0.30))


def test_counted_freight_is_in_every_difference() -> None:
    asked = {"name": "Stillwater Dry Goods", "where": "shop.yaml:9", "freight": "10 %"}
    known = {"Stillwater Dry Goods": Supplier.model_validate(asked)}
    found = only(later(*DEARER, suppliers=known, count_freight=True))
    # 5.20 of ingredients for four pints take 0.52 of freight, 0.13 each; 0.28 more is 0.308 more.
    assert (found.before, found.difference) == (pytest.approx(4.93), pytest.approx(0.308))


def test_another_supplier_takes_over() -> None:
    found = only(later(row("cream", 5.0, supplier="Another", date=LATER)))
    (cream,) = found.contributions
    assert (cream.supplier_before, cream.supplier) == ("Stillwater Dry Goods", "Another")
    assert cream.adds == pytest.approx(-0.20)


def test_a_price_that_is_missing_leaves_the_flavour_open() -> None:
    shop = model()
    rows = tuple(row.model_copy(update={"date": LATER}) if row.ingredient == "cream" else row for row in shop.prices)
    (found,), (note,) = effects(Shop(replace(shop, prices=rows), (), LATER), PriceBook(replace(shop, prices=rows), DAY))
    assert (found.before, found.difference) == (None, None)
    assert found.after == pytest.approx(4.80)
    assert found.contributions == ()
    assert (note.level, note.what) == ("warning", "cream has no usable price before")
    assert found.targets[0].before_pct is None
    assert not found.targets[0].falls_below


def test_days_that_cannot_be() -> None:
    shop = later(*DEARER)
    with pytest.raises(ShopError, match="lies after"):
        book_on(shop, date(2026, 5, 1))
    with pytest.raises(ShopError, match="no price list is as old as 2020-01-01"):
        book_on(shop, date(2020, 1, 1))


def test_a_recipe_that_cannot_be_made_is_a_finding() -> None:
    bad = recipe({"a": [{"add": {"cream": "1 g"}}, {"fill": {"container": "pint"}}]}, key="bad")
    good = model().recipes["plain"]
    (found,), (problem,) = effects(shop := desk(good, bad), shop.book)
    assert found.recipe == "plain"
    assert (problem.level, problem.where) == ("error", "recipes/bad.yaml:11")


# Two lists -----------------------------------------------------------------------------------------------------------


def lists(*rows: tuple[str, PriceRow]) -> Shop:
    """A shop whose rows stand in several lists."""
    shop = model()
    placed = tuple(row.model_copy(update={"where": f"prices/{file}:2"}) for file, row in rows)
    return Shop(replace(shop, prices=(*shop.prices, *placed)), (), LATER)


def test_a_list_in_place_of_another() -> None:
    shop = lists(("b.csv", row("cream", 8.0, supplier="B")), ("c.csv", row("cream", 9.0, supplier="C")))
    before, after = books_of(shop, "b.csv", "prices/c")
    # Stillwater's own 6.00 is there before and after; only where it is not does the list decide.
    assert before.ingredient("cream").per_gram == pytest.approx(0.006)  # type: ignore[union-attr]
    before, after = books_of(shop, "list.csv", "c.csv")
    assert before.ingredient("cream").per_gram == pytest.approx(0.006)  # type: ignore[union-attr]
    assert after.ingredient("cream").per_gram == pytest.approx(0.008)  # type: ignore[union-attr]
    assert after.ingredient("sugar").per_gram == pytest.approx(0.002)  # type: ignore[union-attr]


def test_an_older_list_can_stand_in_for_a_newer() -> None:
    shop = lists(("new.csv", row("cream", 7.5, date=LATER)))
    (back,), _ = effects(shop, *books_of(shop, "new.csv", "list.csv"))
    assert back.difference == pytest.approx(-0.30)
    (there,), _ = effects(shop, *books_of(shop, "list.csv", "new.csv"))
    assert there.difference == pytest.approx(0.30)


def test_what_only_the_second_list_has_had_that_price_before() -> None:
    shop = lists(("new.csv", row("cream", 7.5, date=LATER)))
    only_there = tuple(one for one in shop.model.prices if one.ingredient != "cream" or "new" in one.where)
    shop = Shop(replace(shop.model, prices=only_there), (), LATER)
    (found,), notes = effects(shop, *books_of(shop, "list.csv", "new.csv"))
    assert (found.difference, notes) == (0.0, ())


@pytest.mark.parametrize(
    ("first", "second", "what"), [("x", "list.csv", "called 'x'"), ("list", "list.csv", "both lists")]
)
def test_lists_that_cannot_be(first: str, second: str, what: str) -> None:
    with pytest.raises(ShopError, match=what):
        books_of(desk(), first, second)


# Against the engine --------------------------------------------------------------------------------------------------


def moved(shop: Shop, factors: dict[str, float]) -> Shop:
    rows = tuple(
        one.model_copy(update={"price": one.price * factors.get(one.ingredient, 1.0)}) for one in shop.model.prices
    )
    return Shop(replace(shop.model, prices=rows), (), shop.day)


def agrees(shop: Shop, other: Shop, keys: tuple[str, ...]) -> None:
    found, notes = effects(shop, shop.book, other.book, keys)
    assert notes == ()
    assert len(found) == len(keys)
    for one in found:
        assert one.before == pytest.approx(sides.costs(shop, one.recipe).per_container.total, abs=1e-9)
        assert one.after == pytest.approx(sides.costs(other, one.recipe).per_container.total, abs=1e-9)
        assert sum(each.adds for each in one.contributions) == pytest.approx(one.difference, abs=1e-9)
        channels = {each.name: each for each in sides.costs(other, one.recipe).channels}
        for each in one.targets:
            assert each.after_pct == pytest.approx(channels[each.channel].margin_pct, abs=1e-9)
        assert [abs(each.adds) for each in one.contributions] == sorted(
            (abs(each.adds) for each in one.contributions), reverse=True
        )


@settings(max_examples=15, deadline=None)
@given(
    st.dictionaries(st.sampled_from(sorted({one.ingredient for one in quillfeather().model.prices})), st.floats(0.2, 5))
)
def test_the_example_shop_with_any_prices(factors: dict[str, float]) -> None:
    agrees(quillfeather(), moved(quillfeather(), factors), FLAVOURS)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(
    recipes(),
    st.dictionaries(st.sampled_from(("cream", "sugar", "quince", "eggs", "rum", "milk", "mint")), st.floats(0.2, 5)),
)
def test_any_recipe_with_any_prices(parts: dict[str, Any], factors: dict[str, float]) -> None:
    shop = desk(recipe(parts, key="any"))
    try:
        shop.brew("any")
    except KitchenError:
        return
    agrees(shop, moved(shop, factors), ("any",))


def test_only_what_goes_into_a_pot_with_a_worth_is_bent() -> None:
    shop = quillfeather()
    assert tally.bent(shop, "quince") == frozenset()
    assert tally.bent(shop, "coffee") == frozenset(), "a worth of nothing is a straight line"
    assert {"pitted prunes", "apple brandy"} <= tally.bent(shop, "prune")
    assert "heavy cream" not in tally.bent(shop, "prune")


def test_a_price_that_does_not_reach_the_worth_needs_no_kitchen(monkeypatch: pytest.MonkeyPatch) -> None:
    shop = quillfeather()
    one = tally.tally(shop, "prune")
    assert one is not None
    made: list[str] = []
    monkeypatch.setattr(tally, "made_at", lambda *args: made.append(args[1]))
    for name, follows in (("heavy cream", True), ("pitted prunes", False)):
        prices = tally.paid(moved(shop, {name: 1.5}).book, [one])
        assert one.follows(prices) is follows
    assert made == []


def test_everything_that_is_bought_is_tallied() -> None:
    shop = quillfeather()
    for key in FLAVOURS:
        one = tally.tally(shop, key)
        assert one is not None
        lines = {line.item: line.bought_g for line in sides.costs(shop, key).lines if line.kind == "ingredient"}
        assert dict(one.grams) == pytest.approx(lines)
    assert tally.tally(shop, "house-base") is None


@pytest.mark.parametrize("key", ["a", "z"])
def test_a_worth_in_a_house_base_bends_the_flavour(key: str) -> None:
    """Whichever of both recipes comes first in the shop; raisins of a base carry what they are worth."""
    base = recipe(
        {
            "steeped": [
                {"add": {"raisins": "500 g", "rum": "500 g", "sugar": "300 g"}},
                {"strain": {"out": ["raisins"], "holding": "10 %", "save": "drunk raisins", "worth": "4 USD/kg"}},
            ]
        },
        key=key,
        makes="raisin rum",
    )
    parts = {
        "base": [{"add": {"cream": "2 kg", "raisin rum": "400 g"}}],
        "frozen": [{"add": {"base": "all"}}, {"churn": {"overrun": "20 %"}}, {"fill": {"container": "cup"}}],
    }
    shop = desk(*([base, recipe(parts, key="m")] if key == "a" else [recipe(parts, key="m"), base]))
    assert tally.bent(shop, "m") == {"raisins", "rum", "sugar"}
    for factors in ({"rum": 0.05, "raisins": 0.1, "sugar": 0.1, "cream": 2.0}, {"rum": 3.0}, {"cream": 3.0}):
        agrees(shop, moved(shop, factors), ("m",))


def test_a_price_on_the_shelf_is_told_as_it_is_written() -> None:
    """The grocer keeps 35 % of the shelf price; a pint at 4.80 needs 9.60 for half, 9.60 / 0.65 = 14.769 on the shelf."""
    shelf = channel("store", 12.0, 0.50).model_copy(update={"chain": (Link("grocer", 0.35),), "at_shelf": True})
    found = only(later(channels={"store": shelf}))
    (store,) = found.targets
    assert (store.price, store.price_for_target) == (12.0, pytest.approx(9.60 / 0.65))
    assert store.new_price == Decimal("14.77")
    side = sides.side(later(channels={"store": shelf}), "plain", chances=True)
    assert (side.written["store"], side.new_price["store"]) == (12.0, Decimal("14.77"))
    assert side.chance["store"].chance_pct == 0.0
