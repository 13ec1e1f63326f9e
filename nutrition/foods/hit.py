"""A food that a search found.

>>> Hit("usda:01053", "Cream, fluid, heavy whipping", "USDA SR28 (2015), NDB 01053").id
'usda:01053'
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Hit:
    """A food that was found.

    Args:
        id: for the shop's ``food:`` key.
        name: the source's name.
        source: source and number.
        note: why it is only the nearest to what was asked for; empty where it is the thing itself.
    """

    id: str
    name: str
    source: str
    note: str = ""
