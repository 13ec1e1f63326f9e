"""The workbook of the example shop, out of the real engine."""

from __future__ import annotations

import io
from typing import Any

import openpyxl
import pytest

from costing.desk import Shop
from costing.workbook import book
from nutrition.resources import tree


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


@pytest.fixture(scope="module")
def made(shop: Shop) -> Any:
    data = book.render(shop.model, shop.day, shop.answers(), findings=shop.findings)
    return openpyxl.load_workbook(io.BytesIO(data))


def column(sheet: Any, at: int) -> list[Any]:
    return [sheet.cell(row, at).value for row in range(1, sheet.max_row + 1)]


def test_every_flavour_has_its_sheet_and_its_row(shop: Shop, made: Any) -> None:
    names = book.tab_names(shop.answers())
    assert set(names) <= set(made.sheetnames)
    opening = column(made["Flavours"], 1)
    for answer in shop.answers():
        assert answer.title in opening


def test_totals_of_every_flavour_agree_with_the_engine_and_with_their_lines(shop: Shop, made: Any) -> None:
    for answer, name in zip(shop.answers(), book.tab_names(shop.answers()), strict=True):
        if answer.cost is None:
            continue
        sheet = made[name]
        words = column(sheet, 1)
        head, total = words.index("Item") + 1, words.index("Total") + 1
        items = {line.item for line in answer.cost.lines}
        for at, field in ((6, answer.cost.cost), (7, answer.cost.per_container), (8, answer.cost.per_serving)):
            assert sheet.cell(total, at).value == pytest.approx(field.total)
            lines = [sheet.cell(row, at).value for row in range(head + 1, total) if words[row - 1] in items]
            assert len(lines) == len(answer.cost.lines)
            assert sum(value for value in lines if value != "–") == pytest.approx(field.total)
        assert "balances" in column(sheet, 2)
        assert "Nutrient (unit)" in words


def test_nothing_in_it_is_a_formula(made: Any) -> None:
    kinds = {cell.data_type for sheet in made for row in sheet.iter_rows() for cell in row}
    assert kinds == {"s", "n", "d"}


def test_used_prices_are_those_of_the_cost_lines(shop: Shop, made: Any) -> None:
    sheet = made["Prices"]
    used = {where for words, where in zip(column(sheet, 12), column(sheet, 13), strict=True) if words == "used"}
    costs = [answer.cost for answer in shop.answers() if answer.cost]
    assert used == {line.where for cost in costs for line in cost.lines if line.price_date}
