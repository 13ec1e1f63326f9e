"""How formulas are put together: where a cell stands, and what becomes of what is unknown.

An empty input is unknown, and so is everything that follows from it: never zero.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from openpyxl.utils import get_column_letter

from costing.workbook.living.terms import Term, digits, on
from costing.workbook.text import place
from costing.workbook.values import Formula

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

WORKINGS = "Workings"
"""The sheet on which the kitchen is worked out."""
_THERE = place(WORKINGS, "")

UNKNOWN = '"unknown"'
NONE = '"–"'


def at(column: int, row: int) -> str:
    """A cell of the same sheet.

    >>> at(3, 12)
    'C12'
    """
    return f"{get_column_letter(column)}{row}"


def follows(text: str, shown: float | str) -> Formula:
    """A formula over other formulas: unknown where one of them is."""
    return Formula(f"IFERROR({text},{UNKNOWN})", shown)


def given(text: str, inputs: Iterable[str], shown: float | str) -> Formula:
    """A formula over inputs: unknown where one of them is empty.

    Args:
        text: the formula.
        inputs: names of inputs, or products of names.
        shown: what it comes to.
    """
    names = list(dict.fromkeys(name for one in inputs for name in one.split("*")))
    return Formula(f"IFERROR(IF(COUNT({','.join(names)})={len(names)},{text},{UNKNOWN}),{UNKNOWN})", shown)


def total(column: int, rows: Sequence[int], shown: float | str) -> Formula:
    """The sum of cells that stand below one another; unknown where one of them is."""
    if not rows:
        return Formula("0", shown)
    span = f"{at(column, rows[0])}:{at(column, rows[-1])}"
    return Formula(f"IF(COUNT({span})={len(rows)},SUM({span}),{UNKNOWN})", shown)


def plus(cells: Sequence[str], shown: float | str) -> Formula:
    """The sum of cells; unknown where one of them is."""
    return follows("+".join(cells) or "0", shown)


def number(value: float) -> str:
    """A figure inside a formula, with every digit it has.

    >>> number(0.1), number(-2.0)
    ('0.1', '(-2.0)')
    """
    return digits(value)


def there(term: Term) -> str:
    """A figure of the kitchen inside a formula of another sheet."""
    return on(term.text, _THERE)


def here(text: str) -> str:
    """A formula as it stands on the sheet Workings itself.

    >>> here("§C5*2")
    'C5*2'
    """
    return on(text, "")


def kitchen(term: Term) -> Formula | float:
    """A figure of the kitchen in a cell of another sheet."""
    return term.value if term.fixed else Formula(f"IFERROR({there(term)},{UNKNOWN})", term.value)


LONGEST = 120
"""Characters of one text inside a formula; Excel takes 255 of them (its published limits, from memory)."""


def quoted(words: str) -> str:
    """Text inside a formula, longer ones in pieces.

    >>> quoted('a 1" cup')
    '"a 1"" cup"'
    >>> quoted("x" * 121) == '"' + "x" * 120 + '"&"x"'
    True
    """
    pieces = [words[i : i + LONGEST] for i in range(0, len(words), LONGEST)] or [""]
    return "&".join('"' + piece.replace('"', '""') + '"' for piece in pieces)
