"""Pins in a shop that is a workbook: rows of its sheet Pins, everything else in it as it was."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing import files
from costing.findings import Finding, ShopError
from costing.pins import xlsx_rows
from costing.shop import pinning, reader
from costing.shop.sheets import grids, laying, opening, plan, turning
from costing.shop.sheets.papers import Sheets
from costing.shop.yaml_lines import Group
from nutrition.foods import pins

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date
    from pathlib import Path

    from costing.shop.models import ShopModel
    from nutrition.foods.record import FoodRecord

HEADS = ("pin", "entry", "value")
MEND = "close it in other programs, or turn it into a folder with: creamery convert"


def put(place: Path, records: Mapping[str, FoodRecord], day: date) -> None:
    """Pin records in a workbook; those that are pinned already give way.

    Args:
        place: the workbook.
        records: by id.
        day: the day.

    Raises:
        ShopError: it cannot be read or written, or something else in it would be lost; nothing is written then.
    """
    raw = opening.contents(place)
    papers, report = opening.opened(raw, place.name)
    standing = papers.below(pinning.FOLDER)
    names = {_id(root): name for name, root in standing.items()}
    for key, record in records.items():
        standing[names.get(key, pins.file_name(key))] = pinning.entries(record, day)
    rows = [
        cells
        for name, root in standing.items()
        for cells in laying.food_rows({"pin": name}, root, pins.KEYS, pins.LISTED)
    ]
    below, columns = _heads(raw, place.name)
    try:
        written = xlsx_rows.put(raw, plan.PINS, below, columns, rows)
    except xlsx_rows.SurgeryError as wrong:
        raise ShopError((Finding("error", str(place), f"the pins cannot be written: {wrong}", MEND),)) from None
    old = reader.of_origin(place, Sheets(papers), report).model
    _refuse_loss(old, opening.of_bytes(written, place).model, place, records)
    files.write(place, written, replace=True)


def _id(root: Group) -> str:
    found = root.get("id")
    said = found.plain() if found is not None else ""
    return said.strip().lower() if isinstance(said, str) else ""


def _heads(raw: bytes, file: str) -> tuple[int, dict[str, int]]:
    """Row and columns of the headings of the sheet; row 0 where there is no such sheet."""
    found, _ = grids.read(raw, file, (plan.PINS,))
    sheet = next((grid for grid in found if grids.low(grid.name) == grids.low(plan.PINS)), None)
    for number, cells in sheet.rows if sheet is not None else ():
        places = {grids.low(text): at for at, text in cells.items()}
        if places.keys() >= set(HEADS):
            return number, {head: places[head] for head in HEADS}
    return 0, {head: at for at, head in enumerate(HEADS, 1)}


def _refuse_loss(old: ShopModel | None, new: ShopModel | None, place: Path, records: Mapping[str, FoodRecord]) -> None:
    """Look at what would be written, read back: the pins as they are meant, and all else as it was."""
    lost = "it cannot be read"
    if old is not None and new is not None:
        apart = [key for key, one in records.items() if key not in new.pins or not pins.same(new.pins[key].record, one)]
        contents = [turning.content(one) for one in (old, new)]
        for one in contents:
            for name in ("pins", "origins", "foods"):
                one.pop(name)
        lost = f"{apart[0]} would be another" if apart else turning.difference(*contents)
    if lost:
        what = f"the pins cannot be written: {lost}"
        raise ShopError((Finding("error", str(place), what, "please send us this workbook; nothing was written"),))
