"""Opens a workbook as a shop: what :func:`costing.shop.reader.everything` gives for a folder, it gives for a file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from costing.findings import Finding, ShopError
from costing.prices.intake.sheets import LARGEST
from costing.shop import reader, sources
from costing.shop.sheets import grids, plan, reading
from costing.shop.sheets.papers import Sheets
from costing.shop.sheets.report import SheetReport

if TYPE_CHECKING:
    from pathlib import Path

    from costing.shop.reader import Reading
    from costing.shop.sheets.papers import Papers

_COMPOUND: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_MACROS: Final = (".xlsm", ".xltm")


def everything(path: Path) -> Reading:
    """Read what can be read of a shop in a workbook, errors or not.

    Args:
        path: the workbook.
    """
    try:
        raw = contents(path)
    except ShopError as wrong:
        return reader.Reading(None, wrong.findings)
    return of_bytes(raw, path)


def of_bytes(raw: bytes, path: Path) -> Reading:
    """The same for a workbook that is at hand.

    Args:
        raw: its bytes.
        path: where it lies, or will.
    """
    try:
        papers, report = opened(raw, path.name)
    except ShopError as wrong:
        return reader.Reading(None, wrong.findings)
    return reader.of_origin(path, Sheets(papers), report)


def opened(raw: bytes, file: str) -> tuple[Papers, SheetReport]:
    """The contents of a workbook, and what is wrong with its sheets.

    Args:
        raw: its bytes.
        file: its name.

    Raises:
        ShopError: it cannot be opened, or has none of the sheets of a shop.
    """
    found, notes = grids.read(raw, file, plan.plans())
    report = SheetReport(file)
    report.findings.extend(notes)
    if not any(grids.low(grid.name) in map(grids.low, plan.plans()) for grid in found):
        what = "the workbook has none of the sheets of a shop"
        mend = f"a shop has sheets {', '.join(plan.plans())}; creamery new --workbook makes one"
        raise ShopError((Finding("error", file, what, mend),))
    return reading.papers(found, report), report


def contents(path: Path) -> bytes:
    """The bytes of a workbook.

    Args:
        path: where it lies.

    Raises:
        ShopError: there is none, or it is not one that is read here.
    """
    report = sources.Report()
    if not path.exists() and not path.is_symlink():
        mend = f"check the name, or make a shop there with: creamery new --workbook {path.with_suffix('.xlsx')}"
        raise _refused(path, "there is no such file", mend)
    raw = sources.raw(path, str(path), LARGEST, report)
    if raw is None:
        raise ShopError(tuple(report.findings))
    if path.suffix.casefold() in _MACROS:
        what = "the workbook is of the kind that holds macros, and those are not read here"
        raise _refused(path, what, "save it as .xlsx, without macros")
    if not raw.strip(b"\0 \r\n\t"):
        raise _refused(path, "the file is empty", "take an earlier copy, or make one with: creamery new --workbook")
    if raw.startswith(_COMPOUND):
        if "EncryptedPackage".encode("utf-16-le") in raw:
            raise _refused(path, "the workbook is protected by a password", "take the password off")
        raise _refused(path, "this is a workbook of the old kind (.xls)", "save it as .xlsx")
    if not raw.startswith(b"PK"):
        raise _refused(
            path, "this is not a workbook, whatever its name says", "save it as .xlsx in a spreadsheet program"
        )
    return raw


def _refused(path: Path, what: str, mend: str) -> ShopError:
    return ShopError((Finding("error", str(path), what, mend),))
