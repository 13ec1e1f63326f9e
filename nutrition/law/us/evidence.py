"""What stands behind every line of a panel: each ingredient's share of it, and the sum, which is the line itself.

21 CFR 101.9(g)(8) lets a label rest on calculation; whoever signs it must be able to follow a figure back. The shares
of one line add up to the unrounded amount in a container, at its best value as at both of its bounds. What the law does
to the whole food, and not to one ingredient, stands as a correction beside them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.law.us import calories
from nutrition.sureness import MACROS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from nutrition.law.us.label import Label, NutrientLine
    from nutrition.product import Component, Product

NOISE = 1e-12
"""of the larger of 1 and the amount: below it a correction is the noise of sums"""


@dataclass(frozen=True, slots=True)
class Amount:
    """Least, best and greatest amount; the best is None where nobody knows."""

    low: float
    value: float | None
    high: float

    def __add__(self, other: Amount) -> Amount:
        known = self.value is not None and other.value is not None
        value = (self.value or 0.0) + (other.value or 0.0) if known else None
        return Amount(self.low + other.low, value, self.high + other.high)

    def __sub__(self, other: Amount) -> Amount:
        known = self.value is not None and other.value is not None
        value = (self.value or 0.0) - (other.value or 0.0) if known else None
        return Amount(self.low - other.low, value, self.high - other.high)

    def times(self, factor: float) -> Amount:
        """So many times this amount."""
        value = None if self.value is None else self.value * factor
        return Amount(self.low * factor, value, self.high * factor)


NOTHING = Amount(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Share:
    """What one ingredient brings to one line.

    Args:
        ingredient: the shop's own name for it.
        names: the names under which it stands in the ingredient statement.
        kind: its class.
        food: id of its food record.
        source: source of that record, for people.
        grams: of it in the container, g.
        added_g: weight as added of what stayed, g.
        amount: what it brings, in the line's unit, in a container.
        estimated: what an estimate came from; empty where the record has a value.
    """

    ingredient: str
    names: tuple[str, ...]
    kind: str
    food: str
    source: str
    grams: float
    added_g: float
    amount: Amount
    estimated: str = ""


@dataclass(frozen=True, slots=True)
class Correction:
    """What the law does to a line of the whole food, in the line's unit, in a container."""

    what: str
    amount: Amount
    rule: str


@dataclass(frozen=True, slots=True)
class Origin:
    """Where one line comes from: its shares, the largest first, its corrections and their sum."""

    key: str
    unit: str
    shares: tuple[Share, ...]
    corrections: tuple[Correction, ...]
    total: Amount


def origins(product: Product, label: Label) -> dict[str, Origin]:
    """Where every line of a label comes from.

    Args:
        product: the food; weights are those of one container.
        label: its label, as :func:`nutrition.law.us.labelling.label` made it.

    Returns:
        Nutrient key to its origin, in the order of the label.

    >>> from nutrition.composition import Composition
    >>> from nutrition.law.us.labelling import label
    >>> from nutrition.nutrients import keys
    >>> from nutrition.product import Component, Product
    >>> def part(name, grams, **holds):
    ...     return Component(name, name, "other", f"spec:{name}", "by hand", grams, grams,
    ...                      Composition.of(grams, dict.fromkeys(keys(), 0.0) | holds))
    >>> oil, oats = part("oil", 60.0, total_fat=60.0), part("oats", 240.0, total_fat=12.0)
    >>> food = Product("x", "X", "frozen dessert", (oil, oats), 300.0, 473.0, 473.0, "1 pint", frozenset(),
    ...                oil.composition + oats.composition)
    >>> fat = origins(food, label(food))["total_fat"]
    >>> [(share.ingredient, share.amount.value) for share in fat.shares], fat.total.value
    ([('oil', 60.0), ('oats', 12.0)], 72.0)
    """
    return {line.key: _origin(line, product, label) for line in label.nutrients}


def _origin(line: NutrientLine, product: Product, label: Label) -> Origin:
    shares = tuple(sorted(_shares(line, product.components, label.calorie_key), key=_weight))
    ours = sum((share.amount for share in shares), NOTHING)
    corrections = tuple(_corrections(line, ours, label))
    return Origin(line.key, line.unit, shares, corrections, sum((one.amount for one in corrections), ours))


def _weight(share: Share) -> tuple[float, float, str]:
    best = share.amount.high if share.amount.value is None else share.amount.value
    return -best, -share.grams, share.ingredient


def _shares(line: NutrientLine, components: Iterable[Component], method: str) -> Iterable[Share]:
    gathered: dict[str, list[Component]] = {}
    for component in components:
        gathered.setdefault(component.ingredient, []).append(component)
    for ingredient, those in gathered.items():
        first = those[0]
        yield Share(
            ingredient,
            tuple(dict.fromkeys(c.name for c in those)),
            first.kind,
            first.food,
            first.source,
            math.fsum(c.present_g for c in those),
            math.fsum(c.added_g for c in those),
            sum((of(c, line.key, method) for c in those), NOTHING),
            _estimate(line.key, those),
        )


def _estimate(key: str, components: Iterable[Component]) -> str:
    """What was estimated of the components, and from what; of a nutrient that they cannot hold, nothing is said."""
    return "; ".join(
        dict.fromkeys(
            c.estimated[part]
            for c in components
            for part in (MACROS if key == "energy" else (key,))
            if part in c.estimated and c.composition.bounds(part)[1] > 0
        )
    )


def of(component: Component, key: str, method: str = "B") -> Amount:
    """What one component brings to a line, in the line's unit.

    Args:
        component: an ingredient as it stands in the container.
        key: nutrient key.
        method: of the calories, by its letter.
    """
    if key == "energy":
        energy = calories.of_component(component, method)
        return Amount(energy.low, energy.value, energy.high)
    if key == "sugar_alcohol":
        stated = math.fsum(component.sugar_alcohols.values())
        return Amount(stated, stated, stated)
    low, high = component.composition.bounds(key)
    return Amount(low, component.composition.amount(key), high)


def _corrections(line: NutrientLine, ours: Amount, label: Label) -> Iterable[Correction]:
    whole = Amount(line.per_container_low, line.per_container, line.per_container_high)
    before = ours
    if line.key == "added_sugars" and label.sugars is not None:
        sugars = label.sugars
        judged = Amount(sugars.low, sugars.value, sugars.high)
        yield from _some(
            "sugars of juice or fruit that the kitchen concentrated, beyond 100 % juice",
            judged - before,
            "21 CFR 101.9(c)(6)(iii)",
        )
        before = judged
    if line.key in ("total_sugars", "added_sugars"):
        what = "no more sugars are printed than carbohydrate: the food records have more, by another analysis"
        yield from _some(what, whole - before, "21 CFR 101.9(c)(6)")
    elif line.key == "energy":
        yield from _some("what the method does to the whole food", whole - before, label.calorie_method)


def _some(what: str, amount: Amount, rule: str) -> Iterable[Correction]:
    size = NOISE * max(1.0, abs(amount.high))
    if any(abs(part or 0.0) > size for part in (amount.low, amount.value, amount.high)):
        yield Correction(what, amount, rule)
