"""What an ingredient is to the kitchen: fractions, nutrients on each fraction, state, allergens.

A :class:`Material` joins the shop's entry to its food record. Every nutrient rides on a fraction, so what a finished
food holds is one product of weights and these tables.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from costing.amounts import Kind
from costing.kitchen.pot import FAT, SOLUBLES, Tag
from costing.kitchen.straining import Default, default
from costing.measures import weigh
from nutrition import resources
from nutrition.composition import Composition
from nutrition.foods.fractions import fractions
from nutrition.law.us import added_sugars
from nutrition.nutrients import index

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from costing.amounts import Amount
    from costing.shop.models import Ingredient
    from nutrition.foods.record import FoodRecord

    Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Material:
    """An ingredient with its food record.

    Args:
        entry: the shop's entry.
        record: the food record behind it.
    """

    entry: Ingredient
    record: FoodRecord

    @cached_property
    def fractions(self) -> Floats:
        """Shares of water, alcohol, fat, solubles, insolubles, shape ``(5,)``; they add up to 1."""
        return fractions(self.record).shares

    @cached_property
    def nutrients(self) -> Floats:
        """Low, value and high of every nutrient in a gram of each fraction, shape ``(3, 5, nutrients)``."""
        found = fractions(self.record)
        tables = np.stack([found.low, found.value, found.high])
        place = index("added_sugars")
        tables[:, :, place] = 0.0
        entry = self.entry
        food = self.record.composition
        if entry.allulose is not None:
            food, tables = self._without_allulose(food, tables, entry.allulose.mid)
        stated = None if entry.added_sugars is None else entry.added_sugars.mid
        names = (entry.label, *(sub.name for sub in entry.made_of))
        own = added_sugars.of_record(entry.kind, self.record.composition) if stated is None else None
        interval = own or added_sugars.for_class(entry.kind, food, stated, names)
        carrier = SOLUBLES if self.fractions[SOLUBLES] > 0 else int(np.argmax(self.fractions))
        tables[:, carrier, place] = np.array(interval) / 100.0 / self.fractions[carrier]
        return tables

    def _without_allulose(self, food: Composition, tables: Floats, share: float) -> tuple[Composition, Floats]:
        """Allulose is a carbohydrate and no sugar of the panel: what is not carbohydrate beside it is no sugar."""
        most = max(0.0, food.bounds("total_carbohydrate")[1] - 100.0 * share)
        low, high = food.bounds("total_sugars")
        known = food.amount("total_sugars")
        now = (min(low, most), math.nan if known is None else min(known, most), min(high, most))
        place = index("total_sugars")
        carrier = int(np.argmax(tables[2, :, place])) if high > 0 else SOLUBLES
        scale = self.fractions[carrier] * 100.0
        if scale > 0:
            tables[:, carrier, place] = np.array(now) / scale
        return Composition.of(100.0, {"total_sugars": now}), tables

    @cached_property
    def state(self) -> str:
        """``liquid``, ``dissolves``, ``melts`` or ``solid``."""
        if self.entry.state:
            return str(self.entry.state)
        by_class = {row["class"]: row["state"] for row in resources.table("kitchen", "states.csv")}
        return by_class[self.entry.kind]

    @cached_property
    def allergens(self) -> frozenset[str]:
        """Major allergens; a highly refined oil has none (FD&C Act 201(qq)(2)(A))."""
        refined = self.entry.highly_refined and self.fractions[FAT] > 0.9
        return frozenset() if refined else frozenset(self.entry.allergens)

    @cached_property
    def usable(self) -> float:
        """Share of the bought weight that goes into a pot, 0 to 1."""
        if self.entry.usable is not None:
            return self.entry.usable.mid
        return 1.0 - (self.record.refuse or 0.0)

    @cached_property
    def tag(self) -> Tag:
        """What a fresh piece of it is called."""
        return Tag(self.entry.name, frozenset({self.entry.name}), self.state)

    def weigh(self, amount: Amount) -> tuple[float, float]:
        """Least and greatest weight of an amount, g.

        Raises:
            costing.measures.MeasureError: the food does not have that measure.
        """
        if amount.kind is Kind.WEIGHT:
            return amount.figure.low, amount.figure.high
        return weigh(amount, self.entry, self.record)

    @cached_property
    def strained(self) -> Default | None:
        """What it holds of the liquid and gives of its solubles when strained out, by its form; None if unknown."""
        return default(self.entry.kind, (self.entry.name, self.entry.label, self.record.name))


class Pantry(dict[str, Material]):
    """Every ingredient of a shop by name; a material is made when it is first asked for.

    Args:
        entries: the shop's entries.
        records: food id to food record.
    """

    def __init__(self, entries: Mapping[str, Ingredient], records: Mapping[str, FoodRecord]) -> None:
        super().__init__()
        self._entries = entries
        self._records = records

    def __missing__(self, name: str) -> Material:
        entry = self._entries[name]
        self[name] = Material(entry, self._records[entry.food])
        return self[name]

    def __contains__(self, name: object) -> bool:
        return name in self._entries

    def get(self, name: str, default: Any = None) -> Any:
        """The material of that name, or the default where the shop has no such ingredient."""
        return self[name] if name in self._entries else default
