"""The workbook, written and read back."""

from __future__ import annotations

import errno
import io
import os
import time
import zipfile
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from costing.amounts import SubIngredient
from costing.findings import Finding
from costing.results import Cost, Filled, OtherContainer, RecipeAnswer
from costing.shop.models import PriceRow
from costing.workbook import book, rows, save
from costing.workbook.flavours import best_channel
from tests.costing.workbook import builders

FLAVOUR = "Duck fat caramel & brandied…"
HOSTILE = ('=HYPERLINK("http://x")', "+1", "-1+2", "@SUM(A1)", "\t=1", "\r=1", "#N/A", "TRUE", "12", "=", "{=1}")


def read(data: bytes) -> Any:
    return openpyxl.load_workbook(io.BytesIO(data))


@pytest.fixture(scope="module")
def made() -> Any:
    return read(book.render(builders.shop(), builders.DAY, builders.answers()))


def find(sheet: Any, words: str, column: int = 1, after: int = 0) -> int:
    for row in range(after + 1, sheet.max_row + 1):
        if sheet.cell(row, column).value == words:
            return row
    raise AssertionError(f"{words!r} does not stand in column {column} of {sheet.title}")


def row_of(sheet: Any, row: int) -> list[Any]:
    return [cell.value for cell in sheet[row]]


# the whole


def test_the_sheets_and_their_order(made: Any) -> None:
    assert made.sheetnames[:3] == ["Flavours", "Margins", FLAVOUR]
    assert made.sheetnames[-4:] == ["Ingredients", "Prices", "Price history", "Findings"]
    assert len(made.sheetnames) == 2 + 9 + 4


def test_without_findings_there_is_no_such_sheet() -> None:
    calm = tuple(replace(answer, findings=()) for answer in builders.answers()[:2])
    assert "Findings" not in read(book.render(builders.shop(), builders.DAY, calm)).sheetnames


def test_no_formula_and_no_error_anywhere(made: Any) -> None:
    for sheet in made:
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type in {"s", "n", "d"}, (sheet.title, cell.coordinate)


def test_every_sheet_prints_across_with_page_numbers(made: Any) -> None:
    for sheet in made:
        assert sheet.page_setup.orientation == "landscape"
        assert int(sheet.page_setup.paperSize) == 1
        assert "&P of &N" in sheet.oddFooter.center.text
        assert sheet.oddFooter.left.text == "Quillfeather Creamery"
        assert "March 2, 2026" in sheet.oddFooter.right.text
        assert sheet.print_title_rows
        assert sheet.freeze_panes
        assert sheet.print_area
        assert not sheet.sheet_view.showGridLines
        if sheet.sheet_properties.pageSetUpPr and sheet.sheet_properties.pageSetUpPr.fitToPage:
            assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
        else:
            wide = sum(dim.width for dim in sheet.column_dimensions.values())
            # A digit of Arial 10 is 7 pixels of 1/96 in; the paper is 11 in wide, the margins 0.4 in.
            assert wide * 7 / 96 * sheet.page_setup.scale / 100 <= 11 - 0.8
            assert sheet.row_breaks.brk or sheet.title == "House base"


def test_other_places_print_on_a4() -> None:
    model = builders.shop(locale="de_DE", currency="EUR")
    sheet = read(book.render(model, builders.DAY, builders.answers()[:1]))["Flavours"]
    assert int(sheet.page_setup.paperSize) == 9
    assert sheet.cell(find(sheet, "Flavour") + 1, 9).number_format == '#,##0.00" €"'


def test_properties_and_time_stamps_follow_the_day(made: Any) -> None:
    assert made.properties.title == "Quillfeather Creamery: costs and labels"
    assert made.properties.created == made.properties.modified == datetime(2026, 3, 2)
    archive = zipfile.ZipFile(io.BytesIO(book.render(builders.shop(), builders.DAY, builders.answers()[:1])))
    assert {info.date_time for info in archive.infolist()} == {(2026, 3, 2, 0, 0, 0)}


def test_the_same_answers_make_the_same_file() -> None:
    one = book.render(builders.shop(), builders.DAY, builders.answers()[:2])
    time.sleep(0.01)
    assert book.render(builders.shop(), builders.DAY, builders.answers()[:2]) == one


# the opening sheet


def test_the_opening_sheet_tells_every_flavour(made: Any) -> None:
    sheet = made["Flavours"]
    head = find(sheet, "Flavour")
    cost = builders.cost_answer()
    values = row_of(sheet, head + 1)
    assert values[:3] == [builders.TITLES[0], "pint", 11]
    assert values[8] == pytest.approx(cost.per_container.total)
    assert sum(values[3:8]) == pytest.approx(values[8])
    assert values[9] == 11.0
    assert values[11] == pytest.approx(cost.channels[0].margin / 11.0)
    assert values[12] == "scoop shop"
    assert values[14:17] == ["310", "milk, egg", "ready to print"]
    assert row_of(sheet, head + 2)[16] == "not yet: Vitamin D"
    assert [sheet.cell(head + 1 + i, 1).value for i in range(8)] == list(builders.TITLES)
    assert sheet.freeze_panes == f"B{head + 1}"
    assert sheet.cell(head + 1, 9).number_format == '"$"#,##0.00'
    assert sheet.cell(head + 1, 12).number_format == "0.0%"


def test_the_opening_sheet_leads_to_the_flavours(made: Any) -> None:
    sheet = made["Flavours"]
    cell = sheet.cell(find(sheet, builders.TITLES[0]), 1)
    assert cell.hyperlink.location == f"'{FLAVOUR}'!A3"
    assert made[FLAVOUR]["A3"].value == "Cost"
    ways = {c.value: c.hyperlink.location for c in made[FLAVOUR][2] if c.value}
    assert ways["All flavours"] == "'Flavours'!A1"
    for name in ("Cost", "Yield", "Label"):
        assert made[FLAVOUR][ways[name].rpartition("!")[2]].value == name


def test_house_bases_stand_apart(made: Any) -> None:
    sheet = made["Flavours"]
    row = find(sheet, "House base")
    base = builders.house_base().parts[0]
    assert row > find(sheet, "House bases, and what is not filled")
    assert row_of(sheet, row)[2:5] == pytest.approx([base.out_g, base.cost, base.cost / base.out_g * 1000])


def test_the_chart_is_stacked_labelled_and_patterned() -> None:
    archive = zipfile.ZipFile(io.BytesIO(book.render(builders.shop(), builders.DAY, builders.answers())))
    chart = archive.read("xl/charts/chart1.xml").decode()
    assert chart.count("<ser>") == 5
    assert 'grouping val="stacked"' in chart
    assert "Cost of a container (USD)" in chart
    assert chart.count("<a:pattFill") == 3
    assert "'Flavours'!$D$" in chart
    assert '<delete val="0"' in chart


def test_no_flavours_at_all() -> None:
    sheet = read(book.render(builders.shop(), builders.DAY, (builders.house_base(),)))["Flavours"]
    assert find(sheet, "No flavour fills a container yet.")


def test_a_recipe_that_could_not_be_made_is_told() -> None:
    broken = RecipeAnswer(
        "odd", "Odd one", (), (), None, None, (Finding("error", "recipes/odd.yaml:3", "no water left"),)
    )
    made = read(book.render(builders.shop(), builders.DAY, (builders.answer(), broken)))
    sheet = made["Flavours"]
    assert row_of(sheet, find(sheet, "Odd one"))[3] == "not calculated"
    assert made["Findings"]["A5"].value == "error"
    assert "Findings says why" in str(made["Odd one"]["A3"].value)


# a flavour


def test_cost_lines_add_up_as_they_stand(made: Any) -> None:
    sheet = made[FLAVOUR]
    head = find(sheet, "Item")
    total = find(sheet, "Total")
    names = {"Ingredients", "Packaging", "Labour", "Overhead", "Saved for later (credit)"}
    for column in (6, 7, 8, 9):
        lines = kinds = 0.0
        for row in range(head + 1, total):
            value = sheet.cell(row, column).value
            if sheet.cell(row, 1).value in names:
                kinds += value
            else:
                lines += value
        assert lines == pytest.approx(sheet.cell(total, column).value, abs=1e-9)
        assert kinds == pytest.approx(sheet.cell(total, column).value, abs=1e-9)
    cost = builders.cost_answer()
    assert sheet.cell(total, 6).value == pytest.approx(cost.cost.total)
    assert sheet.cell(total, 7).value == pytest.approx(cost.per_container.total)
    assert sheet.cell(total, 8).value == pytest.approx(cost.per_serving.total)
    assert sheet.cell(total, 9).value == pytest.approx(1.0)


def test_a_cost_line_tells_its_price(made: Any) -> None:
    sheet = made[FLAVOUR]
    row = find(sheet, "quince", after=find(sheet, "Item"))
    values = row_of(sheet, row)
    assert values[1:5] == ["1967.2 g", 1967.2, pytest.approx(1200.0, abs=0.1), 5.2]
    assert values[9:13] == ["10 kg", 52.0, datetime(2026, 2, 16), "Hollow Hill Dairy"]
    assert sheet.cell(row, 12).number_format == 'mmm d", "yyyy'
    labour = find(sheet, "kitchen: churn")
    assert row_of(sheet, labour)[2:5] == ["–", "–", "–"]


def test_channels_and_their_words(made: Any) -> None:
    sheet = made[FLAVOUR]
    row = find(sheet, "Scoop shop")
    channel = builders.cost_answer().channels[0]
    assert channel.price_for_target is not None
    values = row_of(sheet, row)
    assert values[2:7] == pytest.approx(
        [channel.price, channel.fees, channel.cost, channel.margin, channel.margin / channel.price]
    )
    assert values[7] == pytest.approx(channel.margin / channel.cost)
    assert values[9] == pytest.approx(channel.price_for_target)
    assert values[10] == pytest.approx(channel.margin * 11)
    assert values[1] == f"${channel.price_for_target - channel.price:.2f} below target"


def test_losses_close_on_what_was_bought(made: Any) -> None:
    sheet = made[FLAVOUR]
    lost, held, saved, bought = (
        sheet.cell(find(sheet, words), 5).value
        for words in ("Lost in all", "In containers", "Saved", "Ingredients bought")
    )
    assert lost + held + saved == pytest.approx(bought)
    assert sheet.cell(find(sheet, "quince syrup", after=find(sheet, "Part")), 2).value == "2 trim"


def test_yield_steps_balance(made: Any) -> None:
    sheet = made[FLAVOUR]
    head = find(sheet, "Step")
    cook = find(sheet, "4  cook: hold 50 min, loses 12 %", after=head)
    came, out, vapour, discarded, saved = row_of(sheet, cook)[2:7]
    assert came == pytest.approx(out + vapour + discarded + saved)
    assert vapour == pytest.approx(305.8)
    assert sheet.cell(cook, 2).value == "loses 12.0 %"
    batch = row_of(sheet, find(sheet, "Ingredients to whole containers"))
    assert batch[1] == "balances"
    assert batch[7] == 0
    assert sheet.cell(find(sheet, "duck fat", after=head), 1).fill.fgColor.rgb == "00E4ECEA"
    part = row_of(sheet, find(sheet, "base", after=find(sheet, "Part", after=cook)))
    assert part[11] == "unknown"  # nobody said how much alcohol


def test_steps_that_do_not_balance_are_told() -> None:
    parts = builders.parts()
    bad = replace(parts[0].steps[0], out_g=1.0)
    answer = replace(builders.answer(), parts=(replace(parts[0], steps=(bad,)),))
    sheet = read(book.render(builders.shop(), builders.DAY, (answer,)))[FLAVOUR]
    assert find(sheet, "The steps do not balance: the greatest difference is 1966.200000 g.")


def test_a_label_line_tells_all(made: Any) -> None:
    sheet = made[FLAVOUR]
    head = find(sheet, "Nutrient (unit)")
    line = next(n for n in builders.label(ready=True).nutrients if n.key == "sodium")
    values = row_of(sheet, find(sheet, "Sodium (mg)", after=head))
    assert values[1] == line.rule
    assert values[2:9] == pytest.approx(
        [line.per_100g, line.per_serving, line.per_serving_low, line.per_serving_high, line.per_container,
         line.per_container_low, line.per_container_high]
    )  # fmt: skip
    assert values[9:14] == ["80mg", "230mg", 3, 10, "known"]
    assert row_of(sheet, find(sheet, "Trans Fat (g)"))[11:14] == ["–", "–", "estimated"]
    assert sheet.cell(find(sheet, "Added sugars (g)"), 1).alignment.indent == 3


def test_unknown_is_unknown_and_never_0(made: Any) -> None:
    sheet = made[made.sheetnames[3]]
    row = find(sheet, "Vitamin D (mcg)")
    values = row_of(sheet, row)
    assert values[2:4] == ["unknown", "unknown"]
    assert values[4:6] == [0, 31]
    assert values[9:11] == ["unknown", "unknown"]
    assert values[13] == "unknown"
    assert sheet.cell(find(sheet, "Vitamin D"), 2).value == "Unknown in duck skin, pear brandy"
    assert sheet.cell(find(sheet, "Still missing"), 2).value == "Vitamin D"


def test_words_tests_and_cautions_of_the_label(made: Any) -> None:
    sheet = made[FLAVOUR]

    def said(label: str) -> object:
        return sheet.cell(find(sheet, label), 2).value

    assert said("Net quantity") == "1 PINT (473 mL)"
    assert str(said("Ingredient statement")).startswith("Cream, milk, sugar")
    assert said("Allergen statement") == "Contains: Milk, Egg."
    assert "do not allow" in str(said("Name of the food"))
    fat = row_of(sheet, find(sheet, "Fat other than milkfat"))
    assert fat[2:7] == [3.1, "at most", 0, "%", "not met"]
    whey = row_of(sheet, find(sheet, "Whey solids of nonfat milk solids"))
    assert (whey[2], whey[6]) == ("unknown", "unknown")
    assert str(said("Warning: alcohol")).startswith("Alcohol by volume is near 0.5 %. Ask the state")


def test_several_containers_and_ranges() -> None:
    answer = builders.answer()
    assert answer.cost is not None
    cost = answer.cost
    half = OtherContainer("half pint", 4, 190.0, 238.0, replace(cost.per_container, total=3.9))
    tub = replace(cost.lines[10], item="half pint tub", cost=0.9)
    whole = replace(cost.cost, packaging=cost.cost.packaging + 0.9, total=cost.cost.total + 0.9)
    answer = replace(
        answer,
        filled=(*answer.filled, Filled("half pint", 4, 190.0, 238.0, 236.6)),
        cost=replace(cost, also=(half,), lines=(*cost.lines, tub), cost=whole),
        ranges={"per_container.total": (6.1, 7.2)},
    )
    model = builders.shop()
    names = ("pint tub", "pint lid", "tamper band", "pint label")
    pint = model.containers["pint"].model_copy(
        update={"made_of": dict.fromkeys(names, model.containers["pint"].made_of["pint tub"])}
    )
    sheet = read(book.render(replace(model, containers={"pint": pint}), builders.DAY, (answer,)))[FLAVOUR]
    assert row_of(sheet, find(sheet, "half pint"))[1:6] == [4, 190.0, 238.0, 236.6, 3.9]
    assert sheet["A5"].value == "11 pints and 4 half pints"
    assert row_of(sheet, find(sheet, "half pint tub"))[5:8] == [0.9, "–", "–"]
    pints = [sheet.cell(find(sheet, name), 7).value for name in names]
    assert pints[0] == pytest.approx(0.31)
    assert sum(pints) == pytest.approx(cost.per_container.packaging)
    assert row_of(sheet, find(sheet, "Per container: total"))[2:4] == [6.1, 7.2]


def test_a_missing_price_is_unknown_all_the_way() -> None:
    answer = builders.answer()
    assert answer.cost is not None
    nan = float("nan")
    gone = Cost(nan, 6.0, 20.0, 9.0, -2.0, nan)
    lines = (replace(answer.cost.lines[0], cost=nan, per_kg=None, price=None), *answer.cost.lines[1:])
    channels = tuple(
        replace(c, cost=nan, margin=nan, margin_pct=nan, markup_pct=nan, price_for_target=nan, batch_margin=nan)
        for c in answer.cost.channels
    )
    cost = replace(answer.cost, lines=lines, cost=gone, per_container=gone, per_serving=gone, channels=channels,
                   bought_value=nan)  # fmt: skip
    made = read(book.render(builders.shop(), builders.DAY, (replace(answer, cost=cost),)))
    sheet = made[FLAVOUR]
    assert row_of(sheet, find(sheet, "Total"))[5:9] == ["unknown"] * 4
    assert row_of(sheet, find(sheet, "heavy cream"))[5:9] == ["unknown"] * 4
    assert row_of(sheet, find(sheet, "whole milk"))[5] == pytest.approx(976 * 1.21 / 1000)
    assert row_of(sheet, find(sheet, "Scoop shop"))[1:8:4] == ["unknown", "unknown"]
    opening = made["Flavours"]
    assert row_of(opening, find(opening, "Flavour") + 1)[12:14] == ["–", "–"]


def test_figures_that_are_none_are_not_0() -> None:
    answer = builders.answer()
    assert answer.cost is not None
    channel = replace(answer.cost.channels[0], margin_pct=None, price_for_target=None)
    free = replace(answer.cost.channels[1], target_pct=None, price_for_target=None)
    lines = (replace(answer.cost.lines[0], per_kg=float("nan"), used_g=None), *answer.cost.lines[1:])
    answer = replace(answer, cost=replace(answer.cost, channels=(channel, free), lines=lines))
    sheet = read(book.render(builders.shop(), builders.DAY, (answer,)))[FLAVOUR]
    values = row_of(sheet, find(sheet, "Scoop shop"))
    assert (values[1], values[6], values[9]) == ("no price meets the target", "–", "no price can")
    assert row_of(sheet, find(sheet, "Grocer"))[1] == "no target set"
    assert row_of(sheet, find(sheet, "heavy cream"))[3:5] == ["unknown", "unknown"]
    assert best_channel((channel,)) is None
    assert best_channel((channel, free)) == free


# lists


def test_ingredients_tell_source_and_price(made: Any) -> None:
    sheet = made["Ingredients"]
    quince = row_of(sheet, find(sheet, "quince"))
    assert quince[2:6] == ["Quince, as the table has it (usda:09296)", "USDA SR28 (May 2016)", "fruit", "none"]
    assert quince[6:9] == pytest.approx([0.61, 5.2, 5.2 / 0.61])
    assert quince[9] == "Hollow Hill Dairy"
    assert row_of(sheet, find(sheet, "pear brandy"))[11:13] == ["added sugars 0 %", "alcohol, ethyl: by difference"]
    assert row_of(sheet, find(sheet, "egg yolks"))[11] == "34 % of eggs"
    assert sheet.auto_filter.ref == f"A4:M{sheet.max_row}"


def test_ingredients_that_no_flavour_prices() -> None:
    model = builders.shop()
    silent = {name: i for name, i in model.ingredients.items() if name in {"sugar", "salt", "egg yolks"}}
    sheet = read(book.render(replace(model, ingredients=silent, prices=model.prices[8:12]), builders.DAY, ()))[
        "Ingredients"
    ]
    assert row_of(sheet, find(sheet, "sugar"))[7:10] == ["–", "–", "not used here"]
    assert row_of(sheet, find(sheet, "salt"))[7:10] == ["–", "–", "no price"]
    assert row_of(sheet, find(sheet, "egg yolks"))[7:10] == ["–", "–", "bought as eggs"]


def test_what_the_shop_says_of_an_ingredient() -> None:
    model = builders.shop()
    food = replace(model.foods["usda:09296"], refuse=0.25, rounded=True, estimated={"no such": "a guess"})
    prunes = model.ingredients["sugar"].model_copy(
        update={
            "name": "prunes", "food": food.id, "sulphites_ppm": 500.0, "ready_to_eat": True, "highly_refined": True,
            "note": "from the coast", "made_of": (SubIngredient("plums", builders.figure(0.9)), SubIngredient("oil", None)),
        }
    )  # fmt: skip
    lost = prunes.model_copy(update={"name": "lost", "food": "usda:99999"})
    water = prunes.model_copy(update={"name": "water", "food": "water", "kind": "water"})
    model = replace(model, ingredients={"prunes": prunes, "lost": lost, "water": water}, foods={food.id: food})
    sheet = read(book.render(model, builders.DAY, ()))["Ingredients"]
    values = row_of(sheet, find(sheet, "prunes"))
    assert values[1] == "sugar (plums 90.0%, oil)"
    assert values[6] == 0.75
    assert values[11] == "sulphites 500 ppm; highly refined; ready to eat"
    assert values[12] == "no such: a guess; values from a printed label, known as intervals; from the coast"
    assert row_of(sheet, find(sheet, "lost"))[2:4] == ["unknown (usda:99999)", "unknown"]
    assert row_of(sheet, find(sheet, "water"))[7:10] == [0, 0, "free"]


def test_every_price_and_what_became_of_it(made: Any) -> None:
    sheet = made["Prices"]
    rows = [row_of(sheet, r) for r in range(5, sheet.max_row + 1)]
    assert len(rows) == len(builders.price_rows())
    cream = {(r[2], r[6]): r[11] for r in rows if r[0] == "heavy cream"}
    assert cream == {
        ("Hollow Hill Dairy", datetime(2025, 11, 3)): "no longer: a newer one is here",
        ("Hollow Hill Dairy", datetime(2026, 2, 16)): "used",
        ("Hollow Hill Dairy", datetime(2026, 4, 1)): "not yet: after the day",
        ("Port Ellery Provisions", datetime(2025, 11, 3)): "no longer: a newer one is here",
        ("Port Ellery Provisions", datetime(2026, 2, 16)): "no: another one was used",
    }
    assert [r[0] for r in rows if r[11] == "used"] == sorted(builders.GOODS)
    other = find(sheet, "buttermilk")
    assert sheet.cell(other, 12).value == "in no flavour of this book"
    assert sheet.cell(other, 5).number_format == '"€"#,##0.00'


def test_findings_once_each_errors_first() -> None:
    twice = Finding("warning", "shop.yaml:1", "a price list is older than 90 days")
    error = Finding("error", "recipes/x.yaml:2", "no", "mend it")
    answers = (replace(builders.answer(), findings=(twice, error)), replace(builders.house_base(), findings=(twice,)))
    sheet = read(book.render(builders.shop(), builders.DAY, answers, findings=[twice]))["Findings"]
    assert [c.value for c in sheet["A"]][4:] == ["error", "warning"]
    assert [c.value for c in sheet["D"]][4:] == ["mend it", "–"]


# hostile input


@pytest.mark.parametrize("name", HOSTILE)
def test_names_are_text_whatever_they_begin_with(name: str) -> None:
    model = builders.shop(name=name)
    price = PriceRow(where=name, supplier=name, item=name, ingredient=name, pack=name, price=1.0,
                              currency="USD", date=builders.NEW)  # fmt: skip
    ingredient = next(iter(model.ingredients.values())).model_copy(update={"name": name, "label": name, "note": name})
    answer = builders.answer(title=name)
    assert answer.cost is not None
    line = replace(answer.cost.lines[0], item=name, supplier=name, pack=name, amount=name)
    answer = replace(answer, cost=replace(answer.cost, lines=(line, *answer.cost.lines[1:])))
    model = replace(model, prices=(price,), ingredients={name: ingredient})
    data = book.render(model, builders.DAY, (answer,))
    for part in zipfile.ZipFile(io.BytesIO(data)).namelist():
        if part.startswith("xl/worksheets/sheet"):
            assert b"<f>" not in zipfile.ZipFile(io.BytesIO(data)).read(part)
    made = read(data)
    shown = name.replace("\r", "\n")
    cell = made["Prices"]["A5"]
    assert (cell.value, cell.data_type) == (shown, "s")
    assert bool(cell.quotePrefix) == name.startswith(("=", "+", "-", "@", "\t", "\r"))
    assert made["Flavours"].cell(find(made["Flavours"], "Flavour") + 1, 1).value == shown
    if name.strip():
        assert made["Ingredients"]["A5"].value == shown


def test_tabs_of_hostile_titles() -> None:
    titles = (
        "Peach [new] a/b: c?*\\d",
        "'quoted'",
        "🍑🍦 peach",
        "PEACH",
        "peach",
        "Prices",
        "x" * 80,
        "x" * 90,
        "",
        "History",
    )
    answers = tuple(builders.answer(f"r{i}", title) for i, title in enumerate(titles))
    model = builders.shop()
    made = read(book.render(model, builders.DAY, answers))
    names = made.sheetnames[2:-4]
    assert len({name.casefold() for name in made.sheetnames}) == len(made.sheetnames)
    assert names[:6] == ["Peach -new- a-b- c---d", "quoted", "🍑🍦 peach", "PEACH", "peach (2)", "Prices (2)"]
    for name, title in zip(names, titles, strict=True):
        assert made[name]["A1"].value == (title or None) or title == ""
        assert made["Flavours"].title == "Flavours"


def test_what_the_format_cannot_hold_is_replaced() -> None:
    model = builders.shop(name="Cream\x00ery \ud83d")
    made = read(book.render(model, builders.DAY, (builders.answer(title="Bell\x07 & <b>"),)))
    assert made["Flavours"]["A1"].value == "Cream\ufffdery \ufffd"
    assert made[made.sheetnames[2]]["A1"].value == "Bell\ufffd & <b>"


def test_a_formula_in_the_model_is_refused() -> None:
    workbook = openpyxl.Workbook()
    workbook.worksheets[0]["A1"] = "=1+1"
    with pytest.raises(ValueError, match="neither text nor number"):
        save.as_bytes(workbook, builders.DAY)


def test_an_openpyxl_that_writes_otherwise_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rows, "EMPTY", b"<rows/>")
    with pytest.raises(ValueError, match="not known"):
        save.as_bytes(openpyxl.Workbook(), builders.DAY)


def test_huge_figures_get_room() -> None:
    answer = builders.answer()
    assert answer.cost is not None
    big = replace(answer, cost=replace(answer.cost, cost=replace(answer.cost.cost, total=123_456_789.5)))
    model = builders.shop()
    plain = read(book.render(model, builders.DAY, (answer,)))[FLAVOUR].column_dimensions["F"].width
    wide = read(book.render(model, builders.DAY, (big,)))[FLAVOUR].column_dimensions["F"].width
    assert wide >= 14 > plain


# the file


def test_an_existing_file_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    path.write_bytes(b"mine")
    with pytest.raises(FileExistsError, match="exists already"):
        book.write(builders.shop(), builders.DAY, builders.answers()[:1], path)
    assert path.read_bytes() == b"mine"
    assert book.write(builders.shop(), builders.DAY, builders.answers()[:1], path, replace=True) == path
    assert openpyxl.load_workbook(path).sheetnames[0] == "Flavours"
    assert [p.name for p in tmp_path.iterdir()] == ["book.xlsx"]


def test_a_full_disk_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.fdopen

    def full(handle: int, mode: str) -> object:
        out = real(handle, mode)

        class Full:
            def __enter__(self) -> Full:
                return self

            def __exit__(self, *_: object) -> None:
                out.close()

            def write(self, data: bytes) -> None:
                out.write(data[:1000])
                raise OSError(errno.ENOSPC, "No space left on device")

        return Full()

    monkeypatch.setattr(os, "fdopen", full)
    path = tmp_path / "sub" / "book.xlsx"
    with pytest.raises(OSError, match="No space left"):
        book.write(builders.shop(), builders.DAY, builders.answers()[:1], path)
    assert list((tmp_path / "sub").iterdir()) == []
    path.write_bytes(b"old")
    with pytest.raises(OSError, match="No space left"):
        book.write(builders.shop(), builders.DAY, builders.answers()[:1], path, replace=True)
    assert [p.name for p in path.parent.iterdir()] == ["book.xlsx"]
    assert path.read_bytes() == b"old"


def test_new_folders_are_made_and_the_file_is_like_any_other(tmp_path: Path) -> None:
    path = book.write(builders.shop(), builders.DAY, (), tmp_path / "a" / "b" / "x.xlsx")
    (tmp_path / "plain").write_bytes(b"")
    assert path.stat().st_mode == (tmp_path / "plain").stat().st_mode
