"""``cool``: chilling, ageing, hardening. Nothing leaves, and fat becomes firm."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from costing.kitchen.bench import Outcome

if TYPE_CHECKING:
    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot
    from costing.shop.steps import Cool


def do(step: Cool, pot: Pot, bench: Bench) -> Outcome:  # noqa: ARG001  every verb takes the same three
    """Cool.

    Args:
        step: how cold, and how fast.
        pot: the pot before.
        bench: not needed.

    Returns:
        The same pot, cooled.
    """
    return Outcome(replace(pot, cooled=True))
