"""What the shop would have paid over time for what it uses, in figures, and as lines that begin at 100.

Every line has a dash and a mark of its own, and stands in the order of the table, so that the picture says the same in
grey.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from openpyxl.worksheet.pagebreak import Break

from costing.prices import history
from costing.workbook import look
from costing.workbook.formats import number
from costing.workbook.ingredients import used_lines
from costing.workbook.text import plural
from costing.workbook.values import NA, NONE, Column, Value

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from costing.prices.history import History
    from costing.results import RecipeAnswer
    from costing.shop.models import ShopModel
    from costing.workbook.grid import Sheet

NAME = "Price history"
MOST_DAYS = 12
MOST_LINES = 6
WIDTHS = (26, 8, *(12,) * (MOST_DAYS + 1))
INKS = (look.PINE, look.RUST, "3F7F86", "8A6A1F", "5A4A78", look.QUIET)
DASHES: tuple[Any, ...] = ("solid", "dash", "sysDot", "lgDashDot", "sysDash", "lgDash")
MARKS = ("square", "diamond", "triangle", "circle", "x", "plus")


def write(sheet: Sheet, answers: Sequence[RecipeAnswer], model: ShopModel, day: date) -> None:
    """Write the sheet.

    Args:
        sheet: a new sheet with :data:`WIDTHS`.
        answers: everything about every recipe.
        model: the shop.
        day: the day of the prices.
    """
    freight = ", with freight" if model.count_freight else ""
    lead = f"For a kg or piece as bought, in {model.currency}{freight}, by the rules that costs follow."
    sheet.title("Price history", f"What you would have paid. {lead}")
    spent = _spent(answers)
    names = [name for name in (*model.ingredients, *_packaging(model)) if spent.get(name)]
    found = history.of(model, day, list(dict.fromkeys(names))) if names else []
    days = sorted({one.date for thing in found for one in thing.paid})
    left_out = max(0, len(days) - MOST_DAYS)
    days = days[left_out:]
    if not days:
        sheet.paragraph("No list has a price for what the flavours of this book use.")
        _print(sheet, model, day)
        return
    if left_out:
        sheet.paragraph(
            f"Prices changed on {plural(left_out, 'day')} before these as well; `creamery prices history` has them."
        )
    table = _table(sheet, days, sheet.formats.fine_money)
    head = sheet.heads(table)
    rows = {one.name: _row(one, days) for one in sorted(found, key=lambda one: one.name.casefold())}
    kinds = {one.name: one.unit for one in found}
    for name, values in rows.items():
        priced = [one for one in values if one]
        cells: list[Value] = [NA if one is None else one for one in values]
        sheet.line(table, [name, kinds[name], *cells, priced[-1] / priced[0] - 1 if len(priced) > 1 else NA])
    sheet.freeze(f"C{head + 1}")
    moved = [name for name, values in rows.items() if len({one for one in values if one is not None}) > 1]
    drawn = sorted(sorted(moved, key=lambda name: -spent[name])[:MOST_LINES], key=str.casefold)
    if drawn:
        _index(sheet, {name: rows[name] for name in drawn}, days)
    _print(sheet, model, day)


def _print(sheet: Sheet, model: ShopModel, day: date) -> None:
    sheet.print_setup(foot=(model.name, f"Prices as of {sheet.formats.day(day)}"), repeat=(1, 1))


def _packaging(model: ShopModel) -> list[str]:
    return [item for item in model.packaging() if item not in model.ingredients]


def _spent(answers: Sequence[RecipeAnswer]) -> dict[str, float]:
    """Money for each thing in one batch of every flavour."""
    spent = dict.fromkeys(used_lines(answers), 0.0)
    for answer in answers:
        for line in answer.cost.lines if answer.cost else ():
            if line.item in spent and line.cost == line.cost:
                spent[line.item] += line.cost
    return spent


def _row(found: History, days: Sequence[date]) -> list[float | None]:
    """What was paid on each day."""
    values: list[float | None] = []
    for day in days:
        held = [one.home for one in found.paid if one.date <= day]
        values.append(held[-1] if held else None)
    return values


def _table(sheet: Sheet, days: Sequence[date], fmt: str) -> tuple[Column, ...]:
    dated = [Column(sheet.formats.day(day), 3 + at, fmt) for at, day in enumerate(days)]
    last = Column("Change since the first here", 3 + len(days), sheet.formats.percent)
    return (Column("Thing", 1), Column("A", 2), *dated, last)


def _index(sheet: Sheet, rows: Mapping[str, Sequence[float | None]], days: Sequence[date]) -> None:
    """A table in which every line begins at 100, and its picture; on a page of its own."""
    sheet.sheet.row_breaks.append(Break(id=sheet.row - 1))
    sheet.heading("The largest purchases whose price moved; the first price here is 100")
    table = _table(sheet, days, number(1))[:-1]
    indices: list[float] = []
    head = sheet.heads(table)
    for name, values in rows.items():
        first = next((one for one in values if one), None)
        # Nothing where there was no price: a picture has a gap there, and would draw a word as 0.
        cells: list[Value] = [NONE if one is None or first is None else 100.0 * one / first for one in values]
        indices += [one for one in cells if isinstance(one, float)]
        sheet.line(table, [name, "index", *cells])
    if len(days) > 1:
        _chart(sheet, head, sheet.row - 1, len(days), min(indices))


def _chart(sheet: Sheet, head: int, last: int, days: int, least: float) -> None:
    from openpyxl.chart import LineChart, Reference
    from openpyxl.chart.series_factory import SeriesFactory
    from openpyxl.chart.shapes import GraphicalProperties
    from openpyxl.drawing.line import LineProperties

    from costing.workbook.chart import lettering

    chart: Any = LineChart()
    chart.title = None
    chart.legend.position = "r"
    chart.legend.txPr = lettering(1100)
    for at, row in enumerate(range(head + 1, last + 1)):
        series: Any = SeriesFactory(
            Reference(sheet.sheet, min_col=3, max_col=2 + days, min_row=row), title_from_data=False
        )
        series.tx = _title(sheet, row)
        line = LineProperties(solidFill=INKS[at], w=22000, prstDash=DASHES[at])
        series.graphicalProperties = GraphicalProperties(ln=line)
        series.marker.symbol, series.marker.size = MARKS[at], 8
        series.marker.graphicalProperties = GraphicalProperties(
            solidFill=INKS[at], ln=LineProperties(solidFill=INKS[at])
        )
        series.smooth = False
        chart.series.append(series)
    chart.set_categories(Reference(sheet.sheet, min_col=3, max_col=2 + days, min_row=head))
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.x_axis.txPr = chart.y_axis.txPr = lettering(1100)
    chart.y_axis.number_format = "0"
    # Lines do not stand on the axis as bars do, and small moves should be seen.
    chart.y_axis.scaling.min = max(0.0, 5.0 * ((least - 2.0) // 5.0))
    chart.dispBlanksAs = "gap"
    chart.y_axis.majorGridlines.spPr = GraphicalProperties(ln=LineProperties(solidFill=look.LINE, w=6350))
    chart.y_axis.title = None
    chart.graphical_properties = GraphicalProperties(ln=LineProperties(noFill=True))
    chart.width, chart.height = 24.0, 10.0
    sheet.gap(10)
    sheet.sheet.add_chart(chart, f"A{sheet.row}")
    sheet.row += 20  # rows of 15 points, under the picture


def _title(sheet: Sheet, row: int) -> object:
    from openpyxl.chart import Reference
    from openpyxl.chart.data_source import StrRef
    from openpyxl.chart.series import SeriesLabel

    return SeriesLabel(strRef=StrRef(f=str(Reference(sheet.sheet, min_col=1, min_row=row))))
