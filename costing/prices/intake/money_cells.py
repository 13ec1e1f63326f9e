"""Prices as suppliers write them: with marks of currency, signs for thousands, and a comma or a point for decimals.

A column is read by its *shapes*: each text with every digit replaced by a zero. A list of twenty thousand prices has
perhaps thirty shapes, and what a shape means is worked out once.

>>> read(["$ 1,234.50", "USD 12.30", "3.49/LB", "call"], "point", "USD").values
[1234.5, 12.3, 3.49, None]
>>> read(["1.234,50 €", "12,-"], "comma", "USD").values
[1234.5, 12.0]
"""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from typing import TYPE_CHECKING, Final, Literal

from costing.digits import UnreadableError
from costing.prices.intake.sheets import Cell, tidy
from costing.shop.pricelists import MOST_MONEY
from nutrition import resources

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Decimals = Literal["point", "comma", ""]

_ZEROS: Final = str.maketrans("123456789", "000000000")
_SHAPE: Final = re.compile(
    r"(?P<before>[^0]*?)(?P<number>[.,]?0(?:[0.,'\u2019 ]*0)?)(?P<dash>[.,] ?[-\u2013\u2014]+)?(?P<after>[^0]*)"
)
_TOKEN: Final = re.compile(r"[^\W\d_]*\$|[^\W\d_]+|[^\w\s]", re.UNICODE)
_GROUPED: Final = re.compile(r"0{1,3}(?:([.,'\u2019 ])000(?:(?:\1)000)*)?|0{1,2}(?:,00)+,000")
"""By thousands, or as in India: 12,34,567."""
_NOTES: Final = frozenset("*†‡.:~")
"""Signs beside a price that say nothing of it: marks of footnotes, the point of an abbreviation."""
_PER: Final = re.compile(r"(?:/|\bper\b|\bpro\b|\bpar\b|\bje\b|\ba\b)", re.IGNORECASE)
_DIGITS: Final = 7
"""A price of no more digits is surely not above the most money there can be."""
_LONGEST: Final = 60
"""Characters of a price; what is longer is none."""
_FEW: Final = 8
"""Cells of one shape, below which each is looked at for itself."""
_MOST_SHAPES: Final = 64
"""Shapes of a long column that are read at once."""
_PIECES: Final = frozenset({"", "cs", "case", "pack", "pk", "bag", "box", "ea", "each", "ct", "unit", "pc", "stk"})
"""What a price may be for without being a weight: the pack itself."""
WEIGHTS: Final = {
    "lb": "1 lb", "lbs": "1 lb", "pound": "1 lb", "pounds": "1 lb", "#": "1 lb", "kg": "1 kg", "kilo": "1 kg",
    "kgs": "1 kg", "oz": "1 oz", "100 g": "100 g", "g": "1 g", "cwt": "100 lb",
}  # fmt: skip
"""What is sold by weight, as a pack."""


@dataclass(frozen=True, slots=True)
class Shape:
    """What a shape means.

    Args:
        decimal: the sign before the decimals, empty where there is none.
        unclear: a single sign before three digits; it was taken for thousands or decimals as the list does elsewhere.
        start: characters before the number.
        end: characters after it.
        codes: currencies that its mark may stand for; empty without a mark.
        per: the pack that the price is for (``1 lb``), empty for the pack of the row.
    """

    decimal: str
    unclear: bool
    start: int
    end: int
    codes: tuple[str, ...]
    per: str


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
        found = _SHAPE.fullmatch(tidy(cell).translate(_ZEROS))
        if found is None:
            continue
        said = _decimal(found["number"])
        if said in (".", ","):
            votes["point" if said == "." else "comma"] += 1
        elif said == "?":
            votes["either"] += 1
    return votes


def _decimal(number: str) -> str:
    """The decimal sign that a number shows; empty without one, ``?`` where it could be thousands as well."""
    signs = [c for c in number if c in ".,"]
    if not signs:
        return ""
    last = signs[-1]
    after = len(number) - number.rfind(last) - 1
    if len(set(signs)) == 2:
        return last
    if len(signs) > 1:
        return {".": ",", ",": "."}[last] if after == 3 else "!"
    if after == 3 and re.fullmatch(r"0{1,3}", number[: number.rfind(last)]):
        return "?"
    return last


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
    alike = _alike(joined, len(cells))
    if alike is None:
        return every
    import numpy as np

    money = np.zeros(len(cells))
    codes = np.zeros(len(cells), np.intp)
    known = [""]
    for rows, written, digits in alike:
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
        code = _code(shape.codes, home)
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


def _alike(joined: str, count: int) -> list[tuple[NDArray[np.intp], str, NDArray[np.int64]]] | None:
    """The cells of a column that look alike, together; None where a cell has a line end.

    Cells of one length are laid below each other. Where a place holds digits in all of them, or the same sign in all of
    them, it belongs to one shape, and the digits are put together place by place; where signs differ there, the cells
    are parted by them.

    Args:
        joined: the cells, one a line.
        count: how many there are.

    Returns:
        For each shape that many cells have: which cells; the shape in zeros and signs; their digits as a whole number.
    """
    import numpy as np

    letters = np.frombuffer(joined.encode("utf-8", "surrogatepass"), np.uint8)
    ends = np.append(np.flatnonzero(letters == ord("\n")), len(letters))
    if len(ends) != count:
        return None
    starts = np.concatenate(([0], ends[:-1] + 1))
    lengths = ends - starts
    few = max(_FEW, count // _MOST_SHAPES)
    # Cells of which so many places are known to be alike: which, their length, places, shape and digits so far.
    open_ones: list[tuple[NDArray[np.intp], int, int, bytes, NDArray[np.int64]]] = []
    for length in np.unique(lengths[(lengths > 0) & (lengths <= _LONGEST)]).tolist():
        rows = np.flatnonzero(lengths == length)
        open_ones.append((rows, length, 0, b"", np.zeros(len(rows), np.int64)))
    found = []
    while open_ones:
        rows, length, place, shape, number = open_ones.pop()
        if len(rows) < few:
            continue
        at = starts[rows] + place
        while place < length:
            letter = letters[at]
            digit = letter - np.uint8(ord("0"))  # of what is no digit, more than 9
            if digit.max() <= 9:
                number = 10 * number + digit
                shape += b"0"
            elif letter.min() == letter.max():
                shape += letter[:1].tobytes()
            else:
                break
            place, at = place + 1, at + 1
        if place == length:
            found.append((rows, shape.decode("utf-8", "replace"), number))
            continue
        kind = np.where(digit <= 9, np.uint8(ord("0")), letter)
        for one in np.flatnonzero(np.bincount(kind)).tolist():
            those = kind == one
            open_ones.append((rows[those], length, place, shape, number[those]))
    return found


def _meant(written: str, decimals: Decimals) -> Shape | None:
    """What the shape of many cells means; None where each should be looked at for itself."""
    if written.count("0") > _DIGITS or tidy(written) != written:
        return None
    try:
        return _shape(written, decimals)
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
    shape = _shape(written.translate(_ZEROS), decimals) if len(written) <= _LONGEST and written.isprintable() else None
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
    return _sensible(float(plain), shown), _code(shape.codes, home), shape.per


def _sensible(value: float, shown: str) -> float:
    if not math.isfinite(value) or value > MOST_MONEY:
        raise UnreadableError(f"the price {shown} is absurd", "check the number")
    if value < 0:
        raise UnreadableError(f"the price {shown} is below zero", "a credit is no price; take the row out")
    if value == 0:
        raise UnreadableError("the price is 0", "ask the supplier; the last price known goes on counting")
    return value


@functools.lru_cache(maxsize=4096)
def _shape(written: str, decimals: str) -> Shape | None:
    """What a shape means; None where it is no price.

    Raises:
        UnreadableError: it is a number below zero.
    """
    found = _SHAPE.fullmatch(written)
    if found is None:
        return None
    before, number, after = found["before"].strip(), found["number"], found["after"].strip()
    start = found.start("number")
    if number[0] in ".," and before[-1:].isalpha():
        number, start = number[1:], start + 1  # "Fr.12"
    if before.startswith(("-", "\u2212", "(")) or before.endswith(("-", "\u2212")) or after.startswith("-"):
        raise UnreadableError("the price is below zero", "a credit is no price; take the row out")
    said = _decimal(number)
    unclear = said == "?"
    sign = next((c for c in number if c in ".,"), "")
    if unclear:
        said = sign if decimals == ("comma" if sign == "," else "point") else ""
    if said == "!":
        return None
    if said and number.count(said) > 1:
        said = ""
    whole, _, part = number.partition(said) if said and said in number else (number, "", "")
    if (whole and not (_GROUPED.fullmatch(whole) or whole.isdigit())) or (part and not part.isdigit()):
        return None
    marks, _, unit = _parted(after)
    codes = _codes(f"{before} {marks}")
    per = _per(unit)
    if codes is None or per is None:
        return None
    decimal = said if said in number else ""
    return Shape(decimal, unclear, start, len(written) - start - len(number), codes, per)


def _parted(after: str) -> tuple[str, str, str]:
    """Currency, and what the price is for, of what stands behind the number."""
    found = _PER.search(after)
    if found:
        return after[: found.start()], found[0], after[found.end() :]
    if after.strip(" .").casefold() in WEIGHTS:
        return "", "", after
    return after, "", ""


def _per(unit: str) -> str | None:
    plain = unit.strip(" .").casefold()
    if plain in _PIECES:
        return ""
    return WEIGHTS.get(plain)


@functools.cache
def _marks() -> Mapping[str, tuple[str, ...]]:
    return {row["mark"]: tuple(row["codes"].split()) for row in resources.table("prices", "currency_marks.csv")}


@functools.lru_cache(maxsize=1024)
def _codes(marks: str) -> tuple[str, ...] | None:
    """The currencies that marks may stand for; None where something else stands there, or two that differ."""
    found: tuple[str, ...] | None = None
    for token in _TOKEN.findall(marks.replace("\u200f", "").replace("\u200e", "")):
        if token in _NOTES:
            continue
        codes = _marks().get(token.casefold()) or _iso(token)
        if codes is None:
            return None
        both = codes if found is None else tuple(c for c in found if c in codes)
        if not both:
            return None
        found = both
    return found or ()


def _iso(token: str) -> tuple[str, ...] | None:
    from costing import money

    code = token.upper()
    return (code,) if len(code) == 3 and code.isascii() and code.isalpha() and money.known(code) else None


def currency(written: str, home: str) -> str:
    """The currency that a cell names; empty where it names none.

    >>> currency("eur", "USD"), currency("$", "CAD"), currency("each", "USD")
    ('EUR', 'CAD', '')
    """
    return _code(_codes(tidy(written)) or (), home) if len(written) <= 20 else ""


def _code(codes: tuple[str, ...], home: str) -> str:
    return "" if not codes else home if home in codes else codes[0]
