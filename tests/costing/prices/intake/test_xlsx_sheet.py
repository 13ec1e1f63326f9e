"""Workbooks: values taken, nothing run, and what is no workbook told from outside."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from costing.findings import ShopError
from costing.prices.intake import opened, xlsx_sheet
from costing.prices.intake.sheets import MOST_COLUMNS
from tests.costing.prices.intake.lists import refused, repacked, text_file, workbook

ROWS: list[list[Any]] = [["Item", "Pack", "Price"], ["Salt", "12 x 3 lb", 28.8], ["Sugar", "50 lb", 38.5]]


def test_cells_come_with_their_kind_and_their_row(tmp_path: Path) -> None:
    path = workbook(tmp_path, [["List of", datetime(2026, 2, 23)], [], *ROWS])
    (sheet,) = opened.read(path).sheets
    assert sheet.rows[0][:2] == ("List of", datetime(2026, 2, 23))
    assert sheet.rows[2][:3] == ("Salt", "12 x 3 lb", 28.8)
    assert list(sheet.numbers) == [1, 3, 4, 5]
    assert sheet.where(4) == "list.xlsx[Prices]:4"


def test_a_formula_gives_its_last_value_and_is_not_run(tmp_path: Path) -> None:
    path = workbook(tmp_path, [*ROWS, ["Honey", "12 lb", "=1/0"], ["Milk", "4 x 1 gal", "=HYPERLINK(1)"]])

    def values(parts: dict[str, bytes]) -> None:
        name = "xl/worksheets/sheet1.xml"
        parts[name] = (
            parts[name]
            .replace(b"<f>1/0</f><v></v>", b"<f>1/0</f><v>49.8</v>")
            .replace(b"<f>1/0</f><v />", b"<f>1/0</f><v>49.8</v>")
        )

    book = opened.read(repacked(path, values))
    assert book.sheets[0].rows[3][:3] == ("Honey", "12 lb", 49.8)
    assert book.sheets[0].rows[4][2] is None
    assert any("formulas" in one.what for one in book.findings)


def test_a_link_is_its_text_and_is_not_followed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("a list must not reach for the network")

    monkeypatch.setattr("socket.socket.connect", refuse)
    path = tmp_path / "linked.xlsx"
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row in (*ROWS, ["Honey", "12 lb", "=[1]Prices!B2"]):
        sheet.append(row)
    for cell in ("A2", "C2"):
        sheet[cell].hyperlink = "http://prices.invalid/today"
    book.save(path)

    def elsewhere(parts: dict[str, bytes]) -> None:
        # A link to another workbook, as programs write it: the formula, and what it last came to.
        name = "xl/worksheets/sheet1.xml"
        for empty in (b"<v></v>", b"<v />", b"<v/>"):
            parts[name] = parts[name].replace(b"<f>[1]Prices!B2</f>" + empty, b"<f>[1]Prices!B2</f><v>49.8</v>")
        parts["xl/externalLinks/externalLink1.xml"] = b"<externalLink/>"

    rows = opened.read(repacked(path, elsewhere)).sheets[0].rows
    assert list(rows[1])[:3] == list(ROWS[1])[:3]
    assert rows[-1][:3] == ("Honey", "12 lb", 49.8)


def test_hidden_sheets_are_left_alone_and_told(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    one = book.active
    assert one is not None
    for row in ROWS:
        one.append(row)
    hidden = book.create_sheet("Costs")
    hidden.append(["Secret", "1 lb", 3])
    hidden.sheet_state = "hidden"
    book.save(tmp_path / "list.xlsx")
    read = opened.read(tmp_path / "list.xlsx")
    assert [sheet.name for sheet in read.sheets] == ["Sheet"]
    assert "hidden" in read.findings[0].what


def add(name: str, data: bytes) -> Callable[[dict[str, bytes]], None]:
    def change(parts: dict[str, bytes]) -> None:
        parts[name] = data

    return change


def test_macros_are_refused_by_name_and_by_content(tmp_path: Path) -> None:
    assert "macros" in refused(workbook(tmp_path, ROWS, "list.xlsm"))
    path = workbook(tmp_path, ROWS)
    assert "macros" in refused(repacked(path, add("xl/vbaProject.bin", b"x")))
    path = workbook(tmp_path, ROWS)

    def kind(parts: dict[str, bytes]) -> None:
        name = "[Content_Types].xml"
        parts[name] = parts[name].replace(
            b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
            b"application/vnd.ms-excel.sheet.macroEnabled.main+xml",
        )

    assert "macros" in refused(repacked(path, kind))


def test_a_document_type_is_refused(tmp_path: Path) -> None:
    # An entity that stands for itself ten times over, nine times: the "billion laughs" of XML.
    path = workbook(tmp_path, ROWS)

    def laugh(parts: dict[str, bytes]) -> None:
        name = "xl/worksheets/sheet1.xml"
        head, _, rest = parts[name].partition(b"<worksheet")
        parts[name] = head + b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]><worksheet' + rest

    assert "no spreadsheet program" in refused(repacked(path, laugh))


def test_bombs_are_weighed_before_they_are_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = workbook(tmp_path, ROWS)
    bomb = repacked(path, add("xl/media/a.bin", b"\0" * 40_000_000))
    assert bomb.stat().st_size < 100_000

    def never(*_: object, **__: object) -> None:
        raise AssertionError("it was opened")

    monkeypatch.setattr(openpyxl, "load_workbook", never)
    assert "times its size" in refused(bomb)
    monkeypatch.setattr(xlsx_sheet, "MOST_UNPACKED", 30_000_000)
    assert "MB" in refused(bomb)
    many = workbook(tmp_path, ROWS, "many.xlsx")

    def crowd(parts: dict[str, bytes]) -> None:
        parts.update({f"x/{i}": b"" for i in range(xlsx_sheet.MOST_PARTS)})

    assert "files" in refused(repacked(many, crowd))


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_workbook_cut_short_is_told_damaged(tmp_path: Path, share: float) -> None:
    raw = workbook(tmp_path, ROWS).read_bytes()
    assert "damaged" in refused(text_file(tmp_path, raw[: int(len(raw) * share)], "cut.xlsx"))


def test_a_workbook_with_a_bad_inside_is_told_damaged(tmp_path: Path) -> None:
    for name in ("xl/workbook.xml", "xl/worksheets/sheet1.xml", "[Content_Types].xml"):
        path = workbook(tmp_path, ROWS)
        assert "damaged" in refused(repacked(path, add(name, b"<a><b></a>")))
    raw = bytearray(workbook(tmp_path, ROWS).read_bytes())
    at = raw.index(b"PK\x03\x04", 10) + 60
    raw[at : at + 20] = b"\xff" * 20
    assert "damaged" in refused(text_file(tmp_path, bytes(raw), "bits.xlsx"))


def test_a_zip_that_is_encrypted_or_no_workbook(tmp_path: Path) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("readme.txt", "hello")
    assert "a ZIP file" in refused(text_file(tmp_path, out.getvalue(), "a.xlsx"))
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
    assert "OpenDocument" in refused(text_file(tmp_path, out.getvalue(), "a.xlsx"))
    raw = bytearray(workbook(tmp_path, ROWS).read_bytes())
    for at in range(len(raw) - 4):
        if raw[at : at + 4] == b"PK\x01\x02":
            raw[at + 8] |= 1  # the bit that says that a part is encrypted
    assert "password" in refused(text_file(tmp_path, bytes(raw), "locked.xlsx"))


def test_a_million_empty_rows_end_soon(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    one = book.active
    assert one is not None
    for row in ROWS:
        one.append(row)
    one.cell(1_048_576, 1, "far below")
    book.save(tmp_path / "list.xlsx")
    read = opened.read(tmp_path / "list.xlsx")
    assert len(read.sheets[0].rows) == 3
    (told,) = read.findings
    assert "nothing is read below row 3" in told.what


def test_a_million_rows_that_are_there_and_empty_end_soon(tmp_path: Path) -> None:
    path = workbook(tmp_path, ROWS)

    def rows(parts: dict[str, bytes]) -> None:
        name = "xl/worksheets/sheet1.xml"
        # Spread by different attributes, so that they do not pack like a bomb.
        empty = b"".join(b'<row r="%d" ht="%d.%d"/>' % (i, i * 7919 % 400, i * 104729 % 97) for i in range(4, 300_000))
        parts[name] = parts[name].replace(b"</sheetData>", empty + b"</sheetData>")

    assert len(opened.read(repacked(path, rows)).sheets[0].rows) == 3


def test_a_stray_cell_far_to_the_right_does_not_widen_every_row(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    one = book.active
    assert one is not None
    for row in ROWS:
        one.append(row)
    one.cell(2, 16_384, "stray")
    book.save(tmp_path / "list.xlsx")
    (sheet,) = opened.read(tmp_path / "list.xlsx").sheets
    assert max(map(len, sheet.rows)) <= MOST_COLUMNS
    assert sheet.rows[1][:3] == ("Salt", "12 x 3 lb", 28.8)


def test_an_empty_workbook_says_so(tmp_path: Path) -> None:
    assert "nothing in it" in refused(workbook(tmp_path, []))


def test_the_error_carries_one_finding_with_a_mend(tmp_path: Path) -> None:
    with pytest.raises(ShopError) as told:
        opened.read(workbook(tmp_path, ROWS, "list.xlsm"))
    assert told.value.findings[0].where == "list.xlsm"
