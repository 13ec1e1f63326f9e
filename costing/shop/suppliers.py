"""What suppliers ask beside their prices: freight, the least they deliver, and how often the shop orders.

    suppliers:
      Wrenlock Kitchen Supply: {freight: 18 per order, usual order: 240, minimum order: 150, order every: 2 weeks}
      Saltmarsh Hollow Dairy: {freight: none}
      Barrow & Finch Provisioners: {freight: 4 % + 12 per order, usual order: 400, free from: 600}

Money is in the shop's currency. Freight of an order is spread by value over a usual order, so that each unit of money
spent on goods carries the same share of it:

    share = share of the order's value + freight per order / usual order

and nothing where a usual order reaches ``free from``. Freight that nobody has stated is unknown, and so is a freight
per order without a usual order; neither is taken for none.

>>> freight("18 per order"), freight("4 % + 12 per order"), freight("none")
(Freight(per_order=18.0, share=0.0), Freight(per_order=12.0, share=0.04), Freight(per_order=0.0, share=0.0))
>>> every("2 weeks")
14.0
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Final

from pydantic import Field, PlainValidator

from costing.digits import UnreadableError, clean, number
from costing.shop import fields as f
from costing.shop import words

_FREIGHT: Final = "write it as 18 per order, 4 %, 4 % + 12 per order, or none"
_PER_ORDER: Final = re.compile(r"(.+?) ?(?:/ ?|(?:per|an?) )(?:order|delivery)", re.IGNORECASE)
_EVERY: Final = re.compile(r"(?:every )?([0-9.]+ ?)?(day|week|fortnight|month)s?", re.IGNORECASE)
_DAYS: Final = {"day": 1.0, "week": 7.0, "fortnight": 14.0, "month": 365.25 / 12}
DAYS_A_MONTH: Final = 365.25 / 12


@dataclass(frozen=True, slots=True)
class Freight:
    """What a delivery costs.

    Args:
        per_order: money for each order.
        share: of the order's value, 0 to below 1.
    """

    per_order: float
    share: float


def freight(text: object, currency: str = "") -> Freight:
    """What a supplier asks for bringing an order.

    Args:
        text: ``18 per order``, ``4 %``, both with ``+`` between them, or ``none``.
        currency: the shop's currency.

    Raises:
        UnreadableError: it is none of these.
    """
    if isinstance(text, Freight):
        return text
    plain = clean(text)
    if plain.casefold() in ("none", "0", "free"):
        return Freight(0.0, 0.0)
    per_order, share = 0.0, 0.0
    bits = [bit.strip() for bit in plain.split("+")]
    kinds = ["share" if bit.endswith("%") else "order" for bit in bits]
    if len(set(kinds)) != len(kinds):
        raise UnreadableError(f"'{plain}' is no freight", _FREIGHT)
    for bit in bits:
        if bit.endswith("%"):
            share = words.plain_share(bit)
            continue
        found = _PER_ORDER.fullmatch(bit)
        if found is None:
            raise UnreadableError(f"'{plain}' does not say for what it is", _FREIGHT)
        per_order = words.money(found[1], currency)
    return Freight(per_order, share)


def every(text: object) -> float:
    """How many days lie between two orders.

    Args:
        text: ``2 weeks``, ``every month``.

    Raises:
        UnreadableError: it is no such time.
    """
    if isinstance(text, float):
        return text
    plain = clean(text)
    found = _EVERY.fullmatch(plain)
    days = float(number((found[1] or "1").strip())) * _DAYS[found[2].casefold()] if found else 0.0
    if not 0 < days <= 3653:
        raise UnreadableError(f"'{plain}' is not how often something is ordered", "write it as 2 weeks")
    return days


def _above_zero(text: object, currency: str) -> float:
    value = words.money(text, currency)
    if value == 0:
        raise UnreadableError("an order of nothing is no order", "write what is ordered, or take the line out")
    return value


AskedFreight = Annotated[Freight, f.in_currency(freight)]
OrderMoney = Annotated[float, f.in_currency(_above_zero)]


class Supplier(f.Placed):
    """What a supplier asks for an order; money in the shop's currency, ``order_every`` in days."""

    name: str
    freight: AskedFreight | None = None
    usual_order: OrderMoney | None = Field(default=None, alias="usual order")
    minimum_order: OrderMoney | None = Field(default=None, alias="minimum order")
    free_from: OrderMoney | None = Field(default=None, alias="free from")
    order_every: Annotated[float, PlainValidator(every)] | None = Field(default=None, alias="order every")
    note: f.Words | None = None

    def freight_of(self, order: float) -> float | None:
        """What bringing an order costs.

        Args:
            order: its value, in the shop's currency.

        Returns:
            Money; None where nobody has stated the freight.
        """
        if self.freight is None:
            return None
        if self.free_from is not None and order >= self.free_from:
            return 0.0
        return self.freight.per_order + self.freight.share * order

    @property
    def share(self) -> float | None:
        """Freight as a share of what goods cost, over a usual order; None where it is not known.

        >>> Supplier.model_validate({"name": "N", "where": "", "freight": "18 per order", "usual order": "240"}).share
        0.075
        """
        if self.freight is None:
            return None
        if self.usual_order is not None:
            return (self.freight_of(self.usual_order) or 0.0) / self.usual_order
        # A share alone is the same for every order, unless large ones are free.
        known = self.freight.per_order == 0 and (self.free_from is None or self.freight.share == 0)
        return self.freight.share if known else None

    @property
    def most(self) -> float | None:
        """The most that the share can be, of the least order that is delivered; None where nothing bounds it."""
        if self.freight is None or self.minimum_order is None:
            return self.share
        return (self.freight_of(self.minimum_order) or 0.0) / self.minimum_order

    @property
    def monthly(self) -> float | None:
        """Freight a month, where the usual order and how often it is made are known."""
        if self.usual_order is None or self.order_every is None:
            return None
        once = self.freight_of(self.usual_order)
        return None if once is None else once * DAYS_A_MONTH / self.order_every
