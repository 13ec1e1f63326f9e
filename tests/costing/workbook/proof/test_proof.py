"""Sheets of evidence, read back: every line adds up, nothing is left out, the panels are pictures of their real size."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import openpyxl
import pytest
from PIL import Image

from costing.desk import PLAIN, Shop
from costing.results import RecipeAnswer
from costing.workbook import book
from costing.workbook.proof import book as proof_book
from costing.workbook.proof import picture
from costing.workbook.proof.book import Proofs
from nutrition.resources import tree

KEYS = ("oolong", "plum", "house-base")


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


@pytest.fixture(scope="module")
def answers(shop: Shop) -> list[RecipeAnswer]:
    return shop.answers(KEYS)


@pytest.fixture(scope="module")
def proofs(shop: Shop, answers: list[RecipeAnswer]) -> Proofs:
    return proof_book.gather(shop, answers, dict.fromkeys(KEYS, PLAIN), draws=128)


@pytest.fixture(scope="module")
def data(shop: Shop, answers: list[RecipeAnswer], proofs: Proofs) -> bytes:
    return book.render(shop.model, shop.day, answers, proofs=proofs)


@pytest.fixture(scope="module")
def made(data: bytes) -> Any:
    return openpyxl.load_workbook(io.BytesIO(data))


def rows(sheet: Any) -> list[dict[str, Any]]:
    """The rows of the one table of a sheet; a head that stands twice gets the place of its column."""
    head = next(row for row in range(1, 10) if sheet.cell(row, 1).value == "Flavour")
    heads: list[str] = []
    for cell in sheet[head]:
        heads.append(f"{cell.value} {cell.column}" if cell.value in heads else str(cell.value))
    cells = sheet.iter_rows(min_row=head + 1)
    found = [{name: cell.value for name, cell in zip(heads, row, strict=True)} for row in cells]
    assert sheet.auto_filter.ref == f"A{head}:{sheet.cell(head, len(heads)).column_letter}{sheet.max_row}"
    return found


def test_the_sheets_are_there_only_with_evidence(shop: Shop, answers: list[RecipeAnswer], made: Any) -> None:
    assert set(proof_book.NAMES) <= set(made.sheetnames)
    assert set(proof_book.NAMES) <= set(book.FIXED)
    plain = openpyxl.load_workbook(io.BytesIO(book.render(shop.model, shop.day, answers)))
    assert not set(proof_book.NAMES) & set(plain.sheetnames)
    assert not any(sheet._images for sheet in plain.worksheets)


def test_the_shares_of_every_line_come_to_its_total(answers: list[RecipeAnswer], made: Any) -> None:
    found = rows(made["Evidence"])
    for answer in answers[:2]:
        label = answer.label
        assert label is not None
        for line in label.nutrients:
            name = "Added Sugars" if line.key == "added_sugars" else line.name
            own = [row for row in found if row["Flavour"] == label.title and row["Line"] == name]
            *shares, total = own
            assert total["Ingredient"] == "Together"
            assert total["In the pack"] == pytest.approx(line.per_container, rel=1e-9, abs=1e-9)
            added = sum(row["In the pack"] for row in shares)
            assert added == pytest.approx(total["In the pack"], rel=1e-9, abs=1e-9), name
            assert total["Printed, serving"].split()[0] == line.declared["serving"].split()[0]
            for row in shares:
                if isinstance(row["Put in"], float):
                    lost = row["Heat, vapour"] + row["Thrown away"] + row["Kept for later"]
                    assert row["Put in"] == pytest.approx(lost + row["In the pack"], rel=1e-6, abs=1e-9), row
                    assert row["Food record"]
                    assert row["Source of the record"]


def test_every_printed_figure_has_a_row_of_how_sure_it_is(answers: list[RecipeAnswer], made: Any) -> None:
    found = rows(made["How sure"])
    label = answers[0].label
    assert label is not None
    own = [row for row in found if row["Flavour"] == label.title]
    assert len(own) == 2 * len(label.nutrients)
    fat = next(row for row in own if row["Line"] == "Total Fat" and row["Column"] == "container")
    line = next(line for line in label.nutrients if line.key == "total_fat")
    assert fat["Printed"] == line.declared["container"]
    assert fat["Unrounded"] == pytest.approx(line.per_container)
    assert (fat["prints"], fat["prints 13"]) == ("53g", "55g")
    assert fat["Unrounded"] - fat["Less by"] == pytest.approx(53.5)
    assert fat["Unrounded"] + fat["More by"] == pytest.approx(54.5)
    assert "54g" in fat["Could be printed"]
    assert "55g" in fat["Could be printed"]
    assert (fat["Group, 101.9(g)"], fat["at most"]) == ("third group", pytest.approx(64.8))
    assert fat["A laboratory's result"] == "in the band"


def test_every_name_of_a_statement_leads_to_its_records(answers: list[RecipeAnswer], made: Any) -> None:
    found = rows(made["Statements"])
    label = answers[1].label
    assert label is not None
    own = [row for row in found if row["Flavour"] == label.title]
    named = [row["Name"] for row in own if row["What"] == "ingredient"]
    assert named == [entry.name for entry in label.statement]
    ginger = next(row for row in own if row["Name"].strip() == "ginger")
    assert (ginger["How"], ginger["Food record"]) == ("steeped, taken out", "usda:11216")
    oolong = [row for row in found if row["What"] == "allergen"]
    assert [(row["Name"], row["Ingredient"]) for row in oolong] == [
        ("milk", "heavy cream, whole milk, skim milk powder")
    ]


def test_the_record_of_added_sugars_adds_up(answers: list[RecipeAnswer], made: Any) -> None:
    found = rows(made["Added sugars"])
    for answer in answers[:2]:
        label = answer.label
        assert label is not None
        *parts, total = [row for row in found if row["Flavour"] == label.title]
        assert sum(row["Added"] for row in parts) == pytest.approx(total["Added"])
        line = next(line for line in label.nutrients if line.key == "added_sugars")
        assert total["Added"] == pytest.approx(line.per_container)
        assert (
            total["Why"]
            == f"printed: {line.declared['serving']} per serving; {line.declared['container']} per container"
        )


def test_a_panel_is_a_picture_at_its_real_size(answers: list[RecipeAnswer], proofs: Proofs, made: Any) -> None:
    assert set(proofs.panels) == {"oolong", "plum"}
    for answer in answers[:2]:
        drawn = proofs.panels[answer.recipe]
        with Image.open(io.BytesIO(drawn.png)) as image:
            assert image.width / picture.DOTS * 72 == pytest.approx(drawn.width, abs=1)
        sheet = next(s for s in made.worksheets if str(s["A1"].value) == answer.title)
        (image,) = sheet._images
        assert image.anchor._from.row > 10
        words = [cell.value for cell in sheet["A"] if isinstance(cell.value, str)]
        assert any(word.startswith("The panel (") for word in words)
        # The room beneath it is as high as the picture, so that nothing is hidden.
        first = image.anchor._from.row + 1
        height = 0.0
        row = first
        while sheet.row_dimensions[row].height and height < drawn.height - 1:
            height += sheet.row_dimensions[row].height
            row += 1
        assert height == pytest.approx(drawn.height, abs=1)


def test_the_same_evidence_makes_the_same_file(
    shop: Shop, answers: list[RecipeAnswer], proofs: Proofs, data: bytes
) -> None:
    assert book.render(shop.model, shop.day, answers, proofs=proofs) == data


def test_no_text_becomes_a_formula(shop: Shop, proofs: Proofs) -> None:
    evil = '=HYPERLINK("http://example.invalid")'
    one = proofs.evidence[0]
    spoiled = replace(one, label=replace(one.label, title=evil), record=replace(one.record, title="+1"))
    made = book.render(shop.model, shop.day, (), proofs=Proofs((spoiled,), {}))
    written = openpyxl.load_workbook(io.BytesIO(made))
    assert written["Evidence"]["A6"].value == evil
    for sheet in written.worksheets:
        for row in sheet.iter_rows():
            assert all(cell.data_type != "f" for cell in row), sheet.title


def test_without_draws_the_sheet_says_so(shop: Shop, proofs: Proofs) -> None:
    plain = Proofs((replace(proofs.evidence[0], sure=None),), {})
    made = openpyxl.load_workbook(io.BytesIO(book.render(shop.model, shop.day, (), proofs=plain)))
    words = [cell.value for cell in made["How sure"]["A"] if isinstance(cell.value, str)]
    assert any(word.startswith("No ranges were drawn from.") for word in words)
