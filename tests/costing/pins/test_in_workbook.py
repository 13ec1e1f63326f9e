"""Pins in a workbook: they are read again as they were, and nothing else in the file has moved."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from openpyxl import load_workbook

from costing.desk import Shop
from costing.findings import ShopError
from costing.pins import in_workbook, keep
from costing.shop.sheets import turning, xlsx_parts, xlsx_rows
from nutrition.foods import pins, table
from tests.costing.command_line import CommandLine

DAY = date(2026, 3, 2)
CREAM = {"usda:01053": table.food("01053")}


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as packed:
        assert packed.testzip() is None
        return {name: packed.read(name) for name in packed.namelist()}


def sheet_of(path: Path, name: str) -> str:
    return xlsx_parts.Package(path.read_bytes()).sheet(name) or ""


def test_pinning_a_workbook(creamery: CommandLine, workbook: Path, shop: Path) -> None:
    before, label = parts(workbook), repr(Shop.open(workbook)["vanilla"].label())
    said = creamery("foods", "pin", workbook)
    assert said.code == 0
    opened = Shop.open(workbook)
    assert {key: pin.record.id for key, pin in opened.model.pins.items()}.keys() == keep.used(opened.model).keys()
    assert all(pins.same(pin.record, table.food(key[5:])) for key, pin in opened.model.pins.items())
    assert set(opened.model.origins.values()) == {"pin"}
    assert repr(opened["vanilla"].label()) == label
    after = parts(workbook)
    assert [name for name in after if after[name] != before.get(name)] == [sheet_of(workbook, "Pins")]
    book = load_workbook(workbook)
    assert [cell.value for cell in book["Pins"][4]][:3] == ["usda-01053", "id", "usda:01053"]
    assert book["Pins"].freeze_panes == "B4"
    assert book["Pins"]["A4"].font.bold
    turning.convert(workbook, shop.parent / "back")
    assert (shop.parent / "back/pins/usda-01053.yaml").exists()
    assert "pinned already" in creamery("foods", "pin", workbook).out


def test_a_pin_gives_way_to_another(workbook: Path) -> None:
    in_workbook.put(workbook, CREAM, DAY)
    other = replace(table.food("01049"), id="usda:01053")
    in_workbook.put(workbook, {"usda:01053": other, "usda:19335": table.food("19335")}, DAY)
    found = Shop.open(workbook).model.pins
    assert found.keys() == {"usda:01053", "usda:19335"}
    assert found["usda:01053"].record.name == other.name


def test_a_workbook_of_earlier_days_gets_the_sheet(workbook: Path) -> None:
    book = load_workbook(workbook)
    del book["Pins"]
    book.save(workbook)
    before = parts(workbook)
    in_workbook.put(workbook, CREAM, DAY)
    assert pins.same(Shop.open(workbook).model.pins["usda:01053"].record, CREAM["usda:01053"])
    after = parts(workbook)
    changed = {name for name in after if after[name] != before.get(name)}
    assert changed == {xlsx_parts.BOOK, xlsx_parts.RELATIONS, xlsx_parts.TYPES, "xl/worksheets/creamery-pins.xml"}
    assert load_workbook(workbook).sheetnames[-1] == "Pins"


def test_columns_stay_where_somebody_put_them(workbook: Path) -> None:
    book = load_workbook(workbook)
    sheet = book["Pins"]
    for cell, text in (("A3", "value"), ("B3", "pin"), ("C3", "entry")):
        sheet[cell] = text
    book.save(workbook)
    in_workbook.put(workbook, CREAM, DAY)
    assert load_workbook(workbook)["Pins"]["A4"].value == "usda:01053"
    assert Shop.open(workbook).model.pins.keys() == {"usda:01053"}


def test_formulas_elsewhere_keep_what_they_last_showed(workbook: Path) -> None:
    """A library that saves a workbook would drop the values of its formulas."""
    name = sheet_of(workbook, "Wages & costs")
    with zipfile.ZipFile(workbook) as packed:
        contents = {one: packed.read(one) for one in packed.namelist()}
    contents[name] = contents[name].replace(
        b"</sheetData>", b'<row r="60"><c r="A60" t="str"><f>1+1</f><v>wages</v></c></row></sheetData>'
    )
    with zipfile.ZipFile(workbook, "w") as packed:
        for one, data in contents.items():
            packed.writestr(one, data)
    in_workbook.put(workbook, CREAM, DAY)
    assert parts(workbook)[name] == contents[name]


def spoil(path: Path, name: str, change: tuple[bytes, bytes]) -> None:
    contents = parts(path)
    assert change[0] in contents[name]
    contents[name] = contents[name].replace(*change)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for one, data in contents.items():
            packed.writestr(one, data)
    path.write_bytes(out.getvalue())


def test_what_cannot_be_written_leaves_the_file_alone(workbook: Path) -> None:
    in_workbook.put(workbook, CREAM, DAY)
    name = sheet_of(workbook, "Pins")
    spoil(workbook, name, (b'<is><t xml:space="preserve">usda:01053</t></is>', b"<f>A1</f><v>usda:01053</v>"))
    before = workbook.read_bytes()
    with pytest.raises(ShopError, match="formulas among the rows"):
        in_workbook.put(workbook, CREAM, DAY)
    assert workbook.read_bytes() == before


def test_a_sheet_without_headings(workbook: Path) -> None:
    book = load_workbook(workbook)
    for cell in book["Pins"][3]:
        cell.value = None
    book.save(workbook)
    before = workbook.read_bytes()
    with pytest.raises(ShopError, match="no row of headings"):
        in_workbook.put(workbook, CREAM, DAY)
    assert workbook.read_bytes() == before


def test_something_that_would_be_lost_is_seen(workbook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put = xlsx_rows.put
    monkeypatch.setattr(
        xlsx_rows, "put", lambda raw, sheet, below, columns, rows: put(raw, sheet, below, columns, rows[:-5])
    )
    before = workbook.read_bytes()
    with pytest.raises(ShopError, match="would be another"):
        in_workbook.put(workbook, CREAM, DAY)
    assert workbook.read_bytes() == before
