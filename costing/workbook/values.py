"""What stands in a table: values, and the columns they stand in."""

from __future__ import annotations

import re
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


LONGEST_FORMULA = 8192
_QUOTED = re.compile(r"'(?:[^']|'')*'!|\"(?:[^\"]|\"\")*\"")
_REFUSED = re.compile(
    r"[\[\]|#{}]|\b(?:NOW|TODAY|RAND|RANDBETWEEN|OFFSET|INDIRECT|INFO|CELL|HYPERLINK|WEBSERVICE|CALL)\(", re.I
)


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula of our own making; only a value of this kind becomes one, text never does.

    Args:
        text: the formula without its ``=``, in the words of the file format.
        shown: what it comes to, as the engine says; not a number is unknown.

    Raises:
        ValueError: it leads out of the workbook, changes by itself, or is too long.

    >>> Formula("[1]Sheet1!A1", 0.0)
    Traceback (most recent call last):
    ValueError: the formula '[1]Sheet1!A1' is none that a workbook may have
    """

    text: str
    shown: float | str

    def __post_init__(self) -> None:
        # What is quoted is looked at only where there is something to look for.
        refused = _REFUSED.search(self.text) and _REFUSED.search(_QUOTED.sub('"', self.text))
        if not self.text or len(self.text) > LONGEST_FORMULA or refused:
            raise ValueError(f"the formula {self.text[:80]!r} is none that a workbook may have")


Value = str | float | date | Mark | Link | Formula | None


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
