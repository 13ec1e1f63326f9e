"""Prices as suppliers write them: with marks of currency, signs for thousands, and a comma or a point for decimals.

A column is read by its *shapes*: each text with every digit replaced by a zero. A list of twenty thousand prices has
perhaps thirty shapes, and what a shape means is worked out once.

>>> read(["$ 1,234.50", "USD 12.30", "3.49/LB", "call"], "point", "USD").values
[1234.5, 12.3, 3.49, None]
>>> read(["1.234,50 €", "12,-"], "comma", "USD").values
[1234.5, 12.0]
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from typing import TYPE_CHECKING, Final

from costing.digits import UnreadableError
from costing.prices.intake import alike, price_shapes
from costing.prices.intake.sheets import Cell, tidy
from costing.shop.pricelists import MOST_MONEY

if TYPE_CHECKING:
    from costing.prices.intake.price_shapes import Decimals

_DIGITS: Final = 7
"""A price of no more digits is surely not above the most money there can be."""


_FOR_MANY: Final = re.compile(
    r"(?P<price>.{1,40}?)\s*(?:/|\b(?:per|je|pro|par))\s*(?P<many>100|1000)\s*(?P<of>[^\W\d_]{1,6})?\.?", re.IGNORECASE
)
"""A price for a hundred or a thousand."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column of prices, read.

    Args:
        values: money, None where there is none.
        currencies: ISO code by row; empty where the cell does not say.
        per: pack that the price is for, by row; only rows that say.
        problems: what is wrong, by row.
        whole: whether every row is known to have a price.
    """

    values: list[float | None]
    currencies: list[str]
    per: Mapping[int, str]
    problems: Mapping[int, UnreadableError]
    whole: bool = False


def style(cells: Sequence[Cell]) -> Mapping[str, int]:
    """How many cells show that decimals are set off by a point, by a comma, and how many could be either.

    >>> sorted(style(["1,234.50", "9,95", "1,000", 3.5]).items())
    [('comma', 1), ('either', 1), ('point', 1)]
    """
    votes = {"point": 0, "comma": 0, "either": 0}
    for cell in cells:
        if not isinstance(cell, str):
            continue
        said = price_shapes.decimal_shown(tidy(cell))
        if said in (".", ","):
            votes["point" if said == "." else "comma"] += 1
        elif said == "?":
            votes["either"] += 1
    return votes


def read(cells: Sequence[Cell], decimals: Decimals, home: str) -> Column:
    """A column of prices.

    Args:
        cells: the column.
        decimals: the sign before decimals on this list, where a cell does not show it.
        home: the shop's currency, which decides what a bare ``$`` is.

    Returns:
        Values, currencies, and what could not be read.
    """
    values: list[float | None] = [None] * len(cells)
    currencies = [""] * len(cells)
    per: dict[int, str] = {}
    problems: dict[int, UnreadableError] = {}
    left = _by_shapes(cells, decimals, home, values, currencies, per)
    for at in left:
        try:
            value, currency, unit = _one(cells[at], decimals, home)
        except UnreadableError as refused:
            problems[at] = refused
            continue
        values[at], currencies[at] = value, currency
        if unit:
            per[at] = unit
    return Column(values, currencies, per, problems, whole=not left)


def _by_shapes(
    cells: Sequence[Cell],
    decimals: Decimals,
    home: str,
    values: list[float | None],
    currencies: list[str],
    per: dict[int, str],
) -> Sequence[int]:
    """Read the cells of which many have the same shape, all of a shape at once.

    Args:
        cells: the column.
        decimals: as for :func:`read`.
        home: the shop's currency.
        values: takes the money of those that were read.
        currencies: takes their currencies.
        per: takes the packs that they are for.

    Returns:
        The places of the others, each to be looked at for itself.
    """
    every = range(len(cells))
    try:
        joined = "\n".join(cells)  # type: ignore[arg-type]  # a cell that is no text ends the attempt
    except TypeError:
        return every
    together = alike.alike(joined, len(cells))
    if together is None:
        return every
    import numpy as np

    money = np.zeros(len(cells))
    codes = np.zeros(len(cells), np.intp)
    known = [""]
    for rows, written, digits in together:
        shape = _meant(written, decimals)
        if shape is None or (shape.unclear and not decimals):
            continue
        number = written[shape.start : len(written) - shape.end]
        after = number.rpartition(shape.decimal)[2].count("0") if shape.decimal else 0
        those, worth = rows, digits
        if shape.unclear:
            # Nobody writes thousands that begin with a zero; such a cell is looked at for itself.
            whole = digits >= 10 ** (written.count("0") - 1)
            those, worth = rows[whole], digits[whole]
        # Both are whole numbers that a float holds, so that the quotient is the float nearest to what is written.
        money[those] = worth / 10**after
        code = price_shapes.code(shape.codes, home)
        if code not in known:
            known.append(code)
        codes[those] = known.index(code)
        if shape.per:
            per |= dict.fromkeys(those[worth > 0].tolist(), shape.per)
    read = money > 0
    left: list[int] = np.flatnonzero(~read).tolist()
    codes[left] = 0
    values[:] = money.tolist()
    currencies[:] = (
        [known[codes[0]]] * len(cells) if codes.min() == codes.max() else map(known.__getitem__, codes.tolist())
    )
    for at in left:
        values[at] = None
    return left


def _meant(written: str, decimals: Decimals) -> price_shapes.Shape | None:
    """What the shape of many cells means; None where each should be looked at for itself."""
    if written.count("0") > _DIGITS or tidy(written) != written:
        return None
    try:
        return price_shapes.shape(written, decimals)
    except UnreadableError:
        return None


def _one(cell: Cell, decimals: Decimals, home: str) -> tuple[float | None, str, str]:
    if cell is None or cell == "":
        return None, "", ""
    if isinstance(cell, bool):
        raise UnreadableError("the price is 'yes' or 'no'", "write what it costs")
    if isinstance(cell, (date, time, timedelta)):
        raise UnreadableError(
            "the price is a date or a time; a spreadsheet makes dates out of numbers such as 12.30",
            "set the cell to a number and write the price again",
        )
    if isinstance(cell, (int, float)):
        return _sensible(float(cell), str(cell)), "", ""
    written = tidy(cell)
    if not written:
        return None, "", ""
    if written.startswith("#") and written.rstrip("!?").isupper():
        raise UnreadableError(f"the price is the error {written[:20]}", "ask the supplier for the value")
    shown = written if len(written) <= 40 else f"{written[:40]}…"
    many = _FOR_MANY.fullmatch(written)
    if many:
        value, currency, _ = _one(many["price"], decimals, home)
        return value, currency, f"{many['many']} {many['of'] or 'ct'}"
    readable = len(written) <= price_shapes.LONGEST and written.isprintable()
    shape = price_shapes.shape(price_shapes.of(written), decimals) if readable else None
    if shape is None:
        raise UnreadableError(f"'{shown}' is no price", "ask the supplier; the last price known goes on counting")
    number = written[shape.start : len(written) - shape.end]
    decimal = shape.decimal
    if shape.unclear and number.startswith("0"):
        decimal = number[1]  # nobody writes thousands that begin with a zero
    elif shape.unclear and not decimals:
        raise UnreadableError(
            f"'{shown}' can be read in two ways", "say 'decimals: point' or 'decimals: comma' in the supplier's mapping"
        )
    plain = "".join("." if c == decimal else c for c in number if c.isdigit() or c == decimal)
    return _sensible(float(plain), shown), price_shapes.code(shape.codes, home), shape.per


def _sensible(value: float, shown: str) -> float:
    if not math.isfinite(value) or value > MOST_MONEY:
        raise UnreadableError(f"the price {shown} is absurd", "check the number")
    if value < 0:
        raise UnreadableError(f"the price {shown} is below zero", "a credit is no price; take the row out")
    if value == 0:
        raise UnreadableError("the price is 0", "ask the supplier; the last price known goes on counting")
    return value
