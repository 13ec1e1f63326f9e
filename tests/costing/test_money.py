"""Money: exact in, halves up out, written as the locale writes it (Unicode CLDR through Babel)."""

from __future__ import annotations

import math
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing import money


@pytest.mark.parametrize(
    "text", ["", "1,50", "1.5 USD", "$3", "1e3", "nan", "inf", "--1", "1.2.3", "9" * 41, "9999999999999"]
)
def test_what_is_no_money_is_refused_with_how_to_write_it(text: str) -> None:
    with pytest.raises(ValueError, match=r"write it|check the number"):
        money.parse(text)


def test_money_is_read_exactly() -> None:
    assert money.parse(" 21.50 ") == Decimal("21.50")
    assert money.parse("-.5") == Decimal("-0.5")
    assert money.parse("0.012345") == Decimal("0.012345")


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (0.125, 2, "0.13"),
        (0.285, 2, "0.29"),
        (1.005, 2, "1.01"),
        (2.675, 2, "2.68"),
        (-0.125, 2, "-0.13"),
        (0.5, 0, "1"),
        (-0.001, 2, "0.00"),
    ],
)
def test_halves_go_up_even_where_binary_fractions_fall_short(value: float, digits: int, text: str) -> None:
    assert str(money.rounded(value, digits)) == text


@given(st.decimals(-(10**6), 10**6, places=4))
def test_rounding_moves_by_half_a_cent_at_most(value: Decimal) -> None:
    assert abs(money.rounded(value) - value) <= Decimal("0.005")
    assert abs(money.rounded(float(value)) - value) <= Decimal("0.005")


def test_what_is_not_finite_is_not_printed() -> None:
    with pytest.raises(ValueError, match="cannot be printed"):
        money.rounded(float("nan"))


@pytest.mark.parametrize(
    ("currency", "locale", "text"),
    [
        ("USD", "en_US", "$1,234.57"),
        ("EUR", "de_DE", "1.234,57\u00a0€"),
        ("EUR", "fr-FR", "1\u202f234,57\u00a0€"),
        ("JPY", "ja_JP", "\uffe51,235"),
        ("GBP", "en_GB", "£1,234.57"),
        ("USD", "en_CA", "US$1,234.57"),
    ],
)
def test_money_is_written_as_the_locale_writes_it(currency: str, locale: str, text: str) -> None:
    assert money.show(1234.565, currency, locale) == text


def test_digits_below_zero_and_unknown() -> None:
    assert money.show(-1234.5, "USD", "en_US") == "-$1,234.50"
    assert money.show(0.00125, "USD", "en_US", digits=4) == "$0.0013"
    assert money.show(12.5, "USD", "en_US", digits=0) == "$13"
    assert money.show(None, "USD", "en_US") == money.number(None, "en_US") == money.percent(None, "en_US") == "–"


def test_numbers_and_percentages() -> None:
    assert money.number(1234567.25, "en_US", 1) == "1,234,567.3"
    assert money.number(1234.5, "de_DE", 1) == "1.234,5"
    assert money.percent(62.55, "en_US") == "62.6%"
    assert money.percent(62.55, "de_DE") == "62,6\u00a0%"
    assert money.percent(-1200.0, "en_US", 0) == "-1,200%"


@pytest.mark.parametrize("name", ["xx_YY", "", "english", "../../etc/passwd", "e" * 200])
def test_a_locale_that_is_none(name: str) -> None:
    with pytest.raises(ValueError, match="is not a locale"):
        money.locale(name)


@pytest.mark.parametrize(
    ("currency", "locale", "code"),
    [
        ("USD", "en_US", '"$"#,##0.00'),
        ("EUR", "de_DE", '#,##0.00" €"'),
        ("JPY", "ja_JP", '"\uffe5"#,##0'),
        ("CHF", "de_CH", '"CHF "#,##0.00'),
        ("INR", "en_IN", '"₹"#,##0.00'),
    ],
)
def test_cell_formats(currency: str, locale: str, code: str) -> None:
    assert money.cell_format(currency, locale) == code


def test_other_cell_formats() -> None:
    assert money.number_cell_format() == "#,##0"
    assert money.percent_cell_format(0) == "0%"
    assert money.known("USD")
    assert not money.known("XXQ")


def test_a_float_of_an_array_is_a_float() -> None:
    assert money.number(np.float64(1.255), "en_US", 2) == money.number(1.255, "en_US", 2) == "1.26"


@pytest.mark.parametrize(
    ("value", "target", "text"),
    [
        (29.996, 30.0, "29.996%"),
        (29.95, 30.0, "29.95%"),
        (29.94, 30.0, "29.9%"),
        (30.0 - 1e-12, 30.0, "30.0%"),
        (30.04, 30.0, "30.0%"),
        (-3.2, 30.0, "-3.2%"),
        (12.0, None, "12.0%"),
        (None, 30.0, "–"),
        (math.nan, 30.0, "unknown"),
    ],
)
def test_a_margin_that_misses_its_target_does_not_look_like_it(
    value: float | None, target: float | None, text: str
) -> None:
    assert money.percent_below(value, target, "en_US") == text
