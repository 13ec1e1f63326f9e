"""Figures and amounts as values: what :mod:`costing.units` makes of what a cook wrote.

>>> round(Figure(0.38, 0.46, "38 % to 46 %").mid, 9)
0.42
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal


@dataclass(frozen=True, slots=True, eq=False)
class Figure:
    """A number as written, or a measured range. Each one written is one of its own: equality is identity.

    Args:
        low: least value, in the base unit of its kind (g, mL, s, degrees C, or a share 0 to 1).
        high: greatest value; equal to ``low`` for a plain number.
        text: as the person wrote it.
    """

    low: float
    high: float
    text: str = ""

    @property
    def mid(self) -> float:
        """The middle, which gives the plain answer."""
        return (self.low + self.high) / 2

    @property
    def is_range(self) -> bool:
        """Whether it is a range."""
        return self.high != self.low


class Kind(StrEnum):
    """What an amount is measured in."""

    WEIGHT = "weight"
    """grams"""
    VOLUME = "volume"
    """millilitres, as a cook's measure: exact US or metric units"""
    COUNT = "count"
    """a count of a named thing; ``unit`` says of what (``each``, ``pinch``, ``leaf`` ...)"""
    SHARE = "share"
    """0 to 1 of a part, a thing or a pot"""
    ALL = "all"
    """what is left"""
    OF_POT = "of pot"
    """0 to 1 of the finished pot"""
    UP_TO = "up to"
    """grams that the pot weighs afterwards"""
    VOLUME_SHARE = "volume share"
    """0 to 1 of the volume at 20 degrees C"""
    BRIX = "brix"
    """grams of dissolved solids in 100 g"""


@dataclass(frozen=True, slots=True, eq=False)
class Amount:
    """An amount as a cook writes it.

    Args:
        kind: what it is measured in.
        figure: the number, in the base unit of the kind.
        unit: for a volume the unit as written (``cup``, ``qt``), for a count the counted thing; else empty.
    """

    kind: Kind
    figure: Figure
    unit: str = ""

    @property
    def text(self) -> str:
        """As the cook wrote it."""
        return self.figure.text


@dataclass(frozen=True, slots=True)
class Labour:
    """Time that a step takes of somebody.

    Args:
        time: seconds.
        per: ``batch``, ``run`` (of a machine) or ``container``.
    """

    time: Figure
    per: Literal["batch", "run", "container"] = "batch"


@dataclass(frozen=True, slots=True)
class SubIngredient:
    """What a bought ingredient is made of: one of its parts by its common name.

    Args:
        name: its common or usual name.
        share: its share of the ingredient, 0 to 1, None where nobody said.
    """

    name: str
    share: Figure | None = None
