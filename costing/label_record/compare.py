"""Which printed texts of a label change against an earlier one, and which amounts only moved underneath."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from costing.label_record.kept import Label, Line

WORDS = ("contains", "name of the food", "ingredients", "net quantity", "serving size", "servings per container")
"""texts that are no amounts, in the order in which a wrong one does harm"""
SAME = 1e-9
"""of the larger of 1 and the amount: below it nothing has moved"""


@dataclass(frozen=True, slots=True)
class Change:
    """One place of the label.

    Args:
        key: nutrient key, or the place in words.
        name: as printed, or the place.
        column: ``serving`` or ``container``; empty where it has none.
        was: the earlier text.
        now: the present one.
        amount_was: the unrounded amount of the column, None where unknown or none.
        amount_now: the present one.
        unit: of both.
    """

    key: str
    name: str
    column: str
    was: str
    now: str
    amount_was: float | None = None
    amount_now: float | None = None
    unit: str = ""

    @property
    def printed(self) -> bool:
        """The printed text differs."""
        return self.was != self.now

    @property
    def moved(self) -> bool:
        """The amount behind it differs."""
        one, other = self.amount_was, self.amount_now
        if one is None or other is None:
            return one is not other
        return not math.isclose(one, other, rel_tol=SAME, abs_tol=SAME)

    @property
    def by(self) -> float:
        """How far it moved, as a share of what it was."""
        one, other = self.amount_was, self.amount_now
        if one is None or other is None:
            return math.inf if one is not other else 0.0
        return abs(other - one) / max(abs(one), abs(other), 1e-12)


def changes(was: Label, now: Label, codes: tuple[str, str] = ("", "")) -> tuple[Change, ...]:
    """Every place whose text or amount differs: texts that change first, words before figures, the farthest first.

    Args:
        was: the earlier label.
        now: the present one.
        codes: the digits of the bar code, then and now.
    """
    code = Change("bar code", "bar code", "", *codes)
    found = [one for one in (*_words(was, now), code, *_lines(was, now)) if one.printed or one.moved]
    return tuple(sorted(found, key=_rank))


def _rank(one: Change) -> tuple[bool, int, float, str, str]:
    place = WORDS.index(one.key) if one.key in WORDS else len(WORDS)
    return not one.printed, place, -one.by, one.key, one.column


def _words(was: Label, now: Label) -> Iterable[Change]:
    def size(label: Label) -> str:
        return f"{label.serving.measure} ({label.serving.g_text})"

    pairs = {
        "title": (was.title, now.title),
        "contains": (was.contains, now.contains),
        "name of the food": (was.name.text or was.name.allowed, now.name.text or now.name.allowed),
        "ingredients": (was.ingredients, now.ingredients),
        "net quantity": (was.net_quantity, now.net_quantity),
        "servings per container": (was.serving.per_container, now.serving.per_container),
        "not a significant source": (was.not_significant, now.not_significant),
        "place of business": (", ".join(was.business), ", ".join(now.business)),
        "shared equipment": (was.advisory, now.advisory),
        "bioengineered": (was.bioengineered, now.bioengineered),
    }
    for place, (one, other) in pairs.items():
        yield Change(place, place, "", one, other)
    yield Change("serving size", "serving size", "", size(was), size(now), was.serving.g, now.serving.g, "g")


def _lines(was: Label, now: Label) -> Iterable[Change]:
    before = {line.key: line for line in was.nutrients if line.key not in was.left_out}
    after = {line.key: line for line in now.nutrients if line.key not in now.left_out}
    for key in dict.fromkeys((*after, *before)):
        one, other = before.get(key), after.get(key)
        some = other or one
        assert some is not None
        name = "Added Sugars" if key == "added_sugars" else some.name
        for column in dict.fromkeys((*now.serving.columns, *was.serving.columns)):
            yield Change(
                key,
                name,
                column,
                _text(one, column, was),
                _text(other, column, now),
                _amount(one, column),
                _amount(other, column),
                some.unit,
            )


def _text(line: Line | None, column: str, label: Label) -> str:
    if line is None or column not in label.serving.columns:
        return ""
    text, percent = line.declared.get(column, ""), line.dv_pct.get(column)
    return text if percent is None else f"{text} ({percent}%)"


def _amount(line: Line | None, column: str) -> float | None:
    if line is None:
        return None
    return line.per_serving if column == "serving" else line.per_container
