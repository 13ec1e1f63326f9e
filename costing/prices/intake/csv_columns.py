"""The quick way through a long CSV file: cut once into columns, without a list for every row.

It is taken only where it gives exactly what the careful way gives: plain ASCII, rows of one width, quotation marks that
stand at the edges of cells and nowhere else. Everything is checked on the text as a whole, as an array of its bytes;
where a check fails, nothing is returned, and the careful way (:mod:`csv_sheet`) is gone.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from typing import Final, overload

import numpy as np

from costing.prices.intake.sheets import Cell

_LOOKED_AT: Final = 100
_BETWEEN, _QUOTE = b"\x02", b"\x03"
"""Stand-ins: for a sign outside quotation marks, for what stands between two of them."""


class _Text:
    """Cells as one text, looked at as bytes: one look at all of it is many times quicker than one at each cell.

    Args:
        data: printable ASCII, in lines, without an end of the last.
        sign: between cells.
    """

    def __init__(self, data: bytes, sign: bytes) -> None:
        self._letters = np.frombuffer(data, np.uint8)
        self._is_edge = (self._letters == ord(sign)) | (self._letters == ord("\n"))
        self._edges = np.flatnonzero(self._is_edge)
        self._data = data
        self._odd = sign != b"\t" and b"\t" in data

    def of_one_width(self, wide: int) -> bool:
        """Whether every line has so many cells."""
        ends = np.append(self._letters[self._edges] == ord("\n"), True)
        if len(ends) % wide:
            return False
        lines = ends.reshape(-1, wide)
        return bool(lines[:, -1].all() and not lines[:, :-1].any())

    @property
    def longest(self) -> int:
        """Letters of the longest cell."""
        return int(np.diff(self._edges, prepend=-1, append=len(self._letters)).max()) - 1

    @property
    def tidy(self) -> bool:
        """Whether no cell has a space at an edge or two in a row, or a tab."""
        space = self._letters == ord(" ")
        edge = self._is_edge | space
        between = np.any(space[1:] & edge[:-1]) or np.any(space[:-1] & edge[1:])
        return not (self._odd or between or self._data.startswith(b" ") or self._data.endswith(b" "))

    def begins_with(self, signs: str) -> bool:
        """Whether a cell begins with one of some signs."""
        there = [one for one in signs.encode() if one in self._data]
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


def cut(raw: bytes, text: str, sign: str) -> Across | None:
    """A CSV text cut into columns.

    Args:
        raw: the bytes of the file.
        text: the same, its lines ended by ``\\n``.
        sign: between columns.

    Returns:
        Its rows; None where only the careful way will do.
    """
    if not _plain(raw, b"\n\r\t" if sign == "\t" else b"\n\r"):
        return None
    first = _first_lines(text)
    top = _rows(first, sign)
    if not top:
        return None
    wide = len(top[-1])
    # The heads and all below them should be in one block, so that columns can be taken as they are.
    begin = next((at + 1 for at in range(len(top) - 1, -1, -1) if len(top[at]) != wide), 0)
    keep = min(begin + 1, len(top))
    data, between = raw if b"\r" not in raw else text.encode("ascii"), sign.encode()
    block = data[sum(len(line) + 1 for line in first[:keep]) : _end(data)]
    if b'"' in block:
        plain = _unquoted(block, between) if wide > 1 else None
        if plain is None:
            return None
        block, between = plain, _BETWEEN
    if not block:
        return None
    whole = _Text(block, between)
    if not whole.of_one_width(wide):
        return None
    flat = block.replace(b"\n", between).decode("ascii").split(between.decode())
    return Across(top[:keep], [flat[at::wide] for at in range(wide)], whole)


def _plain(raw: bytes, others: bytes) -> bool:
    """Whether bytes are printable ASCII, apart from some others."""
    letters = np.frombuffer(raw, np.uint8)
    odd = np.count_nonzero((letters < ord(" ")) | (letters >= 0x7F))
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


def _unquoted(block: bytes, sign: bytes) -> bytes | None:
    """The text without quotation marks, the signs outside them replaced; None where they stand elsewhere.

    A cell in quotation marks that runs over two lines makes lines that are not as wide as the others.
    """
    parts = block.split(b'"')
    if len(parts) % 2 == 0:
        return None
    outside = _QUOTE.join((b"\n" + parts[0], *parts[2:-1:2], parts[-1] + b"\n"))
    letters = np.frombuffer(outside, np.uint8)
    quoted = np.flatnonzero(letters == ord(_QUOTE))
    # Two quoted cells have at least a sign between them; between a doubled mark there is nothing.
    beside = np.bincount(np.concatenate((letters[quoted - 1], letters[quoted + 1])), minlength=256)
    if beside.sum() != beside[ord(sign)] + beside[ord("\n")]:
        return None
    parts[::2] = outside[1:-1].replace(sign, _BETWEEN).split(_QUOTE)
    return b"".join(parts)
