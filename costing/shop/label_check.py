"""Checks what the label preparer says against the rest of the shop: ways of selling, parts, compounds, classes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from costing.findings import Finding
from costing.shop.building import nearest
from costing.shop.steps import Add, Fold
from nutrition.law.us import added_sugars, allergen_words

ALWAYS_ASKED = frozenset({"dairy", "egg", "egg yolk", "nut", "grain", "chocolate"})
"""Classes of which :mod:`costing.shop.check` asks where nothing is said."""

if TYPE_CHECKING:
    from costing.shop.models import Recipe, ShopModel
    from costing.shop.reader import Reading


def findings(model: ShopModel, reading: Reading) -> Iterator[Finding]:
    """What is wrong with what a shop says for its labels.

    Args:
        model: the shop, as far as it could be read.
        reading: what could not be read of it.
    """
    for name in model.business.wholesale if model.business else ():
        if name not in model.channels and not reading.hides("channels", name):
            mend = nearest(name, model.channels, "name one of the channels")
            yield Finding("error", model.at("business"), f"there is no way of selling called '{name}'", mend)
    yield from _sugars(model)
    for recipe in model.recipes.values():
        yield from _parts(recipe)
    if not any(reading.broken.get(section, frozenset()) for section in ("ingredients", "recipes")):
        yield from _opened(model)


def classes(model: ShopModel) -> Iterator[Finding]:
    """Ingredients that recipes use and whose class nobody said: much of a label hangs on it."""
    used = _used(model)
    for one in model.ingredients.values():
        if "kind" not in one.model_fields_set and one.name in used:
            what = f"nobody said of what class {one.name} is, so its added sugars and its part in the name are open"
            yield Finding("warning", one.where, what, "write class: sweetener, or whichever it is")


def _sugars(model: ShopModel) -> Iterator[Finding]:
    """Ingredients that are said to have more added sugars than their food record has sugars."""
    for one in model.ingredients.values():
        record = model.foods.get(one.food)
        if one.added_sugars is None or record is None:
            continue
        try:
            added_sugars.for_class(one.kind, record.composition, one.added_sugars.mid)
        except ValueError as wrong:
            mend = "say the share of its weight that is added sugars, or give it a record with its own sugars"
            yield Finding("error", one.at("added sugars"), f"{one.name}: {wrong}", mend)


def _used(model: ShopModel) -> frozenset[str]:
    """What recipes put into pots."""
    return frozenset(
        name
        for recipe in model.recipes.values()
        for part in recipe.parts
        for step in part.steps
        if isinstance(step, (Add, Fold))
        for name in step.things
    )


def allergens_unsaid(model: ShopModel) -> Iterator[Finding]:
    """Ingredients whose names speak of an allergen that they do not declare, and compounds that declare nothing."""
    used = _used(model)
    for one in model.ingredients.values():
        if one.name not in used or one.highly_refined:
            continue  # an oil is exempt, FD&C Act 201(qq)(2)(A)
        subs = tuple(sub.name for sub in one.made_of)
        said = "allergens" in one.model_fields_set
        missing = allergen_words.unsaid((one.name, one.label, *subs), one.allergens)
        listed = ", ".join(f"{allergen} ('{name}')" for allergen, name in missing.items())
        if missing:
            what = f"{one.name} speaks of {listed} and does not declare it"
            # Goat milk stands in the place of milk, and not beside it.
            kept = [text for text in one.allergens if not any(more.endswith(f" {text}") for more in missing)]
            mend = f"write allergens: [{', '.join((*kept, *missing))}], or rename it if it has none"
            yield Finding("warning", one.at("allergens"), what, mend)
        elif not said and (subs or one.kind == "other") and one.kind not in ALWAYS_ASKED:
            what = f"nothing is said of allergens of {one.name}, which is {'made of others' if subs else 'of no class'}"
            yield Finding("warning", one.where, what, "read its supplier's label and write them, or allergens: none")


def _parts(recipe: Recipe) -> Iterator[Finding]:
    parts = [part.name for part in recipe.parts]
    for name in recipe.bulky:
        if name not in parts:
            mend = nearest(name, parts, f"its parts are: {', '.join(parts)}")
            yield Finding("error", recipe.at("bulky"), f"there is no part called '{name}'", mend)


def _opened(model: ShopModel) -> Iterator[Finding]:
    known = [one.label for one in model.ingredients.values() if one.made_of]
    known += [part.label for recipe in model.recipes.values() for part in recipe.parts if part.label]
    low = {name.casefold() for name in known}
    chosen = [(model.at("label"), model.label), *((one.at("label"), one.label) for one in model.recipes.values())]
    for where, choices in chosen:
        for name in choices.opened if choices else ():
            if name.casefold() not in low:
                mend = nearest(name, known, "name it as it stands on the label")
                yield Finding("warning", where, f"no compound ingredient is called '{name}' on a label", mend)
