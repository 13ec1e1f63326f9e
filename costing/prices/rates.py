"""What a unit of another currency costs, by rates that the owner enters, with or without dates.

    rates: {EUR: 1.08}
    rates: {EUR: {2026-01-01: 1.08, 2026-02-15: 1.10}, CAD: 0.73}

The newest rate on or before the day counts: the day whose prices are asked for (``--as-of``), because that is when the
shop would pay. A history of prices takes the rate of each day instead.

>>> from datetime import date
>>> worth({"EUR": {date(2026, 1, 1): 1.08, date(2026, 2, 15): 1.10}}, "EUR", date(2026, 2, 14))
1.08
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from costing.shop.models import ShopModel

Rate = float | Mapping[date, float]
"""What one unit costs in the shop's currency: always, or from a day on."""


def worth(rates: Mapping[str, Rate], code: str, day: date) -> float | None:
    """What one unit of a currency costs on a day.

    Args:
        rates: of a shop.
        code: the currency.
        day: the day.

    Returns:
        Money in the shop's currency; None where no rate is known on the day.
    """
    rate = rates.get(code)
    if not isinstance(rate, Mapping):
        return rate
    began = max((one for one in rate if one <= day), default=None)
    return None if began is None else rate[began]


def converted(model: ShopModel, money: float, code: str, day: date) -> float | None:
    """Money in the shop's currency.

    Args:
        model: the shop.
        money: in a currency.
        code: that currency.
        day: whose rate counts.

    Returns:
        The same in the shop's currency; None where no rate is known on the day.
    """
    if code == model.currency:
        return money
    rate = worth(model.rates, code, day)
    return None if rate is None else money * rate


def missing(rates: Mapping[str, Rate], code: str, home: str) -> tuple[str, str]:
    """What is wrong where a currency has no rate on a day, and how to mend it.

    Args:
        rates: of a shop.
        code: the currency.
        home: the shop's currency.
    """
    dated = rates.get(code)
    if isinstance(dated, Mapping) and dated:
        first = min(dated).isoformat()
        return (
            f"the price is in {code}, and the shop's first rate for it is of {first}, after the day",
            f"add an earlier one to 'rates' in shop.yaml, or ask with --as-of {first}",
        )
    return (
        f"the price is in {code}, and the shop has no rate for it",
        f"add 'rates: {{{code}: ...}}' to shop.yaml, with what one {code} costs in {home}",
    )
