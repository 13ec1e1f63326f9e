"""Vitamins lost to heat, by class of ingredient and way of heating.

The shares kept stand in ``data/kitchen/vitamin_retention.csv``, with their source.
Fat, protein, carbohydrate and minerals stay. Each cooking step counts anew.

>>> vitamins()[0], round(kept("dairy")[0], 2), round(kept("dairy", "brown")[0], 2)
('vitamin_c', 0.82, 0.7)
"""

from __future__ import annotations

import functools
from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from nutrition import resources

if TYPE_CHECKING:
    from collections.abc import Callable

    from costing.kitchen.pot import Pot

SIMMERED: Final = "simmer"
BAKED: Final = "bake"
_LIKE: Final = {"toast": BAKED}
"""Ways of heating that share the rows of another: toasting is dry heat, as baking is."""
_BESIDE: Final = ("class", "how", "after")


@functools.cache
def vitamins() -> tuple[str, ...]:
    """Keys of the nutrients that heat takes, in the order of :attr:`costing.kitchen.pot.Pot.kept`."""
    heads = resources.table("kitchen", "vitamin_retention.csv")[0]
    return tuple(key for key in heads if key not in _BESIDE)


@functools.cache
def _table() -> dict[tuple[str, str], tuple[float, ...]]:
    rows = resources.table("kitchen", "vitamin_retention.csv")
    return {(row["class"], row["how"]): tuple(float(row[key]) / 100 for key in vitamins()) for row in rows}


@functools.cache
def kept(kind: str, how: str = SIMMERED) -> tuple[float, ...]:
    """Share of each vitamin that an ingredient keeps in one cooking.

    Args:
        kind: its class.
        how: ``simmer``, ``bake``, ``toast`` (as baked) or ``brown``.

    Returns:
        0 to 1, in the order of :func:`vitamins`.

    Raises:
        KeyError: no such way of heating.
    """
    way = _LIKE.get(how, how)
    return _table().get((kind, way)) or _table()["*", way]


def heated(pot: Pot, kind_of: Callable[[str], str], how: str) -> Pot:
    """The pot after one cooking.

    Args:
        pot: what is cooked.
        kind_of: ingredient to its class.
        how: as in :func:`kept`.
    """
    if not pot.tags:
        return pot
    factors = np.array([kept(kind_of(tag.ingredient), how) for tag in pot.tags])[:, None, :]
    return replace(pot, kept=pot.kept * factors)
