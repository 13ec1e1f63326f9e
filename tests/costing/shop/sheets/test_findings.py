"""What is wrong with a workbook is told by sheet and cell."""

from __future__ import annotations

import io
import zipfile
from datetime import datetime
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook

from costing.shop.reader import read
from tests.costing.shop.sheets.conftest import DAY, Book


def test_the_starter_has_no_error(book: Book) -> None:
    assert book.errors() == []


@pytest.mark.parametrize(
    ("sheet", "head", "key", "value", "what", "mend"),
    [
        ("Recipes", "verb", "cook", "cok", "there is no verb 'cok'", "did you mean 'cook'?"),
        ("Recipes", "what", "whole milk", "hole milk", "there is no ingredient or part called 'hole milk'",
         "did you mean 'whole milk'?"),
        ("Recipes", "amount", "whole milk", 350, "whole milk: '350' has no unit", "write 350 g, not 350"),
        ("Recipes", "recipe", "cook", "vanila", "there is no recipe 'vanila' on the sheet Flavours",
         "did you mean 'vanilla'?"),
        ("Recipes", "details", "cool", "withn: 4 h", "'cool' takes no 'withn'", "did you mean 'within'?"),
        ("Recipes", "details", "cool", "{within", "a bracket that opens here", "check { }"),
        ("Recipes", "step", "cook", "x", "'x' is not the number of a step", "write 1, 2, 3"),
        ("Ingredients", "class", "sugar", "sweetner", "class: 'sweetner' is not possible here",
         "did you mean 'sweetener'?"),
        ("Ingredients", "usable", "sugar", 61, "usable: '61' has no unit", "write 61 %, not 61"),
        ("Ingredients", "ingredient", "salt", "sugar", "'sugar' stands here twice", "rename one"),
        ("Machines", "capacity", "ice cream machine", 1.5, "capacity: '1.5' has no unit", "write 1.5 mL"),
        ("Channels", "fees", "counter", "much", "fees: ", ""),
        ("Prices", "price", "Cane sugar", "free", "'free'", ""),
        ("Prices", "date", "Cane sugar", "5/1/26", "'5/1/26' is not a date", "2026-03-02"),
        ("Prices", "pack", "Cane sugar", None, "'pack' is empty", "fill it in"),
        ("Shop", "value", "currency", "US", "currency: 'US' is not a currency", "USD"),
        ("Wages & costs", "amount", "kitchen", 20, "wages: kitchen: '20' does not say per what", "per hour"),
        ("Wages & costs", "kind", "kitchen", "wage", "there is no kind 'wage'", "did you mean 'wages'?"),
        ("Flavours", "recipe", "vanilla", "../../etc", "'../../etc' cannot be a short name", "letters"),
    ],
)  # fmt: skip
def test_a_wrong_cell_is_named(
    book: Book, sheet: str, head: str, key: str, value: object, what: str, mend: str
) -> None:
    where = book.set(sheet, head, key, value)
    found = [one for one in book.errors() if one.where == where]
    assert found, "\n".join(map(str, book.errors()))
    assert what in found[0].what
    assert mend in found[0].mend
    assert ".yaml" not in found[0].mend


def test_percent_and_unit_of_a_heading(book: Book) -> None:
    book.set("Ingredients", "usable", "sugar", 0.61, "0%")
    head = next(c for c in book.book["Machines"][3] if c.value == "capacity")
    head.value = "Capacity, L"
    book.set("Machines", "Capacity, L", "ice cream machine", 1.5)
    assert book.errors() == []
    model = read(book.path, DAY)[0]
    assert model is not None
    assert model.ingredients["sugar"].usable is not None
    assert model.ingredients["sugar"].usable.text == "61 %"
    assert model.machines["ice cream machine"].capacity.text == "1.5 L"


def test_a_missing_sheet_and_a_renamed_one(book: Book) -> None:
    book.book["Recipes"].title = "Recipies"
    found = next(one for one in book.errors() if "no sheet" in one.what)
    assert found.what == "the workbook has no sheet 'Recipes', and 'Recipies' has its headings"
    assert "'Recipes' again" in found.mend


@pytest.mark.parametrize("name", ["Prices", "Suppliers", "Channels"])
def test_a_sheet_that_need_not_be_there_is_missed_when_it_was_renamed(book: Book, name: str) -> None:
    book.book[name].title = "Preise"
    found = book.errors()[0]  # what follows from it comes behind
    assert found.what == f"the workbook has no sheet '{name}', and 'Preise' has its headings"
    assert f"'{name}' again" in found.mend


def test_sheets_of_ones_own_are_left_alone(book: Book) -> None:
    own = book.book.create_sheet("My notes")
    own.append(["price", "what I think"])
    own.append(["supplier"])
    del book.book["Trials"]
    assert book.errors() == []


def test_what_is_missing_is_said_in_the_words_of_a_workbook(book: Book) -> None:
    book.set("Prices", "ingredient", "Cane sugar", "")
    wanted = [one.mend for one in book.findings() if "has no price" in one.what]
    assert wanted
    assert all("sheet Prices" in mend and "prices/" not in mend for mend in wanted)


def test_an_unknown_heading(book: Book) -> None:
    cell = next(c for c in book.book["Ingredients"][3] if c.value == "food")
    cell.value = "foot"
    found = next(one for one in book.errors() if "heading" in one.what)
    assert (found.where, found.mend) == (f"Ingredients!{cell.coordinate}", "did you mean 'food'?")


def test_a_heading_that_stands_twice(book: Book) -> None:
    cell = next(c for c in book.book["Prices"][3] if c.value == "list")
    cell.value = "price"
    assert f"Prices!{cell.coordinate}" in {one.where for one in book.errors() if "stands here twice" in one.what}


def test_a_sheet_without_headings(book: Book) -> None:
    book.book["Ingredients"].delete_rows(1, 3)
    assert any("has no row of headings" in one.what for one in book.errors())


def test_an_empty_sheet(book: Book) -> None:
    del book.book["Ingredients"]
    book.book.create_sheet("Ingredients")
    assert any(one.what == "the sheet 'Ingredients' is empty" for one in book.errors())


@pytest.mark.parametrize(("head", "found"), [(None, 2), ("Preis", 2)])
def test_a_heading_that_is_gone_is_told_once_and_not_in_every_row(book: Book, head: str | None, found: int) -> None:
    cell = next(c for c in book.book["Prices"][3] if c.value == "price")
    cell.value = head
    told = [one for one in book.errors() if one.where.startswith("Prices!")]
    assert len(told) == found, told
    assert {"there is no heading 'price' on this sheet"} <= {one.what for one in told}


@pytest.mark.parametrize(
    ("sheet", "head", "key", "value", "mend"),
    [
        ("Flavours", "prices", "vanilla", "9.90", "write name: value under 'prices'"),
        ("Flavours", "recipe", "vanilla", "vanila", "write a row for each step there, with its short name under"),
        ("Channels", "chain", "market", "grocer 35 %", "such as distributor: 25 %; grocer: 35 %"),
        ("Recipes", "amount", "whole milk", "3 pieces", "write 1 piece: … g under 'measures'"),
        ("Ingredients", "food", "whole milk", "whole milk", "creamery foods search finds one by its name"),
    ],
)  # fmt: skip
def test_how_to_mend_is_said_in_the_words_of_cells(
    book: Book, sheet: str, head: str, key: str, value: str, mend: str
) -> None:
    book.set(sheet, head, key, value)
    told = [one.mend for one in book.errors()]
    assert any(mend in one for one in told), told
    assert not [one for one in told if "{" in one or "- '" in one or ".yaml" in one]


@pytest.mark.parametrize(
    ("sheet", "mend"),
    [
        ("Machines", "add it to the sheet Machines"),
        ("Containers", "add it to the sheet Containers"),
        ("Wages & costs", "add a row to the sheet Wages & costs: wages | kitchen | 21.50 per hour"),
    ],
)
def test_what_stood_on_a_sheet_that_is_gone_is_asked_for_there(book: Book, sheet: str, mend: str) -> None:
    del book.book[sheet]
    assert {one.mend for one in book.errors()} == {mend}


def test_the_time_of_day_in_a_cell_with_a_date_is_passed_over(book: Book) -> None:
    book.set("Prices", "date", "Cane sugar", datetime(2026, 1, 5, 13, 5))
    assert book.errors() == []


def test_a_misspelt_verb_is_told_alone(book: Book) -> None:
    where = book.set("Recipes", "verb", "cook", "cok")
    assert book.only().where == where


def test_rows_in_the_wrong_order_are_told(book: Book) -> None:
    where = book.set("Recipes", "step", "lose", 1)
    found = next(one for one in book.errors() if "stands below" in one.what)
    assert found.where == where


def test_a_formula_that_was_never_calculated(book: Book) -> None:
    where = book.set("Prices", "price", "Cane sugar", "=1+1")
    (found,) = [one for one in book.errors() if one.where == where]
    assert "never calculated" in found.what


def test_a_share_without_its_sign_is_not_guessed(book: Book) -> None:
    where = book.set("Channels", "target margin", "counter", 0.6)
    found = book.only()
    assert (found.where, found.what) == (where, "target margin: '0.6' has no unit")
    assert found.mend == "write 60 % if that share of the whole is meant, or 0.6 % if so little is"


def test_an_error_value(book: Book) -> None:
    cell = book.cell("Prices", "price", "Cane sugar")
    cell.value, cell.data_type = "#N/A", "e"
    assert any("the cell shows #N/A" in one.what for one in book.errors())


def test_macros_passwords_and_damage(written: Path, tmp_path: Path) -> None:
    raw = written.read_bytes()
    with_macros = io.BytesIO(raw)
    with zipfile.ZipFile(with_macros, "a") as packed:
        packed.writestr("xl/vbaProject.bin", b"x")
    locked = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "EncryptedPackage".encode("utf-16-le")
    for name, content, what in (
        ("a.xlsm", raw, "kind that holds macros"),
        ("b.xlsx", with_macros.getvalue(), "holds macros"),
        ("c.xlsx", locked, "protected by a password"),
        ("d.xlsx", raw[: len(raw) // 2], "damaged"),
        ("e.xlsx", b"", "empty"),
        ("f.xlsx", b"name,price\n", "not a workbook"),
        ("g.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "old kind"),
    ):
        path = tmp_path / name
        path.write_bytes(content)
        model, found = read(path, DAY)
        assert model is None
        assert what in found[0].what
        assert path.read_bytes() == content


def test_no_such_file_and_no_shop(tmp_path: Path) -> None:
    assert "no such file" in read(tmp_path / "none.xlsx")[1][0].what
    other = Workbook()
    other.save(tmp_path / "other.xlsx")
    assert "none of the sheets of a shop" in read(tmp_path / "other.xlsx")[1][0].what


def test_a_million_empty_rows(book: Book) -> None:
    book.book["Prices"].cell(1_048_576, 1).value = "far"
    found = book.findings()
    assert any("nothing is read below row" in one.what for one in found)
    assert not [one for one in found if one.level == "error"]


def test_text_that_looks_like_a_formula_stays_text(written: Path) -> None:
    book = load_workbook(written)
    assert not [c.coordinate for ws in book for row in ws.iter_rows() for c in row if c.data_type == "f"]
    checks = {v.formula1 for ws in book for v in ws.data_validations.dataValidation}
    assert any("Ingredients" in one for one in checks)
    assert book["Recipes"].freeze_panes == "E4"


def test_a_gtin_typed_as_a_number_is_read_and_a_lost_zero_is_told(book: Book) -> None:
    book.set("Flavours", "gtin", "vanilla", 614141000012)
    assert book.errors() == []
    book.set("Flavours", "gtin", "vanilla", 36000291452)
    found = book.only()
    assert "'36000291452' has 11 digits" in found.what
    assert "did a spreadsheet drop its first 0? then it is 036000291452" in found.mend
    book.set("Containers", "label", "pint", "wrap: 11.4 in x 3.3; lid: 3.8 in")
    assert any("wrap" in one.what or "label" in one.what for one in book.errors())
