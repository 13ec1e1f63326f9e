"""Volume of food from what it is made of, at 20 degrees C.

Each fraction takes weight over density; water and alcohol shrink together, so their share goes through a table
(``data/kitchen/densities.csv``, ``data/kitchen/ethanol_water.csv``; sources there).

A syrup of 50 Brix weighs 1.230 g/mL in the sucrose tables (from memory); this gives it within half a per cent:

>>> import numpy as np
>>> syrup = np.array([50.0, 0.0, 0.0, 50.0, 0.0])
>>> round(float(100 / volume(syrup)), 3)
1.226
>>> round(float(1 / volume(np.array([0.6, 0.4, 0.0, 0.0, 0.0]))), 4)
0.9352
"""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING

import numpy as np

from costing.kitchen.pot import ALCOHOL, FAT, INSOLUBLES, SOLUBLES, WATER
from nutrition import resources

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from costing.kitchen.pot import Pot

    Floats = NDArray[np.float64]


@functools.cache
def _densities() -> dict[str, float]:
    return {row["fraction"]: float(row["density"]) for row in resources.table("kitchen", "densities.csv")}


@functools.cache
def _ethanol() -> tuple[Floats, Floats]:
    rows = resources.table("kitchen", "ethanol_water.csv")
    return (
        np.array([float(row["ethanol_mass_pct"]) / 100 for row in rows]),
        np.array([float(row["density"]) for row in rows]),
    )


_ONES = np.ones(5)


def weight(mass: Floats) -> Floats:
    """Weight of food.

    Args:
        mass: grams of water, alcohol, fat, solubles, insolubles, shape ``(..., 5)``.

    Returns:
        Grams, shape ``(...)``.

    >>> float(weight(np.array([60.0, 0.0, 3.0, 40.0, 2.0])))
    105.0
    """
    # A product with ones takes a tenth of the time of a sum over so short an axis.
    total: Floats = mass @ _ONES
    return total


def volume(mass: Floats) -> Floats:
    """Volume of food without air.

    Args:
        mass: grams of water, alcohol, fat, solubles, insolubles, shape ``(..., 5)``.

    Returns:
        Millilitres, shape ``(...)``.
    """
    density = _densities()
    liquid = mass[..., WATER] + mass[..., ALCOHOL]
    ml: Floats = (
        mass[..., FAT] / density["fat"]
        + mass[..., SOLUBLES] / density["solubles"]
        + mass[..., INSOLUBLES] / density["insolubles"]
    )
    if not mass[..., ALCOHOL].any():
        return ml + liquid / density["water"]
    strength = np.divide(mass[..., ALCOHOL], liquid, out=np.zeros_like(liquid), where=liquid > 0)
    return ml + liquid / np.interp(strength, *_ethanol())


def millilitres(pot: Pot) -> Floats:
    """Volume of a pot's contents without air, mL, ``(draws,)``; all that flows is taken as one liquid."""
    return volume(pot.mass.sum(axis=0))


def brix(pot: Pot) -> Floats:
    """Dissolved solids of the liquid in a pot, grams in 100 g, ``(draws,)``; see :func:`dissolved_pct`."""
    return dissolved_pct(pot.mass[[i for i, tag in enumerate(pot.tags) if tag.loose]].sum(axis=0))


def dissolved_pct(liquid: Floats) -> Floats:
    """Dissolved solids of a liquid.

    Total solids less fat and insoluble matter over the liquid less the same, as a refractometer sees it
    (close for juices and syrups; common practice).

    Args:
        liquid: grams of water, alcohol, fat, solubles, insolubles, shape ``(..., 5)``.

    Returns:
        Grams in 100 g, which is Brix, shape ``(...)``.

    >>> float(dissolved_pct(np.array([60.0, 0.0, 3.0, 40.0, 2.0])))
    40.0
    """
    solids = liquid[..., SOLUBLES]
    serum = solids + liquid[..., WATER] + liquid[..., ALCOHOL]
    out: Floats = 100.0 * np.divide(solids, serum, out=np.zeros_like(serum), where=serum > 0)
    return out
