"""The dated tables of the law, and amounts as exact whole numbers.

Every row of a table in ``data/law/us`` holds from its ``from`` day up to, but not on, its ``until`` day.

>>> rows("daily_values.csv")[0]["key"]
'total_fat'
>>> nano(0.15)
150000000
"""

from __future__ import annotations

import functools
import math
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING

from nutrition import resources

if TYPE_CHECKING:
    from collections.abc import Mapping

NANO = 10**9
"""Amounts are compared and rounded as whole numbers of a thousand-millionth of their unit."""

_EXACT_BELOW = 1e6
"""Below this a float times 1e9 is nearer to the right whole number than to any other."""


@functools.cache
def rows(name: str, on: date | None = None) -> tuple[Mapping[str, str], ...]:
    """The rows of one table that are in force.

    Args:
        name: file name in ``data/law/us``.
        on: the day; None takes the rows that have no end.

    Returns:
        The rows, in the order of the file.

    >>> rows("daily_values.csv", date(1990, 1, 1))
    ()
    """
    return tuple(row for row in resources.table("law", "us", name) if _holds(row, on))


@functools.cache
def held(on: date | None) -> date | None:
    """The day itself, or None (the rules that have no end) for a day before the oldest rules held here.

    The oldest are those of the Nutrition Facts form of 2016; older labels are not made here.

    >>> held(date(1999, 1, 1)) is None, held(date(2026, 3, 2))
    (True, datetime.date(2026, 3, 2))
    """
    first = next(r["from"] for r in resources.table("law", "us", "provisions.csv") if r["key"] == "new nutrition facts")
    return None if on is None or on < date.fromisoformat(first) else on


def _holds(row: Mapping[str, str], on: date | None) -> bool:
    begins, ends = row.get("from", ""), row.get("until", "")
    if on is None:
        return not ends
    return (not begins or date.fromisoformat(begins) <= on) and (not ends or on < date.fromisoformat(ends))


def nano(amount: float) -> int:
    """An amount rounded to nine decimals, as a whole number of thousand-millionths.

    So an exact half stays an exact half, whatever the float behind it.

    Args:
        amount: in any unit.

    Raises:
        ValueError: it is negative, infinite or no number.

    >>> nano(0.1 + 0.2) == nano(0.3)
    True
    """
    amount = float(amount)
    if not math.isfinite(amount):
        raise ValueError(f"{amount} is not an amount")
    small = abs(amount) < _EXACT_BELOW
    whole = round(amount * NANO) if small else int(Decimal(repr(round(amount, 9))) * NANO)
    if whole < 0:
        raise ValueError(f"an amount cannot be negative: {amount}")
    return whole


def nearest(whole: int, increment: int) -> int:
    """The multiple of the increment that is nearest, exact halves up.

    >>> nearest(145, 10)
    150
    """
    return (2 * whole + increment) // (2 * increment) * increment


def plain(whole: int) -> str:
    """A whole number of thousand-millionths as plain digits.

    >>> plain(500_000_000)
    '0.5'
    >>> plain(1_200 * NANO)
    '1200'
    """
    units, rest = divmod(whole, NANO)
    return f"{units}.{rest:09d}".rstrip("0") if rest else str(units)


@functools.lru_cache(maxsize=4096)
def words(text: str) -> frozenset[str]:
    """The words of a name in small letters, without marks.

    >>> sorted(words("Sugar, brown (dark)"))
    ['brown', 'dark', 'sugar']
    """
    return frozenset("".join(c if c.isalnum() else " " for c in text.casefold()).split())
