"""Reads price lists: CSV files with one row for each thing that a supplier sells, and what is wrong with their rows.

A list is taken as it came: nothing is changed in it, lines before the head that begin with ``#`` are notes.
"""

from __future__ import annotations

import csv
import math
import re
from datetime import date
from typing import TYPE_CHECKING, Final, TypeVar

from costing.digits import UnreadableError, clean, number
from costing.shop import sources
from costing.shop.building import nearest
from costing.shop.models import PriceRow
from costing.shop.yaml_lines import decode

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from costing.shop.sources import Report

LARGEST: Final = 20_000_000
"""Bytes of one price list."""
MOST_TOLD: Final = 25
"""Findings of one list that are told one by one; a list with more has one mistake in common."""
LONGEST_CELL: Final = 500
COLUMNS: Final = ("supplier", "item", "ingredient", "pack", "price", "currency", "date")
EARLIEST: Final = date(1990, 1, 1)
MOST_MONEY: Final = 1e7
T = TypeVar("T")

_CURRENCY: Final = re.compile(r"[A-Z]{3}")


class _TooManyError(Exception):
    """Enough findings have been told of one list."""


class _List:
    """One list while it is read."""

    def __init__(self, file: str, report: Report) -> None:
        self.file = file
        self.report = report
        self.told = 0

    def add(self, line: int, what: str, mend: str) -> None:
        """Note an error in a line of the list."""
        if self.told >= MOST_TOLD:
            self.report.add(self.file, f"more than {MOST_TOLD} rows of this list have errors", "mend these first")
            raise _TooManyError
        self.told += 1
        self.report.add(f"{self.file}:{line}", what, mend)


def rows(folder: Path, report: Report) -> tuple[PriceRow, ...]:
    """The rows of every price list of a shop.

    Args:
        folder: the shop folder.
        report: takes what is wrong, by file and line.

    Returns:
        All rows that could be read, list by list.
    """
    found: list[PriceRow] = []
    for path in sources.listed(folder, "prices", (".csv",), report):
        file = f"prices/{path.name}"
        raw = sources.raw(path, file, LARGEST, report)
        if raw is None:
            continue
        text, problems = decode(raw)
        for problem in problems:
            report.add(f"{file}:{problem.line}", problem.what, problem.mend)
        if problems:
            continue
        try:
            found.extend(_read(text, _List(file, report)))
        except _TooManyError:
            continue
    return tuple(found)


def _read(text: str, one: _List) -> Iterator[PriceRow]:
    # Not splitlines(), which also breaks at signs that may stand inside a name.
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    start = next((i for i, line in enumerate(lines) if line.strip() and not line.startswith("#")), None)
    if start is None:
        one.add(1, "the list is empty", f"write the head first: {','.join(COLUMNS)}")
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
            if any(cell.strip() for cell in cells):
                row = _row(cells, places, line, one)
                if row is not None:
                    yield row
    except csv.Error as wrong:
        what = "a quotation mark opens here and is not closed" if "unexpected end" in str(wrong) else f"{wrong}"
        one.add(before + 1, f"the row cannot be read: {what}", "check the quotation marks and commas")


def _head(cells: list[str], line: str, at: int, one: _List) -> dict[str, int] | None:
    """Column to place, None where the head is not one."""
    names = [" ".join(cell.split()).casefold() for cell in cells]
    for sign, called in ((";", "semicolons"), ("\t", "tabs")):
        if len(names) == 1 and sign in line:
            one.add(at, f"the columns are parted by {called}", "save the list with commas between the columns")
            return None
    missing = [name for name in COLUMNS if name not in names]
    strange = [name for name in names if name not in COLUMNS]
    twice = sorted({name for name in names if names.count(name) > 1 and name in COLUMNS})
    for name in strange:
        mend = nearest(name, missing, f"the columns are: {', '.join(COLUMNS)}") if missing else "take the column out"
        one.add(at, f"there is no column '{name}'" if name else "a column has no name", mend)
    for name in twice:
        one.add(at, f"the column '{name}' stands here twice", "keep one of them")
    if missing and not strange:
        one.add(at, f"columns are missing: {', '.join(missing)}", f"the head is: {','.join(COLUMNS)}")
    if missing or strange or twice:
        return None
    return {name: names.index(name) for name in COLUMNS}


def _row(cells: list[str], places: dict[str, int], line: int, one: _List) -> PriceRow | None:
    if len(cells) != len(places):
        what = f"the row has {len(cells)} cells, the head {len(places)}"
        mend = "put a text or number with a comma in quotes" if len(cells) > len(places) else "add the missing commas"
        one.add(line, what, mend)
        return None
    cell = {name: " ".join(cells[place].split()) for name, place in places.items()}
    told = one.told
    for name, text in cell.items():
        if not text and name != "ingredient":  # a row for something that the shop does not use
            one.add(line, f"'{name}' is empty", "fill it in, or take the row out of a list of your own")
        elif len(text) > LONGEST_CELL:
            one.add(line, f"'{name}' is longer than {LONGEST_CELL} characters", "check the quotation marks")
    price = _told(one, line, _price, cell["price"])
    day = _told(one, line, iso_day, cell["date"])
    currency = cell["currency"].upper()
    if currency and not _CURRENCY.fullmatch(currency):
        one.add(line, f"'{cell['currency']}' is not a currency", "write its three letters, such as USD")
    if price is None or day is None or one.told != told:
        return None
    # Every field has been checked above; a long list is read three times faster without doing it again.
    return PriceRow.model_construct(
        where=f"{one.file}:{line}",
        supplier=cell["supplier"],
        item=cell["item"],
        ingredient=cell["ingredient"],
        pack=cell["pack"],
        price=price,
        currency=currency,
        date=day,
    )


def _told(one: _List, line: int, parse: Callable[[str], T], text: str) -> T | None:
    """What the parser makes of a cell; what it refuses becomes a finding. An empty cell has been told of already."""
    try:
        return parse(text) if text else None
    except UnreadableError as refused:
        one.add(line, refused.what, refused.mend)
        return None


def _price(text: str) -> float:
    plain = clean(text)
    value = float(number(plain))
    if value == 0:
        raise UnreadableError("the price is 0", "write what it costs; take the row out if nobody knows")
    if not math.isfinite(value) or value > MOST_MONEY:
        raise UnreadableError(f"the price {plain} is absurd", "check the number")
    return value


def iso_day(text: str) -> date:
    """A day, written as year, month, day.

    Raises:
        UnreadableError: it is none, or it lies before 1990.

    >>> iso_day("2026-03-02")
    datetime.date(2026, 3, 2)
    """
    plain = clean(text)
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", plain):
        raise UnreadableError(f"'{plain}' is not a date", "write it as 2026-03-02: year, month, day")
    try:
        day = date.fromisoformat(plain)
    except ValueError:
        raise UnreadableError(f"'{plain}' is a day that does not exist", "check month and day") from None
    if day < EARLIEST or day.year > 2200:
        raise UnreadableError(f"'{plain}' cannot be the date of a price", "check the year")
    return day
