"""Alcohol by weight and by volume of a finished food.

By volume is alcohol's own volume in the food's volume *without air*, both at 20 degrees C, by the density of water,
fat, other solids and alcohol (``data/law/us/densities.csv``). States draw their lines by one or the other.

>>> from nutrition.composition import Composition
>>> food = Composition.of(100, {"water": 58, "total_fat": 15, "alcohol": 1})
>>> [round(x, 2) for x in shares(food)]
[1.0, 1.38, 1.0, 1.38]
"""

from __future__ import annotations

import functools
import math
from typing import TYPE_CHECKING, NamedTuple

from nutrition.law.us.tables import rows

if TYPE_CHECKING:
    from collections.abc import Mapping

    from nutrition.composition import Composition


class Shares(NamedTuple):
    """Alcohol in per cent: best by weight and by volume, and the most by weight and by volume."""

    weight_pct: float
    volume_pct: float
    most_weight_pct: float
    most_volume_pct: float


@functools.cache
def _densities() -> Mapping[str, float]:
    return {row["part"]: float(row["density"]) for row in rows("densities.csv")}


def shares(composition: Composition) -> Shares:
    """Alcohol of a food in per cent.

    Args:
        composition: what the food holds.

    Returns:
        By weight and by volume, best and most; where the best is unknown the most stands in for it.

    Raises:
        ValueError: the food weighs nothing.
    """
    grams = float(composition.grams)
    if not (math.isfinite(grams) and grams > 0):
        raise ValueError("a food without weight has no share of alcohol")
    most = composition.bounds("alcohol")[1]
    best = composition.amount("alcohol")
    best = most if best is None else best
    weight, top = best / grams * 100, most / grams * 100
    return Shares(weight, _by_volume(composition, best), top, _by_volume(composition, most))


def _by_volume(composition: Composition, alcohol: float) -> float:
    density = _densities()
    grams = float(composition.grams)
    # Where fat or water is unknown, its greatest and its least amounts are halved: volume hardly depends on it.
    water, fat = (_middle(composition, key) for key in ("water", "total_fat"))
    rest = max(0.0, grams - water - fat - alcohol)
    volume = alcohol / density["alcohol"]
    whole = water / density["water"] + fat / density["fat"] + rest / density["solids"] + volume
    return volume / whole * 100


def _middle(composition: Composition, key: str) -> float:
    found = composition.amount(key)
    return sum(composition.bounds(key)) / 2 if found is None else found
