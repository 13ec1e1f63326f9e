"""Prices as suppliers write them. Marks and separators by country: Unicode CLDR number patterns."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

import pytest
from babel.numbers import format_currency
from hypothesis import given
from hypothesis import strategies as st

from costing.prices.intake.money_cells import Column, read, style
from costing.prices.intake.price_shapes import currency


def one(cell: Any, decimals: Any = "point", home: str = "USD") -> tuple[float | None, str, str]:
    column = read([cell], decimals, home)
    assert not column.problems, column.problems
    return column.values[0], column.currencies[0], column.per.get(0, "")


@pytest.mark.parametrize(
    ("cell", "decimals", "value", "code"),
    [
        ("$ 1,234.50", "point", 1234.5, "USD"),
        ("$1,234.50", "", 1234.5, "USD"),
        ("1.234,50 €", "", 1234.5, "EUR"),
        ("1.234,50 €", "point", 1234.5, "EUR"),
        ("USD 12.30", "point", 12.3, "USD"),
        ("12.30 usd", "comma", 12.3, "USD"),
        ("EUR12,30", "comma", 12.3, "EUR"),
        ("1 234,50", "comma", 1234.5, ""),
        ("1\u202f234,50\u00a0€", "comma", 1234.5, "EUR"),
        ("1'234.50 CHF", "point", 1234.5, "CHF"),
        ("Fr.12.50", "point", 12.5, "CHF"),
        ("CA$12.50", "point", 12.5, "CAD"),
        ("£3", "point", 3.0, "GBP"),
        ("12,-", "comma", 12.0, ""),
        ("12.–", "point", 12.0, ""),
        (".85", "point", 0.85, ""),
        ("1,234", "point", 1234.0, ""),
        ("1,234", "comma", 1.234, ""),
        ("1.234", "point", 1.234, ""),
        ("1.234", "comma", 1234.0, ""),
        ("0,125", "point", 0.125, ""),
        ("0.125", "comma", 0.125, ""),
        ("1,234,567", "", 1234567.0, ""),
        ("12.30*", "point", 12.3, ""),
        ("12.30 / case", "point", 12.3, ""),
        (12.3, "comma", 12.3, ""),
        (12, "", 12.0, ""),
        ("US$ 12", "point", 12.0, "USD"),
        ("₹ 1,23,456.50", "point", 123456.5, "INR"),
        ("12,34,567", "point", 1234567.0, ""),
    ],
)
def test_prices_in_every_dress(cell: Any, decimals: str, value: float, code: str) -> None:
    assert one(cell, decimals)[:2] == (value, code)


@pytest.mark.parametrize(
    ("cell", "per"),
    [
        ("3.49/LB", "1 lb"),
        ("$0.10/pcs", "each"),
        ("$3.49 per lb", "1 lb"),
        ("12,90 €/kg", "1 kg"),
        ("3.49#", "1 lb"),
        ("3.49 lb", "1 lb"),
    ],
)
def test_a_price_may_say_that_it_is_for_a_pound(cell: str, per: str) -> None:
    assert one(cell)[2] == per


@pytest.mark.parametrize(
    ("cell", "what"),
    [
        ("call", "no price"),
        ("MARKET", "no price"),
        ("12.30-14.50", "no price"),
        ("12.30 or 14", "no price"),
        ("1,23,4", "no price"),
        ("1.2.3", "no price"),
        ("USD 12 EUR", "no price"),
        ("=1+2", "no price"),
        ("1e5", "no price"),
        ("nan", "no price"),
        ("12.30/furlong", "no price"),
        ("0", "is 0"),
        ("$0.00", "is 0"),
        (0, "is 0"),
        (0.0, "is 0"),
        ("-3.00", "below zero"),
        ("(3.00)", "below zero"),
        ("3.00-", "below zero"),
        (-3.0, "below zero"),
        ("99,999,999.00", "absurd"),
        (float("inf"), "absurd"),
        (float("nan"), "absurd"),
        ("#N/A", "the error #N/A"),
        ("#REF!", "the error #REF!"),
        (True, "yes"),
        (datetime(2026, 3, 12), "a date"),
        (date(2026, 3, 12), "a date"),
        (time(12, 30), "a date or a time"),
        ("9" * 80, "no price"),
    ],
)
def test_what_is_no_price_says_why(cell: Any, what: str) -> None:
    column = read([cell], "point", "USD")
    assert column.values == [None]
    assert what in column.problems[0].what
    assert column.problems[0].mend


def test_three_digits_behind_one_sign_are_not_guessed() -> None:
    column = read(["1,234"], "", "USD")
    assert "two ways" in column.problems[0].what


def test_blank_cells_are_nothing_and_no_problem() -> None:
    assert read(["", None, "   ", "\u00a0"], "point", "USD") == Column([None] * 4, [""] * 4, {}, {})


def test_a_bare_dollar_is_the_shops_own() -> None:
    assert one("$3", home="CAD")[1] == "CAD"
    assert one("$3", home="EUR")[1] == "USD"
    assert one("CAD $3")[1] == "CAD"


def test_a_column_shows_how_it_writes_decimals() -> None:
    assert style(["1.234,50", "9,95", "1,234", "12", 3.5, None]) == {"point": 0, "comma": 2, "either": 1}
    assert style(["1,234,567", "call"]) == {"point": 1, "comma": 0, "either": 0}


@pytest.mark.parametrize("locale", ["en_US", "de_DE", "fr_FR", "de_CH", "sv_SE", "pt_BR", "it_IT", "es_ES"])
@pytest.mark.parametrize("value", [0.85, 12.3, 999.99, 1234.5, 1234567.89])
def test_what_babel_writes_is_read_back(locale: str, value: float) -> None:
    # Unicode CLDR, as Babel has it: an outside check on signs, spaces and marks.
    written = format_currency(value, "EUR", locale=locale)
    assert one(written, "")[:2] == (value, "EUR")


PRICES = ["$3.50", "$3,50", "$12.30", "$1,250", "$0,250", "$0.00", "3.50", "12.345", "€2.10", "$.75", "Rs.5", "$123456.78",
          "$1.25/lb", "($2.50)", "$99999999.00", "1" * 59 + ".5", "$2.5\n"]  # fmt: skip


@given(
    st.lists(st.decimals("0.01", 99999, places=2), min_size=1, max_size=30),
    st.sampled_from(["{:.2f}", "${:,.2f}", "$ {:,.2f}", "{:,.2f}"]),
)
def test_the_quick_way_gives_what_the_slow_way_gives(values: list[Any], dress: str) -> None:
    cells = [dress.format(value) for value in values] * 9
    together = read(cells, "point", "USD")
    alone = [read([cell, None], "point", "USD") for cell in cells]  # a blank keeps them off the quick way
    assert together.values == [one.values[0] for one in alone] == [float(value) for value in values] * 9
    assert together.currencies == [one.currencies[0] for one in alone]


@given(
    st.lists(st.sampled_from(PRICES) | st.text("0159.,$ -/lb\n€", max_size=9), min_size=1, max_size=4),
    st.sampled_from(["point", "comma", ""]),
)
def test_a_column_of_any_texts_is_read_as_each_alone(few: list[str], decimals: Any) -> None:
    cells = few * 9  # so often that they are read by shapes
    together = read(cells, decimals, "USD")
    alone = [read([cell, None], decimals, "USD") for cell in cells]  # a blank keeps them off the quick way
    assert together.values == [one.values[0] for one in alone]
    assert together.currencies == [one.currencies[0] for one in alone]
    assert dict(together.per) == {at: one.per[0] for at, one in enumerate(alone) if one.per}
    assert {at: str(wrong) for at, wrong in together.problems.items()} == {
        at: str(one.problems[0]) for at, one in enumerate(alone) if one.problems
    }


@given(st.text(max_size=70))
def test_any_text_is_a_price_a_blank_or_a_problem(text: str) -> None:
    column = read([text], "point", "USD")
    value = column.values[0]
    assert value is None or 0 < value <= 1e7
    assert value is None or not column.problems


def test_a_cell_may_name_a_currency() -> None:
    assert [currency(word, "USD") for word in ("EUR", "€", "gbp", "XQX", "each", "")] == [
        "EUR",
        "EUR",
        "GBP",
        "",
        "",
        "",
    ]


def test_a_long_column_is_read_to_the_last_digit() -> None:
    values = [round(0.01 + i * 1.37, 2) for i in range(5000)]
    assert read([f"${value:,.2f}" for value in values], "point", "USD").values == values
