"""``render``: fat melts out of tissue; its water leaves as vapour; cracklings stay behind.

What is rendered is fat alone. Cracklings are the dry tissue, the fat that stayed, and some moisture
(``data/kitchen/heat.csv``, common practice); they are thrown away unless saved.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from costing.amounts import Kind
from costing.kitchen.bench import SLACK, Outcome
from costing.kitchen.constants import constant
from costing.kitchen.money import discard
from costing.kitchen.picking import pick
from costing.kitchen.pot import ALCOHOL, BOILED, DRY, FAT, WATER
from costing.kitchen.saving import save
from costing.kitchen.vitamins import heated

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot, Tag
    from costing.shop.steps import Render

    Floats = NDArray[np.float64]

FREE = "yields"


def do(step: Render, pot: Pot, bench: Bench) -> Outcome:
    """Render fat.

    Args:
        step: of what, how much fat it yields (a share of the tissue's weight, or g), what the fat is called.
        pot: the pot before.
        bench: for ranges and errors.

    Returns:
        The pot with the fat in place of the tissue.

    Raises:
        KitchenError: more fat than the tissue has.
    """
    chosen = pick(step.of, pot, bench)
    others, tissue = pot.split(chosen)
    weight, fat = tissue.grams(), tissue.mass[:, :, FAT].sum(axis=0)
    if FREE in bench.given or step.yields.kind is Kind.SHARE:
        wanted = bench.figure(FREE, step.yields.figure) * weight
    else:
        wanted = bench.sized(step.yields.figure)
    bench.require(
        wanted <= fat + SLACK * weight,
        f"{bench.shown(wanted)} g of fat would have to come out of tissue that has {bench.shown(fat)} g",
        "lower the yield, or look at the food record of the tissue",
    )
    tissue = heated(_dried(tissue, wanted), bench.kind)
    share = np.zeros((1, bench.draws.count, 5))
    share[0, :, FAT] = np.divide(np.minimum(wanted, fat), fat, out=np.zeros_like(fat), where=fat > 0)
    cracklings, melted = tissue.split_fractions(share)

    def rename(tag: Tag) -> Tag:
        if tag.names.isdisjoint(step.of):
            return tag
        names = tag.names | {step.label} if step.label else tag.names
        return replace(tag, names=names, state="melts", label=step.label or tag.label)

    melted = replace(melted.retagged(rename), air=others.air * 0, folded=others.folded * 0)
    if step.save:
        kept, cracklings = save(cracklings, [melted, others], None, bench, step.save)
        return Outcome(kept[1].joined(kept[0]).tidied(), saved={step.save: (cracklings.tidied(), None)})
    (melted, others), gone = discard(cracklings, [melted, others])
    return Outcome(others.joined(melted).tidied(), gone=gone)


def _dried(tissue: Pot, wanted: Floats) -> Pot:
    """The tissue once its water has left, but for the moisture that stays in cracklings."""
    moist = constant("moisture left in cracklings")
    water = tissue.mass[:, :, WATER]
    dry = tissue.mass[:, :, DRY].sum(axis=(0, 2)) - wanted
    stays = np.minimum(water.sum(axis=0), np.maximum(dry, 0.0) * moist / (1.0 - moist))
    share = np.divide(stays, water.sum(axis=0), out=np.zeros_like(stays), where=water.sum(axis=0) > 0)
    mass = tissue.mass.copy()
    mass[:, :, WATER] = water * share
    mass[:, :, ALCOHOL] = 0.0
    ledgers = tissue.ledgers.copy()
    ledgers[:, :, BOILED] += water * (1.0 - share)
    return replace(tissue, mass=mass, ledgers=ledgers)
