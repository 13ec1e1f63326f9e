"""Scoops out of a tub: how many are paid for.

Scoops = net weight of the tub × (1 − waste) / weight of a scoop; waste is what sticks to the tub, melts, or goes beyond
the weight that was meant (common practice). The number is not cut to whole scoops: what is left in one tub goes
into the next scoop.

>>> round(scoops(5000.0, 70.0, 0.05), 4)
67.8571
"""

from __future__ import annotations


def scoops(net_g: float, weight_g: float, waste: float = 0.0) -> float:
    """How many scoops a container gives.

    Args:
        net_g: what is in the container, g.
        weight_g: of a scoop, g, above 0.
        waste: what never becomes a scoop that is paid for, 0 to below 1.
    """
    return net_g * (1.0 - waste) / weight_g
