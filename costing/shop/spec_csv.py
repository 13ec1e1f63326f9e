"""A spec sheet as a CSV file: the same entries as in YAML, one to a row.

::

    entry,value,unit
    source,"Ledgerwood, sheet of 2025-11-04"
    per,30 g serving
    protein,4,g
    trans fat,less than 0.5 g

A spreadsheet program can write it. ``nutrient`` and ``amount`` may stand for the first two heads, the unit may stand in
a column of its own, and what is no entry of a sheet is a nutrient.

>>> from costing.shop.sources import Report
>>> entries("nutrient,amount,unit\\nper,100 g,\\nprotein,4,g\\n", "specs/x.csv", Report()).plain()
{'per': '100 g', 'values': {'protein': '4 g'}}
"""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING, Final

from costing.shop.building import nearest
from costing.shop.csv_lists import MOST_TOLD
from costing.shop.sheets import said
from costing.shop.yaml_lines import Group, Text
from nutrition.foods import spec
from nutrition.foods.spec_values import plain

if TYPE_CHECKING:
    from costing.shop.sources import Report

HEADS: Final = {"entry": "entry", "nutrient": "entry", "value": "value", "amount": "value", "unit": "unit"}
MOST: Final = 1000
"""Rows of one sheet."""
LONGEST: Final = 2000
SIGNS: Final = (",", ";", "\t")


def entries(text: str, file: str, report: Report) -> Group | None:
    """The entries of a sheet, each with the line of its row.

    Args:
        text: the file.
        file: its name relative to the shop.
        report: takes what is wrong.

    Returns:
        The entries, None where there are none, after saying why.
    """
    sheet = _Sheet(file, report)
    if "\0" in text:
        sheet.say(
            text.count("\n", 0, text.index("\0")) + 1, "a character here cannot stand in a text file", "take it out"
        )
        return None
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    start = next((i for i, line in enumerate(lines) if line.strip() and not line.startswith("#")), None)
    if start is None:
        sheet.say(1, "the sheet is empty", "write the head first: entry,value,unit")
        return None
    sign = max(SIGNS, key=lines[start].count)
    reader = csv.reader((f"{line}\n" for line in lines[start:]), strict=True, delimiter=sign)
    before = start + 1
    try:
        places = sheet.head(next(reader), start + 1)
        before = start + reader.line_num
        for cells in reader if places else ():
            line, before = before + 1, start + reader.line_num
            if line - start > MOST + 1:
                sheet.say(line, f"the sheet has more than {MOST} rows", "keep to one food")
                return None
            if any(cell.strip() for cell in cells) and places:
                sheet.row(cells, places, line)
    except _TooManyError:
        return None
    except csv.Error as wrong:
        what = "a quotation mark opens here and is not closed" if "unexpected end" in str(wrong) else str(wrong)
        sheet.say(before + 1, f"the row cannot be read: {what}", "check the quotation marks and commas")
        return None
    return sheet.root if sheet.root.entries else None


class _TooManyError(Exception):
    """Enough has been told of one sheet."""


class _Sheet:
    """One sheet while it is read."""

    def __init__(self, file: str, report: Report) -> None:
        self.file = file
        self.report = report
        self.root = Group(1)
        self.told = 0

    def say(self, line: int, what: str, mend: str) -> None:
        self.told += 1
        if self.told > MOST_TOLD:
            self.report.add(self.file, f"more than {MOST_TOLD} rows of this sheet have errors", "mend these first")
            raise _TooManyError
        self.report.add(self.report.where(self.file, line), what, mend)

    def head(self, cells: list[str], line: int) -> dict[str, int] | None:
        """Column to place."""
        found: dict[str, int] = {}
        for at, cell in enumerate(cells):
            name = plain(cell)
            if not name:
                continue
            column = HEADS.get(name)
            if column is None:
                self.say(
                    line, f"there is no column '{name[:60]}'", nearest(name, HEADS, "the head is: entry,value,unit")
                )
                return None
            if column in found:
                self.say(line, f"two columns give the {column}", "keep one of them")
                return None
            found[column] = at
        if "entry" not in found or "value" not in found:
            self.say(line, "the sheet has no head", "write the head first: entry,value,unit")
            return None
        return found

    def row(self, cells: list[str], places: dict[str, int], line: int) -> None:
        if max(map(len, cells)) > LONGEST:
            self.say(line, f"a cell is longer than {LONGEST} characters", "check the quotation marks")
            return
        if any(cell.strip() for cell in cells[max(places.values()) + 1 :]):
            self.say(line, "the row has more cells than the head", "put a text with a comma in quotes")
            return
        cell = {name: " ".join(cells[at].split()) if at < len(cells) else "" for name, at in places.items()}
        entry, value = cell["entry"], cell["value"]
        if not entry:
            self.say(line, "nothing says what this value is of", "write source, per, like or a nutrient under 'entry'")
            return
        if not value:
            return  # a form that somebody filled in halfway: what has no value is unknown
        if cell.get("unit"):
            value = f"{value} {cell['unit']}"
        key, group = plain(entry), self.root
        if key not in spec.KEYS:
            key = entry
            at = line
            _, values = self.root.entries.setdefault("values", (at, Group(at)))
            if not isinstance(values, Group):
                self.say(line, "the values stand in one cell already", "give each nutrient a row, or none")
                return
            group = values
        if key in group.entries:
            first = group.entries[key][0]
            self.say(line, f"'{entry}' stands here twice, first in line {first}", "keep one of them")
            return
        style: said.Style = "list" if key in spec.LISTS and group is self.root else "auto"
        group.entries[key] = (
            line,
            said.read(value, line, style, self.say) if group is self.root else Text(line, value),
        )
