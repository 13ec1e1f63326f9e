"""The batch sheet of a recipe as a sheet to print: upright, one page wide, boxes to tick and to write into."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from openpyxl.styles import Border, Side

from costing.batch_sheet.content import CHECK_BOXES, text_of
from costing.workbook import look
from costing.workbook.formats import number
from costing.workbook.grid import Sheet
from costing.workbook.values import NONE

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from costing.batch_sheet.content import BatchSheet, Section, StepLines, Weigh
    from costing.shop.models import ShopModel

PREFIX = "Batch "
WIDTHS = (3.5, 4, 3.5, 38, 15, 12, 12, 12)
_TICK, _NUMBER, _INNER, _WORDS, _MEASURE, _GRAMS, _AFTER, _BOX = range(1, 9)
_SIDE = Side("thin", look.INK)
_FRAME = Border(left=_SIDE, right=_SIDE, top=_SIDE, bottom=_SIDE)
_PLAIN = look.PLAIN.but(size=11, top=False)
_BOLD = look.PLAIN.but(bold=True, size=11)
_SMALL = look.PLAIN.but(size=9)
_RIGHT = _PLAIN.but(align="right")
_STRONG_RIGHT = _RIGHT.but(bold=True)
_HEAD = look.PLAIN.but(bold=True, size=12, below="medium", line=look.INK, top=False)
_HEAD_SMALL = look.PLAIN.but(size=9, align="right", below="medium", line=look.INK, top=False)
_ALLERGENS = look.PLAIN.but(bold=True, size=14, colour=look.WHITE, fill="000000")
_TALL_PT = 20.0
_BOXED = (_TICK, _INNER, _MEASURE, _AFTER, _BOX)


def write(sheet: Sheet, content: BatchSheet, model: ShopModel, day: date) -> None:
    """Write the sheet.

    Args:
        sheet: a new sheet with :data:`WIDTHS`.
        content: what it says.
        model: the shop.
        day: the day of the prices, which also stands on the other sheets.
    """
    sheet.title(content.title)
    _words(sheet, 1, content.size, _BOLD.but(size=13))
    _words(sheet, 1, f"ALLERGENS: {_allergens(content)}", _ALLERGENS)
    _boxes(sheet, content.heads)
    if content.note:
        _words(sheet, 1, content.note, look.PLAIN)
    for caution in content.cautions:
        _words(sheet, 1, f"• {caution}", _SMALL)
    for part in content.sections:
        _section(sheet, part)
    if content.checks:
        _head(sheet, "Temperatures", ("temperature", "from", "to", "initials"))
        for check in content.checks:
            _boxed(sheet, f"{check.where}: {check.what}, {check.limit}", CHECK_BOXES)
    _head(sheet, "What came out", ("", "", "", "counted or weighed"))
    for count in content.counts:
        _boxed(sheet, f"{count.what}: {count.expected}{f'; {count.remark}' if count.remark else ''}", 1)
    sheet.gap()
    _boxes(sheet, content.signs)
    sheet.gap()
    _words(sheet, 1, content.foot, _SMALL)
    tall = _rows_with_boxes(sheet)
    sheet.print_setup(foot=(model.name, f"{content.title} · {sheet.formats.day(day)}"), repeat=(1, 1))
    # What is ticked with wet hands needs room, also where its text is one line.
    for row in tall:
        height = sheet.sheet.row_dimensions[row].height
        sheet.sheet.row_dimensions[row].height = max(_TALL_PT, height or 0.0)
    paper: Any = sheet.sheet.page_setup
    paper.orientation, paper.fitToHeight = "portrait", 2


def _allergens(content: BatchSheet) -> str:
    inside = [name.upper() for name in content.allergens if name not in content.beside]
    words = " · ".join(inside) or "none of the nine major ones, by what is written of the ingredients"
    beside = ", ".join(name.upper() for name in content.beside)
    return f"{words}   On the bench, not in the containers: {beside}" if beside else words


def _words(sheet: Sheet, at: int, words: str, wear: look.Look, to: int = len(WIDTHS)) -> None:
    """Words across columns, and the next row."""
    sheet.words(at, words, to, wear)
    sheet.row += 1


def _frame(sheet: Sheet, first: int, last: int | None = None) -> None:
    """A box to tick or to write into."""
    for at in range(first, (last or first) + 1):
        cell = sheet.sheet.cell(sheet.row, at)
        left, right = (_SIDE if at == edge else Side() for edge in (first, last or first))
        cell.border = Border(left=left, right=right, top=_SIDE, bottom=_SIDE) if last else _FRAME


def _rows_with_boxes(sheet: Sheet) -> list[int]:
    return [
        row
        for row in range(1, sheet.row)
        if any(sheet.sheet.cell(row, at).border.bottom.style == "thin" for at in _BOXED)
    ]


def _boxes(sheet: Sheet, labels: Sequence[str]) -> None:
    """Boxes, two side by side, each with its label above it."""
    for pair in (labels[n : n + 2] for n in range(0, len(labels), 2)):
        spans = ((_TICK, _WORDS), (_MEASURE, _BOX))[: len(pair)]
        for (first, last), label in zip(spans, pair, strict=True):
            sheet.words(first, label, last, _SMALL)
        sheet.row += 1
        for first, last in spans:
            _frame(sheet, first, last)
        sheet.row += 1


def _head(sheet: Sheet, title: str, labels: Sequence[str]) -> None:
    """The heading of a part, with what its last columns hold."""
    sheet.gap()
    for at in range(1, len(WIDTHS) + 1):
        sheet.put(at, NONE, _HEAD)
    sheet.put(1, title, _HEAD)
    for at, label in zip(range(len(WIDTHS) - len(labels) + 1, len(WIDTHS) + 1), labels, strict=True):
        sheet.put(at, label or NONE, _HEAD_SMALL)
    sheet.row += 1


def _section(sheet: Sheet, part: Section) -> None:
    _head(sheet, part.title, ("measure", "weigh in (g)", "then weighs (g)", "measured (g)"))
    for lead in part.lead:
        _words(sheet, 1, lead, _SMALL)
    if part.base:
        sheet.words(_WORDS, f"Lot of the {part.base}", _GRAMS, _SMALL.but(align="right"))
        _frame(sheet, _AFTER, _BOX)
        sheet.row += 1
    for step in part.steps:
        _step(sheet, step)


def _step(sheet: Sheet, step: StepLines) -> None:
    _frame(sheet, _TICK)
    sheet.put(_NUMBER, float(step.number), _STRONG_RIGHT, number(0))
    sheet.words(_INNER, text_of(step.words), _GRAMS, _PLAIN.but(indent=1))
    if step.after_g is not None:
        sheet.put(_AFTER, step.after_g, _STRONG_RIGHT.but(indent=1), _format(step.after_g))
    if step.measured:
        _frame(sheet, _BOX)
    sheet.row += 1
    small = [*step.notes, *([f"Time: {step.time}."] if step.time else []), *(f"Mind: {w}" for w in step.warnings)]
    small += [f"{step.what}: {step.after}"] if step.what and step.after else []
    for text in small:
        _words(sheet, _INNER, text, _SMALL.but(indent=1), _GRAMS)
    for weigh in step.weighs:
        _weigh(sheet, weigh)


def _weigh(sheet: Sheet, weigh: Weigh) -> None:
    named = f"{weigh.name}{f' [{weigh.allergens.upper()}]' if weigh.allergens else ''}"
    remark = f", {weigh.remark}" if weigh.remark else ""
    _frame(sheet, _INNER)
    sheet.words(_WORDS, named + remark, _WORDS, _PLAIN.but(indent=1))
    sheet.put(_MEASURE, weigh.measure or NONE, _RIGHT)
    sheet.put(_GRAMS, weigh.grams, _STRONG_RIGHT, _format(weigh.grams))
    sheet.row += 1


def _boxed(sheet: Sheet, words: str, count: int) -> None:
    """Words, and boxes to write into at their right."""
    first = len(WIDTHS) - count + 1
    sheet.words(1, words, first - 1, _PLAIN)
    for at in range(first, len(WIDTHS) + 1):
        _frame(sheet, at)
    sheet.row += 1


def _format(grams: float) -> str:
    """Whole grams from 50 on, tenths below, as on the printed sheet."""
    return number(0 if round(grams, 1) >= 50 else 1 if grams >= 0.095 else 3)
