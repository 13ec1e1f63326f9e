"""``fill``: whole containers. What fills none is thrown away unless saved; its money falls on the whole ones."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from costing.amounts import Kind
from costing.kitchen.bench import SLACK, FilledPots, Outcome
from costing.kitchen.density import millilitres
from costing.kitchen.money import discard

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot
    from costing.shop.models import Container
    from costing.shop.steps import Fill

    Floats = NDArray[np.float64]

REST = "rest"


def do(step: Fill, pot: Pot, bench: Bench) -> Outcome:
    """Fill containers.

    Args:
        step: which containers, how many or what share each takes, by volume or by net weight.
        pot: the finished food.
        bench: for the containers.

    Returns:
        What is in whole containers, all together, and how many there are of each.

    Raises:
        KitchenError: nothing fills a container, or there is not enough for the count asked for.
    """
    first = bench.containers[step.container[0].container]
    pot = _with_air(pot, first, bench)
    grams, ml = pot.grams(), millilitres(pot) + pot.air
    bench.require(ml > SLACK, "nothing is left to fill", "look at the steps before")
    density = np.divide(grams, ml, out=np.ones_like(ml), where=ml > 0)
    left = ml
    filled: list[FilledPots] = []
    for n, filling in enumerate(step.container):
        container = bench.containers[filling.container]
        unit = _unit_ml(step, container, density, bench)
        if filling.count is not None:
            count = bench.draws.full(float(round(filling.count * bench.size)))
            bench.require(
                count * unit <= left * (1 + SLACK),
                f"{bench.shown(count)} x {container.name} take {bench.shown(count * unit)} mL and there are only "
                f"{bench.shown(left)} mL",
                "fill fewer, or churn more",
            )
        else:
            room = left if filling.share is None else np.minimum(bench.draws.of(filling.share) * ml, left)
            count = np.floor(room / unit + SLACK)
        if filling.count is None and filling.share is None and n < len(step.container) - 1:
            raise bench.error("only the last container takes the rest", "give the others a count or a share")
        left = left - count * unit
        filled.append(FilledPots(container, count, unit * density, unit))
        if step.container[1:] and not count[0]:
            what = f"no {container.name} is filled: it takes {unit[0]:,.0f} mL, and there are {left[0]:,.0f} mL"
            bench.note("warning", what, "make more, give the others less, or take it out; what one costs is unknown")
    whole = np.clip(1.0 - left / ml, 0.0, 1.0)
    bench.require(
        whole > 0,
        f"{bench.shown(ml)} mL fill no whole {filled[-1].container.name}",
        "make more, or choose a smaller container",
    )
    full, rest = pot.share(whole), pot.share(1.0 - whole)
    if step.rest == "save":
        return Outcome(full, saved={REST: (rest, None)}, filled=tuple(filled))
    (full,), gone = discard(rest, [full])
    return Outcome(full, gone=gone, filled=tuple(filled))


def _unit_ml(step: Fill, container: Container, density: Floats, bench: Bench) -> Floats:
    holds = bench.draws.of(container.holds)
    if step.net is None:
        return holds * (1.0 + bench.draws.of(container.giveaway))
    net = bench.draws.of(step.net.figure)
    unit = net / density if step.net.kind is Kind.WEIGHT else net
    bench.require(
        unit <= holds * 1.1,
        f"{step.net.text} takes {bench.shown(unit)} mL and a {container.name} holds {bench.shown(holds)} mL",
        "fill less, or a larger container",
    )
    return unit


def _with_air(pot: Pot, container: Container, bench: Bench) -> Pot:
    """Work the air out of the weight of a full container, where the recipe gives that."""
    if pot.filled is None:
        return pot
    solid = millilitres(pot)
    unit = bench.draws.of(container.holds)
    air = pot.grams() * unit / np.maximum(pot.filled, SLACK) - solid
    bench.require(
        air >= -SLACK * solid,
        f"a full {container.name} of {bench.shown(pot.filled)} g would be denser than the mix without any air",
        "weigh a full container again, without its tub",
    )
    air = np.maximum(air, 0.0)
    mix = pot.mix_ml if pot.mix_ml is not None else solid
    bench.require(air <= 2 * mix, f"that weight means an overrun of {bench.shown(air / mix * 100)} %")
    return replace(pot, air=air, filled=None)
