"""``soak``: solids take up liquid as it is, spirit and sugar included.

The liquid taken up stays a piece of its own that is held by the solids: it goes where they go.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from costing.kitchen.bench import SLACK, Outcome
from costing.kitchen.picking import pick

if TYPE_CHECKING:
    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot
    from costing.shop.steps import Soak

FREE = "uptake"


def do(step: Soak, pot: Pot, bench: Bench) -> Outcome:
    """Soak.

    Args:
        step: what soaks, and how much it takes up, as a share of its weight.
        pot: the pot before.
        bench: for ranges and errors.

    Returns:
        The pot; nothing has left it.

    Raises:
        KitchenError: the uptake is more than the liquid.
    """
    chosen = pick(step.of, pot, bench) * pot.where(lambda tag: not tag.loose)
    solids = (pot.weights() * chosen).sum(axis=0)
    bench.require(solids > 0, f"{', '.join(step.of)} is not solid here and takes up nothing")
    loose = pot.where(lambda tag: tag.loose and tag.names.isdisjoint(step.of))
    liquid = (pot.weights() * loose).sum(axis=0)
    uptake = bench.figure(FREE, step.uptake) * solids
    bench.require(
        uptake <= liquid * (1 + SLACK),
        f"{bench.shown(uptake)} g would have to be taken up and there are only {bench.shown(liquid)} g of liquid",
        "lower the uptake or add more liquid",
    )
    share = np.divide(uptake, liquid, out=np.zeros_like(liquid), where=liquid > 0)
    rest, held = pot.split(loose * share)
    names = frozenset(step.of)
    held = held.retagged(lambda tag: replace(tag, names=names, state="solid").marked("held"))
    return Outcome(rest.joined(held).tidied())
