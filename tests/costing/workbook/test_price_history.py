"""The sheets of prices: what a kilogram costs by every row, what was paid over time, and the picture of it."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import openpyxl
import pytest

from costing.desk import Shop
from costing.prices import history
from costing.workbook import book, price_history, prices
from nutrition.resources import tree


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


def opened(shop: Shop) -> Any:
    return openpyxl.load_workbook(io.BytesIO(book.render(shop.model, shop.day, shop.answers())))


@pytest.fixture(scope="module")
def made(shop: Shop) -> Any:
    return opened(shop)


def table(sheet: Any, first: str) -> list[list[Any]]:
    """The rows of the first table whose head begins so, to the next empty first cell."""
    rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
    at = next(at for at, row in enumerate(rows) if row[0] == first)
    end = next((n for n, row in enumerate(rows[at:], at) if row[0] is None), len(rows))
    return rows[at:end]


def test_every_row_says_what_a_kilogram_costs(made: Any) -> None:
    heads, *rows = table(made[prices.NAME], "For")
    found = {(row[0], row[2], row[6].date().isoformat()): dict(zip(heads, row, strict=False)) for row in rows}
    sugar = found["sugar", "Barrow & Finch Provisioners", "2026-02-16"]
    kilogram = 39.25 / (50 * 0.45359237)
    assert sugar["A kg or piece bought"] == pytest.approx(kilogram)
    assert sugar["Change"] == pytest.approx(39.25 / 38.5 - 1)
    assert sugar["Freight"] == pytest.approx(0.07)
    assert sugar["Usable kg or piece, with freight"] == pytest.approx(kilogram * 1.07)
    old = found["sugar", "Barrow & Finch Provisioners", "2026-01-12"]
    assert (old["Change"], old["Freight"]) == ("–", "–")


def test_freight_that_nobody_knows_is_unknown(shop: Shop) -> None:
    unknown = Shop(replace(shop.model, suppliers={}), (), shop.day)
    heads, *rows = table(opened(unknown)[prices.NAME], "For")
    counted = [row for row in rows if row[heads.index("Used")] == "used"]
    assert {row[heads.index("Freight")] for row in counted} == {"unknown"}


def test_what_was_paid_stands_in_the_table(shop: Shop, made: Any) -> None:
    heads, *rows = table(made[price_history.NAME], "Thing")
    found = {row[0]: row[2:] for row in rows}
    assert "water" not in found
    (cream,) = history.of(shop.model, shop.day, ["heavy cream"])
    assert found["heavy cream"][:2] == pytest.approx([one.home for one in cream.paid])
    assert found["heavy cream"][2] == pytest.approx(cream.paid[-1].since_first)
    assert heads[2:4] == ["January 12, 2026", "February 16, 2026"]


def test_the_picture_follows_the_index(made: Any) -> None:
    sheet = made[price_history.NAME]
    (chart,) = sheet._charts
    names = [str(one.tx.strRef.f) for one in chart.series]
    rows = [int(name.rpartition("$")[2]) for name in names]
    assert [sheet.cell(row, 2).value for row in rows] == ["index"] * len(rows)
    assert [sheet.cell(row, 3).value for row in rows] == pytest.approx([100.0] * len(rows))
    # No line is told by its colour alone.
    assert len({(one.graphicalProperties.line.prstDash, one.marker.symbol) for one in chart.series}) == len(rows)
    values = str(chart.series[0].val.numRef.f)
    assert values.startswith(f"'{price_history.NAME}'!$C${rows[0]}")


def test_one_list_makes_a_table_and_no_picture(shop: Shop) -> None:
    first = min(row.date for row in shop.model.prices)
    early = replace(shop.model, prices=tuple(row for row in shop.model.prices if row.date == first))
    sheet = opened(Shop(early, (), shop.day))[price_history.NAME]
    assert not sheet._charts
    assert len(table(sheet, "Thing")) > 20


def test_a_shop_without_prices_says_so(shop: Shop) -> None:
    sheet = opened(Shop(replace(shop.model, prices=()), (), shop.day))[price_history.NAME]
    assert "No list has a price" in " ".join(str(cell.value) for row in sheet.iter_rows() for cell in row)
