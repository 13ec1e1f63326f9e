"""A sheet that is written from top to bottom: titles, tables, paragraphs; and how it prints.

A table is a list of columns, each with its head, its place and its number format; a row is a list of
values. None is written as "unknown", ``NA`` as a dash; nothing is ever left out or turned into 0,
and no text becomes a formula.
"""

from __future__ import annotations

import functools
import itertools
import math
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any, Literal

from openpyxl.cell.cell import Cell
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.cell_range import CellRange
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.properties import PageSetupProperties

from costing.workbook import look, measure, text
from costing.workbook.values import NA, NONE, Column, Formula, Link, Mark, Value

if TYPE_CHECKING:
    from collections.abc import Sequence

    from openpyxl.workbook.workbook import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

    from costing.workbook.formats import Formats

NOTHING = 1e-9
"""What is left of sums that come to nothing; shown, it would be a 0.0 or even -0.0 among plain zeros."""
WIDEST_WORD = 28
"""Digits; a longer word is broken, or shown in part."""
WIDEST_LINE = 44
"""Digits; longer text that does not break runs on, or is shown in part."""
LINE_PT = 12.75
"""Height of a line of type of the usual size."""
ROW_PT = LINE_PT + 2.5
"""Height of a row with one line of such type, which every row has unless it says otherwise."""
DIGIT_IN = 0.0782
"""Width of a digit of the usual type, in: 7 pixels of 1/96 in on screen, and some programs round up a little."""


class Sheet:
    """One sheet, written from top to bottom.

    Args:
        workbook: to which it is added.
        name: of the tab, safe and free.
        widths: of its columns, in digits of the usual type.
        wardrobe: the workbook's looks.
        formats: the shop's formats.
    """

    def __init__(
        self, workbook: Workbook, name: str, widths: Sequence[float], wardrobe: look.Wardrobe, formats: Formats
    ) -> None:
        self.sheet: Worksheet = workbook.create_sheet(name)
        self._cells: dict[tuple[int, int], Any] = self.sheet._cells
        self.name = name
        self.widths = tuple(widths)
        self.formats = formats
        self.row = 1
        self._wardrobe = wardrobe
        self._blocks: list[tuple[int, bool]] = []
        self._widest: dict[tuple[int, look.Look, str], float] = {}
        self._texts: list[tuple[int, tuple[int, int, str, look.Look]]] = []
        """row; first and last column, words, look"""
        self.sheet.sheet_view.showGridLines = False
        self.sheet.sheet_format.defaultRowHeight = ROW_PT
        self.sheet.sheet_format.customHeight = True

    # one cell

    def put(self, at: int, value: Value, wear: look.Look, fmt: str = "", *, row: int | None = None) -> None:
        """Write one cell.

        Args:
            at: column, 1 for A.
            value: what; a number that is not finite is unknown.
            wear: its look.
            fmt: number format of a number or day.
            row: where, by default the row at hand.
        """
        if isinstance(value, Formula):
            self._formula(at, row, value, wear, fmt)
            return
        if isinstance(value, Link):
            wear = wear.but(underline=True, colour=look.PINE)
            cell = self._linked(at, row, value)
            cell._style = self._wardrobe.style(wear, quote=text.is_risky(value.text))
            return
        if isinstance(value, Mark):
            wear = wear.but(colour=look.QUIET) if value is NA else wear
            value = value.value or None
        elif value is None or (isinstance(value, float) and not math.isfinite(value)):
            wear = wear.but(italic=True, colour=look.RUST)
            value = "unknown"
        quote = False
        if value is None:
            kind, fmt = "n", ""
        elif isinstance(value, str):
            kind, fmt, quote = "s", "", text.is_risky(value)
            value = text.clean(value)
        elif isinstance(value, date):
            kind = "d"
            self._measure(at, value, wear, fmt)
        else:
            kind = "n"
            if isinstance(value, float) and abs(value) < NOTHING:
                value = 0.0
            self._measure(at, value, wear, fmt)
        self._cell(at, row, value, kind, self._wardrobe.style(wear, fmt, quote=quote))

    def _cell(self, at: int, row: int | None, value: object, kind: str, style: object) -> Any:
        """A cell with what openpyxl would find out about it: it is told, which is several times quicker.

        openpyxl takes text that begins with "=" for a formula and "#N/A" for an error; here text is text.
        """
        row = self.row if row is None else row
        sheet: Any = self.sheet
        cell: Any = Cell.__new__(Cell)
        cell.parent, cell.row, cell.column = sheet, row, at
        cell._value, cell.data_type, cell._style = value, kind, style
        cell._hyperlink = cell._comment = None
        self._cells[row, at] = cell
        sheet._current_row = max(row, sheet._current_row)
        return cell

    def _linked(self, at: int, row: int | None, value: Link) -> Any:
        cell = self._cell(at, row, text.clean(value.text), "s", None)
        cell._hyperlink = Hyperlink(ref=cell.coordinate, location=value.to, tooltip=None)
        return cell

    def _formula(self, at: int, row: int | None, value: Formula, wear: look.Look, fmt: str) -> None:
        shown = value.shown
        if isinstance(shown, str):
            if (clean := text.clean(shown)) != shown:
                value = replace(value, shown=clean)
        elif not math.isfinite(shown):
            value = replace(value, shown="unknown")
        else:
            if abs(shown) < NOTHING and shown:
                value = replace(value, shown=0.0)
            self._measure(at, float(shown), wear, fmt)
        self._cell(at, row, value, "f", self._wardrobe.style(wear, fmt))

    def _measure(self, at: int, value: float | date, wear: look.Look, fmt: str) -> None:
        key = (at, wear, fmt)
        size = 1.0 if isinstance(value, date) else -10 * value if value < 0 else value
        if size > self._widest.get(key, -1.0):
            self._widest[key] = size

    # words

    def title(self, words: str, lead: str = "") -> None:
        """The name of the sheet, and a line about it."""
        self.put(1, words, look.TITLE)
        self._height(24)
        self.row += 1
        if lead:
            self.put(1, lead, look.LEAD)
            self.row += 1

    def section(self, words: str, *, new_page: bool = False) -> int:
        """A section begins: its heading, with a line across the sheet.

        Args:
            words: the heading.
            new_page: whether it begins a page.

        Returns:
            Its row.
        """
        self.block(new_page=new_page)
        for at in range(2, len(self.widths) + 1):
            self.put(at, NONE, look.SECTION)
        self.put(1, words, look.SECTION)
        self._height(22)
        self.row += 1
        return self.row - 1

    def heading(self, words: str) -> None:
        """A smaller heading, with a little room above it; what follows stays on one page with it."""
        self._height(8)
        self.row += 1
        self.block()
        self.put(1, words, look.HEADING)
        self._height(18)
        self.row += 1

    def words(self, at: int, value: str, to: int, wear: look.Look = look.PLAIN) -> None:
        """Text across several columns of the row at hand, broken into lines.

        Args:
            at: first column.
            value: the text.
            to: last column.
            wear: its look.
        """
        self.put(at, value, wear.but(wrap=True))
        for k in range(at + 1, to + 1):
            self.put(k, NONE, wear)
        if to > at:
            self.sheet.merged_cells.ranges.add(CellRange(None, at, self.row, to, self.row))
        self._texts.append((self.row, (at, to, value, wear)))

    def paragraph(self, value: str, wear: look.Look = look.LEAD) -> None:
        """Text across the whole sheet."""
        self.words(1, value, len(self.widths), wear)
        self.row += 1

    def entry(self, label: str, value: str, *, tone: str = "body", label_to: int = 1, also: str = "") -> None:
        """A name in the first column, and text across the others.

        Args:
            label: the name.
            value: the text.
            tone: its look.
            label_to: last column of the name.
            also: a second text behind the first, quieter, in brackets.
        """
        wear = look.TONES[tone].but(indent=1)
        whole = f"{value} ({also})" if also else value or "–"
        self.words(1, label, label_to, wear.but(bold=True))
        self.words(label_to + 1, whole, len(self.widths), wear)
        self.row += 1

    def gap(self, points: float = 8) -> None:
        """A little room."""
        self._height(points)
        self.row += 1

    # tables

    def heads(self, table: Sequence[Column], tone: str = "head") -> int:
        """The heads of a table.

        Returns:
            Their row.
        """
        wear = look.TONES[tone]
        for column in table:
            worn = _worn(wear, column, 0)
            self.put(column.at, column.head, worn)
            self._texts.append((self.row, (column.at, column.at + column.over, column.head, worn)))
        self._between(table, wear)
        self.row += 1
        return self.row - 1

    def line(self, table: Sequence[Column], values: Sequence[Value], tone: str = "body", *, indent: int = 0) -> None:
        """A row of a table.

        Args:
            table: its columns.
            values: one for each column.
            tone: its look.
            indent: how deep the first value stands.

        Raises:
            ValueError: there are more columns than values, or fewer.
        """
        base = look.TONES[tone]
        for column, value in zip(table, values, strict=True):
            wear = _worn(base, column, indent if column is table[0] else 0)
            if isinstance(value, str | Link):
                shown = value if isinstance(value, str) else value.text
                self._texts.append((self.row, (column.at, column.at + column.over, shown, wear)))
            self.put(column.at, value, wear, column.fmt)
        self._between(table, base)
        self.row += 1

    def _between(self, table: Sequence[Column], wear: look.Look) -> None:
        """A row runs on through the columns that a table leaves out."""
        ends = [*(column.at for column in table[1:]), table[-1].at + table[-1].over + 1]
        for column, end in zip(table, ends, strict=True):
            for at in range(column.at + 1, end):
                self.put(at, NONE, wear)

    def strip(self, pairs: Sequence[tuple[str, Value, str]], at: int = 1) -> None:
        """Key figures side by side: small heads, large values.

        Args:
            pairs: head, value and number format of each.
            at: the first column.
        """
        table = [Column(head, at + i, fmt, align="left") for i, (head, _, fmt) in enumerate(pairs)]
        self.heads(table, "strip head")
        self.line(table, [value for _, value, _ in pairs], "strip")

    # print

    def block(self, *, new_page: bool = False) -> None:
        """What follows stays together on a page where it can."""
        self._blocks.append((self.row, new_page))

    def freeze(self, cell: str) -> None:
        """Rows above and columns left of that cell stay in sight."""
        self.sheet.freeze_panes = cell

    def filter(self, head: int, last: int) -> None:
        """A filter on the heads of a table that ends at the row before the one at hand.

        Args:
            head: row of the heads.
            last: its last column.
        """
        if self.row - 1 > head:
            self.sheet.auto_filter.ref = f"A{head}:{get_column_letter(last)}{self.row - 1}"

    def print_setup(self, *, foot: tuple[str, str], repeat: tuple[int, int], blocks: bool = False) -> None:
        """Set the sheet up to print: across, as wide as the paper, on whole pages, heads on each.

        Args:
            foot: text at the left and at the right of the foot; page numbers stand between them.
            repeat: first and last row that stand on every page.
            blocks: pages break where blocks begin, and not by themselves.
        """
        self._fit()
        sheet: Any = self.sheet
        sheet.page_setup.orientation = "landscape"
        sheet.page_setup.paperSize = 1 if self.formats.letter else 9
        margins = sheet.page_margins
        margins.left = margins.right = 0.4
        margins.top, margins.bottom, margins.header, margins.footer = 0.55, 0.7, 0.3, 0.35
        sheet.print_title_rows = f"{repeat[0]}:{repeat[1]}"
        sheet.print_options.horizontalCentered = True
        sheet.oddFooter.left.text = text.footer(foot[0])
        sheet.oddFooter.center.text = "Page &P of &N"
        sheet.oddFooter.right.text = text.footer(foot[1])
        sheet.print_area = f"A1:{get_column_letter(len(self.widths))}{max(1, self.row - 1)}"
        if blocks:
            self._break_pages()
        else:
            sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
            sheet.page_setup.fitToWidth = 1
            sheet.page_setup.fitToHeight = 0

    def _fit(self) -> None:
        """Columns as wide as their numbers and longest words need, rows as high as their text."""
        need = list(self.widths)
        for (at, wear, fmt), size in self._widest.items():
            need[at - 1] = max(need[at - 1], measure.shown_width(size, fmt) * measure.scale(wear) + measure.aside(wear))
        # Many rows say the same: what is alike is measured once.
        alike: dict[tuple[int, int, str, look.Look], list[int]] = {}
        for row, told in self._texts:
            alike.setdefault(told, []).append(row)
        for at, to, words, wear in alike:
            if at == to and words:
                longest = max(map(measure.wide, words.split())) if wear.wrap and words.strip() else measure.wide(words)
                need[at - 1] = max(
                    need[at - 1],
                    min(longest, WIDEST_WORD if wear.wrap else WIDEST_LINE) * measure.scale(wear) + measure.aside(wear),
                )
        self.widths = tuple(round(width, 2) for width in need)
        for i, width in enumerate(self.widths, 1):
            self.sheet.column_dimensions[get_column_letter(i)].width = width
        tall: dict[int, float] = {}
        for (at, to, words, wear), rows in alike.items():
            broken = wear.wrap or to > at
            room = sum(self.widths[at - 1 : to]) - measure.aside(wear)
            count = measure.lines_of(words, room, wear) if broken else 1
            high = count * LINE_PT * max(1.0, wear.size / look.SIZE) + (5 if wear.fill and not wear.top else 2.5)
            if high > ROW_PT:
                for row in rows:
                    tall[row] = max(tall.get(row, ROW_PT), high)
        for row, high in tall.items():
            self.sheet.row_dimensions[row].height = round(high, 2)

    def _break_pages(self) -> None:
        # A program that fits a sheet to the paper forgets where its pages should break, so the scale
        # that fits is worked out here instead.
        across, high = (11.0, 8.5) if self.formats.letter else (11.69, 8.27)
        inches = sum(self.widths) * DIGIT_IN
        scale = max(10, min(100, math.floor((across - 0.8) / inches * 100)))
        self.sheet.page_setup.scale = scale
        room = (high - 1.25) * 72 * 100 / scale * 0.97 - self._tall(1, 1)
        at = room
        starts = [*self._blocks, (self.row, False)]
        for (first, new_page), (after, _) in itertools.pairwise(starts):
            tall = self._tall(first, after - 1)
            # A heading does not stay alone on a page because its table is long.
            if first > self._blocks[0][0] and (new_page or (tall > at and at < 0.75 * room)):
                self.sheet.row_breaks.append(Break(id=first - 1))
                at = room
            at = (at - tall) if tall <= at else room - (tall - at) % room

    def _tall(self, first: int, last: int) -> float:
        dims = self.sheet.row_dimensions
        return sum((dims[r].height or ROW_PT) if r in dims else ROW_PT for r in range(first, last + 1))

    def _height(self, points: float) -> None:
        self.sheet.row_dimensions[self.row].height = points


def _worn(base: look.Look, column: Column, indent: int) -> look.Look:
    """A tone as a column wears it. Text stands off the edge, and off the number before it."""
    side = column.side
    return _dressed(base, side, column.wrap or base.wrap, indent + int(side == "left"))


@functools.cache
def _dressed(base: look.Look, side: Literal["left", "right"], wrap: bool, indent: int) -> look.Look:
    return replace(base, align=side, wrap=wrap, indent=indent)
