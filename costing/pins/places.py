"""A shop read as if other records were pinned in it, and where its pins stand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.findings import ShopError
from costing.shop import check, pinning, reader, sources

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from datetime import date
    from pathlib import Path

    from costing.findings import Finding
    from costing.shop.csv_lists import CsvList, Kind
    from costing.shop.models import ShopModel
    from costing.shop.reader import Origin
    from costing.shop.sources import Report
    from costing.shop.yaml_lines import Group
    from nutrition.foods.record import FoodRecord


def origin_of(place: Path) -> tuple[Origin, Report]:
    """What holds the contents of a shop, a folder or a workbook, and what takes the findings about it.

    Args:
        place: where it lies.

    Raises:
        ShopError: it cannot be opened.
    """
    if place.is_dir():
        return reader.FolderOrigin(place), sources.Report()
    from costing.shop.sheets import opening
    from costing.shop.sheets.papers import Sheets

    papers, report = opening.opened(opening.contents(place), place.name)
    return Sheets(papers), report


def files_of(origin: Origin) -> dict[str, str]:
    """Id to the file that pins it.

    Args:
        origin: the contents of a shop.
    """
    found: dict[str, str] = {}
    report = sources.Report()
    for _, file in origin.names(pinning.FOLDER, report):
        root = origin.root(file, report)
        one = root.get("id").plain() if root is not None and root.get("id") is not None else ""  # type: ignore[union-attr]
        if isinstance(one, str):
            found[one.strip().lower()] = file
    return found


class Overlaid:
    """The contents of a shop with other pins than its own.

    Args:
        origin: the contents.
        pins: the records that are pinned in place of all others.
        day: the day on which they would be.
    """

    def __init__(self, origin: Origin, pins: Mapping[str, FoodRecord], day: date) -> None:
        self.origin = origin
        self.pins = {pinning.file_of(key): pinning.entries(record, day) for key, record in pins.items()}

    def root(self, file: str, report: Report) -> Group | None:
        """The entries of a file."""
        return self.pins[file] if file in self.pins else self.origin.root(file, report)

    def names(self, folder: str, report: Report) -> list[tuple[str, str]]:
        """Short name and file of everything in a sub-folder."""
        if folder != pinning.FOLDER:
            return self.origin.names(folder, report)
        return [(file.removeprefix(f"{folder}/").removesuffix(".yaml"), file) for file in sorted(self.pins)]

    def lists(self, kind: Kind, report: Report) -> Iterable[tuple[CsvList, Iterator[tuple[int, Mapping[str, str]]]]]:
        """The lists of one kind."""
        return self.origin.lists(kind, report)


def read_as(place: Path, pins: Mapping[str, FoodRecord], day: date, as_of: date | None) -> ShopModel:
    """The shop as it would be with other pins.

    Args:
        place: where it lies.
        pins: the records that are pinned in place of all others, by id.
        day: the day on which they would be.
        as_of: the day for prices.

    Raises:
        ShopError: something in it must be mended first.
    """
    origin, report = origin_of(place)
    reading = reader.of_origin(place, Overlaid(origin, pins, day), report)
    found: list[Finding] = list(reading.findings)
    if reading.model is not None:
        found += check.findings(reading.model, as_of, reading)
    if reading.model is None or any(one.level == "error" for one in found):
        raise ShopError(reader.ordered(found))
    return reading.model
