"""Which rows of a data table are meant for a food, by its USDA group and its name.

>>> fits = Pattern.of({"groups": "0100", "starts": "Milk,", "has": "", "without": "chocolate"})
>>> fits("milk, whole", "0100"), fits("milk, chocolate, fluid", "0100"), fits("milk, whole", "1900")
(True, False, False)
"""

from __future__ import annotations

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
        without: whole words of which the name may hold none, plural or not; None if all may be.
    """

    groups: frozenset[str]
    starts: tuple[str, ...]
    has: tuple[str, ...]
    without: re.Pattern[str] | None

    @classmethod
    def of(cls, row: Mapping[str, str]) -> Pattern:
        """The pattern of a table row with the columns groups, starts, has and without, each split at ``|``."""
        without = _parts(row["without"])
        return cls(
            frozenset(_parts(row["groups"])),
            _parts(row["starts"]),
            _parts(row["has"]),
            re.compile(rf"\b(?:{'|'.join(map(re.escape, without))})s?\b") if without else None,
        )

    def __call__(self, name: str, group: str) -> bool:
        """Whether a food of that name (in small letters) and group fits."""
        return (
            (not self.groups or group in self.groups)
            and (not self.starts or name.startswith(self.starts))
            and (not self.has or any(part in name for part in self.has))
            and (self.without is None or self.without.search(name) is None)
        )


def _parts(cell: str) -> tuple[str, ...]:
    return tuple(part.lower() for part in cell.split("|") if part.strip())
