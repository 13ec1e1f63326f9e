"""Rounding of declared amounts, 21 CFR 101.9(c)(1) to (c)(8); FDA Food Labeling Guide, Appendix H.

The rules lie in ``data/law/us/rounding.csv``; vitamins and minerals go by the increments that FDA's guidance of
December 2019 derives from their RDI. An amount is taken to nine decimals first, and exact halves go up.

>>> declare("sodium", 142.0).text
'140mg'
>>> declare("cholesterol", 3.2).text
'less than 5mg'
>>> declare("energy", 254.9).text
'250'
>>> interval("sodium", 140)
(137.5, 145.0)
"""

from __future__ import annotations

import functools
import re
from bisect import bisect_left
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.law.us.tables import NANO, nano, nearest, plain, rows

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

BY_RDI = "vitamin or mineral"
_PRINTED = re.compile(r"(less than )?(\d+(?:\.\d+)?)\s*(?:kcal|mcg DFE|mcg|mg|g)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Declared:
    """An amount as it is printed.

    Args:
        text: the printed text, with its unit (``140mg``); calories have none.
        value: the figure in the text, in the nutrient's unit.
        rule: the paragraph.
        unrounded: what it was printed from.
        less_than: the text says "less than" before the figure.
    """

    text: str
    value: float
    rule: str
    unrounded: float
    less_than: bool = False


@dataclass(frozen=True, slots=True)
class Band:
    """Amounts that are rounded alike; all figures in thousand-millionths.

    Args:
        last: the greatest amount in the band, None for no limit.
        increment: what is rounded to; 0 where the band has words of its own.
        text: those words.
        rule: the paragraph.
    """

    last: int | None
    increment: int
    text: str
    rule: str


@functools.cache
def lines() -> Mapping[str, Mapping[str, str]]:
    """Every line that a panel may carry, by nutrient key: name, unit, rounding group, paragraph."""
    return {row["key"]: row for row in rows("nutrient_lines.csv")}


@functools.cache
def bands(group: str, on: date | None = None) -> tuple[Band, ...]:
    """The bands of one rounding group, small to large.

    Raises:
        KeyError: the group has no rule in force on that day.
    """
    found = []
    for row in rows("rounding.csv", on):
        if row["group"] != group:
            continue
        last = None
        if row["limit"]:
            # Amounts are whole numbers here, so "below" is "up to one less".
            last = nano(float(row["limit"])) - (row["limit_included"] != "yes")
        increment = nano(float(row["increment"])) if row["increment"] else 0
        found.append(Band(last, increment, row["text"], row["reference"]))
    if not found:
        raise KeyError(f"no rounding rule for {group!r} is in force then")
    return tuple(found)


@functools.cache
def _increment_by_rdi(key: str, on: date | None) -> tuple[Band, ...]:
    for value in rows("daily_values.csv", on):
        if value["key"] == key:
            for row in rows("rdi_increments.csv", on):
                if not row["below"] or float(value["amount"]) < float(row["below"]):
                    return (Band(None, nano(float(row["increment"])), "", row["reference"]),)
    raise KeyError(f"no daily value of {key!r} is in force then")


@functools.cache
def _rules(key: str, on: date | None) -> tuple[str, tuple[Band, ...], tuple[int, ...]]:
    line = lines().get(key)
    if line is None:
        raise KeyError(f"no line of the panel is called {key!r}")
    found = _increment_by_rdi(key, on) if line["group"] == BY_RDI else bands(line["group"], on)
    return line["printed_unit"], found, tuple(band.last for band in found if band.last is not None)


def declare(key: str, amount: float, *, on: date | None = None) -> Declared:
    """What the panel prints for an amount.

    Args:
        key: nutrient key (``total_fat``).
        amount: unrounded, in the nutrient's unit, of a serving or of a container.
        on: the day whose rules apply; None: the rules that have no end.

    Returns:
        The printed text with its figure, its rule and what it came from.

    Raises:
        KeyError: the panel has no such line, or no rule is in force then.
        ValueError: the amount is negative or no number.

    >>> declare("total_fat", 4.75).text, declare("total_fat", 5.49).text
    ('5g', '5g')
    >>> declare("protein", 0.7).text
    'less than 1g'
    >>> declare("vitamin_d", 0.15).text
    '0.2mcg'
    """
    unit, found, lasts = _rules(key, on)
    whole = nano(amount)
    band = found[bisect_left(lasts, whole)]
    if band.increment:
        rounded = nearest(whole, band.increment)
        return Declared(plain(rounded) + unit, rounded / NANO, band.rule, float(amount))
    figure = float(band.text.split()[-1])
    return Declared(band.text + unit, figure, band.rule, float(amount), not band.text[0].isdigit())


def to_nearest(group: str, amount: float, *, on: date | None = None) -> str:
    """A figure without unit, rounded by one group of the table (``serving weight``, ``servings``).

    >>> to_nearest("serving weight", 95.5)
    '96'
    """
    whole = nano(amount)
    found = bands(group, on)
    band = next(b for b in found if b.last is None or whole <= b.last)
    return plain(nearest(whole, band.increment)) if band.increment else band.text


def interval(key: str, printed: float | str, *, on: date | None = None) -> tuple[float, float]:
    """The amounts that print as the figure given: the way back from a printed label.

    Args:
        key: nutrient key.
        printed: the figure, or the text of the label (``"less than 5mg"``). A vitamin or mineral printed finer than its
            increment, which the law allows, is taken as rounded at the last place that it shows.
        on: the day whose rules apply.

    Returns:
        The least amount and the limit that every amount stays below (at 0.5 g "0.5 g and more, below 0.75 g").

    Raises:
        KeyError: the panel has no such line.
        ValueError: no amount prints so.

    >>> interval("total_fat", "0.5g")
    (0.5, 0.75)
    >>> interval("cholesterol", "less than 5mg")
    (2.0, 5.0)
    >>> interval("energy", 0)
    (0.0, 5.0)
    """
    match = _PRINTED.fullmatch(str(printed).strip())
    if match is None:
        raise ValueError(f"{printed!r} is not printed so for {key}")
    less, figure = bool(match[1]), nano(float(match[2]))
    found = _rules(key, on)[1]
    least = 0
    pieces = []
    for band in found:
        end = None if band.last is None else band.last + 1
        if band.increment:
            if not less and figure % band.increment == 0:
                pieces.append(_overlap(least, end, figure - band.increment // 2, figure + band.increment // 2))
        elif nano(float(band.text.split()[-1])) == figure and less is not band.text[0].isdigit():
            pieces.append((least, end if end is not None else figure))
        least = end or least
    pieces = [piece for piece in pieces if piece[0] < piece[1]]
    if not pieces and not less and len(found) == 1:
        places = len(match[2].partition(".")[2])
        half = NANO // 10**places // 2
        pieces = [(max(0, figure - half), figure + half)]
    if not pieces:
        raise ValueError(f"no amount of {key} prints as {printed!r}")
    return pieces[0][0] / NANO, pieces[-1][1] / NANO


def _overlap(least: int, end: int | None, low: int, high: int) -> tuple[int, int]:
    return max(least, low), high if end is None else min(end, high)
