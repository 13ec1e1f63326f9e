"""The panel with two columns of amounts, for a serving and for the whole container. 21 CFR 101.9(b)(12), (e)(6)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.panel import frame, rules
from nutrition.panel.faces import face
from nutrition.panel.pen import runs_width

if TYPE_CHECKING:
    from nutrition.panel.content import Content, Row
    from nutrition.panel.drawing import Drawing
    from nutrition.panel.pen import Pen


@dataclass(frozen=True, slots=True)
class _Column:
    """One column: where its rule stands, where its amounts end, where its per cents and everything else end; pt."""

    rule: float
    amounts: float
    right: float


@dataclass(frozen=True, slots=True)
class _Needs:
    """How wide the parts of the table must be at least, pt, the white beside the upright rules left out."""

    names: float
    columns: tuple[float, ...]
    percents: tuple[float, ...]

    @property
    def total(self) -> float:
        """All parts side by side, with the white on both sides of each of the two rules."""
        return self.names + sum(self.columns) + 2 * len(self.columns) * rules.space("inside_column")


def least_width(content: Content, roomy: bool) -> float:
    """The least outer width, pt, in which nothing touches."""
    return max(frame.least_width(content, roomy), _needs(content).total + 2 * frame.margin())


def draw(content: Content, width: float, notes: tuple[str, ...]) -> Drawing:
    """Draws the panel at an outer width, pt."""
    pen = frame.begin(width)
    columns = _columns(pen, _needs(content))
    rights = tuple(column.right for column in columns)
    hairline = rules.bar("hairline")
    frame.top(pen, content)
    upper = pen.y - frame.BELOW_BAR
    size = rules.size("column_head")
    baseline = pen.line(size, rules.leading("other"))
    for key, right in zip(content.columns, rights, strict=True):
        pen.text(right, baseline, rules.words(f"head_{key}"), "bold", size, anchor="end")
    frame.calories(pen, content, rights)
    size = rules.size("daily_value_head")
    baseline = pen.line(size, rules.leading("nutrient"))
    for right in rights:
        pen.text(right, baseline, rules.words("daily_value"), "bold", size, anchor="end")
    for row in content.nutrients:
        pen.rule(hairline, left=pen.left + (row.indent * rules.space("indent") if row.indent > 1 else 0.0))
        _row(pen, row, columns)
    pen.bar(rules.bar("thick"))
    for i, row in enumerate(content.vitamins):
        if i:
            pen.rule(hairline)
        _row(pen, row, columns)
    for column in columns:
        pen.upright(column.rule, upper, pen.y, hairline)
    frame.foot(pen)
    return frame.finish(pen, content, width, notes)


def _row(pen: Pen, row: Row, columns: tuple[_Column, ...]) -> None:
    size = rules.size(row.group)
    baseline = pen.line(size, rules.leading("nutrient"))
    pen.runs(pen.left + row.indent * rules.space("indent"), baseline, row.name_runs(), size)
    for cell, column in zip(row.cells, columns, strict=True):
        pen.text(column.amounts, baseline, cell.amount, "regular", size, anchor="end")
        if cell.percent:
            pen.text(column.right, baseline, cell.percent, row.percent_face, size, anchor="end")


def _needs(content: Content) -> _Needs:
    rows = (*content.nutrients, *content.vitamins)
    bold = face("bold")
    names = max(
        bold.width(rules.words("calories"), rules.size("calories")),
        *(row.indent * rules.space("indent") + runs_width(row.name_runs(), rules.size(row.group)) for row in rows),
    )
    columns = []
    percents = []
    for i, key in enumerate(content.columns):
        amount = max(face("regular").width(row.cells[i].amount, rules.size(row.group)) for row in rows)
        percent = max(face(row.percent_face).width(row.cells[i].percent, rules.size(row.group)) for row in rows)
        percents.append(percent)
        columns.append(
            max(
                amount + rules.space("between_columns") + percent,
                bold.width(rules.words(f"head_{key}"), rules.size("column_head")),
                bold.width(content.calories[i], rules.size("calories_figure")),
                bold.width(rules.words("daily_value"), rules.size("daily_value_head")),
            )
        )
    return _Needs(names, tuple(columns), tuple(percents))


def _columns(pen: Pen, needs: _Needs) -> tuple[_Column, ...]:
    """Places the columns from the right edge leftwards; room to spare goes in equal parts to the names and to each."""
    inside = rules.space("inside_column")
    spare = max(0.0, pen.inner - needs.total) / (len(needs.columns) + 1)
    placed = []
    edge = pen.right
    for wide, percent in zip(reversed(needs.columns), reversed(needs.percents), strict=True):
        rule = edge - wide - spare - inside
        placed.append(_Column(rule, edge - percent - rules.space("between_columns"), edge))
        edge = rule - inside
    return tuple(reversed(placed))
