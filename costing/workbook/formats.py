"""Number formats of the workbook, out of the shop's locale and currency.

A spreadsheet stores a format with a comma for groups and a point for decimals, and shows it as the
program's own language has it. Where the symbol stands and how many decimals money has comes from the
Unicode CLDR, through Babel.

>>> formats = Formats.of("de_DE", "EUR")
>>> formats.money, formats.date, formats.letter
('#,##0.00" €"', 'dd.mm.yyyy', False)
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing import money

if TYPE_CHECKING:
    import datetime

# CLDR supplemental data, measurementData, paperSize "US-Letter" (from memory); all others use A4.
LETTER = frozenset({"US", "CA", "MX", "PH", "CL", "CO", "VE", "CR", "GT", "NI", "PA", "SV", "PR", "BZ"})


@dataclass(frozen=True, slots=True)
class Formats:
    """Format codes as spreadsheets store them.

    Args:
        locale: the shop's locale.
        currency: the shop's currency.
        money: money with the currency's decimals.
        fine_money: money with one decimal more, for what a serving costs.
        percent: a share 0 to 1 as a percentage.
        date: a day.
        letter: the paper is US Letter, else A4.
    """

    locale: str
    currency: str
    money: str
    fine_money: str
    percent: str
    date: str
    letter: bool

    @classmethod
    def of(cls, locale: str, currency: str) -> Formats:
        """The formats of a shop.

        Args:
            locale: such as ``en_US``; one that nobody knows counts as ``en_US``.
            currency: ISO code.
        """
        try:
            known = money.locale(locale)
        except ValueError:
            locale, known = "en_US", money.locale("en_US")
        return cls(
            locale=locale,
            currency=currency,
            money=money.cell_format(currency, locale),
            fine_money=money.cell_format(currency, locale, money.digits_of(currency) + 1),
            percent=money.percent_cell_format(1),
            date=date_code(str(known.date_formats["medium"].pattern)),
            letter=known.territory in LETTER,
        )

    def day(self, day: datetime.date) -> str:
        """A day in words, as the locale writes it.

        >>> from datetime import date
        >>> Formats.of("en_US", "USD").day(date(2026, 3, 2))
        'March 2, 2026'
        """
        from babel.dates import format_date

        return str(format_date(day, "long", locale=money.locale(self.locale)))

    def cash(self, amount: float) -> str:
        """An amount of money as text."""
        return money.show(amount, self.currency, self.locale)


@functools.cache
def number(digits: int) -> str:
    """The format of a plain number with so many decimals.

    >>> number(1)
    '#,##0.0'
    """
    return money.number_cell_format(digits)


def weight(digits: int) -> str:
    """The format of a weight that is often nothing: 0 stands there without decimals, and out of the way.

    >>> weight(1)
    '#,##0.0;-#,##0.0;0'
    """
    plain = number(digits)
    return f"{plain};-{plain};0"


def date_code(pattern: str) -> str:
    """A CLDR date pattern as a spreadsheet's date format.

    Args:
        pattern: such as ``MMM d, y``.

    Returns:
        The format; what is neither day, month nor year is text.

    >>> date_code("MMM d, y")
    'mmm d", "yyyy'
    >>> date_code("d 'de' MMM 'de' y")
    'd" de "mmm" de "yyyy'
    """
    out: list[str] = []
    literal = ""
    for token in re.findall(r"'(?:[^']|'')*'|y+|[ML]+|d+|.", pattern, flags=re.DOTALL):
        if token[0] not in "yMLd":
            plain = (token[1:-1].replace("''", "'") or "'") if token[0] == "'" else token
            literal += plain.replace('"', "").replace("\u200f", "").replace("\u200e", "")
            continue
        out += [_literal(literal)] if literal else []
        literal = ""
        out.append("yy" if token == "yy" else "yyyy" if token[0] == "y" else token.replace("L", "M").lower())
    out += [_literal(literal)] if literal else []
    return "".join(out)


def _literal(text: str) -> str:
    # Points, dashes and blanks mean nothing in a date format; all else is safer in quotes.
    return text if text in {".", "-", ". ", " "} else f'"{text}"'
