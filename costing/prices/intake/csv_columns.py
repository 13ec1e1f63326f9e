"""The quick way through a long CSV file: cut once into columns, without a list for every row.

It is taken only where it gives exactly what the careful way gives: no control characters, rows of one width, quotation
marks that stand around cells or are doubled inside of them. Everything is checked on the text as a whole, as an array
of its bytes in UTF-8, where no letter beyond ASCII has a byte that could be taken for a sign; where a check fails,
nothing is returned, and the careful way (:mod:`csv_sheet`) is gone.
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
_BETWEEN: Final = b"\x02"
"""Stands for a sign between cells and for an end of line, once quotation marks are gone; no plain text has it."""
_DOUBLED: Final = b"\x03"
"""Stands for a quotation mark inside a cell, which is written twice, while the others are taken out."""


class _Text:
    """Cells as one text, looked at as bytes: one look at all of it is many times quicker than one at each cell.

    Args:
        data: plain text in UTF-8, the cells parted by :data:`_BETWEEN`, without an end of the last.
        edges: places of the parting signs, shape (cells - 1,).
        ends: whether each of them ends a line, same shape.
    """

    def __init__(self, data: bytearray, edges: NDArray[np.int64], ends: NDArray[np.bool_]) -> None:
        self.data = data
        self._edges = edges
        self._ends = ends
        self._letters = np.frombuffer(data, np.uint8)
        self._is_edge = self._letters == ord(_BETWEEN)

    def of_one_width(self, wide: int) -> bool:
        """Whether every line has so many cells."""
        ends = np.append(self._ends, True)
        if len(ends) % wide:
            return False
        lines = ends.reshape(-1, wide)
        return bool(lines[:, -1].all() and not lines[:, :-1].any())

    @property
    def longest(self) -> int:
        """Bytes of the longest cell, which has no more letters."""
        return int(np.diff(self._edges, prepend=-1, append=len(self._letters)).max()) - 1

    def untidy(self, wide: int) -> frozenset[int]:
        """The columns in which a cell has a space at an edge or two in a row, a tab, or a letter beyond ASCII.

        Args:
            wide: cells of a line.
        """
        space = self._letters == ord(" ")
        edge = self._is_edge | space
        odd = self._letters >= 0x7F
        odd[1:] |= space[1:] & edge[:-1]
        odd[:-1] |= space[:-1] & edge[1:]
        odd[0] |= space[0]
        odd[-1] |= space[-1]
        if b"\t" in self.data:
            odd |= self._letters == ord("\t")
        cells = np.searchsorted(self._edges, np.flatnonzero(odd))
        return frozenset(np.flatnonzero(np.bincount(cells % wide)).tolist())

    def begins_with(self, signs: str) -> bool:
        """Whether a cell begins with one of some signs."""
        there = [one for one in signs.encode() if one in self.data]
        return any(one == self._letters[0] or np.any((self._letters[1:] == one) & self._is_edge[:-1]) for one in there)


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


def cut(raw: bytes, text: str, sign: str, *, utf8: bool = True) -> Across | None:
    """A CSV text cut into columns.

    Args:
        raw: the bytes of the file.
        text: the same, its lines ended by ``\\n``.
        sign: between columns.
        utf8: whether the bytes are UTF-8 without a mark.

    Returns:
        Its rows; None where only the careful way will do.
    """
    data = raw if utf8 and b"\r" not in raw else text.encode()
    if not _plain(data, b"\n\t" if sign == "\t" else b"\n"):
        return None
    first = _first_lines(text)
    top = _rows(first, sign)
    if not top:
        return None
    wide = len(top[-1])
    # The heads and all below them should be in one block, so that columns can be taken as they are.
    begin = next((at + 1 for at in range(len(top) - 1, -1, -1) if len(top[at]) != wide), 0)
    keep = min(begin + 1, len(top))
    above = "".join(f"{line}\n" for line in first[:keep]).encode()
    block = bytearray(memoryview(data)[len(above) : _end(data)])
    if not block or (wide == 1 and b'"' in block):
        return None
    whole = _parted(block, ord(sign))
    if whole is None or not whole.of_one_width(wide):
        return None
    flat = whole.data.decode().split(_BETWEEN.decode())
    return Across(top[:keep], [flat[at::wide] for at in range(wide)], whole)


def _plain(data: bytes, others: bytes) -> bool:
    """Whether a text has no control characters of ASCII, apart from some."""
    letters = np.frombuffer(data, np.uint8)
    odd = np.count_nonzero(letters < ord(" ")) + np.count_nonzero(letters == 0x7F)
    return bool(odd == sum(np.count_nonzero(letters == one) for one in others))


def _end(data: bytes) -> int:
    """Where the empty lines at the end of a text begin."""
    end = len(data)
    while end and data[end - 1] == ord("\n"):
        end -= 1
    return end


def _first_lines(text: str) -> list[str]:
    """The lines that are looked at one by one; none where the text has no more than these."""
    end = 0
    for _ in range(_LOOKED_AT):
        end = text.find("\n", end) + 1
        if not end:
            return []
    return text[: end - 1].split("\n")


def _rows(lines: list[str], sign: str) -> list[list[str]]:
    """The rows of some lines; none where they cannot be read, or a row runs over two of them."""
    try:
        rows = list(csv.reader(lines, delimiter=sign, strict=True))
    except csv.Error:
        return []
    return rows if len(rows) == len(lines) else []


def _parted(block: bytearray, sign: int) -> _Text | None:
    """The text without quotation marks, the signs outside them and the ends of lines replaced.

    Args:
        block: plain text in UTF-8, in lines, without an end of the last; it is changed.
        sign: between cells.

    Returns:
        The cells; None where a quotation mark stands elsewhere than around a cell or doubled, or a line ends in one.
    """
    quote, end = ord('"'), ord("\n")
    letters = np.frombuffer(block, np.uint8)
    quotes = letters == quote
    marks = np.flatnonzero(quotes | (letters == sign) | (letters == end))
    of_marks = letters[marks]
    ends = of_marks == end
    if b'"' not in block:
        letters[marks] = ord(_BETWEEN)
        return _Text(block, marks, ends)
    quotes = of_marks == quote
    seen = np.cumsum(quotes, dtype=np.int32)
    inside = (seen & 1).astype(bool)
    if inside[-1] or np.any(ends & inside):
        return None
    at = marks[quotes]
    opens, closes = at[::2], at[1::2]
    # One that closes and one that opens right behind it are a doubled one, inside a cell.
    doubled = closes[:-1] + 1 == opens[1:]
    opens, closes = opens[np.append(True, ~doubled)], closes[np.append(~doubled, True)]
    # Outside quotation marks, what stands beside one is an edge.
    opens, closes = opens[opens > 0], closes[closes < len(letters) - 1]
    beside = letters[np.concatenate((opens - 1, closes + 1))]
    if not np.all((beside == sign) | (beside == end)):
        return None
    outside = ~(quotes | inside)
    edges, gone = marks[outside], seen[outside]
    letters[edges] = ord(_BETWEEN)
    if not doubled.any():
        del letters
        return _Text(block.replace(b'"', b""), edges - gone, ends[outside])
    kept = at[1:-1:2][doubled]
    letters[kept] = ord(_DOUBLED)
    del letters
    block = block.replace(b'"', b"").replace(_DOUBLED, b'"')
    return _Text(block, edges - gone + np.searchsorted(kept, edges), ends[outside])
