"""Keeping aside what a step takes out, with its money."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from costing.kitchen.constants import constant
from costing.kitchen.money import worth as set_worth
from costing.kitchen.pot import MONEY

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot


STRAINED = "say what it is worth to you, worth: 3 USD/kg, or worth: 0 for a by-product"
OTHERWISE = "if it is a by-product, take save out: it is thrown away, and its money stays with the rest"


def save(
    aside: Pot, rest: Sequence[Pot], worth: float | None, bench: Bench, name: str, mend: str = OTHERWISE
) -> tuple[list[Pot], Pot]:
    """Settle the money between what is saved and what stays.

    Args:
        aside: what is saved.
        rest: what stays; the first has its first pieces in the same order.
        worth: money per kg that the saved part carries; None: its share by weight.
        bench: for the warning.
        name: what the saved part is called.
        mend: what to do about one that takes much money along; only strain lets its worth be said.

    Returns:
        What stays, what is saved.
    """
    first, *others = rest
    if worth is not None:
        aside, first = set_worth(aside, first, worth)
    else:
        total = aside.ledger(MONEY) + sum((pot.ledger(MONEY) for pot in rest), np.zeros(bench.draws.count))
        share = np.divide(aside.ledger(MONEY), total, out=np.zeros_like(total), where=total > 0)
        if float(share.mean()) > constant("saved share that wants a worth"):
            bench.note(
                "warning",
                f"{name}, saved here, takes {bench.shown(share * 100)} % of the pot's money along, by its weight",
                mend,
            )
    return [first, *others], aside
