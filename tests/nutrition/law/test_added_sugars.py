"""Added sugars. Source: 21 CFR 101.9(c)(6)(iii), (g)(10), 101.30(h)(1); FDA questions and answers on concentrated juice."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.shop.models import CLASSES
from nutrition.composition import Composition
from nutrition.law.us import added_sugars
from nutrition.law.us.tables import rows
from nutrition.product import Component

from .builders import holds, part, product


@pytest.mark.parametrize("kind", ["dairy", "fruit", "juice", "vegetable", "nut", "egg", "egg yolk", "meat", "salt"])
def test_the_foods_own_sugars_are_not_added(kind: str) -> None:
    assert added_sugars.for_class(kind, holds(100, total_sugars=1.5)) == (0.0, 0.0, 0.0)


def test_all_sugars_of_a_sweetener_are_added() -> None:
    assert added_sugars.for_class("sweetener", holds(100, total_sugars=82.1)) == (82.1, 82.1, 82.1)
    low, value, high = added_sugars.for_class("sweetener", holds(100, total_sugars=(60.0, math.nan, 80.0)))
    assert (low, high) == (60.0, 80.0)
    assert math.isnan(value)


@pytest.mark.parametrize("kind", ["chocolate", "other", "spirit", "grain", "flavouring"])
def test_compound_goods_must_say(kind: str) -> None:
    low, value, high = added_sugars.for_class(kind, holds(100, total_sugars=48.0))
    assert (low, high) == (0.0, 48.0)
    assert math.isnan(value)
    assert added_sugars.for_class(kind, holds(100, total_sugars=48.0), 0.4) == (40.0, 40.0, 40.0)
    assert added_sugars.for_class(kind, holds(100)) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("kind", "sugars", "name"),
    [
        ("dairy", 54.4, "sweetened condensed milk"),
        ("dairy", 98.0, "milk"),  # more than any plain dairy has: isolated lactose
        ("egg yolk", 10.0, "yolks"),  # sugared
        ("fruit", 60.0, "candied orange peel"),
        ("juice", 40.0, "apple juice concentrate"),
    ],
)
def test_a_name_or_too_much_sugar_shows_that_the_class_does_not_answer(kind: str, sugars: float, name: str) -> None:
    low, value, high = added_sugars.for_class(kind, holds(100, total_sugars=sugars), None, [name])
    assert (low, high) == (0.0, sugars)
    assert math.isnan(value)


def test_unsweetened_is_no_sweetener() -> None:
    assert added_sugars.for_class("coffee or tea", holds(100, total_sugars=2.0), None, ["unsweetened tea"])[2] == 0.0


def test_a_statement_cannot_pass_the_sugars() -> None:
    with pytest.raises(ValueError, match="at most 48 g"):
        added_sugars.for_class("chocolate", holds(100, total_sugars=48.0), 0.6)
    assert added_sugars.for_class("chocolate", holds(100, total_sugars=48.0), 0.485) == (48.0, 48.0, 48.0)
    with pytest.raises(ValueError, match="share"):
        added_sugars.for_class("chocolate", holds(100, total_sugars=48.0), 44.0)


def test_every_class_of_the_shop_has_its_rule() -> None:
    assert {row["class"] for row in rows("added_sugars_classes.csv")} == set(CLASSES)


def test_juice_excess_by_the_finished_food() -> None:
    # FDA's method: at 60 % water and 11.5 Brix, 60 x 11.5 / 88.5 = 7.8 g in 100 g are free
    assert added_sugars.juice_excess(20.0, 60.0, 11.5) == pytest.approx(20 - 7.7966, abs=1e-4)
    assert added_sugars.juice_excess(7.79, 60.0, 11.5) == 0.0


def test_juice_excess_by_volume() -> None:
    # 12 Brix to half its weight: 0.5 x 1.0466 / 1.0994 = 47.6 % of the volume, so 52 % are added
    assert added_sugars.juice_excess_by_volume(100.0, 12.0, 0.5) == pytest.approx(52.4, abs=0.05)
    assert added_sugars.juice_excess_by_volume(100.0, 12.0, 1.0) == 0.0
    for sugars in (-1.0, math.nan):
        with pytest.raises(ValueError, match="sugars"):
            added_sugars.juice_excess_by_volume(sugars, 12.0, 0.5)
    with pytest.raises(ValueError, match="Brix"):
        added_sugars.juice_excess_by_volume(100.0, 12.0, 1.1)
    with pytest.raises(ValueError, match="density"):
        added_sugars.juice_excess_by_volume(100.0, 20.0, 0.1)


@pytest.mark.parametrize(
    ("sugars", "water", "brix"), [(-1, 1, 10), (1, -1, 10), (1, 1, 0), (1, 1, 100), (math.nan, 1, 9)]
)
def test_juices_that_cannot_be_are_refused(sugars: float, water: float, brix: float) -> None:
    with pytest.raises(ValueError, match=r"negative|Brix"):
        added_sugars.juice_excess(sugars, water, brix)


@given(st.floats(0, 500), st.floats(0, 500), st.floats(1, 60))
def test_excess_is_never_more_than_the_sugars(sugars: float, water: float, brix: float) -> None:
    assert 0.0 <= added_sugars.juice_excess(sugars, water, brix) <= sugars + 1e-9


@pytest.mark.parametrize(
    ("fruit", "brix"),
    # 21 CFR 101.30(h)(1)
    [("apple", 11.5), ("pear", 12.0), ("sour cherry", 14.0), ("sweet cherry", 20.0), ("plum", 14.3), ("quince", 13.3)],
)
def test_single_strength(fruit: str, brix: float) -> None:
    assert added_sugars.single_strength(f"{fruit} juice") == brix


def _reduced(**more: Any) -> Component:
    return part(
        "quince", "fruit", 60.0, {"water": 34.0, "total_carbohydrate": 26.0, "total_sugars": 26.0},
        concentrated=True, single_strength_brix=13.3, added_g=90.0, present_g=60.0, boiled_g=30.0, **more,
    )  # fmt: skip


def test_a_product_with_concentrated_juice_by_hand() -> None:
    water = part("water", "water", 66.0, {"water": 66.0})
    sugar = part("sugar", "sweetener", 20.0, {"total_carbohydrate": 20.0, "total_sugars": 20.0, "added_sugars": 20.0})
    found = added_sugars.of(product(_reduced(), water, sugar))
    # 26 g of juice sugars; 100 g of water free 100 x 13.3 / 86.7 = 15.3403 g; 20 g from the sugar
    assert found.value == pytest.approx(20 + 26 - 15.3403, abs=1e-4)
    assert found.low == pytest.approx(found.high)
    assert any("13.3 Brix" in line for line in found.record)
    assert any("two years" in line for line in found.record)


def test_two_juices_share_the_water() -> None:
    found = added_sugars.of(product(_reduced(), _reduced(ingredient="more")))
    # together 52 g of sugars beside 68 g of water: 52 - 68 x 13.3 / 86.7
    assert found.value == pytest.approx(52 - 68 * 13.3 / 86.7, abs=1e-6)


def test_without_a_brix_the_least_of_the_fruit_stands_in() -> None:
    stated, by_name = _reduced(), dataclasses.replace(_reduced(), single_strength_brix=None, ingredient="ripe quinces")
    assert added_sugars.of(product(by_name)).value == added_sugars.of(product(stated)).value
    absurd = dataclasses.replace(_reduced(), single_strength_brix=0.0)
    assert added_sugars.of(product(absurd)).value == added_sugars.of(product(stated)).value


def test_the_conservative_method_says_what_it_cannot_tell() -> None:
    found = added_sugars.of(product(_no_brix()), "juice volume")
    assert (found.low, found.value, found.high) == (0.0, None, 26.0)
    boiled_dry = dataclasses.replace(_reduced(), added_g=30.0, boiled_g=30.0)
    assert added_sugars.of(product(boiled_dry), "juice volume").value is None
    thick = dataclasses.replace(_reduced(), added_g=100.0, boiled_g=95.0)  # beyond the density table
    assert added_sugars.of(product(thick), "juice volume").value is None


def test_unknown_water_leaves_no_value() -> None:
    water = part("mystery", "other", 66.0, {"water": (0.0, math.nan, 66.0)})
    found = added_sugars.of(product(_reduced(), water))
    assert found.value is None
    # 34 g of water free 5.2157 g, 100 g free 15.3403 g
    assert found.low == pytest.approx(26 - 15.3403, abs=1e-4)
    assert found.high == pytest.approx(26 - 5.2157, abs=1e-4)


def test_unknown_sugars_leave_no_value() -> None:
    fruit = part("quince", "fruit", 60.0, {"total_sugars": (20.0, math.nan, 26.0)}, concentrated=True)
    found = added_sugars.of(product(fruit, part("water", "water", 10.0, {"water": 10.0})))
    assert found.value is None
    assert 0 < found.low < found.high <= 26.0


def test_without_brix_nobody_knows() -> None:
    found = added_sugars.of(product(_no_brix()))
    assert (found.low, found.value) == (0.0, None)
    assert found.high == pytest.approx(26.0)


def _no_brix() -> Component:
    return part(
        "medlar", "fruit", 60.0, {"water": 34.0, "total_carbohydrate": 26.0, "total_sugars": 26.0}, concentrated=True
    )  # fmt: skip


def test_the_conservative_method_on_a_product() -> None:
    fractions = (0.88, 0.0, 0.0, 0.12, 0.0)
    juice = part(
        "pear juice", "juice", 50.0, {"water": 38.0, "total_carbohydrate": 12.0, "total_sugars": 12.0},
        concentrated=True, single_strength_brix=12.0, added_g=100.0, present_g=50.0, boiled_g=50.0,
        as_added_fractions=fractions,
    )  # fmt: skip
    found = added_sugars.of(product(juice), "juice volume")
    assert found.value == pytest.approx(12 * 0.524, abs=0.01)
    assert any("conservative" in line for line in found.record)


def test_sugar_that_was_added_to_the_syrup_is_not_counted_twice() -> None:
    syrup = part(
        "sweet liquor", "fruit", 60.0,
        {"water": 20.0, "total_carbohydrate": 40.0, "total_sugars": 40.0, "added_sugars": 30.0},
        concentrated=True, single_strength_brix=13.3,
    )  # fmt: skip
    found = added_sugars.of(product(syrup))
    assert found.value == pytest.approx(30 + 10 - 20 * 13.3 / 86.7)
    assert found.high <= 40.0


def test_an_unknown_share_of_no_sugars_is_none() -> None:
    # Nobody knows the water, so nobody knows what share of the juice's sugars is added; there are none to share.
    some = Composition.of(1.0, {"total_carbohydrate": 0.0, "total_sugars": 0.0, "added_sugars": 0.0})
    juice = replace(part("apple juice", "juice", 1.0, concentrated=True), composition=some)
    found = added_sugars.of(product(juice))
    assert (found.low, found.value, found.high) == (0.0, 0.0, 0.0)
