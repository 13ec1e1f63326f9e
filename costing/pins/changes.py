"""What another set of records would change: on the labels as they are printed, and in what a container costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator

    from costing.results import RecipeAnswer
    from nutrition.law.us.label import Label, NutrientLine

CENT = 0.00005
"""Money that nobody sees."""


@dataclass(frozen=True, slots=True)
class Change:
    """One printed text, or one figure, that would be another.

    Args:
        what: ``Total Fat, serving``; ``ingredients``; ``print-ready`` ...
        before: as it is.
        after: as it would be.
    """

    what: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class LabelChange:
    """What would change for one recipe.

    Args:
        recipe: its key.
        title: its title.
        changes: what is printed otherwise.
        moved: how many lines of the panel have another unrounded amount, printed otherwise or not.
        cost: what a container costs, before and after, where that differs; None where it does not.
    """

    recipe: str
    title: str
    changes: tuple[Change, ...]
    moved: int
    cost: tuple[float, float] | None = None

    @property
    def anything(self) -> bool:
        """Whether there is anything to say of it."""
        return bool(self.changes or self.moved or self.cost)

    def as_json(self) -> dict[str, Any]:
        """The same for programs."""
        return {
            "recipe": self.recipe,
            "title": self.title,
            "changes": [{"what": one.what, "before": one.before, "after": one.after} for one in self.changes],
            "lines_moved": self.moved,
            "cost": None if self.cost is None else {"before": self.cost[0], "after": self.cost[1]},
        }


def of(before: RecipeAnswer, after: RecipeAnswer) -> LabelChange:
    """What would change for a recipe.

    Args:
        before: its answer as it is.
        after: as it would be.
    """
    costs = [None if one.cost is None else one.cost.per_container.total for one in (before, after)]
    cost = None
    if costs[0] is not None and costs[1] is not None and abs(costs[0] - costs[1]) > CENT:
        cost = (costs[0], costs[1])
    if before.label is None or after.label is None:
        made = (before.label is not None, after.label is not None)
        found = (Change("label", "made", "cannot be made"),) if made == (True, False) else ()
        return LabelChange(before.recipe, before.title, found, 0, cost)
    return LabelChange(
        before.recipe,
        before.title,
        tuple(_texts(before.label, after.label)),
        sum(1 for one, other in _pairs(before.label, after.label) if _amounts(one) != _amounts(other)),
        cost,
    )


def _pairs(before: Label, after: Label) -> Iterator[tuple[NutrientLine | None, NutrientLine | None]]:
    old, new = ({line.key: line for line in label.nutrients} for label in (before, after))
    for key in dict.fromkeys((*old, *new)):
        yield old.get(key), new.get(key)


def _amounts(line: NutrientLine | None) -> tuple[float, float] | None:
    # Nine decimals are what the law's rounding looks at.
    return None if line is None else (round(line.per_serving_low, 9), round(line.per_serving_high, 9))


def _texts(before: Label, after: Label) -> Iterator[Change]:
    for one, other in _pairs(before, after):
        line = one or other
        name = "" if line is None else "Added Sugars" if line.key == "added_sugars" else line.name
        for column in dict.fromkeys((*_columns(one), *_columns(other))):
            old, new = _printed(one, column), _printed(other, column)
            if old != new:
                yield Change(f"{name}, {column}", old, new)
        if one is not None and other is not None and one.print_ready != other.print_ready:
            yield Change(f"{name}, print-ready", _yes(one.print_ready), _yes(other.print_ready))
    plain = (
        ("serving", _serving(before), _serving(after)),
        ("servings a container", before.serving.per_container_text, after.serving.per_container_text),
        ("ingredients", before.ingredients, after.ingredients),
        ("contains", before.contains, after.contains),
        ("name of the food", before.name.allowed, after.name.allowed),
        ("print-ready", _yes(before.print_ready), _yes(after.print_ready)),
    )
    yield from (Change(what, old, new) for what, old, new in plain if old != new)


def _serving(label: Label) -> str:
    return f"{label.serving.measure} ({label.serving.grams_text})"


def _columns(line: NutrientLine | None) -> tuple[str, ...]:
    return tuple(line.declared) if line is not None else ()


def _printed(line: NutrientLine | None, column: str) -> str:
    if line is None:
        return "no line"
    text = line.declared.get(column, "") or "cannot be printed"
    percent = line.dv_pct.get(column)
    return text if percent is None else f"{text}, {percent}%"


def _yes(ready: bool) -> str:
    return "yes" if ready else "no"
