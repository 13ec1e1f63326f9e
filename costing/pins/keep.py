"""Pins what a shop's labels are made from and is not pinned yet. No label changes by it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing import files
from costing.findings import Finding, ShopError
from costing.pins import places
from costing.shop import pinning
from nutrition.foods import library, pins

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date
    from pathlib import Path

    from costing.shop.models import ShopModel
    from nutrition.foods.record import FoodRecord


def used(model: ShopModel) -> dict[str, FoodRecord]:
    """The records of outside sources that a shop's labels are made from, by id.

    Those that a spec sheet is like are among them.

    Args:
        model: the shop.
    """
    found = {record.id: record for record in model.foods.values() if pins.may_be_pinned(record.id)}
    for record in tuple(model.foods.values()):
        if record.like and record.like not in found:
            pin = model.pins.get(record.like)
            found[record.like] = pin.record if pin else library.resolve(record.like, {})
    return dict(sorted(found.items()))


def unpinned(model: ShopModel) -> dict[str, FoodRecord]:
    """Those of them that are not pinned."""
    return {key: record for key, record in used(model).items() if key not in model.pins}


def put(place: Path, records: Mapping[str, FoodRecord], day: date) -> tuple[str, ...]:
    """Pin records in a shop; those that are pinned already give way.

    Args:
        place: the shop, a folder or a workbook.
        records: by id.
        day: the day.

    Returns:
        The files that were written.

    Raises:
        ShopError: they cannot be written; nothing is then.
    """
    if not records:
        return ()
    if not place.is_dir():
        from costing.pins import in_workbook

        in_workbook.put(place, records, day)
        return (str(place),)
    origin, _ = places.origin_of(place)
    known = places.files_of(origin)
    contents: dict[Path, bytes | str] = {}
    for key, record in records.items():
        path = place / known.get(key, pinning.file_of(key))
        if key not in known and path.exists():
            what = f"{pinning.file_of(key)} pins something else than {key}"
            raise ShopError((Finding("error", pinning.file_of(key), what, "move it away, or mend its id"),))
        contents[path] = pinning.text(record, day)
    files.write_all(contents, replace=True)
    return tuple(path.relative_to(place).as_posix() for path in contents)
