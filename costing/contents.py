"""What a pot holds, in nutrients: one product of weights and tables, with its bounds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from costing.kitchen.vitamins import vitamins
from nutrition.composition import Composition
from nutrition.nutrients import index, keys

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from costing.kitchen.materials import Material
    from costing.kitchen.pot import Pot

    Floats = NDArray[np.float64]


def by_piece(pot: Pot, materials: Mapping[str, Material]) -> Floats:
    """Low, value and high of every nutrient in every piece.

    Args:
        pot: the pot.
        materials: ingredient to material.

    Returns:
        Amounts in each nutrient's unit, shape ``(3, pieces, draws, nutrients)``; the value is ``nan`` where unknown.
    """
    if not pot.tags:
        return np.zeros((3, 0, pot.mass.shape[1], len(keys())))
    tables = np.stack([materials[tag.ingredient].nutrients for tag in pot.tags], axis=1)
    found: Floats = np.zeros((3, *pot.mass.shape[:2], len(keys())))
    for fraction in range(pot.mass.shape[2]):
        grams = pot.mass[None, :, :, fraction, None]
        # Nothing of a fraction brings nothing along, even where nobody knows what a gram of it holds.
        found += np.where(grams > 0, grams * tables[:, :, None, fraction, :], 0.0)
    if (pot.kept != 1.0).any():
        places = [index(key) for key in vitamins()]
        found[..., places] *= pot.kept[None]
    return found


def composition(pot: Pot, materials: Mapping[str, Material], draw: int = 0) -> Composition:
    """What a whole pot holds, in one draw.

    Args:
        pot: the pot.
        materials: ingredient to material.
        draw: which draw.
    """
    total = by_piece(pot, materials)[:, :, draw, :].sum(axis=1)
    return Composition(float(pot.grams()[draw]), total[0], total[1], total[2])


def totals(pot: Pot, materials: Mapping[str, Material]) -> Floats:
    """The best amount of every nutrient in a whole pot, in every draw.

    Args:
        pot: the pot.
        materials: ingredient to material.

    Returns:
        Amounts in each nutrient's unit, ``(draws, nutrients)``; ``nan`` where unknown.
    """
    size = len(keys())
    if not pot.tags:
        return np.zeros((pot.mass.shape[1], size))
    tables = np.stack([materials[tag.ingredient].nutrients[1] for tag in pot.tags])
    unknown = np.isnan(tables)
    known = np.where(unknown, 0.0, tables).reshape(-1, size)
    mass = np.moveaxis(pot.mass, 0, 1).reshape(pot.mass.shape[1], -1)
    total: Floats = mass @ known
    total[(mass > 0) @ unknown.reshape(-1, size) > 0] = np.nan
    if (pot.kept != 1.0).any():
        places = [index(key) for key in vitamins()]
        some = np.where(unknown, 0.0, tables)[:, :, places]
        total[:, places] = np.einsum("pdf,pfv,pdv->dv", pot.mass, some, pot.kept, optimize=True)
        total[:, places] = np.where(
            ((mass > 0) @ unknown[:, :, places].reshape(-1, len(places))) > 0, np.nan, total[:, places]
        )
    return total
