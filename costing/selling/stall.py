"""A day at a market: its fee is there whether one container is sold or a hundred.

The fee is fixed for the day (a step-fixed cost, usual definition, from memory), so it is no part of the contribution.
At the number that is sold on a usual day each one bears its share of it, and that is in the margin.

>>> share_of_fee(60.0, 80.0), pays_from(60.0, 5.0)
(0.75, 12.0)
"""

from __future__ import annotations


def share_of_fee(fee: float, sells: float) -> float:
    """What one container (or scoop) bears of the day's fee.

    Args:
        fee: money a day.
        sells: how many are sold in it, above 0.
    """
    return fee / sells


def pays_from(fee: float, contribution: float) -> float | None:
    """How many must be sold in a day to pay its fee; None where none are enough.

    Args:
        fee: money a day.
        contribution: of one, before the fee.
    """
    if fee <= 0:
        return 0.0
    return fee / contribution if contribution > 0 else None
