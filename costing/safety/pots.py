"""What a pot holds of milk and egg, and which heat each has seen: the values that a walk through a recipe moves.

Nothing is weighed here. A saved thing is taken to hold all that was in the pot, which errs on the side of care.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import IntEnum
from typing import TYPE_CHECKING, Final

from costing.safety.cooling import Chill
from costing.safety.heat import Standing, Verdict
from nutrition.law.us import allergens

if TYPE_CHECKING:
    from collections.abc import Iterable

    from costing.shop.models import Ingredient

STRICT: Final = frozenset({"dairy", "egg", "egg yolk"})
"""Classes that are milk, cream or egg themselves; others only hold some."""
ItemKey = tuple[str, str, str, int]
HOLDS: Final = frozenset({"milk", "egg"})
"""Allergens that tell of milk or egg in a compound ingredient."""


def holds_milk_or_egg(one: Ingredient) -> bool:
    """Whether an ingredient is milk or egg, or holds some, by its class or its allergens."""
    return one.kind in STRICT or any(_major(text) in HOLDS for text in one.allergens)


def _major(text: str) -> str:
    try:
        return allergens.parse(text).major
    except ValueError:
        return ""  # told of where the shop is checked


@dataclass(frozen=True, slots=True)
class Heat:
    """One step that heats a pot with milk or egg.

    Args:
        recipe: key of the recipe in which it stands.
        part: the part.
        step: its number, from 1.
        where: file and line.
        verdict: whether it counts as pasteurising.
    """

    recipe: str
    part: str
    step: int
    where: str
    verdict: Verdict

    def __str__(self) -> str:
        return f"step {self.step} of {self.part}"


class State(IntEnum):
    """How far an ingredient is from having been pasteurised; the higher, the worse."""

    READY = 0
    """marked ready to eat"""
    HEATED = 1
    """a heat that counts"""
    OVEN = 2
    """baked or toasted"""
    UNSURE = 3
    """a heat of which it cannot be told"""
    SHORT = 4
    """only heats that are known to be too little"""
    RAW = 5
    """none"""


@dataclass(frozen=True, slots=True)
class Late:
    """That something raw has come into a pot after the last heat that counts.

    Args:
        heat: that heat.
        thing: what was put in: the ingredient itself, or the part in which it is.
        part: the part into which it was put.
        step: the number of that step.
        where: file and line of it.
    """

    heat: Heat
    thing: str
    part: str
    step: int
    where: str


@dataclass(frozen=True, slots=True)
class Held:
    """An ingredient with milk or egg in a pot.

    Args:
        name: the ingredient.
        strict: it is milk, cream or egg itself.
        where: file and line at which it was first put into a pot.
        part: the part into which it was first put.
        step: the number of that step.
        state: what it has seen.
        heat: the heat that gave it this state.
        late: it came after the last heat that counts.
        churned: it was in the pot when that was churned; what is folded in later is no part of the mix.
    """

    name: str
    strict: bool
    where: str
    part: str
    step: int
    state: State
    heat: Heat | None = None
    late: Late | None = None
    churned: bool = False

    @property
    def key(self) -> ItemKey:
        """What makes two of them one; a whole recipe may stand in one line, so the line alone does not."""
        return self.name, self.where, self.part, self.step

    @property
    def badness(self) -> tuple[bool, State]:
        """Of two histories of one ingredient the worse is told."""
        return self.late is not None, self.state

    def heated(self, heat: Heat) -> Held:
        """What it is after a heat."""
        standing = heat.verdict.standing
        if standing is Standing.COUNTS:
            return replace(self, state=State.HEATED, heat=heat, late=None)
        if self.state <= State.OVEN:
            return self
        if standing is Standing.SHORT:
            return self if self.state is State.UNSURE else replace(self, state=State.SHORT, heat=heat)
        state = State.OVEN if standing is Standing.OVEN else State.UNSURE
        return replace(self, state=state, heat=heat, late=None)


@dataclass(slots=True)
class Pot:
    """A pot, or a part or saved thing on the shelf.

    Args:
        items: what it holds of milk and egg.
        heat: the last heat that counts as pasteurising, whatever was in the pot then.
        chill: how far it is from the heat to the cold.
        churned: it has been through the machine.
    """

    items: dict[ItemKey, Held] = field(default_factory=dict)
    heat: Heat | None = None
    chill: Chill = field(default_factory=Chill)
    churned: bool = False

    def copy(self) -> Pot:
        """The same, to go on the shelf."""
        return Pot(dict(self.items), self.heat, self.chill)

    def put(self, item: Held) -> None:
        """Put one in; of the same one with two histories the worse stays."""
        before = self.items.get(item.key)
        if before is not None:
            worse = max(before, item, key=lambda one: one.badness)
            item = replace(worse, churned=before.churned or item.churned)
        self.items[item.key] = item

    def change(self, items: Iterable[Held]) -> None:
        """Take these in place of what they were."""
        self.items.update((item.key, item) for item in items)
