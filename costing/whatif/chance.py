"""The chance that a flavour meets its target margin: the share of what can happen in the kitchen in which it does.

4,096 draws of every range that the recipe gives (:mod:`costing.spread`), draws that no kitchen can do left out. What is
certain in the recipe is taken as certain here, so the chance is one *given* the prices, wages and figures without a
range; it is the chance of a batch of which nothing else is known but its ranges.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from costing import figures, spread
from costing.kitchen.draws import Draws
from costing.purchases import Purchasing
from costing.selling import terms

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from costing.desk import Shop
    from costing.kitchen.brew import Brew

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Chance:
    """The chance to meet the target of one channel.

    Args:
        channel: its name.
        target_pct: the margin wanted, 0 to 100 of the price.
        chance_pct: share of the possible draws that meet it, 0 to 100; None where a price is missing.
        draws: how many draws were possible; 1 where the recipe has no range.
    """

    channel: str
    target_pct: float
    chance_pct: float | None
    draws: int


def chances(shop: Shop, key: str, draws: int = spread.DRAWS) -> tuple[Chance, ...]:
    """The chance that a recipe meets the target of each channel that has one and sells it.

    Args:
        shop: the shop.
        key: the recipe.
        draws: how many; a recipe without ranges needs only one.

    Returns:
        One for each such channel, in the shop's order; none if no draw can be made in a kitchen.

    Raises:
        KitchenError: the recipe cannot be made even without ranges.
    """
    few = Draws(2)
    brew = shop.brew(key, few)
    brew = shop.brew(key, Draws(draws)) if few.assumptions else shop.brew(key)
    return of_brew(shop, brew)


def of_brew(shop: Shop, brew: Brew) -> tuple[Chance, ...]:
    """The chances of a batch that was sampled already.

    Args:
        shop: its shop.
        brew: the batch; the plain answer counts as one draw.
    """
    possible = brew.draws.possible
    count = int(possible.sum())
    if not brew.filled or not count:
        return ()
    whole = figures.batch(brew, shop.model, Purchasing(shop.pantry, shop.book).bought(brew.used), shop.book)
    costs = [one.total for one in figures.per_container(whole, brew, shop.book)]
    kinds = [one.container.name for one in brew.filled]
    found = []
    for channel in shop.model.channels.values():
        place = terms.place(channel, kinds)
        if place is None or channel.target_margin is None:
            continue
        own = terms.of(channel, shop.book.each)
        price = own.price(brew.recipe.prices.get(channel.name, channel.price))
        cost: Floats = costs[place] / terms.units(channel, brew.filled[place].grams)
        margin = own.margin(price, cost)[possible]
        met = np.round(margin, 9) >= round(price * channel.target_margin, 9)
        share = 100.0 * float(met.mean()) if np.isfinite(margin).all() else None
        found.append(Chance(channel.name, 100.0 * channel.target_margin, share, count))
    return tuple(found)
