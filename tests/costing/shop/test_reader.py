"""Reading whole shops: what comes out, however odd the files, and how fast."""

import tempfile
from datetime import date
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costing.shop.models import PriceRow
from costing.shop.pricelists import rows
from costing.shop.reader import everything, read
from costing.shop.sources import Report
from nutrition.resources import tree
from tests.costing.shop.conftest import DAY, STARTER

EXAMPLE = Path(str(tree("examples") / "quillfeather"))


@pytest.fixture(scope="module")
def example():
    return read(EXAMPLE)


def test_the_example_shop_has_no_error(example):
    model, found = example
    assert [one for one in found if one.level == "error"] == []
    assert model.as_of == date(2026, 3, 2)
    assert len(model.recipes) >= 8


def test_what_shop_yaml_says():
    model, _ = read(STARTER, DAY)
    assert (model.name, model.currency, model.locale, model.law) == ("My Creamery", "USD", "en_US", "us")
    assert model.address == ("1 Example Street", "Exampleton")
    assert dict(model.wages) == {"kitchen": 20.0}
    assert (model.overhead.per_batch, model.overhead.of_labour.mid) == (5.0, 0.1)
    pint = model.containers["pint"]
    assert (pint.holds.mid, pint.giveaway.mid) == (473.176473, 0.01)
    assert list(pint.made_of) == ["pint tub", "pint lid", "pint label"]
    machine = model.machines["ice cream machine"]
    assert (machine.capacity.mid, machine.leaves.mid, machine.run.mid) == (1500, 40, 1800)
    counter = model.channels["counter"]
    assert (counter.price, counter.fee_share, counter.fee_fixed, counter.target_margin) == (10.0, 0.029, 0.3, 0.6)
    assert model.channels["market"].fee_share == 0


def test_the_recipe_of_the_design(example):
    quince = example[0].recipes["quince"]
    assert (quince.key, quince.where, quince.sold_as) == ("quince", "recipes/quince.yaml:1", "frozen dessert")
    assert [part.name for part in quince.parts] == ["duck fat", "quince syrup", "base", "frozen"]
    assert [step.verb for part in quince.parts for step in part.steps] == [
        "add", "render", "add", "trim", "add", "cook", "strain", "reduce", "add", "add", "cook", "cool", "add", "churn",
        "fold", "fill",
    ]  # fmt: skip
    render = quince.parts[0].steps[1]
    assert (render.of, render.yields.figure.low, render.yields.figure.high, render.label) == (
        ("duck skin",), 0.38, 0.46, "duck fat",
    )  # fmt: skip
    assert quince.parts[3].steps[3].labour.time.mid == 1500


def test_every_ingredient_has_its_food_record(example):
    model, _ = example
    for one in model.ingredients.values():
        assert model.foods[one.food].composition.grams == 100
        assert one.where.startswith("ingredients.yaml:")
    assert model.ingredients["egg yolks"].comes_from["eggs"].mid == 0.34
    assert model.ingredients["pistachios"].allergens == ("tree nut: pistachio",)


def test_prices_are_rows_with_their_lines(example):
    row = example[0].prices[0]
    assert isinstance(row, PriceRow)
    lines = (EXAMPLE / row.where.rpartition(":")[0]).read_text().splitlines()
    assert row.supplier in lines[int(row.where.rpartition(":")[2]) - 1]
    # The rows are built without a second check, so every field is compared with what the model would have made of it.
    assert PriceRow.model_validate(row.model_dump()) == row


def test_a_long_price_list_is_read(tmp_path):
    (tmp_path / "prices").mkdir()
    row = "Example Dry Goods,Cane sugar,sugar,25 lb,19.80,USD,2026-01-05\n"
    (tmp_path / "prices" / "long.csv").write_text("supplier,item,ingredient,pack,price,currency,date\n" + row * 50_000)
    report = Report()
    assert len(rows(tmp_path, report)) == 50_000
    assert report.findings == []


def test_what_can_be_read_is_there_beside_the_errors(folder):
    folder.edit("ingredients.yaml", "class: sweetener", "class: sweetner")
    reading = everything(folder.path)
    assert "whole milk" in reading.model.ingredients
    assert reading.hides("ingredients", "sugar")
    assert not reading.hides("ingredients", "salt")
    folder.write("ingredients.yaml", "[")
    assert everything(folder.path).hides("ingredients", "anything")


def test_a_day_may_be_asked_for(folder):
    assert read(folder.path, DAY)[1] == ()
    future = read(folder.path, date(2025, 12, 31))[1]
    assert any("price" in one.what for one in future if one.level == "error")


_WORDS = st.sampled_from(
    ["add", "cook", "fill", "strain", "out", "save", "sugar", "heavy cream", "pot", "all", "50 %", "1,5 kg", "2 cups",
     "3 each", "title", "parts", "makes", "container", "pint", "labour", "by", "12 min", "food", "usda:19335", "label",
     "allergens", "milk", "from", "measures", "1 cup", "name", "wages", "channels", "fees", "price", "rates", "where",
     "steps", "things", "verb", "lines", "", "é", "🍦", "-1", "none", "note", "rest", "key"]
)  # fmt: skip
_TREES = st.recursive(
    _WORDS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(_WORDS, inner, max_size=5),
    max_leaves=25,
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(_TREES, _TREES, _TREES, st.text(',;"\n#x12-. ', max_size=80))
def test_no_shop_however_odd_ends_in_a_traceback(shop, ingredients, parts, prices):
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "recipes").mkdir()
        (folder / "prices").mkdir()
        (folder / "shop.yaml").write_text(yaml.safe_dump(shop), encoding="utf-8")
        (folder / "ingredients.yaml").write_text(yaml.safe_dump(ingredients), encoding="utf-8")
        (folder / "recipes" / "a.yaml").write_text(yaml.safe_dump({"title": "x", "parts": parts}), encoding="utf-8")
        (folder / "prices" / "a.csv").write_text(prices, encoding="utf-8")
        model, found = read(folder, DAY)
        assert model is None
        assert all(one.what and one.where for one in found)


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(["shop.yaml", "ingredients.yaml", "recipes/vanilla.yaml"]), st.data())
def test_a_spoilt_line_never_ends_in_a_traceback(file, data):
    lines = (STARTER / file).read_text().splitlines()
    at = data.draw(st.integers(0, len(lines) - 1))
    cut = data.draw(st.integers(0, len(lines[at])))
    lines[at] = (
        lines[at][:cut]
        + data.draw(st.sampled_from(["", ":", "{", "}", "]", ",", "-", " ", "'", '"', "#", "%", "é", "1"]))
        + lines[at][cut + data.draw(st.integers(0, 3)) :]
    )
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for path in STARTER.rglob("*"):
            if path.is_file():
                target = folder / path.relative_to(STARTER)
                target.parent.mkdir(exist_ok=True)
                target.write_bytes(path.read_bytes())
        (folder / file).write_text("\n".join(lines) + "\n", encoding="utf-8")
        model, found = read(folder, DAY)
        assert (model is None) == any(one.level == "error" for one in found)
