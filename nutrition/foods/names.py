"""Which rows of a data table are meant for a food, by its USDA group and its name.

>>> fits = Pattern.of({"groups": "0100", "starts": "Milk,", "has": "", "without": "chocolate"})
>>> fits("milk, whole", "0100"), fits("milk, chocolate, fluid", "0100"), fits("milk, whole", "1900")
(True, False, False)
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True)
class Pattern:
    """What a food must be like.

    Args:
        groups: USDA food group codes, any if empty.
        starts: beginnings of the name, in small letters, any if empty.
        has: parts of which the name must hold one, any if empty.
        without: whole words of which the name may hold none, plural or not, each between blanks.
    """

    groups: frozenset[str]
    starts: tuple[str, ...]
    has: tuple[str, ...]
    without: tuple[str, ...]

    @classmethod
    def of(cls, row: Mapping[str, str]) -> Pattern:
        """The pattern of a table row with the columns groups, starts, has and without, each split at ``|``."""
        without = _parts(row["without"])
        return cls(
            frozenset(_parts(row["groups"])),
            _parts(row["starts"]),
            _parts(row["has"]),
            tuple(f" {_plain(part)}{ending} " for part in without for ending in ("", "s")),
        )

    def __call__(self, name: str, group: str) -> bool:
        """Whether a food of that name (in small letters) and group fits."""
        return (
            (not self.groups or group in self.groups)
            and (not self.starts or name.startswith(self.starts))
            and (not self.has or any(part in name for part in self.has))
            and not (self.without and any(part in _words(name) for part in self.without))
        )


def _plain(text: str) -> str:
    return re.sub(r"[^a-z0-9%]+", " ", text).strip()


@functools.lru_cache(maxsize=64)
def _words(name: str) -> str:
    """The words of a name, a blank on both sides of each."""
    return f" {_plain(name)} "


def _parts(cell: str) -> tuple[str, ...]:
    return tuple(part.lower() for part in cell.split("|") if part.strip())
