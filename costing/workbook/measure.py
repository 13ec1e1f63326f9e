"""How wide words and numbers are, about: enough to choose widths of columns and heights of rows.

Widths are counted in digits of the usual type, as spreadsheets count the widths of columns.
"""

from __future__ import annotations

import functools
import re

from costing.workbook import look


def scale(wear: look.Look) -> float:
    """How much wider than the usual type a look is."""
    return wear.size / look.SIZE * (1.08 if wear.bold else 1.0)


def aside(wear: look.Look) -> float:
    """Room beside the text of a cell, in digits: its margins and its indent."""
    return 1.1 + 1.3 * wear.indent


def shown_width(size: float, fmt: str) -> float:
    """How wide a number or day is when it is shown, in digits.

    Args:
        size: the number; a negative one counts as ten times as large, which leaves room for the sign.
        fmt: its number format.

    >>> shown_width(1234.5, '#,##0.00'), shown_width(0.5, '0.0%')
    (7.12, 5.26)
    """
    if "yy" in fmt:
        return wide(re.sub(r'"', "", fmt)) + 0.5
    plain = fmt.partition(";")[0]
    literal = "".join(re.findall(r'"([^"]*)"', plain))
    core = re.sub(r'"[^"]*"', "", plain)
    if "%" in core:
        size, literal = size * 100, literal + "%"
    decimals = len(core.partition(".")[2].rstrip("% ")) if "." in core else 0
    whole = len(f"{size:.0f}")
    points = ((whole - 1) // 3 if "," in core else 0) + (decimals > 0)
    return round(whole + decimals + 0.56 * points + wide(literal), 2)


@functools.cache
def wide(words: str) -> float:
    """The width of words on one line, in digits.

    >>> wide("100")
    3.0
    """
    return sum(_WIDE.get(c, 1.0) for c in words)


def lines_of(words: str, width: float, wear: look.Look) -> int:
    """How many lines a text is thought to take in a column.

    Args:
        words: the text.
        width: of the column, in digits of the usual type.
        wear: its look.

    >>> lines_of("cream", 20, look.PLAIN), lines_of("cream " * 10, 20, look.PLAIN)
    (1, 4)
    """
    room = max(1.0, width / scale(wear))
    return sum(_lines(part, room) for part in words.split("\n"))


@functools.cache
def _lines(words: str, room: float) -> int:
    """Lines of words without line ends, in a room of so many digits of their own size."""
    lines, used = 1, 0.0
    for word in words.split(" "):
        size = wide(word)
        if used and used + 0.5 + size > room:
            lines, used = lines + 1, 0.0
        used += size + (0.5 if used else 0.0)
        if used > room:  # longer than a line, as some names are
            lines, used = lines + int(used // room), used % room
    return lines


# Widths in Arial as a share of a digit's, where they differ much (its font metrics; all else counts as a digit).
_WIDE = (
    dict.fromkeys("ijl'|", 0.42)
    | dict.fromkeys("ftI.,:;/!()[]-r ", 0.56)
    | dict.fromkeys("ckstvxyzJ", 0.9)
    | dict.fromkeys("ABEKPSVXYRDCHNUw&", 1.28)
    | dict.fromkeys("GOQmM", 1.45)
    | dict.fromkeys("W%@", 1.7)
)
