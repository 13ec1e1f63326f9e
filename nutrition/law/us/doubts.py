"""Which unknown or estimated values keep a label from being printed, and what knowing one of them would do.

A line is print-ready when its bounds print the same, 21 CFR 101.9(c). For each value of an ingredient that makes a line
wide, the value is put in place of its interval, at several places between its bounds, and the line is worked out again
by the same rules: the share of places at which it becomes print-ready says how likely one supplier's sheet settles it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from nutrition import sureness
from nutrition.composition import Composition
from nutrition.law.us import added_sugars, calories, nutrient_lines
from nutrition.law.us.options import Options
from nutrition.nutrients import index, keys

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from nutrition.law.us.label import Label
    from nutrition.product import Component, Product

    Floats = NDArray[np.float64]

PLACES: Final = (0.1, 0.3, 0.5, 0.7, 0.9)
"""Where between its bounds a value is tried."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A value of one ingredient that is not known well enough for one product.

    Args:
        ingredient: the shop's name for it.
        nutrient: which value, by nutrient key.
        unknown: nobody knows it; otherwise it is known as an interval.
        words: what an estimate came from, empty where it is none.
        lines: line of the panel that it holds up, to the share (0 to 1) of its possible values that would settle the
            line by themselves.
    """

    ingredient: str
    nutrient: str
    unknown: bool
    words: str
    lines: dict[str, float]


def of(product: Product, label: Label) -> tuple[Doubt, ...]:
    """The values that hold up lines of a label.

    Args:
        product: the food.
        label: its label.

    Returns:
        One for each ingredient and nutrient, in the order of the panel.
    """
    waiting = {line.key: line for line in label.nutrients if not line.print_ready and line.key in keys()}
    wanted: dict[tuple[str, str], list[str]] = {}
    for key, line in waiting.items():
        for ingredient in line.unknown_from:
            for nutrient in sureness.sources(key):
                if _is_wide(product, ingredient, nutrient):
                    wanted.setdefault((ingredient, nutrient), []).append(key)
    found = []
    for (ingredient, nutrient), held in wanted.items():
        ready = [_ready(one, label, held) for one in _settled(product, ingredient, nutrient)]
        parts = [c for c in product.components if c.ingredient == ingredient]
        found.append(
            Doubt(
                ingredient,
                nutrient,
                unknown=any(c.composition.amount(nutrient) is None for c in parts),
                words=next((c.estimated[nutrient] for c in parts if nutrient in c.estimated), ""),
                lines={key: sum(key in one for one in ready) / len(ready) for key in held},
            )
        )
    return tuple(found)


def _is_wide(product: Product, ingredient: str, nutrient: str) -> bool:
    for component in product.components:
        if component.ingredient == ingredient:
            low, high = component.composition.bounds(nutrient)
            if high > low or component.composition.amount(nutrient) is None:
                return True
    return False


def _settled(product: Product, ingredient: str, nutrient: str) -> Iterator[Product]:
    """The product with one value known, at several places between its bounds."""
    place = index(nutrient)
    for share in PLACES:
        components = tuple(
            _at(component, place, share) if component.ingredient == ingredient else component
            for component in product.components
        )
        total = product.composition
        sums = [_with(getattr(total, name), place, components, name) for name in ("low", "value", "high")]
        yield replace(product, components=components, composition=Composition(total.grams, *sums))


def _at(component: Component, place: int, share: float) -> Component:
    one = component.composition
    low, high = float(one.low[place]), float(one.high[place])
    known = low + share * (high - low)
    vectors = []
    for vector in (one.low, one.value, one.high):
        changed = np.array(vector)
        changed[place] = known
        vectors.append(changed)
    return replace(component, composition=Composition(one.grams, *vectors))


def _with(vector: Floats, place: int, components: tuple[Component, ...], name: str) -> Floats:
    changed = np.array(vector)
    changed[place] = math.fsum(float(getattr(c.composition, name)[place]) for c in components)
    return changed


def _ready(product: Product, label: Label, held: list[str]) -> set[str]:
    """The lines that are print-ready."""
    options = label.options or Options()
    found = nutrient_lines.lines(
        product,
        label.serving,
        calories.of_product(product, options.calories),
        added_sugars.of(product, options.juice),
        options,
        label.as_of,
    )
    return {line.key for line in found if line.print_ready and line.key in held}
