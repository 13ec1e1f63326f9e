"""Vitamins lost to heat, by class of ingredient (``data/kitchen/vitamin_retention.csv``, sources there).

Fat, protein, carbohydrate and minerals stay. Each cooking step counts anew.

>>> vitamins()[0], round(kept("dairy")[0], 2)
('vitamin_c', 0.82)
"""

from __future__ import annotations

import functools
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from nutrition import resources

if TYPE_CHECKING:
    from collections.abc import Callable

    from costing.kitchen.pot import Pot


@functools.cache
def vitamins() -> tuple[str, ...]:
    """Keys of the nutrients that heat takes, in the order of :attr:`costing.kitchen.pot.Pot.kept`."""
    heads = resources.table("kitchen", "vitamin_retention.csv")[0]
    return tuple(key for key in heads if key != "class")


@functools.cache
def kept(kind: str) -> tuple[float, ...]:
    """Share of each vitamin that an ingredient class keeps in one cooking, 0 to 1."""
    rows = {row["class"]: row for row in resources.table("kitchen", "vitamin_retention.csv")}
    row = rows.get(kind, rows["*"])
    return tuple(float(row[key]) / 100 for key in vitamins())


def heated(pot: Pot, kind_of: Callable[[str], str]) -> Pot:
    """The pot after one cooking.

    Args:
        pot: what is cooked.
        kind_of: ingredient to its class.
    """
    if not pot.tags:
        return pot
    factors = np.array([kept(kind_of(tag.ingredient)) for tag in pot.tags])[:, None, :]
    return replace(pot, kept=pot.kept * factors)
