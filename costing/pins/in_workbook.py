"""Pins in a shop that is a workbook: rows of its sheet Pins, everything else in it as it was."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from costing.shop import pinning
from costing.shop.sheets import changing, laying, plan, xlsx_rows
from costing.shop.sheets.xlsx_parts import SurgeryError
from nutrition.foods import pins

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date
    from pathlib import Path

    from costing.shop.models import ShopModel
    from costing.shop.yaml_lines import Group
    from nutrition.foods.record import FoodRecord

HEADS: Final = ("pin", "entry", "value")
WHAT: Final = "the pins"


def put(place: Path, records: Mapping[str, FoodRecord], day: date) -> None:
    """Pin records in a workbook; those that are pinned already give way.

    Args:
        place: the workbook.
        records: by id.
        day: the day.

    Raises:
        ShopError: it cannot be read or written, or something else in it would be lost; nothing is written then.
    """
    book = changing.Opened(place)
    book.refuse_in_use(WHAT)
    standing = book.papers.below(pinning.FOLDER)
    names = {_id(root): name for name, root in standing.items()}
    for key, record in records.items():
        standing[names.get(key, pins.file_name(key))] = pinning.entries(record, day)
    rows = [
        cells
        for name, root in standing.items()
        for cells in laying.food_rows({"pin": name}, root, pins.KEYS, pins.LISTED)
    ]
    heads = book.heads(plan.PINS)
    columns = {head: heads.columns.get(head, 0) for head in HEADS}
    if not all(columns.values()):
        heads, columns = replace(heads, row=0), {head: at for at, head in enumerate(HEADS, 1)}
    try:
        written = xlsx_rows.put(book.raw, plan.PINS, heads.row, columns, rows)
    except SurgeryError as wrong:
        raise book.cannot(WHAT, wrong) from None
    book.refuse_loss(written, WHAT, ("pins", "origins", "foods"), lambda _, new: _apart(new, records))
    book.replace(written, WHAT)


def _id(root: Group) -> str:
    found = root.get("id")
    said = found.plain() if found is not None else ""
    return said.strip().lower() if isinstance(said, str) else ""


def _apart(new: ShopModel, records: Mapping[str, FoodRecord]) -> str:
    """A pin that would not be as it is meant."""
    apart = [key for key, one in records.items() if key not in new.pins or not pins.same(new.pins[key].record, one)]
    return f"{apart[0]} would be another" if apart else ""
