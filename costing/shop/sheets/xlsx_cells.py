"""Cells as the XML of a sheet has them: texts beside their cells, numbers, days."""

from __future__ import annotations

import re
from datetime import date
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format
from openpyxl.utils import column_index_from_string, get_column_letter

from costing.shop.sheets.xlsx_parts import BOOK, STYLES, Package, layout
from costing.workbook.text import clean

Value = str | float | date
_CELL: Final = re.compile(r"([A-Z]{1,3})[0-9]+")
_FIRST: Final = date(1899, 12, 30)
_FIRST_1904: Final = date(1904, 1, 1)


def column(place: str) -> int:
    """The column of a cell's place, from 1; 0 where it says none.

    >>> column("AB7"), column("")
    (28, 0)
    """
    found = _CELL.fullmatch(place)
    return column_index_from_string(found[1]) if found else 0


def cell(value: Value, row: int, at: int, style: str, prefix: str) -> str:
    """One cell.

    Args:
        value: a text, a number; an empty text makes a cell without content, or none where it has no style either.
        row: from 1.
        at: column, from 1.
        style: number of its style, may be empty.
        prefix: of the names of the part.

    >>> print(cell("a < b", 3, 2, "5", ""), cell(58.8, 3, 5, "", "x:"))
    <c r="B3" s="5" t="inlineStr"><is><t xml:space="preserve">a &lt; b</t></is></c> <x:c r="E3"><x:v>58.8</x:v></x:c>
    """
    head = f'{prefix}c r="{get_column_letter(at)}{row}"{f" s={quoteattr(style)}" if style else ""}'
    if isinstance(value, date):
        value = value.isoformat()
    if isinstance(value, str) and value:
        text = f'<{prefix}is><{prefix}t xml:space="preserve">{escape(clean(value))}</{prefix}t></{prefix}is>'
        return f'<{head} t="inlineStr">{text}</{prefix}c>'
    if isinstance(value, str):
        return f"<{head}/>" if style else ""
    return f"<{head}><{prefix}v>{value!r}</{prefix}v></{prefix}c>"


class Days:
    """How days are numbered in a workbook, and which of its styles show numbers as days.

    Args:
        package: the workbook.
    """

    def __init__(self, package: Package) -> None:
        properties = layout(package.part(BOOK), frozenset({"workbookPr"})).all("workbookPr")
        late = any(one.given.get("date1904", "") in ("1", "true") for one in properties)
        self.first = _FIRST_1904 if late else _FIRST
        self.shown: frozenset[str] = frozenset()
        if STYLES in package.parts:
            self.shown = frozenset(_dated(package.parts[STYLES]))

    def value(self, value: Value, style: str) -> Value:
        """A day as its number where the style shows it as a day, else as text; anything else as it is."""
        return (value - self.first).days if isinstance(value, date) and style in self.shown else value


def _dated(styles: bytes) -> list[str]:
    found = layout(styles, frozenset({"numFmt", "cellXfs", "xf"}))
    own = {one.given.get("numFmtId", ""): one.given.get("formatCode", "") for one in found.all("numFmt")}
    homes = found.all("cellXfs")
    kinds = [one for one in found.all("xf") if any(home.start < one.start < home.end for home in homes)]
    dated = []
    for number, one in enumerate(kinds):
        name = one.given.get("numFmtId", "0")
        shown = own.get(name) or BUILTIN_FORMATS.get(int(name) if name.isdecimal() else 0, "General")
        if is_date_format(shown):
            dated.append(str(number))
    return dated
