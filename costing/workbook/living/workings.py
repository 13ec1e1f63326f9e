"""The sheet Workings: what is in every pot after every step, and each figure on the way there, by formulas.

Nothing on it is to be changed, and nothing on it is hidden: whoever wonders how a container came to cost what it
costs can follow it here, row by row.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.workbook.formats import number
from costing.workbook.living import cells
from costing.workbook.living.kitchen.paper import FIGURE, FIRST, MONEY
from costing.workbook.living.terms import Term
from costing.workbook.values import NONE, Column, Formula, Value

if TYPE_CHECKING:
    from costing.workbook.grid import Sheet
    from costing.workbook.living.kitchen.paper import Paper, Row

NAME = cells.WORKINGS
WIDTHS = (40, 44, 13, 11, 11, 11, 11, 12, 12, 12)
HEADS = ("Water, or the figure", "Alcohol", "Fat", "Solubles", "Insolubles", "Weight", "As added", "Money carried")


def write(sheet: Sheet, paper: Paper) -> None:
    """Write the sheet.

    Args:
        sheet: a new sheet with :data:`WIDTHS`.
        paper: what was written down while the recipes were followed.
    """
    sheet.title(
        "Workings", "How the kitchen is worked out; all of it follows, none of it is to be changed. Weights in g."
    )
    sheet.paragraph(
        "A row with one figure is a step on the way. A row with all columns is what is in the pot after a step: all "
        "that flows together, and each thing that a later step tells apart."
    )
    table = (
        Column("Step", 1),
        Column("What", 2),
        *(Column(head, FIRST + i, number(2), wrap=True) for i, head in enumerate(HEADS[:-1])),
        Column(HEADS[-1], MONEY, sheet.formats.fine_money, wrap=True),
    )
    while sheet.row < paper.start - 1:
        sheet.gap(6)
    head = sheet.heads(table)
    assert sheet.row == paper.start
    formats = {"share": "0.0000%", "count": number(2), "g": number(4), "money": "0.00000000"}
    single = {kind: Column("", FIGURE, fmt) for kind, fmt in formats.items()}
    for row in paper.rows:
        if row.kind == "heading":
            sheet.line(table, [row.what, *[NONE] * (len(table) - 1)], "group")
            continue
        if row.kind == "lump":
            sheet.line(table, [row.what, row.thing, *_values(row, len(table) - 2)])
        else:
            # A figure on its own: three cells are enough, for there are thousands of them.
            sheet.line((*table[:2], single[row.fmt]), [row.what, row.thing, *_values(row, 1)])
    sheet.freeze(f"C{head + 1}")


def _values(row: Row, many: int) -> list[Value]:
    out: list[Value] = [NONE] * many
    for at, what in row.cells.items():
        if isinstance(what, Term):
            out[at - FIRST] = _cell(what)
        else:
            # It says "ok" as the recipes are written, or there would be no workbook.
            out[at - FIRST] = Formula(cells.here(what), "ok")
    return out


def _cell(term: Term) -> Value:
    if term.fixed:
        return term.value
    return Formula(f"IFERROR({cells.here(term.text)},{cells.UNKNOWN})", term.value)
