"""``cook``: heat; water leaves, alcohol and vitamins by their tables.

Dry sugar that is browned may shed up to a tenth of its weight as water of browning; that is an estimate, and said.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from costing.amounts import Kind
from costing.kitchen.bench import SLACK, Outcome
from costing.kitchen.boiling import boiled, boiled_to_weight, concentrating
from costing.kitchen.constants import constant
from costing.kitchen.density import weight as grams
from costing.kitchen.pot import FAT, SOLUBLES, WATER
from costing.kitchen.vapour import Boil
from costing.kitchen.vitamins import SIMMERED, heated

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot
    from costing.shop.steps import Cook

    Floats = NDArray[np.float64]

FREE = "loses"


def do(step: Cook, pot: Pot, bench: Bench) -> Outcome:
    """Cook a pot.

    Args:
        step: what it loses (a share of the pot or g) or what it comes to; how, how hot and how long.
        pot: the pot before.
        bench: for ranges and errors.

    Returns:
        The pot after.

    Raises:
        KitchenError: more water would have to leave than there is.
    """
    seconds = None if step.hold is None else bench.draws.of(step.hold)
    boil = Boil(pot, seconds, step.how in ("bake", "toast", "brown"))
    weight = _weight(step, pot, bench)
    shed = pot
    if weight is not None and step.how == "brown":
        shed = _browned(pot, weight, boil, bench)
        boil = boil if shed is pot else Boil(shed, seconds, True)
        after = boiled_to_weight(np.minimum(weight, boil.grams), boil, bench)
    elif weight is not None:
        after = boiled_to_weight(weight, boil, bench)
    elif step.to is not None:
        after = boiled(step.to, boil, bench)
    else:
        after = boil.at(bench.draws.full(1.0))
        bench.note("warning", "nothing says what this loses in cooking", "weigh the pot and write loses or weigh")
    after = heated(after, bench.kind, step.how or SIMMERED)
    if (after.mass[:, :, WATER] < shed.mass[:, :, WATER]).any():
        after = concentrating(after, bench)
    if step.how == "brown":
        after = replace(after, browned=True).retagged(lambda tag: tag.marked("browned"))
        if any(bench.kind(tag.ingredient) == "sweetener" for tag in pot.tags) and not pot.mass[:, :, FAT].any():
            bench.note(
                "note",
                "dark caramel is no longer the sugar that went in, and no table here says what it has become",
                "for a dark one, give the caramel a spec sheet of its own",
            )
    return Outcome(replace(after, cooled=False), sheds=shed is not pot)


def _weight(step: Cook, pot: Pot, bench: Bench) -> Floats | None:
    """What the pot comes to, g, where it is said by a loss."""
    if FREE in bench.given:
        return pot.grams() * (1.0 - bench.given[FREE])
    if step.loses is None:
        return None
    if step.loses.kind is Kind.SHARE:
        return pot.grams() * (1.0 - bench.draws.of(step.loses.figure))
    return pot.grams() - bench.sized(step.loses.figure)


def _browned(pot: Pot, weight: Floats, boil: Boil, bench: Bench) -> Pot:
    """Let sugar shed water of browning where there is not enough free water for the loss."""
    dry, _ = boil.sums(bench.draws.full(0.0))
    short = grams(dry) - weight
    if (short <= SLACK).all():
        return pot
    sugar = pot.where(lambda tag: bench.kind(tag.ingredient) == "sweetener")
    solids = (pot.mass[:, :, SOLUBLES] * sugar).sum(axis=0)
    most = constant("water of browning of dry sugar") * solids
    short = np.maximum(short, 0.0)
    bench.require(
        short <= most + SLACK,
        f"browning would have to drive off {bench.shown(short)} g more than the water there is, "
        f"and sugar sheds at most {bench.shown(most)} g",
        "let it lose less",
    )
    bench.note("note", "the sugar sheds water of browning here; how much is an estimate", "weigh the pot")
    share = np.divide(np.minimum(short, most), solids, out=np.zeros_like(solids), where=solids > 0)
    mass = pot.mass.copy()
    mass[:, :, SOLUBLES] *= 1.0 - share * sugar
    return replace(pot, mass=mass)
