"""What a cook must mind in a batch: what every pot holds so far, temperatures to sign for, and the cautions on top.

Sources: the notes of the label (``data/law/us/cautions.csv``) and ``data/kitchen/batch_sheet.csv``.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from costing.batch_sheet import amounts
from costing.batch_sheet.content import Check
from costing.safety import cooling_limits
from costing.safety.cooling import STATE_LAW
from costing.safety.pots import holds_milk_or_egg
from nutrition import resources

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from datetime import date

    from costing.shop.models import Ingredient, ShopModel
    from nutrition.law.us.label import Label, Note

KITCHEN_MATTERS = frozenset({"pasteurisation", "meat", "alcohol"})
"""What notes of a label must be about to stand on a kitchen wall. What it says of shared equipment is for labels."""
UNTIMED = "no time is written"
OVEN = frozenset({"bake", "toast"})
_SPIRITS = frozenset({"spirit", "wine or beer"})


@dataclass(slots=True)
class _Held:
    """What something made in this batch holds: names of ingredients, and allergens."""

    home: str = ""
    names: dict[str, Ingredient] = field(default_factory=dict)
    touched: frozenset[str] = frozenset()

    def takes(self, other: _Held) -> None:
        self.names |= other.names
        self.touched |= other.touched


@dataclass(slots=True)
class Seen:
    """Follows a batch from step to step, and remembers what each pot holds.

    Args:
        model: the shop.
        heats: recipe, part and number of every step that heats milk or egg.
    """

    model: ShopModel
    heats: frozenset[tuple[str, str, int]]
    checks: list[Check] = field(default_factory=list)
    weighed: list[tuple[str, float]] = field(default_factory=list)
    """what went into the pot at hand, g"""
    names: dict[str, Ingredient] = field(default_factory=dict)
    """every ingredient of the batch"""
    _taken: set[str] = field(default_factory=set)
    _made: dict[str, _Held] = field(default_factory=dict)
    _pot: _Held = field(default_factory=_Held)
    _part: str = ""
    _title: str = ""
    _recipe: str = ""

    def begin(self, recipe: str, part: str, title: str) -> None:
        """A part begins with a clean pot.

        Args:
            recipe: key of its recipe.
            part: its name.
            title: what the sheet calls it.
        """
        if recipe != self._recipe:
            # Names of parts are a recipe's own; of another recipe only what it makes is known.
            makes = {one.makes for one in self.model.recipes.values() if one.makes}
            self._made = {name: held for name, held in self._made.items() if name in makes}
            self._taken = set()
        self._recipe, self._part, self._title, self._pot = recipe, part, title, _Held()
        self.weighed = []

    def end(self, last: bool, makes: str) -> None:
        """A part is finished, and can be taken by its name."""
        self._made[self._part] = _Held("made above", self._pot.names, self._pot.touched)
        if last and makes:
            self._made[makes] = _Held("house base", self._pot.names, self._pot.touched)

    def is_made(self, name: str) -> bool:
        """Whether it was made or saved in this batch."""
        return name in self._made

    def home(self, name: str) -> str:
        """Where something made in this batch comes from, in words."""
        return self._made[name].home if name in self._made else ""

    def used(self, name: str) -> bool:
        """Whether some of it was taken already."""
        return name in self._taken

    def touched(self, name: str) -> frozenset[str]:
        """Allergens of something made in this batch."""
        return self._made[name].touched if name in self._made else frozenset()

    def add(self, name: str, grams: float, touched: Iterable[str], entry: Ingredient | None) -> None:
        """Something goes into the pot at hand."""
        self.weighed.append((name, grams))
        if entry is None:
            self._taken.add(name)
            self._pot.takes(self._made.get(name, _Held()))
            return
        self._pot.takes(_Held("", {name: entry}, frozenset(touched)))
        self.names[name] = entry

    def step(self, step: Any, number: int, locale: str) -> None:
        """A step is done: what it saves has a name from now on, and its temperature may have to be signed for."""
        if saved := getattr(step, "save", None):
            self._made[saved] = _Held(f"from {self._part}", dict(self._pot.names), self._pot.touched)
        where = f"{self._title}, step {number}"
        if (self._recipe, self._part, number) in self.heats:
            self.checks.append(Check(where, _heat(step, locale), f"hold {step.hold.text}" if step.hold else UNTIMED))
        elif step.verb == "cool":
            for point, time in sorted(step.by_points.items(), key=lambda item: -item[0].mid):
                cold = amounts.temperature(point, locale, "down")
                self.checks.append(Check(where, f"down to {cold}", f"within {time.text}"))
            limit = f"within {step.within.text}" if step.within is not None else UNTIMED
            self.checks.append(Check(where, f"down to {amounts.temperature(step.to, locale, 'down')}", limit))


def _heat(step: Any, locale: str) -> str:
    if step.temperature is None:
        return "heat, no temperature is written"
    asked = amounts.temperature(step.temperature, locale, "up")
    # What an oven is set to is not what the middle of the food comes to.
    return f"middle of the food, oven at {asked}" if getattr(step, "how", None) in OVEN else f"heat to {asked}"


@functools.cache
def _table() -> Mapping[str, Mapping[str, str]]:
    return {row["key"]: row for row in resources.table("kitchen", "batch_sheet.csv")}


def cautions(label: Label | None, seen: Seen, on: date) -> tuple[str, ...]:
    """What to mind in a batch, one sentence each.

    Args:
        label: of the finished food, None for a house base.
        seen: what the batch holds.
        on: the day whose rules apply.
    """
    notes = _notes(label, seen, on)
    return tuple(dict.fromkeys((*map(_sentence, notes), *_own(label, seen))))


def _notes(label: Label | None, seen: Seen, on: date) -> Iterator[Note]:
    if label is not None:
        yield from (note for note in label.notes if note.about in KITCHEN_MATTERS)
        return
    from nutrition.law.us.cautions import note as caution

    if any(map(holds_milk_or_egg, seen.names.values())):
        yield caution("pasteurised", on)
    if any(entry.kind in ("egg", "egg yolk") for entry in seen.names.values()):
        yield caution("eggs", on)


def _own(label: Label | None, seen: Seen) -> Iterator[str]:
    if any(map(holds_milk_or_egg, seen.names.values())):
        limits = cooling_limits()
        rules = ", ".join(dict.fromkeys(limit.rule for limit in limits))
        yield f"Cool what was cooked: {', and '.join(limit.words for limit in limits)} ({rules}); {STATE_LAW}."
    if label is None:
        for key, kinds in (("tissue", frozenset({"meat"})), ("alcohol", _SPIRITS)):
            named = [name for name, entry in seen.names.items() if entry.kind in kinds]
            if named:
                yield _row(key, names=", ".join(named))
    yield _row("change-over")


def _row(key: str, **words: str) -> str:
    row = _table()[key]
    what = row["what"].format(**words)
    return f"{what[:1].upper()}{what[1:]} ({row['source']})."


def _sentence(note: Note) -> str:
    what = f"{note.what[:1].upper()}{note.what[1:]}"
    return f"{what}{f'; {note.mend}' if note.mend else ''}{f' ({note.rule})' if note.rule else ''}."
