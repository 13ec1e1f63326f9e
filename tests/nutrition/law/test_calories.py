"""Calories. Source: 21 CFR 101.9(c)(1)(i)(B), (C), (F); allulose: FDA guidance 2020; alcohol 7 kcal/g is custom."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from nutrition.composition import Composition
from nutrition.foods.table import food
from nutrition.law.us import calories
from nutrition.law.us.labelling import label
from nutrition.law.us.options import Options
from nutrition.product import Component

from .builders import holds, part, product


def test_method_b_by_hand() -> None:
    # 4 x 4 + 4 x 24 + 9 x 14 = 16 + 96 + 126
    some = holds(100, protein=4, total_carbohydrate=24, total_fat=14)
    found = calories.of(some)
    assert (found.low, found.value, found.high) == (238.0, 238.0, 238.0)
    assert found.rule == "21 CFR 101.9(c)(1)(i)(B)"
    assert "alcohol" not in found.text


def test_alcohol_at_seven_is_added_and_said_to_be_custom() -> None:
    found = calories.of(holds(100, total_fat=10, alcohol=2))
    assert found.value == 104.0
    assert "custom, not by the paragraph" in found.text


def test_method_c_takes_fiber_out() -> None:
    some = holds(100, total_carbohydrate=30, dietary_fiber=10)
    assert calories.of(some, "B").value == 120.0
    assert calories.of(some, "C", soluble_fiber_g=4.0).value == 80 + 8
    unsure = calories.of(some, "C")
    assert (unsure.low, unsure.value, unsure.high) == (80.0, None, 100.0)
    assert calories.of(holds(100, total_carbohydrate=30), "C").value == 120.0


def test_sugar_alcohols_and_allulose() -> None:
    some = holds(100, total_carbohydrate=40)
    # 40 less 10 erythritol and 5 maltitol at 4, erythritol 0, maltitol 2.1
    assert calories.of(some, "C", sugar_alcohols={"erythritol": 10, "maltitol": 5}).value == pytest.approx(110.5)
    # 10 g of allulose: 30 x 4 + 10 x 0.4
    assert calories.of(some, "B", allulose_g=10).value == pytest.approx(124.0)
    with pytest.raises(KeyError):
        calories.of(some, "C", sugar_alcohols={"sand": 1})


def test_methods_are_never_mixed() -> None:
    with pytest.raises(ValueError, match="B and C"):
        calories.of(holds(100), "B+C")
    with pytest.raises(ValueError, match="negative"):
        calories.of(holds(100), allulose_g=-1)


def test_bounds_follow_from_bounds() -> None:
    some = holds(100, protein=(2.0, 3.0, 4.0), total_fat=(9.5, 10.0, 10.5))
    found = calories.of(some)
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
    some = holds(100, total_carbohydrate=10.0, dietary_fiber=(0.0, math.nan, 5.0))
    assert calories.of(some, "C").value is None
    assert calories.of(some, "B").value == 40.0


def test_factors_of_sugar_alcohols() -> None:
    assert calories.factors("F") == {
        "isomalt": 2.0, "lactitol": 2.0, "xylitol": 2.4, "maltitol": 2.1, "sorbitol": 2.6,
        "hydrogenated starch hydrolysate": 3.0, "mannitol": 1.6, "erythritol": 0.0,
    }  # fmt: skip


# Specific factors, sugar alcohols and allulose of a whole food ---------------------------------------------------------


def of_usda(ndb: str, grams: float, **more: Any) -> Component:
    record = food(ndb)
    return replace(
        part(record.name, "other", grams, **more),
        composition=record.composition * (grams / 100),
        factors={**record.factors},
    )


@pytest.mark.parametrize(
    ("ndb", "kcal"),
    [
        ("01053", 340),  # cream: SR28 prints 340 kcal with factors 4.27, 8.79, 3.87
        ("01077", 61),  # whole milk
        ("19335", 387),  # sugar
        ("01123", 143),  # whole egg
        ("09279", 46),  # plums
    ],
)
def test_specific_factors_give_back_usda(ndb: str, kcal: float) -> None:
    """Outside: energy as USDA SR28 prints it, by the factors that it prints beside it."""
    found = calories.of_component(of_usda(ndb, 100), "A")
    assert found.value == pytest.approx(kcal, rel=0.01)
    assert found.method == "A"


def test_a_missing_factor_is_a_width_and_named() -> None:
    cream, odd = of_usda("01053", 90), part("odd", "other", 10.0, {"protein": 5.0, "total_fat": 2.0})
    made = product(cream, odd)
    found = calories.of_product(made, "A")
    assert found.value is None
    assert found.high - found.low == pytest.approx(5 * 4.36 + 2 * 9.02)
    assert calories.without_factors(made) == ("odd",)
    printed = label(made, options=Options(calories="A"))
    energy = printed.nutrients[0]
    assert (energy.declared["serving"], energy.unknown_from) == ("", ("odd",))
    assert any("specific factors want those of odd" in note.what for note in printed.notes)
    assert calories.without_factors(product(cream, replace(odd, factors={"protein": 4.0, "fat": 9.0}))) == ()


def test_methods_of_a_whole_food_by_hand() -> None:
    # 100 g: 10 g erythritol, 5 g xylitol, 6 g fiber of which 4 soluble, 8 g allulose, in 60 g of carbohydrate.
    sweet = part(
        "mix", "sweetener", 100.0, {"total_carbohydrate": 60.0, "dietary_fiber": 6.0, "protein": 2.0, "total_fat": 3.0},
        sugar_alcohols={"erythritol": 10.0, "xylitol": 5.0}, allulose_g=8.0, soluble_fiber_g=4.0,
        factors={"protein": 4.0, "fat": 9.0, "carbohydrate": 3.9},
    )  # fmt: skip
    made = product(sweet)
    by_b = 4 * 2 + 9 * 3 + 4 * (60 - 8) + 0.4 * 8
    by_c = 4 * 2 + 9 * 3 + 4 * (60 - 6 - 15 - 8) + 2 * 4 + 0 * 10 + 2.4 * 5 + 0.4 * 8
    by_a = 4 * 2 + 9 * 3 + 3.9 * (60 - 8) + 0.4 * 8
    assert calories.of_product(made, "B").value == pytest.approx(by_b)
    assert calories.of_product(made, "C").value == pytest.approx(by_c)
    assert calories.of_product(made, "A").value == pytest.approx(by_a)
    assert "erythritol 0 kcal a gram, (F); xylitol 2.4" in calories.of_product(made, "C").text
    assert "allulose 0.4" in calories.of_product(made, "B").text
    found = label(made, options=Options(calories="C", further=("sugar_alcohol",)))
    line = next(one for one in found.nutrients if one.key == "sugar_alcohol")
    assert (line.per_container, line.declared["container"], line.rule) == (15.0, "15g", "21 CFR 101.9(c)(6)(iv)")
    assert found.calorie_key == "C"


def test_an_unknown_method_is_refused() -> None:
    with pytest.raises(ValueError, match="no method 'D'"):
        calories.of_product(product(part("x", "other", 10.0)), "D")
