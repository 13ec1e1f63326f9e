"""The food records behind a shop's ingredients: its pins, its spec sheets, and what is found elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing.shop import pinning, words
from costing.shop.yaml_lines import line_at
from nutrition.foods import library, pin_reading, spec

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from costing.shop.models import Ingredient
    from costing.shop.reader import Origin
    from costing.shop.sources import Report
    from nutrition.foods.pins import Pin
    from nutrition.foods.record import FoodRecord


@dataclass(frozen=True, slots=True)
class Records:
    """What was found.

    Args:
        records: food id, as it is written, to record.
        origins: food id to where its record was found.
        pins: id to pin.
        spec_files: the spec sheets that were read.
        broken: names of spec sheets that are there but could not be read.
        ingredients: the ingredients, with what their records say of them where the shop does not say it itself.
    """

    records: Mapping[str, FoodRecord]
    origins: Mapping[str, str]
    pins: Mapping[str, Pin]
    spec_files: tuple[str, ...]
    broken: frozenset[str]
    ingredients: dict[str, Ingredient]


def read(origin: Origin, ingredients: Mapping[str, Ingredient], report: Report) -> Records:
    """Find the record of every ingredient.

    Args:
        origin: holds the contents of the shop.
        ingredients: its ingredients.
        report: takes what is wrong.
    """
    pinned, places = _pins(origin, report)
    records = {key: pin.record for key, pin in pinned.items()}
    specs, files, broken = _specs(origin, records, report)
    used = {library.canonical(one.food) for one in ingredients.values()} | {sheet.like for sheet in specs.values()}
    for key in pinned.keys() - used if ingredients else ():
        report.add(places[key], f"no ingredient uses the pin of {key}", "look at its id, or take the file away", "note")
    first: dict[str, Ingredient] = {}
    for one in ingredients.values():
        kind, _, name = one.food.partition(":")
        if one.food == words.UNDECIDED:
            mend = "add a line 'food: …'; creamery foods suggest proposes a record for each ingredient without one"
            report.add(one.at("food"), f"{one.name} needs 'food'", mend)
        elif not (kind.strip() == "spec" and name.strip() in broken):
            first.setdefault(one.food, one)
    found: dict[str, FoodRecord] = {}
    origins: dict[str, str] = {}
    for food_id, answer in library.find(first, specs, records, _fetch).items():
        if isinstance(answer, library.Found):
            found[food_id], origins[food_id] = answer.record, answer.origin
            _remark(first[food_id].at("food"), food_id, answer, report)
        else:
            what, _, mend = str(answer).partition("; ")
            report.add(first[food_id].at("food"), what, mend or "look it up with: creamery foods search")
    for one in ingredients.values():
        _compare_parts(one, found.get(one.food), report)
    with_parts = {name: pinning.with_parts(one, found.get(one.food)) for name, one in ingredients.items()}
    return Records(found, origins, pinned, files, broken, with_parts)


def _fetch(numbers: Iterable[str]) -> Mapping[str, library.Found | library.UnknownFoodError]:
    """Records of the web service: those that are kept, and the others by one quick question."""
    from nutrition.foods.fdc import web

    return web.Web(web.QUICK).fetch(numbers)


def _remark(where: str, food_id: str, found: library.Found, report: Report) -> None:
    """Say where a record came from that is not in the shop."""
    mend = "creamery foods pin keeps it in the shop"
    if found.origin == "web":
        report.add(where, f"the record of {food_id} was fetched from FoodData Central just now", mend, "note")
    elif found.origin == "old cache":
        what = f"the record of {food_id} is an old one: FoodData Central does not answer"
        report.add(where, what, mend, "warning")
    elif found.origin in ("cache", "library"):
        report.add(where, f"the record of {food_id} is on this computer only, not in the shop", mend, "note")


def _compare_parts(one: Ingredient, record: FoodRecord | None, report: Report) -> None:
    """Say where the shop and the record of an ingredient name other things that it is made of."""
    if record is None or not record.made_of or not one.made_of:
        return
    here = {sub.name.casefold() for sub in one.made_of}
    there = {name.casefold() for name, _ in record.made_of}
    if here != there:
        apart = ", ".join(sorted(here ^ there))
        what = f"{one.name} and its record {record.id} are not made of the same things: {apart}"
        report.add(one.at("made of"), what, "the shop's own list counts; mend whichever is wrong", "warning")


def _pins(origin: Origin, report: Report) -> tuple[dict[str, Pin], dict[str, str]]:
    """The pins by id, and where each stands."""
    found: dict[str, Pin] = {}
    places: dict[str, str] = {}
    files: dict[str, str] = {}
    for _, file in origin.names(pinning.FOLDER, report):
        root = origin.root(file, report)
        if root is None:
            continue
        pin, problems = pin_reading.record(root.plain())
        for way, what, mend in problems:
            report.add(report.where(file, line_at(root, way)), what, mend)
        if pin is None:
            continue
        where = report.where(file, root.line_of("id"))
        if pin.record.id in found:
            report.add(where, f"{pin.record.id} is pinned twice, first in {files[pin.record.id]}", "keep one of them")
            continue
        found[pin.record.id], files[pin.record.id], places[pin.record.id] = pin, file, where
        for what, mend in pinning.remarks(pin.record):
            report.add(where, what, mend, "note")
    return found, places


def _specs(
    origin: Origin, pinned: Mapping[str, FoodRecord], report: Report
) -> tuple[dict[str, FoodRecord], tuple[str, ...], frozenset[str]]:
    found: dict[str, FoodRecord] = {}
    files: list[str] = []
    broken: set[str] = set()
    for name, file in origin.names("specs", report):
        if name in found or name in broken:
            report.add(file, f"two files are called '{name}'", "rename one of them")
            continue
        root = origin.root(file, report)
        if root is None:
            broken.add(name)
            continue
        record, problems = spec.record(name, root.plain(), pinned)
        for where, what, mend in problems:
            report.add(report.where(file, line_at(root, where)), what, mend)
        if record is None:
            broken.add(name)
        else:
            found[name] = record
            files.append(file)
    return found, tuple(files), frozenset(broken)
