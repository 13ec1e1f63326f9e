"""What leaves a pot as vapour: water and alcohol, nothing else.

Water leaves from the liquid first, each loose piece giving in proportion to its water; from solids only when the
liquid is dry, or when all is baked alike.

Alcohol: where a time is given, by the USDA retention table for food simmered or baked
(``data/kitchen/alcohol_retention.csv``), straight lines between its rows. Where none is given, ahead of water by its
volatility: while the share of water falls from 1 to r, the share of alcohol falls to r to the power of the relative
volatility (Rayleigh's law of simple distillation at a constant volatility, ``data/kitchen/heat.csv``), so it is never
behind.

>>> round(alcohol_kept(15 * 60), 3)
0.4
>>> round(alcohol_kept(45 * 60), 3)
0.3
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from costing.kitchen.constants import constant
from costing.kitchen.pot import ALCOHOL, BOILED, WATER
from nutrition import resources

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from costing.kitchen.pot import Pot

    Floats = NDArray[np.float64]

_HALVINGS = 60
"""bisection down to 2 to the power of -60 of the water there is: below float noise"""


@functools.cache
def _retention() -> tuple[Floats, Floats]:
    rows = resources.table("kitchen", "alcohol_retention.csv")
    return (
        np.array([float(row["minutes"]) * 60 for row in rows]),
        np.array([float(row["kept_pct"]) / 100 for row in rows]),
    )


def alcohol_kept(seconds: float) -> float:
    """Share of alcohol kept after simmering or baking.

    Args:
        seconds: time on the heat, s.

    Returns:
        0 to 1.
    """
    return float(np.interp(seconds, *_retention()))


@dataclass(frozen=True, slots=True, eq=False)
class Boil:
    """How a pot boils down: water left, as a share, to a pot.

    Args:
        pot: the pot before.
        seconds: time on the heat, None if not said.
        alike: water leaves solids as freely as the liquid (baking, toasting, browning).
    """

    pot: Pot
    seconds: Floats | None
    alike: bool = False

    def water(self) -> Floats:
        """Water there is, g, ``(draws,)``."""
        total: Floats = self.pot.mass[:, :, WATER].sum(axis=0)
        return total

    def at(self, left: Floats) -> Pot:
        """The pot when ``left`` (0 to 1, ``(draws,)``) of all its water is left."""
        pot = self.pot
        water = pot.mass[:, :, WATER]
        goes = water.sum(axis=0) * (1.0 - left)
        if self.alike:
            gone = water * (1.0 - left)
        else:
            loose = water * pot.where(lambda tag: tag.loose)
            firm = water - loose
            from_loose = np.minimum(goes, loose.sum(axis=0))
            gone = loose * _share(from_loose, loose.sum(axis=0)) + firm * _share(goes - from_loose, firm.sum(axis=0))
        mass = pot.mass.copy()
        mass[:, :, WATER] = np.maximum(water - gone, 0.0)
        if pot.mass[:, :, ALCOHOL].any():
            mass[:, :, ALCOHOL] *= self._alcohol_left(left)
        ledgers = pot.ledgers.copy()
        ledgers[:, :, BOILED] += gone
        return replace(pot, mass=mass, ledgers=ledgers)

    def until(self, measure: Callable[[Pot], Floats], target: Floats) -> Floats:
        """The share of water left at which a measure that falls with the water comes to its target, ``(draws,)``."""
        low, high = np.zeros_like(target), np.ones_like(target)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            over = measure(self.at(middle)) > target
            high = np.where(over, middle, high)
            low = np.where(over, low, middle)
        return (low + high) / 2

    def to_weight(self, target: Floats) -> Floats:
        """The share of water left when the pot weighs ``target`` grams, ``(draws,)``; below 0 when it never does."""
        alcohol = self.pot.mass[:, :, ALCOHOL].sum(axis=0)
        water = self.water()
        goes = self.pot.grams() - target
        if not alcohol.any():
            return 1.0 - _share(goes, water, none=np.where(goes > 0, np.inf, 0.0))
        if self.seconds is not None:
            by_table = np.minimum(alcohol * (1.0 - self._alcohol_left(np.ones_like(target))), np.maximum(goes, 0.0))
            return 1.0 - _share(goes - by_table, water, none=np.where(goes > by_table, np.inf, 0.0))
        left = self.until(lambda pot: pot.grams(), target)
        never = target < (self.pot.grams() - water - alcohol) - 1e-9
        return np.where(never, -1.0, left)

    def _alcohol_left(self, left: Floats) -> Floats:
        if self.seconds is not None:
            return np.interp(self.seconds, *_retention())
        power: Floats = np.power(np.clip(left, 0.0, 1.0), constant("relative volatility of ethanol"))
        return power


def _share(part: Floats, whole: Floats, none: Floats | float = 0.0) -> Floats:
    out: Floats = np.divide(part, whole, out=np.zeros_like(whole) + none, where=whole > 0)
    return out
