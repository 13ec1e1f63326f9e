"""What heat takes: alcohol by the table or its volatility, never behind water; vitamins by food group and way of heating."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.contents import composition
from costing.kitchen.bench import KitchenError
from costing.kitchen.brew import Brew
from costing.kitchen.density import brix, millilitres
from costing.kitchen.materials import Pantry
from costing.kitchen.pot import ALCOHOL, SOLUBLES, WATER, Pot, Tag
from costing.kitchen.vitamins import kept, vitamins
from costing.shop.models import CLASSES
from nutrition import resources
from tests.costing.kitchen.builders import brew, shop

# Alcohol ------------------------------------------------------------------------------------------------------------

STRONG = {"add": {"rum": "300 g", "apple juice": "500 g", "water": "150 g", "sugar": "50 g"}}


def left(steps: list[dict[str, Any]], start: dict[str, Any], fraction: int) -> float:
    """Share of a fraction that is left of what was in the pot at the start."""
    before, after = brew({"pot": [start]}).pot, brew({"pot": [start, *steps]}).pot
    return float(after.mass[:, 0, fraction].sum() / before.mass[:, 0, fraction].sum())


TARGETS = st.one_of(
    st.integers(30, 99).map(lambda n: {"reduce": {"to": f"{n} %"}}),
    st.integers(30, 99).map(lambda n: {"reduce": {"to": f"{n} % by volume"}}),
    st.integers(300, 990).map(lambda n: {"reduce": {"to": f"{n} g"}}),
    st.integers(14, 60).map(lambda n: {"reduce": {"to": f"{n} Brix"}}),
    st.integers(1, 60).map(lambda n: {"cook": {"loses": f"{n} %"}}),
)


@settings(max_examples=150, deadline=None)
@given(TARGETS, st.sampled_from([None, "0 s", "20 s", "5 min", "15 min", "45 min", "3 h"]))
def test_alcohol_is_never_behind_water(step: dict[str, Any], hold: str | None) -> None:
    verb, said = next(iter(step.items()))
    try:
        batch = brew({"pot": [STRONG, {verb: {**said, **({"hold": hold} if hold else {})}}]})
    except KitchenError:
        return
    start = brew({"pot": [STRONG]}).pot
    alcohol, water = (
        batch.pot.mass[:, 0, part].sum() / start.mass[:, 0, part].sum() for part in (ALCOHOL, WATER)
    )  # fmt: skip
    assert alcohol <= water + 1e-9
    assert alcohol >= 0
    assert batch.pot.mass[:, 0, SOLUBLES].sum() == pytest.approx(start.mass[:, 0, SOLUBLES].sum(), rel=1e-12)
    if "loses" in said:
        assert batch.pot.grams()[0] == pytest.approx(1000 * (1 - float(said["loses"].split()[0]) / 100))


def test_a_short_hard_boil_takes_at_least_as_much_alcohol_as_water() -> None:
    # The table keeps 85 % at no time at all; where three quarters of the water went, no more than a quarter is left.
    steps = [{"reduce": {"to": "30 %", "hold": "1 min"}}]
    assert left(steps, STRONG, ALCOHOL) == pytest.approx(left(steps, STRONG, WATER))
    assert left(steps, STRONG, WATER) < 0.4


def test_alcohol_takes_no_more_weight_than_the_pot_loses() -> None:
    # 300 g of SR28's rum hold 100 g of alcohol: an hour would keep 25 % of it, but the pot lost 20 g in all.
    start = brew({"pot": [STRONG]}).pot.mass[:, 0, ALCOHOL].sum()
    batch = brew({"pot": [STRONG, {"cook": {"loses": "2 %", "hold": "1 h"}}]})
    assert batch.pot.grams()[0] == pytest.approx(980.0)
    assert start - batch.pot.mass[:, 0, ALCOHOL].sum() == pytest.approx(20.0)
    covered = brew({"pot": [STRONG, {"cook": {"loses": "0 %", "hold": "8 h"}}]})
    assert covered.pot.mass[:, 0, ALCOHOL].sum() == pytest.approx(start)


def test_the_scale_settles_a_pot_with_spirit() -> None:
    batch = brew({"pot": [STRONG, {"cook": {"loses": "5 %", "hold": "1 h"}}, {"weigh": "970 g"}]})
    assert batch.pot.grams()[0] == pytest.approx(970.0)
    assert batch.parts[0].steps[1].free_figure == "loses 3.0 %"


@pytest.mark.parametrize(
    ("hold", "share"), [("15 min", 0.40), ("30 min", 0.35), ("45 min", 0.30), ("1 h", 0.25), ("2 h", 0.10), ("5 h", 0.05)]
)  # fmt: skip
def test_alcohol_by_the_time_simmered(hold: str, share: float) -> None:
    # USDA Table of Nutrient Retention Factors, release 6 (2007), from memory; straight lines between its rows.
    for step in ({"reduce": {"to": "80 %", "hold": hold}}, {"cook": {"to": "85 %", "hold": hold}}):
        assert left([step], STRONG, ALCOHOL) == pytest.approx(share)


def test_several_liquids_boil_down_together() -> None:
    # Each gives water in proportion to its own, and their solids stay: juice, milk and syrup in one pot.
    start = {"add": {"apple juice": "600 g", "milk": "300 g", "water": "100 g", "sugar": "80 g", "rum": "20 g"}}
    before, after = brew({"pot": [start]}).pot, brew({"pot": [start, {"reduce": {"to": "50 %"}}]}).pot
    shares = {
        tag.ingredient: after.mass[j, 0, WATER] / before.mass[i, 0, WATER]
        for i, tag in enumerate(before.tags)
        for j, other in enumerate(after.tags)
        if other.ingredient == tag.ingredient and before.mass[i, 0, WATER] > 0
    }
    assert set(shares) == {"apple juice", "milk", "water", "sugar", "rum"}
    assert list(shares.values()) == pytest.approx([shares["milk"]] * 5)
    assert after.mass[:, 0, 2:].sum() == pytest.approx(before.mass[:, 0, 2:].sum())
    assert after.grams()[0] == pytest.approx(before.grams()[0] / 2)


def test_half_by_volume_is_not_half_by_weight() -> None:
    # By hand with the sucrose tables at 20 degrees C (from memory): a kilogram of 30 Brix is 1000/1.127 = 887 mL.
    # Half by weight is 500 g of 60 Brix, 500/1.2865 = 389 mL; half by volume is 444 mL,
    # in which 300 g of sugar are 54 Brix (1.252 g/mL between the rows of 50 and 55): 556 g.
    syrup = {"add": {"water": "700 g", "sugar": "300 g"}}
    start = brew({"pot": [syrup]}).pot
    weight, volume = (brew({"pot": [syrup, {"reduce": {"to": to}}]}).pot for to in ("50 %", "50 % by volume"))
    assert millilitres(start)[0] == pytest.approx(1000 / 1.1270, rel=0.005)
    assert (weight.grams()[0], millilitres(weight)[0]) == (pytest.approx(500.0), pytest.approx(500 / 1.2865, rel=0.005))
    assert (volume.grams()[0], millilitres(volume)[0]) == (
        pytest.approx(300 / 0.54, rel=0.005),
        pytest.approx(444, rel=0.005),
    )
    assert brix(weight)[0] == pytest.approx(60, rel=0.005)
    assert brix(volume)[0] == pytest.approx(54.0, rel=0.005)


# Vitamins -----------------------------------------------------------------------------------------------------------


def share(name: str, vitamin: str, how: str | None) -> float:
    """Share of a vitamin that an ingredient has kept after one cooking."""
    step: dict[str, Any] = {"loses": "0 %", **({"how": how} if how else {})}
    batch = brew({"pot": [{"add": {name: "1 kg"}}, {"cook": step}]})
    return amount(batch, vitamin) / amount(brew({"pot": [{"add": {name: "1 kg"}}]}), vitamin)


def amount(batch: Brew, key: str) -> float:
    whole = shop()
    found = composition(batch.pot, Pantry(whole.ingredients, whole.foods)).amount(key)
    assert found
    return found


@pytest.mark.parametrize(
    ("name", "vitamin", "simmered", "baked", "browned"),
    [
        # USDA Table of Nutrient Retention Factors, release 6 (2007), from memory, by the groups of the table in data/.
        ("milk", "thiamin", 0.90, 0.80, 0.75),
        ("quince", "vitamin_c", 0.80, 0.75, 0.70),
        ("pistachio", "thiamin", 0.85, 0.80, 0.75),
        ("bacon", "thiamin", 0.70, 0.65, 0.70),
        ("eggs", "folate", 0.80, 0.70, 0.70),
    ],
)
def test_vitamins_are_kept_by_group_and_way_of_heating(
    name: str, vitamin: str, simmered: float, baked: float, browned: float
) -> None:
    assert share(name, vitamin, None) == pytest.approx(simmered), "heated without saying how is simmered"
    assert share(name, vitamin, "simmer") == pytest.approx(simmered)
    assert share(name, vitamin, "bake") == pytest.approx(baked)
    assert share(name, vitamin, "toast") == pytest.approx(baked)
    assert share(name, vitamin, "brown") == pytest.approx(browned)


@pytest.mark.parametrize("key", ["protein", "total_fat", "calcium", "potassium", "total_carbohydrate", "vitamin_d"])
def test_the_rest_is_kept_whole(key: str) -> None:
    for how in ("simmer", "bake", "brown"):
        assert share("milk", key, how) == pytest.approx(1.0)


def test_heating_twice_counts_twice() -> None:
    once = {"cook": {"loses": "0 %"}}
    batch = brew({"pot": [{"add": {"milk": "1 kg"}}, once, {"reduce": {"to": "60 %"}}]})
    # SR28 01077: 0.046 mg of thiamin in 100 g.
    assert amount(batch, "thiamin") == pytest.approx(0.46 * 0.90 * 0.90)


def test_milk_heated_lies_within_the_published_range() -> None:
    # USDA retention factors for milk heated, release 6 (2007), from memory: most 90 to 100 %, vitamin C 75 to 90,
    # thiamin 85 to 95 %.
    for vitamin, share_kept in zip(vitamins(), kept("dairy"), strict=True):
        low, high = {"vitamin_c": (0.75, 0.90), "thiamin": (0.85, 0.95)}.get(vitamin, (0.90, 1.0))
        assert low <= share_kept <= high, vitamin


def test_every_group_has_every_way_of_heating_and_no_gentler_one_loses_more() -> None:
    rows = resources.table("kitchen", "vitamin_retention.csv")
    groups = {row["class"] for row in rows}
    assert {(row["class"], row["how"]) for row in rows} == {(g, h) for g in groups for h in ("simmer", "bake", "brown")}
    assert len(rows) == 3 * len(groups)
    assert groups - {"*"} <= set(CLASSES)
    assert all(row["after"] for row in rows)
    for row in rows:
        assert all(50 <= float(row[vitamin]) <= 100 for vitamin in vitamins()), row
    for kind in CLASSES:
        # vitamin C, which heat takes first, falls from simmering to baking to browning
        c = [kept(kind, how)[0] for how in ("simmer", "bake", "brown")]
        assert c == sorted(c, reverse=True), kind


def test_no_such_way_of_heating() -> None:
    with pytest.raises(KeyError):
        kept("dairy", "flambé")


def _piece(water: float, fat: float, solubles: float, insolubles: float, share: float) -> Pot:
    tag = Tag("x", frozenset({"x"}), "liquid")
    mass = np.array([[[water, 0.0, fat, solubles, insolubles]]])
    return replace(
        Pot.empty(1, len(vitamins())),
        tags=(tag,),
        mass=mass,
        ledgers=np.zeros((1, 1, 4)),
        kept=np.full((1, 1, len(vitamins())), share),
    )


@pytest.mark.parametrize(
    ("one", "other", "carrying"),
    [
        # Vitamin C is dissolved: 10 g of solubles fresh beside 10 g that kept half is three quarters, however much
        # water stands by; a syrup and what it was boiled from are such a pair.
        ((90.0, 0.0, 10.0, 0.0), (0.0, 0.0, 10.0, 0.0), 0.75),
        ((90.0, 5.0, 10.0, 1.0), (0.0, 0.0, 30.0, 0.0), (10.0 + 15.0) / 40.0),
        # Where a food has no solubles at all, its vitamins ride on its insolubles.
        ((50.0, 0.0, 0.0, 10.0), (0.0, 0.0, 0.0, 30.0), 0.625),
    ],
)
def test_a_vitamin_is_neither_won_nor_lost_when_pieces_become_one(
    one: tuple[float, ...], other: tuple[float, ...], carrying: float
) -> None:
    joined = _piece(*one, 1.0).joined(_piece(*other, 0.5))
    assert len(joined.tags) == 1
    assert joined.kept[0, 0, vitamins().index("vitamin_c")] == pytest.approx(carrying)
