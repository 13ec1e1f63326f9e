"""Calories by general factors, 21 CFR 101.9(c)(1)(i).

Method B counts 4 kcal a gram of protein, 4 of total carbohydrate and 9 of fat; method C takes dietary fiber and sugar
alcohols out of the carbohydrate first and adds 2 kcal a gram of soluble fiber. A calculation keeps to one of them.
Alcohol at 7 kcal a gram is custom and stands in no paragraph; it is added where there is alcohol, and said.

>>> from nutrition.composition import Composition
>>> food = Composition.of(100, {"protein": 4, "total_carbohydrate": 24, "total_fat": 14, "alcohol": 0})
>>> of(food).value, of(food).method
(238.0, 'B')
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from nutrition.law.us.tables import rows
from nutrition.nutrients import index

if TYPE_CHECKING:
    from collections.abc import Mapping

    from nutrition.composition import Composition

METHODS = ("B", "C")
NONE: Mapping[str, float] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Energy:
    """Food energy of a weight of food, kcal.

    Args:
        low: least, from the least amounts.
        value: best, None where an amount is unknown.
        high: greatest.
        method: ``B`` or ``C``.
        text: the method in words, with the figures used.
        rule: the paragraph.
    """

    low: float
    value: float | None
    high: float
    method: str
    text: str
    rule: str


@functools.cache
def factors(method: str) -> Mapping[str, float]:
    """kcal in a gram, by part of the food (``B``, ``C``), by sugar alcohol (``F``) or by ``custom``.

    >>> factors("F")["erythritol"]
    0.0
    """
    return {row["part"]: float(row["kcal_per_g"]) for row in rows("calorie_factors.csv") if row["method"] == method}


def of(
    composition: Composition,
    method: str = "B",
    *,
    soluble_fiber_g: float | None = None,
    sugar_alcohols: Mapping[str, float] = NONE,
    allulose_g: float = 0.0,
) -> Energy:
    """The energy of a weight of food, with its bounds.

    Args:
        composition: amounts in that weight.
        method: ``B`` or ``C``.
        soluble_fiber_g: for C, soluble non-digestible carbohydrate, g; None: none to all of the fiber, value unknown
            unless there is no fiber.
        sugar_alcohols: for C, sugar alcohol to grams, each with its own factor of (F).
        allulose_g: grams of allulose within the carbohydrate.

    Returns:
        The energy.

    Raises:
        KeyError: a sugar alcohol without factor.
        ValueError: another method, or a negative amount.

    >>> from nutrition.composition import Composition
    >>> oats = Composition.of(100, {"protein": 10, "total_carbohydrate": 50, "dietary_fiber": 10, "total_fat": 5,
    ...                             "alcohol": 0})
    >>> of(oats, "C", soluble_fiber_g=4).value
    253.0
    """
    if method not in METHODS:
        raise ValueError(f"there is no method {method!r}; general factors are B and C")
    if allulose_g < 0 or any(g < 0 for g in sugar_alcohols.values()) or (soluble_fiber_g or 0) < 0:
        raise ValueError("an amount cannot be negative")
    use, custom = factors(method), factors("custom")
    low, value, high = (_vector(composition, which) for which in ("low", "value", "high"))
    polyols = sum(sugar_alcohols.values()) if method == "C" else 0.0

    def total(sure: list[float], fiber: float, soluble: float) -> float:
        protein, fat, carbohydrate, alcohol = sure
        kcal = use["protein"] * protein + use["total_fat"] * fat + custom["alcohol"] * alcohol
        if method == "B":
            kcal += use["total_carbohydrate"] * _at_least_none(carbohydrate - allulose_g)
        else:
            digestible = _at_least_none(carbohydrate - fiber - polyols - allulose_g)
            kcal += use["digestible_carbohydrate"] * digestible + use["soluble_fiber"] * soluble
            kcal += sum(factors("F")[name] * grams for name, grams in sugar_alcohols.items())
        return kcal + custom["allulose"] * allulose_g

    # The least energy goes with the most fiber, and none of it soluble; the greatest the other way round.
    least_soluble = soluble_fiber_g or 0.0
    most_soluble = high[4] if soluble_fiber_g is None else soluble_fiber_g
    best_soluble = (math.nan if value[4] else 0.0) if soluble_fiber_g is None else soluble_fiber_g
    best = total(value[:4], value[4], best_soluble)
    least = total(low[:4], high[4], least_soluble)
    most = total(high[:4], low[4], most_soluble)
    ceiling = max(use["total_fat"] * float(composition.grams), least)
    text = (
        "protein 4, total carbohydrate 4, fat 9 kcal a gram"
        if method == "B"
        else "protein 4, carbohydrate less dietary fiber and sugar alcohols 4, soluble fiber 2, fat 9 kcal a gram"
    )
    if high[3] > 0:
        text += f"; alcohol {custom['alcohol']:g} kcal a gram by custom, not by the paragraph"
    if allulose_g:
        text += f"; allulose {custom['allulose']:g} kcal a gram (FDA guidance, 2020)"
    rule = f"21 CFR 101.9(c)(1)(i)({method})"
    return Energy(least, None if math.isnan(best) else best, min(most, ceiling), method, f"{rule}: {text}", rule)


def _at_least_none(grams: float) -> float:
    # max(0.0, nan) is 0.0, which would make an unknown amount a zero.
    return grams if math.isnan(grams) else max(0.0, grams)


@functools.cache
def _places() -> list[int]:
    return [index(key) for key in ("protein", "total_fat", "total_carbohydrate", "alcohol", "dietary_fiber")]


def _vector(composition: Composition, which: str) -> list[float]:
    """Protein, fat, carbohydrate, alcohol and fiber, g, of one of the three vectors of a plain composition."""
    vector = getattr(composition, which)
    return [float(vector[..., i].item()) for i in _places()]
