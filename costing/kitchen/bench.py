"""What a step works with: draws, materials, what has been made so far; and what it leaves behind.

A step never branches on a draw. What cannot be is an error in the plain answer, and a masked draw in a sample.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from costing.findings import Finding
from costing.kitchen.pot import MONEY, VALUE, Pot
from costing.kitchen.vitamins import vitamins

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from costing.amounts import Figure
    from costing.findings import Level
    from costing.kitchen.draws import Draws
    from costing.kitchen.materials import Material
    from costing.shop.models import Container, Machine
    from costing.shop.steps import Step

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

SLACK = 1e-9
"""how far a share or weight may pass its bound before it counts as impossible: float noise"""


Purchase = tuple[str, bool]
"""An ingredient, and whether it goes into the pot as bought (because its part trims it)."""


class KitchenError(Exception):
    """A step cannot do what it says.

    Args:
        finding: where, what and how to mend it.
    """

    def __init__(self, finding: Finding) -> None:
        super().__init__(str(finding))
        self.finding = finding


@dataclass(frozen=True, slots=True)
class GramPrice:
    """What a gram in the pot brings along, in the shop's currency.

    Args:
        carried: money, the unusable share included.
        value: as-bought value of that very gram.
    """

    carried: float | Floats
    value: float | Floats


@dataclass(slots=True)
class Stock:
    """Something made or saved earlier, of which steps take shares.

    Args:
        recipe: key of the recipe that made it.
        pot: all of it, as it was finished.
        label: a common name of its own, from which on it stands under that name.
        limited: it cannot give more than there is (a house base is made again as often as needed).
        rest: ``save`` or ``discard``.
        used: share used so far, ``(draws,)``.
        money_scale: by what its carried money grows because its rest is thrown away.
    """

    name: str
    recipe: str
    pot: Pot
    label: str | None
    limited: bool
    rest: str
    used: Floats
    where: str
    money_scale: Floats | float = 1.0
    uses: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class Use:
    """What a step took: an ingredient, or a share of something made or saved earlier.

    Args:
        source: its name.
        recipe: the recipe that made it; empty for an ingredient.
        into: the part that took it.
        grams: weight, with its carried money and its as-bought value, each ``(draws,)``.
    """

    source: str
    recipe: str
    into: str
    grams: Floats
    money: Floats
    value: Floats


@dataclass(frozen=True, slots=True, eq=False)
class FilledPots:
    """Containers of one kind: how many, and what one takes (g, mL), each ``(draws,)``."""

    container: Container
    count: Floats
    grams: Floats
    ml: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """What a step leaves behind.

    Args:
        pot: what is in the pot.
        put_in: what the step put in, if anything.
        gone: what was thrown away, without money, if anything.
        saved: name to what is kept beside the pot, and the label it has.
        runs: machine runs, ``(draws,)``.
        filled: containers filled.
        sheds: solubles may have left as water of browning.
    """

    pot: Pot
    put_in: Pot | None = None
    gone: Pot | None = None
    saved: Mapping[str, tuple[Pot, str | None]] = field(default_factory=dict)
    runs: Floats | None = None
    filled: tuple[FilledPots, ...] = ()
    sheds: bool = False


class Bench:
    """The bench of one recipe.

    Args:
        draws: the draws of this calculation.
        materials: ingredient name to material.
        prices: (ingredient, whether it is added as bought) to what its gram brings along.
        machines: the shop's machines.
        containers: the shop's containers.
        size: by what every written weight, volume and count is multiplied.
    """

    def __init__(
        self,
        draws: Draws,
        materials: Mapping[str, Material],
        prices: Mapping[Purchase, GramPrice],
        machines: Mapping[str, Machine],
        containers: Mapping[str, Container],
        size: float = 1.0,
    ) -> None:
        self.draws = draws
        self.materials = materials
        self.prices = prices
        self.machines = machines
        self.containers = containers
        self.size = size
        self.stocks: dict[str, Stock] = {}
        self.used: dict[Purchase, Floats] = {}
        self.trimmed: frozenset[str] = frozenset()
        """ingredients that the part at hand trims, and that it therefore adds as bought"""
        self.findings: list[Finding] = []
        self.step: Step | None = None
        self.part = ""
        self.uses: list[Use] = []
        self.runs = draws.full(0.0)
        """machine runs so far"""
        self.given: Mapping[str, Floats] = {}
        """figures that the scale has settled, by their name in the step"""
        self.trial = False
        """whether a figure is being tried out, so that impossible values pass"""

    def empty(self) -> Pot:
        """A clean pot."""
        return Pot.empty(self.draws.count, len(vitamins()))

    def kind(self, ingredient: str) -> str:
        """The class of an ingredient."""
        return str(self.materials[ingredient].entry.kind)

    def figure(self, name: str, written: Figure | None, default: float | None = None) -> Floats:
        """A figure of the step in every draw; what the scale has settled comes first.

        Args:
            name: the figure's key in the step.
            written: as the recipe has it.
            default: taken where it has none.
        """
        if name in self.given:
            return self.given[name]
        if written is not None:
            return self.draws.of(written)
        if default is None:
            raise self.error(f"{name} is missing", f"write {name}")
        return self.draws.full(default)

    def sized(self, written: Figure) -> Floats:
        """A weight, volume or count of the recipe in every draw, at the size of this batch."""
        return self.draws.of(written) * self.size

    def took(self, source: str, recipe: str, pot: Pot) -> None:
        """Keep what a step took."""
        if not self.trial:
            self.uses.append(Use(source, recipe, self.part, pot.grams(), pot.ledger(MONEY), pot.ledger(VALUE)))

    def note(self, level: Level, what: str, mend: str = "", where: str = "") -> None:
        """Say something about the step at hand, once."""
        if self.trial:
            return
        finding = Finding(level, where or (self.step.where if self.step else ""), what, mend)
        if finding not in self.findings:
            self.findings.append(finding)

    def error(self, what: str, mend: str = "", where: str = "") -> KitchenError:
        """The error to raise for the step at hand."""
        return KitchenError(Finding("error", where or (self.step.where if self.step else ""), what, mend))

    def require(self, possible: Bools | bool, what: str, mend: str = "") -> None:
        """Insist on what must be so: an error in the plain answer, a masked draw in a sample."""
        if self.trial or np.all(possible):
            return
        if self.draws.plain:
            raise self.error(what, mend)
        self.draws.possible = self.draws.possible & possible

    def shown(self, number: Floats, digits: int = 0) -> str:
        """A number of the plain answer for a message."""
        return f"{float(np.atleast_1d(number)[0]):,.{digits}f}"
