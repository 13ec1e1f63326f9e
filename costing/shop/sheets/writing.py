"""Writes the workbook of a shop: sheets to fill in, with headings, what each is for, and words to pick from."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.properties import PageSetupProperties

from costing.shop.sheets import laying, plan
from costing.workbook import look, measure, save, text

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

    from costing.shop.sheets.papers import Papers
    from costing.shop.sheets.plan import Column, Plan

HELP_ROW: Final = 2
HEAD_ROW: Final = 3
ROOM: Final = 40
LINE_PT: Final = 12.8
"""height of a line of the usual type, in points"""
"""Rows that stand ready below what is written."""
LAST: Final = 5000
"""Row down to which words can be picked."""
LISTS: Final = "Lists"

_MONEY: Final = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,4})?")
_WHOLE: Final = re.compile(r"[1-9][0-9]{0,5}")
_DAY: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_HELP: Final = look.Look(italic=True, size=9, colour=look.QUIET, fill=look.PALE, below="", wrap=True)
_KEY: Final = look.Look(bold=True, colour=look.PINE, fill=look.CREAM)
_CELL: Final = look.Look(fill="", wrap=True)
_QUIET: Final = look.Look(colour=look.QUIET, italic=True, wrap=True)

GUIDE: Final = (
    ("Your shop, in one workbook", ""),
    ("1", "Write into the cells below the dark headings. The line above each heading says what belongs there."),
    ("2", "Every figure carries its unit: 350 g, 1 qt, 2.9 %, 12 min. Or write the unit into the heading once, such as "
          "capacity, L, and plain numbers below it."),
    ("3", "Several things in one cell stand with ; between them: pint tub; pint lid. With values: sugar: 33 %; cream: "
          "67 %."),
    ("4", "Many cells offer words to pick; the arrow shows when you click into the cell."),
    ("5", "A recipe is a row for each step, in order. Add, fold, trim, strain and fill take a row for each thing, with "
          "the step's number again."),
    ("6", "The last part of a recipe is what you fill and sell. A step that takes 'all' of an earlier part names that "
          "part under 'what'."),
    ("7", "Save the workbook, then run: creamery check THIS-FILE. What it finds names sheet and cell, such as "
          "Recipes!F12."),
    ("8", "Formulas may stand in cells; what they last showed is taken. Macros are refused. Sheets of your own are "
          "left alone."),
    ("9", "creamery convert THIS-FILE FOLDER makes a folder of text files of it, and back again."),
)  # fmt: skip


def as_bytes(papers: Papers, day: date) -> bytes:
    """The workbook of a shop.

    Args:
        papers: its contents, checked.
        day: the day that the file's stamps show.

    Raises:
        ShopError: something has no place on the sheets.
    """
    laid = laying.rows(papers)
    book = Workbook()
    guide: Worksheet = book.active  # type: ignore[assignment]
    wardrobe = look.Wardrobe(book)
    _guide(guide, wardrobe)
    sheets = {name: book.create_sheet(name) for name in plan.plans()}
    lists = book.create_sheet(LISTS)
    picks = _lists(lists, wardrobe)
    for name, sheet in sheets.items():
        _sheet(sheet, plan.plans()[name], laid[name], wardrobe, picks)
    lists.sheet_state = "hidden"
    return save.as_bytes(book, day)


def _guide(sheet: Worksheet, wardrobe: look.Wardrobe) -> None:
    sheet.title = plan.GUIDE
    sheet.sheet_view.showGridLines = False
    sheet.column_dimensions["A"].width = 4
    sheet.column_dimensions["B"].width = 110
    for row, (number, words) in enumerate(GUIDE, 1):
        if not words:
            _put(sheet, row, 1, number, wardrobe, look.TITLE)
            sheet.row_dimensions[row].height = 28
            continue
        _put(sheet, row, 1, number, wardrobe, look.HEADING.but(top=True))
        _put(sheet, row, 2, words, wardrobe, look.PLAIN.but(wrap=True))
        sheet.row_dimensions[row].height = 30 if len(words) > 110 else 18
    for row, one in enumerate(plan.plans().values(), len(GUIDE) + 2):
        _put(sheet, row, 2, f"{one.name}: {one.lead}", wardrobe, look.PLAIN)
    _print(sheet)


def _lists(sheet: Worksheet, wardrobe: look.Wardrobe) -> dict[tuple[str, ...], str]:
    """Words to pick from, each list in a column; where each stands."""
    found: dict[tuple[str, ...], str] = {}
    for one in plan.plans().values():
        for column in one.columns:
            if isinstance(column.pick, tuple) and column.pick and column.pick not in found:
                at = len(found) + 1
                for row, word in enumerate(column.pick, 1):
                    _put(sheet, row, at, word, wardrobe, look.PLAIN)
                letter = get_column_letter(at)
                found[column.pick] = f"{LISTS}!${letter}$1:${letter}${len(column.pick)}"
    return found


def _sheet(
    sheet: Worksheet, one: Plan, rows: list[laying.Cells], wardrobe: look.Wardrobe, picks: dict[tuple[str, ...], str]
) -> None:
    sheet.sheet_view.showGridLines = False
    _put(sheet, 1, 1, one.name, wardrobe, look.TITLE)
    _put(sheet, 1, 2 if 1.8 * len(one.name) < one.columns[0].width else 3, one.lead, wardrobe, look.LEAD.but(top=False))
    sheet.row_dimensions[1].height = 26
    sheet.row_dimensions[HEAD_ROW].height = 30
    tall = 1
    for at, column in enumerate(one.columns, 1):
        sheet.column_dimensions[get_column_letter(at)].width = column.width
        _put(sheet, HELP_ROW, at, column.help, wardrobe, _HELP)
        _put(sheet, HEAD_ROW, at, column.head, wardrobe, look.TONES["head"])
        tall = max(tall, -(-len(column.help) // max(int(column.width * 1.05), 1)))
        _pick(sheet, at, column, picks)
    sheet.row_dimensions[HELP_ROW].height = 12.5 * min(tall + 1, 9)
    last = HEAD_ROW + len(rows) + ROOM
    for row in range(HEAD_ROW + 1, last + 1):
        cells = rows[row - HEAD_ROW - 1] if row - HEAD_ROW <= len(rows) else {}
        lines = max((_lines(cells.get(column.head, ""), column) for column in one.columns[one.frozen :]), default=1)
        if lines > 1:  # not every program makes room for what is wrapped
            sheet.row_dimensions[row].height = LINE_PT * lines + 2
        for at, column in enumerate(one.columns, 1):
            wear = _KEY if at <= one.frozen else _QUIET if column.head == plan.REMARKS else _CELL
            _value(sheet, row, at, cells.get(column.head, ""), column, wardrobe, wear)
    sheet.freeze_panes = f"{get_column_letter(one.frozen + 1)}{HEAD_ROW + 1}"
    sheet.auto_filter.ref = f"A{HEAD_ROW}:{get_column_letter(len(one.columns))}{last}"
    sheet.print_title_rows = f"{HEAD_ROW}:{HEAD_ROW}"
    _print(sheet)


def _lines(words: str, column: Column) -> int:
    """How many lines a cell takes."""
    if len(words) < 0.6 * column.width and "\n" not in words:
        return 1
    return measure.lines_of(words, column.width - measure.aside(_CELL), _CELL)


def _print(sheet: Worksheet) -> None:
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)


def _pick(sheet: Worksheet, at: int, column: Column, picks: dict[tuple[str, ...], str]) -> None:
    if not column.pick:
        return
    source = f"'{column.pick}'!$A${HEAD_ROW + 1}:$A${LAST}" if isinstance(column.pick, str) else picks[column.pick]
    validation = DataValidation("list", formula1=source, allow_blank=True)
    validation.showErrorMessage = column.strict
    if column.strict:
        validation.errorTitle = column.head
        validation.error = "Pick one from the list; the line above the heading says what belongs here."
    letter = get_column_letter(at)
    validation.add(f"{letter}{HEAD_ROW + 1}:{letter}{LAST}")
    sheet.add_data_validation(validation)


def _value(
    sheet: Worksheet, row: int, at: int, value: str, column: Column, wardrobe: look.Wardrobe, wear: look.Look
) -> None:
    """A cell of what is filled in: numbers as numbers and days as days where that loses nothing."""
    cell: Any = sheet.cell(row, at)
    fmt = "@"
    if column.number == "money":
        fmt = "0.00##"
        if _MONEY.fullmatch(value) and str(float(value)).rstrip("0").rstrip(".") == value.rstrip("0").rstrip("."):
            cell.value = float(value)
            cell._style = wardrobe.style(wear.but(align="right"), fmt)
            return
    elif column.number == "whole":
        fmt = "0"
        if _WHOLE.fullmatch(value):
            cell.value = int(value)
            cell._style = wardrobe.style(wear, fmt)
            return
    elif column.number == "day":
        fmt = "yyyy-mm-dd"
        if _DAY.fullmatch(value):
            cell.value = date.fromisoformat(value)
            cell._style = wardrobe.style(wear, fmt)
            return
    elif column.style != "text":
        # A percentage typed into a cell of text stays text, and is read as it was written.
        fmt = "@"
    if value:
        _put(sheet, row, at, value, wardrobe, wear, fmt)
    else:
        cell._style = wardrobe.style(wear, fmt if column.number else "")


def _put(
    sheet: Worksheet, row: int, at: int, value: str, wardrobe: look.Wardrobe, wear: look.Look, fmt: str = ""
) -> None:
    cell: Any = sheet.cell(row, at)
    cell.value = text.clean(value) or None
    if value:
        # openpyxl takes what begins with "=" for a formula: here it is text.
        cell.data_type = "s"
    cell._style = wardrobe.style(wear, fmt, quote=text.is_risky(value))
