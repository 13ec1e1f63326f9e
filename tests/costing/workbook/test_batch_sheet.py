"""The batch sheet as a sheet of the workbook."""

from __future__ import annotations

import io
from typing import Any

import openpyxl
import pytest

from costing.batch_sheet.writing import sheet
from costing.desk import Asked, Shop
from costing.workbook import book
from nutrition.resources import tree


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


def load(shop: Shop, keys: tuple[str, ...], **more: Any) -> Any:
    data = book.render(shop.model, shop.day, shop.answers(keys), **more)
    return openpyxl.load_workbook(io.BytesIO(data))


def test_it_is_there_only_when_asked_for(shop: Shop) -> None:
    assert not [name for name in load(shop, ("quince",)).sheetnames if name.startswith("Batch ")]


def test_weights_are_numbers_and_boxes_can_be_written_into(shop: Shop) -> None:
    content = sheet(shop, "prune", Asked(size=2.0))
    made = load(shop, ("prune",), batch_sheets=[content, content])
    names = [name for name in made.sheetnames if name.startswith("Batch ")]
    assert len(names) == 2
    page = made[names[0]]
    rows = list(page.iter_rows())
    weighed = [row[5].value for row in rows if isinstance(row[5].value, float)]
    assert weighed == pytest.approx([w.grams for w in content.weighs])
    expected = [row[6].value for row in rows if isinstance(row[6].value, int | float)]
    assert expected == pytest.approx([s.after_g for p in content.sections for s in p.steps if s.after_g is not None])
    words = " ".join(str(cell.value) for row in rows for cell in row if cell.value is not None)
    assert "ALLERGENS: MILK" in words
    assert "safe" not in words.casefold()
    allergens = next(i for i, row in enumerate(rows) if str(row[0].value).startswith("ALLERGENS"))
    assert allergens <= 2
    ticks = [c.border for row in rows for c in (row[0], row[2])]
    framed = [b for b in ticks if b.left and b.right and b.left.style == b.right.style == "thin"]
    assert len(framed) == content.ticks
    assert (page.page_setup.orientation, page.page_setup.fitToWidth, page.page_setup.fitToHeight) == ("portrait", 1, 2)
    assert {cell.data_type for row in rows for cell in row} <= {"s", "n"}


def test_a_hostile_name_becomes_no_formula(shop: Shop) -> None:
    from dataclasses import replace

    content = sheet(shop, "plum")
    part = content.sections[0]
    weigh = replace(part.steps[0].weighs[0], name="=cmd|' /C calc'!A0")
    step = replace(part.steps[0], weighs=(weigh,))
    odd = replace(content, sections=(replace(part, steps=(step,)),), note="=1+1")
    made = load(shop, ("plum",), batch_sheets=[odd])
    kinds = {cell.data_type for row in made["Batch Red plum & ginger sorbet"].iter_rows() for cell in row}
    assert "f" not in kinds
