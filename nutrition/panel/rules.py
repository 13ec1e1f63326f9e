"""The measures of the panel and the order of its lines, read from ``data/law/us/panel*.csv``.

21 CFR 101.9(d), (e); each figure's paragraph and source stand beside it in the tables.

>>> size("calories_figure"), bar("thick"), line("added_sugars").indent
(22.0, 7.0, 2)
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from nutrition import resources

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True)
class Line:
    """Where a nutrient stands on the panel.

    Args:
        key: nutrient key.
        group: ``calories``, ``nutrient`` or ``vitamin``.
        indent: how many steps it stands in from the left edge.
        required: every full panel has it.
        daily_value: ``yes``, ``no`` or ``may``: whether a per cent of daily value stands beside it.
        rule: the paragraph.
    """

    key: str
    group: str
    indent: int
    required: bool
    daily_value: str
    rule: str


@functools.cache
def _used() -> Mapping[tuple[str, str], float]:
    rows = resources.table("law", "us", "panel.csv")
    return MappingProxyType({(row["kind"], row["key"]): float(row["used"]) for row in rows if row["used"]})


def size(key: str) -> float:
    """Type size that a part of the panel is set in, pt.

    Raises:
        KeyError: there is no such part.
    """
    return _used()["type", key]


def bar(key: str) -> float:
    """Thickness of a bar, a hairline or the box, pt."""
    return _used()["bar", key]


def leading(key: str) -> float:
    """Space between two lines of text, pt: ``nutrient`` or ``other``."""
    return _used()["leading", key]


def space(key: str) -> float:
    """A space of the layout, pt."""
    return _used()["space", key]


def width(key: str) -> float:
    """Usual width of a form, inches; ``greatest`` is where every form ends."""
    return _used()["width", key]


@functools.cache
def _words() -> Mapping[str, str]:
    return MappingProxyType({row["key"]: row["words"] for row in resources.table("law", "us", "panel_words.csv")})


def words(key: str) -> str:
    """Words that the law prescribes.

    >>> words("daily_value")
    '% Daily Value*'
    """
    return _words()[key]


@functools.cache
def lines() -> tuple[Line, ...]:
    """Every line that a panel may have, from top to bottom."""
    return tuple(
        Line(row["key"], row["group"], int(row["indent"]), row["required"] == "yes", row["daily_value"], row["rule"])
        for row in resources.table("law", "us", "panel_lines.csv")
    )


@functools.cache
def _by_key() -> Mapping[str, Line]:
    return MappingProxyType({line.key: line for line in lines()})


def line(key: str) -> Line:
    """The line of a nutrient.

    Raises:
        KeyError: no panel has a line for it.
    """
    return _by_key()[key]
