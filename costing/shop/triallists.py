"""Reads trial sheets, ``trials/*.csv``: what a cook weighed before and after a step, one weighing to a row.

As many sheets and rows as there are; sheets are added to and never edited, so that the history is there. A row names
the recipe (its file name without ending, or its title), the part, and the step by its ``name:`` or its number; its verb
will do where the part has one such step. A part of a house base belongs to the recipe that makes the base. Only steps
whose outcome a weight can settle are worth weighing (:data:`costing.kitchen.verbs.FREE`); others are refused.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from costing import units
from costing.digits import UnreadableError, clean
from costing.shop import csv_lists, pricelists
from costing.shop.building import nearest
from costing.shop.models import Trial

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping
    from datetime import date
    from pathlib import Path

    from costing.shop.csv_lists import CsvList, Lists
    from costing.shop.models import Part, Recipe
    from costing.shop.sources import Report

LARGEST: Final = 5_000_000
"""Bytes of one trial sheet."""
COLUMNS: Final = ("date", "recipe", "part", "step", "in", "out", "note")
KIND: Final = csv_lists.Kind("trials", COLUMNS, LARGEST, optional=frozenset(("note",)), blank=frozenset(("note",)))
HEAVIEST: Final = 1e7
"""Grams that nobody weighs in a small kitchen."""

_NUMBER: Final = re.compile(r"(?:step )?([0-9]{1,6})", re.IGNORECASE)


def rows(
    place: Path | Lists, recipes: Mapping[str, Recipe], broken: Collection[str], report: Report
) -> tuple[Trial, ...]:
    """The rows of every trial sheet of a shop.

    Args:
        place: the shop folder, or what else holds the sheets.
        recipes: its recipes, as far as they could be read.
        broken: recipes that could not; nobody is told that what stands in them is missing.
        report: takes what is wrong, by file and line.

    Returns:
        All rows that could be read and whose step there is, sheet by sheet.
    """
    names = _Names(recipes, broken)
    found = csv_lists.rows(place, KIND, report, names.trial)
    _warn_of_copies(found, report)
    _note_weighed(found, recipes, report)
    return found


def _warn_of_copies(found: tuple[Trial, ...], report: Report) -> None:
    """A row that stands twice counts twice, which is seldom meant."""
    seen: dict[tuple[object, ...], str] = {}
    for one in found:
        first = seen.setdefault((one.date, one.recipe, one.part, one.step, one.in_g, one.out_g), one.where)
        if first != one.where:
            what = f"the same weights of the same step and day stand in {first}, and count twice"
            report.add(one.where, what, "take one of them out, unless there were two batches that day", "warning")


def _note_weighed(found: tuple[Trial, ...], recipes: Mapping[str, Recipe], report: Report) -> None:
    """Say once of each step that its trials cannot pass a ``weigh`` that follows it."""
    told = set()
    for one in found:
        part = next(part for part in recipes[one.recipe].parts if part.name == one.part)
        after = next((step for step in part.steps[one.step :] if _verb(step) != "note"), None)
        if after is not None and _verb(after) == "weigh" and (one.recipe, one.part, one.step) not in told:
            told.add((one.recipe, one.part, one.step))
            what = f"the recipe weighs after this step ({after.where}), and that weight stands, whatever trials say"
            report.add(one.where, what, "take the weigh step out to use the trials", "note")


def _verb(step: object) -> str:
    return str(step.verb)  # type: ignore[attr-defined]


def _low(name: str) -> str:
    return " ".join(name.casefold().split())


class _Names:
    """What rows may name.

    Args:
        recipes: the recipes that could be read.
        broken: those that could not.
    """

    def __init__(self, recipes: Mapping[str, Recipe], broken: Collection[str]) -> None:
        self.recipes = recipes
        self.broken = frozenset(map(_low, broken))
        self.keys = {_low(recipe.title): key for key, recipe in recipes.items()}
        self.keys |= {_low(key): key for key in recipes}
        self.bases = {key: recipe for key, recipe in recipes.items() if recipe.makes}

    def trial(self, cell: Mapping[str, str], line: int, one: CsvList) -> Trial | None:
        """One row; None where something in it is wrong, after saying what."""
        day = one.parsed(line, _day, cell["date"], "date")
        before = one.parsed(line, _weight("in"), cell["in"], "in")
        after = one.parsed(line, _weight("out"), cell["out"], "out")
        recipe = self._recipe(cell["recipe"], line, one)
        part = self._part(recipe, cell["part"], line, one) if recipe and cell["part"] else None
        step = _step(part, cell["step"], line, one) if part and cell["step"] else None
        if recipe is None or part is None or step is None or day is None or before is None or after is None:
            return None
        soaked = _verb(part.steps[step - 1]) == "soak"
        if before < after and not soaked:
            what = f"'out' ({cell['out']}) is more than 'in' ({cell['in']}), and nothing is put in by this step"
            one.add(line, what, "weigh again; 'in' is the weight before the step, 'out' the one after it")
            return None
        if before > after and soaked:
            what = f"'out' ({cell['out']}) is less than 'in' ({cell['in']}), and what is soaked takes liquid up"
            one.add(line, what, "'in' is the weight of the dry thing alone, 'out' its weight when soaked and drained")
            return None
        return Trial(
            where=one.where(line),
            date=day,
            recipe=recipe.key,
            part=part.name,
            step=step,
            in_g=before,
            out_g=after,
            note=cell["note"],
        )

    def _recipe(self, name: str, line: int, one: CsvList) -> Recipe | None:
        if not name:
            return None
        low = re.sub(r"^recipes/|\.ya?ml$", "", _low(name))
        if low in self.keys:
            return self.recipes[self.keys[low]]
        if low not in self.broken:
            mend = nearest(name, self.recipes, f"the recipes are: {_listed(self.recipes)}")
            one.add(line, f"there is no recipe '{name}'", mend, "recipe")
        return None

    def _part(self, recipe: Recipe, name: str, line: int, one: CsvList) -> Part | None:
        parts = {_low(part.name): part for part in recipe.parts}
        if _low(name) in parts:
            return parts[_low(name)]
        owner = next(
            (key for key, base in self.bases.items() if any(_low(p.name) == _low(name) for p in base.parts)), ""
        )
        names = [part.name for part in recipe.parts]
        mend = (
            f"it is a part of the house base that {owner} makes; write {owner} as the recipe"
            if owner and owner != recipe.key
            else nearest(name, names, f"its parts are: {_listed(names)}")
        )
        one.add(line, f"{recipe.key} has no part '{name}'", mend, "part")
        return None


def _listed(names: Collection[str], most: int = 12) -> str:
    shown = list(names)[:most]
    return ", ".join(shown) + (" …" if len(names) > most else "") if shown else "none"


def _step(part: Part, text: str, line: int, one: CsvList) -> int | None:
    """Number of the step that a row names, where a weight can settle it."""
    from costing.kitchen.verbs import FREE

    weighable = [i for i, step in enumerate(part.steps, 1) if _verb(step) in FREE]
    shown = [f"{i} ({part.steps[i - 1].name or _verb(part.steps[i - 1])})" for i in weighable]
    mend = f"steps of {part.name} that can be weighed: {', '.join(shown)}" if shown else f"none of {part.name} can be"
    named = [i for i, step in enumerate(part.steps, 1) if step.name and _low(step.name) == _low(text)]
    if len(named) > 1:
        which = " and ".join(map(str, named))
        one.add(line, f"{len(named)} steps of {part.name} are called '{text}'", f"write the number: {which}")
        return None
    number = _NUMBER.fullmatch(text)
    alike = [i for i in weighable if _verb(part.steps[i - 1]) == _low(text)]
    if named or len(alike) == 1:
        at = (named or alike)[0]
    elif number and 1 <= int(number[1]) <= len(part.steps):
        at = int(number[1])
    elif number:
        one.add(line, f"{part.name} has {len(part.steps)} steps, and no step {int(number[1])}", mend)
        return None
    else:
        names = [step.name for step in part.steps if step.name]
        one.add(line, f"{part.name} has no step called '{text}'", nearest(text, names, mend))
        return None
    verb = _verb(part.steps[at - 1])
    if verb == "weigh":
        one.add(line, "a weigh step is a weight already; a trial is of the step before it", mend)
        return None
    if verb not in FREE:
        one.add(line, f"step {at} of {part.name} is '{verb}', and nothing in it follows from a weight", mend)
        return None
    return at


def _day(text: str) -> date:
    try:
        return pricelists.iso_day(text)
    except UnreadableError as refused:
        raise UnreadableError(refused.what.replace("date of a price", "date of a trial"), refused.mend) from None


def _weight(column: str) -> Callable[[str], float]:
    """What reads a weight, in g, and names its column in what it refuses."""

    def read(text: str) -> float:
        try:
            figure = units.weight(text)
        except UnreadableError as refused:
            raise UnreadableError(f"'{column}': {refused.what}", refused.mend) from None
        if figure.is_range:
            raise UnreadableError(f"'{column}' is a range", "write what the scale said, such as 1.83 kg")
        if figure.mid <= 0:
            raise UnreadableError(f"'{column}' is 0", "write what the scale said, or take the row out")
        if figure.mid > HEAVIEST:
            raise UnreadableError(f"'{column}': '{clean(text)}' is absurd", "check the number and its unit")
        return figure.mid

    return read
