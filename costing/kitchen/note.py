"""``note``: words for the batch sheet. Nothing happens to the pot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.kitchen.bench import Outcome

if TYPE_CHECKING:
    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot
    from costing.shop.steps import NoteStep


def do(step: NoteStep, pot: Pot, bench: Bench) -> Outcome:  # noqa: ARG001  every verb takes the same three
    """Leave the pot as it is."""
    return Outcome(pot)
