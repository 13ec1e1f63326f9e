"""The quick way through a long CSV file: cut once into columns, without a list for every row.

It is taken only where it gives exactly what the careful way gives: plain ASCII, rows of one width, quotation marks that
stand at the edges of cells and nowhere else. Everything is checked on the text as a whole, as an array of its bytes;
where a check fails, nothing is returned, and the careful way (:mod:`csv_sheet`) is gone.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final, overload

import numpy as np

from costing.prices.intake.sheets import Cell

if TYPE_CHECKING:
    from numpy.typing import NDArray

_LOOKED_AT: Final = 100
_BETWEEN, _QUOTE = "\x02", "\x03"
"""Stand-ins: for a sign outside quotation marks, for what stands between two of them."""
_PRINTABLE: Final = bytes(range(0x20, 0x7F)) + b"\n"


class _Text:
    """Cells as one text, looked at as bytes: one look at all of it is many times quicker than one at each cell.

    Args:
        text: printable ASCII, in lines.
        sign: between cells.
    """

    def __init__(self, text: str, sign: str) -> None:
        self._text = text
        self._bytes = _letters(text)
        self._is_edge = (self._bytes == ord(sign)) | (self._bytes == ord("\n"))
        self._edges = np.flatnonzero(self._is_edge)
        self._odd = sign != "\t" and "\t" in text

    def of_one_width(self, wide: int) -> bool:
        """Whether every line has so many cells."""
        ends = self._bytes[self._edges[1:]] == ord("\n")
        if len(ends) % wide:
            return False
        lines = ends.reshape(-1, wide)
        return bool(lines[:, -1].all() and not lines[:, :-1].any())

    @property
    def longest(self) -> int:
        """Letters of the longest cell."""
        return int(np.diff(self._edges).max()) - 1

    @property
    def tidy(self) -> bool:
        """Whether no cell has a space at an edge or two in a row, or a tab."""
        space = self._bytes == ord(" ")
        edge = self._is_edge | space
        return not (self._odd or np.any(space[1:] & edge[:-1]) or np.any(space[:-1] & edge[1:]))

    def begins_with(self, signs: str) -> bool:
        """Whether a cell begins with one of some signs."""
        there = [ord(one) for one in signs if one in self._text]
        return any(np.any((self._bytes[1:] == one) & self._is_edge[:-1]) for one in there)


class Across(Sequence[Sequence[Cell]]):
    """Rows over columns that are kept, made one at a time when somebody asks.

    Args:
        top: the first rows, as lists.
        columns: what follows, column by column.
        text: the same as they stood in the file, without quotation marks around cells.
    """

    def __init__(self, top: list[list[str]], columns: list[list[str]], text: _Text) -> None:
        self.top = top
        self.columns = columns
        self.text = text

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
        plain = _unquoted(block, sign) if wide > 1 else None
        if plain is None:
            return None
        block, sign = plain, _BETWEEN
    whole = _Text(block, sign)
    if not whole.of_one_width(wide):
        return None
    flat = block.replace("\n", sign).split(sign)
    return Across(top[:keep], [flat[at::wide] for at in range(wide)], whole)


def _unquoted(block: str, sign: str) -> str | None:
    """The text without quotation marks, the signs outside them replaced; None where they stand elsewhere.

    A cell in quotation marks that runs over two lines makes lines that are not as wide as the others.
    """
    parts = block.split('"')
    if len(parts) % 2 == 0:
        return None
    outside = _QUOTE.join(parts[::2])
    letters = _letters(outside)
    quoted = np.flatnonzero(letters == ord(_QUOTE))
    # Two quoted cells have at least a sign between them; between a doubled mark there is nothing.
    beside = np.bincount(np.concatenate((letters[quoted - 1], letters[quoted + 1])), minlength=256)
    if beside.sum() != beside[ord(sign)] + beside[ord("\n")]:
        return None
    parts[::2] = outside.replace(sign, _BETWEEN).split(_QUOTE)
    return "".join(parts)


def _letters(text: str) -> NDArray[np.uint8]:
    """A text of ASCII as bytes, between two ends of lines, so that every cell has an edge on both sides."""
    return np.frombuffer(f"\n{text}\n".encode("ascii"), np.uint8)
