"""The nutrients that creamery follows: key, name, unit, USDA number, INFOODS tagname.

The facts lie in ``data/nutrients.csv``. Vectors of nutrients anywhere in the project follow
the order of :func:`keys`.

>>> nutrient("sodium").unit
'mg'
>>> index("water")
1
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from nutrition import resources

if TYPE_CHECKING:
    from collections.abc import Mapping

GRAMS = MappingProxyType({"g": 1.0, "mg": 1e-3, "mcg": 1e-6})
"""Grams in one unit of weight of a nutrient."""


@dataclass(frozen=True, slots=True)
class Nutrient:
    """One nutrient.

    Args:
        key: our own key, as in the machine-readable answers.
        name: its name in English.
        unit: ``kcal``, ``g``, ``mg`` or ``mcg``.
        usda: USDA nutrient number, empty where there is none.
        fdc: FoodData Central nutrient id, empty where there is none.
        tag: INFOODS tagname.
        abbrev: column of the SR28 abbreviated file, empty where it has none.
        rides: the fraction of a food that carries it.
    """

    key: str
    name: str
    unit: str
    usda: str
    fdc: str
    tag: str
    abbrev: str
    rides: str


@functools.cache
def nutrients() -> tuple[Nutrient, ...]:
    """All nutrients, in the order of every nutrient vector."""
    return tuple(Nutrient(**row) for row in resources.table("nutrients.csv"))


@functools.cache
def keys() -> tuple[str, ...]:
    """The keys of all nutrients, in order.

    >>> keys()[:4]
    ('energy', 'water', 'ash', 'alcohol')
    """
    return tuple(n.key for n in nutrients())


@functools.cache
def _indices() -> Mapping[str, int]:
    return MappingProxyType({key: i for i, key in enumerate(keys())})


def index(key: str) -> int:
    """The place of a nutrient in every nutrient vector.

    Raises:
        KeyError: there is no such nutrient.
    """
    return _indices()[key]


def nutrient(key: str) -> Nutrient:
    """The nutrient of that key.

    Raises:
        KeyError: there is no such nutrient.
    """
    return nutrients()[index(key)]
