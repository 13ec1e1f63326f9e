"""``press``: liquid is squeezed out.

Water, alcohol and solubles go with it in proportion; fibre and fat stay in the cake unless said.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from costing.amounts import Kind
from costing.kitchen.bench import SLACK, Outcome
from costing.kitchen.money import discard
from costing.kitchen.picking import pick
from costing.kitchen.pot import ALCOHOL, FAT, INSOLUBLES, SOLUBLES, WATER
from costing.kitchen.saving import save

if TYPE_CHECKING:
    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot, Tag
    from costing.shop.steps import Press

FREE = "yields"


def do(step: Press, pot: Pot, bench: Bench) -> Outcome:
    """Press.

    Args:
        step: of what, how much liquid it yields (a share of the weight pressed, or g), what the liquid is called.
        pot: the pot before.
        bench: for ranges and errors.

    Returns:
        The pot with the liquid in place of what was pressed; the cake is thrown away unless saved.

    Raises:
        KitchenError: more liquid than there is.
    """
    chosen = pick(step.of, pot, bench)
    others, fruit = pot.split(chosen)
    weight = fruit.grams()
    if FREE in bench.given or step.yields.kind is Kind.SHARE:
        wanted = bench.figure(FREE, step.yields.figure) * weight
    else:
        wanted = bench.sized(step.yields.figure)
    mass = fruit.mass.sum(axis=0)
    fat, fibre = bench.figure("fat", step.fat, 0.0), bench.figure("fibre", step.fibre, 0.0)
    along = fat * mass[:, FAT] + fibre * mass[:, INSOLUBLES]
    liquid = mass[:, WATER] + mass[:, ALCOHOL] + mass[:, SOLUBLES]
    bench.require(
        (wanted <= liquid + along + SLACK * weight) & (wanted >= along - SLACK * weight),
        f"{bench.shown(wanted)} g of liquid would have to come out of {bench.shown(liquid + along)} g",
        "lower the yield",
    )
    flows = np.divide(wanted - along, liquid, out=np.zeros_like(liquid), where=liquid > 0)
    share = np.zeros((1, bench.draws.count, 5))
    # A yield that is only being tried out may be less than the fibre that goes along: no bend, or weighing goes wrong.
    share[0, :, [WATER, ALCOHOL, SOLUBLES]] = flows if bench.trial else np.clip(flows, 0.0, 1.0)
    share[0, :, FAT], share[0, :, INSOLUBLES] = fat, fibre
    cake, juice = fruit.split_fractions(share)

    def rename(tag: Tag) -> Tag:
        if tag.names.isdisjoint(step.of):
            return tag
        names = tag.names | {step.label} if step.label else tag.names
        return replace(tag, names=names, state="liquid", label=step.label or tag.label)

    juice = juice.retagged(rename)
    if step.save:
        kept, cake = save(cake, [juice, others], None, bench, step.save)
        return Outcome(kept[1].joined(kept[0]).tidied(), saved={step.save: (cake.tidied(), None)})
    (juice, others), gone = discard(cake, [juice, others])
    return Outcome(others.joined(juice).tidied(), gone=gone)
