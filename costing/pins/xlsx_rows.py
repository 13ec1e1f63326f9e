"""Puts rows into one sheet of a workbook and leaves every other byte of it alone.

A library that loads and saves a workbook drops what it does not know: pictures, charts, what formulas last showed. Here
the sheet's own XML is cut below its headings, the rows are set in, and all other parts are copied as they are
(ECMA-376, part 1: SpreadsheetML worksheets, 18.3; relationships of a workbook, 12.3).
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final
from xml.parsers import expat
from xml.sax.saxutils import escape, quoteattr

from openpyxl.utils import get_column_letter

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

BOOK: Final = "xl/workbook.xml"
RELATIONS: Final = "xl/_rels/workbook.xml.rels"
TYPES: Final = "[Content_Types].xml"
NEW: Final = "xl/worksheets/creamery-{}.xml"
WORKSHEET: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
_CELL: Final = re.compile(r"([A-Z]{1,3})[0-9]+")


class SurgeryError(ValueError):
    """The workbook is not laid out as this needs it; its one argument says why, for people to read."""


@dataclass(slots=True)
class _Element:
    """Where an element stands: its name without prefix, attributes, bytes of its start and of its end tag."""

    name: str
    given: Mapping[str, str]
    start: int
    end: int = -1


@dataclass(slots=True)
class _Layout:
    """What of an XML part matters here."""

    prefix: str = ""
    found: list[_Element] = field(default_factory=list)

    def all(self, name: str) -> list[_Element]:
        return [one for one in self.found if one.name == name]


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
    with zipfile.ZipFile(io.BytesIO(raw)) as packed:
        parts = {one.filename: packed.read(one) for one in packed.infolist()}
        infos = packed.infolist()
    path = _path(parts, sheet)
    if path is None:
        path = _add(parts, sheet)
        parts[path] = _whole(parts, columns, rows)
    elif below < 1:
        raise SurgeryError(f"the sheet '{sheet}' has no row of headings")
    else:
        parts[path] = _cut(parts[path], below, columns, rows)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as written:
        for info in infos:
            written.writestr(info, parts.pop(info.filename))
        for name, data in parts.items():
            written.writestr(name, data)
    return out.getvalue()


def _layout(data: bytes, wanted: frozenset[str]) -> _Layout:
    """Elements of a part by name, with their places in its bytes."""
    layout = _Layout()
    open_: list[_Element | None] = []
    parser = expat.ParserCreate()

    def start(name: str, given: dict[str, str]) -> None:
        prefix, _, plain = name.rpartition(":")
        if not open_:
            layout.prefix = f"{prefix}:" if prefix else ""
        one = _Element(plain, given, parser.CurrentByteIndex) if plain in wanted else None
        if one is not None:
            layout.found.append(one)
        open_.append(one)

    def end(_: str) -> None:
        one = open_.pop()
        if one is not None:
            one.end = parser.CurrentByteIndex

    parser.StartElementHandler = start
    parser.EndElementHandler = end
    try:
        parser.Parse(data, True)
    except expat.ExpatError:
        raise SurgeryError("a part of the workbook is no XML") from None
    if re.match(rb"<\?xml[^>]*encoding=[\"'](?!utf-8|us-ascii)", data, re.IGNORECASE):
        raise SurgeryError("a part of the workbook is not written in UTF-8")
    return layout


def _path(parts: Mapping[str, bytes], sheet: str) -> str | None:
    """The part of a sheet."""
    book = _layout(_part(parts, BOOK), frozenset({"sheet"}))
    links = _layout(_part(parts, RELATIONS), frozenset({"Relationship"}))
    targets = {one.given.get("Id", ""): one.given.get("Target", "") for one in links.all("Relationship")}
    for one in book.all("sheet"):
        if _low(one.given.get("name", "")) == _low(sheet):
            target = targets.get(one.given.get(_link_name(one), ""), "")
            path = target.lstrip("/") if target.startswith("/") else posixpath.normpath(posixpath.join("xl", target))
            _part(parts, path)
            return path
    return None


def _link_name(sheet: _Element) -> str:
    """The attribute by which a sheet names its part, whatever its prefix is called."""
    return next((key for key in sheet.given if re.fullmatch(r"[^:]+:id", key)), "r:id")


def _part(parts: Mapping[str, bytes], name: str) -> bytes:
    if name not in parts:
        raise SurgeryError("a part of the workbook does not stand where others keep it")
    return parts[name]


def _low(name: str) -> str:
    return " ".join(name.casefold().split())


def _cut(data: bytes, below: int, columns: Mapping[str, int], rows: Iterable[Mapping[str, str]]) -> bytes:
    layout = _layout(data, frozenset({"sheetData", "row", "c", "f"}))
    sheets = layout.all("sheetData")
    if len(sheets) != 1 or data[sheets[0].end : sheets[0].end + 2] != b"</":
        raise SurgeryError("the sheet has no rows")
    stop = sheets[0].end
    number, start = 0, stop
    for one in layout.all("row"):
        number = int(one.given.get("r", number + 1))
        if number > below:
            start = one.start
            break
    if any(one.start >= start for one in layout.all("f")):
        raise SurgeryError("there are formulas among the rows that would give way; write values in their place")
    styles: dict[str, str] = {}
    for one in layout.all("c"):
        cell = _CELL.fullmatch(one.given.get("r", ""))
        if one.start >= start and cell and "s" in one.given:
            styles.setdefault(cell[1], one.given["s"])
    return data[:start] + _rows(rows, below, columns, styles, layout.prefix) + data[stop:]


def _rows(
    rows: Iterable[Mapping[str, str]], below: int, columns: Mapping[str, int], styles: Mapping[str, str], prefix: str
) -> bytes:
    pieces = []
    places = sorted((at, head) for head, at in columns.items())
    for number, row in enumerate(rows, below + 1):
        cells = []
        for at, head in places:
            letter = get_column_letter(at)
            style = f" s={quoteattr(styles[letter])}" if letter in styles else ""
            if row.get(head):
                text = f'<{prefix}is><{prefix}t xml:space="preserve">{escape(row[head])}</{prefix}t></{prefix}is>'
                cells.append(f'<{prefix}c r="{letter}{number}"{style} t="inlineStr">{text}</{prefix}c>')
            elif style:
                cells.append(f'<{prefix}c r="{letter}{number}"{style}/>')
        pieces.append(f'<{prefix}row r="{number}">{"".join(cells)}</{prefix}row>')
    return "".join(pieces).encode()


def _whole(parts: Mapping[str, bytes], columns: Mapping[str, int], rows: Iterable[Mapping[str, str]]) -> bytes:
    """A sheet of its own, as plain as it can be."""
    book = _layout(_part(parts, BOOK), frozenset({"workbook"})).all("workbook")
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


def _add(parts: dict[str, bytes], sheet: str) -> str:
    """Give a new sheet its part, and name it where a workbook names its parts."""
    path = NEW.format(re.sub(r"[^a-z0-9]", "", sheet.casefold()))
    if path in parts:
        raise SurgeryError("there is a part of this name already")
    book = _layout(parts[BOOK], frozenset({"sheets", "sheet"}))
    links = _layout(parts[RELATIONS], frozenset({"Relationships", "Relationship"}))
    types = _layout(_part(parts, TYPES), frozenset({"Types"}))
    others = book.all("sheet")
    if not others or not book.all("sheets") or not links.all("Relationships") or not types.all("Types"):
        raise SurgeryError("the workbook has no sheets")
    id_name = _link_name(others[0])
    ids = {one.given.get("Id", "") for one in links.all("Relationship")}
    link = next(f"rId{number}" for number in range(1, len(ids) + 2) if f"rId{number}" not in ids)
    number = max(int(one.given.get("sheetId", "1")) for one in others) + 1
    kind = next(
        (one.given["Type"] for one in links.all("Relationship") if one.given.get("Type", "").endswith("/worksheet")), ""
    )
    entry = f'<{book.prefix}sheet name={quoteattr(sheet)} sheetId="{number}" {id_name}="{link}"/>'
    parts[BOOK] = _insert(parts[BOOK], book.all("sheets")[0], entry)
    relation = f'<{links.prefix}Relationship Id="{link}" Type={quoteattr(kind)} Target={quoteattr("/" + path)}/>'
    parts[RELATIONS] = _insert(parts[RELATIONS], links.all("Relationships")[0], relation)
    override = f'<{types.prefix}Override PartName={quoteattr("/" + path)} ContentType="{WORKSHEET}"/>'
    parts[TYPES] = _insert(parts[TYPES], types.all("Types")[0], override)
    return path


def _insert(data: bytes, element: _Element, text: str) -> bytes:
    """Set a text in before the end tag of an element."""
    if data[element.end : element.end + 2] != b"</":
        raise SurgeryError("a part of the workbook is empty")
    return data[: element.end] + text.encode() + data[element.end :]
