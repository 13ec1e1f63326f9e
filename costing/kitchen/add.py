"""``add``: ingredients or parts made earlier go into the pot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.kitchen.adding import incoming
from costing.kitchen.bench import Outcome

if TYPE_CHECKING:
    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot
    from costing.shop.steps import Add


def do(step: Add, pot: Pot, bench: Bench) -> Outcome:
    """Put things in.

    Args:
        step: thing to amount.
        pot: the pot before.
        bench: where things come from.

    Returns:
        The pot with them.

    Raises:
        KitchenError: there is not so much of a thing, or no such measure.
    """
    new = incoming(step.things, pot, bench)
    return Outcome(pot.joined(new), put_in=new)
