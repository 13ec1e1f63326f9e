"""Which nutrients of FoodData Central are which of ours, and what one unit of theirs is of ours.

Ids and numbers alone could be misread, so a nutrient is taken only if its number, its name and its unit fit the
table ``data/foods/fdc_nutrients.csv``. What does not fit is a problem in words, never a guess.

>>> found = identify("1093", "307", "Sodium, Na", "MG")
>>> found.key, found.interval(52.0)
('sodium', (52.0, 52.0, 52.0))
>>> identify("1110", "324", "Vitamin D (D2 + D3), International Units", "IU").interval(40.0)
(1.0, 1.0, 1.0)
>>> identify("1093", "307", "Sodium, Na", "cup")
Problem(what="nutrient 1093, sodium: 'cup' is no unit of it")
>>> identify("1404", "851", "PUFA 18:3 n-3 c,c,c (ALA)", "G") is None
True
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from nutrition import resources
from nutrition.nutrients import GRAMS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from nutrition.composition import Interval

UNITS = MappingProxyType(
    {
        **{"g": "g", "gram": "g", "grams": "g", "gm": "g", "grm": "g"},
        **{"mg": "mg", "milligram": "mg", "milligrams": "mg"},
        **{"ug": "mcg", "mcg": "mcg", "µg": "mcg", "μg": "mcg", "microgram": "mcg", "micrograms": "mcg"},
        **{"kcal": "kcal", "kj": "kj", "iu": "iu"},
    }
)
"""Units as the download, the web service and labels write them, in small letters."""

MOST = 1e7
"""No amount in 100 g of food is above this in the unit that we give it in: ten grams in micrograms."""


@dataclass(frozen=True, slots=True)
class Problem:
    """Why a nutrient cannot be read."""

    what: str


@dataclass(frozen=True, slots=True)
class Known:
    """A nutrient of FoodData Central that is one of ours.

    Args:
        id: FoodData Central's id of it.
        number: USDA's number of it.
        unit: the unit that USDA gives it in, as in :data:`UNITS`.
        key: our key.
        order: 1 for the best source of ours, 2 for the next.
        low: what one unit of theirs is of ours at least.
        factor: what it is, ``nan`` where nobody can say.
        high: what it is at most.
        words: why a value from it is an estimate, empty where it is none.
        name: words of which USDA's name must hold one, in small letters.
        without: words of which it may hold none.
    """

    id: str
    number: str
    unit: str
    key: str
    order: int
    low: float
    factor: float
    high: float
    words: str
    name: tuple[str, ...]
    without: tuple[str, ...]

    def interval(self, amount: float) -> Interval:
        """An amount of theirs as low, value and high of ours."""
        return amount * self.low, amount * self.factor, amount * self.high


@functools.cache
def table() -> tuple[Known, ...]:
    """All nutrients that can be read, in their units as USDA gives them."""
    return tuple(
        Known(
            id=row["id"],
            number=row["number"],
            unit=row["unit"],
            key=row["key"],
            order=int(row["order"]),
            low=float(row["low"]),
            factor=float(row["factor"]) if row["factor"] else math.nan,
            high=float(row["high"]),
            words=row["words"],
            name=tuple(row["name"].split("|")),
            without=tuple(part for part in row["without"].split("|") if part),
        )
        for row in resources.table("foods", "fdc_nutrients.csv")
    )


@functools.cache
def _by() -> tuple[Mapping[str, Known], Mapping[str, Known]]:
    return {one.id: one for one in table()}, {one.number: one for one in table()}


def identify(id_: str, number: str, name: str, unit: str) -> Known | Problem | None:
    """The nutrient that a source speaks of.

    Args:
        id_: FoodData Central's id; empty where the source gives none (abridged records of the web service).
        number: USDA's number; empty where the source gives none. One of both must be there.
        name: USDA's name.
        unit: the unit in any letter case.

    Returns:
        What it is of ours, with factors from the unit that was given; a problem where number, name or unit do not
        fit; None where it is none that we follow.
    """
    by_id, by_number = _by()
    id_, number = id_.strip(), _number(number)
    known = by_id.get(id_) if id_ else by_number.get(number)
    if known is None:
        return None
    called = f"nutrient {known.id}, {known.key.replace('_', ' ')}"
    if number and number != known.number:
        return Problem(f"{called}: its number is {known.number}, not {number}")
    plain = name.lower()
    if not any(word in plain for word in known.name) or any(word in plain for word in known.without):
        return Problem(f"{called}: the name '{name.strip()[:80]}' is not its name")
    given = UNITS.get(unit.strip().lower())
    if given is None:
        return Problem(f"{called}: '{unit.strip()[:20]}' is no unit of it")
    size = 1.0
    if given != known.unit:
        if given not in GRAMS or known.unit not in GRAMS:
            return Problem(f"{called}: '{unit.strip()[:20]}' is no unit of it")
        size = GRAMS[given] / GRAMS[known.unit]
    return known if size == 1.0 else _scaled(known, given, size)


def _number(text: str) -> str:
    """USDA's number as the table has it: 205.20 is 205.2, 208.0 is 208."""
    text = text.strip()
    return text.rstrip("0").rstrip(".") if "." in text else text


def _scaled(known: Known, unit: str, size: float) -> Known:
    return Known(
        known.id,
        known.number,
        unit,
        known.key,
        known.order,
        known.low * size,
        known.factor * size,
        known.high * size,
        known.words,
        known.name,
        known.without,
    )


def amounts(found: Iterable[tuple[Known, float]]) -> tuple[dict[str, float | Interval], dict[str, str], list[Problem]]:
    """What a food holds, from all that a source says of it.

    Args:
        found: nutrients with their amounts in 100 g, in the unit that :func:`identify` was told.

    Returns:
        Amounts in 100 g by our keys, from the best source of each; words for those that are estimates; and problems:
        amounts that are below zero or no numbers, and nutrients given twice with different amounts.

    >>> energy = identify("2047", "957", "Energy (Atwater General Factors)", "KCAL")
    >>> better = identify("1008", "208", "Energy", "KCAL")
    >>> amounts([(energy, 61.0), (better, 60.0)])
    ({'energy': 60.0}, {}, [])
    """
    given: dict[str, tuple[Known, float]] = {}
    torn: set[str] = set()
    problems: list[Problem] = []
    for known, amount in found:
        called = known.key.replace("_", " ")
        if not math.isfinite(amount) or amount < 0 or amount * known.high > MOST:
            problems.append(Problem(f"{called}: {amount:g} {known.unit} in 100 g is no amount"))
        elif given.setdefault(known.id, (known, amount)) != (known, amount):
            # Which of two is right nobody can say, so neither is taken.
            first = given[known.id]
            both = f"{first[1]:g} {first[0].unit} and {amount:g} {known.unit}"
            problems.append(Problem(f"{called} is given twice, {both}; neither is used"))
            torn.add(known.id)
    best: dict[str, tuple[Known, float]] = {}
    for id_, (known, amount) in given.items():
        if id_ not in torn and (known.key not in best or known.order < best[known.key][0].order):
            best[known.key] = (known, amount)
    made: dict[str, float | Interval] = {}
    words: dict[str, str] = {}
    for key, (known, amount) in best.items():
        low, value, high = known.interval(amount)
        made[key] = value if low == value == high else (low, value, high)
        if known.words:
            words[key] = known.words
    return made, words, problems
