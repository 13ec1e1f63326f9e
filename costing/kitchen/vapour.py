"""What leaves a pot as vapour: water and alcohol, nothing else.

Water leaves from the liquid first, each loose piece giving in proportion to its water; from solids only when the
liquid is dry, or when all is baked alike.

Alcohol: where a time is given, by the USDA retention table for food simmered or baked
(``data/kitchen/alcohol_retention.csv``), straight lines between its rows. Where none is given, ahead of water by its
volatility: while the share of water falls from 1 to r, the share of alcohol falls to r to the power of the relative
volatility (Rayleigh's law of simple distillation at a constant volatility, ``data/kitchen/heat.csv``). Two bounds hold
for both: alcohol is never behind water (no greater share of it is left than of the water, however short the time), and
never takes more weight away than the pot is said to lose.

>>> round(alcohol_kept(15 * 60), 3)
0.4
>>> round(alcohol_kept(45 * 60), 3)
0.3
"""

from __future__ import annotations

import functools
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from costing.kitchen.constants import constant
from costing.kitchen.density import weight
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


class Boil:
    """How a pot boils down: from the share of its water that is left to what is in it.

    Args:
        pot: the pot before.
        seconds: time on the heat, None if not said.
        alike: water leaves solids as freely as the liquid (baking, toasting, browning).
    """

    def __init__(self, pot: Pot, seconds: Floats | None = None, alike: bool = False) -> None:
        self.pot = pot
        self.alike = alike
        self.total: Floats = pot.mass.sum(axis=0)
        """the five fractions of the whole pot, g, ``(draws, 5)``"""
        self.grams = weight(self.total)
        """weight of the pot, g, ``(draws,)``"""
        self._loose = [i for i, tag in enumerate(pot.tags) if tag.loose]
        self.liquid: Floats = self.total if len(self._loose) == len(pot.tags) else pot.mass[self._loose].sum(axis=0)
        """the five fractions of all that flows, g, ``(draws, 5)``"""
        self._spirited = bool(self.total[:, ALCOHOL].any())
        self._by_table = None if seconds is None else np.interp(seconds, *_retention())

    def at(self, left: Floats, comes_to: Floats | None = None) -> Pot:
        """The pot when a share of all its water is left.

        Args:
            left: 0 to 1, ``(draws,)``.
            comes_to: what the pot then weighs, g, where that is known.
        """
        pot = self.pot
        mass, ledgers = pot.mass.copy(), pot.ledgers.copy()
        loose, firm = self._water_left(left)
        water = mass[:, :, WATER]
        water *= self._by_piece(loose, firm)
        ledgers[:, :, BOILED] += pot.mass[:, :, WATER] - water
        if self._spirited:
            mass[:, :, ALCOHOL] *= self._alcohol_left(left, comes_to)
        return replace(pot, mass=mass, ledgers=ledgers)

    def sums(self, left: Floats) -> tuple[Floats, Floats]:
        """What the whole pot and what its liquid comes to, g of each fraction, when a share of all its water is left.

        Args:
            left: 0 to 1, ``(draws,)``.

        Returns:
            Twice ``(draws, 5)``.
        """
        total, liquid = self.total.copy(), self.liquid.copy()
        total[:, WATER] *= left
        liquid[:, WATER] *= self._water_left(left)[0]
        if self._spirited:
            alcohol = self._alcohol_left(left)
            total[:, ALCOHOL] *= alcohol
            liquid[:, ALCOHOL] *= alcohol
        return total, liquid

    def until(self, measure: Callable[[Floats, Floats], Floats], target: Floats) -> Floats:
        """The share of water left at which something comes to its target.

        Args:
            measure: falls with the water; takes what :meth:`sums` gives.
            target: ``(draws,)``.

        Returns:
            0 to 1, ``(draws,)``.
        """
        low, high = np.zeros_like(target), np.ones_like(target)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            over = measure(*self.sums(middle)) > target
            high = np.where(over, middle, high)
            low = np.where(over, low, middle)
        return (low + high) / 2

    def to_weight(self, target: Floats) -> Floats:
        """The share of water left when the pot weighs ``target`` grams, ``(draws,)``; below 0 when it never does."""
        water, alcohol = self.total[:, WATER], self.total[:, ALCOHOL]
        goes = self.grams - target
        if not self._spirited:
            return 1.0 - _share(goes, water, none=np.where(goes > 0, np.inf, 0.0))
        if self._by_table is not None:
            first = np.minimum(alcohol * (1.0 - self._by_table), np.maximum(goes, 0.0))
            left = 1.0 - _share(goes - first, water, none=np.where(goes > first, np.inf, 0.0))
            # Where the table would leave alcohol behind, both fall alike.
            alike = 1.0 - _share(goes, water + alcohol, none=np.inf)
            together: Floats = np.where(left < self._by_table, alike, left)
            return together
        left = self.until(lambda total, _: weight(total), target)
        never = goes > water + alcohol + 1e-9
        return np.where(never, -1.0, left)

    def _water_left(self, left: Floats) -> tuple[Floats, Floats]:
        """What share of their water loose and firm pieces have left."""
        if self.alike or self.liquid is self.total:
            return left, left
        all_of_it, loose = self.total[:, WATER], self.liquid[:, WATER]
        firm = np.maximum(all_of_it - loose, 0.0)
        goes = all_of_it * (1.0 - left)
        from_loose = np.minimum(goes, loose)
        return 1.0 - _share(from_loose, loose), 1.0 - np.minimum(_share(goes - from_loose, firm), 1.0)

    def _by_piece(self, loose: Floats, firm: Floats) -> Floats:
        """One row for each piece, or one for all where all are treated alike."""
        if loose is firm:
            return loose[None, :]
        rows = np.repeat(firm[None, :], len(self.pot.tags), axis=0)
        rows[self._loose] = loose
        return rows

    def _alcohol_left(self, left: Floats, comes_to: Floats | None = None) -> Floats:
        if self._by_table is None:
            power: Floats = np.power(np.clip(left, 0.0, 1.0), constant("relative volatility of ethanol"))
            return power
        kept = np.minimum(self._by_table, left)
        if comes_to is None:
            return kept
        goes = np.maximum(self.grams - comes_to, 0.0)
        no_more: Floats = np.maximum(kept, 1.0 - _share(goes, self.total[:, ALCOHOL], none=np.inf))
        return no_more


def _share(part: Floats, whole: Floats, none: Floats | float = 0.0) -> Floats:
    out: Floats = np.divide(part, whole, out=np.zeros_like(whole) + none, where=whole > 0)
    return out
