"""The quick way through a long CSV file: cut once into columns, without a list for every row.

It is taken only where it gives exactly what the careful way gives: plain ASCII, rows of one width, quotation marks that
stand at the edges of cells and nowhere else. Everything is checked on the text as a whole; where a check fails, nothing
is returned, and the careful way (:mod:`csv_sheet`) is gone.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from typing import Final, overload

from costing.prices.intake.sheets import Cell

_LOOKED_AT: Final = 100
_ROW, _SIGN, _QUOTE = "\x01", "\x02", "\x03"
"""Stand-ins: between rows, for a sign inside quotation marks, for a quotation mark."""
_PRINTABLE: Final = bytes(range(0x20, 0x7F)) + b"\n"


class Across(Sequence[Sequence[Cell]]):
    """Rows over columns that are kept, made one at a time when somebody asks.

    Args:
        top: the first rows, as lists.
        columns: what follows, column by column.
    """

    def __init__(self, top: list[list[str]], columns: list[list[str]]) -> None:
        self.top = top
        self.columns = columns

    def __len__(self) -> int:
        return len(self.top) + len(self.columns[0])

    @overload
    def __getitem__(self, at: int) -> Sequence[Cell]: ...

    @overload
    def __getitem__(self, at: slice) -> Sequence[Sequence[Cell]]: ...

    def __getitem__(self, at: int | slice) -> Sequence[Cell] | Sequence[Sequence[Cell]]:
        if isinstance(at, slice):
            return [self[one] for one in range(*at.indices(len(self)))]
        at = at + len(self) if at < 0 else at
        if at < len(self.top):
            return self.top[at]
        return [column[at - len(self.top)] for column in self.columns]

    def below(self, start: int) -> list[list[str]] | None:
        """The columns from a row on; None where that row is not among them."""
        skip = start - len(self.top)
        if skip < 0:
            return None
        return [column[skip:] for column in self.columns] if skip else self.columns


def cut(raw: bytes, text: str, sign: str) -> Across | None:
    """A CSV text cut into columns.

    Args:
        raw: the bytes of the file.
        text: the same, its lines ended by ``\\n``, without empty lines at the end.
        sign: between columns.

    Returns:
        Its rows; None where only the careful way will do.
    """
    if raw.translate(None, _PRINTABLE).strip(b"\r\t" if sign == "\t" else b"\r"):
        return None
    first = text.split("\n", _LOOKED_AT)
    rest = first.pop() if len(first) > _LOOKED_AT else ""
    try:
        top = list(csv.reader(first, delimiter=sign, strict=True))
    except csv.Error:
        return None
    if not rest or len(top) != len(first):
        return None
    wide = len(top[-1])
    # The heads and all below them should be in one block, so that columns can be taken as they are.
    begin = next((at + 1 for at in range(len(top) - 1, -1, -1) if len(top[at]) != wide), 0)
    keep = min(begin + 1, len(top))
    block = "\n".join([*first[keep:], rest])
    if '"' in block:
        plain = _unquoted(block, sign)
        if plain is None:
            return None
        block = plain
    flat = block.replace("\n", f"{sign}{_ROW}{sign}").split(sign)
    count = block.count("\n") + 1
    # A mark stands behind every row; if each stands where it must, every row is as wide as every other.
    if len(flat) != count * (wide + 1) - 1 or flat[wide :: wide + 1].count(_ROW) != count - 1:
        return None
    columns = [flat[at :: wide + 1] for at in range(wide)]
    if _SIGN in block:
        columns = [_restored(column, sign) for column in columns]
    return Across(top[:keep], columns)


def _unquoted(block: str, sign: str) -> str | None:
    """The text without quotation marks, the signs between them replaced; None where they stand elsewhere."""
    parts = block.split('"')
    if len(parts) % 2 == 0:
        return None
    outside = parts[::2]
    inside = _QUOTE.join(parts[1::2])
    if "\n" in inside:
        return None
    # Two quoted cells have at least a sign between them; between a doubled mark there is nothing.
    edges = {sign, "\n"}
    before, behind = {part[-1:] for part in outside[1:-1]}, {part[:1] for part in outside[1:-1]}
    if not (before <= edges and behind <= edges and {outside[0][-1:], outside[-1][:1]} <= {*edges, ""}):
        return None
    parts[1::2] = inside.replace(sign, _SIGN).split(_QUOTE)
    return "".join(parts)


def _restored(column: list[str], sign: str) -> list[str]:
    joined = "\n".join(column)
    return joined.replace(_SIGN, sign).split("\n") if _SIGN in joined else column
