"""Containers that nobody pays for: returns, which are credited and thrown away, and samples, which are given away.

Both are shares of the containers that go out, side by side: of 100 with returns of 3 % and samples of 2 %, 95 are paid
for (net sales = gross sales − returns and allowances, usual definition; that samples are counted in containers is
ours). Each one paid for bears the cost of 100 / 95.

>>> paid(0.03, 0.02)
0.95
>>> round(burden(4.0, 0.95), 6)
0.210526
"""

from __future__ import annotations


def paid(returns: float = 0.0, samples: float = 0.0) -> float:
    """Share of the containers going out that is paid for.

    Args:
        returns: share that comes back, 0 to below 1.
        samples: share given away, 0 to below 1; together they stay below 1.
    """
    # 1 - 0.03 - 0.02 is a hair beside 0.95 in binary.
    return round(1.0 - returns - samples, 12)


def burden(cost: float, share_paid: float) -> float:
    """What each one paid for bears of the cost of those that are not.

    Args:
        cost: of one.
        share_paid: above 0 and up to 1.
    """
    return cost * (1.0 / share_paid - 1.0)
