"""Draws: the plain answer is one draw at the middle of every range; a sample is many at once.

Each range that a person wrote is one assumption, uniform over the range, however often it is used. A sample of n draws
is a Latin hypercube: each assumption's range is cut into n equal strips, every strip is drawn from once, and the strips
of different assumptions meet in random order (McKay, Beckman and Conover 1979, from memory). Assumptions are taken as
independent of one another; that is the method's limit.

>>> from costing.amounts import Figure
>>> yields = Figure(0.38, 0.46)
>>> round(float(Draws().of(yields)[0]), 9)
0.42
>>> sample = Draws(1000).of(yields)
>>> bool(sample.min() >= 0.38), bool(sample.max() <= 0.46), round(float(sample.mean()), 4)
(True, True, 0.42)
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from costing.amounts import Figure

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]


class Draws:
    """The draws of one calculation.

    Args:
        count: how many; 1 gives the plain answer.
        seed: of the random generator, so that a calculation can be made again.
    """

    def __init__(self, count: int = 1, seed: int = 20260302) -> None:
        self.count = count
        self.generator = np.random.default_rng(seed)
        self._columns: dict[int, tuple[Figure, Floats]] = {}
        self.possible: Bools = np.ones(count, dtype=np.bool_)
        """which draws are still possible; an impossible one is masked, never branched on"""

    @property
    def plain(self) -> bool:
        """Whether this is the plain answer."""
        return self.count == 1

    @property
    def assumptions(self) -> Mapping[int, tuple[Figure, Floats]]:
        """Every range drawn so far, by its identity: the figure and where in it each draw lies, 0 to 1."""
        return self._columns

    def full(self, value: float) -> Floats:
        """The same number in every draw, shape ``(draws,)``."""
        return np.full(self.count, value)

    def of(self, figure: Figure) -> Floats:
        """A figure in every draw, shape ``(draws,)``, in the figure's unit."""
        return self.between(figure, figure.low, figure.high)

    def between(self, figure: Figure, low: float, high: float) -> Floats:
        """The figure's own draw, laid over other bounds (the figure in grams, say), shape ``(draws,)``."""
        if self.plain or low == high:
            return self.full((low + high) / 2)
        if id(figure) not in self._columns:
            self._columns[id(figure)] = (figure, self.strips())
        return low + (high - low) * self._columns[id(figure)][1]

    def strips(self) -> Floats:
        """One draw out of each of ``count`` equal strips between 0 and 1, in random order, shape ``(draws,)``."""
        order = self.generator.permutation(self.count)
        place: Floats = (order + self.generator.random(self.count)) / self.count
        return place
