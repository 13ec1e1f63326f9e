"""Puts other rows into one sheet of a workbook and leaves every other byte of it alone."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final
from xml.sax.saxutils import quoteattr

from costing.shop.sheets import xlsx_cells
from costing.shop.sheets.xlsx_parts import (
    BOOK,
    RELATIONS,
    TYPES,
    Package,
    SurgeryError,
    layout,
    link_name,
    within,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

NEW: Final = "xl/worksheets/creamery-{}.xml"
WORKSHEET: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"


def put(raw: bytes, sheet: str, below: int, columns: Mapping[str, int], rows: Sequence[Mapping[str, str]]) -> bytes:
    """A workbook with other rows in one sheet.

    Args:
        raw: the workbook.
        sheet: name of the sheet; it is added where there is none.
        below: the row of its headings; all rows below it give way. 0: the sheet is made anew.
        columns: heading to column (from 1).
        rows: texts by heading.

    Returns:
        The workbook.

    Raises:
        SurgeryError: it is not laid out as this needs it; nothing is lost, for nothing is written.
    """
    package = Package(raw)
    path = package.sheet(sheet)
    if path is None:
        path = _add(package, sheet)
        package.parts[path] = _whole(package, columns, rows)
    elif below < 1:
        raise SurgeryError(f"the sheet '{sheet}' has no row of headings")
    else:
        package.parts[path] = _cut(package.parts[path], below, columns, rows)
    return package.packed()


def _cut(data: bytes, below: int, columns: Mapping[str, int], rows: Iterable[Mapping[str, str]]) -> bytes:
    found = layout(data, frozenset({"sheetData", "row", "c", "f"}))
    sheets = found.all("sheetData")
    if len(sheets) != 1 or sheets[0].is_empty(data):
        raise SurgeryError("the sheet has no rows")
    stop = sheets[0].end
    number, start = 0, stop
    for one in found.all("row"):
        number = int(one.given.get("r", number + 1))
        if number > below:
            start = one.start
            break
    if any(one.start >= start for one in found.all("f")):
        raise SurgeryError("there are formulas among the rows that would give way; write values in their place")
    styles: dict[int, str] = {}
    for one in found.all("c"):
        at = xlsx_cells.column(one.given.get("r", ""))
        if one.start >= start and at and "s" in one.given:
            styles.setdefault(at, one.given["s"])
    return data[:start] + _rows(rows, below, columns, styles, found.prefix) + data[stop:]


def _rows(
    rows: Iterable[Mapping[str, str]], below: int, columns: Mapping[str, int], styles: Mapping[int, str], prefix: str
) -> bytes:
    pieces = []
    places = sorted((at, head) for head, at in columns.items())
    for number, row in enumerate(rows, below + 1):
        cells = [xlsx_cells.cell(row.get(head, ""), number, at, styles.get(at, ""), prefix) for at, head in places]
        pieces.append(f'<{prefix}row r="{number}">{"".join(cells)}</{prefix}row>')
    return "".join(pieces).encode()


def _whole(package: Package, columns: Mapping[str, int], rows: Iterable[Mapping[str, str]]) -> bytes:
    """A sheet of its own, as plain as it can be."""
    book = layout(package.part(BOOK), frozenset({"workbook"})).all("workbook")
    spaces = [value for key, value in (book[0].given if book else {}).items() if key.startswith("xmlns")]
    space = next((value for value in spaces if value.endswith("/main")), "")
    return b"".join((
        b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n',
        f"<worksheet xmlns={quoteattr(space)}>".encode(),
        b'<cols><col min="1" max="2" width="24" customWidth="1"/>',
        b'<col min="3" max="3" width="70" customWidth="1"/></cols>',
        b"<sheetData>",
        _rows([{head: head for head in columns}], 0, columns, {}, ""),
        _rows(rows, 1, columns, {}, ""),
        b"</sheetData></worksheet>",
    ))  # fmt: skip


def _add(package: Package, sheet: str) -> str:
    """Give a new sheet its part, and name it where a workbook names its parts."""
    path = NEW.format(re.sub(r"[^a-z0-9]", "", sheet.casefold()))
    parts = package.parts
    if path in parts:
        raise SurgeryError("there is a part of this name already")
    book = layout(parts[BOOK], frozenset({"sheets", "sheet"}))
    links = layout(parts[RELATIONS], frozenset({"Relationships", "Relationship"}))
    types = layout(package.part(TYPES), frozenset({"Types"}))
    others = book.all("sheet")
    if not others or not book.all("sheets") or not links.all("Relationships") or not types.all("Types"):
        raise SurgeryError("the workbook has no sheets")
    id_name = link_name(others[0])
    ids = {one.given.get("Id", "") for one in links.all("Relationship")}
    link = next(f"rId{number}" for number in range(1, len(ids) + 2) if f"rId{number}" not in ids)
    number = max(int(one.given.get("sheetId", "1")) for one in others) + 1
    kind = next(
        (one.given["Type"] for one in links.all("Relationship") if one.given.get("Type", "").endswith("/worksheet")), ""
    )
    entry = f'<{book.prefix}sheet name={quoteattr(sheet)} sheetId="{number}" {id_name}="{link}"/>'
    parts[BOOK] = within(parts[BOOK], book.all("sheets")[0], entry)
    relation = f'<{links.prefix}Relationship Id="{link}" Type={quoteattr(kind)} Target={quoteattr("/" + path)}/>'
    parts[RELATIONS] = within(parts[RELATIONS], links.all("Relationships")[0], relation)
    override = f'<{types.prefix}Override PartName={quoteattr("/" + path)} ContentType="{WORKSHEET}"/>'
    parts[TYPES] = within(parts[TYPES], types.all("Types")[0], override)
    return path
