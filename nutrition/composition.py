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
WITHIN = {
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
    "sodium": ("ash",),
    "calcium": ("ash",),
    "iron": ("ash",),
    "potassium": ("ash",),
    "phosphorus": ("ash",),
    "magnesium": ("ash",),
    "zinc": ("ash",),
    "copper": ("ash",),
    "manganese": ("ash",),
    "chloride": ("ash",),
}
"""What a nutrient is a part of: it can never weigh more than these together. A whole stands before its parts."""


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

        >>> Composition.of(100, {"total_fat": 5.0}).bounds("saturated_fat")
        (0.0, 5.0)
        """
        size = len(keys())
        low = np.zeros(size)
        value = np.full(size, math.nan)
        high = np.full(size, math.nan)
        for key, given in amounts.items():
            i = index(key)
            low[i], value[i], high[i] = given if isinstance(given, tuple) else (given,) * 3
        _close(grams, low, high)
        return cls(float(grams), low, value, high)

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
        return Composition(
            self.grams * factor, self.low * factor, self.value * factor, self.high * factor
        )

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


def _close(grams: float, low: Floats, high: Floats) -> None:
    """Fill in the greatest amounts that mass allows, in place."""
    position = {key: index(key) for key in keys()}
    unknown = np.isnan(high)
    room = max(0.0, grams - sum(low[position[key]] for key in PROXIMATES))
    for key in PROXIMATES:
        i = position[key]
        if unknown[i]:
            high[i] = room + low[i]
    for key, whole in WITHIN.items():
        if unknown[position[key]]:
            most = sum(high[position[w]] * GRAMS[nutrient(w).unit] for w in whole)
            high[position[key]] = most / GRAMS[nutrient(key).unit]
    for n in nutrients():
        i = position[n.key]
        if np.isnan(high[i]) and n.unit in GRAMS:
            high[i] = room / GRAMS[n.unit]
    energy = position["energy"]
    if np.isnan(high[energy]):
        # The richest food is fat, at 9 kcal a gram.
        high[energy] = 9.0 * grams
