"""Received lists for the tests, made on the spot."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl

from costing.findings import ShopError
from costing.prices.intake.lines import Lines, locate, take
from costing.prices.intake.mapping import Mapped
from costing.prices.intake.opened import read

TODAY = date(2026, 3, 2)

NORTH = """\
BARROW NORTH FOODS,,,,,
Prices effective 02/23/2026,,,,,
,,,,,
Item No,Description,Pack,UOM,Case Price,$/LB
DAIRY,,,,,
10021,CREAM HVY 36% UHT,12/32 OZ,CS,$58.80,
10022,MILK WHL,4/1 GAL,CS,$16.10,
10023,BTTR UNSLT,36/1#,CS,$126.00,
Item No,Description,Pack,UOM,Case Price,$/LB
10031,SUGAR GRAN CANE,50#,BG,38.50,
10032,PISTACHIOS SHELLED RAW,2/10# AVG,CS,,9.85
10033,EGGS LARGE LOOSE,15 dz,CS,44.10,
10036,NAPKINS,500 ct,CS,12.00,
,Total,,,999.00,
Page 1 of 2,,,,,
"""
"""A list with titles, sections, the heads twice, a catch weight, a total and a foot; USD."""


def text_file(folder: Path, content: str | bytes, name: str = "list.csv") -> Path:
    """A file with this content."""
    path = folder / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def workbook(folder: Path, rows: Iterable[Sequence[Any]], name: str = "list.xlsx", sheet: str = "Prices") -> Path:
    """A workbook of one sheet."""
    book = openpyxl.Workbook()
    one = book.active
    assert one is not None
    one.title = sheet
    for row in rows:
        one.append(list(row))
    path = folder / name
    book.save(path)
    return path


def repacked(path: Path, change: Callable[[dict[str, bytes]], None], compression: int = zipfile.ZIP_DEFLATED) -> Path:
    """The same workbook with its inner files changed."""
    with zipfile.ZipFile(path) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    change(parts)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", compression) as packed:
        for name, data in parts.items():
            packed.writestr(name, data)
    path.write_bytes(out.getvalue())
    return path


def refused(path: Path) -> str:
    """What is said of a file that cannot be opened; it must be one error with a mend."""
    try:
        read(path)
    except ShopError as error:
        (one,) = error.findings
        assert one.level == "error"
        assert one.mend
        return one.what
    raise AssertionError("the file was opened")


def mapped(columns: dict[str, str], **other: Any) -> Mapped:
    """A confirmed mapping of the supplier North."""
    given: dict[str, Any] = {"heads": tuple(columns.values()), "currency": "USD", "decimals": "point"} | other
    return Mapped("North", True, columns, **given)


def goods(path: Path, one: Mapped, home: str = "USD") -> Lines:
    """The goods of the one sheet that a mapping can read."""
    ((sheet, head),) = locate(read(path).sheets, one)
    return take(sheet, head, one, home)
