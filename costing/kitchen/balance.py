"""Writes down what a step did, after checking that mass and both ledgers balance in every draw that can be."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from costing.kitchen.brew import StepPots, StepRecord
from costing.kitchen.density import millilitres
from costing.kitchen.pot import FAT, INSOLUBLES, MONEY, SOLUBLES, VALUE
from costing.kitchen.words import describe

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.kitchen.bench import Bench, Outcome
    from costing.kitchen.pot import Pot
    from costing.shop.steps import Step

BALANCE = 1e-9
"""what mass and money may be off after a step, times the larger of 1 and what went in"""


class BalanceError(AssertionError):
    """Mass or money went astray in a step: our fault, never the recipe's."""


def record(number: int, step: Step, before: Pot, outcome: Outcome, bench: Bench, free: str = "") -> StepRecord:
    """What a step did.

    Args:
        number: of the step in its part, from 1.
        step: the step.
        before: the pot before it.
        outcome: what it left behind.
        bench: its bench.
        free: the figure that the scale worked out, in words.

    Returns:
        Its record.

    Raises:
        BalanceError: what went in is not what came out.
    """
    nothing = bench.empty()
    put, gone = outcome.put_in or nothing, outcome.gone or nothing
    saved = [pot for pot, _ in outcome.saved.values()]
    verb: str = step.verb  # type: ignore[attr-defined]
    _check(before, put, outcome, (gone, *saved), bench, f"{bench.part} {number} {verb}")
    zero = bench.draws.full(0.0)
    weight_in = before.grams() + put.grams()
    saved_g = sum((pot.grams() for pot in saved), zero)
    out_g = outcome.pot.grams()
    return StepRecord(
        number,
        verb,
        step.name or "",
        step.where,
        describe(step),
        weight_in,
        out_g,
        np.maximum(weight_in - out_g - gone.grams() - saved_g, 0.0),
        gone.grams(),
        saved_g,
        before.ledger(MONEY) + put.ledger(MONEY),
        outcome.pot.ledger(MONEY),
        sum((pot.ledger(MONEY) for pot in saved), zero),
        gone.ledger(VALUE),
        millilitres(outcome.pot) + outcome.pot.air,
        outcome.runs,
        free,
        StepPots(before, outcome.put_in, outcome.pot, outcome.gone, tuple(saved)) if bench.draws.plain else None,
    )


def _check(before: Pot, put: Pot, outcome: Outcome, beside: Sequence[Pot], bench: Bench, where: str) -> None:
    """Insist that mass and both ledgers balance."""
    possible = bench.draws.possible
    after = (outcome.pot, *beside)
    mass = before.mass.sum(axis=0) + put.mass.sum(axis=0)
    lost = (mass - sum(pot.mass.sum(axis=0) for pot in after))[possible]
    bound = BALANCE * np.maximum(1.0, mass @ np.ones(mass.shape[1]))[possible, None]
    firm = [FAT, INSOLUBLES] if outcome.sheds else [FAT, SOLUBLES, INSOLUBLES]
    if (lost < -bound).any() or (np.abs(lost[:, firm]) > bound).any():
        raise BalanceError(f"{where}: mass is off by {np.abs(lost).max()} g")
    for ledger in (MONEY, VALUE):
        into = before.ledger(ledger) + put.ledger(ledger)
        off = (into - sum(pot.ledger(ledger) for pot in after))[possible]
        if (np.abs(off) > BALANCE * np.maximum(1.0, into[possible])).any():
            raise BalanceError(f"{where}: money is off by {np.abs(off).max()}")
