"""The measures and words of the whole label, read from ``data/law/us/whole_label*.csv``.

>>> measure("bottom_share"), words("ingredients")
(0.3, 'Ingredients:')
"""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING

from nutrition.law.us.tables import rows
from nutrition.panel.drawing import POINTS_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Mapping


@functools.cache
def _values() -> Mapping[str, tuple[float, str]]:
    return {row["key"]: (float(row["value"]), row["unit"]) for row in rows("whole_label.csv")}


def measure(key: str) -> float:
    """A measure in the unit of its row.

    Raises:
        KeyError: there is no such row.
    """
    return _values()[key][0]


def points(key: str) -> float:
    """A length in pt.

    >>> points("bleed")
    9.0
    """
    value, unit = _values()[key]
    return value * POINTS_PER_INCH if unit == "in" else value


@functools.cache
def _words() -> Mapping[str, str]:
    return {row["key"]: row["words"] for row in rows("whole_label_words.csv")}


def words(key: str) -> str:
    """Words that no recipe changes."""
    return _words()[key]
