"""Which values of which ingredients hold up most labels of a shop, and so are worth asking a supplier for first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from costing import commands, terminal
from costing.desk import Shop
from nutrition.law.us import doubts, rounding
from nutrition.nutrients import nutrient

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from pathlib import Path

    from nutrition.law.us.doubts import Doubt

LEGEND = "settles: lines that this value alone makes ready for print, wherever it lies in most of its range"
SETTLES = 0.5
"""A value settles a line when the line is print-ready at this share or more of the places where the value may be."""


@dataclass(frozen=True, slots=True)
class Held:
    """A line of a label that waits for a value.

    Args:
        recipe: whose label.
        line: the line, by nutrient key.
        share: the share (0 to 1) of the value's possible places at which the line becomes print-ready by it alone.
    """

    recipe: str
    line: str
    share: float

    @property
    def settled(self) -> bool:
        """Whether the value alone would most likely settle it."""
        return self.share >= SETTLES


@dataclass(frozen=True, slots=True)
class Value:
    """A value of an ingredient that holds up labels.

    Args:
        ingredient: the shop's name for it.
        food: id of its record.
        nutrient: which value.
        unknown: nobody knows it; otherwise it is known as an interval.
        low: least in 100 g, in the nutrient's unit.
        high: most in 100 g.
        words: what an estimate came from.
        held: the lines that wait for it.
        rounded: the record's values are those of a printed label, among which an unrounded one must be a range.
    """

    ingredient: str
    food: str
    nutrient: str
    unknown: bool
    low: float
    high: float
    words: str
    held: tuple[Held, ...]
    rounded: bool = False

    @property
    def labels(self) -> int:
        """How many labels it holds up."""
        return len({one.recipe for one in self.held})

    @property
    def frees(self) -> int:
        """How many lines become print-ready by it alone."""
        return sum(one.settled for one in self.held)

    @property
    def freed(self) -> int:
        """On how many labels a line becomes print-ready by it alone."""
        return len({one.recipe for one in self.held if one.settled})

    @property
    def mend(self) -> str:
        """What to do about it."""
        if self.nutrient == "added_sugars":
            return f"write added sugars: … % under {self.ingredient} in ingredients.yaml, as its supplier says"
        name = self.nutrient.replace("_", " ")
        like = f"like: {self.food}, " if self.food.startswith("usda:") else ""
        unit = nutrient(self.nutrient).unit
        value = f"… {unit} to … {unit}" if self.rounded and self.food.startswith("spec:") else f"… {unit}"
        return f"ask the supplier of {self.ingredient}; in a spec sheet: {like}values: {{{name}: {value}}}"

    def as_json(self) -> dict[str, Any]:
        """The value for programs."""
        return {
            "ingredient": self.ingredient,
            "food": self.food,
            "nutrient": self.nutrient,
            "unit": nutrient(self.nutrient).unit,
            "state": "unknown" if self.unknown else "interval",
            "from": self.words,
            "per_100g_low": self.low,
            "per_100g_high": self.high,
            "labels": self.labels,
            "labels_freed": self.freed,
            "lines_freed": self.frees,
            "lines": [{"recipe": one.recipe, "line": one.line, "share": one.share} for one in self.held],
            "mend": self.mend,
        }


def values(shop: Shop, recipes: Sequence[str] = ()) -> tuple[Value, ...]:
    """The values that hold up labels, those that settle something on most of them first.

    Args:
        shop: the shop.
        recipes: whose labels; none means all.
    """
    found: dict[tuple[str, str], tuple[Doubt, list[Held]]] = {}
    for answer in shop.answers(recipes):
        if answer.product is None or answer.label is None:
            continue
        for doubt in doubts.of(answer.product, answer.label):
            _, held = found.setdefault((doubt.ingredient, doubt.nutrient), (doubt, []))
            held.extend(Held(answer.recipe, line, share) for line, share in doubt.lines.items())
    ranked = [_value(shop, doubt, tuple(held)) for doubt, held in found.values()]
    return tuple(
        sorted(ranked, key=lambda one: (-one.frees, -one.labels, -len(one.held), one.ingredient, one.nutrient))
    )


def _value(shop: Shop, doubt: Doubt, held: tuple[Held, ...]) -> Value:
    entry = shop.model.ingredients[doubt.ingredient]
    record = shop.model.foods[entry.food]
    low, high = record.composition.bounds(doubt.nutrient)
    return Value(
        doubt.ingredient, entry.food, doubt.nutrient, doubt.unknown, low, high, doubt.words, held, record.rounded
    )


@commands.told
def run(folder: Path, recipes: Sequence[str], as_of: date | None, *, as_json: bool) -> int:
    """What ``creamery foods doubts`` does."""
    shop = Shop.open(folder, as_of)
    keys = commands.keys_of(shop, recipes)
    found = values(shop, keys)
    broken = [one for answer in shop.answers(keys) for one in answer.findings if one.level == "error"]
    if not found and not broken and not as_json:
        click.echo("every line of every label is ready for print")
    blocks = [f"{_table(found)}\n\n{LEGEND}"] if found else []
    blocks += ["\n".join(dict.fromkeys(one.mend for one in found))] if found else []
    return commands.say([one.as_json() for one in found], (*shop.findings, *broken), blocks, as_json=as_json)


def _table(found: Sequence[Value]) -> str:
    rows = []
    for one in found:
        unit = nutrient(one.nutrient).unit
        state = "unknown" if one.unknown else "estimate" if one.words else "interval"
        lines = ", ".join(dict.fromkeys(_line(held.line) for held in one.held))
        between = f"{one.low:.4g} to {one.high:.4g} {unit}"
        name = nutrient(one.nutrient).name
        rows.append((one.ingredient, name, state, between, str(one.labels), str(one.frees), lines))
    heads = ("ingredient", "value", "is", "in 100 g", "labels", "settles", "lines that wait")
    return terminal.table(heads, rows, right=(4, 5))


def _line(key: str) -> str:
    return "Added Sugars" if key == "added_sugars" else rounding.lines()[key]["name"]
