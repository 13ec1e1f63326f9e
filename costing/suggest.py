"""Proposes a food record for every ingredient that has none, with the reason; people write what they take."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import click

from costing import commands, terminal
from costing.findings import Finding, ShopError
from costing.shop import reader
from nutrition.foods import library, marks, search
from nutrition.foods.fdc.layout import LibraryError
from nutrition.foods.words import words
from nutrition.law.us.nutrient_lines import keys
from nutrition.resources import table

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from costing.shop.models import Ingredient, ShopModel
    from nutrition.foods.hit import Hit
    from nutrition.foods.record import FoodRecord

LOOKED_AT: Final = 12
"""Foods that a search gives to choose from."""
RIVALS: Final = 2


@dataclass(frozen=True, slots=True)
class Suggestion:
    """What is proposed for one ingredient.

    Args:
        ingredient: its name in the shop.
        where: file and line.
        food: id of the record, empty where nothing fits.
        name: the record's name.
        source: who says so.
        why: the reason.
        unknown: lines that every label has and the record does not know.
        rivals: other records that may fit, id and name.
    """

    ingredient: str
    where: str
    food: str = ""
    name: str = ""
    source: str = ""
    why: str = ""
    unknown: tuple[str, ...] = ()
    rivals: tuple[tuple[str, str], ...] = ()

    @property
    def line(self) -> str:
        """The line to write into ``ingredients.yaml``, empty where nothing fits."""
        return f"  food: {self.food}  # {' '.join(self.name.split())}" if self.food else ""

    def as_json(self) -> dict[str, Any]:
        """The suggestion for programs."""
        return {
            "ingredient": self.ingredient,
            "where": Finding("note", self.where, "").as_json()["where"],
            "food": self.food or None,
            "name": self.name,
            "source": self.source,
            "why": self.why,
            "unknown": list(self.unknown),
            "line": self.line,
            "rivals": [{"food": food, "name": name} for food, name in self.rivals],
        }


def suggestions(model: ShopModel) -> tuple[Suggestion, ...]:
    """A proposal for every ingredient without a record.

    Args:
        model: the shop, as far as it could be read.
    """
    return tuple(_suggestion(one, model) for one in model.ingredients.values() if _open(one, model))


def _open(one: Ingredient, model: ShopModel) -> bool:
    """Whether it has no record, and none that only has to be fetched or written."""
    waits = library.canonical(one.food).startswith(("fdc:", "spec:"))
    return one.food not in model.foods and not waits


def _suggestion(one: Ingredient, model: ShopModel) -> Suggestion:
    where = one.at("food")
    for record, why in _of_the_shop(one, model):
        return _made(one, where, record, why, ())
    texts = tuple(dict.fromkeys((one.name, one.label)))
    ranked = list(dict.fromkeys(hit for text in texts for hit in search.search(text, LOOKED_AT)))
    names = {text: search.understood(text).name for text in texts}
    none = next((name for name in names.values() if name is not None), None)
    if none is not None and not none.ndb:
        mend = "look in FoodData Central (creamery foods import, creamery foods fetch), or write a spec sheet"
        rivals = tuple((hit.id, hit.name) for hit in ranked[:RIVALS])
        return Suggestion(one.name, where, why=f"{none.note}; {mend}", rivals=rivals)
    if not ranked:
        return Suggestion(one.name, where, why="no food is called so; try other words with creamery foods search")
    best, why = _best(one, ranked, {text: name.ndb for text, name in names.items() if name is not None})
    notes = (best.note, *marks.doubtful([best]).values())
    why = "; ".join((why, *(note for note in notes if note)))
    return _made(one, where, library.resolve(best.id, {}), why, _rivals(best, ranked))


def _rivals(best: Hit, ranked: list[Hit]) -> tuple[tuple[str, str], ...]:
    others = dict.fromkeys((hit.id, hit.name) for hit in ranked if hit.id != best.id)
    return tuple(others)[:RIVALS]


def _of_the_shop(one: Ingredient, model: ShopModel) -> Iterator[tuple[FoodRecord, str]]:
    """Records that the shop itself has for such a thing."""
    for file in model.spec_files:
        name = file.removeprefix("specs/").rpartition(".")[0]
        if _plain(name) in (_plain(one.name), _plain(one.label)) and f"spec:{name}" in model.foods:
            yield model.foods[f"spec:{name}"], "the shop has a spec sheet of this name"
    for other in model.ingredients.values():
        if other is not one and other.food in model.foods and _plain(other.label) == _plain(one.label):
            yield model.foods[other.food], f"{other.name} stands on the label by the same name and has it"


def _best(one: Ingredient, ranked: list[Hit], kitchen: Mapping[str, str]) -> tuple[Hit, str]:
    """The record to propose, and why.

    Args:
        one: the ingredient.
        ranked: what was found, best first.
        kitchen: what of its name and label is a kitchen name, to the NDB number that it means.
    """
    for text, ndb in kitchen.items():
        exact = next((hit for hit in ranked if hit.id == f"usda:{ndb}"), None)
        if exact is not None:
            return exact, f"'{text}' is what kitchens call it"
    groups = _groups().get(one.kind, ())
    fitting = next((hit for hit in ranked if _group(hit) in groups), None) if groups else None
    best = fitting or ranked[0]
    asked = search.understood(one.name).words
    held = [word for word in asked if word in words(best.name)]
    why = f"its name has {', '.join(held)}" if held else "its name is the nearest"
    if fitting is not None:
        why += f", and its food group goes with the class {one.kind}"
    return best, why


@functools.cache
def _groups() -> Mapping[str, tuple[str, ...]]:
    return {row["class"]: tuple(row["groups"].split("|")) for row in table("foods", "class_groups.csv")}


def _group(hit: Hit) -> str:
    return library.resolve(hit.id, {}).group


def _made(one: Ingredient, where: str, record: FoodRecord, why: str, rivals: tuple[tuple[str, str], ...]) -> Suggestion:
    # Added sugars follow from what the shop says of the ingredient, calories from the others.
    asked = [key for key in keys() if key not in ("energy", "added_sugars")]
    unknown = tuple(key for key in asked if record.composition.amount(key) is None)
    return Suggestion(one.name, where, record.id, record.name, record.source, why, unknown, rivals)


def _plain(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", " ", name.casefold()).strip()


@commands.told
def run(folder: Path, *, as_json: bool) -> int:
    """What ``creamery foods suggest`` does."""
    reading = reader.everything(folder)
    if reading.model is None:
        raise ShopError(reading.findings)
    try:
        found = suggestions(reading.model)
    except LibraryError as error:
        raise ShopError((Finding("error", "food library", str(error), "import the download again"),)) from error
    told = {one.where for one in found}
    # What is proposed for is no news; what else is wrong is.
    rest = tuple(one for one in reading.findings if one.where not in told)
    if not found and not as_json:
        click.echo("every ingredient has a food record")
    return commands.say([one.as_json() for one in found], rest, [_block(one) for one in found], as_json=as_json)


def _block(one: Suggestion) -> str:
    place = Finding("note", one.where, "").shown().where
    lines = [f"{terminal.clean(one.ingredient)} ({place}): {terminal.clean(one.why)}"]
    if one.line:
        lines.append(terminal.clean(one.line).rstrip())
    lines += [f"  or {food}  {terminal.clean(name)}" for food, name in one.rivals]
    if one.unknown:
        lines.append(f"  the record does not know: {', '.join(key.replace('_', ' ') for key in one.unknown)}")
    return "\n".join(lines)
