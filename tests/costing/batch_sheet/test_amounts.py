"""Amounts on the batch sheet: rounded for a scale, in fractions for a cup, on both temperature scales."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing import digits, units
from costing.batch_sheet import amounts


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (50.0, "50 g"),
        (50.5, "51 g"),
        (49.95, "50 g"),
        (49.94, "49.9 g"),
        (4.0, "4.0 g"),
        (0.15, "0.2 g"),
        (0.06, "0.06 g"),
        (0.0034, "0.003 g"),
        (0.0, "0 g"),
        (15326.4, "15,326 g"),
    ],
)
def test_grams_are_whole_from_50_and_tenths_below_and_never_vanish(value: float, shown: str) -> None:
    assert amounts.grams(value, "en_US") == shown


@given(st.floats(0.001, 1e6))
def test_what_is_shown_in_grams_is_as_near_as_the_scale(value: float) -> None:
    shown = float(amounts.grams(value, "en_US").removesuffix(" g").replace(",", ""))
    assert abs(shown - value) <= max(0.5 if value >= 49.9 else 0.05, 1e-6) + 1e-9
    assert shown > 0


@pytest.mark.parametrize(
    ("written", "size", "shown"),
    [
        ("2 qt", 2.67, "5 1/3 qt"),
        ("2 qt", 1.0, "2 qt"),
        ("1 1/3 cups", 0.5, "2/3 cup"),
        ("1 1/2 gal", 3.0, "4 1/2 gal"),
        ("1 gal", 1.4055, "5 5/8 qt"),
        ("1/4 cup", 0.25, "1 tbsp"),
        ("2 tbsp", 1 / 3, "2/3 tbsp"),
        ("1 L", 2.67, "2.67 L"),
        ("900 mL", 2.67, "2,403 mL"),
        ("2 lb 4 oz", 2.0, "4 1/2 lb"),
        ("350 g", 3.0, ""),
        ("1.6 kg", 3.0, ""),
        ("1 to 2 cups", 2.0, "2 to 4 cups"),
        ("24 each", 3.0, "72 each"),
        ("1 cup chopped", 2.0, "2 cups, chopped"),
        ("0.12 % of pot", 3.0, "0.12 % of pot"),
        ("up to 2.1 kg", 2.0, "up to 4,200 g"),
        ("all", 2.0, "all of it"),
        ("1 pinch", 3.0, "3 pinches"),
    ],
)
def test_the_cooks_measures_grow_with_the_batch(written: str, size: float, shown: str) -> None:
    assert amounts.measure(units.amount(written), size, "en_US") == shown


@given(st.floats(0.05, 200))
def test_a_fraction_stands_only_for_what_it_nearly_is(value: float) -> None:
    text = amounts.quantity(value, "en_US").replace(",", "")
    shown = float(digits.number(text))
    assert shown == pytest.approx(value, rel=0.011, abs=0.0051)


def test_temperatures_are_rounded_to_the_strict_side() -> None:
    # 175 F is 79.44 C: a cook who goes by 79 C would not reach it (21 CFR 135.3 asks for 175 F).
    assert amounts.temperature(units.temperature("175 F"), "en_US", "up") == "175 °F (80 °C)"
    # 40 F is 4.44 C: a cook who goes by 5 C would stop too early.
    assert amounts.temperature(units.temperature("40 F"), "en_US", "down") == "40 °F (4 °C)"
    assert amounts.temperature(units.temperature("72.5 C"), "de_DE", "up") == "72,5 °C (162,5 °F)"
    assert amounts.temperature(units.temperature("38 F to 40 F"), "en_US", "down") == "38 to 40 °F (3 to 4 °C)"


def test_volumes_in_a_pot_follow_the_locale() -> None:
    assert amounts.volume(946.352946, "en_US") == "1 qt (946 mL)"
    assert amounts.volume(946.352946, "fr_FR") == "946 mL"
