"""Number formats out of the Unicode CLDR."""

from __future__ import annotations

from datetime import date

import pytest

from costing.workbook.formats import Formats, date_code, number, weight
from costing.workbook.look import PLAIN
from costing.workbook.measure import lines_of, shown_width


@pytest.mark.parametrize(
    ("locale", "currency", "money", "day", "letter"),
    [
        # Patterns: Unicode CLDR 46, numbers/currencyFormats and dates/dateFormats (medium).
        ("en_US", "USD", '"$"#,##0.00', 'mmm d", "yyyy', True),
        ("en_GB", "GBP", '"£"#,##0.00', "d mmm yyyy", False),
        ("de_DE", "EUR", '#,##0.00" €"', "dd.mm.yyyy", False),
        ("ja_JP", "JPY", '"￥"#,##0', 'yyyy"/"mm"/"dd', False),
        ("xx_QQ", "USD", '"$"#,##0.00', 'mmm d", "yyyy', True),
    ],
)
def test_formats_of_a_locale(locale: str, currency: str, money: str, day: str, letter: bool) -> None:
    formats = Formats.of(locale, currency)
    assert (formats.money, formats.date, formats.letter) == (money, day, letter)


def test_a_serving_costs_one_decimal_more() -> None:
    assert Formats.of("en_US", "USD").fine_money == '"$"#,##0.000'
    assert Formats.of("ja_JP", "JPY").fine_money == '"￥"#,##0.0'


def test_words_of_a_date_are_no_format_codes() -> None:
    assert date_code("d 'de' MMM 'de' y") == 'd" de "mmm" de "yyyy'
    assert date_code("d.MM.yy 'o''clock'") == 'd.mm.yy" o\'clock"'
    assert Formats.of("en_GB", "GBP").day(date(2026, 3, 2)) == "2 March 2026"


def test_nothing_is_0_without_decimals() -> None:
    assert number(2) == "#,##0.00"
    assert weight(1) == "#,##0.0;-#,##0.0;0"


def test_widths_grow_with_what_is_shown() -> None:
    assert shown_width(9.0, "0") == 1
    assert shown_width(1_234_567.0, "#,##0.0") > shown_width(123_456.0, "#,##0.0") > shown_width(123_456.0, "0")
    assert shown_width(1.0, '"CHF "0.00') > shown_width(1.0, '"$"0.00')
    assert lines_of("a\nb", 10, PLAIN) == 2
    assert lines_of("W" * 40, 20, PLAIN) >= 3
