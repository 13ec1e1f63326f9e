"""What a way of selling leaves: net of fees, less the cost, and the price that would meet a target.

- fees = price × fee share + fixed fee
- margin = price − fees − cost; margin % = margin / price; markup % = margin / cost
- price for a target margin = (cost + fixed fee) / (1 − fee share − target), where that divisor is above zero

Sales tax stands outside: prices are without it. Nothing is rounded here.

>>> margin(price=10.0, cost=4.0, fee_share=0.03, fee_fixed=0.30)
5.4
>>> price_for_target(cost=4.0, target=0.5, fee_share=0.0, fee_fixed=0.0)
8.0
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.results import ChannelResult
from costing.selling import ratios
from costing.selling.terms import Terms

if TYPE_CHECKING:
    from costing.shop.models import Channel


def fees(price: float, fee_share: float = 0.0, fee_fixed: float = 0.0) -> float:
    """What a sale takes away, in the shop's currency.

    Args:
        price: of one container, without tax.
        fee_share: 0 to 1 of the price.
        fee_fixed: money a sale.

    >>> fees(10.0, 0.03, 0.25)
    0.55
    """
    return price * fee_share + fee_fixed


def margin(price: float, cost: float, fee_share: float = 0.0, fee_fixed: float = 0.0) -> float:
    """What one container leaves, in the shop's currency; below zero it is a loss.

    >>> margin(5.0, 4.0)
    1.0
    """
    return price - fees(price, fee_share, fee_fixed) - cost


def price_for_target(cost: float, target: float, fee_share: float = 0.0, fee_fixed: float = 0.0) -> float | None:
    """The price at which the margin is the wanted share of the price.

    Args:
        cost: of one container, in the shop's currency.
        target: wanted margin, 0 to 1 of the price.
        fee_share: 0 to 1 of the price.
        fee_fixed: money a sale.

    Returns:
        The price in the shop's currency; None where fees and target together take the whole price, so that
        none is high enough. Where there is nothing to recover any price meets the target, and the answer is 0.

    >>> price_for_target(4.0, target=0.97, fee_share=0.03) is None
    True
    """
    # 1 - 0.03 - 0.97 is a hair above zero in binary; such a hair is zero.
    left = round(1.0 - fee_share - target, 12)
    if left <= 0:
        return None
    # Written so that an unknown cost gives an unknown price; max() would make it 0.
    price = (cost + fee_fixed) / left
    return 0.0 if price < 0 else price


def channel(
    selling: Channel,
    cost: float,
    containers: int,
    own_price: float | None = None,
    terms: Terms | None = None,
    units: float = 1.0,
) -> ChannelResult:
    """What one channel leaves for a recipe.

    Args:
        selling: the channel, with its price, its fees and its target.
        cost: of one container, in the shop's currency.
        containers: how many whole ones a batch sells.
        own_price: the recipe's own price there, in place of the channel's.
        terms: everything else that the way of selling takes (:mod:`costing.selling.terms`); its fees, if not given.
        units: what customers pay for out of one container: 1, or its scoops.

    Returns:
        Price, fees, cost, margin and the price for the target, all of one unit that is paid for, as the maker gets
        it; percentages run 0 to 100 and are None where they would divide by nothing.
    """
    terms = terms or Terms(selling.fee_share, selling.fee_fixed)
    price = terms.price(selling.price if own_price is None else own_price)
    each = cost / units
    left = terms.margin(price, each)
    target = selling.target_margin
    wanted = None if target is None else terms.price_for_target(each, target)
    return ChannelResult(
        name=selling.name,
        price=price,
        fees=terms.fees(price, each),
        cost=each,
        margin=left,
        margin_pct=ratios.margin_pct(left, price),
        markup_pct=ratios.markup_pct(left, each),
        target_pct=None if target is None else 100.0 * target,
        price_for_target=0.0 if wanted is not None and wanted < 0 else wanted,  # max() would make an unknown one 0
        batch_margin=left * containers * units * terms.paid,
    )
