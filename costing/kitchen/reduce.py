"""``reduce``: only water and alcohol leave, down to a share of weight or volume, a weight, or a Brix."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from costing.kitchen.bench import Outcome
from costing.kitchen.boiling import concentrating, left_at, left_at_weight
from costing.kitchen.vapour import Boil
from costing.kitchen.vitamins import heated

if TYPE_CHECKING:
    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot
    from costing.shop.steps import Reduce

FREE = "to"


def do(step: Reduce, pot: Pot, bench: Bench) -> Outcome:
    """Boil a pot down.

    Args:
        step: what it comes to, and how long that takes (which decides how much alcohol is left).
        pot: the pot before.
        bench: for ranges and errors.

    Returns:
        The pot after; all but water and alcohol is still there.

    Raises:
        KitchenError: it cannot come to that by losing water and alcohol.
    """
    boil = Boil(pot, None if step.hold is None else bench.draws.of(step.hold))
    if FREE in bench.given:
        left = left_at_weight(bench.given[FREE] * pot.grams(), boil, bench)
    else:
        left = left_at(step.to, boil, bench)
    return Outcome(replace(concentrating(heated(boil.at(left), bench.kind), bench), cooled=False))
