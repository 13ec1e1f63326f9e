"""Calories. Source: 21 CFR 101.9(c)(1)(i)(B), (C), (F); allulose: FDA guidance 2020; alcohol 7 kcal/g is custom."""

from __future__ import annotations

import math

import pytest

from nutrition.composition import Composition
from nutrition.law.us import calories

from .builders import holds


def test_method_b_by_hand() -> None:
    # 4 x 4 + 4 x 24 + 9 x 14 = 16 + 96 + 126
    food = holds(100, protein=4, total_carbohydrate=24, total_fat=14)
    found = calories.of(food)
    assert (found.low, found.value, found.high) == (238.0, 238.0, 238.0)
    assert found.rule == "21 CFR 101.9(c)(1)(i)(B)"
    assert "alcohol" not in found.text


def test_alcohol_at_seven_is_added_and_said_to_be_custom() -> None:
    found = calories.of(holds(100, total_fat=10, alcohol=2))
    assert found.value == 104.0
    assert "custom, not by the paragraph" in found.text


def test_method_c_takes_fiber_out() -> None:
    food = holds(100, total_carbohydrate=30, dietary_fiber=10)
    assert calories.of(food, "B").value == 120.0
    assert calories.of(food, "C", soluble_fiber_g=4.0).value == 80 + 8
    unsure = calories.of(food, "C")
    assert (unsure.low, unsure.value, unsure.high) == (80.0, None, 100.0)
    assert calories.of(holds(100, total_carbohydrate=30), "C").value == 120.0


def test_sugar_alcohols_and_allulose() -> None:
    food = holds(100, total_carbohydrate=40)
    # 40 less 10 erythritol and 5 maltitol at 4, erythritol 0, maltitol 2.1
    assert calories.of(food, "C", sugar_alcohols={"erythritol": 10, "maltitol": 5}).value == pytest.approx(110.5)
    # 10 g of allulose: 30 x 4 + 10 x 0.4
    assert calories.of(food, "B", allulose_g=10).value == pytest.approx(124.0)
    with pytest.raises(KeyError):
        calories.of(food, "C", sugar_alcohols={"sand": 1})


def test_methods_are_never_mixed() -> None:
    with pytest.raises(ValueError, match="B and C"):
        calories.of(holds(100), "B+C")
    with pytest.raises(ValueError, match="negative"):
        calories.of(holds(100), allulose_g=-1)


def test_bounds_follow_from_bounds() -> None:
    food = holds(100, protein=(2.0, 3.0, 4.0), total_fat=(9.5, 10.0, 10.5))
    found = calories.of(food)
    assert (found.low, found.value, found.high) == (93.5, 102.0, 110.5)


def test_an_unknown_amount_leaves_no_value() -> None:
    found = calories.of(Composition.of(100, {"total_fat": 10.0}))
    assert found.value is None
    assert found.low == 90.0
    assert found.high <= 900.0
    assert math.isfinite(found.high)


@pytest.mark.parametrize("method", ["B", "C"])
@pytest.mark.parametrize("key", ["protein", "total_fat", "total_carbohydrate", "alcohol"])
def test_each_unknown_part_leaves_no_value(key: str, method: str) -> None:
    found = calories.of(holds(100, {"protein": 3.0} | {key: (0.0, math.nan, 5.0)}), method)
    assert found.value is None
    assert found.high > found.low


def test_unknown_fiber_leaves_no_value_in_method_c() -> None:
    food = holds(100, total_carbohydrate=10.0, dietary_fiber=(0.0, math.nan, 5.0))
    assert calories.of(food, "C").value is None
    assert calories.of(food, "B").value == 40.0


def test_factors_of_sugar_alcohols() -> None:
    assert calories.factors("F") == {
        "isomalt": 2.0, "lactitol": 2.0, "xylitol": 2.4, "maltitol": 2.1, "sorbitol": 2.6,
        "hydrogenated starch hydrolysate": 3.0, "mannitol": 1.6, "erythritol": 0.0,
    }  # fmt: skip
