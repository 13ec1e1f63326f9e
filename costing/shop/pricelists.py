"""Reads price lists: CSV files with one row for each thing that a supplier sells, and what is wrong with their rows.

A list is taken as it came: nothing is changed in it, lines before the head that begin with ``#`` are notes.
"""

from __future__ import annotations

import math
import re
from datetime import date
from typing import TYPE_CHECKING, Final

from costing.digits import UnreadableError, clean, number
from costing.shop import csv_lists
from costing.shop.models import PriceRow

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from costing.shop.csv_lists import CsvList, Lists
    from costing.shop.sources import Report

LARGEST: Final = 20_000_000
"""Bytes of one price list."""
COLUMNS: Final = ("supplier", "item", "ingredient", "pack", "price", "currency", "date")
KIND: Final = csv_lists.Kind(
    "prices",
    COLUMNS,
    LARGEST,
    blank=frozenset(("ingredient",)),  # a row for something that the shop does not use
    fill_in="fill it in, or take the row out of a list of your own",
)
MOST_TOLD: Final = csv_lists.MOST_TOLD
EARLIEST: Final = date(1990, 1, 1)
MOST_MONEY: Final = 1e7

_CURRENCY: Final = re.compile(r"[A-Z]{3}")


def rows(place: Path | Lists, report: Report) -> tuple[PriceRow, ...]:
    """The rows of every price list of a shop.

    Args:
        place: the shop folder, or what else holds the lists.
        report: takes what is wrong, by file and line.

    Returns:
        All rows that could be read, list by list.
    """
    return csv_lists.rows(place, KIND, report, _row)


def _row(cell: Mapping[str, str], line: int, one: CsvList) -> PriceRow | None:
    price = one.parsed(line, _price, cell["price"], "price")
    day = one.parsed(line, iso_day, cell["date"], "date")
    currency = cell["currency"].upper()
    if currency and not _CURRENCY.fullmatch(currency):
        one.add(line, f"'{cell['currency']}' is not a currency", "write its three letters, such as USD", "currency")
    if price is None or day is None:
        return None
    # Every field has been checked; a long list is read three times faster without doing it again.
    return PriceRow.model_construct(
        where=one.where(line),
        supplier=cell["supplier"],
        item=cell["item"],
        ingredient=cell["ingredient"],
        pack=cell["pack"],
        price=price,
        currency=currency,
        date=day,
    )


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
