"""What every flavour leaves in every way of selling, by hand from the cost that the shop itself says."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from costing.desk import Asked, Shop
from costing.results import CostAnswer
from costing.selling import month, sales
from costing.selling.sales import Leaves, Sale


@pytest.fixture
def shop(ways: Path) -> Shop:
    return Shop.open(ways)


def cost_of(shop: Shop, key: str) -> CostAnswer:
    found = shop.answer(key).cost
    assert found is not None
    return found


def sold(shop: Shop, key: str, channel: str) -> Sale:
    found = sales.sale(shop, shop.answer(key), shop.model.channels[channel])
    assert found is not None
    return found


def test_plain_channels_say_what_the_cost_says(shop: Shop) -> None:
    for key in ("quince", "custard", "coffee"):
        for told in cost_of(shop, key).channels:
            one = sold(shop, key, told.name)
            assert one.leaves.margin == pytest.approx(told.margin, abs=1e-12)
            assert (one.margin_pct, one.markup_pct) == pytest.approx((told.margin_pct, told.markup_pct))
            assert one.price_for_target == pytest.approx(told.price_for_target)
            assert one.per_batch.margin == pytest.approx(told.batch_margin)


def test_a_chain_by_hand(shop: Shop) -> None:
    # 12.99 x 0.65 x 0.75 = 6.332625 for the maker. Of 100 pints 95 are paid for, so each bears cost / 0.95.
    # For 20 % the maker needs (cost / 0.95) / 0.80, and the shelf that over 0.4875.
    cost = cost_of(shop, "quince").per_container.total
    one = sold(shop, "quince", "town grocers")
    assert one.shelf_price == pytest.approx(12.99)
    assert one.price == pytest.approx(6.332625)
    assert one.leaves.margin == pytest.approx(6.332625 - cost / 0.95)
    assert one.unpaid == pytest.approx(cost / 0.95 - cost)
    assert one.price_for_target == pytest.approx(cost / 0.95 / 0.80)
    assert one.shelf_price_for_target == pytest.approx(cost / 0.95 / 0.80 / 0.4875)
    assert one.per_container.margin == pytest.approx(0.95 * 6.332625 - cost)
    assert one.per_batch.margin == pytest.approx(9 * (0.95 * 6.332625 - cost))


def test_a_market_by_hand(shop: Shop) -> None:
    # 10.00 less 2.6 % + 0.10 = 0.36, less 60 / 80 = 0.75 of the stall; the deposit is no income.
    cost = cost_of(shop, "plum").per_container.total
    one = sold(shop, "plum", "saturday market")
    assert one.leaves.contribution == pytest.approx(9.64 - cost)
    assert one.leaves.margin == pytest.approx(8.89 - cost)
    assert one.day_pays_from == pytest.approx(60 / (9.64 - cost))
    assert (one.deposit, one.shelf_price, one.paid_share) == (0.25, None, 1.0)


def test_scoops_by_hand(shop: Shop) -> None:
    # The half-gallon beside the coffee pints: its weight x 0.95 / 70 scoops, each with a small lid for a cone, at
    # 4.50 less 2.9 % + 0.10.
    found = cost_of(shop, "coffee")
    other = found.also[0]
    one = sold(shop, "coffee", "dipping cabinet")
    lid = shop.book.each("small lid")
    scoops = other.fill_g * 0.95 / 70
    assert lid > 0
    assert (one.unit, one.container, one.containers) == ("scoop", "half-gallon", other.containers)
    assert one.units == pytest.approx(scoops)
    assert one.cost == pytest.approx(other.cost.total / scoops)
    assert one.leaves.margin == pytest.approx(4.50 - 0.2305 - lid - other.cost.total / scoops)
    assert one.per_container.margin == pytest.approx(scoops * (4.50 - 0.2305 - lid) - other.cost.total)
    assert one.price_for_target == pytest.approx((one.cost + 0.10 + lid) / (1 - 0.029 - 0.60))


def test_a_flavour_that_does_not_fill_the_container_is_not_sold_there(shop: Shop) -> None:
    assert sales.sale(shop, shop.answer("quince"), shop.model.channels["dipping cabinet"]) is None
    assert "dipping cabinet" not in {one.name for one in cost_of(shop, "quince").channels}
    assert sales.sale(shop, shop.answer("house-base"), shop.model.channels["grocer"]) is None


def test_the_recipes_own_price_stands_in_the_place_of_the_written_one(shop: Shop) -> None:
    recipe = shop.model.recipes["quince"]
    shop.model.recipes["quince"] = recipe.model_copy(update={"prices": {"town grocers": 9.99}})  # type: ignore[index]
    assert sold(shop, "quince", "town grocers").price == pytest.approx(9.99 * 0.4875)
    assert sold(shop, "quince", "town grocers").shelf_price == pytest.approx(9.99)


def test_an_hour_of_the_machine_by_hand(shop: Shop) -> None:
    # shop.yaml: a run takes 22 min; quince churns twice and fills nine pints.
    one = sold(shop, "quince", "grocer")
    assert cost_of(shop, "quince").batch.runs == 2
    assert one.machine_hours == pytest.approx(44 / 60)
    assert one.per_machine_hour is not None
    assert one.per_machine_hour.contribution == pytest.approx(9 * one.leaves.contribution / (44 / 60))


def test_kinds_of_containers_share_the_hours_by_volume(shop: Shop) -> None:
    pints, tub = sold(shop, "coffee", "grocer"), sold(shop, "coffee", "dipping cabinet")
    assert pints.machine_hours is not None
    assert tub.machine_hours is not None
    assert pints.machine_hours + tub.machine_hours == pytest.approx(44 / 60)
    assert tub.machine_hours / pints.machine_hours == pytest.approx(
        tub.containers * tub.container_ml / (pints.containers * pints.container_ml)
    )


def test_flavours_are_ranked_by_the_hour_and_not_by_the_pint(shop: Shop) -> None:
    found = [one for one in sales.all_sales(shop, shop.answers()) if one.channel == "scoop shop"]
    assert [one.place for one in found] == list(range(1, 9))
    hours = [one.per_machine_hour.contribution for one in found if one.per_machine_hour]
    assert hours == sorted(hours, reverse=True)
    pints = [one.leaves.contribution for one in found]
    assert pints != sorted(pints, reverse=True), "in this shop the two orders differ"


def made_up(sale: Sale, contribution: float, hours: float | None, recipe: str = "a") -> Sale:
    hour = None if hours is None else Leaves(contribution / hours, contribution / hours)
    each = Leaves(contribution, contribution)
    return replace(sale, recipe=recipe, per_container=each, machine_hours=hours, per_machine_hour=hour)


def test_equals_share_their_place_and_the_unknown_come_last(shop: Shop) -> None:
    one = sold(shop, "quince", "grocer")
    listed = [
        made_up(one, 9.0, None, "unknown"),
        made_up(one, 4.0, 1.0, "b"),
        made_up(one, float("nan"), 1.0, "no cost"),
        made_up(one, 4.0, 1.0, "a"),
        made_up(one, 3.0, 0.5, "c"),
    ]
    assert [(o.recipe, o.place) for o in sales.ranked(listed)] == [
        ("c", 1), ("a", 2), ("b", 2), ("no cost", None), ("unknown", None),
    ]  # fmt: skip
    untimed = [made_up(one, 1.0, None, "a"), made_up(one, 2.0, None, "b")]
    assert [o.recipe for o in sales.ranked(untimed)] == ["b", "a"]


def test_break_even_of_one_flavour_by_hand(shop: Shop) -> None:
    # Rent 1,400, insurance 185, freezer 240: 1,825 a month.
    assert sales.fixed_costs(shop) == 1825.0
    one = sold(shop, "quince", "grocer")
    assert one.break_even == pytest.approx(1825 / one.leaves.margin)
    chained = sold(shop, "quince", "town grocers")
    assert chained.break_even == pytest.approx(1825 / chained.per_container.margin)


def test_the_month_of_a_channel_and_of_a_mix(shop: Shop) -> None:
    one = sold(shop, "quince", "grocer")
    pint = replace(one, container_ml=500.0, containers=10, machine_hours=0.5)
    # Two litres of 500 mL pints: grocer leaves 2.00 + 4.00 for two flavours, so 6.00 a litre; the market 10.00 a litre.
    listed = [
        replace(pint, channel="g", per_container=Leaves(2.0, 2.0)),
        replace(pint, channel="g", per_container=Leaves(4.0, 4.0)),
        replace(pint, channel="m", per_container=Leaves(5.0, 5.0)),
    ]
    found = month.month(listed, 1825.0, {"g": 0.3, "m": 0.6})
    assert [(row.channel, row.margin_per_litre) for row in found.alone] == [("g", 6.0), ("m", 10.0)]
    assert [row.containers for row in found.alone] == pytest.approx([2 * 1825 / 6, 2 * 1825 / 10])
    # A third and two thirds: 8.6667 a litre on average, 210.577 litres, 70.192 and 140.385 of them.
    assert [row.litres for row in found.mix] == pytest.approx([1825 / (26 / 3) / 3, 1825 / (26 / 3) * 2 / 3])
    assert found.whole is not None
    assert found.whole.containers == pytest.approx(2 * 1825 / (26 / 3))
    # 0.5 h for ten pints of half a litre: 0.1 h a litre.
    assert found.whole.machine_hours == pytest.approx(0.1 * 1825 / (26 / 3))
    assert sum(row.containers for row in found.mix if row.containers) == pytest.approx(found.whole.containers)


def test_a_month_that_never_breaks_even_says_so(shop: Shop) -> None:
    pint = replace(sold(shop, "quince", "grocer"), per_container=Leaves(-1.0, -1.0))
    found = month.month([pint], 1825.0, {"grocer": 1.0})
    for row in (*found.alone, *found.mix, found.whole):
        assert row is not None
        assert (row.containers, row.litres, row.machine_hours) == (None, None, None)


def test_ranges_follow_every_way_of_selling(shop: Shop) -> None:
    # coffee churns at 26 % to 30 %, so how many scoops are in a half-gallon moves, and with it what one leaves.
    answer = shop.answer("coffee", Asked(ranges=True))
    assert answer.cost is not None
    for told in answer.cost.channels:
        low, high = answer.ranges[f"channels.{told.name}.margin"]
        assert low < told.margin < high, told.name
