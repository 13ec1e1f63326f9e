"""What came of a recipe in the kitchen: every step's weights and money, containers filled, things saved.

Arrays have one figure for each draw, ``(draws,)``; weights are grams, money is in the shop's currency.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

    from costing.findings import Finding
    from costing.kitchen.bench import FilledPots, Purchase, Use
    from costing.kitchen.draws import Draws
    from costing.kitchen.pot import Pot
    from costing.shop.models import Recipe

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class StepPots:
    """The pots of one step, as they were: ``before`` and ``put_in`` became ``after``, ``gone``, ``saved`` and vapour.

    They are those of the recipe's own batch; ``scale`` is what of it a flavour takes of a house base, ``(draws,)``.
    """

    before: Pot
    put_in: Pot | None
    after: Pot
    gone: Pot | None
    saved: tuple[Pot, ...]
    scale: Floats | float = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class StepRecord:
    """One step; ``in_g = out_g + vapour_g + discarded_g + saved_g``, and ``money_in = money_out + money_saved``.

    Its pots are kept for the plain answer only: those of a sample would fill the memory.
    """

    number: int
    verb: str
    name: str
    where: str
    text: str
    in_g: Floats
    out_g: Floats
    vapour_g: Floats
    discarded_g: Floats
    saved_g: Floats
    money_in: Floats
    money_out: Floats
    money_saved: Floats
    lost_value: Floats
    out_ml: Floats
    runs: Floats | None = None
    free_figure: str = ""
    pots: StepPots | None = None

    def times(self, factor: Floats) -> StepRecord:
        """The same step at another size."""
        return replace(
            self,
            pots=None if self.pots is None else replace(self.pots, scale=self.pots.scale * factor),
            **{
                key: getattr(self, key) * factor
                for key in (
                    "in_g", "out_g", "vapour_g", "discarded_g", "saved_g", "money_in", "money_out", "money_saved",
                    "lost_value", "out_ml",
                )
            },
        )  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class PartRecord:
    """A part: its steps, its finished pot, and the share of it that was used."""

    name: str
    recipe: str
    steps: tuple[StepRecord, ...]
    pot: Pot
    used: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Saved:
    """Something kept for later at its cost."""

    name: str
    part: str
    where: str
    pot: Pot


@dataclass(frozen=True, slots=True, eq=False)
class LabourUse:
    """Time of a role (None: the shop's first), seconds for the whole batch, ``(draws,)``."""

    role: str | None
    what: str
    where: str
    seconds: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Brew:
    """A whole batch.

    Args:
        recipe: its recipe.
        parts: parts in order, those of house bases first and at the size that this batch takes of them.
        filled: containers filled.
        pot: what is in whole containers, or the finished house base.
        saved: what is still saved at the end.
        used: weight of each purchase that went into pots, g.
        labour: time by role.
        runs: machine runs.
        uses: what every part took, ingredients and parts.
        size: by what the recipe's amounts were multiplied.
        findings: what was noticed on the way.
        draws: the draws; ``draws.possible`` masks those that cannot be.
    """

    recipe: Recipe
    parts: tuple[PartRecord, ...]
    filled: tuple[FilledPots, ...]
    pot: Pot
    saved: tuple[Saved, ...]
    used: Mapping[Purchase, Floats]
    labour: tuple[LabourUse, ...]
    runs: Floats
    uses: tuple[Use, ...]
    size: float
    findings: tuple[Finding, ...]
    draws: Draws
