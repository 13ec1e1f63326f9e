"""``render``: fat melts out of tissue; its water leaves as vapour; cracklings stay behind.

What is rendered is fat, and as much of the tissue's water and solubles as its purity leaves room for (none unless the
recipe says so). Cracklings are the dry tissue, the fat that stayed, and some moisture (``data/kitchen/heat.csv``,
common practice); they are thrown away unless saved.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from costing.amounts import Kind
from costing.kitchen.bench import SLACK, Outcome
from costing.kitchen.constants import constant
from costing.kitchen.density import weight as grams
from costing.kitchen.money import discard
from costing.kitchen.picking import pick
from costing.kitchen.pot import ALCOHOL, BOILED, FAT, INSOLUBLES, SOLUBLES, WATER
from costing.kitchen.saving import save
from costing.kitchen.vitamins import BAKED, heated

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
        step: of what, how much it yields (a share of the tissue's weight, or g), what share of that is fat, what the
            fat is called.
        pot: the pot before.
        bench: for ranges and errors.

    Returns:
        The pot with the fat in place of the tissue.

    Raises:
        KitchenError: more fat than the tissue has, or less pure than its water and solubles can make it.
    """
    chosen = pick(step.of, pot, bench)
    others, tissue = pot.split(chosen)
    held = tissue.mass.sum(axis=0)
    weight, fat, serum = grams(held), held[:, FAT], held[:, WATER] + held[:, SOLUBLES]
    if FREE in bench.given or step.yields.kind is Kind.SHARE:
        wanted = bench.figure(FREE, step.yields.figure) * weight
    else:
        wanted = bench.sized(step.yields.figure)
    pure = bench.figure("purity", step.purity, 1.0)
    melts, along = wanted * pure, wanted * (1.0 - pure)
    bench.require(
        melts <= fat + SLACK * weight,
        f"{bench.shown(melts)} g of fat would have to come out of tissue that has {bench.shown(fat)} g",
        "lower the yield, or look at the food record of the tissue",
    )
    bench.require(
        along <= serum + SLACK * weight,
        f"{bench.shown(along)} g of the rendered fat would be water and solubles, "
        f"and the tissue has {bench.shown(serum)} g",
        "raise the purity",
    )
    melted_share, along_share = _share(melts, fat), _share(along, serum)
    tissue, water_share = _dried(tissue, melts, along_share)
    tissue = heated(tissue, bench.kind, BAKED)
    share = np.zeros((1, bench.draws.count, 5))
    share[0, :, FAT], share[0, :, SOLUBLES], share[0, :, WATER] = melted_share, along_share, water_share
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


def _dried(tissue: Pot, melts: Floats, along: Floats) -> tuple[Pot, Floats]:
    """Let water leave, but for what goes with the fat and the moisture of cracklings.

    Args:
        tissue: what is rendered.
        melts: fat that melts out, g.
        along: share of the tissue's water and solubles that goes with it.

    Returns:
        The tissue, and which share of the water still in it goes with the fat.
    """
    moist = constant("moisture left in cracklings")
    held = tissue.mass.sum(axis=0)
    water = held[:, WATER]
    dry = held[:, FAT] - melts + held[:, SOLUBLES] * (1.0 - along) + held[:, INSOLUBLES]
    goes = water * along
    stays = np.minimum(water - goes, np.maximum(dry, 0.0) * moist / (1.0 - moist))
    left = _share(goes + stays, water)
    mass, ledgers = tissue.mass.copy(), tissue.ledgers.copy()
    ledgers[:, :, BOILED] += mass[:, :, WATER] * (1.0 - left)
    mass[:, :, WATER] *= left
    mass[:, :, ALCOHOL] = 0.0
    return replace(tissue, mass=mass, ledgers=ledgers), _share(goes, goes + stays)


def _share(part: Floats, whole: Floats) -> Floats:
    out: Floats = np.divide(np.minimum(part, whole), whole, out=np.zeros_like(whole), where=whole > 0)
    return out
