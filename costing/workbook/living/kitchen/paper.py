"""The rows of the sheet Workings, written down one by one while a recipe is worked out."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from openpyxl.utils import get_column_letter

from costing.workbook.living.terms import Term, Test

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.kitchen.pot import Tag

FIRST, FIGURE, MONEY = 3, 3, 10
"""Columns: of the first fraction, of a figure on its own, of the money of a row."""


@dataclass(slots=True)
class Row:
    """A row: what it is about, and what stands in its columns."""

    what: str
    thing: str
    cells: dict[int, Term | str]
    kind: str = "figure"
    fmt: str = "g"


@dataclass(frozen=True, slots=True)
class Input:
    """A figure of a recipe that may be changed, or that stays locked.

    Args:
        key: recipe, part, step and what it is.
        words: what it is, in words.
        value: as the recipe has it.
        rule: which figures it takes (:data:`costing.workbook.living.inputs.RULES`).
        name: the name of its cell; empty where it is locked.
        why: why it is locked.
    """

    key: tuple[str, ...]
    words: str
    value: float
    rule: str
    name: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Lump:
    """Pieces of a pot that are followed as one.

    Args:
        tag: by what later steps know it.
        like: the tag of one of its pieces.
        mass: g of water, alcohol, fat, solubles, insolubles.
        added: weight as added, g.
        money: what it carries.
        weight: its weight, g.
    """

    tag: Tag
    like: Tag
    mass: tuple[Term, ...]
    added: Term
    money: Term
    weight: Term


@dataclass(slots=True)
class Paper:
    """What has been written so far.

    Args:
        start: the row of the sheet on which it begins.
        rows: its rows.
    """

    start: int
    rows: list[Row] = field(default_factory=list)

    @property
    def next(self) -> int:
        """The row of the sheet that is written next."""
        return self.start + len(self.rows)

    def heading(self, words: str) -> None:
        """What follows belongs to something else."""
        self.rows.append(Row(words, "", {}, "heading"))

    def figure(self, what: str, thing: str, term: Term, fmt: str = "g") -> Term:
        """A figure with a row of its own.

        Args:
            what: the step that it belongs to.
            thing: what it is.
            term: how it is worked out.
            fmt: ``g`` for weights, volumes and money, ``share`` for shares, ``count`` for whole numbers.

        Returns:
            Its cell; the figure itself where it depends on nothing.
        """
        if term.fixed:
            return term
        if term.cell:
            return term
        at = f"{get_column_letter(FIGURE)}{self.next}"
        self.rows.append(Row(what, thing, {FIGURE: term}, fmt=fmt))
        return Term(f"§{at}", term.value, term.needs, cell=True)

    def later(self, what: str, thing: str, value: float, fmt: str = "share") -> tuple[Term, Row]:
        """A figure that is known only at the end; its row is filled in then."""
        at = f"{get_column_letter(FIGURE)}{self.next}"
        row = Row(what, thing, {}, fmt=fmt)
        self.rows.append(row)
        return Term(f"§{at}", value, cell=True), row

    def lump(self, what: str, tag: Tag, like: Tag, mass: Sequence[Term], added: Term, money: Term) -> Lump:
        """Write a lump down as it is after a step; what is worked out from nothing but numbers stays a number."""
        cells: dict[int, Term | str] = {}
        placed = [self._put(cells, FIRST + i, term) for i, term in enumerate(mass)]
        weight = placed[0]
        for term in placed[1:]:
            weight = weight + term
        weight = self._put(cells, FIRST + 5, weight)
        added = self._put(cells, FIRST + 6, added)
        money = self._put(cells, MONEY, money)
        self.rows.append(Row(what, spoken(tag), cells, "lump"))
        return Lump(tag, like, tuple(placed), added, money, weight)

    def _put(self, cells: dict[int, Term | str], at: int, term: Term) -> Term:
        cells[at] = term
        return term if term.fixed else Term(f"§{get_column_letter(at)}{self.next}", term.value, term.needs, cell=True)

    def check(self, what: str, before: str, tests: Sequence[tuple[Test, str]], wanted: Sequence[Term]) -> str:
        """Write down whether a step can be done.

        Args:
            what: the step.
            before: the cell that says so of the steps before; empty where nothing can go wrong in them.
            tests: what must hold, and what is wrong otherwise.
            wanted: cells that must hold a figure.

        Returns:
            The cell that says "ok" of everything so far; empty where nothing can go wrong.
        """
        open_tests = [(test, words) for test, words in tests if not test.fixed]
        names = [term.text for term in wanted if term.cell]
        if not open_tests and not names:
            return before
        text = '"ok"'
        for test, words in reversed(open_tests):
            # A text inside a formula has no more than 255 characters.
            text = f'IF({test.text},{text},"{words[:200]}")'
        if names:
            text = f'IF(COUNT({",".join(names)})={len(names)},{text},"a figure is missing or out of bounds")'
        if before:
            text = f'IF({before}="ok",{text},"an earlier step cannot be done")'
        at = f"{get_column_letter(FIGURE)}{self.next}"
        self.rows.append(Row(what, "can this be done?", {FIGURE: text}, "check"))
        return f"§{at}"


def spoken(tag: Tag) -> str:
    """A lump in words."""
    if tag.ingredient:
        words = tag.label or tag.ingredient
        if "given" in tag.marks:
            words = f"given by {words}"
    else:
        words = " + ".join(sorted(tag.names)) or "all that flows"
    if "held" in tag.marks:
        words = f"liquid held by {', '.join(sorted(tag.names))}"
    return words
