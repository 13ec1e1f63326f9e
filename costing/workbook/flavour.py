"""The sheet of one flavour: its cost, what waste costs, its yield and its label, one below the other.

One tab for each flavour, for a shop has many: three tabs each would be two dozen for eight flavours, and nobody
finds anything there. The flavour's name and the way to each section stay in sight while the sheet scrolls.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.workbook import cost, flow, labels, look, yields
from costing.workbook.formats import number
from costing.workbook.grid import Sheet
from costing.workbook.text import capital, place
from costing.workbook.values import Column, Link

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import date

    from costing.flow import Flow
    from costing.results import Pair, RecipeAnswer
    from costing.shop.models import ShopModel
    from costing.workbook.proof.picture import Picture

WIDTHS = (34, 21, 9.5, 9.5, 9.5, 9.5, 9.5, 9.5, 9.5, 14, 12, 12, 13, 13)


def write(
    sheet: Sheet,
    answer: RecipeAnswer,
    model: ShopModel,
    day: date,
    home: str,
    drawn: Flow | None = None,
    costs: Callable[[Sheet], int] | None = None,
    steps: Callable[[Sheet], int] | None = None,
    panel: Picture | None = None,
) -> dict[str, str]:
    """Write the sheet.

    Args:
        sheet: a new sheet with :data:`WIDTHS`.
        answer: everything about the recipe.
        model: the shop.
        day: the day of the prices.
        home: name of the opening sheet.
        drawn: the flow of the batch, if its pictures are wanted.
        costs: writes the section Cost and returns where it begins, in place of :mod:`costing.workbook.cost`.
        steps: does so for the section Yield, in place of :mod:`costing.workbook.yields`.
        panel: the drawn panel of the label, if it is wanted.

    Returns:
        Name of each section (``Cost``, ``Waste``, ``Yield``, ``Label``) to where it begins, for links.
    """
    sheet.title(answer.title)
    ways = sheet.row
    sheet.row += 1
    starts: dict[str, int] = {}
    if answer.cost is not None:
        container = model.containers.get(answer.cost.batch.container)
        packed_in = container.made_of if container else ()
        starts["Cost"] = costs(sheet) if costs else cost.write(sheet, answer.cost, answer.filled, packed_in)
        if answer.ranges:
            _ranges(sheet, answer.ranges)
        sheet.gap()
    if steps:
        # What follows the inputs stands above what stays as it was written.
        starts["Yield"] = steps(sheet)
        sheet.gap()
    if answer.cost is not None or drawn is not None:
        starts["Waste"] = flow.write(sheet, answer, drawn)
        sheet.gap()
    if answer.parts and not steps:
        starts["Yield"] = yields.write(sheet, answer)
        sheet.gap()
    if answer.label is not None:
        starts["Label"] = labels.write(sheet, answer.label, panel)
    if not starts:
        sheet.paragraph("Nothing could be calculated for this recipe; the sheet Findings says why.")
    links = {name: place(sheet.name, f"A{row}") for name, row in starts.items()}
    sheet.put(1, Link("All flavours", place(home)), look.GO, row=ways)
    for at, (name, to) in enumerate(links.items(), 2):
        sheet.put(at, Link(name, to), look.GO, row=ways)
    sheet.freeze(f"B{ways + 1}")
    sheet.print_setup(foot=(model.name, f"{answer.title} · {sheet.formats.day(day)}"), repeat=(1, 1), blocks=True)
    return links


def _ranges(sheet: Sheet, ranges: Mapping[str, Pair]) -> None:
    sheet.heading("How far measured ranges move the figures (nine times out of ten between)")
    table = (Column("Figure", 1, wrap=True), Column("From", 3, number(2)), Column("To", 4, number(2)))
    sheet.heads(table)
    for name, (low, high) in ranges.items():
        sheet.line(table, [capital(name.replace("_", " ").replace(".", ": ")), low, high])
