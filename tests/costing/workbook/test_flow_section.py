"""What waste costs, on the sheet of a flavour: the table always, the pictures where flows are given."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from typing import Any

import openpyxl
import pytest
from PIL import Image

from costing.desk import Shop
from costing.flow import Flow, draw
from costing.results import RecipeAnswer
from costing.workbook import book
from nutrition.resources import tree
from tests.costing.workbook import builders

SECTION = "What waste costs"


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


@pytest.fixture(scope="module")
def answers(shop: Shop) -> list[RecipeAnswer]:
    return shop.answers()


@pytest.fixture(scope="module")
def flows(shop: Shop) -> dict[str, Flow]:
    return {key: draw(shop, key) for key in ("quince", "house-base")}


@pytest.fixture(scope="module")
def data(shop: Shop, answers: list[RecipeAnswer], flows: dict[str, Flow]) -> bytes:
    return book.render(shop.model, shop.day, answers, flows=flows)


@pytest.fixture(scope="module")
def made(data: bytes) -> Any:
    return openpyxl.load_workbook(io.BytesIO(data))


def table(sheet: Any) -> tuple[list[list[Any]], int]:
    """The rows of the table from its head to its total, and the row of the head."""
    words = [sheet.cell(row, 1).value for row in range(1, sheet.max_row + 1)]
    head = words.index("Part", words.index(SECTION)) + 1
    last = words.index("Ingredients bought", head) + 1
    return [[cell.value for cell in sheet[row]][:8] for row in range(head, last + 1)], head


def number(value: Any) -> float:
    return value if isinstance(value, int | float) else 0.0


def test_the_table_of_every_flavour_adds_up_to_what_was_bought(answers: list[RecipeAnswer], made: Any) -> None:
    for answer, name in zip(answers, book.tab_names(answers), strict=True):
        if answer.cost is None:
            continue
        rows, _ = table(made[name])
        named = {row[0]: row for row in rows}
        losses = rows[1 : rows.index(named["Lost in all"])]
        lost, held, saved, bought = (named[n] for n in ("Lost in all", "In containers", "Saved", "Ingredients bought"))
        for at in (2, 3, 4, 5, 6):
            assert sum(number(row[at]) for row in losses) == pytest.approx(number(lost[at]), abs=1e-9), (name, at)
        for at in (4, 5, 6):
            assert lost[at] + held[at] + saved[at] == pytest.approx(bought[at], abs=1e-9)
        assert lost[2] + lost[3] + held[3] + saved[3] == pytest.approx(bought[3], abs=1e-6)
        assert bought[3] == pytest.approx(sum(line.bought_g or 0.0 for line in answer.cost.lines), abs=1e-6)
        assert bought[4] == pytest.approx(answer.cost.cost.ingredients, abs=1e-9)
        assert bought[5] == pytest.approx(1.0)


def test_steam_takes_no_money_and_says_so_with_a_dash(made: Any) -> None:
    rows, _ = table(made["Red plum & ginger sorbet"])
    (steam,) = (row for row in rows if row[:2] == ["plum syrup", "3 reduce"])
    assert steam[2] == pytest.approx(3199.84, abs=0.01)
    assert steam[3] == 0
    assert steam[4:7] == ["–", "–", "–"]
    assert steam[7] == "boiled off"


def test_the_unusable_share_stands_by_its_purchase(made: Any) -> None:
    rows, _ = table(made["Sorghum & black pepper frozen…"])
    (eggs,) = (row for row in rows if row[1] == "not usable as bought")
    assert eggs[0] == "eggs"
    assert eggs[3] == pytest.approx(572.0, abs=0.01)


def test_a_container_takes_its_share_by_volume(answers: list[RecipeAnswer], made: Any) -> None:
    # oolong fills pints and small cups: a pint bears what its volume is of all that was filled
    (answer,) = (one for one in answers if one.recipe == "oolong")
    assert len(answer.filled) > 1
    rows, _ = table(made["Toasted oolong & honey"])
    lost = next(row for row in rows if row[0] == "Lost in all")
    volume = sum(f.count * f.fill_ml for f in answer.filled)
    assert lost[6] == pytest.approx(lost[4] * answer.filled[0].fill_ml / volume)


def test_a_sentence_tells_the_worst(made: Any) -> None:
    sheet = made["Duck fat caramel & brandied…"]
    _, head = table(sheet)
    words = sheet.cell(head - 1, 1).value
    assert words.startswith("Of $27.59 spent on ingredients, $6.50 (23.6%) is lost, $0.72 in every pint.")
    assert "Most of it: trimmed off, quince syrup ($2.73); cracklings, and steam, duck fat ($1.68)" in words


def test_pictures_stand_where_flows_are_given(flows: dict[str, Flow], made: Any, data: bytes) -> None:
    pictures = {sheet.title: sheet._images for sheet in made if sheet._images}
    assert set(pictures) == {"Duck fat caramel & brandied…", "House sweet cream base"}
    quince = made["Duck fat caramel & brandied…"]
    assert len(quince._images) == 2  # money, and weight
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        media = [name for name in archive.namelist() if name.startswith("xl/media/")]
        assert len(media) == 4
        for name in media:
            assert Image.open(io.BytesIO(archive.read(name))).format == "PNG"
        assert archive.testzip() is None
    # each has rows of its own, high enough, and none lies over another or over text
    spans = []
    for image, flow in zip(quince._images, (flows["quince"], flows["quince"].weighed), strict=True):
        first = image.anchor._from.row + 1
        high = image.anchor.ext.height / 12700  # points, of 12,700 English metric units each
        row = first
        while high > 0.5:
            high -= quince.row_dimensions[row].height
            assert quince.cell(row, 1).value is None
            row += 1
        spans.append((first, row))
        assert image.anchor.ext.width / image.anchor.ext.height == pytest.approx(
            flow.picture.width / flow.picture.height, rel=0.01
        )
    assert spans[0][1] <= spans[1][0]


def test_without_flows_there_is_a_table_and_no_picture(shop: Shop, answers: list[RecipeAnswer]) -> None:
    data = book.render(shop.model, shop.day, answers)
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert not any(name.startswith("xl/media/") for name in archive.namelist())
    sheet = openpyxl.load_workbook(io.BytesIO(data))["Duck fat caramel & brandied…"]
    assert table(sheet)[0]


def test_every_flavour_has_a_link_to_it(made: Any) -> None:
    sheet = made["Duck fat caramel & brandied…"]
    links = {cell.value: cell.hyperlink.location for cell in sheet[2] if cell.hyperlink}
    row = int(links["Waste"].rpartition("!A")[2])
    assert sheet.cell(row, 1).value == SECTION


def test_an_unknown_price_is_unknown_in_every_sum() -> None:
    cost = builders.cost_answer()
    nan = float("nan")
    worse = replace(cost, bought_value=nan, lost_value=nan, in_containers_value=nan)
    answer = replace(builders.answer(), cost=worse)
    made = openpyxl.load_workbook(io.BytesIO(book.render(builders.shop(), builders.DAY, (answer,))))
    rows, head = table(made[made.sheetnames[2]])
    named = {row[0]: row for row in rows}
    assert named["Lost in all"][4] == "unknown"
    assert named["Ingredients bought"][4:6] == ["unknown", "unknown"]
    assert made[made.sheetnames[2]].cell(head - 1, 1).value == SECTION
