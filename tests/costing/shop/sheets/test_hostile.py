"""Workbooks that nobody should open as a shop, and what may stand in one without harm."""

from __future__ import annotations

import io
import re
import zipfile
from pathlib import Path

import pytest

from costing.findings import Finding
from costing.shop.reader import read
from tests.costing.shop.sheets.conftest import DAY, Book


def packed_again(raw: bytes, change: dict[str, bytes]) -> bytes:
    """A workbook with some of its parts replaced, or new ones added."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, change.get(name, old.read(name)))
        for name in change.keys() - set(old.namelist()):
            new.writestr(name, change[name])
    return out.getvalue()


def refused(path: Path, raw: bytes) -> Finding:
    """What is said of a workbook that is not read."""
    path.write_bytes(raw)
    model, found = read(path, DAY)
    assert model is None
    assert path.read_bytes() == raw
    return found[0]


def test_a_bomb_is_not_unpacked(written: Path, tmp_path: Path) -> None:
    bomb = packed_again(written.read_bytes(), {"xl/media/big.bin": b"\0" * 300_000_000})
    assert len(bomb) < 5_000_000
    assert "unpacks to" in refused(tmp_path / "bomb.xlsx", bomb).what


def test_entities_are_not_resolved(written: Path, tmp_path: Path) -> None:
    raw = written.read_bytes()
    with zipfile.ZipFile(io.BytesIO(raw)) as packed:
        sheet = packed.read("xl/worksheets/sheet2.xml")
    evil = b'<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>' + sheet
    found = refused(tmp_path / "evil.xlsx", packed_again(raw, {"xl/worksheets/sheet2.xml": evil}))
    assert "XML that no spreadsheet program writes" in found.what


def test_a_damaged_sheet_is_told_and_nothing_is_written(written: Path, tmp_path: Path) -> None:
    raw = packed_again(written.read_bytes(), {"xl/workbook.xml": b"<workbook"})
    assert "damaged" in refused(tmp_path / "torn.xlsx", raw).what


def test_of_a_formula_its_last_value_is_taken_and_it_is_never_run(written: Path, tmp_path: Path) -> None:
    """A price by formula whose cell last showed 21.5: that is the price, though the formula says something else."""
    path = tmp_path / "shop.xlsx"
    made = Book(path, written)
    cell = made.cell("Prices", "price", "Cane sugar")
    book = made.book
    cell.value = "=HYPERLINK(1+1)"
    book.save(path)
    place = cell.coordinate
    number = book.sheetnames.index("Prices") + 1
    name = f"xl/worksheets/sheet{number}.xml"
    with zipfile.ZipFile(path) as packed:
        xml = packed.read(name).decode()
    shown = re.sub(rf'(<c r="{place}"[^>]*?)(?: t="\w+")?(><f>[^<]*</f>)<v ?/?>(?:</v>)?', r"\1\2<v>21.5</v>", xml)
    assert shown != xml
    path.write_bytes(packed_again(path.read_bytes(), {name: shown.encode()}))
    model, found = read(path, DAY)
    assert not [one for one in found if one.level == "error"]
    assert any("the values last calculated are taken" in one.what for one in found)
    assert model is not None
    assert {one.price for one in model.prices if one.item == "Cane sugar"} == {21.5}


def test_a_sheet_protected_from_slips_is_read(book: Book) -> None:
    for sheet in book.book:
        sheet.protection.sheet = True
    assert book.errors() == []


def test_what_is_said_of_the_shop_names_its_cell(book: Book) -> None:
    from costing.desk import Shop

    where = book.set("Shop", "value", "address", "12 Ropewalk; Port Ellery")
    book.book.save(book.path)
    found = [one.shown() for answer in Shop.open(book.path).answers() for one in answer.findings]
    told = {one.where for one in found if "the address has no" in one.what}
    assert told == {where}


@pytest.mark.parametrize("name", ["shop.xlsm", "shop.XLTM"])
def test_macros_by_name_alone(name: str, written: Path, tmp_path: Path) -> None:
    assert "macros" in refused(tmp_path / name, written.read_bytes()).what
