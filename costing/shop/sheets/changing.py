"""Changes a shop that is a workbook: what is written is read back first, and nothing else in it may have moved."""

from __future__ import annotations

import stat
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from costing import files
from costing.findings import Finding, ShopError
from costing.prices.intake.sheets import LARGEST
from costing.shop import reader
from costing.shop.sheets import grids, opening, turning
from costing.shop.sheets.headed import Headed
from costing.shop.sheets.papers import Sheets
from costing.shop.sheets.report import SheetReport

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping
    from pathlib import Path

    from costing.shop.models import ShopModel
    from costing.shop.reader import Reading
    from costing.shop.sheets.papers import Papers

MEND: Final = "close it in other programs, or turn it into a folder with: creamery convert"
_SIGNS: Final = (".~lock.{}#", "~${}")
"""Files that LibreOffice and Excel keep beside a workbook while it is open in them (as both can be seen to do)."""


@dataclass(frozen=True, slots=True)
class Heads:
    """The headings of a sheet.

    Args:
        there: whether there is such a sheet.
        row: where they stand, 0 where nothing was found.
        columns: heading to column, from 1.
        last: the last row in which something is read.
        findings: what is wrong with them.
    """

    there: bool
    row: int
    columns: Mapping[str, int]
    last: int
    findings: tuple[Finding, ...] = ()


class Opened:
    """A workbook as it lies there.

    Args:
        place: where.

    Raises:
        ShopError: it cannot be read.
    """

    def __init__(self, place: Path) -> None:
        self.name = place
        self.raw = opening.contents(place)
        self.place = place.resolve()  # a link stays a link
        self.papers: Papers
        self.papers, self._report = opening.opened(self.raw, place.name)
        self._reading: Reading | None = None

    @property
    def reading(self) -> Reading:
        """The shop in it."""
        if self._reading is None:
            self._reading = reader.of_origin(self.name, Sheets(self.papers), self._report)
        return self._reading

    def heads(self, sheet: str) -> Heads:
        """The headings of a sheet.

        Args:
            sheet: its name.
        """
        found, _ = grids.read(self.raw, self.name.name, (sheet,))
        report = SheetReport(self.name.name)
        grid = next((one for one in found if grids.low(one.name) == grids.low(sheet)), None)
        heads = Headed(found, report).heads(sheet)
        last = grid.rows[-1][0] if grid is not None and grid.rows else 0
        row, columns = heads or (0, {})
        return Heads(grid is not None, row, columns, last, tuple(report.findings))

    def refuse_in_use(self, what: str) -> None:
        """Stop where another program has the workbook open, or its owner has locked it.

        Args:
            what: would be written, for the finding: ``the pins``.

        Raises:
            ShopError: it is so.
        """
        for sign in _SIGNS:
            other = self.place.with_name(sign.format(self.place.name))
            if other.exists():
                said = f"{what} cannot be written: the workbook is open in a spreadsheet program"
                mend = f"save and close it there, then try again; if it is open nowhere, delete the file {other.name}"
                raise ShopError((Finding("error", str(self.name), said, mend),))
        if not self.place.stat().st_mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH):
            said = f"{what} cannot be written: the workbook may only be read"
            raise ShopError((Finding("error", str(self.name), said, "allow writing to it, then try again"),))

    def refuse_loss(
        self, written: bytes, what: str, apart: Collection[str], mine: Callable[[ShopModel, ShopModel], str]
    ) -> None:
        """Look at what would be written, read back: what is new as it is meant, and all else as it was.

        Args:
            written: the workbook as it would be.
            what: is new in it, for findings: ``the pins``.
            apart: entries of the shop that may be others.
            mine: says, of the shop as it is and as it would be, how the new is not as it is meant; empty where it is.

        Raises:
            ShopError: something would be lost, or the workbook has changed meanwhile.
        """
        old, again = self.reading, opening.of_bytes(written, self.name)
        lost = "it cannot be read"
        if old.model is not None and again.model is not None:
            before, after = (_without(one, apart) for one in (old.model, again.model))
            lost = mine(old.model, again.model) or turning.difference(before, after)
        fresh = {str(one) for one in again.findings if one.level == "error"} - {str(one) for one in old.findings}
        lost = lost or min(fresh, default="")
        mend = "please send us this workbook; nothing was written"
        if len(written) > LARGEST:
            lost, mend = f"the workbook would be larger than {LARGEST / 1e6:g} MB", "take old rows out of it"
        if not lost and self.place.read_bytes() != self.raw:
            lost, mend = "somebody has changed the workbook meanwhile", "try again"
        if lost:
            raise ShopError((Finding("error", str(self.name), f"{what} cannot be written: {lost}", mend),))

    def replace(self, written: bytes, what: str, beside: Mapping[Path, bytes | str] | None = None,
                over: Mapping[Path, bytes | str] | None = None) -> None:  # fmt: skip
        """Put the workbook in place of the one that is there; all of this is done, or nothing.

        Args:
            written: the workbook as it is to be.
            what: is new in it, for findings.
            beside: new files that belong to it.
            over: files that give way with it.

        Raises:
            ShopError: it is in use, or cannot be written.
        """
        self.refuse_in_use(what)
        files.write_all(beside or {}, over={**(over or {}), self.place: written})

    def cannot(self, what: str, why: object) -> ShopError:
        """The error for a workbook that is not laid out as others are."""
        return ShopError((Finding("error", str(self.name), f"{what} cannot be written: {why}", MEND),))


def _without(model: ShopModel, apart: Collection[str]) -> dict[str, Any]:
    found: dict[str, Any] = turning.content(model)
    return {name: value for name, value in found.items() if name not in apart}
