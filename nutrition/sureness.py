"""How much of a finished food somebody has measured: as to each nutrient, what shares of its weight are known.

>>> from nutrition.composition import Composition
>>> from nutrition.product import Component
>>> milk = Component("milk", "milk", "dairy", "made up", "", 60.0, 60.0, Composition.of(60.0, {"iron": 0.1}))
>>> nut = Component("nut", "nut", "nut", "made up", "", 40.0, 40.0, Composition.of(40.0, {"protein": 8.0}))
>>> shares((milk, nut), "iron")
Sureness(known=0.6, estimated=0.0, unknown=0.4)
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from nutrition.nutrients import index

if TYPE_CHECKING:
    from collections.abc import Iterable

    from nutrition.product import Component

MACROS = ("protein", "total_fat", "total_carbohydrate", "alcohol")
"""What calories are worked out from."""


NOISE = 1e-12
"""What sums of binary fractions leave between two bounds that are the same."""


@dataclass(frozen=True, slots=True)
class Sureness:
    """Shares of a food's weight, 0 to 1, that add up to 1.

    Args:
        known: somebody measured it, or arithmetic leaves no doubt (no trans fat where there is no fat).
        estimated: it is known as an interval: an estimate, or a figure of a printed label.
        unknown: nobody knows it.
    """

    known: float
    estimated: float
    unknown: float


def sources(key: str) -> tuple[str, ...]:
    """The nutrients that a line of the panel is worked out from.

    >>> sources("sodium"), sources("energy")[0]
    (('sodium',), 'protein')
    """
    return MACROS if key == "energy" else (key,)


def shares(components: Iterable[Component], key: str) -> Sureness:
    """How much of a food is known as to one line of the panel.

    Args:
        components: everything in it.
        key: nutrient key.

    Raises:
        KeyError: there is no such nutrient.
    """
    grams = {"known": 0.0, "estimated": 0.0, "unknown": 0.0}
    places = [index(one) for one in sources(key)]
    for component in components:
        composition = component.composition
        low, value, high = (getattr(composition, name)[..., places] for name in ("low", "value", "high"))
        how = "known"
        if np.isnan(value).any():
            how = "unknown"
        elif (high - low > NOISE * np.abs(high)).any():
            how = "estimated"
        grams[how] += component.present_g
    total = math.fsum(grams.values())
    if total <= 0:
        return Sureness(0.0, 0.0, 1.0)
    return Sureness(grams["known"] / total, grams["estimated"] / total, grams["unknown"] / total)
