"""``fold``: mix-ins go in after churning; they take their own volume, and bring or lose no air."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from costing.kitchen.adding import incoming
from costing.kitchen.bench import Outcome
from costing.kitchen.density import millilitres

if TYPE_CHECKING:
    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot
    from costing.shop.steps import Fold


def do(step: Fold, pot: Pot, bench: Bench) -> Outcome:
    """Fold things in.

    Args:
        step: thing to amount.
        pot: the churned pot.
        bench: where things come from.

    Returns:
        The pot with them, its volume grown by theirs.

    Raises:
        KitchenError: there is not so much of a thing, or no such measure.
    """
    new = incoming(step.things, pot, bench).retagged(lambda tag: tag.marked("folded"))
    together = pot.joined(new)
    return Outcome(replace(together, folded=pot.folded + millilitres(new) + new.air), put_in=new)
