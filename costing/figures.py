"""Money of a batch in every draw: what it costs by kind, for the batch and for one container of each kind.

Only ingredients put money into pots; labour, packaging and overhead fall on what is sold; what is saved is a credit.
What containers share (all but their packaging) divides by the volume that goes into them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from costing.kitchen.pot import MONEY

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from costing.kitchen.bench import FilledPots
    from costing.kitchen.brew import Brew
    from costing.prices.book import PriceBook
    from costing.purchases import Bought
    from costing.shop.models import ShopModel

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Money:
    """Money by kind in the shop's currency, each ``(draws,)``; ``saved`` is zero or below."""

    ingredients: Floats
    packaging: Floats
    labour: Floats
    overhead: Floats
    saved: Floats

    @property
    def total(self) -> Floats:
        """All kinds together."""
        return self.ingredients + self.packaging + self.labour + self.overhead + self.saved


def packaging(filled: FilledPots, book: PriceBook) -> Floats:
    """What the packaging of all containers of one kind costs, ``(draws,)``; ``nan`` without a price."""
    total = np.zeros_like(filled.count)
    for name, amount in filled.container.made_of.items():
        price = book.item(name)
        total = total + amount.figure.mid * filled.count * (price.per_each if price else np.nan)
    return total


def batch(brew: Brew, shop: ShopModel, bought: Sequence[Bought], book: PriceBook) -> Money:
    """What a batch costs.

    Args:
        brew: the batch.
        shop: its shop.
        bought: what was bought for it.
        book: prices of packaging.
    """
    none = brew.draws.full(0.0)
    first = next(iter(shop.wages), "")
    labour = none
    for use in brew.labour:
        labour = labour + use.seconds / 3600.0 * shop.wages.get(use.role or first, float("nan"))
    return Money(
        ingredients=sum((one.cost for one in bought), none),
        packaging=sum((packaging(one, book) for one in brew.filled), none),
        labour=labour,
        overhead=shop.overhead.per_batch + shop.overhead.of_labour.mid * labour,
        saved=none - sum((one.pot.ledger(MONEY) for one in brew.saved), none),
    )


def per_container(whole: Money, brew: Brew, book: PriceBook) -> list[Money]:
    """What one container of each kind costs.

    Args:
        whole: the batch's money.
        brew: the batch.
        book: prices of packaging.

    Returns:
        The money of one of each kind; ``nan`` where the batch fills none of it, for then nobody knows.
    """
    volumes = [one.count * one.ml for one in brew.filled]
    everything = sum(volumes, brew.draws.full(0.0))
    out = []
    for filled, ml in zip(brew.filled, volumes, strict=True):
        share = _over(_over(ml, everything), filled.count)
        out.append(
            Money(
                whole.ingredients * share,
                _over(packaging(filled, book), filled.count),
                whole.labour * share,
                whole.overhead * share,
                whole.saved * share,
            )
        )
    return out


def _over(part: Floats, whole: Floats) -> Floats:
    out: Floats = np.divide(part, whole, out=np.full_like(part, np.nan), where=whole > 0)
    return out
