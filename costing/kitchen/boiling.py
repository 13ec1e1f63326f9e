"""Boiling a pot down to a target; ``cook`` and ``reduce`` share it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from costing.amounts import Kind
from costing.kitchen.bench import SLACK
from costing.kitchen.density import dissolved_pct, volume
from costing.kitchen.pot import ALCOHOL, WATER

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from costing.amounts import Amount
    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot, Tag
    from costing.kitchen.vapour import Boil

    Floats = NDArray[np.float64]


def boiled(target: Amount, boil: Boil, bench: Bench) -> Pot:
    """The pot when it has come to its target.

    Args:
        target: a share of the weight or of the volume at 20 degrees C, a weight (g), or a Brix.
        boil: the pot and how it boils.
        bench: for ranges and errors.

    Returns:
        The pot, with less water and alcohol.

    Raises:
        KitchenError: the pot cannot come to it by losing water and alcohol alone.
    """
    wanted = bench.sized(target.figure) if target.kind is Kind.WEIGHT else bench.draws.of(target.figure)
    if target.kind is Kind.BRIX:
        return boil.at(_left_at_brix(wanted, target, boil, bench))
    if target.kind is Kind.VOLUME_SHARE:
        now = volume(boil.total)
        dry, _ = boil.sums(bench.draws.full(0.0))
        bench.require(
            (wanted <= 1) & (wanted * now >= volume(dry) - SLACK),
            f"{target.text} cannot be reached: what is left without water takes "
            f"{bench.shown(100 * volume(dry) / np.maximum(now, SLACK))} % of the volume",
            "reduce it less",
        )
        return boil.at(boil.until(lambda total, _: volume(total), wanted * now))
    return boiled_to_weight(wanted if target.kind is Kind.WEIGHT else wanted * boil.grams, boil, bench)


def _left_at_brix(wanted: Floats, target: Amount, boil: Boil, bench: Bench) -> Floats:
    _, dry = boil.sums(bench.draws.full(0.0))
    now, most = dissolved_pct(boil.liquid), dissolved_pct(dry)
    bench.require(
        boil.liquid[:, WATER] > SLACK,
        "there is no liquid yet whose Brix could be measured: all the water is still inside the solids",
        "write a share or a weight, or add water first",
    )
    bench.require(
        (wanted >= now - SLACK) & (wanted <= most + SLACK),
        f"{target.text} cannot be reached by boiling: the liquid has {bench.shown(now, 1)} Brix now and "
        f"{bench.shown(most, 1)} when all its water is gone",
        "boiling only raises the Brix; dilute it, or write a higher one",
    )
    # Brix rises while the water falls, so the search runs on its negative.
    return boil.until(lambda _, liquid: -dissolved_pct(liquid), -wanted)


def boiled_to_weight(weight: Floats, boil: Boil, bench: Bench) -> Pot:
    """The pot when it weighs so many grams; as :func:`boiled`."""
    now = boil.grams
    bench.require(
        weight <= now + SLACK * now,
        f"the pot weighs {bench.shown(now)} g and cannot come to {bench.shown(weight)} g by boiling",
        "nothing goes in here; write a smaller weight or share",
    )
    left = boil.to_weight(weight)
    vapour = boil.total[:, WATER] + boil.total[:, ALCOHOL]
    bench.require(
        left >= -SLACK,
        f"more water would have to leave ({bench.shown(now - weight)} g) than there is ({bench.shown(vapour)} g of "
        f"water and alcohol in {bench.shown(now)} g)",
        "let it lose less",
    )
    return boil.at(np.clip(left, 0.0, 1.0), weight)


def concentrating(pot: Pot, bench: Bench) -> Pot:
    """Mark juice, and fruit liquor without its pulp, as boiled down: the law of added sugars asks for it.

    Whole fruit and its puree keep all that is edible of them and are not marked.
    """

    def mark(tag: Tag) -> Tag:
        kind = bench.kind(tag.ingredient)
        pulpless = "given" in tag.marks or tag.state != bench.materials[tag.ingredient].state
        return tag.marked("concentrated") if tag.loose and (kind == "juice" or (kind == "fruit" and pulpless)) else tag

    return pot.retagged(mark)
