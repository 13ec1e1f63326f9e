"""What is wrong with the input, as values: where, what, and how to mend it.

>>> str(Finding("error", "recipes/quince.yaml:9", "there is no ingredient called 'creme'", "did you mean 'cream'?"))
"error recipes/quince.yaml:9: there is no ingredient called 'creme' (did you mean 'cream'?)"
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Literal

from costing.sheet_words import in_cells

Level = Literal["error", "warning", "note"]

_CELL = re.compile(r"(?:[^!]*:)?([^!:/]+)!([A-Z]{1,3})([0-9]+)")
_BEFORE_CELL = re.compile(
    r"(?:\b(?:recipes|specs|pins|prices|trials)/[^:\n]*\.(?:yaml|csv)|\b(?:shop|ingredients)\.yaml):(?=[^!:/]+![A-Z]{1,3}[0-9])"
)


def place(where: str) -> str:
    """A place as people see it.

    >>> place("recipes/quince.yaml:Recipes!D9"), place("recipes/quince.yaml:9")
    ('Recipes!D9', 'recipes/quince.yaml:9')
    """
    return where.rpartition(":")[2] if cell_place(where) else where


def cell_place(where: str) -> tuple[str, int] | None:
    """Sheet and order within it of a place that is a cell, None for any other.

    The full place of a cell names the file that a folder would have, then sheet and cell
    (``recipes/quince.yaml:Recipes!D9``), so that what belongs to one recipe can be told by it.

    >>> cell_place("recipes/quince.yaml:Recipes!D9"), cell_place("recipes/quince.yaml:9")
    (('Recipes', 9000004), None)
    """
    found = _CELL.fullmatch(where)
    if found is None:
        return None
    column = 0
    for letter in found[2]:
        column = column * 26 + ord(letter) - 64
    return found[1], int(found[3]) * 1_000_000 + column


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """One thing to know or to mend.

    Args:
        level: ``error`` (no answer before it is mended), ``warning`` or ``note``.
        where: file and line, relative to the shop folder (``recipes/quince.yaml:9``).
        what: what is wrong, one sentence without a full stop.
        mend: how to mend it, may be empty.
    """

    level: Level
    where: str
    what: str
    mend: str = ""

    def __str__(self) -> str:
        one = self.shown()
        tail = f" ({one.mend})" if one.mend else ""
        return f"{one.level} {one.where}: {one.what}{tail}"

    def shown(self) -> Finding:
        """The finding as people see it: a shop in a workbook has sheets and cells, and no files.

        >>> str(Finding("error", "recipes/quince.yaml:Recipes!D9", "no 'creme'", "add it to ingredients.yaml").shown())
        "error Recipes!D9: no 'creme' (add it to the sheet Ingredients)"
        """
        if "!" not in self.where or cell_place(self.where) is None:
            return self
        what, mend = (in_cells(_BEFORE_CELL.sub("", said)) for said in (self.what, self.mend))
        return replace(self, where=place(self.where), what=what, mend=mend)

    def as_json(self) -> dict[str, str]:
        """The finding as the machine-readable answers give it."""
        one = self.shown()
        return {"level": one.level, "where": one.where, "what": one.what, "mend": one.mend}


class ShopError(Exception):
    """The shop cannot be used; carries every finding at once.

    Args:
        findings: all of them, errors and others.
    """

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__("\n".join(str(f) for f in findings))
        self.findings = findings
