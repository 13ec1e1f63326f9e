"""Money: read and printed as decimals, halves up, in the shop's locale; float64 in between.

Nothing here is rounded that is not about to be printed. Babel is imported only when something is.

>>> show(12.345, "USD", "en_US")
'$12.35'
>>> rounded(0.285, 2)
Decimal('0.29')
"""

from __future__ import annotations

import functools
import math
import re
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from babel import Locale

MOST = Decimal(10) ** 12
"""More money than this is a slip of the pen."""

_UNKNOWN = "unknown"
_PLAIN = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)")


def parse(text: str) -> Decimal:
    """An amount of money as written, without its currency.

    Args:
        text: digits with a point for decimals (``21.50``); more decimals than the currency has are kept.

    Returns:
        The exact amount.

    Raises:
        ValueError: it is no such number, or an absurd one.

    >>> parse("0.0125")
    Decimal('0.0125')
    >>> parse("1,50")
    Traceback (most recent call last):
    ...
    ValueError: '1,50' is not an amount of money; write it with a point and no commas, like 21.50
    """
    plain = text.strip()
    if not _PLAIN.fullmatch(plain) or len(plain) > 40:
        raise ValueError(f"'{text}' is not an amount of money; write it with a point and no commas, like 21.50")
    try:
        amount = Decimal(plain)
    except InvalidOperation as error:  # pragma: no cover - the pattern lets nothing else through
        raise ValueError(f"'{text}' is not an amount of money; write it like 21.50") from error
    if abs(amount) > MOST:
        raise ValueError(f"'{text}' is more money than makes sense; check the number")
    return amount


def rounded(value: float | Decimal, digits: int = 2) -> Decimal:
    """Round for print, halves away from zero.

    Args:
        value: a finite number.
        digits: decimals to keep.

    Returns:
        The rounded number. A float is first rounded to nine decimals, so that 0.285 is a half and goes up.

    Raises:
        ValueError: the number is not finite.

    >>> rounded(-2.5, 0), rounded(1.005)
    (Decimal('-3'), Decimal('1.01'))
    """
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError(f"{value} cannot be printed as a number")
        value = Decimal(repr(round(float(value), 9)))  # an array's own float writes itself otherwise
    exact = Decimal(value)
    out = exact.quantize(Decimal(1).scaleb(-digits), rounding=ROUND_HALF_UP)
    return abs(out) if out == 0 else out  # never minus zero


@functools.cache
def locale(name: str) -> Locale:
    """The Babel locale of a name such as ``en_US``.

    Raises:
        ValueError: Babel does not know it.

    >>> locale("en_GB").territory
    'GB'
    """
    from babel import Locale, UnknownLocaleError

    try:
        return Locale.parse(name.replace("-", "_"))
    except (UnknownLocaleError, ValueError, TypeError) as error:
        raise ValueError(f"'{name}' is not a locale; write one like en_US or de_DE") from error


@functools.cache
def digits_of(currency: str) -> int:
    """How many decimals a currency has.

    >>> digits_of("USD"), digits_of("JPY")
    (2, 0)
    """
    from babel.numbers import get_currency_precision

    return int(get_currency_precision(currency))


def known(currency: str) -> bool:
    """Whether there is such a currency (ISO 4217, as Babel lists them).

    >>> known("EUR"), known("XXQ")
    (True, False)
    """
    from babel.numbers import is_currency

    return is_currency(currency, locale="en")


def show(value: float | Decimal | None, currency: str, locale_name: str, digits: int | None = None) -> str:
    """An amount of money for people.

    Args:
        value: the amount in ``currency``; None is shown as a dash, NaN in words, for it is unknown.
        currency: ISO code.
        locale_name: how it is written there.
        digits: decimals, by default those of the currency.

    Returns:
        Its text.

    Raises:
        ValueError: no such locale, or an infinite number.

    >>> show(1234.5, "EUR", "de_DE")
    '1.234,50\\xa0€'
    >>> show(float("nan"), "EUR", "de_DE")
    'unknown'
    >>> show(0.01234, "USD", "en_US", digits=4)
    '$0.0123'
    >>> show(None, "USD", "en_US")
    '–'
    """
    if value is None:
        return "–"
    if math.isnan(value):
        return _UNKNOWN
    from babel.numbers import format_currency

    places = digits_of(currency) if digits is None else digits
    return format_currency(
        rounded(value, places), currency, format=_pattern(locale_name, places), locale=locale(locale_name),
        currency_digits=False,
    )  # fmt: skip


@functools.cache
def _pattern(locale_name: str, digits: int) -> str:
    """The locale's own currency pattern with so many decimals."""
    pattern = str(locale(locale_name).currency_formats["standard"].pattern)
    return re.sub(r"0(\.0+)?(?=[^0.#]|$)", "0" + ("." + "0" * digits if digits else ""), pattern)


def number(value: float | Decimal | None, locale_name: str, digits: int = 0) -> str:
    """A plain number for people, with so many decimals; None is shown as a dash.

    >>> number(12345.678, "en_US", 1)
    '12,345.7'
    """
    if value is None:
        return "–"
    from babel.numbers import format_decimal

    pattern = "#,##0" + ("." + "0" * digits if digits else "")
    return format_decimal(rounded(value, digits), format=pattern, locale=locale(locale_name))


def percent(value: float | Decimal | None, locale_name: str, digits: int = 1) -> str:
    """A percentage for people.

    Args:
        value: 0 to 100, not a share; None is shown as a dash, NaN in words.
        locale_name: how it is written there.
        digits: decimals.

    Returns:
        Its text.

    >>> percent(62.54, "en_US")
    '62.5%'
    """
    if value is None:
        return "–"
    if math.isnan(value):
        return _UNKNOWN
    return re.sub(r"[#,0.]+", lambda _: number(value, locale_name, digits), _percent_pattern(locale_name), count=1)


def percent_below(value: float | None, target: float | None, locale_name: str) -> str:
    """A percentage beside its target: one that misses it is never shown as the same figure.

    Args:
        value: 0 to 100; None is shown as a dash, NaN in words.
        target: what it should be; None where there is none.
        locale_name: how it is written there.

    Returns:
        Its text, with more decimals than usual where it takes them to tell the two apart.

    >>> percent_below(54.998, 55.0, "en_US"), percent_below(54.2, 55.0, "en_US"), percent_below(55.001, 55.0, "en_US")
    ('54.998%', '54.2%', '55.0%')
    """
    text = percent(value, locale_name)
    if value is None or target is None or not round(value, 9) < round(target, 9):
        return text
    for digits in range(1, 10):
        text = percent(value, locale_name, digits)
        if text != percent(target, locale_name, digits):
            break
    return text


@functools.cache
def _percent_pattern(locale_name: str) -> str:
    return str(locale(locale_name).percent_formats[None].pattern).partition(";")[0]


@functools.cache
def cell_format(currency: str, locale_name: str, digits: int | None = None) -> str:
    """The number format of a spreadsheet cell that holds money.

    Args:
        currency: ISO code.
        locale_name: where the symbol stands.
        digits: decimals, by default those of the currency.

    Returns:
        A format code as spreadsheets store it (always with a comma for groups and a point for decimals;
        the program shows it by its own language).

    >>> cell_format("USD", "en_US")
    '"$"#,##0.00'
    >>> cell_format("EUR", "de_DE", digits=4)
    '#,##0.0000" €"'
    """
    from babel.numbers import get_currency_symbol

    places = digits_of(currency) if digits is None else digits
    symbol = str(get_currency_symbol(currency, locale=locale(locale_name))).replace('"', "")
    pattern = str(locale(locale_name).currency_formats["standard"].pattern).partition(";")[0]
    found = re.fullmatch(r"([^#0]*)([#0,.]+)([^#0]*)", pattern)
    before, after = (found[1], found[3]) if found else ("¤", "")
    core = number_cell_format(places)
    return _quoted(before, symbol) + core + _quoted(after, symbol)


def number_cell_format(digits: int = 0) -> str:
    """The number format of a spreadsheet cell that holds a plain number.

    >>> number_cell_format(2)
    '#,##0.00'
    """
    return "#,##0" + ("." + "0" * digits if digits else "")


def percent_cell_format(digits: int = 1) -> str:
    """The number format of a spreadsheet cell that holds a share, 0 to 1, shown as a percentage.

    >>> percent_cell_format()
    '0.0%'
    """
    return "0" + ("." + "0" * digits if digits else "") + "%"


def _quoted(around: str, symbol: str) -> str:
    text = around.replace("\u200f", "").replace("\u200e", "").replace("\u00a0", " ").replace("¤", symbol)
    return f'"{text}"' if text else ""
