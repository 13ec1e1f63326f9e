"""Where money goes when weight leaves a pot.

Only ingredients put money into pots, and what is bought is sold or saved: nothing that is discarded takes carried
money along. It passes first to the rest of its own piece, and where a piece goes whole, to all that the step keeps,
by weight. The as-bought value stays with each gram, and so says what a loss cost.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from costing.kitchen.pot import MONEY

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from costing.kitchen.pot import Pot

    Floats = NDArray[np.float64]


def discard(gone: Pot, heirs: Sequence[Pot]) -> tuple[list[Pot], Pot]:
    """Throw pieces away: their carried money passes to the heirs.

    Args:
        gone: what is thrown away.
        heirs: pots that are kept by the step; each has its first pieces in the order of ``gone``, so that the rest of a
            piece is found at the same place.

    Returns:
        The heirs with the money; what is thrown away, without money but with its as-bought value.
    """
    ledgers = gone.ledgers.copy()
    ledgers[:, :, MONEY] = 0.0
    return pass_on(gone.ledgers[:, :, MONEY], heirs), replace(gone, ledgers=ledgers)


def pass_on(money: Floats, heirs: Sequence[Pot]) -> list[Pot]:
    """Give money to the rest of the pieces it comes from, else to everything kept by weight.

    Args:
        money: what each piece passes on, ``(pieces, draws)``.
        heirs: as in :func:`discard`.

    Returns:
        The heirs with the money.
    """
    pieces = money.shape[0]
    weights = [pot.weights() for pot in heirs]
    own = sum((w[:pieces] for w in weights), np.zeros_like(money))
    everything = sum((w.sum(axis=0) for w in weights), np.zeros(money.shape[1]))
    pool = np.where(own > 0, 0.0, money).sum(axis=0)
    to_own = np.divide(money, own, out=np.zeros_like(money), where=own > 0)
    to_all = np.divide(pool, everything, out=np.zeros_like(pool), where=everything > 0)
    out = []
    for pot, weight in zip(heirs, weights, strict=True):
        gain = _given(weight, to_all)
        gain[:pieces] += _given(weight[:pieces], to_own)
        ledgers = pot.ledgers.copy()
        ledgers[:, :, MONEY] += gain
        out.append(replace(pot, ledgers=ledgers))
    return out


def _given(weight: Floats, each: Floats) -> Floats:
    """Money by weight; what weighs nothing gets none, even of money that nobody knows."""
    money: Floats = weight * each
    return np.where(weight == 0, 0.0, money) if np.isnan(money.sum()) else money


def worth(saved: Pot, rest: Pot, per_kg: float) -> tuple[Pot, Pot]:
    """Let a saved part carry what it is worth instead of its share by weight; never more than the money there.

    Args:
        saved: what is saved.
        rest: what stays in the pot, its first pieces in the same order.
        per_kg: what the saved part is worth, money per kg.

    Returns:
        Both with their money.
    """
    there = saved.ledger(MONEY) + rest.ledger(MONEY)
    wanted = np.minimum(saved.grams() / 1000.0 * per_kg, there)
    has = saved.ledger(MONEY)
    factor = np.divide(wanted, has, out=np.zeros_like(has), where=has > 0)
    less = np.minimum(factor, 1.0)
    money = saved.ledgers[:, :, MONEY]
    ledgers = saved.ledgers.copy()
    ledgers[:, :, MONEY] = money * less
    lighter = replace(saved, ledgers=ledgers)
    (rest,) = pass_on(money - money * less, [rest])
    more = np.maximum(wanted - lighter.ledger(MONEY), 0.0)
    left = rest.ledger(MONEY)
    give = np.divide(more, left, out=np.zeros_like(more), where=left > 0)
    weights = lighter.weights()
    total = weights.sum(axis=0)
    moved = give * left
    kept_ledgers = rest.ledgers.copy()
    kept_ledgers[:, :, MONEY] *= 1.0 - give
    gained = lighter.ledgers.copy()
    gained[:, :, MONEY] += weights * np.divide(moved, total, out=np.zeros_like(total), where=total > 0)
    return replace(lighter, ledgers=gained), replace(rest, ledgers=kept_ledgers)
