"""Findings about a shop in a workbook: which sheet and cell stand for a file and a line."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from costing.findings import place
from costing.shop.sheets import grids, plan
from costing.shop.sources import Report

if TYPE_CHECKING:
    from costing.findings import Level

_EMPTY: Final = re.compile(r"'(.+)' is empty")


class SheetReport(Report):
    """Findings that name sheet and cell.

    A place is the file that a folder would have, then sheet and cell, so that a recipe is known by it.

    Args:
        file: the workbook's name.
    """

    __slots__ = ("columns", "file", "heads", "homes", "names", "refused")

    def __init__(self, file: str) -> None:
        super().__init__()
        self.file = file
        self.names: dict[int, str] = {}
        self.homes: dict[str, int] = {}
        self.columns: dict[str, dict[str, int]] = {}
        self.refused: set[str] = set()
        """cells whose value cannot be taken, which is told of"""
        self.heads: dict[str, tuple[str, set[str]]] = {}
        """sheet to the place of its row of headings, and those that are not there and were not told of"""

    def add(self, where: str, what: str, mend: str = "", level: Level = "error") -> None:
        """Note a finding.

        A cell whose value cannot be taken is not called empty besides, and of a column that is not there no cell is.
        """
        empty = _EMPTY.fullmatch(what)
        if empty is not None:
            cell = place(where)
            at, absent = self.heads.get(cell.rpartition("!")[0], ("", set()))
            if empty[1] in self.columns.get(where.partition("/")[0], {empty[1]: 0}):
                if cell in self.refused:
                    return
            elif empty[1] in absent:
                absent.remove(empty[1])
                where, what = at, f"there is no heading '{empty[1]}' on this sheet"
                mend = f"write {empty[1]} into this row, above what it heads"
            else:
                return
        super().add(where, what, mend, level)

    def where(self, file: str, line: int, column: str = "") -> str:
        """File, sheet and cell of a place."""
        sheet, cell = grids.cell(line)
        if sheet not in self.names:  # the first line of a file, for what is about the whole of it
            if file not in self.homes:
                return f"{self.file}[{_sheet_of(file)}]"
            sheet, cell = grids.cell(self.homes[file])
        at = self.columns.get(file.partition("/")[0], {}).get(column)
        if at is not None:
            row = int(re.sub("[A-Z]+", "", cell))
            cell = grids.cell(grids.line(sheet, row, at))[1]
        return f"{file}:{self.names[sheet]}!{cell}"


def _sheet_of(file: str) -> str:
    homes = {"shop.yaml": plan.SHOP, "ingredients.yaml": plan.INGREDIENTS, "recipes": plan.FLAVOURS}
    homes |= {"prices": plan.PRICES, "trials": plan.TRIALS, "specs": plan.SPECS, "pins": plan.PINS}
    return homes.get(file, homes.get(file.partition("/")[0], file))
