"""Every formula of a living workbook, recalculated by LibreOffice, against the engine given the same figures."""

from __future__ import annotations

import io
import os
import random
import shutil
import subprocess
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from costing.desk import Shop
from costing.findings import ShopError
from costing.shop.models import PriceRow, ShopModel
from costing.shop.suppliers import Supplier
from costing.whatif.changing import changed
from costing.workbook import book
from costing.workbook.living.inputs import Names
from costing.workbook.values import Formula
from nutrition.resources import tree
from tests.costing.command_line import CommandLine


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


def render(shop: Shop) -> bytes:
    return book.render(shop.model, shop.day, shop.answers(), living=True)


@pytest.fixture(scope="module")
def living(shop: Shop) -> bytes:
    return render(shop)


def formulas(data: bytes) -> dict[tuple[str, str], str]:
    made = openpyxl.load_workbook(io.BytesIO(data))
    return {
        (s.title, c.coordinate): str(c.value) for s in made for row in s.iter_rows() for c in row if c.data_type == "f"
    }


def values(data: bytes) -> Any:
    return openpyxl.load_workbook(io.BytesIO(data), data_only=True)


def recalculated(data: bytes, inputs: dict[str, float | None], folder: Path) -> Any:
    """The workbook with some inputs changed, without any cached value, worked out by LibreOffice."""
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None:
        assert not os.environ.get("CI"), "LibreOffice is missing, and on a build machine it must not be"
        pytest.skip("LibreOffice is not here")
    made = openpyxl.load_workbook(io.BytesIO(data))
    for name, value in inputs.items():
        sheet, cell = next(iter(made.defined_names[name].destinations))
        made[sheet][cell].value = value
    folder.mkdir(exist_ok=True)
    source = folder / "in.xlsx"
    made.save(source)  # openpyxl writes formulas without the figures that they came to
    subprocess.run(
        [program, f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(folder / "out"), str(source)],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    return openpyxl.load_workbook(folder / "out" / "in.xlsx", data_only=True)


def differences(data: bytes, engine: bytes, found: Any) -> list[str]:
    """Formula cells whose figure is not the engine's."""
    told = values(engine)
    out = []
    cells = formulas(data)
    assert cells.keys() == formulas(engine).keys()
    for (sheet, cell), text in cells.items():
        want, got = told[sheet][cell].value, found[sheet][cell].value
        same = want == got
        if isinstance(want, float | int) and isinstance(got, float | int):
            same = abs(want - got) <= 1e-6
        if not same:
            out.append(f"{sheet}!{cell} {text}: engine {want!r}, LibreOffice {got!r}")
    return out


def used_only(model: ShopModel, shop: Shop) -> ShopModel:
    """Each thing has only the price that the workbook took, as the workbook keeps its supplier."""
    rows: list[PriceRow] = []
    for row in model.prices:
        used = (
            shop.book.ingredient(row.ingredient)
            if row.ingredient in model.ingredients
            else shop.book.item(row.ingredient)
        )
        if used is not None and used.where == row.where:
            rows.append(row)
    return replace(model, prices=tuple(rows))


def moved(shop: Shop, seed: int, many: int = 20) -> tuple[dict[str, float | None], Shop]:
    """Inputs changed at random, and a shop changed likewise."""
    dice = random.Random(seed)
    model = used_only(shop.model, shop)
    made = openpyxl.load_workbook(io.BytesIO(render(shop)))
    sheet = made["Inputs"]
    ways: list[tuple[str, Any]] = []
    words = {name: one.destinations for name, one in made.defined_names.items()}
    at = {name: next(iter(where))[1].replace("$", "") for name, where in words.items()}
    for name in at:
        row = sheet[at[name]].row
        ways.append((name, str(sheet.cell(row, 1).value)))
    inputs: dict[str, float | None] = {}
    kinds = [
        "price",
        "pack",
        "packaging_price",
        "packaging_pieces",
        "usable",
        "wage",
        "overhead",
        "channel_price",
        "fee_share",
        "fee_fixed",
        "target",
        "own_price",
        "minutes",
    ]
    order = [*kinds, *dice.choices(["price", "pack", "usable", "minutes", "packaging_price", "own_price"], k=60)]
    for kind in order:
        if len(inputs) >= many:
            break
        free = [(n, w) for n, w in ways if n.startswith(f"{kind}_") and n not in inputs and w != "water"]
        if not free:
            continue
        name, what = dice.choice(free)
        old = sheet[at[name]].value
        factor = dice.uniform(0.7, 1.4)
        new = round(min(old * factor, 0.95 if kind in ("usable", "share") else 1e9), 6) if old is not None else None
        new = max(0.05, new) if kind == "usable" and new is not None else new
        change = _engine(model, sheet, kind, name, sheet[at[name]].row, what, old, new, dice)
        if change is None:
            continue
        model, inputs[name] = change
    return inputs, Shop(model, (), shop.day)


def _engine(  # noqa: PLR0911
    model: ShopModel, sheet: Any, kind: str, name: str, row: int, what: str, old: float | None, new: float | None, dice: random.Random) -> tuple[ShopModel, float] | None:  # fmt: skip
    """The model with the same change; None where the change cannot be said to it alone."""
    if kind == "own_price":
        title, channel = what, str(sheet.cell(row, 2).value)
        key = next(r.key for r in model.recipes.values() if r.title == title)
        of = next(c for c in model.channels if c.casefold() == channel.casefold())
        price = round(dice.uniform(5, 14), 2)
        recipe = model.recipes[key]
        recipe = recipe.model_copy(update={"prices": {**recipe.prices, of: price}})
        return replace(model, recipes={**model.recipes, key: recipe}), price
    assert old is not None
    assert new is not None
    if kind in ("price", "packaging_price"):
        rows = tuple(r.model_copy(update={"price": new}) if r.ingredient == what else r for r in model.prices)
        return replace(model, prices=rows), new
    if kind in ("pack", "packaging_pieces"):
        new = round(new, 3) if kind == "pack" else float(max(1, round(new)))
        pack = f"{new!r} g" if kind == "pack" else f"{new:.0f} ct"
        rows = tuple(r.model_copy(update={"pack": pack}) if r.ingredient == what else r for r in model.prices)
        return replace(model, prices=rows), new
    if kind == "usable":
        return changed(model, [f"usable[{what}]={new * 100:.4f}%"]), round(new, 6)
    if kind == "wage":
        role = what.removeprefix("Wage: ")
        return replace(model, wages={**model.wages, role: new}), new
    if kind == "overhead":
        if name == "overhead_per_batch":
            return replace(model, overhead=model.overhead.model_copy(update={"per_batch": new})), new
        return changed(model, [f"overhead of labour={new * 100:.4f}%"]), new
    if kind == "minutes":
        return _minutes(model, sheet, row, what, old, new)
    field = {"channel_price": "price", "fee_share": "fee_share", "fee_fixed": "fee_fixed", "target": "target_margin"}[
        kind
    ]
    of = next(c for c in model.channels if c.casefold() == what.casefold())
    channels = {**model.channels, of: model.channels[of].model_copy(update={field: new})}
    return replace(model, channels=channels), new


def _minutes(model: ShopModel, sheet: Any, row: int, title: str, old: float, new: float) -> tuple[ShopModel, float] | None:  # fmt: skip
    """The step's own time times the same factor; only a step of the recipe itself, not of a base that others share."""
    recipe = next(r for r in model.recipes.values() if r.title == title)
    wanted = str(sheet.cell(row, 2).value)
    hits = [
        (i, j) for i, part in enumerate(recipe.parts) for j, step in enumerate(part.steps)
        if step.labour is not None and (step.name or f"{part.name}: {step.verb}") == wanted
    ]  # fmt: skip
    if len(hits) != 1 or not old:
        return None
    i, j = hits[0]
    part = recipe.parts[i]
    labour = part.steps[j].labour
    assert labour is not None
    factor = new / old
    time = replace(labour.time, low=labour.time.low * factor, high=labour.time.high * factor)
    step = part.steps[j].model_copy(update={"labour": replace(labour, time=time)})
    part = part.model_copy(update={"steps": (*part.steps[:j], step, *part.steps[j + 1 :])})
    parts = (*recipe.parts[:i], part, *recipe.parts[i + 1 :])
    return replace(model, recipes={**model.recipes, recipe.key: recipe.model_copy(update={"parts": parts})}), new


def test_untouched_every_formula_is_what_the_engine_says(living: bytes, tmp_path: Path) -> None:
    found = recalculated(living, {}, tmp_path)
    assert len(formulas(living)) > 1000
    assert differences(living, living, found) == []


def test_after_twenty_changes_every_formula_is_what_the_engine_says(shop: Shop, living: bytes, tmp_path: Path) -> None:
    inputs, other = moved(shop, 4)
    assert len(inputs) == 20
    engine = render(other)
    told = differences(living, engine, values(living))
    assert len(told) > 200  # the changes do change something
    assert differences(living, engine, recalculated(living, inputs, tmp_path)) == []


def test_an_empty_price_is_unknown_and_not_zero(shop: Shop, living: bytes, tmp_path: Path) -> None:
    found = recalculated(living, {"price_heavy_cream": None}, tmp_path)
    opening = found["Flavours"]
    heads = {c.value: c.column for row in opening.iter_rows() for c in row if isinstance(c.value, str)}
    column = heads["Cost of a container"]
    cells = {opening.cell(r, 1).value: opening.cell(r, column).value for r in range(1, opening.max_row + 1)}
    creamy = [a.title for a in shop.answers() if a.cost and any(line.item == "heavy cream" for line in a.cost.lines)]
    assert creamy
    assert {cells[title] for title in creamy} == {"unknown"}


def test_inputs_are_open_named_and_checked_and_all_else_is_guarded(living: bytes) -> None:
    made = openpyxl.load_workbook(io.BytesIO(living))
    sheet = made["Inputs"]
    checked = [rule.sqref for rule in sheet.data_validations.dataValidation]
    named = set()
    for name, one in made.defined_names.items():
        assert name.isascii()
        ((tab, cell),) = one.destinations
        assert tab == "Inputs"
        place = cell.replace("$", "")
        named.add(place)
        assert not sheet[place].protection.locked
        assert sum(place in area for area in checked) == 1
        assert "input" in str(sheet.cell(sheet[place].row, 10).value)
    assert len(named) == len(made.defined_names)
    open_cells = {c.coordinate for s in made for row in s.iter_rows() for c in row if not c.protection.locked}
    assert open_cells == named
    assert sheet.protection.sheet


def test_no_formula_leads_out_or_changes_by_itself(living: bytes) -> None:
    for text in formulas(living).values():
        assert not any(word in text.upper() for word in ("[", "NOW(", "TODAY(", "RAND(", "OFFSET(", "INDIRECT("))


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
    done = creamery("workbook", str(quillfeather), "--out", str(out), "--living")
    assert done.code == 0, done
    assert "Inputs" in openpyxl.load_workbook(out).sheetnames


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
        book.render(shop.model, shop.day, [bigger, *answers[1:]], living=True)


def test_a_second_program_comes_to_the_same(living: bytes, tmp_path: Path) -> None:
    second = pytest.importorskip("formulas")  # the PyPI library of that name
    file = tmp_path / "living.xlsx"
    file.write_bytes(living)
    found = second.ExcelModel().loads(str(file)).finish().calculate()
    told = values(living)
    for sheet, cell in formulas(living):
        name = sheet.upper().replace("'", "''")
        got, want = found[f"'[living.xlsx]{name}'!{cell}"].value[0, 0], told[sheet][cell].value
        if isinstance(want, str):
            assert str(got) == want, (sheet, cell)
        else:
            assert abs(float(got) - want) <= 1e-6, (sheet, cell)


def test_freight_and_rates_are_inputs_too(shop: Shop, tmp_path: Path) -> None:
    """A shop that counts freight and pays for its honey in euros, untouched and with both changed."""
    dairy, sweets = "Saltmarsh Hollow Dairy", "Barrow & Finch Provisioners"

    def priced(**freight: str) -> Shop:
        said = {dairy: "none", sweets: "18 per order", "Wrenlock Kitchen Supply": "4 %"} | freight
        asked = {
            name: Supplier.model_validate({"name": name, "where": "s:1", "freight": text, "usual order": "240"})
            for name, text in said.items()
        }
        prices = tuple(
            row.model_copy(update={"currency": "EUR"}) if row.ingredient == "honey" else row
            for row in shop.model.prices
        )
        some = {key: recipe for key, recipe in shop.model.recipes.items() if key in ("oolong", "house-base")}
        rates = {"EUR": {date(2026, 1, 1): 1.08, date(2026, 2, 15): 1.10}}
        model = replace(shop.model, recipes=some, prices=prices, suppliers=asked, count_freight=True, rates=rates)
        return Shop(used_only(model, Shop(model, (), shop.day)), (), shop.day)

    plain = priced()
    data = render(plain)
    assert differences(data, data, recalculated(data, {}, tmp_path / "plain")) == []
    other = priced(**{sweets: "24 per order"})
    other = Shop(replace(other.model, rates={"EUR": 1.25}), (), shop.day)
    inputs: dict[str, float | None] = {"freight_barrow_finch_provisioners": 0.1, "rate_eur": 1.25}
    assert differences(data, render(other), recalculated(data, inputs, tmp_path / "changed")) == []
