"""``trim``: what is not eaten comes off; by the food record's refuse share unless the recipe says otherwise."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from costing.kitchen.bench import Outcome
from costing.kitchen.money import discard
from costing.kitchen.picking import pick

if TYPE_CHECKING:
    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot
    from costing.shop.steps import Trim


def do(step: Trim, pot: Pot, bench: Bench) -> Outcome:
    """Take off and throw away.

    Args:
        step: thing to share kept, 0 to 1.
        pot: the pot before.
        bench: for the food records.

    Returns:
        The pot with what is kept; its money stays with the rest of its own piece.

    Raises:
        KitchenError: nothing of that name in the pot, nothing known of its refuse, a share above 100 %.
    """
    off = np.zeros((len(pot.tags), bench.draws.count))
    for name, share in step.things.items():
        chosen = pick((name,), pot, bench)
        if share is not None:
            kept = bench.draws.of(share)
        else:
            material = bench.materials.get(name)
            if material is None or material.record.refuse is None:
                raise bench.error(f"nothing says how much of {name} is trimmed off", f"write {name}: 85 %, say")
            kept = bench.draws.full(1.0 - material.record.refuse)
        bench.require((kept > 0) & (kept <= 1), f"trimming cannot keep {bench.shown(kept * 100)} % of {name}")
        off = np.where(chosen > 0, 1.0 - kept, off)
    rest, gone = pot.split(off)
    (rest,), gone = discard(gone, [rest])
    return Outcome(rest, gone=gone)
