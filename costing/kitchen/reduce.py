"""``reduce``: only water and alcohol leave, down to a share of weight or volume, a weight, or a Brix."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from costing.kitchen.bench import Outcome
from costing.kitchen.boiling import boiled, boiled_to_weight, concentrating
from costing.kitchen.vapour import Boil
from costing.kitchen.vitamins import SIMMERED, heated

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
        after = boiled_to_weight(bench.given[FREE] * pot.grams(), boil, bench)
    else:
        after = boiled(step.to, boil, bench)
    return Outcome(replace(concentrating(heated(after, bench.kind, SIMMERED), bench), cooled=False))
