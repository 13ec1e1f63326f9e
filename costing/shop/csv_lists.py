"""Lists that people keep as CSV files: read row by row, with what is wrong by file and line.

Price lists and trial sheets have this in common: a head that names the columns, notes before it that begin with ``#``,
one thing to a row. Nothing is taken for granted about a file: its size, its quotation marks, its columns and the length
of its cells are checked before anybody looks at what a row says.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final, Protocol, TypeVar

from costing.digits import UnreadableError
from costing.shop import sources
from costing.shop.building import nearest
from costing.shop.yaml_lines import decode

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from costing.shop.sources import Report

MOST_TOLD: Final = 25
"""Findings of one list that are told one by one; a list with more has one mistake in common."""
LONGEST_CELL: Final = 500
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Kind:
    """What lists of one kind look like.

    Args:
        folder: the sub-folder of the shop that they lie in.
        columns: the columns of the head.
        largest: bytes of one list.
        optional: columns that may be missing; their cells are empty then.
        blank: columns whose cells may be empty.
        fill_in: how to mend a cell that is empty and must not be.
    """

    folder: str
    columns: tuple[str, ...]
    largest: int
    optional: frozenset[str] = frozenset()
    blank: frozenset[str] = frozenset()
    fill_in: str = "fill it in, or take the row out"

    @property
    def head(self) -> str:
        """The head as it is written."""
        return ",".join(self.columns)


class Lists(Protocol):
    """What else than a folder holds lists."""

    def lists(self, kind: Kind, report: Report) -> Iterable[tuple[CsvList, Iterator[tuple[int, Mapping[str, str]]]]]:
        """The lists of one kind, each with line and cells of its rows."""
        ...


class _TooManyError(Exception):
    """Enough findings have been told of one list."""


class CsvList:
    """One list while it is read.

    Args:
        file: its name relative to the shop folder.
        kind: what it should look like.
        report: takes the findings.
    """

    def __init__(self, file: str, kind: Kind, report: Report) -> None:
        self.file = file
        self.kind = kind
        self.report = report
        self.told = 0

    def where(self, line: int, column: str = "") -> str:
        """File and line."""
        return self.report.where(self.file, line, column)

    def add(self, line: int, what: str, mend: str, column: str = "") -> None:
        """Note an error in a line of the list; reading it ends where too many have been noted."""
        if self.told >= MOST_TOLD:
            self.report.add(self.file, f"more than {MOST_TOLD} rows of this list have errors", "mend these first")
            raise _TooManyError
        self.told += 1
        self.report.add(self.where(line, column), what, mend)

    def parsed(self, line: int, parse: Callable[[str], T], text: str, column: str = "") -> T | None:
        """What the parser makes of a cell; what it refuses becomes a finding, and an empty one has been told of."""
        try:
            return parse(text) if text else None
        except UnreadableError as refused:
            self.add(line, refused.what, refused.mend, column)
            return None


def rows(
    place: Path | Lists, kind: Kind, report: Report, make: Callable[[Mapping[str, str], int, CsvList], T | None]
) -> tuple[T, ...]:
    """The rows of every list of one kind.

    Args:
        place: the shop folder, or what else holds the lists.
        kind: what the lists look like.
        report: takes what is wrong, by file and line.
        make: a row out of its cells by column, its line, and its list; None where it cannot, after saying why.

    Returns:
        All rows that could be read, list by list.
    """
    found: list[T] = []
    for one, cells_of_rows in in_folder(place, kind, report) if isinstance(place, Path) else place.lists(kind, report):
        try:
            for line, cells in cells_of_rows:
                told = one.told
                _check(cells, line, one)
                row = make(cells, line, one)
                if row is not None and one.told == told:
                    found.append(row)
        except _TooManyError:
            continue
    return tuple(found)


def in_folder(
    folder: Path, kind: Kind, report: Report
) -> Iterator[tuple[CsvList, Iterator[tuple[int, Mapping[str, str]]]]]:
    """The lists of one kind in a shop folder, each with line and cells of its rows."""
    for path in sources.listed(folder, kind.folder, (".csv",), report):
        file = f"{kind.folder}/{path.name}"
        raw = sources.raw(path, file, kind.largest, report)
        if raw is None:
            continue
        text, problems = decode(raw)
        for problem in problems:
            report.add(f"{file}:{problem.line}", problem.what, problem.mend)
        if problems:
            continue
        one = CsvList(file, kind, report)
        yield one, _cells(text, one)


def _cells(text: str, one: CsvList) -> Iterator[tuple[int, dict[str, str]]]:
    """Line and cells by column, of every row that is as long as the head."""
    # Not splitlines(), which also breaks at signs that may stand inside a name.
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    start = next((i for i, line in enumerate(lines) if line.strip() and not line.startswith("#")), None)
    if start is None:
        one.add(1, "the list is empty", f"write the head first: {one.kind.head}")
        return
    if "\0" in text:
        one.add(
            text.count("\n", 0, text.index("\0")) + 1, "a character here cannot stand in a text file", "take it out"
        )
        return
    reader = csv.reader((f"{line}\n" for line in lines[start:]), strict=True)
    before = start
    try:
        places = _head(next(reader), lines[start], start + 1, one)
        if places is None:
            return
        before = start + reader.line_num
        for cells in reader:
            line, before = before + 1, start + reader.line_num
            if not any(cell.strip() for cell in cells):
                continue
            if len(cells) != len(places):
                what = f"the row has {len(cells)} cells, the head {len(places)}"
                short = len(cells) < len(places)
                one.add(
                    line, what, "add the missing commas" if short else "put a text or number with a comma in quotes"
                )
                continue
            known = {name: " ".join(cells[place].split()) for name, place in places.items()}
            yield line, {**dict.fromkeys(one.kind.optional, ""), **known}
    except csv.Error as wrong:
        what = "a quotation mark opens here and is not closed" if "unexpected end" in str(wrong) else f"{wrong}"
        one.add(before + 1, f"the row cannot be read: {what}", "check the quotation marks and commas")


def _head(cells: list[str], line: str, at: int, one: CsvList) -> dict[str, int] | None:
    """Column to place, None where the head is not one."""
    columns = one.kind.columns
    names = [" ".join(cell.split()).casefold() for cell in cells]
    for sign, called in ((";", "semicolons"), ("\t", "tabs")):
        if len(names) == 1 and sign in line:
            one.add(at, f"the columns are parted by {called}", "save the list with commas between the columns")
            return None
    absent = [name for name in columns if name not in names]
    missing = [name for name in absent if name not in one.kind.optional]
    strange = [name for name in names if name not in columns]
    twice = sorted({name for name in names if names.count(name) > 1 and name in columns})
    for name in strange:
        mend = nearest(name, absent, f"the columns are: {', '.join(columns)}") if absent else "take the column out"
        one.add(at, f"there is no column '{name}'" if name else "a column has no name", mend)
    for name in twice:
        one.add(at, f"the column '{name}' stands here twice", "keep one of them")
    if missing and not strange:
        one.add(at, f"columns are missing: {', '.join(missing)}", f"the head is: {one.kind.head}")
    if missing or strange or twice:
        return None
    return {name: names.index(name) for name in columns if name in names}


def _check(cells: Mapping[str, str], line: int, one: CsvList) -> None:
    """What holds for the cells of every list: none is empty that must not be, and none is absurdly long."""
    kind = one.kind
    for name, text in cells.items():
        if not text and name not in kind.blank:
            one.add(line, f"'{name}' is empty", kind.fill_in, name)
        elif len(text) > LONGEST_CELL:
            one.add(line, f"'{name}' is longer than {LONGEST_CELL} characters", "check the quotation marks", name)
