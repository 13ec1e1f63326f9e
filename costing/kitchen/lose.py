"""``lose``: some of everything sticks to the pot, air and all."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from costing.amounts import Kind
from costing.kitchen.bench import Outcome
from costing.kitchen.money import discard

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot
    from costing.shop.steps import Lose

    Floats = NDArray[np.float64]

FREE = "amount"


def do(step: Lose, pot: Pot, bench: Bench) -> Outcome:
    """Lose some of everything.

    Args:
        step: a share of the pot or a weight, g.
        pot: the pot before.
        bench: for ranges and errors.

    Returns:
        The rest, with all the money.

    Raises:
        KitchenError: nothing would be left.
    """
    whole = pot.grams()
    if FREE in bench.given or step.amount.kind is Kind.SHARE:
        share = bench.figure(FREE, step.amount.figure)
    else:
        # A weight that sticks does not grow with the batch; in a machine it sticks anew for each run.
        sticks = bench.draws.of(step.amount.figure) * np.maximum(bench.runs, 1.0)
        share = np.divide(sticks, whole, out=np.ones_like(whole), where=whole > 0)
    return lose(pot, share, bench)


def lose(pot: Pot, share: Floats, bench: Bench) -> Outcome:
    """Throw a share of everything away; its money stays with the rest of each piece.

    Args:
        pot: the pot before.
        share: 0 to 1, ``(draws,)``.
        bench: for the error.
    """
    bench.require(
        (share >= 0) & (share < 1),
        f"{bench.shown(share * pot.grams())} g would be lost of {bench.shown(pot.grams())} g in the pot",
        "something must be left",
    )
    (rest,), gone = discard(pot.share(share), [pot.share(1.0 - share)])
    return Outcome(rest, gone=gone)
