"""What the steps of a recipe share while they are turned into formulas: inputs, tests, what was made so far."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from costing.kitchen.pot import Tag
from costing.workbook.living.kitchen import pots
from costing.workbook.living.kitchen.paper import Input
from costing.workbook.living.kitchen.pots import Loose, Pot
from costing.workbook.living.terms import ONE, ZERO, Term, Test, at_most, const, digits

if TYPE_CHECKING:
    from collections.abc import Mapping

    from costing.amounts import Figure
    from costing.kitchen.bench import Purchase
    from costing.kitchen.materials import Pantry
    from costing.shop.models import Part, Recipe, ShopModel
    from costing.shop.steps import Step
    from costing.workbook.living.inputs import Names
    from costing.workbook.living.kitchen.paper import Paper, Row

SLACK = const(1e-9)

RULES: Mapping[str, tuple[float, float, str]] = {
    "grams": (0.0, 1e7, "g"),
    "volume": (1e-6, 1e7, "mL"),
    "share": (0.0, 1.0, "share"),
    "kept": (1e-6, 1.0, "share"),
    "part": (0.0, 0.999999, "share"),
    "times": (0.0, 10.0, "share"),
    "air": (0.0, 2.0, "share"),
    "brix": (0.01, 100.0, "Brix"),
    "many": (0.0, 100000.0, "count"),
    "worth": (0.0, 1e6, "money"),
}
"""What a figure may be: least, greatest, and what it is measured in."""


class NeedsEngineError(Exception):
    """A step that no formula follows while these inputs may change.

    Args:
        needs: keys of the inputs.
        why: what it is, in words.
    """

    def __init__(self, needs: frozenset[str], why: str) -> None:
        super().__init__(why)
        self.needs = needs
        self.why = why


@dataclass(slots=True)
class Shared:
    """What all recipes of a workbook share.

    Args:
        model: the shop.
        pantry: its ingredients.
        names: gives names to inputs.
        locked: key of an input that needs the engine to why.
        mentioned: every name by which a step of any recipe tells things apart.
        shown: recipes that have a sheet in the workbook; inputs of others are locked.
        inputs: key to input, in the order in which they came.
        named: key to the name of its cell.
    """

    model: ShopModel
    pantry: Pantry
    names: Names
    locked: dict[str, str]
    mentioned: frozenset[str]
    shown: frozenset[str]
    inputs: dict[str, Input] = field(default_factory=dict)
    named: dict[str, str] = field(default_factory=dict)
    away: str = ""

    def input(self, key: tuple[str, ...], words: str, value: float, rule: str) -> Term:
        """A figure that may be changed; a plain number where it is locked."""
        at = "|".join(key)
        why = self.locked.get(at, "")
        if len(key) == 4 and key[0] not in self.shown:
            why = why or self.away
        if at not in self.inputs:
            if not why and at not in self.named:
                self.named[at] = self.names.fresh("kitchen", *key)
            self.inputs[at] = Input(key, words, value, rule, "" if why else self.named[at], why)
        made = self.inputs[at]
        if not made.name:
            return const(value)
        low, high, _ = RULES[rule]
        name = made.name
        bounded = f'IF(AND({name}>={digits(low)},{name}<={digits(high)}),{name},"unknown")'
        return Term(f'IF(COUNT({name})=1,{bounded},"unknown")', value, frozenset((at,)))


@dataclass(slots=True)
class Stock:
    """Something made or saved earlier, as :class:`costing.kitchen.bench.Stock`."""

    name: str
    recipe: str
    pot: Pot
    label: str | None
    limited: bool
    rest: str
    used: Term = ZERO
    scale: Term = ONE
    scale_row: Row | None = None
    part: str = ""
    taken: bool = False


@dataclass(slots=True)
class Outcome:
    """What a step leaves behind; figures in g, money in the shop's."""

    pot: Pot
    put_g: Term = ZERO
    put_money: Term = ZERO
    gone_g: Term = ZERO
    saved: dict[str, tuple[Pot, str | None]] = field(default_factory=dict)
    runs: Term | None = None
    filled: tuple[tuple[str, Term, Term, Term], ...] = ()
    free: tuple[str, Term] | None = None


class Work:
    """A recipe while it is worked out.

    Args:
        shared: what all recipes share.
        paper: where figures are written down.
        recipe: the recipe.
        size: by what its amounts are multiplied.
        prices: purchase to what a gram in the pot carries.
        scales: stock to the scale that a pass before found.
        fine: every piece is followed on its own.
    """

    def __init__(
        self,
        shared: Shared,
        paper: Paper,
        recipe: Recipe,
        size: float,
        prices: Mapping[Purchase, Term],
        scales: Mapping[tuple[str, str], float],
        fine: bool,
    ) -> None:
        self.shared = shared
        self.paper = paper
        self.recipe = recipe
        self.size = const(size)
        self.prices = prices
        self.scales = scales
        self.fine = fine
        self.stocks: dict[str, Stock] = {}
        self.used: dict[Purchase, Term] = {}
        self.runs = ZERO
        self.trimmed: frozenset[str] = frozenset()
        self.tests: list[tuple[Test, str]] = []
        self.wanted: list[Term] = []
        self.ok = ""
        self.part: Part
        self.step: Step
        self.number = 0
        self.asked: list[str] = []
        """keys of the inputs of the step at hand"""

    @property
    def what(self) -> str:
        """The step at hand, in words."""
        return f"{self.part.name} {self.number} {self.step.verb}"  # type: ignore[attr-defined]

    def lumped(self, tag: Tag) -> Tag:
        """By what a piece is told from others: what flows is one, but for what a step calls by its name."""
        if self.fine or not tag.loose:
            return tag
        return Tag("", tag.names & self.shared.mentioned, "liquid")

    def ask(self, what: str, words: str, written: Figure, rule: str) -> Term:
        """A figure of the step at hand, from its cell.

        Args:
            what: its key in the step.
            words: what it is.
            written: as the recipe has it.
            rule: one of :data:`RULES`.
        """
        key = (self.recipe.key, self.part.name, str(self.number), what)
        return self._asked(key, words, written.mid, rule)

    def ask_shop(self, kind: str, of: str, what: str, words: str, written: Figure, rule: str) -> Term:
        """A figure of the shop, from its cell on Inputs."""
        return self._asked((kind, of, what), words, written.mid, rule)

    def _asked(self, key: tuple[str, ...], words: str, value: float, rule: str) -> Term:
        term = self.shared.input(key, words, value, rule)
        fmt = {"share": "share", "count": "count"}.get(RULES[rule][2], "g")
        placed = self.paper.figure(self.what, words, term, fmt)
        self.wanted.append(placed)
        if len(key) == 4:
            self.asked.append("|".join(key))
        return placed

    def require(self, test: Test, words: str) -> None:
        """Insist on what must be so."""
        self.tests.append((test, words))

    def figure(self, thing: str, term: Term, fmt: str = "g") -> Term:
        """A figure with a row of its own."""
        return self.paper.figure(self.what, thing, term, fmt)

    def settled(self) -> str:
        """Write down whether the step at hand can be done; gives the cell that says so."""
        self.ok = self.paper.check(self.what, self.ok, self.tests, self.wanted)
        self.tests, self.wanted = [], []
        return self.ok

    def take(self, stock: Stock, share: Term, everything: bool = False) -> tuple[list[Loose], Term]:
        """Take a share of something made earlier; gives its lumps and its air."""
        stock.used = self.figure(f"share of {stock.name} used so far", stock.used + share, "share")
        stock.taken = True
        if stock.limited:
            self.require(at_most(stock.used, const(1.0 + 1e-6)), f"more of {plain(stock.name)} is used than there is")
            if everything:
                stock.used = ONE
        if stock.limited and stock.rest == "discard" and stock.scale_row is None:
            value = self.scales.get((stock.recipe, stock.name), 1.0)
            stock.scale, stock.scale_row = self.paper.later(
                self.what, f"money of {stock.name} grows by this, for its rest is thrown away", value
            )

        def rename(tag: Tag) -> Tag:
            groups = (*tag.groups, stock.label) if stock.label else tag.groups
            return replace(tag, names=tag.names | {stock.name}, groups=groups)

        out = []
        for lump in stock.pot.lumps:
            took = pots.share(lump, share)
            took.money = took.money * stock.scale
            took.tag, took.like = self.lumped(rename(took.tag)), rename(took.like)
            out.append(took)
        return out, stock.pot.air * share


def plain(words: str) -> str:
    """Words that may stand between quotes in a formula."""
    return words.replace('"', "'").replace("§", "")
