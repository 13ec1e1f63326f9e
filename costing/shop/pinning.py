"""Pins as the files of a shop folder, and what there is to say of one beside its source."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from costing.amounts import Figure, SubIngredient
from costing.shop.yaml_lines import Group, Text
from nutrition.foods import differences, pins, sums, table

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date

    from costing.shop.models import Ingredient
    from nutrition.foods.record import FoodRecord

FOLDER: Final = "pins"


def file_of(food_id: str) -> str:
    """The file that a food is pinned in.

    >>> file_of("usda:01053")
    'pins/usda-01053.yaml'
    """
    return f"{FOLDER}/{pins.file_name(food_id)}.yaml"


def entries(record: FoodRecord, day: date) -> Group:
    """A record as the entries of its pin.

    Args:
        record: a record of a source outside the shop.
        day: the day it is pinned.
    """
    return _group(pins.texts(record, day.isoformat()))


def _group(texts: dict[str, Any]) -> Group:
    return Group(
        1,
        {key: (1, _group(value) if isinstance(value, dict) else Text(1, value)) for key, value in texts.items()},
    )


def text(record: FoodRecord, day: date) -> str:
    """A record as the file that pins it.

    Args:
        record: a record of a source outside the shop.
        day: the day it is pinned.
    """
    from costing.shop.sheets.files import yaml_text

    head = (
        "# What labels are made from, kept so that they can be made again; creamery label --refresh looks for news.\n"
    )
    return head + yaml_text(entries(record, day))


def remarks(record: FoodRecord) -> Iterator[tuple[str, str]]:
    """What there is to say of a pin: what, and what to do about it.

    Args:
        record: the pinned record.
    """
    if record.id.startswith("usda:"):
        try:
            here = table.food(record.id.removeprefix("usda:"))
        except KeyError:
            yield f"{record.id} is in no release that comes with creamery", "check its number; the pin is used as it is"
        else:
            if pins.same(record, here):
                return
            said = differences.words(differences.between(record, here))
            what = f"the pin of {record.id} differs from the table that comes with creamery ({here.release}): {said}"
            yield what, "the pin is used; creamery label --refresh shows what the other would change"
    for doubt in sums.doubts(record):
        yield f"the pin of {record.id} is doubtful: {doubt.what}", "look at its values, or ask a supplier for a sheet"


def with_parts(entry: Ingredient, record: FoodRecord | None) -> Ingredient:
    """An ingredient that is made of what its record says, where the shop does not say it itself.

    Args:
        entry: the shop's entry.
        record: its food record, None where it has none.
    """
    if record is None or not record.made_of or entry.made_of:
        return entry
    made_of = tuple(
        SubIngredient(name, None if share is None else Figure(share, share, f"{100 * share:g} %"))
        for name, share in record.made_of
    )
    return entry.model_copy(update={"made_of": made_of})
