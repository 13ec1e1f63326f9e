"""A workbook as a supplier sent it: looked over as a ZIP file first, then read cell by cell, values only.

Nothing in a workbook is run. A formula gives the value that the supplier's program last calculated, links are not
followed, macros are refused whole.
"""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from typing import TYPE_CHECKING, Any, Final

from costing.findings import Finding, ShopError
from costing.prices.intake.heads import LOOKED_AT
from costing.prices.intake.sheets import MOST_COLUMNS, MOST_ROWS, Cell, Sheet, refuse

if TYPE_CHECKING:
    from collections.abc import Iterable

MOST_PARTS: Final = 1000
"""Files inside the ZIP file."""
MOST_UNPACKED: Final = 300_000_000
"""Bytes of all of them together."""
MOST_RATIO: Final = 120
"""How many times larger they may be than packed; XML of numbers reaches 10 to 40, a bomb a thousand."""
SMALL: Final = 5_000_000
"""Below this size unpacked, the ratio does not matter."""
MOST_EMPTY: Final = 2000
"""Empty rows in a row, after which nothing more is looked for."""
MOST_SHEETS: Final = 60

_MACROS: Final = re.compile(r"vbaproject|vbadata|macrosheets|activex", re.IGNORECASE)
_AGAIN: Final = "open it in a spreadsheet program and save it as .xlsx, or ask for it again"
_FORMULA: Final = re.compile(rb"<f[ >/]")


def read(raw: bytes, file: str) -> tuple[tuple[Sheet, ...], tuple[Finding, ...]]:
    """The sheets of a workbook that can be seen.

    Args:
        raw: its bytes.
        file: its name.

    Returns:
        The sheets, and what was noticed.

    Raises:
        ShopError: it is damaged, locked, holds macros, or unpacks to more than any list.
    """
    formulas = look_over(raw, file)
    try:
        return _sheets(raw, file, formulas)
    except ShopError:
        raise
    except Exception as wrong:
        # The library has no error of its own for damaged files: whatever breaks inside it lands here.
        what = f"the workbook is damaged ({type(wrong).__name__} while reading it)"
        raise refuse(file, what, _AGAIN) from wrong


def look_over(raw: bytes, file: str) -> bool:
    """Check a workbook from outside, before anything in it is opened as a workbook.

    Args:
        raw: its bytes.
        file: its name.

    Returns:
        Whether a sheet holds formulas.

    Raises:
        ShopError: as :func:`read`.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as packed:
            parts = packed.infolist()
            _sizes(parts, len(raw), file)
            names = {part.filename for part in parts}
            _kind(names, file)
            return _contents(packed, parts, file)
    except ShopError:
        raise
    except Exception as wrong:
        # zipfile, zlib and struct each raise their own on a damaged file.
        raise refuse(file, "the workbook is damaged: it cannot be unpacked", _AGAIN) from wrong


def _sizes(parts: list[zipfile.ZipInfo], packed: int, file: str) -> None:
    bomb = "do not open it; ask the supplier what it is"
    if len(parts) > MOST_PARTS:
        raise refuse(file, f"the workbook is made of {len(parts)} files, more than {MOST_PARTS}", bomb)
    total = sum(part.file_size for part in parts)
    if total > MOST_UNPACKED:
        what = f"the workbook unpacks to {total / 1e6:,.0f} MB, more than {MOST_UNPACKED / 1e6:.0f} MB"
        raise refuse(file, what, bomb)
    if total > SMALL and total > MOST_RATIO * packed:
        what = f"the workbook unpacks to {total / max(packed, 1):,.0f} times its size, more than {MOST_RATIO} times"
        raise refuse(file, what, bomb)
    if any(part.flag_bits & 0x1 for part in parts):
        raise refuse(
            file, "the workbook is protected by a password", "take the password off, or ask for it without one"
        )


def _kind(names: set[str], file: str) -> None:
    if any(_MACROS.search(name) for name in names):
        mend = "save it as .xlsx, without macros, or ask for it so"
        raise refuse(file, "the workbook holds macros, and those are not read here", mend)
    if "xl/workbook.bin" in names:
        raise refuse(file, "this is a binary workbook (.xlsb)", "save it as .xlsx, or ask for it so")
    if "[Content_Types].xml" not in names:
        other = "an OpenDocument file" if "mimetype" in names else "a ZIP file"
        raise refuse(file, f"this is {other}, not a workbook (.xlsx)", "save the list as .xlsx or CSV")


def _contents(packed: zipfile.ZipFile, parts: Iterable[zipfile.ZipInfo], file: str) -> bool:
    """Refuse what no spreadsheet program writes; the sizes are known to be in bounds."""
    formulas = False
    for part in parts:
        name = part.filename.casefold()
        if not name.endswith((".xml", ".rels")):
            continue
        data = packed.read(part)
        # Entities can make a small file large, or read another one. No workbook needs a document type.
        if b"<!DOCTYPE" in data or b"<!ENTITY" in data or data.startswith((b"\xff\xfe", b"\xfe\xff")):
            raise refuse(file, "the workbook holds XML that no spreadsheet program writes", _AGAIN)
        if name == "[content_types].xml" and b"macroEnabled" in data:
            mend = "save it as .xlsx, without macros, or ask for it so"
            raise refuse(file, "the workbook is of the kind that holds macros (.xlsm)", mend)
        formulas = formulas or (name.startswith("xl/worksheets/") and _FORMULA.search(data) is not None)
    return formulas


def _sheets(raw: bytes, file: str, formulas: bool) -> tuple[tuple[Sheet, ...], tuple[Finding, ...]]:
    from openpyxl import load_workbook

    notes: list[Finding] = []
    sheets: list[Sheet] = []
    with warnings.catch_warnings():
        # The library warns of what it leaves out (validation, headers); none of it is in cells.
        warnings.simplefilter("ignore")
        book = load_workbook(io.BytesIO(raw), read_only=True, data_only=True, keep_links=False, keep_vba=False)
        try:
            for one in book.worksheets[:MOST_SHEETS]:
                if one.sheet_state != "visible":
                    notes.append(Finding("note", f"{file}[{one.title}]", "this sheet is hidden and was not read"))
                    continue
                sheets.append(_sheet(one, file, notes))
        finally:
            book.close()
    if not any(sheet.rows for sheet in sheets):
        raise refuse(file, "the workbook has nothing in it", "check the file, or ask for it again")
    if formulas:
        what = "cells here hold formulas; the values last calculated are taken, nothing is run"
        notes.append(Finding("note", file, what, "if prices are missing, open it in a spreadsheet program and save it"))
    return tuple(sheet for sheet in sheets if sheet.rows), tuple(notes)


def _sheet(one: Any, file: str, notes: list[Finding]) -> Sheet:
    rows: list[tuple[Cell, ...]] = []
    numbers: list[int] = []
    # What the sheet says of its own size is often wrong, and sometimes a trap.
    one.reset_dimensions()
    # Wide enough for the heads; a stray cell at the far right must not make every row as wide.
    wide = max((len(cells) for cells in one.iter_rows(max_row=LOOKED_AT, values_only=True)), default=1)
    number = empty = 0
    for cells in one.iter_rows(max_col=min(max(wide, 1), MOST_COLUMNS), values_only=True):
        number += 1
        if not any(cell is not None for cell in cells):
            empty += 1
            if empty >= MOST_EMPTY:
                what = f"nothing is read below row {number - empty}: {MOST_EMPTY} empty rows follow it"
                notes.append(Finding("note", f"{file}[{one.title}]", what, "move what stands further down up"))
                break
            continue
        empty = 0
        if len(rows) >= MOST_ROWS:
            raise refuse(f"{file}[{one.title}]", f"the sheet has more than {MOST_ROWS} rows", "split it")
        rows.append(cells)
        numbers.append(number)
    return Sheet(one.title, rows, numbers, file)
