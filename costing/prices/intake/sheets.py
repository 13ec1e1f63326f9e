"""What a received list is while it is read: sheets of cells, each row with its number in the file."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Final

from costing.findings import Finding, ShopError

Cell = str | int | float | bool | datetime | date | time | timedelta | None

LARGEST: Final = 20_000_000
"""Bytes of one received list; the same that a price list of the shop may have."""
MOST_ROWS: Final = 200_000
MOST_COLUMNS: Final = 200
LONGEST_CELL: Final = 500
"""Characters of one cell that is used; the shop's own price lists allow no more."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet.

    Args:
        name: of the sheet in its workbook, empty for a CSV file.
        rows: the cells of each row; rows may differ in length.
        numbers: the row's number in the file (from 1), for each row.
        file: the file's own name, for findings.
    """

    name: str
    rows: Sequence[Sequence[Cell]]
    numbers: Sequence[int]
    file: str

    def where(self, row: int) -> str:
        """File, sheet and row, as findings name them.

        Args:
            row: the row's number in the file.
        """
        return f"{self.file}[{self.name}]:{row}" if self.name else f"{self.file}:{row}"


@dataclass(frozen=True, slots=True)
class Book:
    """A received list, opened.

    Args:
        file: its name.
        raw: its bytes, as they came.
        ending: the ending that its content has (``.csv``, ``.xlsx``, ``.txt``).
        sheets: those that can be seen, in order.
        how: how it was read, for people ("cp1252, columns parted by ';'").
        findings: what was noticed.
    """

    file: str
    raw: bytes = field(repr=False)
    ending: str
    sheets: tuple[Sheet, ...]
    how: str
    findings: tuple[Finding, ...] = ()


def refuse(where: str, what: str, mend: str) -> ShopError:
    """The error for a list that cannot be taken in; nothing has been changed."""
    return ShopError((Finding("error", where, what, mend),))


def text(cell: Cell) -> str:
    """A cell as one line of text, as it would be read aloud.

    >>> text(12345.0), text(None), text("  two\\n words "), text(date(2026, 3, 2))
    ('12345', '', 'two words', '2026-03-02')
    """
    if cell is None:
        return ""
    if isinstance(cell, str):
        return tidy(cell)
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(round(cell, 9))
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == time() else cell.isoformat(" ")
    return str(cell)


def tidy(written: str) -> str:
    """Text on one line with single spaces, without signs that cannot be seen.

    >>> tidy("cre\\u0301me\\u00a0 fra\\u200biche\\x07")
    'créme fraiche'
    """
    if not written.isascii():
        written = unicodedata.normalize("NFC", written)
    if not written.isprintable():
        # Cc, Cf, Cs, Zl, Zp: controls, invisible joints, lone surrogates, separators of lines.
        written = "".join(
            " " if c.isspace() else c
            for c in written
            if c.isspace() or unicodedata.category(c) not in ("Cc", "Cf", "Cs")
        )
    return " ".join(written.split())


def harmless(written: str) -> str:
    """Text that no spreadsheet takes for a formula: one that begins like a formula gets an apostrophe before it.

    >>> harmless("=HYPERLINK(1)"), harmless("Heavy cream")
    ("'=HYPERLINK(1)", 'Heavy cream')
    """
    return f"'{written}" if written.startswith(("=", "+", "-", "@")) else written
