"""Days as suppliers write them: in any order, as numbers, in titles and in file names.

>>> read("11/23/2026", "month first"), read("23.11.2026", ""), read("2026-11-23", ""), read(46349.0, "")
(datetime.date(2026, 11, 23), datetime.date(2026, 11, 23), datetime.date(2026, 11, 23), datetime.date(2026, 11, 23))
"""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Final, Literal

from costing.prices.intake.sheets import Cell, tidy
from costing.shop.pricelists import EARLIEST

if TYPE_CHECKING:
    from collections.abc import Iterable

Order = Literal["month first", "day first", ""]

_SPREADSHEET_ZERO: Final = date(1899, 12, 30)
"""Day 0 of spreadsheets that count from 1900, as they count it (they believe in a 29 February 1900)."""
LATEST_YEARS: Final = 2
"""No list is for a day further ahead."""
_ISO: Final = re.compile(r"(?<!\d)(\d{4})[-./ ](\d{1,2})[-./ ](\d{1,2})(?!\d)")
_COMPACT: Final = re.compile(r"(?<!\d)(20\d\d)(\d\d)(\d\d)(?!\d)")
_NUMBERS: Final = re.compile(r"(?<!\d)(\d{1,2})([-./ ])(\d{1,2})\2(\d{4}|\d{2})(?!\d)")
_MONTHS: Final = {
    name: number
    for number, names in enumerate(
        ("jan january januar janvier enero gennaio", "feb february februar février fevrier febrero febbraio",
         "mar march märz maerz mars marzo", "apr april avril abril aprile", "may mai mayo maggio",
         "jun june juni juin junio giugno", "jul july juli juillet julio luglio",
         "aug august août aout agosto", "sep sept september septembre septiembre settembre",
         "oct october oktober octobre octubre ottobre okt", "nov november novembre noviembre",
         "dec december dezember décembre decembre diciembre dicembre dez"),
        1,
    )
    for name in names.split()
}  # fmt: skip
_WORDS: Final = re.compile(r"(?<!\d)(\d{1,2})(?:st|nd|rd|th|\.)? ?(?:de )?([^\W\d_]{3,10})\.?,? ?(?:de )?(\d{4})", re.I)
_WORDS_US: Final = re.compile(r"([^\W\d_]{3,10})\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})", re.IGNORECASE)


def order(cells: Iterable[Cell]) -> Order:
    """Whether days or months stand first, where the cells show it.

    >>> order(["03/04/2026", "23/04/2026"])
    'day first'
    """
    votes = {"day first": 0, "month first": 0}
    for cell in cells:
        found = _NUMBERS.search(cell) if isinstance(cell, str) else None
        if found and int(found[1]) > 12 >= int(found[3]):
            votes["day first"] += 1
        elif found and int(found[3]) > 12 >= int(found[1]):
            votes["month first"] += 1
    if votes["day first"] and not votes["month first"]:
        return "day first"
    return "month first" if votes["month first"] and not votes["day first"] else ""


def read(cell: Cell, first: Order) -> date | None:  # noqa: PLR0911  one for each kind of cell
    """The day that a cell holds.

    Args:
        cell: a date, a number of a spreadsheet's calendar, or a text.
        first: whether the month or the day stands first where a text does not show it.

    Returns:
        The day; None where there is none, or none that a price list could be of.
    """
    if isinstance(cell, datetime):
        return _sane(cell.date())
    if isinstance(cell, date):
        return _sane(cell)
    if isinstance(cell, bool) or cell is None:
        return None
    if isinstance(cell, (int, float)):
        return _number(float(cell))
    if isinstance(cell, str):
        plain = tidy(cell)
        if re.fullmatch(r"\d{5}(\.\d+)?", plain):
            return _number(float(plain))
        return inside(plain, first) if len(plain) <= 40 else None
    return None


def _number(value: float) -> date | None:
    if 19900101 <= value <= 22001231 and value.is_integer():
        return inside(str(int(value)), "")
    if 30000 <= value <= 110000:
        return _sane(_SPREADSHEET_ZERO + timedelta(days=int(value)))
    return None


def inside(written: str, first: Order) -> date | None:  # noqa: PLR0911  one for each way to write a day
    """The day that stands in a text, such as a title or a file name; None where there is none or it is unclear.

    >>> inside("Prices effective Nov 23, 2026", ""), inside("barrow_20261123.csv", ""), inside("4/5/26", "")
    (datetime.date(2026, 11, 23), datetime.date(2026, 11, 23), None)
    """
    for pattern in (_ISO, _COMPACT):
        found = pattern.search(written)
        if found and (day := _made(int(found[1]), int(found[2]), int(found[3]))):
            return day
    found = _WORDS.search(written)
    if found and found[2].casefold() in _MONTHS:
        return _made(int(found[3]), _MONTHS[found[2].casefold()], int(found[1]))
    found = _WORDS_US.search(written)
    if found and found[1].casefold() in _MONTHS:
        return _made(int(found[3]), _MONTHS[found[1].casefold()], int(found[2]))
    found = _NUMBERS.search(written)
    if not found:
        return None
    one, other, year = int(found[1]), int(found[3]), int(found[4])
    year += 2000 if year < 100 else 0
    if found[2] == "." or one > 12 or first == "day first":
        return _made(year, other, one)  # points are set between day, month and year
    if other > 12 or first == "month first" or one == other:
        return _made(year, one, other)
    return None


def _made(year: int, month: int, day: int) -> date | None:
    try:
        return _sane(date(year, month, day))
    except ValueError:
        return None


def _sane(day: date) -> date | None:
    return day if day >= EARLIEST and day.year < 2200 else None
