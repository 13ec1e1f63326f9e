"""``churn``: air goes in; what stays in the machine is lost, for each run.

A machine takes ceil(volume of the mix / capacity) runs. The air is overrun times the volume of the mix that comes
out. Overrun % = (volume of ice cream - volume of mix) / volume of mix x 100 (dairy handbooks, common practice). Where a
recipe gives the weight of a full container instead, the overrun follows when the container is filled.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from costing.kitchen.bench import SLACK
from costing.kitchen.density import millilitres
from costing.kitchen.lose import lose

if TYPE_CHECKING:
    from costing.kitchen.bench import Bench, Outcome
    from costing.kitchen.pot import Pot
    from costing.shop.steps import Churn

FREE = "leaves"


def do(step: Churn, pot: Pot, bench: Bench) -> Outcome:
    """Churn.

    Args:
        step: overrun (a share) or the weight of a full container (g), the machine, what stays in it for a run (g).
        pot: the mix.
        bench: for the machines.

    Returns:
        The churned pot with its air and the number of runs.

    Raises:
        KitchenError: the machine keeps more than there is; overrun out of 0 to 200 %.
    """
    machine = bench.machines[step.machine] if step.machine else None
    mix = millilitres(pot)
    runs = bench.draws.full(1.0)
    if machine is not None:
        runs = np.maximum(np.ceil(mix / bench.draws.of(machine.capacity) - SLACK), 1.0)
    each = step.leaves if step.leaves is not None else (machine.leaves if machine else None)
    stays = bench.figure(FREE, each, 0.0) * runs
    whole = pot.grams()
    outcome = lose(pot, np.divide(stays, whole, out=np.ones_like(whole), where=whole > 0), bench)
    rest = millilitres(outcome.pot)
    if step.filled is not None:
        churned = replace(outcome.pot, filled=bench.draws.of(step.filled), mix_ml=rest)
    elif step.overrun is not None:
        overrun = bench.draws.of(step.overrun)
        bench.require(
            (overrun >= 0) & (overrun <= 2),
            f"an overrun of {bench.shown(overrun * 100)} % cannot be churned",
            "write a share between 0 and 200 %; small machines give 15 to 40 %",
        )
        churned = replace(outcome.pot, air=rest * overrun, mix_ml=rest)
    else:
        raise bench.error(
            "nothing says how much air goes in", "write overrun: 30 %, or filled: 390 g for a full container"
        )
    return replace(outcome, pot=churned, runs=runs)
