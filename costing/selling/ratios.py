"""Margin and markup as per cent: the one is of the price, the other of the cost (usual definitions, from memory).

>>> margin_pct(3.0, 10.0), round(markup_pct(3.0, 7.0), 4)
(30.0, 42.8571)
>>> round(markup_from_margin(0.35), 4), margin_from_markup(1.0)
(0.5385, 0.5)
"""

from __future__ import annotations


def margin_pct(margin: float, price: float) -> float | None:
    """Margin over price, 0 to 100; None where there is no price, NaN where something is unknown.

    Args:
        margin: money left of a price.
        price: the price.
    """
    return None if price <= 0 else 100.0 * margin / price


def markup_pct(margin: float, cost: float) -> float | None:
    """Margin over cost, 0 to 100 and beyond; None where nothing was spent, NaN where something is unknown.

    Args:
        margin: money left of a price.
        cost: what was spent for it.
    """
    return None if cost <= 0 else 100.0 * margin / cost


def markup_from_margin(margin: float) -> float:
    """The markup, as a share of the cost, that leaves a margin of the price, 0 to below 1."""
    return margin / (1.0 - margin)


def margin_from_markup(markup: float) -> float:
    """The margin, as a share of the price, that a markup on the cost leaves."""
    return markup / (1.0 + markup)
