"""Draws: the plain answer is one draw at the middle of every range; a sample is many at once.

Each range that a person wrote is one draw of its own, uniform over the range, however often it is used.

>>> from costing.amounts import Figure
>>> round(float(Draws().of(Figure(0.38, 0.46))[0]), 9)
0.42
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
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
        self._generator = np.random.default_rng(seed)
        self._columns: dict[int, tuple[Figure, Floats]] = {}
        self.possible: Bools = np.ones(count, dtype=np.bool_)
        """which draws are still possible; an impossible one is masked, never branched on"""

    @property
    def plain(self) -> bool:
        """Whether this is the plain answer."""
        return self.count == 1

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
        _, column = self._columns.setdefault(id(figure), (figure, self._generator.random(self.count)))
        return low + (high - low) * column
