"""Fills what USDA's Standard Reference lacks with estimates, each marked as one.

It holds no trans fat, no alcohol and no single sugars, and many a small value is missing. Where arithmetic, a
neighbouring record or common practice can say something, ``data/foods/estimates.csv`` says it as an interval;
where nothing can be said the amount stays unknown. A measured value is never replaced.

>>> amounts, words = fill({"total_fat": 81.11}, name="Butter, salted", group="0100")
>>> tuple(round(x, 2) for x in amounts["trans_fat"])
(2.76, 3.28, 3.81)
>>> words["trans_fat"]
'0.0404 g in a gram of milkfat, as in USDA SR26 butter (3.278 g in 81.11 g)'

Alcohol is what the proximates leave, where the food is a drink or an extract:

>>> rum = {"water": 66.6, "protein": 0.0, "total_fat": 0.0, "ash": 0.01, "total_carbohydrate": 0.0}
>>> amounts, words = fill(rum, name="Alcoholic beverage, distilled, rum, 80 proof", group="1400")
>>> round(amounts["alcohol"][1], 2)
33.39
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from nutrition import resources
from nutrition.foods.names import Pattern

if TYPE_CHECKING:
    from collections.abc import Mapping

    from nutrition.composition import Interval

NOISE = 0.5
"""A remainder up to this, g in 100 g, is rounding noise of the five proximates and no alcohol."""
VOLATILE = 0.5
"""Other volatile matter that a remainder may hold, g in 100 g."""
ROUNDING = 0.05
"""What rounding of the five proximates may hide of the remainder, g in 100 g."""

REST = ("water", "protein", "total_fat", "ash", "total_carbohydrate")


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of the table of estimates."""

    nutrient: str
    fits: Pattern
    when: str
    basis: str
    low: float
    value: float
    high: float
    words: str
    source: str


@functools.cache
def rules() -> tuple[Rule, ...]:
    """All rows of the table, in order."""

    def number(cell: str) -> float:
        return float(cell) if cell else math.nan

    return tuple(
        Rule(
            nutrient=row["nutrient"],
            fits=Pattern.of(row),
            when=row["when"],
            basis=row["basis"],
            low=number(row["low"]),
            value=number(row["value"]),
            high=number(row["high"]),
            words=row["words"],
            source=row["source"],
        )
        for row in resources.table("foods", "estimates.csv")
    )


def fill(
    known: Mapping[str, float | Interval], *, name: str, group: str
) -> tuple[dict[str, float | Interval], Mapping[str, str]]:
    """The known amounts with estimates for some of those that are missing.

    Args:
        known: amounts in 100 g by nutrient key, or intervals.
        name: the food's name, as USDA writes names.
        group: its USDA food group code; empty where there is none.

    Returns:
        Known and estimated amounts, and for each estimated nutrient the words that say from what.
    """
    amounts: dict[str, float | Interval] = dict(known)
    words: dict[str, str] = {}
    plain = name.lower()
    for rule in rules():
        if rule.nutrient in amounts or not rule.fits(plain, group):
            continue
        interval = _interval(rule, amounts)
        if interval is not None:
            amounts[rule.nutrient] = interval
            words[rule.nutrient] = rule.words
    return amounts, MappingProxyType(words)


def remainder(amounts: Mapping[str, float | Interval]) -> float | None:
    """What water, protein, fat, ash and carbohydrate leave of 100 g, g; None where one of them is unknown.

    >>> remainder({"water": 60.0}) is None
    True
    """
    if any(key not in amounts for key in REST):
        return None
    return 100.0 - sum(_triple(amounts[key])[1] for key in REST)


def _triple(given: float | Interval) -> Interval:
    return given if isinstance(given, tuple) else (given, given, given)


def _basis(basis: str, amounts: Mapping[str, float | Interval]) -> Interval | None:
    if basis == "fixed":
        return 1.0, 1.0, 1.0
    if basis == "digestible":
        carbohydrate = amounts.get("total_carbohydrate")
        if carbohydrate is None:
            return None
        low, value, high = _triple(carbohydrate)
        least, middle, most = _triple(amounts.get("dietary_fiber", (0.0, math.nan, high)))
        # Not max(0, x) for the value: it would make 0 of an unknown one.
        best = value - middle
        return max(0.0, low - most), 0.0 if best < 0.0 else best, max(0.0, high - least)
    given = amounts.get(basis)
    return None if given is None else _triple(given)


def _holds(when: str, amounts: Mapping[str, float | Interval]) -> bool:
    if when == "no fat":
        return _triple(amounts.get("total_fat", 1.0))[2] == 0.0
    if when == "no carbohydrate":
        return _triple(amounts.get("total_carbohydrate", 1.0))[2] == 0.0
    return True


def _interval(rule: Rule, amounts: Mapping[str, float | Interval]) -> Interval | None:
    if not _holds(rule.when, amounts):
        return None
    if rule.nutrient == "alcohol":
        return _alcohol(rule, amounts)
    basis = _basis(rule.basis, amounts)
    if basis is None:
        return None
    low, value, high = basis[0] * rule.low, basis[1] * rule.value, basis[2] * rule.high
    if not math.isnan(value):
        value = min(max(value, low), high)
    return low, value, high


def _alcohol(rule: Rule, amounts: Mapping[str, float | Interval]) -> Interval | None:
    rest = remainder(amounts)
    if rule.basis == "remainder":
        if rest is None:
            return None
        if rest > NOISE:
            return max(0.0, rest - VOLATILE), rest, rest + ROUNDING
        return 0.0, 0.0, max(0.0, rest)
    if rest is None:
        known = (_triple(amounts[key])[0] for key in REST if key in amounts)
        rest = 100.0 - sum(known)
    return 0.0, 0.0, max(0.0, rest)
