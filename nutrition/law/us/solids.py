"""What a standard of identity measures in a finished food: milk, egg yolk, other fat, bulky flavours, weights.

Only ingredients of class ``dairy`` count as milk. Where the shop states an ingredient's solids, they count; otherwise
they follow from what it holds: milkfat is its fat, nonfat milk solids its dry weight less fat and added sugars. Every
measure carries the least and the greatest it can be.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.law.us import added_sugars, calories, serving
from nutrition.law.us.tables import rows, words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from nutrition.product import Component, Product

LB_PER_GAL = 3785.411784 / 453.59237
"""Pounds to the gallon in one g/mL (NIST Handbook 44, appendix C)."""

HALF, TWO_THIRDS = 0.5, 2 / 3
"""What "light" leaves of the usual fat, or of the usual calories, 21 CFR 101.56(b) (from memory)."""


@dataclass(frozen=True, slots=True)
class Span:
    """Least, best and greatest of one measure; the best is ``nan`` where nobody knows."""

    low: float
    value: float
    high: float

    def __add__(self, other: Span) -> Span:
        return Span(self.low + other.low, self.value + other.value, self.high + other.high)

    def __sub__(self, other: Span) -> Span:
        return Span(max(0.0, self.low - other.high), self.value - other.value, max(0.0, self.high - other.low))

    def __mul__(self, factor: float) -> Span:
        return Span(self.low * factor, self.value * factor, self.high * factor)

    def per_cent_of(self, whole: Span) -> Span:
        """As a per cent of something that it is part of or stands beside."""

        def share(part: float, of: float) -> float:
            return part / of * 100 if of > 0 else math.nan if math.isnan(of) or part else 0.0

        top = share(self.high, whole.low)
        return Span(share(self.low, whole.high), share(self.value, whole.value), math.inf if math.isnan(top) else top)


ZERO = Span(0.0, 0.0, 0.0)


def exactly(value: float) -> Span:
    """A figure that is known."""
    return Span(value, value, value)


def held(component: Component, key: str) -> Span:
    """What a component holds of a nutrient, g."""
    low, high = component.composition.bounds(key)
    value = component.composition.amount(key)
    return Span(low, math.nan if value is None else value, high)


@functools.cache
def _words(what: str) -> frozenset[str]:
    return frozenset(row["word"] for row in rows("identity_words.csv") if row["what"] == what)


def named(component: Component, what: str) -> bool:
    """Whether the component's name says that it is cultured, a caseinate, or whey."""
    return bool((words(component.name) | words(component.ingredient)) & _words(what))


def counts_as_milk(component: Component) -> bool:
    """Class dairy, neither cultured nor a caseinate, nor inside a bulky piece (unsettled whether that counts)."""
    if component.kind != "dairy" or component.bulky:
        return False
    return not named(component, "cultured") and not named(component, "caseinate")


def carries_milk(component: Component) -> bool:
    """Class dairy, or milk of any animal among its allergens."""
    return component.kind == "dairy" or any("milk" in allergen.casefold() for allergen in component.allergens)


def animal(component: Component) -> str:
    """The animal whose milk it is, as its allergens or its name say; empty for the cow.

    >>> from nutrition.composition import Composition
    >>> from nutrition.product import Component
    >>> animal(Component("x", "goat milk", "dairy", "", "", 1.0, 1.0, Composition.none(), allergens=("goat milk",)))
    'goat'
    """
    known = {row["word"] for row in rows("allergen_animals.csv") if row["what"] == "milk"}
    said = " ".join((component.name, *(a for a in component.allergens if "milk" in a.casefold())))
    return next(iter(sorted(words(said.replace("\u2019", " ").replace("'", " ")) & known)), "")


def _stated(component: Component, key: str) -> Span | None:
    share = component.solids.get(key)
    return None if share is None else exactly(share * component.added_g)


def milkfat(component: Component) -> Span:
    """Milkfat of a component, g."""
    return _stated(component, "milkfat") or held(component, "total_fat")


def dry(component: Component) -> Span:
    """Total solids of a component: its weight less water and alcohol, g."""
    return exactly(component.present_g) - held(component, "water") - held(component, "alcohol")


def nonfat_milk_solids(component: Component) -> Span:
    """Nonfat milk solids of a component, g."""
    stated = _stated(component, "nonfat milk solids")
    return stated or dry(component) - held(component, "total_fat") - held(component, "added_sugars")


def whey_solids(component: Component) -> Span:
    """Whey solids of a component, g; all nonfat solids of what is called whey, none where nobody says so."""
    stated = _stated(component, "whey solids")
    if stated is not None:
        return stated
    return nonfat_milk_solids(component) if named(component, "whey") else ZERO


def egg_yolk_solids(component: Component) -> Span:
    """Egg yolk solids of a component, g: sugar of sugared yolk is not counted, of whole egg only its yolk."""
    stated = _stated(component, "egg yolk solids")
    if stated is not None:
        return stated
    if component.kind == "egg yolk":
        return dry(component) - held(component, "added_sugars")
    if component.kind == "egg":
        yolk = {row["what"]: float(row["grams"]) for row in rows("yolk.csv")}
        return held(component, "total_fat") * (yolk["yolk solids in 100 g"] / yolk["yolk fat in 100 g"])
    return ZERO


def other_fat(component: Component) -> Span:
    """Fat of a component that is neither milkfat nor egg's nor a flavour's own, g; none in bulky pieces."""
    if component.bulky or component.kind in {row["class"] for row in rows("fat_of_flavours.csv")}:
        return ZERO
    return held(component, "total_fat")


def bulky_weight(component: Component) -> Span:
    """What a component counts for as a bulky flavour, multiplied as the standard allows, g."""
    for row in rows("bulky_flavours.csv"):
        if row["bulky"] == component.bulky:
            return _basis(component, row["basis"]) * float(row["factor"])
    return ZERO


def _basis(component: Component, basis: str) -> Span:
    # What was lost is no longer a flavour of this food; water boiled off fruit and juice is brought back.
    whole = component.kind in {"fruit", "juice"} and component.boiled_g > 0
    weight = component.added_g if whole else min(component.added_g, component.present_g)
    if basis == "cocoa":
        stated = _stated(component, "cocoa solids")
        if stated is not None:
            return stated
        # Milk in chocolate cannot be told from cocoa; without a statement none of it is counted.
        return ZERO if carries_milk(component) else dry(component) - held(component, "total_sugars")
    if basis == "undried":
        for row in rows("undried_fruit.csv"):
            if row["word"] in words(component.name) | words(component.ingredient):
                return (dry(component)) * (100.0 / (100.0 - float(row["water_g"])))
    if component.kind == "juice":
        return exactly(max(weight, _single_strength(component)))
    return exactly(weight)


def _single_strength(component: Component) -> float:
    """Weight of the single-strength juice that a concentrate stands for, g; none where its Brix is not known."""
    brix, fractions = added_sugars.brix_of(component), component.as_added_fractions
    if brix is None or fractions is None:
        return 0.0
    return component.added_g * fractions[3] / (brix / 100.0)


def fruit_limit(components: Iterable[Component]) -> tuple[float, float]:
    """Weight of fruit and juice as added, g, and the per cent that the heaviest kind wants in a sherbet."""
    fruit = sorted((c for c in components if c.kind in {"fruit", "juice"}), key=lambda c: -c.added_g)
    if not fruit:
        return 0.0, 0.0
    name = words(fruit[0].name) | words(fruit[0].ingredient)
    table = rows("sherbet_fruit.csv")
    row = next((r for r in table if name & set(r["words"].split())), table[-1])
    return sum(c.added_g for c in fruit), float(row["pct"])


def measures(product: Product, of_animal: str = "") -> Mapping[str, Span]:
    """Every measure that a standard asks for, by its name in ``identity_standards.csv``; per cent, g or lb/gal.

    Args:
        product: the food.
        of_animal: whose milk counts, empty for the cow's.
    """
    parts, whole = product.components, exactly(product.net_g)

    def total(measure: Callable[[Component], Span], which: Iterable[Component]) -> Span:
        return sum((measure(c) for c in which), ZERO)

    milk = [c for c in parts if counts_as_milk(c) and animal(c) == of_animal]
    strange = [c for c in parts if c.kind == "dairy" and animal(c) != of_animal]
    fat, nonfat = total(milkfat, milk), total(nonfat_milk_solids, milk)
    yolk, bulky = total(egg_yolk_solids, parts), total(bulky_weight, parts)
    rest = whole - bulky
    milky = [c for c in parts if carries_milk(c)]
    water, alcohol = (_whole(product, key) for key in ("water", "alcohol"))
    gallon = LB_PER_GAL / product.net_ml
    per_serving = serving.reference_amount("ice cream")[1] / product.net_ml
    fat_g = _whole(product, "total_fat") * per_serving
    energy = calories.of_product(product)
    kcal = Span(energy.low, math.nan if energy.value is None else energy.value, energy.high) * per_serving
    usual = {row["key"]: float(row["amount"]) for row in rows("reference_foods.csv") if row["food"] == "ice cream"}
    fatness, richness = (a * (100.0 / usual[key]) for a, key in ((fat_g, "total_fat"), (kcal, "energy")))
    light = [fatness * (1 / HALF), richness * (1 / TWO_THIRDS)]
    return {
        "milkfat": fat.per_cent_of(whole),
        "nonfat milk solids": nonfat.per_cent_of(whole),
        "milk solids": (fat + nonfat).per_cent_of(whole),
        "milkfat less bulky": fat.per_cent_of(rest),
        "milk solids less bulky": (fat + nonfat).per_cent_of(rest),
        "whey share": total(whey_solids, milk).per_cent_of(nonfat),
        "egg yolk": yolk.per_cent_of(whole),
        "egg yolk less bulky": yolk.per_cent_of(rest),
        "other fat": total(other_fat, parts).per_cent_of(whole),
        "milk ingredients": exactly(sum(c.present_g for c in milky)).per_cent_of(whole),
        "fat": _whole(product, "total_fat").per_cent_of(whole),
        "protein": _whole(product, "protein").per_cent_of(whole),
        "fruit": exactly(fruit_limit(parts)[0]).per_cent_of(whole),
        "bulky": bulky.per_cent_of(whole),
        "weight": whole * gallon,
        "solids weight": (whole - water - alcohol) * gallon,
        "other milk": exactly(sum(c.present_g for c in strange)).per_cent_of(whole),
        "fat of serving": fat_g,
        "fat of reference": fatness,
        "light": Span(min(x.low for x in light), _least([x.value for x in light]), min(x.high for x in light)),
    }


def _least(values: list[float]) -> float:
    return math.nan if any(math.isnan(value) for value in values) else min(values)


def _whole(product: Product, key: str) -> Span:
    low, high = product.composition.bounds(key)
    value = product.composition.amount(key)
    return Span(low, math.nan if value is None else value, high)
