"""In what two records of one food differ, for people to read.

>>> from dataclasses import replace
>>> from nutrition.composition import Composition
>>> from nutrition.foods.record import FoodRecord
>>> old = FoodRecord("fdc:1", "Cream", "made up", Composition.of(100.0, {"total_fat": 36.08}))
>>> new = replace(old, composition=Composition.of(100.0, {"total_fat": 36.1}))
>>> between(old, new)[0]
Difference(what='total fat', before='36.08 g', after='36.1 g')
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from nutrition.foods import pins

if TYPE_CHECKING:
    from typing import Any

    from nutrition.foods.record import FoodRecord

QUIET: Final = frozenset(("id", "pinned"))


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing in which they differ; ``unknown`` where a record does not say it."""

    what: str
    before: str
    after: str


def between(before: FoodRecord, after: FoodRecord) -> tuple[Difference, ...]:
    """What one record says otherwise than another, values first.

    Args:
        before: the record that is used.
        after: the record that might be.

    Returns:
        The differences; texts are those of pins. Where an estimate came from is left out.
    """
    old, new = (_flat(pins.texts(one, "")) for one in (before, after))
    return tuple(
        Difference(what, old.get(what, pins.UNKNOWN), new.get(what, pins.UNKNOWN))
        for what in dict.fromkeys((*old, *new))
        if old.get(what) != new.get(what)
    )


def words(found: tuple[Difference, ...], most: int = 3) -> str:
    """The first differences in a sentence.

    >>> words((Difference("iron", "1 mg", "2 mg"), Difference("ash", "1 g", "unknown")), 1)
    'iron 1 mg, there 2 mg; and 1 more'
    """
    said = "; ".join(f"{one.what} {one.before}, there {one.after}" for one in found[:most])
    return said + (f"; and {len(found) - most} more" if len(found) > most else "")


def _flat(entries: dict[str, Any]) -> dict[str, str]:
    found: dict[str, str] = dict(entries["values"])
    found |= {f"a measure of {name}": text for name, text in entries.get("measures", {}).items()}
    found |= {f"its part {name}": text for name, text in entries.get("made of", {}).items()}
    found |= {key: text for key, text in entries.items() if isinstance(text, str) and key not in QUIET}
    return found
