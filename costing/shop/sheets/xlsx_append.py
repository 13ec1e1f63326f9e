"""Adds rows below those of a sheet of a workbook and leaves every other byte of it alone.

Rows that stand ready, empty, are filled; the new ones look as those above them do. A filter or a table that begins at
the headings reaches down to them (ECMA-376, part 1: 18.3.1.2 autoFilter, 18.3.1.35 dimension, 18.5.1.2 table).
"""

from __future__ import annotations

import posixpath
import re
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from openpyxl.utils import get_column_letter

from costing.shop.sheets import xlsx_cells
from costing.shop.sheets.xlsx_parts import BOOK, Element, Package, SurgeryError, edited, layout, low, with_value

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from costing.shop.sheets.xlsx_parts import Edit, Layout

MOST: Final = 1_048_576
"""Rows of a sheet."""
_WANTED: Final = frozenset({"sheetData", "row", "c", "v", "is", "f", "dimension", "autoFilter"})
_RANGE: Final = re.compile(r"(\$?)([A-Z]{1,3})(\$?)([0-9]+):(\$?)([A-Z]{1,3})(\$?)([0-9]+)")
_SPANS: Final = re.compile(rb"\sspans\s*=\s*(?:\"[^\"]*\"|'[^']*')")
_TABLE: Final = "/table"


@dataclass(slots=True)
class _Row:
    """A row that is there: its element, its cells by column, whether anything stands in it."""

    element: Element
    cells: dict[int, Element] = field(default_factory=dict)
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Appended:
    """What became of a workbook.

    Args:
        raw: the workbook.
        first: the first of the new rows.
        last: the last.
    """

    raw: bytes
    first: int
    last: int


def append(
    raw: bytes,
    sheet: str,
    below: int,
    last: int,
    columns: Mapping[str, int],
    rows: Sequence[Mapping[str, xlsx_cells.Value]],
) -> Appended:
    """A workbook with more rows in one sheet.

    Args:
        raw: the workbook.
        sheet: name of the sheet.
        below: the row of its headings.
        last: the last row of what is read of it.
        columns: heading to column (from 1).
        rows: values by heading, at least one row.

    Returns:
        The workbook, and where the rows stand: in the first room for all of them below the last row.

    Raises:
        SurgeryError: it is not laid out as this needs it; nothing is lost, for nothing is written.
    """
    package = Package(raw)
    path = package.sheet(sheet)
    if path is None:
        raise SurgeryError(f"there is no sheet '{sheet}'")
    data = package.parts[path]
    found = layout(data, _WANTED)
    there, end = _there(data, found)
    first = _room(there, max(below, last) + 1, len(rows))
    new = range(first, first + len(rows))
    worn = _worn(there, below)
    days = xlsx_cells.Days(package)
    edits: list[Edit] = []
    later = sorted(number for number in there if number >= first)
    at = 0
    for number, row in zip(new, rows, strict=True):
        values = {columns[head]: value for head, value in row.items() if head in columns}
        while at < len(later) and later[at] < number:
            at += 1
        old = there.get(number)
        if old is not None:
            edits.append(_filled(data, old, number, values, worn, days, found.prefix))
            continue
        cells = "".join(
            xlsx_cells.cell(days.value(value, worn.get(place, "")), number, place, worn.get(place, ""), found.prefix)
            for place, value in sorted(values.items())
        )
        place = there[later[at]].element.start if at < len(later) else end
        edits.append((place, place, f'<{found.prefix}row r="{number}">{cells}</{found.prefix}row>'.encode()))
    edits += _ranges(data, found, below, new[-1], max(columns.values()))
    package.parts[path] = edited(data, edits)
    _tables(package, path, below, new[-1])
    _filter_name(package, sheet, below, new[-1])
    return Appended(package.packed(), new[0], new[-1])


def _there(data: bytes, found: Layout) -> tuple[dict[int, _Row], int]:
    """The rows by number, and where a row behind them all would stand."""
    sheets = found.all("sheetData")
    if len(sheets) != 1 or sheets[0].is_empty(data):
        raise SurgeryError("the sheet has no rows")
    home = sheets[0]
    rows: dict[int, _Row] = {}
    number = at = 0
    for one in found.found:
        if not home.start < one.start < home.end:
            continue
        if one.name == "row":
            before, number, at = number, int(one.given.get("r", number + 1)), 0
            if number <= before:
                raise SurgeryError("its rows do not stand in order")
            rows[number] = _Row(one)
        elif one.name == "c" and number:
            at = xlsx_cells.column(one.given.get("r", "")) or at + 1
            rows[number].cells[at] = one
        elif number:
            rows[number].filled = True
    return rows, home.end


def _room(there: Mapping[int, _Row], first: int, count: int) -> int:
    """The first of so many rows in which nothing stands."""
    for number in sorted(number for number, row in there.items() if row.filled and number >= first):
        if number >= first + count:
            break
        first = number + 1
    if first + count - 1 > MOST:
        raise SurgeryError("the sheet is full")
    return first


def _worn(there: Mapping[int, _Row], below: int) -> dict[int, str]:
    """How the cells of a column look: as most of those do in which something stands, else as those that stand ready."""
    filled: defaultdict[int, Counter[str]] = defaultdict(Counter)
    ready: dict[int, str] = {}
    for number, row in there.items():
        for at, one in row.cells.items():
            if number > below and "s" in one.given:
                if row.filled:
                    filled[at][one.given["s"]] += 1
                else:
                    ready.setdefault(at, one.given["s"])
    return ready | {at: styles.most_common(1)[0][0] for at, styles in filled.items()}


def _filled(
    data: bytes,
    old: _Row,
    number: int,
    values: Mapping[int, xlsx_cells.Value],
    worn: Mapping[int, str],
    days: xlsx_cells.Days,
    prefix: str,
) -> Edit:
    """A row that stood ready, with values in it; its height and its other cells stay."""
    tag = _SPANS.sub(b"", old.element.open(data))
    if tag.endswith(b"/>"):
        tag = tag[:-2].rstrip() + b">"
    pieces = [tag]
    for at in sorted({*old.cells, *values}):
        if at in values:
            style = worn.get(at, "")
            pieces.append(xlsx_cells.cell(days.value(values[at], style), number, at, style, prefix).encode())
        else:
            one = old.cells[at]
            text = data[one.start : one.stop(data)]
            name = f"<{prefix}c".encode()
            if "r" not in one.given:  # its place followed from the cells before it
                text = text.replace(name, f'<{prefix}c r="{get_column_letter(at)}{number}"'.encode(), 1)
            pieces.append(text)
    pieces.append(f"</{prefix}row>".encode())
    return old.element.start, old.element.stop(data), b"".join(pieces)


# What reaches over the rows -----------------------------------------------------------------------------------------


def _reaching(ref: str, below: int, last: int) -> str:
    """A range that begins at the headings, down to the last row; any other as it is.

    >>> _reaching("A3:H51", 3, 90), _reaching("$A$3:$H$51", 3, 90), _reaching("A3:H99", 3, 90), _reaching("A1:B2", 3, 9)
    ('A3:H90', '$A$3:$H$90', 'A3:H99', 'A1:B2')
    """
    found = _RANGE.fullmatch(ref)
    if found is None or int(found[4]) != below or int(found[8]) >= last:
        return ref
    return f"{ref[: found.start(8)]}{last}"


def _ranges(data: bytes, found: Layout, below: int, last: int, wide: int) -> Iterator[Edit]:
    for one in found.all("dimension"):
        size = _RANGE.fullmatch(one.given.get("ref", ""))
        if size:
            far = max(wide, xlsx_cells.column(f"{size[6]}1"))
            ref = f"{size[2]}{size[4]}:{get_column_letter(far)}{max(int(size[8]), last)}"
            yield with_value(data, one, "ref", ref)
    for one in found.all("autoFilter"):
        ref = one.given.get("ref", "")
        if _reaching(ref, below, last) != ref:
            yield with_value(data, one, "ref", _reaching(ref, below, last))


def _tables(package: Package, path: str, below: int, last: int) -> None:
    """Tables that begin at the headings reach down to the last row."""
    relations = f"{posixpath.dirname(path)}/_rels/{posixpath.basename(path)}.rels"
    for part, kind in package.targets(relations).values():
        if not kind.endswith(_TABLE) or part not in package.parts:
            continue
        data = package.parts[part]
        edits = []
        for one in layout(data, frozenset({"table", "autoFilter"})).found:
            ref = one.given.get("ref", "")
            if _reaching(ref, below, last) == ref:
                continue
            if one.name == "table" and one.given.get("totalsRowCount", "0") != "0":
                raise SurgeryError("its table ends in a row of totals; take that row off")
            edits.append(with_value(data, one, "ref", _reaching(ref, below, last)))
        if edits:
            package.parts[part] = edited(data, edits)


def _filter_name(package: Package, sheet: str, below: int, last: int) -> None:
    """The hidden name under which programs keep the range of a sheet's filter."""
    data = package.part(BOOK)
    found = layout(data, frozenset({"sheet", "definedName"}))
    names = [low(one.given.get("name", "")) for one in found.all("sheet")]
    edits = []
    for one in found.all("definedName"):
        mine = one.given.get("localSheetId", "") == str(names.index(low(sheet)))
        if mine and one.given.get("name", "") == "_xlnm._FilterDatabase" and not one.is_empty(data):
            start = one.start + len(one.open(data))
            home, mark, ref = data[start : one.end].decode().rpartition("!")
            edits.append((start, one.end, f"{home}{mark}{_reaching(ref, below, last)}".encode()))
    if edits:
        package.parts[BOOK] = edited(data, edits)
