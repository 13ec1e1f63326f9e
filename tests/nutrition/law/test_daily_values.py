"""Per cents of the daily value. Source: 21 CFR 101.9(c)(8)(iii), (iv), (c)(9), (d)(7)(ii); Appendix H of FDA's guide."""

from __future__ import annotations

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutrition.law.us import rounding
from nutrition.law.us.daily_values import daily_values, percent

# 21 CFR 101.9(c)(8)(iv) and (c)(9), from memory, written down a second time and apart from the table
VALUES = {
    "total_fat": 78, "saturated_fat": 20, "cholesterol": 300, "total_carbohydrate": 275, "sodium": 2300,
    "dietary_fiber": 28, "protein": 50, "added_sugars": 50, "vitamin_d": 20, "calcium": 1300, "iron": 18,
    "potassium": 4700, "vitamin_a": 900, "vitamin_c": 90, "vitamin_e": 15, "vitamin_k": 120, "thiamin": 1.2,
    "riboflavin": 1.3, "niacin": 16, "vitamin_b6": 1.7, "folate": 400, "vitamin_b12": 2.4, "biotin": 30,
    "pantothenic_acid": 5, "phosphorus": 1250, "iodine": 150, "magnesium": 420, "zinc": 11, "selenium": 55,
    "copper": 0.9, "manganese": 2.3, "chromium": 35, "molybdenum": 45, "chloride": 2300, "choline": 550,
}  # fmt: skip


def test_every_daily_value() -> None:
    assert {key: value.amount for key, value in daily_values().items()} == VALUES


@pytest.mark.parametrize(
    ("key", "amount", "expected"),
    [
        ("sodium", 142.0, 6),
        ("sodium", 11.49, 0),
        ("sodium", 11.5, 1),  # exactly half a per cent goes up
        ("total_fat", 17.0, 22),
        ("total_fat", 1.17, 2),  # 1.5 %
        ("total_fat", 1.16, 1),
        ("added_sugars", 50.0, 100),
        ("cholesterol", 301.5, 101),
        ("saturated_fat", 0.0, 0),
    ],
)
def test_whole_percents(key: str, amount: float, expected: int) -> None:
    assert percent(key, amount) == expected


@pytest.mark.parametrize(
    ("share", "expected"),
    [
        # Appendix H: below 2 nothing; up to and including 10 nearest 2; up to and including 50 nearest 5; above nearest 10
        (0.0, 0), (1.999, 0), (2.0, 2), (2.99, 2), (3.0, 4), (9.0, 10), (10.0, 10), (10.001, 10), (12.49, 10),
        (12.5, 15), (47.5, 50), (50.0, 50), (50.001, 50), (54.99, 50), (55.0, 60), (104.0, 100), (105.0, 110),
    ],
)  # fmt: skip
def test_steps_of_vitamins_and_minerals(share: float, expected: int) -> None:
    assert percent("calcium", 13.0 * share) == expected
    assert percent("iron", 0.18 * share) == expected


@pytest.mark.parametrize(("share", "expected"), [(0.99, 0), (1.0, 2), (1.99, 2), (2.0, 2), (3.1, 4)])
def test_two_percent_may_stand_from_one(share: float, expected: int) -> None:
    assert percent("calcium", 13.0 * share, below_two="two") == expected


@pytest.mark.parametrize("key", ["energy", "total_sugars", "trans_fat", "protein", "polyunsaturated_fat"])
def test_lines_without_percent(key: str) -> None:
    assert percent(key, 10.0) is None


def test_protein_with_its_quality() -> None:
    assert percent("protein", 10.0, protein_quality=0.5) == 10
    with pytest.raises(ValueError, match="share"):
        percent("protein", 10.0, protein_quality=1.1)


def test_from_the_printed_amount_where_that_makes_a_difference() -> None:
    # 1.74 g prints 1.5 g: 2.23 % and 1.92 %; 4.26 g prints 4.5 g: 5.46 % and 5.77 %
    assert (percent("total_fat", 4.26), percent("total_fat", 4.26, True)) == (5, 6)
    assert (percent("sodium", 142.0), percent("sodium", 142.0, True)) == (6, 6)
    # "less than 1g" has no figure of its own
    assert percent("dietary_fiber", 0.7, True) == percent("dietary_fiber", 0.7) == 3


@pytest.mark.parametrize("amount", [-1.0, math.nan, math.inf])
@pytest.mark.parametrize("key", ["sodium", "calcium", "total_sugars", "protein"])
def test_what_is_no_amount_is_refused(key: str, amount: float) -> None:
    with pytest.raises(ValueError, match="amount"):
        percent(key, amount)


def test_unknown_nutrient_and_day_without_rule() -> None:
    with pytest.raises(KeyError):
        percent("ash", 1.0)
    with pytest.raises(KeyError):
        percent("calcium", 1.0, on=date(1990, 1, 1))


@given(
    st.sampled_from(sorted(set(VALUES) - {"protein"})),
    st.floats(min_value=0, max_value=5000),
    st.floats(min_value=0, max_value=5000),
)
def test_more_is_never_a_smaller_percent(key: str, one: float, other: float) -> None:
    less, more = sorted((one, other))
    first, second = percent(key, less), percent(key, more)
    assert first is not None
    assert second is not None
    assert first <= second


@given(st.sampled_from(["calcium", "iron", "vitamin_d", "potassium"]), st.floats(min_value=0, max_value=5000))
def test_printed_percents_are_those_that_the_law_knows(key: str, amount: float) -> None:
    found = percent(key, amount)
    assert found is not None
    assert found % (2 if found <= 10 else 5 if found <= 50 else 10) == 0


def test_a_line_that_prints_nothing_has_no_per_cent_of_it() -> None:
    # 101.9(d)(7)(ii) lets either amount count; the unrounded one would print "0g" beside 1 or 2 %.
    for key, below in (("dietary_fiber", 0.49), ("saturated_fat", 0.49), ("cholesterol", 1.9), ("added_sugars", 0.49)):
        assert rounding.declare(key, below).value == 0
        assert percent(key, below) == 0, key
    assert percent("cholesterol", 3.0) == 1, '"less than 5mg" is not nothing'
