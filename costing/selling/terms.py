"""The terms of a channel for one recipe, brought to one form, whatever the way of selling.

One *unit* is what a customer pays for: a container, or a scoop. With ``units`` in a container, of which a share
``paid`` is paid for, and money all per unit:

- price = written price × ``kept``, where the written price is that on the shelf; else the written price
- cost = cost of a container / units
- fees = price × ``share`` + ``fixed`` + ``extras`` + ``day`` + cost × (1 / paid − 1)
- margin = price − fees − cost; contribution = margin + ``day``
- price for a target = (cost / paid + fixed + extras + day) / (1 − share − target)

For a plain channel (one unit, all paid, no extras) this is what :mod:`costing.margin` has always said.

>>> terms = Terms(share=0.029, fixed=0.30, day=0.75, paid=0.95)
>>> round(terms.fees(price=10.0, cost=4.0), 6), round(terms.margin(price=10.0, cost=4.0), 6)
(1.550526, 4.449474)
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from costing.selling import chain, scoops, stall, unpaid

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from costing.shop.models import Channel

Number = TypeVar("Number", "float", "NDArray[np.float64]")


@dataclass(frozen=True, slots=True)
class Terms:
    """Terms of one channel for one kind of container.

    Args:
        share: what the channel keeps, 0 to below 1 of the price.
        fixed: money a unit that is sold.
        extras: money a unit for what goes out with it (a cone).
        day: money a unit, its share of the day's fee.
        paid: share of the units going out that is paid for, above 0.
        kept: what of the written price reaches the maker.
    """

    share: float = 0.0
    fixed: float = 0.0
    extras: float = 0.0
    day: float = 0.0
    paid: float = 1.0
    kept: float = 1.0

    @property
    def each(self) -> float:
        """Money a unit that does not depend on its price or its cost."""
        return self.fixed + self.extras + self.day

    def price(self, written: float) -> float:
        """What the maker gets for a unit, by the price as written."""
        return written * self.kept

    def fees(self, price: float, cost: Number) -> Number:
        """Everything that the way of selling takes from a unit that is sold.

        Args:
            price: what the maker gets for it.
            cost: what making it cost.
        """
        taken = price * self.share + self.each
        # Where all is paid for, the fees are known even if the cost is not.
        return cost * unpaid.burden(1.0, self.paid) + taken if self.paid < 1.0 else taken  # type: ignore[return-value]

    def margin(self, price: float, cost: Number) -> Number:
        """What a unit that is sold leaves; arguments as those of :meth:`fees`."""
        return price - self.fees(price, cost) - cost

    def price_for_target(self, cost: Number, target: float) -> Number | None:
        """What the maker must get for a unit, so that the margin is a share of it.

        Args:
            cost: what making it cost.
            target: wanted margin, 0 to below 1 of the price.

        Returns:
            The price, below 0 where saved things more than pay for it; None where no price is high enough.
        """
        left = self.left(target)
        return None if left <= 0 else (cost / self.paid + self.each) / left

    def left(self, target: float) -> float:
        """What of a price the cost may take; 1 - 0.03 - 0.97 is a hair above zero in binary, and counts as zero."""
        return round(1.0 - self.share - target, 12)


def of(channel: Channel, each: Callable[[str], float]) -> Terms:
    """The terms of a channel.

    Args:
        channel: the channel.
        each: what one of a thing of the price lists costs, by its name; ``nan`` where it has no price.
    """
    sold = channel.scoops
    extras = 0.0
    if sold is not None:
        extras = sold.cone_money + sum(many * each(name) for name, many in sold.cone.items())
    return Terms(
        share=channel.fee_share,
        fixed=channel.fee_fixed,
        extras=extras,
        day=stall.share_of_fee(channel.stall.fee, channel.stall.sells) if channel.stall else 0.0,
        paid=unpaid.paid(channel.returns, channel.samples),
        kept=chain.kept(margins(channel)) if channel.at_shelf else 1.0,
    )


def place(channel: Channel, kinds: Sequence[str]) -> int | None:
    """Which of the containers that a recipe fills a channel sells, by place from 0; None where it sells none of them.

    Args:
        channel: the channel; the first kind where it names none.
        kinds: containers that the recipe fills, in order.
    """
    if channel.container is None:
        return 0 if kinds else None
    return kinds.index(channel.container) if channel.container in kinds else None


def margins(channel: Channel) -> tuple[float, ...]:
    """The margin of each hand in a channel's chain, from the maker to the shelf."""
    return tuple(link.margin for link in channel.chain)


def units(channel: Channel, net_g: Number) -> Number:
    """How many units are in a container.

    Args:
        channel: the channel.
        net_g: what is in the container, g.
    """
    sold = channel.scoops
    if sold is None:
        return net_g * 0.0 + 1.0
    return scoops.scoops(net_g, sold.weight, sold.waste)  # type: ignore[arg-type, return-value]
