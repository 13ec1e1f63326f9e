"""Puts a list into a shop: a dated one of its own, the original kept, and nothing is ever overwritten."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Final

from costing.prices.intake.mapping import slug
from costing.prices.intake.sheets import refuse, tidy
from costing.shop import pricelists

if TYPE_CHECKING:
    from costing.prices.intake.home import Home
    from costing.prices.intake.sheets import Book
    from costing.shop.models import PriceRow

_MOST: Final = 99
"""Lists of one supplier and one day."""


@dataclass(frozen=True, slots=True)
class Put:
    """What was written.

    Args:
        name: of the dated list.
        list_file: where it stands: its file, relative to the shop, or the cells of a workbook.
        original: where the list lies as it came, relative to the shop.
        day: of the list that was written, or of the one that was there.
    """

    name: str
    list_file: str
    original: str
    day: date


def before(home: Home, book: Book, supplier: str) -> tuple[str, date] | None:
    """Where this very list lies already, and the day it was taken for.

    Args:
        home: where the shop keeps its lists.
        book: the received list.
        supplier: its sender.
    """
    place = home.root / home.received
    if not place.is_dir():
        return None
    for path in sorted(place.iterdir(), reverse=True):
        stem = path.stem
        if stem[10:11] != "-" or not _of(stem[11:], slug(supplier)) or not path.is_file():
            continue
        try:
            if path.stat().st_size == len(book.raw) and path.read_bytes() == book.raw:
                return f"{home.received}/{path.name}", date.fromisoformat(stem[:10])
        except (OSError, ValueError):
            continue
    return None


def _of(name: str, wanted: str) -> bool:
    rest = name.removeprefix(wanted)
    return name.startswith(wanted) and (not rest or (rest[0] == "-" and rest[1:].isdigit()))


def unheard(rows: Sequence[PriceRow], known: Iterable[PriceRow], supplier: str) -> list[PriceRow]:
    """The rows that no list of the supplier has yet.

    A row that the shop does not use says nothing new beside one for the same goods that it does.
    """
    there: dict[tuple[str, str, float, str, date], set[str]] = {}
    for row in known:
        if row.supplier.casefold() == supplier.casefold():
            there.setdefault((row.item, row.pack, row.price, row.currency, row.date), set()).add(row.ingredient)
    fresh = []
    for row in rows:
        names = there.get((row.item, row.pack, row.price, row.currency, row.date))
        if names is None or (row.ingredient and row.ingredient not in names):
            fresh.append(row)
    return fresh


def clashing(rows: Sequence[PriceRow], known: Iterable[PriceRow], supplier: str) -> list[tuple[PriceRow, PriceRow]]:
    """Rows that another list of the same supplier and day contradicts, each with that one."""
    there: dict[tuple[str, str, date], PriceRow] = {}
    prices: dict[tuple[str, str, date], set[tuple[float, str]]] = {}
    for row in known:
        if row.supplier.casefold() == supplier.casefold():
            key = (row.item, row.pack, row.date)
            there.setdefault(key, row)
            prices.setdefault(key, set()).add((row.price, row.currency))
    found = []
    for row in rows:
        key = (row.item, row.pack, row.date)
        if key in there and (row.price, row.currency) not in prices[key]:
            found.append((row, there[key]))
    return found


def put(home: Home, book: Book, supplier: str, day: date, rows: Sequence[PriceRow], original: str = "") -> Put:
    """Write a dated list, keep the original, and write what waits; all of it, or nothing.

    Args:
        home: where the shop keeps its lists.
        book: the received list.
        supplier: its sender.
        day: of the list.
        rows: what stands in it.
        original: where the original is kept already, relative to the shop; empty where it is not.

    Returns:
        What was written.

    Raises:
        ShopError: it cannot be written; nothing has been changed then.
    """
    stem = _free(home, f"{day.isoformat()}-{slug(supplier)}")
    kept = original or f"{home.received}/{stem}{book.ending}"
    contents: dict[Path, bytes | str] = {} if original else {home.root / kept: book.raw}
    if home.workbook is not None:
        from costing.prices.intake import put_rows

        changed, where = put_rows.rows(home.workbook, stem, rows)
        home.put(contents, changed)
        return Put(stem, where, kept, day)
    text = written(rows, f"received as {tidy(book.file)}, kept as {kept.removeprefix(f'{home.prices}/')}")
    if len(text.encode()) > pricelists.LARGEST:
        raise refuse(book.file, "the list is larger than a shop's price list may be", "split it")
    name = f"{home.prices}/{stem}.csv"
    home.put({home.root / name: text, **contents})
    return Put(stem, name, kept, day)


def _free(home: Home, stem: str) -> str:
    """A name that neither a list nor an original has yet."""
    received = home.root / home.received
    taken = {path.stem for path in received.iterdir()} if received.is_dir() else set()
    for number in range(1, _MOST + 1):
        name = stem if number == 1 else f"{stem}-{number}"
        if name not in taken and not home.has_list(name):
            return name
    raise refuse(str(home.place), f"there are {_MOST} lists called {stem} already", "move old ones away")


def written(rows: Sequence[PriceRow], note: str) -> str:
    """A price list in the shop's own columns.

    Args:
        rows: of the list.
        note: where it is from; stands in its first line.
    """
    out = io.StringIO()
    out.write(f"# {note}\n")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(pricelists.COLUMNS)
    for row in rows:
        cells = (row.supplier, row.item, row.ingredient, row.pack, price(row.price), row.currency, row.date.isoformat())
        writer.writerow(cells)
    return out.getvalue()


def price(value: float) -> str:
    """Money as the price lists have it: a point, and two decimals at least.

    >>> price(58.8), price(0.01234), price(1e6)
    ('58.80', '0.01234', '1000000.00')
    """
    plain = format(Decimal(repr(round(value, 9))), "f").rstrip("0")
    whole, _, part = plain.partition(".")
    return f"{whole}.{part.ljust(2, '0')}"
