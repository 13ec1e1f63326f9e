"""Opens a received list, whatever its name says it is: by its first bytes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from costing.findings import Finding
from costing.prices.intake import csv_sheet
from costing.prices.intake.sheets import LARGEST, Book, refuse
from costing.shop import sources

if TYPE_CHECKING:
    from pathlib import Path

_COMPOUND: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_OTHERS: Final = (
    (b"%PDF", "a PDF", "ask for the list as CSV or as a workbook (.xlsx)"),
    (b"\x89PNG", "a picture", "ask for the list as CSV or as a workbook (.xlsx)"),
    (b"\xff\xd8\xff", "a picture", "ask for the list as CSV or as a workbook (.xlsx)"),
    (b"{\\rtf", "a text document", "ask for the list as CSV or as a workbook (.xlsx)"),
    (b"7z\xbc\xaf", "an archive", "unpack it first"),
    (b"\x1f\x8b", "an archive", "unpack it first"),
    (b"Rar!", "an archive", "unpack it first"),
)
_NOTHING: Final = b"\0 \r\n\t"
_MACRO_ENDINGS: Final = (".xlsm", ".xltm", ".xlam")


def read(path: Path) -> Book:
    """Open a received list.

    Args:
        path: a CSV file or a workbook (.xlsx).

    Returns:
        Its sheets and its bytes.

    Raises:
        ShopError: it cannot be read; says why and what to do. Nothing has been changed.
    """
    report = sources.Report()
    raw = sources.raw(path, str(path), LARGEST, report)
    if raw is None:
        one = report.findings[0]
        missing = one.what == "the file is missing"
        raise refuse(
            one.where, "there is no such file" if missing else one.what, "check its name" if missing else one.mend
        )
    file = path.name
    if not (raw[:4096].strip(_NOTHING) or raw.strip(_NOTHING)):
        raise refuse(file, "the list is empty", "check the file, or ask for it again")
    if path.suffix.casefold() in _MACRO_ENDINGS:
        mend = "save it as .xlsx, without macros, or ask for it so"
        raise refuse(file, "the workbook is of the kind that holds macros, and those are not read here", mend)
    if raw.startswith(b"PK"):
        from costing.prices.intake import xlsx_sheet

        sheets, findings = xlsx_sheet.read(raw, file)
        return Book(file, raw, ".xlsx", sheets, "workbook", findings)
    _other(raw, file)
    sheet, how = csv_sheet.read(raw, file)
    notes: tuple[Finding, ...] = ()
    if path.suffix.casefold() in (".xls", ".xlsx"):
        notes = (Finding("note", file, "the name says workbook, and the file is plain text; it was read as CSV"),)
    return Book(file, raw, path.suffix.casefold() if path.suffix.casefold() in (".csv", ".txt", ".tsv") else ".csv",
                (sheet,), how, notes)  # fmt: skip


def _other(raw: bytes, file: str) -> None:
    if raw.startswith(_COMPOUND):
        if "EncryptedPackage".encode("utf-16-le") in raw:
            mend = "take the password off, or ask for it without one"
            raise refuse(file, "the workbook is protected by a password", mend)
        raise refuse(file, "this is a workbook of the old kind (.xls)", "save it as .xlsx, or ask for it so")
    for mark, what, mend in _OTHERS:
        if raw.startswith(mark):
            raise refuse(file, f"this is {what}, not a price list that can be read", mend)
    start = raw[:200].lstrip(b"\xef\xbb\xbf \r\n\t").lower()
    if start.startswith((b"<!doctype", b"<html", b"<?xml", b"<table")):
        raise refuse(file, "this is a web page, whatever its name says", "open it in a spreadsheet, save it as .xlsx")
