"""The sheet Inputs: every figure that formulas stand on and an owner may change, marked, named and checked.

A cell to change wears a frame and a ground of its own, and the word *input* stands in its row; what stays as the engine
has it says *locked*. Each has a name (``price_heavy_cream``), by which the formulas call it.
"""

from __future__ import annotations

import math
import re
import unicodedata
from copy import copy
from typing import TYPE_CHECKING, Any

from openpyxl.styles import Protection
from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.cell_range import CellRange
from openpyxl.worksheet.datavalidation import DataValidation

from costing.workbook import look
from costing.workbook.living.kitchen.work import RULES as KITCHEN
from costing.workbook.text import place
from costing.workbook.values import NONE, Column, Value

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from openpyxl.workbook.workbook import Workbook

    from costing.workbook.grid import Sheet

NAME = "Inputs"
WIDTHS = (34, 48, 16, 13, 13, 13, 13, 13, 13, 48)
INPUT = look.Look(fill=look.CREAM, above="thin", below="thin", line=look.RUST, align="right")
TINY = 1e-6
UNITS = {
    **{"share": "a share", "count": "a number", "money": "money"},
    **{"g": "grams", "mL": "millilitres", "Brix": "degrees Brix"},
}


def _plain(value: float) -> str:
    """A number as cells have it, without an exponent.

    >>> _plain(1e-6), _plain(1e7), _plain(0.5)
    ('0.000001', '10000000', '0.5')
    """
    return f"{value:.6f}".rstrip("0").rstrip(".")


def _bounds(low: float, high: float, unit: str) -> str:
    """What a figure of the kitchen may be, in words.

    >>> _bounds(1e-6, 1.0, "share"), _bounds(0.0, 0.999999, "share")
    ('a share above 0 % and up to 100 %', 'a share from 0 % to below 100 %')
    >>> _bounds(0.0, 1e7, "g"), _bounds(0.01, 100.0, "Brix")
    ('grams from 0 to 10,000,000', 'degrees Brix from 0.01 to 100')
    """
    times, sign = (100, " %") if unit == "share" else (1, "")
    least = f"above 0{sign} and up" if 0 < low <= TINY else f"from {low * times:g}{sign}"
    most = "below 100 %" if (high, unit) == (1.0 - TINY, "share") else f"{round(high * times):,}{sign}"
    return f"{UNITS[unit]} {least} to {most}"


RULES = {
    "money": ("greaterThanOrEqual", "0", None, "money, 0 or more"),
    "above": ("greaterThan", "0", None, "a number above 0"),
    "usable": ("between", "0.000001", "1", "a share above 0 % and up to 100 %"),
    "share": ("between", "0", "0.999999", "a share from 0 % to below 100 %"),
    "ratio": ("between", "0", "10", "a share, 0 % or more"),
    **{
        f"kitchen {rule}": ("between", _plain(low), _plain(high), _bounds(low, high, unit))
        for rule, (low, high, unit) in KITCHEN.items()
    },
}
"""What a cell takes: operator, bounds, and words for who types something else."""


class Names:
    """Names for cells, safe in every spreadsheet program, no two alike.

    >>> names = Names()
    >>> names.fresh("price", "Crème fraîche"), names.fresh("price", "creme fraiche")
    ('price_creme_fraiche', 'price_creme_fraiche_2')
    """

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def fresh(self, kind: str, *of: str) -> str:
        """A new name for a figure of something."""
        plain = unicodedata.normalize("NFKD", " ".join(of)).encode("ascii", "ignore").decode().lower()
        base = f"{kind}_{re.sub('[^a-z0-9]+', '_', plain).strip('_')[:80] or 'x'}"
        name, count = base, 1
        while name in self._taken:
            count += 1
            name = f"{base}_{count}"
        self._taken.add(name)
        return name


class Inputs:
    """The inputs of a workbook: names of their cells, written on their sheet.

    Args:
        workbook: whose they are.
        sheet: a new sheet with :data:`WIDTHS`.
    """

    def __init__(self, workbook: Workbook, sheet: Sheet) -> None:
        self.workbook = workbook
        self.sheet = sheet
        self.price: dict[str, str] = {}
        """bought thing or packaging to the expression of what its pack costs in the shop's money"""
        self.pack: dict[str, str] = {}
        self.usable: dict[str, str] = {}
        """only of things whose usable share may be changed"""
        self.each: dict[str, float] = {}
        """packaging to what a piece costs now"""
        self.rates: dict[str, str] = {}
        self.freight: dict[str, str] = {}
        """supplier to the share that freight adds to its prices, where the shop counts it"""
        self.wage: dict[str, str] = {}
        self.cones: dict[str, dict[str, float]] = {}
        """channel to the packaging that goes out with each scoop"""
        self.overhead: dict[str, str] = {}
        self.channel: dict[str, dict[str, str]] = {}
        self.own: dict[tuple[str, str], str] = {}
        self.share_of: dict[str, str] = {}
        """what comes out of a bought thing (yolks of eggs) to the cell with its share"""
        self.minutes: dict[tuple[str, ...], str] = {}
        """key of a time to the cell with the minutes it takes each time"""
        self.names = Names()
        self._rules: dict[tuple[str, str], DataValidation] = {}
        self._open: dict[int, Any] = {}

    def cell(self, at: int, value: float | None, fmt: str, rule: str, kind: str, *of: str) -> str:
        """Write one input into the row at hand; an unknown one stays empty.

        Returns:
            Its name.
        """
        name = self.names.fresh(kind, *of)
        self.named(self.sheet, at, value, fmt, rule, name)
        return name

    def named(self, sheet: Sheet, at: int, value: float | None, fmt: str, rule: str, name: str) -> None:
        """Write one input into the row at hand of any sheet, under a name that it has already."""
        known = value is not None and math.isfinite(value)
        sheet.put(at, float(value) if known and value is not None else NONE, INPUT, fmt)
        cell: Any = sheet.sheet.cell(sheet.row, at)
        # One style for all that look alike: openpyxl and our writer know them by identity.
        key = id(cell._style)
        if key not in self._open:
            style = copy(cell._style)
            style.protectionId = self.workbook._protections.add(Protection(locked=False))  # type: ignore[attr-defined]
            self._open[key] = (style, cell._style)
        cell._style = self._open[key][0]
        # A cell is an input once; openpyxl would look for it among all that are there.
        self._rule(sheet, rule).sqref.ranges.add(CellRange(None, at, sheet.row, at, sheet.row))
        where = place(sheet.name, f"${get_column_letter(at)}${sheet.row}")
        self.workbook.defined_names[name] = DefinedName(name, attr_text=where)

    def _rule(self, sheet: Sheet, rule: str) -> DataValidation:
        if (sheet.name, rule) not in self._rules:
            operator, low, high, words = RULES[rule]
            made = DataValidation("decimal", low, high, operator=operator, allow_blank=True)  # type: ignore[arg-type]
            made.errorTitle, made.error = "Not a figure for this cell", f"Type {words}."
            made.promptTitle, made.prompt = "input", f"You may change this: {words}. Empty means unknown."
            made.showErrorMessage = made.showInputMessage = True
            sheet.sheet.add_data_validation(made)
            self._rules[sheet.name, rule] = made
        return self._rules[sheet.name, rule]

    def rest(self, table: Sequence[Column], values: Mapping[int, Value]) -> None:
        """Fill what the row at hand has beside its inputs, and go on to the next row."""
        wear = look.TONES["body"]
        for column in table:
            if column.at in values:
                # Text stands off the edge, and off the number before it.
                worn = wear.but(align=column.side, wrap=column.wrap, indent=int(column.side == "left"))
                self.sheet.put(column.at, values[column.at], worn, column.fmt)
        self.sheet.row += 1


def protect(sheet: Sheet) -> None:
    """Guard formulas and locked figures against a slip of the hand; there is no password."""
    guard = sheet.sheet.protection
    guard.sheet = True
    guard.formatColumns = guard.formatRows = guard.autoFilter = guard.sort = False
