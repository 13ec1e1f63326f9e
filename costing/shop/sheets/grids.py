"""The sheets of a workbook as texts by place; nothing in it is run, and nothing outside bounds is opened."""

from __future__ import annotations

import io
import itertools
import re
import unicodedata
import warnings
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any, Final

from openpyxl import load_workbook
from openpyxl.utils import get_column_letter

from costing.findings import Finding, ShopError
from costing.prices.intake import xlsx_sheet

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

MOST_ROWS: Final = 200_000
MOST_COLUMNS: Final = 60
MOST_EMPTY: Final = 2000
"""Empty rows in a row, after which nothing more is looked for."""
LONGEST: Final = 20_000
"""Characters of one cell."""
MOST_SHEETS: Final = 60
TOP_ROWS: Final = 20
"""Rows in which headings are looked for."""

_ROWS: Final = 1 << 21
_COLUMNS: Final = 1 << 9
# ECMA-376, part 1, 22.9.2.19: how a file has the end of a line, and an underscore before what looks like that.
_ESCAPED: Final = re.compile(r"_x005F_(?=x[0-9A-Fa-f]{4}_)|_x000D_")
_PERCENT: Final = re.compile(r"^[^\"\[\\]*%")
_CENTS: Final = re.compile(r"^[#,]*0\.00")
_FORMULA: Final = "cells here hold formulas; the values last calculated are taken, nothing is run"


@dataclass(slots=True)
class Grid:
    """One sheet.

    Args:
        number: its place in the workbook, from 1.
        name: of its tab.
        rows: row number, and the texts of its cells by column (from 1); empty cells and rows are left out.
        wrong: cells that hold no value that can be taken: place, what, mend.
    """

    number: int
    name: str
    rows: list[tuple[int, dict[int, str]]] = field(default_factory=list)
    wrong: list[tuple[int, str, str]] = field(default_factory=list)

    def line(self, row: int, column: int) -> int:
        """The place of a cell as one number, in the order of the workbook."""
        return line(self.number, row, column)


def line(sheet: int, row: int, column: int) -> int:
    """The place of a cell as one number, in the order of the workbook."""
    return (sheet * _ROWS + row) * _COLUMNS + column


def cell(place: int) -> tuple[int, str]:
    """Number of the sheet, and the cell, of a place.

    >>> cell(Grid(2, "Prices").line(7, 28))
    (2, 'AB7')
    """
    rest, column = divmod(place, _COLUMNS)
    sheet, row = divmod(rest, _ROWS)
    return sheet, f"{get_column_letter(max(column, 1))}{row}"


def read(raw: bytes, file: str, names: Iterable[str]) -> tuple[list[Grid], list[Finding]]:
    """The sheets of a workbook.

    Args:
        raw: its bytes.
        file: its name.
        names: sheets to read; of others only the name and the first rows are kept.

    Returns:
        The sheets, and what was noticed.

    Raises:
        ShopError: it is damaged, locked, holds macros, or unpacks to more than any shop.
    """
    formulas = xlsx_sheet.look_over(raw, file)
    wanted = {low(name) for name in names}
    try:
        grids, notes = _grids(raw, file, wanted, formulas=False)
        if formulas:
            _uncalculated(grids, _grids(raw, file, wanted, formulas=True)[0])
            mend = "if something is missing, open it in a spreadsheet program and save it"
            notes.append(Finding("note", file, _FORMULA, mend))
    except ShopError:
        raise
    except Exception as wrong:
        # The library has no error of its own for damaged files: whatever breaks inside it lands here.
        what = f"the workbook is damaged ({type(wrong).__name__} while reading it)"
        mend = "open it in a spreadsheet program and save it as .xlsx, or take an earlier copy"
        raise ShopError((Finding("error", file, what, mend),)) from wrong
    return grids, notes


def low(name: str) -> str:
    """A name as it is compared."""
    return " ".join(name.casefold().split())


def _grids(raw: bytes, file: str, wanted: set[str], *, formulas: bool) -> tuple[list[Grid], list[Finding]]:
    notes: list[Finding] = []
    found = []
    with warnings.catch_warnings():
        # The library warns of what it leaves out (validation, headers); none of it is in cells.
        warnings.simplefilter("ignore")
        book = load_workbook(io.BytesIO(raw), read_only=True, data_only=not formulas, keep_links=False)
        try:
            for number, sheet in enumerate(book.worksheets[:MOST_SHEETS], 1):
                grid = Grid(number, sheet.title)
                if low(sheet.title) in wanted:
                    _fill(grid, sheet, file, notes)
                else:
                    _look_at(grid, sheet)
                found.append(grid)
        finally:
            book.close()
    return found, notes


def _fill(grid: Grid, sheet: Any, file: str, notes: list[Finding]) -> None:
    # What the sheet says of its own size is often wrong, and sometimes a trap.
    sheet.reset_dimensions()
    empty = 0
    for number, cells in _rows(sheet):
        found = {}
        for at, one in cells:
            text = _text(one)
            if one.data_type == "e" and text:
                mend = "mend the formula, or write the value"
                grid.wrong.append((grid.line(number, at), f"the cell shows {text}", mend))
            elif len(text) > LONGEST:
                mend = "keep it to what belongs there"
                grid.wrong.append((grid.line(number, at), f"the cell holds more than {LONGEST} characters", mend))
            elif text:
                found[at] = text
        empty = 0 if found else empty + 1
        if found:
            grid.rows.append((number, found))
        if empty >= MOST_EMPTY:
            what = f"nothing is read below row {number - empty}: {MOST_EMPTY} empty rows follow it"
            notes.append(Finding("note", f"{file}[{grid.name}]", what, "move what stands further down up"))
            return
        if len(grid.rows) > MOST_ROWS:
            raise ShopError(
                (Finding("error", f"{file}[{grid.name}]", f"the sheet has more than {MOST_ROWS} rows", "split it"),)
            )


def _look_at(grid: Grid, sheet: Any) -> None:
    """The first rows of a sheet that may be one of the shop's by another name."""
    sheet.reset_dimensions()
    for number, cells in itertools.islice(_rows(sheet), TOP_ROWS):
        grid.rows.append((number, {at: text for at, one in cells if 0 < len(text := _text(one)) <= LONGEST}))


def _rows(sheet: Any) -> Iterator[tuple[int, list[tuple[int, Any]]]]:
    for number, cells in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS), 1):
        yield number, [(at, one) for at, one in enumerate(cells, 1) if one.value is not None]


def _text(one: Any) -> str:
    """A cell as it would be written by hand."""
    value = one.value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return _number(value, str(one.number_format or ""))
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(" ")
    if isinstance(value, date):
        return value.isoformat()
    text = unicodedata.normalize("NFC", str(value)).replace("\r\n", "\n").replace("\r", "\n")
    text = _ESCAPED.sub(lambda found: "_" if found[0] == "_x005F_" else "", text)
    text = "".join(c for c in text if c == "\n" or unicodedata.category(c) not in ("Cc", "Cf", "Cs") or c in "\u200d")
    return "\n".join(" ".join(line.split()) for line in text.split("\n")).strip()


def _number(value: float, shown: str) -> str:
    """A number as its cell shows it, where that loses nothing.

    >>> _number(0.029, "0.0%"), _number(11.0, "0.00"), _number(7.255, "0.00"), _number(61, "General")
    ('2.9 %', '11.00', '7.255', '61')
    """
    if _PERCENT.match(shown):
        return f"{_plain(value * 100)} %"
    text = _plain(value)
    return f"{value:.2f}" if _CENTS.match(shown) and re.fullmatch(r"-?[0-9]+(\.[0-9])?", text) else text


def _plain(value: float) -> str:
    """A number in digits, without what binary arithmetic leaves behind it.

    >>> _plain(2.9000000000000004), _plain(11.0), _plain(0.00001)
    ('2.9', '11', '0.00001')
    """
    if isinstance(value, float):
        if not value.is_integer():
            return f"{round(value, 12):.12f}".rstrip("0").rstrip(".")
        if abs(value) < 1e15:
            return str(int(value))
    return str(value)


def _uncalculated(grids: list[Grid], written: list[Grid]) -> None:
    """Formulas whose value nobody has calculated yet."""
    for grid, other in zip(grids, written, strict=True):
        values = dict(grid.rows)
        for row, cells in other.rows:
            for at, text in cells.items():
                if text.startswith("=") and at not in values.get(row, {}):
                    what = "the cell holds a formula whose value was never calculated"
                    mend = "open the workbook in a spreadsheet program and save it, or write the value"
                    grid.wrong.append((grid.line(row, at), what, mend))
