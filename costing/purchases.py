"""From what pots took to what was bought: unusable shares, and one purchase shared by two ingredients.

An ingredient goes into a pot at its usable weight; more of it was bought, and all of that is paid for. Some come out
of another bought thing (yolks of eggs): two of them in one recipe share the purchase, whose size is the larger need,
and its money divides between them by weight.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from costing.kitchen.bench import GramPrice

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from costing.kitchen.bench import Purchase
    from costing.kitchen.materials import Pantry
    from costing.prices.book import PriceBook, Priced

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Bought:
    """One bought thing.

    Args:
        name: the ingredient that was bought.
        used_g: weight of it, or of what came out of it, that went into pots, g, ``(draws,)``.
        bought_g: weight bought, g, ``(draws,)``.
        price: its price, None where there is none.
        uses: what came out of it (ingredients; itself if it was used as it is).
    """

    name: str
    used_g: Floats
    bought_g: Floats
    price: Priced | None
    uses: tuple[str, ...]

    @property
    def cost(self) -> Floats:
        """What it cost, in the shop's currency; ``nan`` without a price."""
        per_gram = self.price.per_gram if self.price else np.nan
        return self.bought_g * per_gram

    @property
    def value_used(self) -> Floats:
        """The as-bought value of the very grams that went into pots."""
        per_gram = self.price.per_gram if self.price else np.nan
        return self.used_g * per_gram


class Purchasing:
    """Prices of what goes into pots.

    Args:
        pantry: the shop's ingredients.
        book: its prices on the day.
    """

    def __init__(self, pantry: Pantry, book: PriceBook) -> None:
        self.pantry = pantry
        self.book = book

    def source(self, ingredient: str) -> tuple[str, float | None]:
        """What is bought for an ingredient, and the share of it that the ingredient is (None: by its usable share)."""
        for name, share in self.pantry[ingredient].entry.comes_from.items():
            return name, share.mid
        return ingredient, None

    def share(self, purchase: Purchase) -> float:
        """Weight in the pot over weight bought, 0 to 1."""
        ingredient, as_bought = purchase
        _, share = self.source(ingredient)
        usable = self.pantry[ingredient].usable if share is None else share
        return 1.0 if as_bought and share is None else usable

    def bought(self, used: Mapping[Purchase, Floats]) -> tuple[Bought, ...]:
        """What was bought for what pots took.

        Args:
            used: purchase to weight that went into pots, g.
        """
        by_source: dict[str, dict[Purchase, Floats]] = {}
        for purchase, grams in used.items():
            by_source.setdefault(self.source(purchase[0])[0], {})[purchase] = grams
        out = []
        for name, uses in by_source.items():
            alone, shared = _needs(uses, self)
            total = sum(uses.values(), np.zeros(1))
            out.append(
                Bought(
                    name,
                    total,
                    alone + shared,
                    self.book.ingredient(name),
                    tuple(dict.fromkeys(key[0] for key in uses)),
                )
            )
        return tuple(out)

    def pricing(self, used: Mapping[Purchase, Floats]) -> _Prices:
        """What a gram in the pot brings along; shared purchases need the weights used.

        Args:
            used: purchase to weight, g; empty while it is not known.
        """
        return _Prices(self, used)


def _needs(uses: Mapping[Purchase, Floats], purchasing: Purchasing) -> tuple[Floats, Floats]:
    """Weight to buy for what is used alone, and for what can come out of one purchase together."""
    alone, shared = np.zeros(1), np.zeros(1)
    for purchase, grams in uses.items():
        need = grams / purchasing.share(purchase)
        if purchasing.source(purchase[0])[1] is None:
            alone = alone + need
        else:
            shared = np.maximum(shared, need)
    return alone, shared


class _Prices(dict["Purchase", GramPrice]):
    """Purchase to price of a gram, worked out when first asked for."""

    def __init__(self, purchasing: Purchasing, used: Mapping[Purchase, Floats]) -> None:
        super().__init__()
        self._purchasing = purchasing
        self._used = used

    def __missing__(self, purchase: Purchase) -> GramPrice:
        purchasing = self._purchasing
        name, share = purchasing.source(purchase[0])
        priced = purchasing.book.ingredient(name)
        per_gram = priced.per_gram if priced else float("nan")
        carried: float | Floats = per_gram / purchasing.share(purchase)
        if share is not None:
            sources = {other: purchasing.source(other[0]) for other in self._used}
            together = {
                other: grams
                for other, grams in self._used.items()
                if sources[other][0] == name and sources[other][1] is not None
            }
            if len(together) > 1:
                _, need = _needs(together, purchasing)
                total = sum(together.values(), np.zeros(1))
                carried = per_gram * np.divide(need, total, out=np.zeros_like(need), where=total > 0)
        self[purchase] = GramPrice(carried, per_gram)
        return self[purchase]
