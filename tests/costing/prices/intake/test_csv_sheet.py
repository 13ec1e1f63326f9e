"""CSV files in any dress, and what is no list at all."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.prices.intake import csv_sheet, opened
from costing.prices.intake.csv_columns import Across, cut
from costing.prices.intake.sheets import MOST_ROWS, Sheet, tidy
from tests.costing.prices.intake.lists import refused, text_file

ROWS = [["Item", "Pack", "Price"], ["Crème fraîche", "6 x 500 mL", "12,50 €"], ["Käse, jung", "2,5 kg", "31,00 €"]]


def dressed(sign: str, ending: str = "\r\n") -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=sign, lineterminator=ending).writerows(ROWS)
    return out.getvalue()


def rows(raw: bytes) -> list[list[Any]]:
    sheet, _ = csv_sheet.read(raw, "list.csv")
    return [list(row) for row in sheet.rows]


@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252"])
def test_every_sign_in_every_encoding(sign: str, codec: str) -> None:
    assert rows(dressed(sign).encode(codec)) == ROWS


def test_latin_1_where_windows_has_no_such_character() -> None:
    text = "Item;Price\nCrème\x81;3\n"
    assert csv_sheet.decode(text.encode("latin-1"), "x") == (text, "Latin-1")


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_every_line_ending(ending: str) -> None:
    assert rows(dressed(";", ending).encode()) == ROWS


def test_the_line_that_names_the_sign_is_obeyed() -> None:
    sheet, _ = csv_sheet.read(b"sep=;\nItem;Price\nSalt, fine;3,20\n", "list.csv")
    assert [list(row) for row in sheet.rows] == [["Item", "Price"], ["Salt, fine", "3,20"]]
    assert list(sheet.numbers) == [2, 3]


def test_decimal_commas_are_not_taken_for_the_sign() -> None:
    assert rows(b"Item;Price\nSalt;3,20\nSugar;4,10\nHoney;9,90\n")[1] == ["Salt", "3,20"]


def test_rows_are_numbered_by_the_line_they_begin_in() -> None:
    sheet, _ = csv_sheet.read(b'Item,Price\n"Salt,\nfine",3\nSugar,4\n', "list.csv")
    assert list(sheet.numbers) == [1, 2, 4]
    assert sheet.where(4) == "list.csv:4"


@pytest.mark.parametrize(
    ("raw", "what"),
    [
        (b"", "empty"),
        (b"\r\n \n", "empty"),
        (b'Item,Price\n"Salt,3\nSugar,4\n', "not closed"),
        (b'Item,Price\n"Salt"x,3\n', "cannot be read"),
        (b"\x00\x01\x02" * 50, "not a text file"),
        (b"Item,Price\nSalt,3\n" * 300 + b"\0", "not a text file"),
        (b"\xff\xfeI", "byte"),
        (b"%PDF-1.7 ...", "a PDF"),
        (b"\x89PNG....", "a picture"),
        (b"<html><table>", "a web page"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 100, "old kind"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "EncryptedPackage".encode("utf-16-le"), "password"),
        (b"," * 500 + b"\n1,2\n", "columns"),
        (b"a\n" * (MOST_ROWS + 1), "lines"),
    ],
)  # fmt: skip
def test_what_is_no_list_says_so(tmp_path: Path, raw: bytes, what: str) -> None:
    path = text_file(tmp_path, raw)
    assert what in refused(path)


def test_a_file_that_is_not_there_or_too_large(tmp_path: Path) -> None:
    assert "no such file" in refused(tmp_path / "nothing.csv")
    assert "not a file" in refused(tmp_path)
    large = tmp_path / "large.csv"
    with large.open("wb") as out:
        out.truncate(20_000_001)
    assert "larger than" in refused(large)


def test_text_that_is_called_a_workbook_is_read_and_told(tmp_path: Path) -> None:
    book = opened.read(text_file(tmp_path, "Item,Price\nSalt,3\n", "list.xlsx"))
    assert book.ending == ".csv"
    assert "plain text" in book.findings[0].what


CELL = st.text(st.sampled_from('ab 1,;"=-.\t$é€'), max_size=6)


def not_plain(cell: str) -> bool:
    return not cell.isascii() or tidy(cell) != cell


@given(
    st.integers(1, 4).flatmap(
        lambda wide: st.lists(st.lists(CELL, min_size=wide, max_size=wide), min_size=1, max_size=6)
    )
)
def test_the_quick_way_gives_the_same_cells_or_steps_aside(body: list[list[str]]) -> None:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([["h"] * len(body[0])] * 150 + body)
    text = out.getvalue().rstrip("\n")
    quick = cut(text.encode(), text, ",")
    if quick is not None:
        assert [list(row) for row in quick] == list(csv.reader(io.StringIO(text, newline="")))
        # What is told from the text as a whole is what each cell would tell.
        cells = [cell for column in quick.columns for cell in column]
        untidy = {at for at, column in enumerate(quick.columns) if any(map(not_plain, column))}
        assert quick.text.untidy(len(quick.columns)) == untidy
        assert quick.text.begins_with("=+-@") == any(cell.startswith(("=", "+", "-", "@")) for cell in cells)
        assert quick.text.longest == max(len(cell.encode()) for cell in cells)


@pytest.mark.parametrize("end", ["", "\n", "\n\n\n", "\n" * 300, "\r\n\r\n"])
@pytest.mark.parametrize("rows", [99, 100, 101, 239, 240, 500])
def test_empty_lines_at_the_end_do_not_matter(rows: int, end: str) -> None:
    text = "\n".join(["Item,Pack,Price", *(f"Thing {n},1 lb,{n}" for n in range(1, rows))]) + end
    sheet, _ = csv_sheet.read(text.encode(), "x")
    kept = [list(row) for row in sheet.rows if any(row)]
    assert len(kept) == rows
    assert kept[-1] == [f"Thing {rows - 1}", "1 lb", str(rows - 1)]


def test_the_quick_way_is_taken_for_long_plain_lists() -> None:
    text = "Title,,\nItem,Pack,Price\n" + "\n".join(f'Thing {i},4/1 GAL,"${i + 1000:,.2f}"' for i in range(500))
    quick = cut(text.encode(), text, ",")
    assert isinstance(quick, Across)
    assert quick[-1] == ["Thing 499", "4/1 GAL", "$1,499.00"]
    assert list(quick[1:3]) == [["Item", "Pack", "Price"], ["Thing 0", "4/1 GAL", "$1,000.00"]]
    sheet, _ = csv_sheet.read(text.encode(), "x")
    assert isinstance(sheet, Sheet)
    assert isinstance(sheet.rows, Across)


@pytest.mark.parametrize(
    ("line", "cells"),
    [
        ('a,"b""c",d', ["a", 'b"c', "d"]),
        ('"""a""","","b"""', ['"a"', "", 'b"']),
        ('"a, ""b""",c,""""', ['a, "b"', "c", '"']),
        ("ä,€ 3,日本", ["ä", "€ 3", "日本"]),
    ],
)
def test_the_quick_way_knows_doubled_marks_and_every_letter(line: str, cells: list[str]) -> None:
    text = "\n".join(["a,b,c"] * 200 + [line] + ["a,b,c"])
    for raw, utf8 in ((text.encode(), True), (text.encode("utf-16"), False)):
        quick = cut(raw, text, ",", utf8=utf8)
        assert quick is not None
        assert quick[200] == cells


@pytest.mark.parametrize("odd", ["a,b", 'a,"b,c', 'a,b"c"d,e', 'a,"b"c",d', "a,b\x01,c", "a,b,c,d"])
def test_the_quick_way_steps_aside_for_what_is_odd(odd: str) -> None:
    text = "\n".join(["a,b,c"] * 200 + [odd] + ["a,b,c"])
    assert cut(text.encode(), text, ",") is None
