"""The panel as a table that lies: 21 CFR 101.9(d)(11)(iii), (e)(6)(ii), and (j)(13)(ii)(A)(1) for small packages.

Title, servings and calories stand in a cell on the left. The nutrients stand beside it, in one table or folded into
two, with the vitamins and minerals below their thick bar, vitamin D and calcium on the first line, (d)(8). The
footnote stands to the right behind a rule, or beneath.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.panel import frame, rules, table
from nutrition.panel.faces import face
from nutrition.panel.pen import Pen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nutrition.panel.content import Content, Row
    from nutrition.panel.drawing import Drawing
    from nutrition.panel.rules import Look
    from nutrition.panel.table import Column, Needs

_SLACK = 1e-6
_TWO_LINES = 0.86  # from one baseline of a title in two lines to the next, as a share of its size
_LARGEST_TITLE = 1.25  # of the least size: a larger one would only take height


@dataclass(frozen=True, slots=True)
class Plan:
    """How the parts are put side by side.

    Args:
        folds: rows of each table, nutrients and vitamins.
        needed: what each table needs.
        head: width of the cell on the left, pt.
        foot: width of the footnote's cell on the right, pt; 0: it stands beneath.
        gap: white on either side of an upright rule between cells, pt.
        margin: from the outer edge of the box to the texts, pt.
    """

    folds: tuple[tuple[tuple[Row, ...], tuple[Row, ...]], ...]
    needed: tuple[Needs, ...]
    head: float
    foot: float
    gap: float
    margin: float

    @property
    def width(self) -> float:
        """The least outer width, pt."""
        cells = 1 + len(self.folds) + (1 if self.foot else 0)
        inner = self.head + sum(one.total for one in self.needed) + self.foot
        return inner + 2 * self.gap * (cells - 1) + 2 * self.margin


@dataclass(frozen=True, slots=True)
class Tabular:
    """The form; ``ways`` are the numbers of tables and whether the footnote stands beside them, best first."""

    ways: tuple[tuple[int, bool], ...]

    def widths(self, content: Content, look: Look) -> tuple[float, ...]:
        """Outer widths, pt, of the arrangements, the best first."""
        return tuple(plan.width for plan in self._plans(content, look))

    def draw(self, content: Content, width: float, look: Look, notes: tuple[str, ...]) -> Drawing:
        """Draws the panel at an outer width, pt: the best arrangement that fits, with room to spare in the tables."""
        plans = self._plans(content, look)
        fitting = [plan for plan in plans if plan.width <= width + _SLACK]
        plan = fitting[0] if fitting else min(plans, key=lambda one: one.width)
        start = look.margin
        paper = Pen(look, start, width - start, start)
        head = paper.beside(start, start + plan.head)
        _head(head, content)
        spare = max(0.0, width - plan.width) / len(plan.folds)
        left = head.right + 2 * plan.gap
        tables = []
        for needed in plan.needed:
            right = left + needed.total + spare
            tables.append(paper.beside(left, right))
            left = right + 2 * plan.gap
        across = paper.beside(tables[0].left, tables[-1].right)
        _tables(across, tables, content, plan)
        if content.not_significant:
            frame.statement(across, content)
        ends = [head.y + 1.5]
        if plan.foot:
            foot = paper.beside(left, left + plan.foot, start - 2.0)
            frame.footnote(foot, content)
            ends += [foot.y, across.y]
            paper.y = max(ends)
        elif len(plan.folds) > 1:
            across.bar("medium")
            frame.footnote(across, content)
            paper.y = max(*ends, across.y)
        else:
            paper.y = max(*ends, across.y)
        bottom = paper.y + (frame.AIR - 1.0 if len(plan.folds) > 1 or plan.foot else 0.0)
        edges = [head.right + plan.gap]
        if plan.foot:
            edges.append(across.right + plan.gap)
        for x in edges:
            paper.upright(x, look.bar("box"), bottom)
        paper.y = bottom
        if not plan.foot and len(plan.folds) == 1:
            paper.bar("medium")
            frame.footnote(paper, content)
            paper.y += frame.AIR - 1.0
        return frame.finish(paper, content, width, notes)

    def _plans(self, content: Content, look: Look) -> list[Plan]:
        # A short footnote is not worth a cell of its own.
        ways = [way for way in self.ways if not (way[1] and content.has_short_footnote)]
        return [_plan(content, look, folds, beside) for folds, beside in ways]


def _plan(content: Content, look: Look, count: int, beside: bool) -> Plan:
    folds = _folded(content, count)
    heads = _heads(content, look)
    needed = tuple(table.needs(content, (*upper, *lower), look, heads) for upper, lower in folds)
    foot = look.space("foot_cell") if beside else 0.0
    return Plan(folds, needed, _head_width(content, look), foot, look.space("inside_column") + 1.0, look.margin)


def _folded(content: Content, count: int) -> tuple[tuple[tuple[Row, ...], tuple[Row, ...]], ...]:
    """The rows of each table: no name parted from what is indented below it; vitamins by turns."""
    if count == 1:
        return ((content.nutrients, content.vitamins),)
    rows = content.nutrients
    cuts = [i for i, row in enumerate(rows) if i and row.indent == 0] or [len(rows)]
    cut = min(cuts, key=lambda i: (max(i, len(rows) - i), -i))
    return (rows[:cut], content.vitamins[0::2]), (rows[cut:] or rows[:1], content.vitamins[1::2])


def _heads(content: Content, look: Look) -> tuple[float, ...]:
    """What the heads over a table need: over one column side by side, over two above each other."""
    bold = face("bold")
    percent = bold.width(content.daily_value, look.size("daily_value_head"))
    if len(content.columns) == 1:
        amount = bold.width(rules.words("head_amount"), look.size("column_head"))
        return (amount + look.space("between_columns") + percent,)
    return tuple(
        max(percent, bold.width(rules.words(f"head_{key}"), look.size("column_head"))) for key in content.columns
    )


def _tables(across: Pen, tables: Sequence[Pen], content: Content, plan: Plan) -> None:
    """Draws the tables side by side, their bars running through; ``across`` then stands below them."""
    placed = [table.place(pen, needed) for pen, needed in zip(tables, plan.needed, strict=True)]
    for pen, columns in zip(tables, placed, strict=True):
        _table_head(pen, content, columns)
    across.y = tables[0].y
    across.bar("medium")
    for pen, columns, (upper, _) in zip(tables, placed, plan.folds, strict=True):
        pen.y = across.y
        table.rows(pen, upper, columns, first=False)
    across.y = max(pen.y for pen in tables)
    across.bar("thick")
    if content.vitamins:
        for pen, columns, (_, lower) in zip(tables, placed, plan.folds, strict=True):
            pen.y = across.y
            table.rows(pen, lower, columns, first=False)
        across.y = max(pen.y for pen in tables)
    for pen, columns in zip(tables, placed, strict=True):
        for column in columns:
            pen.upright(column.rule, across.look.margin, across.y)
    for one, other in itertools.pairwise(tables):
        across.upright((one.right + other.left) / 2, across.look.margin, across.y)


def _table_head(pen: Pen, content: Content, columns: Sequence[Column]) -> None:
    look = pen.look
    names, percents = look.size("column_head"), look.size("daily_value_head")
    leading = look.leading("other")
    if not columns:
        baseline = pen.line(max(names, percents), leading + 1.0)
        pen.text(pen.left, baseline, rules.words("head_amount"), "bold", names)
        pen.text(pen.right, baseline, content.daily_value, "bold", percents, anchor="end")
        return
    baseline = pen.line(names, leading)
    for key, column in zip(content.columns, columns, strict=True):
        pen.text(column.right, baseline, rules.words(f"head_{key}"), "bold", names, anchor="end")
    baseline = pen.line(percents, leading + 1.0)
    for column in columns:
        pen.text(column.right, baseline, content.daily_value, "bold", percents, anchor="end")


def _head_width(content: Content, look: Look) -> float:
    bold = face("bold")
    title = frame.least_title(look) * max(map(frame.title_ems, rules.words("title").split()))
    size = look.size("serving_size_tight" if look.tight else "serving_size")
    serving = max(bold.width(rules.words("serving_size"), size), bold.width(content.serving_size, size))
    servings = max(face("regular").width(line, look.size("servings")) for line in _servings(content))
    calories = bold.width(rules.words("calories"), look.size("calories")) + sum(
        look.space("between_columns") + wide for wide in _figures(content, look)
    )
    amount = bold.width(rules.words("amount_per_serving"), look.size("amount_per_serving"))
    return max(title, serving, servings, calories, amount if len(content.columns) == 1 else 0.0)


def _servings(content: Content) -> list[str]:
    """The servings in two lines, which is what the cell must have room for."""
    return frame.halves(content.servings)


def _figures(content: Content, look: Look) -> list[float]:
    """Widths of the calories, each with its column's name above it where there are two."""
    bold = face("bold")
    figures = [bold.width(amount, look.size("calories_figure")) for amount in content.calories]
    if len(figures) == 1:
        return figures
    names = [bold.width(rules.words(f"head_{key}"), look.size("column_head")) for key in content.columns]
    return [max(pair) for pair in zip(figures, names, strict=True)]


def _head(pen: Pen, content: Content) -> None:
    """Draws the cell on the left: title in one line or two, servings, serving size, calories."""
    look = pen.look
    words = rules.words("title")
    least = frame.least_title(look)
    one_line = pen.inner / frame.title_ems()
    pen.y -= 1.0
    if one_line >= least:
        frame.title(pen, words, min(one_line, _LARGEST_TITLE * least))
    else:
        parts = words.split()
        size = min(_LARGEST_TITLE * least, *(pen.inner / frame.title_ems(part) for part in parts))
        frame.title(pen, parts[0], size)
        for part in parts[1:]:
            pen.y += (_TWO_LINES - frame.TITLE_RISE) * size
            frame.title(pen, part, size)
    pen.y += frame.AIR
    pen.rule()
    pen.y += 1.0
    frame.servings(pen, content)
    pen.y += 1.0
    pen.bar("thick")
    pen.y += frame.BELOW_BAR
    wide = _figures(content, look)
    rights = [pen.right]
    for one in reversed(wide[1:]):
        rights.insert(0, rights[0] - one - look.space("between_columns"))
    if len(content.columns) == 1:
        size = look.size("amount_per_serving")
        pen.text(pen.left, pen.line(size, look.leading("other")), rules.words("amount_per_serving"), "bold", size)
    else:
        size = look.size("column_head")
        baseline = pen.line(size, look.leading("other"))
        for key, right in zip(content.columns, rights, strict=True):
            pen.text(right, baseline, rules.words(f"head_{key}"), "bold", size, anchor="end")
    frame.calories(pen, content, tuple(rights))
