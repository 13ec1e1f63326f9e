"""Every row and every boundary of the rounding table.

Source beside every outside figure: FDA Food Labeling Guide, Appendix H (rounding); 21 CFR 101.9(c)(1) to (c)(8); FDA
guidance on rounding vitamins and minerals, December 2019.
"""

from __future__ import annotations

import math
import random
from datetime import date
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutrition.law.us import daily_values, rounding
from nutrition.law.us.rounding import declare, interval

KEYS = sorted(rounding.lines())
AMOUNTS = st.one_of(
    st.floats(min_value=0, max_value=20_000, allow_nan=False),
    st.integers(min_value=0, max_value=40_000).map(lambda n: n / 20),
)

ENERGY = [  # 101.9(c)(1)
    (0, "0"),
    (4.999999999, "0"),
    (5, "5"),
    (7.4, "5"),
    (7.5, "10"),
    (47.5, "50"),
    (50, "50"),
    (50.0000001, "50"),
    (54.999, "50"),
    (55, "60"),
    (254.9, "250"),
    (255, "260"),
    (1234, "1230"),
]
FAT = [  # 101.9(c)(2): below 0.5 g it shall be zero
    (0, "0g"),
    (0.499999999, "0g"),
    (0.5, "0.5g"),
    (0.74, "0.5g"),
    (0.75, "1g"),
    (1.25, "1.5g"),
    (4.74, "4.5g"),
    (4.75, "5g"),
    (4.999, "5g"),
    (5, "5g"),
    (5.49, "5g"),
    (5.5, "6g"),
    (16.5, "17g"),
]
CHOLESTEROL = [  # 101.9(c)(3)
    (0, "0mg"),
    (1.999999999, "0mg"),
    (2, "less than 5mg"),
    (4.999, "less than 5mg"),
    (5, "5mg"),
    (7.49, "5mg"),
    (7.5, "10mg"),
    (52.4, "50mg"),
    (52.5, "55mg"),
]
SODIUM = [  # 101.9(c)(4)
    (0, "0mg"),
    (4.99, "0mg"),
    (5, "5mg"),
    (7.5, "10mg"),
    (137.4, "135mg"),
    (137.5, "140mg"),
    (140, "140mg"),
    (140.0000001, "140mg"),
    (142, "140mg"),
    (144.99, "140mg"),
    (145, "150mg"),
]
GRAM = [  # 101.9(c)(6), (7)
    (0, "0g"),
    (0.499999999, "0g"),
    (0.5, "less than 1g"),
    (0.999, "less than 1g"),
    (1, "1g"),
    (1.49, "1g"),
    (1.5, "2g"),
    (24.5, "25g"),
]
VITAMINS = [  # FDA guidance, December 2019: RDI below 25 to 0.1, below 250 to 1, from 250 to 10
    ("vitamin_d", 0.04, "0mcg"),
    ("vitamin_d", 0.05, "0.1mcg"),
    ("vitamin_d", 0.15, "0.2mcg"),
    ("vitamin_d", 2.0, "2mcg"),
    ("iron", 0.35, "0.4mg"),
    ("iron", 1.149, "1.1mg"),
    ("thiamin", 0.25, "0.3mg"),
    ("biotin", 2.5, "3mcg"),
    ("vitamin_c", 0.49, "0mg"),
    ("vitamin_c", 0.5, "1mg"),
    ("vitamin_k", 119.5, "120mcg"),
    ("iodine", 74.5, "75mcg"),
    ("calcium", 4.99, "0mg"),
    ("calcium", 5, "10mg"),
    ("calcium", 145, "150mg"),
    ("potassium", 235, "240mg"),
    ("folate", 95, "100mcg DFE"),
    ("choline", 14.99, "10mg"),
    ("magnesium", 25, "30mg"),
]


@pytest.mark.parametrize(("amount", "text"), ENERGY)
def test_calories(amount: float, text: str) -> None:
    assert declare("energy", amount).text == text


@pytest.mark.parametrize(
    "key", ["total_fat", "saturated_fat", "trans_fat", "polyunsaturated_fat", "monounsaturated_fat"]
)
@pytest.mark.parametrize(("amount", "text"), FAT)
def test_fats(key: str, amount: float, text: str) -> None:
    assert declare(key, amount).text == text


@pytest.mark.parametrize(("amount", "text"), CHOLESTEROL)
def test_cholesterol(amount: float, text: str) -> None:
    assert declare("cholesterol", amount).text == text


@pytest.mark.parametrize(("amount", "text"), SODIUM)
def test_sodium(amount: float, text: str) -> None:
    assert declare("sodium", amount).text == text


@pytest.mark.parametrize(
    "key", ["total_carbohydrate", "dietary_fiber", "total_sugars", "added_sugars", "sugar_alcohol", "protein"]
)
@pytest.mark.parametrize(("amount", "text"), GRAM)
def test_grams(key: str, amount: float, text: str) -> None:
    assert declare(key, amount).text == text


@pytest.mark.parametrize(("key", "amount", "text"), VITAMINS)
def test_vitamins_and_minerals(key: str, amount: float, text: str) -> None:
    assert declare(key, amount).text == text


def test_answer_carries_its_rule_and_where_it_came_from() -> None:
    found = declare("sodium", 142.0)
    assert (found.value, found.unrounded, found.less_than) == (140.0, 142.0, False)
    assert found.rule == "21 CFR 101.9(c)(4)"
    assert declare("cholesterol", 3.0).less_than
    assert declare("cholesterol", 3.0).value == 5.0


@pytest.mark.parametrize("key", ["total_fat", "sodium", "vitamin_d", "energy"])
@pytest.mark.parametrize("amount", [-0.1, -1e-8, math.nan, math.inf, -math.inf])
def test_what_is_no_amount_is_refused(key: str, amount: float) -> None:
    with pytest.raises(ValueError, match=r"amount"):
        declare(key, amount)


def test_rounding_noise_below_zero_is_zero() -> None:
    assert declare("total_fat", -1e-12).text == "0g"


def test_unknown_line_is_refused() -> None:
    with pytest.raises(KeyError, match="water"):
        declare("water", 1.0)


def test_before_the_law_there_is_no_rule() -> None:
    with pytest.raises(KeyError, match="in force"):
        declare("total_fat", 1.0, on=date(1980, 1, 1))


def test_nine_decimals_first_so_that_halves_go_up() -> None:
    # in floats 1.15 - 1 is 0.1499999999999999
    assert declare("vitamin_d", 1.15 - 1).text == "0.2mcg"
    assert declare("protein", 2.4999999999).text == "3g"
    assert declare("protein", 2.499999999).text == "2g"


def test_numpy_floats_and_large_amounts() -> None:
    assert declare("energy", np.float64(254.9)).text == "250"
    assert declare("sodium", 123_456_785.0).text == "123456790mg"


@given(st.sampled_from(KEYS), AMOUNTS, AMOUNTS)
def test_more_never_prints_less(key: str, one: float, other: float) -> None:
    less, more = sorted((one, other))
    assert declare(key, less).value <= declare(key, more).value


@given(st.sampled_from(KEYS), AMOUNTS)
def test_what_was_printed_prints_the_same_again(key: str, amount: float) -> None:
    found = declare(key, amount)
    if not found.less_than:
        assert declare(key, found.value).text == found.text


def _by_appendix_h(key: str, amount: float) -> Fraction | str:
    """Appendix H written a second time, in plain fractions: the figure, or the words before the unit."""
    exact = Fraction(round(amount * 10**9), 10**9)

    def to(step: Fraction | int) -> Fraction:
        return Fraction(math.floor(exact / step + Fraction(1, 2)) * step)

    group = rounding.lines()[key]["group"]
    if group == "energy":
        return Fraction(0) if exact < 5 else to(5) if exact <= 50 else to(10)
    if group == "fat":
        return Fraction(0) if exact < Fraction(1, 2) else to(Fraction(1, 2)) if exact < 5 else to(1)
    if group == "cholesterol":
        return Fraction(0) if exact < 2 else "less than 5" if exact < 5 else to(5)
    if group == "sodium":
        return Fraction(0) if exact < 5 else to(5) if exact <= 140 else to(10)
    if group == "gram":
        return Fraction(0) if exact < Fraction(1, 2) else "less than 1" if exact < 1 else to(1)
    rdi = daily_values.daily_values()[key].amount
    return to(Fraction(1, 10) if rdi < 25 else 1 if rdi < 250 else 10)


@given(st.sampled_from(KEYS), AMOUNTS)
def test_against_appendix_h_written_a_second_time(key: str, amount: float) -> None:
    expected, found = _by_appendix_h(key, amount), declare(key, amount)
    if isinstance(expected, str):
        assert found.text.startswith(expected)
    else:
        assert not found.less_than
        assert found.value == float(expected)


@given(st.sampled_from(KEYS), AMOUNTS)
def test_interval_is_the_way_back(key: str, amount: float) -> None:
    text = declare(key, amount).text
    low, high = interval(key, text)
    assert low - 1e-9 <= amount <= high + 1e-9
    assert declare(key, low).text == text
    assert declare(key, high - 1e-9).text == text
    assert declare(key, high).text != text
    if low > 0:
        assert declare(key, low - 1e-9).text != text


@pytest.mark.parametrize(
    ("key", "printed", "bounds"),
    [
        ("energy", 0, (0.0, 5.0)),
        ("energy", 50, (47.5, 55.0)),
        ("energy", "60", (55.0, 65.0)),
        ("total_fat", 0, (0.0, 0.5)),
        ("total_fat", 5, (4.75, 5.5)),
        ("trans_fat", "0g", (0.0, 0.5)),
        ("cholesterol", "less than 5mg", (2.0, 5.0)),
        ("cholesterol", 5, (5.0, 7.5)),
        ("sodium", 140, (137.5, 145.0)),
        ("protein", "Less than 1g", (0.5, 1.0)),
        ("protein", 1, (1.0, 1.5)),
        ("calcium", 130, (125.0, 135.0)),
        ("vitamin_d", "0.1mcg", (0.05, 0.15)),
    ],
)
def test_intervals_by_hand(key: str, printed: float | str, bounds: tuple[float, float]) -> None:
    assert interval(key, printed) == bounds


def test_vitamins_may_be_printed_finer() -> None:
    assert interval("calcium", 45) == (44.5, 45.5)
    assert interval("iron", "0.25mg") == (0.245, 0.255)


@pytest.mark.parametrize(
    ("key", "printed"),
    [("energy", 52), ("energy", 3), ("cholesterol", 3), ("sodium", 145), ("total_fat", 5.5), ("protein", 0.5)],
)
def test_what_no_amount_prints_is_refused(key: str, printed: float) -> None:
    with pytest.raises(ValueError, match="prints"):
        interval(key, printed)


@pytest.mark.parametrize("printed", ["-5", "about 5g", "", "5 oz", "nan", "1e3"])
def test_texts_that_no_label_prints_are_refused(printed: str) -> None:
    with pytest.raises(ValueError, match="printed"):
        interval("protein", printed)


def test_many_amounts_are_fast_enough() -> None:
    """A thousand labels need about 60,000 of these."""
    random.seed(1)
    amounts = [random.uniform(0, 500) for _ in range(1000)]
    assert len({declare("sodium", a).text for a in amounts}) > 40
