"""A chain of trade: what each hand keeps on the way from the maker to the shelf.

Everybody's margin is a share of the price at which they sell on (retail margin = (price − cost) / price; common
practice of the grocery trade, from memory). So a price going down the chain, from the shelf to the maker, is
multiplied by 1 − margin at every hand.

A pint at 8.99 on the shelf, of which the grocer keeps 35 % and the distributor 25 % of what the grocer pays:
8.99 × 0.65 = 5.8435, and × 0.75 = 4.382625 for the maker.

>>> round(maker_price(8.99, (0.25, 0.35)), 6)
4.382625
>>> round(shelf_price(4.382625, (0.25, 0.35)), 6)
8.99
"""

from __future__ import annotations

from math import prod
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


def kept(margins: Sequence[float]) -> float:
    """What of the shelf price reaches the maker, above 0 and up to 1.

    Args:
        margins: of each hand, 0 to below 1, from the maker to the shelf.

    >>> kept((0.5, 0.5)), kept(())
    (0.25, 1.0)
    """
    return float(prod(1.0 - margin for margin in margins))


def maker_price(shelf: float, margins: Sequence[float]) -> float:
    """What the maker gets for what costs so much on the shelf.

    Args:
        shelf: price on the shelf, without tax.
        margins: of each hand, 0 to below 1, from the maker to the shelf.
    """
    return shelf * kept(margins)


def shelf_price(maker: float, margins: Sequence[float]) -> float:
    """The price on the shelf of what the maker sells for so much.

    Args:
        maker: what the maker gets.
        margins: of each hand, 0 to below 1, from the maker to the shelf.
    """
    return maker / kept(margins)


def prices(maker: float, margins: Sequence[float]) -> tuple[float, ...]:
    """At what price each hand sells on, the last of them being the price on the shelf.

    >>> [round(price, 4) for price in prices(4.382625, (0.25, 0.35))]
    [5.8435, 8.99]
    """
    out = []
    price = maker
    for margin in margins:
        price = price / (1.0 - margin)
        out.append(price)
    return tuple(out)
