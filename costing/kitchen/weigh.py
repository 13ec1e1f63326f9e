"""``weigh``: the scale is right. The free figure of the step before follows from the weight.

The weight of a pot is a straight line in every free figure (what cooking loses, what is held, yielded, taken up, or
left in the machine), so two trials give it exactly.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from costing.kitchen.verbs import FREE, VERBS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from costing.kitchen.bench import Bench, Outcome
    from costing.kitchen.pot import Pot
    from costing.shop.steps import Step

    Floats = NDArray[np.float64]

_TRIALS = {"reduce": (1.0, 0.999), "churn": (0.0, 1.0)}


def check_weighable(before: Step | None, bench: Bench) -> None:
    """Insist that the step before the scale has a figure which a weight can settle.

    Args:
        before: that step, None where there is none.
        bench: its bench.

    Raises:
        KitchenError: it has none.
    """
    verb: str = getattr(before, "verb", "")
    if before is None or verb == "weigh":
        raise bench.error("there is nothing to weigh yet", "weigh after the step whose loss you want to settle")
    if verb not in FREE:
        raise bench.error(
            f"the step before is '{verb}', and nothing in it can follow from a weight",
            "weigh after cook, reduce, render, press, soak, strain, lose or churn",
        )


def settle(target: Floats, before: Step, pot: Pot, bench: Bench) -> tuple[Outcome, str]:
    """Do a step so that it ends at the weight.

    Args:
        target: the weight, g, ``(draws,)``; after ``soak`` the weight of what was soaked, else of the whole pot.
        before: the step before the scale, one with a free figure.
        pot: the pot before that step.
        bench: its bench.

    Returns:
        What that step leaves behind, and what was worked out, in words.

    Raises:
        KitchenError: the weight cannot be.
    """
    verb: str = before.verb  # type: ignore[attr-defined]
    low, high = _TRIALS.get(verb, (0.0, 0.001))
    at_low, at_high = (_weighed(before, pot, value, bench) for value in (low, high))
    slope = at_high - at_low
    if (np.abs(slope) < 1e-12).any():
        raise bench.error(f"the weight after '{verb}' does not depend on it here", "take the weigh step out")
    bench.require(
        (target > 0) & ((target - at_low) * np.sign(slope) >= -1e-9 * target),
        f"{bench.shown(target)} g cannot be weighed after '{verb}': "
        f"{bench.shown(at_low)} g is the {'most' if float(slope[0]) < 0 else 'least'} there can be",
        "weigh again, without the pot",
    )
    figure = low + (target - at_low) / slope * (high - low)
    bench.given = {FREE[verb]: figure}
    try:
        outcome = VERBS[verb](before, pot, bench)
    finally:
        bench.given = {}
    shown = f"{bench.shown(figure)} g" if verb == "churn" else f"{bench.shown(figure * 100, 1)} %"
    return outcome, f"{'keeps' if FREE[verb] == 'to' else FREE[verb]} {shown}"


def _weighed(before: Step, pot: Pot, value: float, bench: Bench) -> Floats:
    verb: str = before.verb  # type: ignore[attr-defined]
    bench.given, bench.trial = {FREE[verb]: bench.draws.full(value)}, True
    try:
        after = VERBS[verb](before, pot, bench).pot
    finally:
        bench.given, bench.trial = {}, False
    if verb != "soak":
        return after.grams()
    soaked = after.called(before.of)  # type: ignore[attr-defined]
    weight: Floats = (after.weights() * soaked).sum(axis=0)
    return weight
