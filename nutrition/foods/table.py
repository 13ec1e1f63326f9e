"""The embedded food table: every food of USDA's Standard Reference, release 28.

The table is sorted by NDB number and each food is one line, so a few look-ups never read it all.
What USDA did not measure is unknown here too, apart from the estimates of
:mod:`nutrition.foods.estimates`, each marked as one.

>>> food("1053").name
'Cream, fluid, heavy whipping'
>>> food("01053").composition.amount("total_fat")
36.08
>>> round(food("01053").composition.bounds("trans_fat")[0], 2) > 0
True

Source: see ``data/foods/SOURCE.md``.
"""

from __future__ import annotations

import csv
import functools
import re
from types import MappingProxyType
from typing import TYPE_CHECKING

from nutrition import resources
from nutrition.composition import Composition
from nutrition.foods import estimates
from nutrition.foods.record import FoodRecord, Measure
from nutrition.nutrients import keys

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

SOURCE = "USDA SR28 (2015)"
RELEASE = "Standard Reference, release 28 (2015)"
FACTORS = {"protein": "protein_factor", "fat": "fat_factor", "carbohydrate": "carbohydrate_factor"}
NEAREST = 3


@functools.cache
def _bytes() -> bytes:
    return resources.data("foods", "sr28.csv").read_bytes()


@functools.cache
def _columns() -> tuple[str, ...]:
    """The heads of the table: its first line that is no note."""
    raw = _bytes()
    start = 0
    while raw.startswith(b"#", start):
        start = raw.index(b"\n", start) + 1
    return tuple(raw[start : raw.index(b"\n", start)].decode("ascii").split(","))


@functools.cache
def _measured() -> tuple[str, ...]:
    return tuple(key for key in keys() if key in _columns())


def normal(ndb: str) -> str:
    """An NDB number in its usual form of five digits.

    Raises:
        KeyError: it is no number of one to five digits.

    >>> normal(" 1053 ")
    '01053'
    """
    text = ndb.strip()
    if not re.fullmatch(r"[0-9]{1,5}", text):
        raise KeyError(f"'{ndb}' is no NDB number: five digits were expected, such as 01053")
    return text.zfill(5)


@functools.lru_cache(maxsize=4096)
def food(ndb: str) -> FoodRecord:
    """One food by its NDB number.

    Args:
        ndb: the number; leading zeros may be missing.

    Returns:
        Its record, for 100 g of the edible part, estimates marked.

    Raises:
        KeyError: there is no such food; the text names the nearest numbers.

    >>> food("09326").name
    'Watermelon, raw'
    >>> food("01054321")
    Traceback (most recent call last):
        ...
    KeyError: "'01054321' is no NDB number: five digits were expected, such as 01053"
    """
    number = normal(ndb)
    line = _line(number)
    if line is None:
        near = "; ".join(f"{n} {name}" for n, name in _nearest(number))
        mend = f"the nearest numbers are {near}; look by name with `creamery foods search WORDS`"
        raise KeyError(f"there is no food {number} in USDA SR28; {mend}")
    return _record(next(csv.reader([line])))


def foods() -> Iterator[FoodRecord]:
    """All foods in order of their NDB numbers.

    >>> next(foods()).id
    'usda:01001'
    """
    for row in raw_rows():
        yield _record(row)


def raw_rows() -> Iterator[list[str]]:
    """The table's rows as text, head and notes left out."""
    lines = (line for line in _bytes().decode("utf-8").splitlines() if not line.startswith("#"))
    rows = csv.reader(lines)
    next(rows)
    yield from rows


def _line(number: str) -> str | None:
    """The line of a food, found by halving: the table is sorted by number."""
    raw, wanted = _bytes(), number.encode("ascii")
    low, high = _start(), len(raw)
    while low < high:
        begin = raw.rfind(b"\n", low, (low + high) // 2) + 1 or low
        end = raw.find(b"\n", begin)
        end = len(raw) if end < 0 else end
        here = raw[begin : begin + len(wanted) + 1]
        if here == wanted + b",":
            return raw[begin:end].decode("utf-8")
        if here < wanted + b",":
            low = end + 1
        else:
            high = begin
    return None


@functools.cache
def _start() -> int:
    """Where the first food stands: behind the notes and the heads."""
    raw = _bytes()
    start = 0
    while raw.startswith(b"#", start):
        start = raw.index(b"\n", start) + 1
    return raw.index(b"\n", start) + 1


def _nearest(number: str) -> list[tuple[str, str]]:
    wanted = int(number)
    rows = sorted(raw_rows(), key=lambda row: (abs(int(row[0]) - wanted), row[0]))[:NEAREST]
    return [(row[0], row[1]) for row in sorted(rows)]


def _record(row: list[str]) -> FoodRecord:
    cell: Mapping[str, str] = dict(zip(_columns(), row, strict=True))
    known = {key: float(cell[key]) for key in _measured() if cell[key]}
    name, group = cell["name"], cell["group"]
    filled, words = estimates.fill(known, name=name, group=group)
    return FoodRecord(
        id=f"usda:{cell['ndb']}",
        name=name,
        source=f"{SOURCE}, NDB {cell['ndb']}",
        composition=Composition.of(100.0, filled),
        group=group,
        measures=tuple(
            Measure(re.sub(r"\s+", " ", cell[f"measure_{i}"]), float(cell[f"measure_{i}_g"]))
            for i in (1, 2)
            if cell[f"measure_{i}"] and cell[f"measure_{i}_g"]
        ),
        refuse=float(cell["refuse_pct"]) / 100 if cell["refuse_pct"] else None,
        estimated=words,
        factors=MappingProxyType({key: float(cell[column]) for key, column in FACTORS.items() if cell[column]}),
        release=RELEASE,
    )
