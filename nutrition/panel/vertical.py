"""The standard panel: one column of amounts, from top to bottom. 21 CFR 101.9(d)(12)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutrition.panel import frame, rules
from nutrition.panel.faces import face
from nutrition.panel.pen import runs_width

if TYPE_CHECKING:
    from nutrition.panel.content import Content, Row
    from nutrition.panel.drawing import Drawing
    from nutrition.panel.pen import Pen


def least_width(content: Content, roomy: bool) -> float:
    """The least outer width, pt, in which nothing touches."""
    rows = max(_row_width(row) for row in (*content.nutrients, *content.vitamins))
    calories = (
        face("bold").width(rules.words("calories"), rules.size("calories"))
        + rules.space("between_columns")
        + face("bold").width(content.calories[0], rules.size("calories_figure"))
    )
    return max(frame.least_width(content, roomy), max(rows, calories) + 2 * frame.margin())


def draw(content: Content, width: float, notes: tuple[str, ...]) -> Drawing:
    """Draws the panel at an outer width, pt."""
    pen = frame.begin(width)
    frame.top(pen, content)
    size = rules.size("amount_per_serving")
    pen.text(pen.left, pen.line(size, rules.leading("other")), rules.words("amount_per_serving"), "bold", size)
    frame.calories(pen, content, (pen.right,))
    size = rules.size("daily_value_head")
    pen.text(
        pen.right, pen.line(size, rules.leading("nutrient")), rules.words("daily_value"), "bold", size, anchor="end"
    )
    for row in content.nutrients:
        pen.rule(rules.bar("hairline"), left=_rule_left(pen, row))
        _row(pen, row)
    pen.bar(rules.bar("thick"))
    for i, row in enumerate(content.vitamins):
        if i:
            pen.rule(rules.bar("hairline"))
        _row(pen, row)
    frame.foot(pen)
    return frame.finish(pen, content, width, notes)


def _row(pen: Pen, row: Row) -> None:
    size = rules.size(row.group)
    baseline = pen.line(size, rules.leading("nutrient"))
    pen.runs(pen.left + row.indent * rules.space("indent"), baseline, row.inline_runs(0), size)
    if row.cells[0].percent:
        pen.text(pen.right, baseline, row.cells[0].percent, row.percent_face, size, anchor="end")


def _row_width(row: Row) -> float:
    size = rules.size(row.group)
    percent = row.cells[0].percent
    beside = rules.space("between_columns") + face(row.percent_face).width(percent, size) if percent else 0.0
    return row.indent * rules.space("indent") + runs_width(row.inline_runs(0), size) + beside


def _rule_left(pen: Pen, row: Row) -> float:
    """The rule above a line of the second indent begins where the line does: it is part of the line above."""
    return pen.left + row.indent * rules.space("indent") if row.indent > 1 else pen.left
