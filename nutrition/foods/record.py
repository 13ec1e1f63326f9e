"""One food as a source describes it: amounts in 100 g, household measures, refuse.

>>> water().id
'water'
"""

from __future__ import annotations

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING

from nutrition.composition import Composition
from nutrition.nutrients import keys

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True)
class Measure:
    """A household measure of a food.

    Args:
        text: the measure as the source writes it, amount included (``1 cup, chopped``).
        grams: what it weighs, g.
    """

    text: str
    grams: float


@dataclass(frozen=True, slots=True)
class FoodRecord:
    """A food, from one source.

    Args:
        id: ``usda:01053``, ``fdc:171265``, ``spec:duck-skin`` or ``water``.
        name: the source's name for it.
        source: the source, release and date, for people to read.
        composition: what 100 g of the edible part hold.
        group: the USDA food group code (``0100``), empty where there is none.
        measures: household measures.
        refuse: the share of the bought weight that is not eaten, 0 to 1; None where unknown.
        estimated: for each nutrient whose value is an estimate, the words that say from what.
        factors: kcal in a gram of protein, fat and carbohydrate that the source used, where it says so.
        rounded: the values come from a printed label and are intervals.
        release: the release of the source, as an ISO date where it has one.
        published: the ISO date that the source gives this record; empty where it gives none.
        details: what else the source says, in words: brand, gtin, ingredients, household serving and so on.
        problems: what of the source could not be read, in words.
        made_of: what the source says that it is made of, in order, with the share (0 to 1) where it is known.
        like: id of another record that it takes over what it does not say itself; empty where there is none.
    """

    id: str
    name: str
    source: str
    composition: Composition
    group: str = ""
    measures: tuple[Measure, ...] = ()
    refuse: float | None = None
    estimated: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    factors: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    rounded: bool = False
    release: str = ""
    published: str = ""
    details: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    problems: tuple[str, ...] = ()
    made_of: tuple[tuple[str, float | None], ...] = ()
    like: str = ""


def water() -> FoodRecord:
    """Drinking water: nothing but water.

    The minerals of tap water differ from place to place and are taken as nothing worth counting
    (common practice).
    """
    amounts = dict.fromkeys(keys(), 0.0) | {"water": 100.0}
    return FoodRecord("water", "Water", "by definition", Composition.of(100.0, amounts))
