"""The measures of the panel, its forms and the order of its lines, read from ``data/law/us/panel*.csv``.

21 CFR 101.9(d), (e), (j)(13); each figure's paragraph and source stand beside it in the tables.

>>> Look().size("calories_figure"), Look("small").size("calories_figure"), line("added_sugars").indent
(22.0, 14.0, 2)
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from nutrition import resources

if TYPE_CHECKING:
    from collections.abc import Mapping

_NEXT = {"tiny": "small", "small": "tabular", "tabular": ""}


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


@dataclass(frozen=True, slots=True)
class FormRule:
    """What the law says of one form of the panel; see ``panel_forms.csv``.

    Args:
        key: its name.
        words: what it looks like.
        columns: of amounts, 1 or 2.
        when: ``standard``, ``beside``, ``low``, ``small`` or ``last``.
        sizes: the rows of ``panel.csv`` that it is set by.
        rule: the paragraph.
    """

    key: str
    words: str
    columns: int
    when: str
    sizes: str
    rule: str


@dataclass(frozen=True, slots=True)
class Look:
    """The measures that one panel is drawn with.

    Args:
        sizes: rows of ``panel.csv``: empty, ``tabular``, ``small`` or ``tiny``.
        tight: what is freely chosen is chosen small; never below what the law wants.
    """

    sizes: str = ""
    tight: bool = False

    def size(self, key: str) -> float:
        """Type size of a part of the panel, pt.

        Raises:
            KeyError: there is no such part.
        """
        return _measure("type", key, self.sizes, self.tight)

    def bar(self, key: str) -> float:
        """Thickness of a bar, a hairline or the box, pt."""
        return _measure("bar", key, self.sizes, self.tight)

    def leading(self, key: str) -> float:
        """Space between two lines of text, pt: ``nutrient`` or ``other``."""
        return _measure("leading", key, self.sizes, self.tight)

    def space(self, key: str) -> float:
        """A space of the layout, pt."""
        return _measure("space", key, self.sizes, self.tight)

    @property
    def margin(self) -> float:
        """From the outer edge of the box to the texts, pt."""
        return self.space("margin") + self.bar("box")

    @property
    def is_small(self) -> bool:
        """It is one of the forms for small packages, which may abbreviate."""
        return self.sizes in {"small", "tiny"}


@functools.cache
def _used() -> Mapping[tuple[str, str, str], tuple[float, float]]:
    """Measures where there is room and where there is not, by kind, key and form."""
    rows = resources.table("law", "us", "panel.csv")
    return MappingProxyType(
        {
            (row["kind"], row["key"], row["form"]): (float(row["used"]), float(row["tight"] or row["used"]))
            for row in rows
            if row["used"]
        }
    )


@functools.cache
def _measure(kind: str, key: str, sizes: str, tight: bool) -> float:
    while sizes and (kind, key, sizes) not in _used():
        sizes = _NEXT[sizes]
    return _used()[kind, key, sizes][tight]


def width(key: str) -> float:
    """Usual width of a form, inches; ``greatest`` is where every form ends."""
    return _measure("width", key, "", False)


def height(key: str) -> float:
    """``greatest``: the greatest height that may be asked for, inches."""
    return _measure("height", key, "", False)


@functools.cache
def area(key: str) -> tuple[float, str]:
    """An area (square inches) or height (inches) of ``panel_areas.csv``, and its paragraph."""
    row = next(row for row in resources.table("law", "us", "panel_areas.csv") if row["key"] == key)
    return float(row["value"]), row["rule"]


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
def forms() -> tuple[FormRule, ...]:
    """Every form of the panel, in the order in which they are tried."""
    return tuple(
        FormRule(row["key"], row["words"], int(row["columns"]), row["when"], row["sizes"], row["rule"])
        for row in resources.table("law", "us", "panel_forms.csv")
    )


@functools.cache
def abbreviations(where: str) -> Mapping[str, str]:
    """Short names by nutrient key: those of ``dual`` columns, or all of them for ``small`` packages."""
    rows = resources.table("law", "us", "panel_abbreviations.csv")
    return MappingProxyType({row["key"]: row["short"] for row in rows if where in {"small", row["where"]}})


@functools.cache
def _by_key() -> Mapping[str, Line]:
    return MappingProxyType({line.key: line for line in lines()})


def line(key: str) -> Line:
    """The line of a nutrient.

    Raises:
        KeyError: no panel has a line for it.
    """
    return _by_key()[key]
