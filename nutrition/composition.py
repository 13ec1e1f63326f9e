"""How much of every nutrient is in a weight of food, and how sure that is.

A :class:`Composition` is a weight in grams and three vectors: *low*, *value*, *high*. A value that
nobody has measured is absent (``nan``), with 0 as its low and the most that mass allows as its high.
A value printed after rounding, or estimated, is known as its interval. Mixing adds and scaling
multiplies, so the bounds survive every step. All three vectors may carry a leading axis of draws.

>>> milk = Composition.of(100, {"protein": 3.0})
>>> cream = Composition.of(100, {"protein": 2.0})
>>> (milk + cream).amount("protein")
5.0
>>> (milk * 0.5).amount("protein")
1.5
>>> milk.amount("calcium") is None
True
>>> milk.bounds("calcium")
(0.0, 97000.0)
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from nutrition.nutrients import GRAMS, index, keys, nutrient, nutrients

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

Interval = tuple[float, float, float]
"""Low, value, high of one amount; the value may be ``nan``."""

PROXIMATES = ("water", "protein", "total_fat", "total_carbohydrate", "ash", "alcohol")
"""What a food weighs is the sum of these."""

ORGANIC = ("protein", "total_fat", "total_carbohydrate")
WITHIN: Mapping[str, tuple[str, ...]] = {
    "saturated_fat": ("total_fat",),
    "monounsaturated_fat": ("total_fat",),
    "polyunsaturated_fat": ("total_fat",),
    # USDA counts trans acids among the mono- and polyunsaturated ones.
    "trans_fat": ("monounsaturated_fat", "polyunsaturated_fat"),
    "cholesterol": ("total_fat",),
    "dietary_fiber": ("total_carbohydrate",),
    "total_sugars": ("total_carbohydrate",),
    "added_sugars": ("total_sugars",),
    "lactose": ("total_sugars",),
    "sucrose": ("total_sugars",),
    "glucose": ("total_sugars",),
    "fructose": ("total_sugars",),
    **dict.fromkeys(
        (
            *("sodium", "calcium", "iron", "potassium", "phosphorus", "magnesium", "zinc", "copper", "manganese"),
            *("chloride", "iodine", "selenium", "chromium", "molybdenum"),
        ),
        ("ash",),
    ),
    # A vitamin is weighed among the organic matter: a skim milk of 0.00 g fat may still hold added vitamin D.
    **dict.fromkeys(
        (
            *("vitamin_a", "vitamin_c", "vitamin_d", "vitamin_e", "vitamin_k", "thiamin", "riboflavin", "niacin"),
            *("vitamin_b6", "folate", "vitamin_b12", "biotin", "pantothenic_acid", "choline"),
        ),
        ORGANIC,
    ),
}
"""What a nutrient is a part of: it can never weigh more than these together. A whole stands before its parts."""

APART = (
    ("total_sugars", ("lactose", "sucrose", "glucose", "fructose")),
    ("total_sugars", ("added_sugars",)),
    ("total_carbohydrate", ("dietary_fiber", "total_sugars")),
    ("total_fat", ("saturated_fat", "monounsaturated_fat", "polyunsaturated_fat")),
    ("total_fat", ("saturated_fat", "trans_fat")),
)
"""Parts in grams of one whole that do not overlap: what one of them surely takes, the others cannot have."""

RICHEST = {"total_fat": 9.02, "total_carbohydrate": 4.2, "protein": 4.36, "alcohol": 6.93}
"""Greatest Atwater factors, kcal/g (SR28: fat of lard 902 kcal, protein of eggs 4.36, alcohol 6.93; starch 4.2)."""


@dataclass(frozen=True, slots=True, eq=False)
class Composition:
    """Amounts of every nutrient in a weight of food.

    Args:
        grams: the weight of food, g; a number or an array of draws.
        low: least amounts, shape ``(..., nutrients)``, each in its nutrient's unit.
        value: best amounts, same shape; ``nan`` where nobody knows.
        high: greatest amounts, same shape.
    """

    grams: float | Floats
    low: Floats
    value: Floats
    high: Floats

    @classmethod
    def of(cls, grams: float, amounts: Mapping[str, float | Interval]) -> Composition:
        """A composition from what is known of a food.

        Args:
            grams: weight of food, g.
            amounts: for each known nutrient its amount in that weight, or (low, value, high).

        Returns:
            The composition; what is not named is unknown, bounded by what mass allows.

        Raises:
            KeyError: a nutrient that does not exist.
            ValueError: an amount below zero or not finite, or a value outside its own interval.

        >>> Composition.of(100, {"total_fat": 5.0}).bounds("saturated_fat")
        (0.0, 5.0)
        """
        size = len(keys())
        low, value = [0.0] * size, [math.nan] * size
        high: list[float | None] = [None] * size
        for key, given in amounts.items():
            i = index(key)
            low[i], value[i], high[i] = _checked(key, given)
        most = _close(grams, low, high)
        return cls(float(grams), np.array(low), np.array(value), np.array(most))

    @classmethod
    def none(cls) -> Composition:
        """No food at all: the start of a sum.

        >>> Composition.none().amount("protein")
        0.0
        """
        size = len(keys())
        return cls(0.0, np.zeros(size), np.zeros(size), np.zeros(size))

    def __add__(self, other: Composition) -> Composition:
        return Composition(
            self.grams + other.grams,
            self.low + other.low,
            self.value + other.value,
            self.high + other.high,
        )

    def __mul__(self, factor: float) -> Composition:
        """So many times this composition; none of it holds nothing, unknown nutrients too.

        Raises:
            ValueError: a factor below zero.

        >>> (Composition.of(100, {"protein": 3.0}) * 0).amount("calcium")
        0.0
        """
        if np.any(np.less(factor, 0)):
            raise ValueError(f"a composition cannot be taken {factor} times")
        value = np.where(np.equal(factor, 0), 0.0, self.value * factor)
        return Composition(self.grams * factor, self.low * factor, value, self.high * factor)

    def amount(self, key: str) -> float | None:
        """The best amount of a nutrient in its unit, None where unknown (plain compositions only)."""
        found = float(self.value[..., index(key)])
        return None if math.isnan(found) else found

    def bounds(self, key: str) -> tuple[float, float]:
        """The least and the greatest amount of a nutrient in its unit (plain compositions only)."""
        i = index(key)
        return float(self.low[..., i]), float(self.high[..., i])

    def per_100g(self) -> dict[str, float | None]:
        """The best amounts in 100 g, by key; None where unknown.

        >>> Composition.of(50, {"protein": 2.0}).per_100g()["protein"]
        4.0
        """
        part = self * (100.0 / float(self.grams)) if float(self.grams) > 0 else self
        return {key: part.amount(key) for key in keys()}


def _checked(key: str, given: float | Interval) -> Interval:
    """An amount as an interval with its value inside; rounding noise of sums is forgiven."""
    low, value, high = given if isinstance(given, tuple) else (given, given, given)
    slack = 1e-9 * max(1.0, abs(low), abs(high))
    if not (math.isfinite(low) and math.isfinite(high) and not math.isinf(value)):
        raise ValueError(f"{key}: {given} is not an amount")
    if low < -slack or low > high + slack or value < low - slack or value > high + slack:
        raise ValueError(f"{key}: {value} does not lie between {low} and {high}, or is below zero")
    low = max(low, 0.0)
    high = max(low, high)
    return low, value if math.isnan(value) else min(max(value, low), high), high


@dataclass(frozen=True, slots=True)
class _Part:
    """Where a part stands, where its wholes stand and what one unit of each is in the part's unit."""

    place: int
    wholes: tuple[tuple[int, float], ...]
    rivals: tuple[tuple[int, tuple[int, ...]], ...]
    """for each group of parts that do not overlap: the whole, and the other parts"""


@functools.cache
def _parts() -> tuple[_Part, ...]:
    size = {n.key: GRAMS.get(n.unit, 0.0) for n in nutrients()}
    return tuple(
        _Part(
            index(key),
            tuple((index(whole), size[whole] / size[key]) for whole in wholes),
            tuple(
                (index(whole), tuple(index(other) for other in group if other != key))
                for whole, group in APART
                if key in group
            ),
        )
        for key, wholes in WITHIN.items()
    )


@functools.cache
def _wholes() -> tuple[tuple[int, tuple[tuple[int, float], ...]], ...]:
    """Wholes with parts that do not overlap, inner wholes first."""
    minerals = tuple(key for key, wholes in WITHIN.items() if wholes == ("ash",))
    groups = (*APART, ("ash", minerals))
    return tuple((index(whole), tuple((index(p), GRAMS[nutrient(p).unit]) for p in parts)) for whole, parts in groups)


@functools.cache
def _proximates() -> tuple[int, ...]:
    return tuple(index(key) for key in PROXIMATES)


def _close(grams: float, low: list[float], high: list[float | None]) -> list[float]:
    """The greatest amounts, those that nobody knows bounded by what mass allows; raises the least of unknown wholes.

    An unknown whole is no less than its parts, an unknown part no more than its whole less the parts beside it.
    """
    for whole, parts in _wholes():
        if high[whole] is None:
            low[whole] = max(low[whole], sum(low[p] * size for p, size in parts))
    room = max(0.0, grams - sum(low[i] for i in _proximates()))
    most = [math.nan if h is None else h for h in high]
    for i in _proximates():
        if high[i] is None:
            most[i] = room + low[i]
    for part in _parts():
        if high[part.place] is None:
            top = sum(most[whole] * size for whole, size in part.wholes)
            for whole, rivals in part.rivals:
                top = min(top, most[whole] - sum(low[r] for r in rivals))
            most[part.place] = max(top, low[part.place])
    energy = index("energy")
    if high[energy] is None:
        dearest = sum(most[index(key)] * factor for key, factor in RICHEST.items())
        # What the proximates leave (acids of vinegar, oils of spices) is counted as if it were fat.
        most[energy] = min(max(RICHEST.values()) * grams, dearest + max(RICHEST.values()) * room)
    return most
