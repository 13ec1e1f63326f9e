"""Values printed on a US label are the interval that prints so: by the rounding law itself, both ways."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutrition.foods import spec
from nutrition.foods.spec_values import FREE, amount, parts
from nutrition.law.us import daily_values, rounding
from nutrition.nutrients import keys, nutrient

KEYS = tuple(key for key in rounding.lines() if key in keys())
STEP = 1e-9
"""Amounts are rounded to nine decimals before the law rounds them."""


def printed(key: str, value: float) -> str:
    """What a label prints, as a spec sheet would write it."""
    said = rounding.declare(key, value)
    return f"{'less than ' if said.less_than else ''}{said.value:.9g} {nutrient(key).unit}"


def text(key: str, value: float) -> str:
    return rounding.declare(key, value).text


def free(key: str) -> float:
    """Below this a vitamin or mineral may be printed as 0, 21 CFR 101.9(c)(8)(iii)."""
    daily = daily_values.daily_values().get(key)
    return FREE * daily.amount if daily is not None and daily.kind == "RDI" else 0.0


@given(st.sampled_from(KEYS), st.floats(0, 2000), st.floats(0, 1))
@settings(max_examples=300, deadline=None)
def test_everything_in_the_interval_prints_so_and_nothing_beside_it(key: str, value: float, part: float) -> None:
    wanted = text(key, value)
    low, middle, high = amount(key, printed(key, value), rounded=True)
    assert low - STEP / 2 <= value <= high + STEP / 2
    assert low <= middle <= high
    if wanted.startswith("0") and rounding.declare(key, value).value == 0 and free(key):
        assert high == pytest.approx(max(free(key), rounding.interval(key, 0)[1]), abs=2 * STEP)
        return
    for inside in (low, high, low + part * (high - low)):
        assert text(key, inside) == wanted
    assert text(key, high + STEP) != wanted
    assert low == 0 or text(key, low - STEP) != wanted


@given(st.sampled_from(["total_fat", "sodium", "cholesterol", "energy"]), st.floats(0, 300), st.integers(10, 4000))
@settings(max_examples=100, deadline=None)
def test_the_interval_survives_the_way_to_100_g_and_back(key: str, value: float, tenths: int) -> None:
    """A product that is nothing but this ingredient, in the supplier's own serving, prints the supplier's text."""
    serving = tenths / 10
    if key != "energy" and value * {"g": 1.0, "mg": 1e-3}[nutrient(key).unit] > serving:
        return
    if key == "energy" and value > 9 * serving:
        return
    sheet = {
        "source": "made up",
        "per": f"{serving!r} g serving",
        "rounded": "yes",
        "values": {key: printed(key, value)},
    }
    record, problems = spec.record("x", sheet)
    if problems:  # the figure of a very small serving may be more than the serving weighs
        assert "in 100 g" in problems[0][1]
        return
    assert record is not None
    low, high = record.composition.bounds(key)
    assert {text(key, bound * serving / 100) for bound in (low, high)} == {text(key, value)}


def test_a_text_that_no_label_prints() -> None:
    for key, said in (
        ("total_fat", "5.3 g"),
        ("sodium", "143 mg"),
        ("energy", "52 kcal"),
        ("trans_fat", "less than 0.5 g"),
    ):
        with pytest.raises(ValueError, match="no US label prints"):
            amount(key, said, rounded=True)


@pytest.mark.parametrize(
    ("entry", "value", "part"),
    [
        ("per", "30 g serving and 100 g", "not one weight"),
        ("per", "0 g serving", "not one weight"),
        ("per", "-30 g", "not one weight"),
        ("per serving", "30 g", "no key 'per serving'"),
        ("made of", {"cream": "60 %", "sugar": "50 %"}, "pass 100 %"),
        ("made of", [["deep"]], "must be names"),
        ("made of", ["cream", "cream"], "twice"),
        ("made of", {"cream": "lots"}, "not a share"),
    ],
)
def test_bad_sheets(entry: str, value: object, part: str) -> None:
    sheet = {"source": "made up", "per": "100 g", "values": {"protein": "1 g"}}
    record, problems = spec.record("x", {**sheet, entry: value})
    assert record is None
    assert any(part in what for _, what, _ in problems), problems


def test_what_a_food_is_made_of() -> None:
    assert parts("cream") == (("cream", None),)
    assert parts({"cream": "99.9 %", "gellan gum": ""}) == (("cream", pytest.approx(0.999)), ("gellan gum", None))
    record, _ = spec.record(
        "x", {"source": "made up", "per": "100 g", "values": {"protein": "1 g"}, "made of": ["cream", "salt"]}
    )
    assert record is not None
    assert record.made_of == (("cream", None), ("salt", None))
