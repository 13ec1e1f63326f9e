"""A workbook as bytes, the same every time, and its way to the disk.

openpyxl stamps a file with the minute it is written; here the stamps are given, so that the same answers make
the same file. Sheets go straight into the archive, without temporary files of their own.
"""

from __future__ import annotations

import io
import os
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from openpyxl.drawing.spreadsheet_drawing import SpreadsheetDrawing
from openpyxl.writer.excel import ExcelWriter

from costing.workbook import rows

if TYPE_CHECKING:
    from datetime import date

    from openpyxl.workbook.workbook import Workbook


class _Archive(ZipFile):
    """A zip whose members all carry the same time."""

    def __init__(self, out: io.BytesIO, day: date) -> None:
        super().__init__(out, "w", ZIP_DEFLATED, compresslevel=3)
        # A zip knows no year before 1980.
        self._stamp = (max(1980, day.year), day.month, day.day, 0, 0, 0)

    def writestr(
        self, zinfo_or_arcname: Any, data: Any, compress_type: int | None = None, compresslevel: int | None = None
    ) -> None:
        info = ZipInfo(str(zinfo_or_arcname), self._stamp)
        info.compress_type = ZIP_DEFLATED
        info.external_attr = 0o600 << 16
        super().writestr(info, data, compress_type or ZIP_DEFLATED, compresslevel or 3)


class _Writer(ExcelWriter):
    def __init__(self, workbook: Workbook, archive: _Archive) -> None:
        super().__init__(workbook, archive)
        self._members = archive

    def write_worksheet(self, ws: Any) -> None:
        ws._drawing = SpreadsheetDrawing()
        ws._drawing.charts = ws._charts
        ws._drawing.images = ws._images
        writer = rows.Writer(ws, io.BytesIO())
        self._members.writestr(ws.path[1:], writer.xml())
        ws._rels = writer._rels  # type: ignore[attr-defined]
        self.manifest.append(ws)


def as_bytes(workbook: Workbook, day: date) -> bytes:
    """The workbook as the bytes of a file.

    Args:
        workbook: what to write.
        day: the day that all its time stamps show.
    """
    stamp = datetime(day.year, day.month, day.day, tzinfo=UTC).replace(tzinfo=None)
    workbook.properties.created = stamp
    workbook.properties.modified = stamp
    out = io.BytesIO()
    _Writer(workbook, _Archive(out, day)).save()
    return out.getvalue()


def place(data: bytes, path: Path, *, replace: bool) -> Path:
    """Put a file in its place, whole or not at all.

    Args:
        data: what it holds.
        path: where; the folder is made if need be.
        replace: whether an existing file gives way.

    Returns:
        The path.

    Raises:
        FileExistsError: it exists, and may not be replaced.
        OSError: it cannot be written (a full disk, no right to); nothing is left behind, what was there still is.
    """
    if not replace and (path.exists() or path.is_symlink()):
        raise FileExistsError(f"{path} exists already; it is kept unless replacing it is asked for")
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=".creamery-", suffix=".xlsx", dir=path.parent)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
        mask = os.umask(0)
        os.umask(mask)
        temporary.chmod(0o666 & ~mask)  # mkstemp makes files for the owner only
        temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)
    return path
