"""The contents of a shop, whatever holds them: entries by file as a folder would have them, and rows of lists.

A folder and a workbook both come to this; everything that is checked is checked behind it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from costing.shop import csv_lists

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from costing.shop.csv_lists import CsvList, Kind
    from costing.shop.sources import Report
    from costing.shop.yaml_lines import Group

SHOP: Final = "shop.yaml"
INGREDIENTS: Final = "ingredients.yaml"

Row = tuple[int, dict[str, str]]
"""Line and cells by column."""


@dataclass(slots=True)
class Papers:
    """The contents of a shop.

    Args:
        roots: the entries of each file, by its name in a folder (``recipes/quince.yaml``), in order.
        lists: the rows of each list, by its name in a folder (``prices/2026-03-02-dairy.csv``), in order.
    """

    roots: dict[str, Group] = field(default_factory=dict)
    lists: dict[str, list[Row]] = field(default_factory=dict)

    def below(self, folder: str) -> dict[str, Group]:
        """The entries of the files of a sub-folder, by the file's name without its ending.

        >>> from costing.shop.yaml_lines import Group
        >>> list(Papers({"recipes/quince.yaml": Group(1), "shop.yaml": Group(1)}).below("recipes"))
        ['quince']
        """
        start = f"{folder}/"
        return {
            file.removeprefix(start).rpartition(".")[0]: root
            for file, root in self.roots.items()
            if file.startswith(start)
        }


class Sheets:
    """Papers as :class:`costing.shop.reader.Origin`: what the reader of a shop asks for.

    Args:
        papers: the contents.
    """

    def __init__(self, papers: Papers) -> None:
        self.papers = papers

    def names(self, folder: str, report: Report) -> list[tuple[str, str]]:  # noqa: ARG002
        """Short name and file of everything in a sub-folder."""
        return [(name, f"{folder}/{name}.yaml") for name in self.papers.below(folder)]

    def root(self, file: str, report: Report) -> Group | None:  # noqa: ARG002
        """The entries of a file; what is missing has been told."""
        found = self.papers.roots.get(file)
        return found if found is not None and found.entries else None

    def lists(self, kind: Kind, report: Report) -> Iterator[tuple[CsvList, Iterator[tuple[int, Mapping[str, str]]]]]:
        """The lists of one kind, each with its rows."""
        for file, rows in sorted(self.papers.lists.items()):
            if file.startswith(f"{kind.folder}/"):
                yield csv_lists.CsvList(file, kind, report), iter(rows)


def of_folder(folder: Path, report: Report) -> Papers:
    """The papers of a shop folder.

    Args:
        folder: where it lies.
        report: takes what cannot be read.
    """
    from costing.shop import pricelists, triallists
    from costing.shop.reader import FolderOrigin

    origin = FolderOrigin(folder)
    papers = Papers()
    files = [
        SHOP,
        INGREDIENTS,
        *(file for kind in ("specs", "pins", "recipes") for _, file in origin.names(kind, report)),
    ]
    for file in files:
        root = origin.root(file, report)
        if root is not None:
            # A spec sheet that came as CSV is the same sheet in YAML.
            papers.roots[re.sub(r"[.]csv$", ".yaml", file, flags=re.IGNORECASE)] = root
    for kind in (pricelists.KIND, triallists.KIND):
        for one, rows in origin.lists(kind, report):
            papers.lists[one.file] = [(line, dict(cells)) for line, cells in rows]
    return papers
