"""Checks a shop that has been read: whether what its files say of each other is true.

Recipes are walked through in :mod:`costing.shop.recipe_check`, prices in :mod:`costing.prices.checks`; here stands what
concerns the shop as a whole: names, allergens, purchases, house bases.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING, Final

from costing import days
from costing.findings import Finding
from costing.shop import channel_check, gtins, label_check, recipe_check
from costing.shop.building import nearest
from costing.shop.reader import Reading
from costing.shop.steps import Add, Fold
from nutrition.law.us import allergens

if TYPE_CHECKING:
    from collections.abc import Mapping

    from costing.shop.models import Ingredient, Recipe, ShopModel

CERTAIN: Final = {"dairy": "milk", "egg": "egg", "egg yolk": "egg"}
"""Classes that always carry an allergen; what looks like one and has none belongs to another class."""
LIKELY: Final = {"nut": "tree nut: pistachio", "grain": "wheat", "chocolate": "milk"}
"""Classes that carry one so often that nobody may leave it unsaid."""


def findings(model: ShopModel, as_of: date | None = None, reading: Reading | None = None) -> tuple[Finding, ...]:
    """Everything that is wrong between the files of a shop.

    Args:
        model: the shop, as far as it could be read.
        as_of: the day for prices; None: the shop's own day, or today.
        reading: what could not be read, so that nothing follows from that.

    Returns:
        The findings, errors and others, in no order.
    """
    reading = reading or Reading(model, ())
    found = [
        *_ingredient_names(model),
        *_allergens(model),
        *_purchases(model, reading),
        *_bases(model),
        *channel_check.findings(model, reading),
        *gtins.findings(model),
        *label_check.findings(model, reading),
    ]
    shelf = recipe_check.Shelf(model, reading)
    for recipe in model.recipes.values():
        found.extend(recipe_check.findings(recipe, shelf))
    found.extend(_prices(model, as_of, reading))
    if not any(one.level == "error" for one in (*found, *reading.findings)):
        found.extend(label_check.classes(model))
        found.extend(label_check.allergens_unsaid(model))
    return tuple(found)


def _ingredient_names(model: ShopModel) -> Iterator[Finding]:
    """Names that differ only in capitals or spaces, which nobody tells apart in a kitchen."""
    seen: dict[str, str] = {}
    for name, one in model.ingredients.items():
        first = seen.setdefault(" ".join(name.casefold().split()), name)
        if first != name:
            what = f"'{name}' and '{first}' differ only in capitals or spaces"
            yield Finding("error", one.where, what, "keep one of them, or rename one")


def _allergens(model: ShopModel) -> Iterator[Finding]:
    for one in model.ingredients.values():
        said = "allergens" in one.model_fields_set
        for text in one.allergens:
            problem = allergens.problem(text)
            if problem is not None:
                what, _, mend = problem.partition("; ")
                yield Finding("error", one.at("allergens"), what, mend or "write one of the major allergens, or none")
        certain = CERTAIN.get(one.kind)
        if certain is not None and not any(certain in text for text in one.allergens):
            yield Finding(
                "error",
                one.at("allergens"),
                f"{one.name} is of class {one.kind} and does not name the allergen {certain}",
                f"write allergens: [{certain}], or give it another class if it has none",
            )
        elif not said and one.kind in LIKELY:
            yield Finding(
                "error" if one.kind == "nut" else "warning",
                one.where,
                f"{one.name} is of class {one.kind} and nothing is said of allergens",
                f"write allergens: [{LIKELY[one.kind]}], or whichever it has; if it has none, allergens: none",
            )


def _purchases(model: ShopModel, reading: Reading) -> Iterator[Finding]:
    """Ingredients that come from another bought thing."""
    leads = {name: tuple(one.comes_from) for name, one in model.ingredients.items()}
    for one in model.ingredients.values():
        for name in one.comes_from:
            if name not in model.ingredients and not reading.hides("ingredients", name):
                mend = nearest(name, model.ingredients, "add it to ingredients.yaml")
                yield Finding("error", one.at(name), f"{one.name} comes from '{name}', which is no ingredient", mend)
        ring = _circle(one.name, leads)
        if ring:
            what = f"{' comes from '.join(ring)}: that is a circle"
            yield Finding("error", one.at("from"), what, "one of them must be bought")
    by_source: dict[str, list[Ingredient]] = {}
    for one in model.ingredients.values():
        for name in one.comes_from:
            by_source.setdefault(name, []).append(one)
    for name, those in by_source.items():
        total = sum(one.comes_from[name].low for one in those)
        if total > 1 + 1e-9:
            listed = ", ".join(one.name for one in those)
            what = f"{listed} together come from {total * 100:g} % of {name}"
            yield Finding("error", those[-1].at("from"), what, "their shares cannot pass 100 %")


def _circle(start: str, leads: Mapping[str, tuple[str, ...]]) -> list[str] | None:
    """The way from a name back to itself, None where there is none."""
    came: dict[str, str] = {}
    pending = [(name, start) for name in leads.get(start, ())]
    while pending:
        name, before = pending.pop()
        if name == start:
            way = [start]
            while before != start:
                way.append(before)
                before = came[before]
            return [*way[:1], *reversed(way[1:]), start]
        if name not in came and name in leads:
            came[name] = before
            pending.extend((further, name) for further in leads[name])
    return None


def _bases(model: ShopModel) -> Iterator[Finding]:
    """House bases: one recipe for each, none in a circle."""
    made: dict[str, Recipe] = {}
    for recipe in model.recipes.values():
        if recipe.makes is None:
            continue
        first = made.setdefault(recipe.makes, recipe)
        where = recipe.at("makes")
        if first is not recipe:
            what = f"'{recipe.makes}' is made by {first.where.partition(':')[0]} already"
            yield Finding("error", where, what, "let one of the two make it under another name")
        if recipe.makes in model.ingredients:
            what = f"'{recipe.makes}' is an ingredient too"
            yield Finding("error", where, what, "ingredients and house bases share one set of names; rename one")
    leads = {name: tuple(used for used in _used(recipe) if used in made) for name, recipe in made.items()}
    told: set[frozenset[str]] = set()
    for name, recipe in made.items():
        ring = _circle(name, leads)
        if ring and frozenset(ring) not in told:
            told.add(frozenset(ring))
            what = f"house bases go in a circle: {' needs '.join(ring)}"
            yield Finding("error", recipe.at("makes"), what, "one of them must do without the others")


def _used(recipe: Recipe) -> Iterator[str]:
    own = {part.name for part in recipe.parts[:-1]}
    for part in recipe.parts:
        for step in part.steps:
            if isinstance(step, (Add, Fold)):
                yield from (name for name in step.things if name not in own)


def _prices(model: ShopModel, as_of: date | None, reading: Reading) -> Iterator[Finding]:
    from costing.prices import checks

    if any(one.level == "error" and one.where.startswith("prices") for one in reading.findings):
        return  # a row that could not be read would come up again as a price that is missing
    partly = any(names is None or names for names in reading.broken.values())
    for one in checks.findings(model, as_of or model.as_of or days.today()):
        if one.level == "error" or not partly:
            yield one
