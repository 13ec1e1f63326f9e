"""A shop in a workbook that tests spoil in one cell at a time."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from costing.findings import Finding
from costing.shop.reader import read
from costing.shop.sheets import turning
from nutrition.resources import tree

STARTER = Path(str(tree("examples") / "starter"))
DAY = date(2026, 1, 20)


class Book:
    """A workbook of a test."""

    def __init__(self, path: Path, written: Path) -> None:
        self.path = path
        self.book = load_workbook(written)

    def cell(self, sheet: str, head: str, key: str, row: int = 0) -> Any:
        """The cell under a heading, in the first row (or one so many below) that holds a text."""
        ws = self.book[sheet]
        column = next(c.column for c in ws[3] if c.value == head)
        at = next(r for r in range(4, ws.max_row + 1) if key in [str(c.value) for c in ws[r]])
        return ws.cell(at + row, column)

    def set(self, sheet: str, head: str, key: str, value: Any, fmt: str = "") -> str:
        """Write a cell; gives its place."""
        cell = self.cell(sheet, head, key)
        cell.value = value
        if fmt:
            cell.number_format = fmt
        return f"{sheet}!{cell.coordinate}"

    def findings(self) -> tuple[Finding, ...]:
        """Everything wrong with it, as people see it."""
        self.book.save(self.path)
        return tuple(one.shown() for one in read(self.path, DAY)[1])

    def errors(self) -> list[Finding]:
        return [one for one in self.findings() if one.level == "error"]

    def only(self) -> Finding:
        found = self.errors()
        assert len(found) == 1, "\n".join(map(str, found))
        return found[0]


@pytest.fixture(scope="session")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("sheets") / "shop.xlsx"
    turning.convert(STARTER, path)
    return path


@pytest.fixture
def book(tmp_path: Path, written: Path) -> Book:
    return Book(tmp_path / "shop.xlsx", written)
