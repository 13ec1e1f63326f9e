"""The rows of a panel, with one amount behind the name or with columns of amounts. 21 CFR 101.9(d)(7), (d)(8), (e)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.panel.faces import face
from nutrition.panel.pen import runs_width

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nutrition.panel.content import Content, Row
    from nutrition.panel.pen import Pen
    from nutrition.panel.rules import Look


@dataclass(frozen=True, slots=True)
class Column:
    """One of two columns: where its rule stands, where its amounts end, where per cents and all else end; pt."""

    rule: float
    amounts: float
    right: float


@dataclass(frozen=True, slots=True)
class Needs:
    """How wide the parts of a table must be at least, pt, the white beside the upright rules left out.

    Args:
        names: the names, and with one column the amounts and per cents too.
        columns: each of two columns, or none.
        percents: the per cents in each.
        inside: white on either side of an upright rule.
    """

    names: float
    columns: tuple[float, ...]
    percents: tuple[float, ...]
    inside: float

    @property
    def total(self) -> float:
        """All parts side by side, with the white on both sides of each rule."""
        return self.names + sum(self.columns) + 2 * len(self.columns) * self.inside


def needs(content: Content, rows: Sequence[Row], look: Look, heads: Sequence[float], names: float = 0.0) -> Needs:
    """What a table of some rows needs.

    Args:
        content: what the panel says.
        rows: the rows of the table.
        look: the measures.
        heads: what stands over each column, pt; of a single column over all of it.
        names: what else stands where the names do, pt.
    """
    inside = look.space("inside_column")
    if len(content.columns) == 1:
        return Needs(max(names, heads[0], *(_inline_width(row, look) for row in rows)), (), (), inside)
    wide = max(names, *(row.indent * look.space("indent") + _names_width(row, look) for row in rows))
    columns, percents = [], []
    for i, head in enumerate(heads):
        amount = max(face("regular").width(row.cells[i].amount, look.size(row.group)) for row in rows)
        percent = max(face(row.percent_face).width(row.cells[i].percent, look.size(row.group)) for row in rows)
        percents.append(percent)
        columns.append(max(amount + look.space("between_columns") + percent, head))
    return Needs(wide, tuple(columns), tuple(percents), inside)


def place(pen: Pen, needed: Needs) -> tuple[Column, ...]:
    """Places two columns from the right edge leftwards; room to spare goes in equal parts to the names and to each."""
    spare = max(0.0, pen.inner - needed.total) / (len(needed.columns) + 1)
    placed: list[Column] = []
    edge = pen.right
    for wide, percent in zip(reversed(needed.columns), reversed(needed.percents), strict=True):
        rule = edge - wide - spare - needed.inside
        placed.append(Column(rule, edge - percent - pen.look.space("between_columns"), edge))
        edge = rule - needed.inside
    return tuple(reversed(placed))


def rows(pen: Pen, said: Sequence[Row], columns: Sequence[Column], *, first: bool) -> None:
    """Sets rows with hairlines between them, and one above the first if asked.

    The rule above a line of the second indent begins where the line does: it is part of the line above.
    """
    indent = pen.look.space("indent")
    for i, one in enumerate(said):
        if i or first:
            pen.rule(pen.left + one.indent * indent if one.indent > 1 else None)
        _row(pen, one, columns)


def _row(pen: Pen, row: Row, columns: Sequence[Column]) -> None:
    size = pen.look.size(row.group)
    baseline = pen.line(size, pen.look.leading("nutrient"))
    left = pen.left + row.indent * pen.look.space("indent")
    if not columns:
        pen.runs(left, baseline, row.inline_runs(0), size)
        if row.cells[0].percent:
            pen.text(pen.right, baseline, row.cells[0].percent, row.percent_face, size, anchor="end")
        return
    pen.runs(left, baseline, row.name_runs(), size)
    for cell, column in zip(row.cells, columns, strict=True):
        pen.text(column.amounts, baseline, cell.amount, "regular", size, anchor="end")
        if cell.percent:
            pen.text(column.right, baseline, cell.percent, row.percent_face, size, anchor="end")


def _names_width(row: Row, look: Look) -> float:
    return runs_width(row.name_runs(), look.size(row.group))


def _inline_width(row: Row, look: Look) -> float:
    size = look.size(row.group)
    percent = row.cells[0].percent
    beside = look.space("between_columns") + face(row.percent_face).width(percent, size) if percent else 0.0
    return row.indent * look.space("indent") + runs_width(row.inline_runs(0), size) + beside
