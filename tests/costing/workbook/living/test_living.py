"""Every formula of a living workbook, recalculated by LibreOffice, against the engine given the same figures."""

from __future__ import annotations

import functools
import importlib
import io
import os
import re
import shutil
import subprocess
import zipfile
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from costing.amounts import Kind
from costing.desk import Asked, Shop
from costing.findings import ShopError
from costing.shop.suppliers import Supplier
from costing.workbook import book
from costing.workbook.living.inputs import Names
from costing.workbook.values import Formula
from nutrition.resources import tree
from tests.costing.command_line import CommandLine
from tests.costing.workbook.living.changes import Cells, apply, cells, exactly, moved, used_only


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


def render(shop: Shop) -> bytes:
    return book.render(shop.model, shop.day, shop.answers(), living=shop)


@pytest.fixture(scope="module")
def living(shop: Shop) -> bytes:
    return render(shop)


@functools.lru_cache(maxsize=4)
def formulas(data: bytes) -> dict[tuple[str, str], str]:
    made = openpyxl.load_workbook(io.BytesIO(data))
    return {
        (s.title, c.coordinate): str(c.value) for s in made for row in s.iter_rows() for c in row if c.data_type == "f"
    }


@functools.lru_cache(maxsize=4)
def values(data: bytes) -> Any:
    return openpyxl.load_workbook(io.BytesIO(data), data_only=True)


def recalculated(folder: Path, books: dict[str, tuple[bytes, dict[str, float | None]]]) -> dict[str, Any]:
    """Workbooks with some inputs changed, without any cached value, worked out by LibreOffice in one run."""
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None:
        assert not os.environ.get("CI"), "LibreOffice is missing, and on a build machine it must not be"
        pytest.skip("LibreOffice is not here")
    for name, (data, inputs) in books.items():
        made = openpyxl.load_workbook(io.BytesIO(data))
        for cell_name, value in inputs.items():
            sheet, cell = next(iter(made.defined_names[cell_name].destinations))
            made[sheet][cell.replace("$", "")].value = value
        made.save(folder / f"{name}.xlsx")  # openpyxl writes formulas without the figures that they came to
    subprocess.run(
        [program, f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(folder / "out"), *(str(folder / f"{name}.xlsx") for name in books)],
        check=True, capture_output=True, timeout=240,
    )  # fmt: skip
    return {name: openpyxl.load_workbook(folder / "out" / f"{name}.xlsx", data_only=True) for name in books}


def differences(data: bytes, engine: bytes, found: Any) -> list[str]:
    """Formula cells whose figure is not the engine's."""
    told = values(engine)
    out = []
    own = formulas(data)
    assert own.keys() == formulas(engine).keys()
    for (sheet, cell), text in own.items():
        if "out of date" in text or text.startswith("=SUMPRODUCT((D"):
            continue  # whether something was changed: that differs, and has a test of its own
        want, got = told[sheet][cell].value, found[sheet][cell].value
        same = want == got
        if isinstance(want, float | int) and isinstance(got, float | int):
            same = abs(want - got) <= 1e-6
        if not same:
            out.append(f"{sheet}!{cell} {text}: engine {want!r}, LibreOffice {got!r}")
    return out


SEEDS = range(int(os.environ.get("CREAMERY_SEEDS", "1")))
"""How many times twenty inputs are changed at random; more of them take LibreOffice longer."""


@dataclass
class Recalculated:
    """What LibreOffice makes of the workbook: as it is, and with inputs changed."""

    books: dict[str, Any]
    changed: list[tuple[dict[str, float], Shop]]


def abroad(shop: Shop, **freight: str) -> Shop:
    """A shop that counts freight and pays for its honey in euros."""
    said = {DAIRY: "none", SWEETS: "18 per order", "Wrenlock Kitchen Supply": "4 %"} | freight
    asked = {
        name: Supplier.model_validate({"name": name, "where": "s:1", "freight": text, "usual order": "240"})
        for name, text in said.items()
    }
    prices = tuple(
        row.model_copy(update={"currency": "EUR"}) if row.ingredient == "honey" else row for row in shop.model.prices
    )
    some = {key: recipe for key, recipe in shop.model.recipes.items() if key in ("oolong", "house-base")}
    rates = {"EUR": {date(2026, 1, 1): 1.08, date(2026, 2, 15): 1.10}}
    model = replace(shop.model, recipes=some, prices=prices, suppliers=asked, count_freight=True, rates=rates)
    return Shop(used_only(Shop(model, (), shop.day)), (), shop.day)


DAIRY, SWEETS = "Saltmarsh Hollow Dairy", "Barrow & Finch Provisioners"


@pytest.fixture(scope="module")
def made(shop: Shop) -> Cells:
    return cells(shop)


@pytest.fixture(scope="module")
def found(shop: Shop, living: bytes, made: Cells, tmp_path_factory: pytest.TempPathFactory) -> Recalculated:
    answers = [answer for answer in shop.answers() if answer.recipe in SOME]
    few = book.render(shop.model, shop.day, answers, living=shop)
    changed = [moved(shop, made, 40 + seed) for seed in SEEDS]
    books: dict[str, tuple[bytes, dict[str, float | None]]] = {
        "untouched": (living, {}),
        "empty": (few, {"price_heavy_cream": None, "kitchen_oolong_infused_base_2_loses": None, IMPOSSIBLE: 5.0}),
    }
    freight = render(abroad(shop))
    books["more freight"] = (freight, {"freight_barrow_finch_provisioners": 0.1, "rate_eur": 1.25})
    books |= {f"seed{seed}": (living, dict(changed[seed][0])) for seed in SEEDS}
    return Recalculated(recalculated(tmp_path_factory.mktemp("libreoffice"), books), changed)


SOME = ("custard", "house-base", "oolong", "plum", "quince")
IMPOSSIBLE = "kitchen_quince_quince_syrup_5_holding"


def test_untouched_every_formula_is_what_the_engine_says(living: bytes, found: Recalculated) -> None:
    assert len(formulas(living)) > 4000
    assert differences(living, living, found.books["untouched"]) == []


@pytest.mark.parametrize("seed", SEEDS)
def test_after_twenty_changes_every_formula_is_what_the_engine_says(
    living: bytes, found: Recalculated, made: Cells, seed: int
) -> None:
    inputs, other = found.changed[seed]
    assert len(inputs) == 20
    assert sum(name in made.kitchen for name in inputs) >= 12
    engine = render(other)
    assert len(differences(living, engine, values(living))) > 500  # the changes do change something
    assert differences(living, engine, found.books[f"seed{seed}"]) == []


def column(sheet: Any, head: str) -> dict[str, Any]:
    heads = {c.value: c.column for row in sheet.iter_rows() for c in row if isinstance(c.value, str)}
    return {sheet.cell(r, 1).value: sheet.cell(r, heads[head]).value for r in range(1, sheet.max_row + 1)}


def test_an_empty_cell_is_unknown_and_not_zero(shop: Shop, found: Recalculated) -> None:
    costs = column(found.books["empty"]["Flavours"], "Cost of a container")
    creamy = {shop.model.recipes[key].title for key in ("custard", "oolong", "quince")}
    assert {costs[title] for title in creamy} == {"unknown"}
    pints = column(found.books["empty"]["Flavours"], "Containers a batch")
    assert pints["Toasted oolong & honey"] == "unknown"
    assert pints["Sorghum & black pepper frozen custard"] > 0


def test_what_cannot_be_done_says_so_and_has_no_figures(shop: Shop, made: Cells, found: Recalculated) -> None:
    book = found.books["empty"]
    title = shop.model.recipes["quince"].title
    assert column(book["Flavours"], "Cost of a container")[title] == "unknown"
    costs = column(book["Flavours"], "Cost of a container")
    assert isinstance(costs[shop.model.recipes["plum"].title], float)
    tab = next(name for name in book.sheetnames if name.startswith("Duck fat"))
    told = {str(c.value) for row in book[tab].iter_rows() for c in row}
    assert "there is not so much liquid to hold" in told
    assert "no: see Yield" in told
    # The engine refuses the same.
    model = apply(shop.model, made, IMPOSSIBLE, 5.0)
    answers = {answer.recipe: answer for answer in Shop(model, (), shop.day).answers()}
    assert answers["quince"].cost is None


def test_a_change_in_the_kitchen_puts_label_and_waste_out_of_date(shop: Shop, found: Recalculated) -> None:
    def states(book: Any) -> set[str]:
        words = {"as written", "out of date"}
        return {str(c.value) for sheet in book for row in sheet.iter_rows() for c in row if c.value in words}

    assert states(found.books["untouched"]) == {"as written"}
    assert states(found.books["empty"]) == {"as written", "out of date"}


def test_no_label_is_called_ready_once_its_recipe_was_changed(shop: Shop, found: Recalculated) -> None:
    title = shop.model.recipes["oolong"].title
    for state, ready in (("untouched", True), ("empty", False)):
        sheet = found.books[state]["Flavours"]
        told = column(sheet, "Calories a serving")[title], column(sheet, "Label")[title]
        assert told == (("310", "ready to print") if ready else ("out of date", "out of date: make it again"))
    # A price has no part in it.
    prune = column(found.books["more freight"]["Flavours"], "Label")
    assert set(prune.values()) >= {"ready to print"}


def test_inputs_are_open_named_and_checked_and_all_else_is_guarded(living: bytes, made: Cells) -> None:
    book = openpyxl.load_workbook(io.BytesIO(living))
    named: set[tuple[str, str]] = set()
    for name, one in book.defined_names.items():
        assert name.isascii()
        ((tab, cell),) = one.destinations
        place, sheet = cell.replace("$", ""), book[tab]
        named.add((tab, place))
        assert not sheet[place].protection.locked
        assert sum(place in rule.sqref for rule in sheet.data_validations.dataValidation) == 1
        assert sheet.protection.sheet
        if tab == "Inputs":
            assert "input" in str(sheet.cell(sheet[place].row, 10).value)
        else:
            assert name in made.kitchen
    assert len(named) == len(book.defined_names)
    open_cells = {
        (s.title, c.coordinate) for s in book for row in s.iter_rows() for c in row if not c.protection.locked
    }
    assert open_cells == named
    assert {tab for tab, _ in named} > {"Inputs"}
    assert all(sheet.sheet_state == "visible" for sheet in book)


def words(data: bytes) -> list[str]:
    return [str(c.value) for s in openpyxl.load_workbook(io.BytesIO(data)) for row in s.iter_rows() for c in row]


def test_all_of_the_kitchen_is_open_and_every_verb_has_figures(shop: Shop, living: bytes, made: Cells) -> None:
    steps = {one.key[:3] for one in made.kitchen.values() if len(one.key) == 4}
    parts = {(key, part.name): part for key, recipe in shop.model.recipes.items() for part in recipe.parts}
    verbs = {parts[recipe, part].steps[int(number) - 1].verb for recipe, part, number in steps}
    assert verbs >= {"add", "trim", "cook", "reduce", "render", "press", "soak", "strain", "lose", "weigh", "churn", "fold", "fill"}  # fmt: skip
    assert len(made.kitchen) > 120
    assert not [one for one in words(living) if "(locked)" in one]


def test_what_needs_the_engine_is_locked_with_all_that_leads_to_it_and_says_why(shop: Shop) -> None:
    """A liquor of brandy that is boiled down by its volume."""
    recipe = shop.model.recipes["prune"]
    part = recipe.parts[1]
    step = part.steps[3]
    assert step.verb == "reduce"
    to = replace(step.to, kind=Kind.VOLUME_SHARE, figure=exactly(0.9))
    part = part.model_copy(update={"steps": (*part.steps[:3], step.model_copy(update={"to": to}), *part.steps[4:])})
    recipe = recipe.model_copy(update={"parts": (recipe.parts[0], part, *recipe.parts[2:])})
    model = replace(shop.model, recipes={"prune": recipe, "house-base": shop.model.recipes["house-base"]})
    other = Shop(model, (), shop.day)
    told = words(render(other))
    assert any(one.startswith("Locked, with all that leads to it: ") and "Volume with alcohol" in one for one in told)
    assert sum("(locked)" in one for one in told) == 12
    keys = [one.key for one in cells(other).kitchen.values() if one.key[0] == "prune"]
    assert {key[3] for key in keys if key[1] != "frozen"} == {"worth"}  # money has no part in boiling
    assert any(key[1] == "frozen" for key in keys)


def test_no_formula_leads_out_or_changes_by_itself(living: bytes) -> None:
    for text in formulas(living).values():
        assert not any(word in text.upper() for word in ("[", "NOW(", "TODAY(", "RAND(", "OFFSET(", "INDIRECT("))
    names = zipfile.ZipFile(io.BytesIO(living)).namelist()
    assert not [name for name in names if "externalLink" in name or "vbaProject" in name or "connections" in name]


def test_formulas_are_such_as_the_grammar_of_the_format_has(living: bytes) -> None:
    """ECMA-376, part 1, 18.17.2: numbers have a capital E; bounds of common programs: 8,192 characters, 64 levels,
    255 arguments, 255 characters of text (from memory)."""
    for text in formulas(living).values():
        bare = re.sub(r'"[^"]*"|\'[^\']*\'', "", text)
        assert not re.search(r"[0-9]e[-+0-9]", bare), text
        assert len(text) <= 8192
        depth = deepest = 0
        for sign in bare:
            depth += (sign == "(") - (sign == ")")
            deepest = max(deepest, depth)
        assert depth == 0
        assert deepest <= 64
        assert all(len(words) <= 255 for words in re.findall(r'"([^"]*)"', text))
        assert max((inside.count(",") for inside in re.findall(r"\(([^()]*)\)", bare)), default=0) < 255


def test_the_picture_follows(living: bytes) -> None:
    """Every series of the chart stands on cells that are formulas."""
    book = openpyxl.load_workbook(io.BytesIO(living))
    (chart,) = book["Flavours"]._charts
    for series in chart.series:
        for row in book["Flavours"][series.val.numRef.f.partition("!")[2].replace("$", "")]:
            # What a flavour never has, such as nothing that could be saved, stays 0.
            assert all(cell.data_type == "f" or cell.value == 0 for cell in row)


@pytest.mark.parametrize(
    "text", ["", "[1]Sheet1!A1", "NOW()", "1+rand()", "INDIRECT(A1)", "cmd|' /C calc'!A0", "1" * 9000]
)
def test_a_formula_that_no_workbook_may_have_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="formula"):
        Formula(text, 0.0)


def test_text_never_becomes_a_formula(shop: Shop) -> None:
    model = replace(shop.model, name="=1+1", recipes={
        key: one.model_copy(update={"title": f"=HYPERLINK(1) {key}"}) for key, one in shop.model.recipes.items()
    })  # fmt: skip
    data = render(Shop(model, (), shop.day))
    assert not [text for text in formulas(data).values() if text.startswith("=HYPERLINK")]
    assert "=1+1" not in formulas(data).values()


def test_without_asking_there_is_no_formula(shop: Shop) -> None:
    assert formulas(book.render(shop.model, shop.day, shop.answers())) == {}


def test_names_of_hostile_things_stay_names() -> None:
    names = Names()
    found = [names.fresh("price", one) for one in ("A1", "a1", "日本", "", "x" * 500, "'; DROP")]
    assert len(set(found)) == len(found)
    assert all(one.isascii() and one.replace("_", "").isalnum() and len(one) < 100 for one in found)


def test_the_command_writes_it(creamery: CommandLine, quillfeather: Path, tmp_path: Path) -> None:
    out = tmp_path / "living.xlsx"
    done = creamery("workbook", str(quillfeather), "coffee", "--no-evidence", "--out", str(out), "--living")
    assert done.code == 0, done
    book = openpyxl.load_workbook(out)
    assert {"Inputs", "Workings"} <= set(book.sheetnames)
    # The base has no sheet here, so what it is made of stays as it is.
    assert not [name for name in book.defined_names if "house_base" in name and name.startswith("kitchen")]


def test_the_command_refuses_trials(creamery: CommandLine, quillfeather: Path, tmp_path: Path) -> None:
    out = tmp_path / "living.xlsx"
    done = creamery("workbook", str(quillfeather), "--out", str(out), "--living", "--use-trials")
    assert done.code == 1
    assert "living workbook" in done.err
    assert not out.exists()


def test_answers_that_are_not_the_recipes_are_refused(shop: Shop) -> None:
    answers = shop.answers()
    bigger = replace(answers[0], size=2.0)
    with pytest.raises((ValueError, ShopError), match="as it is written"):
        book.render(shop.model, shop.day, [bigger, *answers[1:]], living=shop)


def test_a_second_program_comes_to_the_same(shop: Shop, tmp_path: Path) -> None:
    second: Any = importlib.import_module("formulas")  # the PyPI library of that name
    # It takes its time, so it gets one flavour and its base.
    answers = [answer for answer in shop.answers() if answer.recipe in ("coffee", "house-base")]
    data = book.render(shop.model, shop.day, answers, living=shop)
    file = tmp_path / "living.xlsx"
    file.write_bytes(data)
    found = second.ExcelModel().loads(str(file)).finish().calculate()
    told = values(data)
    assert len(formulas(data)) > 500
    for sheet, cell in formulas(data):
        name = sheet.upper().replace("'", "''")
        got, want = found[f"'[living.xlsx]{name}'!{cell}"].value[0, 0], told[sheet][cell].value
        if isinstance(want, str):
            assert str(got) == want, (sheet, cell)
        else:
            assert abs(float(got) - want) <= 1e-6, (sheet, cell)


def test_freight_and_rates_are_inputs_too(shop: Shop, found: Recalculated) -> None:
    data = render(abroad(shop))
    other = abroad(shop, **{SWEETS: "24 per order"})
    other = Shop(replace(other.model, rates={"EUR": 1.25}), (), shop.day)
    assert differences(data, render(other), found.books["more freight"]) == []


def test_a_batch_of_another_size_lives_too(shop: Shop) -> None:
    """The formulas are held against the engine when it is written; what stands in its cells is the recipe's own."""
    answers = [shop["coffee"].answer(Asked(size=2.5)), shop["quince"].answer(Asked(size=0.7))]
    data = book.render(shop.model, shop.day, answers, living=shop)
    assert any("a batch of 2.5 times the recipe" in one for one in words(data))
