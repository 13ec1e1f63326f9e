"""A food record as it is pinned in a shop: readable text with every value to its last digit, and back.

Sources change: a later release has other values, a web service goes away. What a shop's labels were made from is
therefore kept in the shop, as entries with texts::

    id: usda:01053
    name: Cream, fluid, heavy whipping
    source: USDA SR28 (2015), NDB 01053
    release: Standard Reference, release 28 (2015)
    pinned: 2026-03-02
    values:
      total fat: 36.08 g
      trans fat: 1.457632 g (1.22672 g to 1.695760 g)
    estimated:
      trans fat: 0.0404 g in a gram of milkfat ...

What is not named is unknown. A value with its bounds in brackets is an interval; one of which only the bounds are
known is written ``unknown (0 g to 1.2 g)``.

>>> from nutrition.foods import table
>>> entries = texts(table.food("01053"), "2026-03-02")
>>> entries["values"]["total fat"], entries["group"]
('36.08 g', '0100')

They are read again by :mod:`nutrition.foods.pin_reading`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

import numpy as np

from nutrition.foods.record import FoodRecord
from nutrition.nutrients import keys, nutrient

KEYS: Final = (
    "id", "name", "source", "release", "published", "pinned", "group", "rounded", "values", "estimated", "measures",
    "refuse", "factors", "made of", "details",
)  # fmt: skip
LISTED: Final = ("values", "estimated", "measures", "factors", "made of", "details")
"""Entries with names and texts below them."""
LONGEST: Final = 4000
"""Characters of a text."""
UNKNOWN: Final = "unknown"
FACTORS: Final = ("protein", "fat", "carbohydrate")

_ID: Final = re.compile(r"usda:[0-9]{5}|fdc:[1-9][0-9]{0,9}")


@dataclass(frozen=True, slots=True)
class Pin:
    """A pinned record.

    Args:
        record: the food.
        pinned: the day it was pinned, as ISO writes it.
    """

    record: FoodRecord
    pinned: str


def may_be_pinned(food_id: str) -> bool:
    """Whether a food of that id is pinned: those of sources outside the shop are.

    >>> may_be_pinned("usda:01053"), may_be_pinned("spec:duck-skin"), may_be_pinned("water")
    (True, False, False)
    """
    return _ID.fullmatch(food_id) is not None


def file_name(food_id: str) -> str:
    """The short name of the file that a pin stands in.

    >>> file_name("usda:01053")
    'usda-01053'
    """
    return food_id.replace(":", "-")


def texts(food: FoodRecord, pinned: str) -> dict[str, Any]:
    """A record as texts, by entry.

    Args:
        food: the record, of a source outside the shop.
        pinned: the day, as ISO writes it.

    Returns:
        Texts, or texts by name; empty entries are left out.

    Raises:
        ValueError: a record of this kind is not pinned.
    """
    if not may_be_pinned(food.id):
        raise ValueError(f"{food.id} stands in the shop itself and is not pinned")
    composition = food.composition
    values = {}
    for key in keys():
        amount, (low, high) = composition.amount(key), composition.bounds(key)
        if amount is not None or key in food.estimated:
            values[name_of(key)] = _amount(low, amount, high, nutrient(key).unit)
    measures: dict[str, str] = {}
    for one in food.measures:
        # Of two measures of one name the first is the one that is used.
        measures.setdefault(_clean(one.text), f"{digits(one.grams)} g")
    found: dict[str, Any] = {
        "id": food.id,
        "name": _clean(food.name),
        "source": _clean(food.source),
        "release": _clean(food.release),
        "published": _clean(food.published),
        "pinned": pinned,
        "group": food.group,
        "rounded": "yes" if food.rounded else "",
        "values": values,
        "estimated": {name_of(key): _clean(words) for key, words in food.estimated.items()},
        "measures": measures,
        "refuse": "" if food.refuse is None else f"{_percent(food.refuse)} %",
        "factors": {key: digits(value) for key, value in food.factors.items()},
        "made of": {name: UNKNOWN if share is None else f"{_percent(share)} %" for name, share in food.made_of},
        "details": {_clean(name): _clean(words) for name, words in food.details.items()},
    }
    return {key: value for key, value in found.items() if value}


def digits(number: float) -> str:
    """A number in plain digits, all that are needed to get the same number back.

    >>> digits(36.08), digits(3.0), digits(1e-7), digits(0.1 + 0.2)
    ('36.08', '3', '0.0000001', '0.30000000000000004')
    """
    # Below a femtogram in 100 g there is nothing; such a number is what sums of binary fractions leave behind.
    return _plain(Decimal(repr(float(number)))) if number > 1e-15 else "0"


def _plain(number: Decimal) -> str:
    text = format(number, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _percent(share: float) -> str:
    return _plain(Decimal(repr(float(share))) * 100)


def _amount(low: float, amount: float | None, high: float, unit: str) -> str:
    if amount is not None and low == amount == high:
        return f"{digits(amount)} {unit}"
    value = "unknown" if amount is None else f"{digits(amount)} {unit}"
    return f"{value} ({digits(low)} {unit} to {digits(high)} {unit})"


def name_of(key: str) -> str:
    """A nutrient's key as it is written here."""
    return key.replace("_", " ")


def _clean(text: str) -> str:
    """A text of one line that any file can hold."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())[:LONGEST]


def same(one: FoodRecord, other: FoodRecord) -> bool:
    """Whether two records say the same of a food, to the last digit; where they come from does not matter.

    >>> from nutrition.foods.record import water
    >>> same(water(), water())
    True
    """

    def vectors(food: FoodRecord) -> Any:
        return food.composition.low, food.composition.value, food.composition.high

    def rest(food: FoodRecord) -> Any:
        return food.group, food.refuse, food.measures, food.made_of, dict(food.estimated)

    alike = (np.array_equal(a, b, equal_nan=True) for a, b in zip(vectors(one), vectors(other), strict=True))
    return rest(one) == rest(other) and all(alike)
