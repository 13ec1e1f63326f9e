"""What stands in a table: values, and the columns they stand in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import Literal


class Mark(Enum):
    """What stands in a cell without a value."""

    NA = "–"
    """does not apply"""
    NONE = ""
    """nothing belongs here"""


NA = Mark.NA
NONE = Mark.NONE


@dataclass(frozen=True, slots=True)
class Link:
    """Text that leads to another place in the workbook (``'Peach'!A1``)."""

    text: str
    to: str


Value = str | float | date | Mark | Link | None


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table.

    Args:
        head: what it holds, with its unit.
        at: where it stands, 1 for A.
        fmt: number format; empty for text.
        wrap: long text breaks into lines.
        align: ``left`` or ``right``; by default as text and numbers are.
        over: how many columns to its right are left to it, where text may run on.
    """

    head: str
    at: int
    fmt: str = ""
    wrap: bool = False
    align: Literal["", "left", "right"] = ""
    over: int = 0

    @property
    def side(self) -> Literal["left", "right"]:
        """Where its values stand."""
        return self.align or ("right" if self.fmt else "left")
