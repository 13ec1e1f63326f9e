"""Break-even: how much must be sold in a month to pay the fixed costs.

Volume = fixed costs / margin of one. Where several things are sold in a fixed mix, the margin is the mean weighted by
their shares (cost-volume-profit analysis, weighted-average contribution margin; textbooks of managerial accounting,
from memory). The days of a market are taken to follow the containers, so their fee is in the margin and not among the
fixed costs.

Fixed costs 1,825 a month, 5.00 left of a pint: 365 pints. Sold 60 % at 5.00 and 40 % at 2.50: the mean is 4.00,
and it takes 456.25 pints, 273.75 of them at 5.00.

>>> volume(1825.0, 5.0), volume(1825.0, mean((5.0, 2.5), (0.6, 0.4)))
(365.0, 456.25)
"""

from __future__ import annotations

from math import ceil, isfinite
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

SLACK = 1e-9


def volume(fixed: float, margin: float) -> float | None:
    """How many must be sold in a month.

    Args:
        fixed: fixed costs of a month.
        margin: what one leaves.

    Returns:
        How many, not rounded; None where one leaves nothing, so that none are enough, or nobody knows what it leaves.
    """
    if not isfinite(margin):
        return None
    if fixed <= 0:
        return 0.0
    return fixed / margin if margin > 0 and isfinite(fixed / margin) else None


def whole(number: float) -> int:
    """The least whole number that is enough.

    >>> whole(456.25), whole(365.0000000000001)
    (457, 365)
    """
    return ceil(number - SLACK * max(1.0, abs(number)))


def mean(values: Sequence[float], shares: Sequence[float]) -> float:
    """The mean of some values, weighted.

    Args:
        values: one for each.
        shares: weights, none below 0; they need not add up to 1, and not all may be 0.
    """
    return sum(value * share for value, share in zip(values, shares, strict=True)) / sum(shares)


def profit(number: float, margin: float, fixed: float) -> float:
    """What is left of a month.

    Args:
        number: how many are sold.
        margin: what one leaves.
        fixed: fixed costs of a month.

    >>> profit(365.0, 5.0, 1825.0)
    0.0
    """
    return number * margin - fixed
