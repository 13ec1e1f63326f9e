"""Folder to workbook to folder: nothing is lost, and the answers are the same."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from costing.desk import Shop
from costing.findings import ShopError
from costing.shop import reader
from costing.shop.sheets import files, said, turning
from costing.shop.yaml_lines import Group, Listing, Node, Text
from nutrition.composition import Composition
from nutrition.foods import pins
from nutrition.foods.record import FoodRecord, Measure
from nutrition.resources import tree
from tests.costing.kitchen.test_balance import recipes

EXAMPLES = Path(str(tree("examples")))


def model(place: Path) -> Any:
    reading = reader.everything(place)
    assert reading.model is not None
    assert not [one for one in reading.findings if one.level == "error"], "\n".join(map(str, reading.findings))
    return reading.model


def same(one: Path, other: Path) -> None:
    assert turning.difference(turning.content(model(one)), turning.content(model(other))) == ""


@pytest.mark.parametrize("name", ["quillfeather", "starter"])
def test_an_example_goes_there_and_back(name: str, tmp_path: Path) -> None:
    source = EXAMPLES / name
    turning.convert(source, tmp_path / "shop.xlsx")
    turning.convert(tmp_path / "shop.xlsx", tmp_path / "folder")
    same(source, tmp_path / "shop.xlsx")
    same(source, tmp_path / "folder")
    shops = [Shop.open(place) for place in (source, tmp_path / "shop.xlsx", tmp_path / "folder")]
    for key in shops[0].model.recipes:
        costs = [shop[key].answer().cost for shop in shops]
        if costs[0] is None:
            assert costs == [None] * 3
        else:
            assert len({repr((one.per_container, one.per_serving)) for one in costs if one is not None}) == 1
            assert len({repr(one.cost) for one in costs if one is not None}) == 1
        labels = [shop[key].answer().label for shop in shops]
        assert len({None if one is None else repr((one.nutrients, one.serving)) for one in labels}) == 1


def test_rows_in_an_order_of_ones_own_become_a_folder(tmp_path: Path) -> None:
    """Owners put their flavours in the order that they like; files have that of their names."""
    turning.convert(EXAMPLES / "quillfeather", tmp_path / "shop.xlsx")
    book = load_workbook(tmp_path / "shop.xlsx")
    for name in ("Flavours", "Ingredients", "Prices"):
        sheet = book[name]
        rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=4) if row[0].value is not None]
        for at, values in enumerate(reversed(rows), 4):
            for column, value in enumerate(values, 1):
                sheet.cell(at, column).value = value
    book.save(tmp_path / "shop.xlsx")
    shop = model(tmp_path / "shop.xlsx")
    assert list(shop.recipes) == sorted(shop.recipes, reverse=True)
    turning.convert(tmp_path / "shop.xlsx", tmp_path / "folder")
    assert list(model(tmp_path / "folder").recipes) == sorted(shop.recipes)
    costs = [{one.recipe: one.cost for one in Shop.open(tmp_path / name).answers()} for name in ("shop.xlsx", "folder")]
    assert {key: one.per_container for key, one in costs[0].items() if one} == {
        key: one.per_container for key, one in costs[1].items() if one
    }


def test_a_difference_is_seen(tmp_path: Path) -> None:
    changed = tmp_path / "changed"
    shutil.copytree(EXAMPLES / "starter", changed)
    recipe = changed / "recipes/vanilla.yaml"
    recipe.write_text(recipe.read_text().replace("loses: 3 %", "loses: 3.0 %"))
    found = turning.difference(turning.content(model(EXAMPLES / "starter")), turning.content(model(changed)))
    assert "3 %, 3.0 %" in found


NAMES = (
    st.text(
        st.one_of(
            st.characters(codec="utf-8", categories=["L", "N", "P", "S", "Zs"]), st.sampled_from(";:,[]{}\"'#&*=+-@%| ")
        ),
        min_size=1,
        max_size=14,
    )
    .map(lambda text: " ".join(text.split()))
    .filter(lambda text: text and text.isprintable())
)


def node(value: Any) -> Node:
    if isinstance(value, dict):
        return Group(1, {key: (1, node(one)) for key, one in value.items()})
    if isinstance(value, list):
        return Listing(1, [node(one) for one in value])
    return Text(1, "" if value is None else value, quoted=value == "")


LABOUR = st.sampled_from([{}, {"labour": "8 min"}, {"labour": "6 min per run", "by": "kitchen"}])

# Numbers of the worked examples of GS1's General Specifications.
GTINS = st.sampled_from(
    [{}, {"gtin": "0 614141 00041 8"}, {"gtin": {"pint": "4006381333931"}}, {"gtin": "0614141000418"}]
)


OF_LABELS: list[dict[str, Any]] = [
    {},
    {"sugar alcohols": {"erythritol": "60 %", "xylitol": "1 %"}, "allulose": "5 %", "bioengineered": "no"},
    {"bulky": "no", "artificial": "yes", "single strength": "11.5 Brix", "soluble fiber": "3 %"},
    {"preservative": "to retard spoilage", "calorie factors": {"protein": "4.27 kcal/g", "fat": "8.79 kcal/g"}},
]
CHOICES: list[dict[str, Any]] = [
    {},
    {"label": {"closing clause": "1.5 %", "below 2 %": "2 %", "also print": ["vitamin A", "iron"], "calories": "C"}},
    {"label": {"closing clause": "none", "open": ["a", "b"], "lines": "shortened", "nutrition claims": "yes"},
     "business": {"total sales": "310000 per year", "people": "4.5", "wholesale": ["x"], "line": "distributed by"}},
]  # fmt: skip
FLAVOURED: list[dict[str, Any]] = [
    {"flavour": "vanilla", "units": "3200 per year", "bulky": ["crumb"]},
    {"flavour": {"name": "wild, black cherry", "from": "mostly natural", "added": "artificial almond flavor"},
     "label": {"lines": "simplified", "also print": "vitamin C"}, "bulky": ["a", "b; c"]},
]  # fmt: skip


@st.composite
def shops(draw: st.DrawFn) -> dict[str, Any]:
    """Files of a shop: a random recipe whose parts, notes, names and channels are words of any kind."""
    parts = draw(recipes())
    odd = draw(NAMES)
    for part in parts.values():
        for step in part["steps"] if isinstance(part, dict) else part:
            step.update(draw(LABOUR))
            if draw(st.booleans()):
                step["note"] = draw(NAMES)
            if draw(st.booleans()):
                step["name"] = draw(NAMES)
    last = parts["frozen"]
    last.append({"cool": {"to": "0 F", "within": "6 h", "by": {"20 F": "2 h"}}})
    last.insert(0, {"note": draw(NAMES)})
    fill = next(step for step in last if "fill" in step)
    fill["fill"]["container"] = draw(
        st.sampled_from([[{"container": "cup", "count": "2"}, {"container": "pint"}],
                         [{"container": "cup", "share": "40 %"}, "pint"], "pint"])
    )  # fmt: skip
    used = sorted(_things(parts))
    made = draw(st.sampled_from([None, [odd, "salt"], {odd: "60 %", "salt": "1 %"}, [{odd: "3 %"}, "salt"], "cream"]))
    first: dict[str, Any] = {
        "food": "usda:19335",
        "label": draw(NAMES),
        "class": "sweetener",
        "measures": {"1 cup": "200 g"},
    }
    ingredients = {name: dict(first, label=draw(NAMES)) for name in used}
    if made is not None:
        ingredients[used[0]]["made of"] = made
    ingredients[used[-1]] |= {"allergens": draw(st.sampled_from(["none", ["milk"], [{"tree nut": "pecan"}, "milk"]]))}
    ingredients[used[-1]] |= draw(
        st.sampled_from([{}, {"usable": "61 %"}, {"note": odd}, {"prefer": "newest"}, {"ready to eat": "yes"}])
    )
    ingredients[used[-1]] |= draw(st.sampled_from(OF_LABELS))
    channel = draw(NAMES)
    selling = {
        "price": draw(st.sampled_from(["9", "9.00", "11.50 USD", "0.1"])),
        "fees": draw(st.sampled_from(["2.9 % + 0.30", "3 %", "0"])),
        **draw(st.sampled_from([{}, {"returns": "3 %"}, {"chain": [{"a": "25 %"}, {"b": "35 %"}]}])),
        **draw(st.sampled_from([{}, {"stall fee": "60 per day, sells 80"}, {"target margin": "50 %"}])),
    }
    label = draw(st.sampled_from([
        {}, {"label": {"wrap": "11.4 in x 3.3 in", "lid": "3.8 in"}}, {"label": {"panel": '4" x 64 mm'}},
        {"label": {"lid": "96 mm", "main panel": "12 sq in", "available": "50 sq in", "lot space": "1 x 0.5 in"}},
    ]))  # fmt: skip
    scoops = {"container": "pint", "scoops": {"weight": "70 g", "price": "4.50", "cone": {"cone": "1 each"}}}
    return {
        "shop.yaml": {
            "name": draw(NAMES), "address": draw(st.sampled_from([[odd, "Town, ME 04999"], odd])),
            "wages": {"kitchen": "20 per hour"},
            "rates": draw(st.sampled_from([{"EUR": "1.08"}, {"EUR": {"2026-01-01": "1.08", "2026-02-15": "1.10"}}])),
            **draw(st.sampled_from([{}, {"prefer": "newest"}, {"count freight": "yes", "prefer": "cheapest"}])),
            "suppliers": {
                draw(NAMES): draw(st.sampled_from([
                    {"freight": "18 per order", "usual order": "240", "order every": "2 weeks"},
                    {"freight": "4 % + 12 per order", "free from": "600.00", "minimum order": "90"},
                    {"freight": "none", "note": odd},
                ]))
            },
            "overhead": {"per batch": "5.00", "of labour": "10 %"},
            "fixed costs": {odd: "1200 per month"},
            "containers": {"pint": {"holds": "1 pint", "made of": {"tub": "1 each", "lid": "2 each"}, **label},
                           "cup": {"holds": "4 fl oz", "made of": [odd, "lid"]}},
            "machines": {"freezer": {"capacity": "3 L", "leaves": "90 g", "run": "22 min"}},
            "channels": {channel: selling, f"{channel} scoops": scoops},
            **draw(st.sampled_from(CHOICES)),
        },
        "ingredients.yaml": ingredients,
        "specs/own.yaml": {"name": draw(NAMES), "source": odd, "per": "30 g", "rounded": "yes",
                           "values": {"protein": "4 g", "cholesterol": "less than 5 mg"}, "measures": {"1 cup": "200 g"},
                           "made of": draw(st.sampled_from([["a", "b"], {"a": "60 %", "b": "1 %"}, "a, b"]))},
        "pins/kept.yaml": pinned(draw, draw(NAMES)),
        "recipes/one-two.yaml": {"title": draw(NAMES), "note": odd, **draw(GTINS), "prices": {channel: "12.00"},
                                 "parts": parts, **draw(st.sampled_from([{}, *FLAVOURED]))},
    }  # fmt: skip


def _things(parts: Any) -> set[str]:
    steps = [step for part in parts.values() for step in (part["steps"] if isinstance(part, dict) else part)]
    return {name for step in steps for verb in ("add", "fold") for name in step.get(verb, {})} - {*parts, "kept"}


def pinned(draw: st.DrawFn, name: str) -> dict[str, Any]:
    values = {
        "total_fat": draw(st.floats(1e-12, 50)),
        "trans_fat": (0.0, draw(st.floats(0, 1)), 1.0),
        "alcohol": (0.0, float("nan"), 0.3),
    }
    words = {"trans_fat": name, "alcohol": "nothing: said; of, it"}
    food = FoodRecord(
        "fdc:171265", name, f"made up: {name}", Composition.of(100.0, values), measures=(Measure(name, 3.5),),
        estimated=words, refuse=0.07, made_of=((name, 0.999), ("gum: guar", None)),
    )  # fmt: skip
    return pins.texts(food, "2026-03-02")


CSV = 'entry,value,unit\nsource,"Mill, 2026",\nper,100 g,\nprotein,4,g\nmeasures,1 cup: 120 g,\nmade of,oats; salt: 1 %,\n'
PRICES = 'supplier,item,ingredient,pack,price,currency,date\n"A, B",=1+1,,12/32 fl oz,1234.5678,USD,2026-01-05\n'


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])
@given(shops())
def test_any_shop_goes_there_and_back(raw: dict[str, Any]) -> None:
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary) / "shop"
        for file, entries in raw.items():
            path = folder / file
            path.parent.mkdir(parents=True, exist_ok=True)
            root = node(entries)
            assert isinstance(root, Group)
            path.write_text(files.yaml_text(root, recipe=file.startswith("recipes")), encoding="utf-8")
        for name in ("b", "a"):
            (folder / "prices").mkdir(exist_ok=True)
            (folder / "prices" / f"{name}.csv").write_text(PRICES, encoding="utf-8")
        (folder / "specs/mill.csv").write_text(CSV, encoding="utf-8")
        workbook, back = Path(temporary) / "shop.xlsx", Path(temporary) / "back"
        turning.convert(folder, workbook)
        turning.convert(workbook, back)
        same(folder, workbook)
        same(folder, back)


@pytest.mark.parametrize("odd", ["[", '"', "{a", "[x", '"x'])
@pytest.mark.parametrize("style", ["auto", "lines", "list", "names"])
def test_an_opening_bracket_alone_is_a_text_like_any_other(odd: str, style: Any) -> None:
    told: list[str] = []
    cell = said.write(Text(1, odd), style)
    found = said.read(cell, 1, style, lambda _line, what, _mend: told.append(what))
    assert (found.plain(), told) == (odd, [])


def test_what_is_there_stays(tmp_path: Path) -> None:
    (tmp_path / "shop.xlsx").write_text("mine")
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "file").write_text("mine")
    for target in ("shop.xlsx", "folder"):
        with pytest.raises(ShopError):
            turning.convert(EXAMPLES / "starter", tmp_path / target)
    assert (tmp_path / "shop.xlsx").read_text() == "mine"
    assert [one.name for one in (tmp_path / "folder").iterdir()] == ["file"]


def test_a_shop_with_errors_is_not_turned(tmp_path: Path) -> None:
    shutil.copytree(EXAMPLES / "starter", tmp_path / "shop")
    (tmp_path / "shop/recipes/vanilla.yaml").write_text("title: x\nparts: {a: [{ad: {}}]}\n")
    with pytest.raises(ShopError, match="there is no verb 'ad'"):
        turning.convert(tmp_path / "shop", tmp_path / "shop.xlsx")
    assert not (tmp_path / "shop.xlsx").exists()


@pytest.mark.parametrize("odd", ["_x005F_", "_x0041_b", "_x000D_", "a _x005F_x000D_ b"])
def test_what_a_file_escapes_comes_back(odd: str, tmp_path: Path) -> None:
    shutil.copytree(EXAMPLES / "starter", tmp_path / "shop")
    recipe = tmp_path / "shop/recipes/vanilla.yaml"
    recipe.write_text(recipe.read_text() + f'note: "{odd}"\n')
    turning.convert(tmp_path / "shop", tmp_path / "shop.xlsx")
    assert model(tmp_path / "shop.xlsx").recipes["vanilla"].note == odd


def test_what_is_wrapped_has_the_height_for_it(quillfeather: Path, tmp_path: Path) -> None:
    file = next(iter(sorted((quillfeather / "prices").glob("*.csv"))))
    long = "Long-boiled cane sugar of the second pressing; extra fine; free flowing; by the sack"
    file.write_text(f"{file.read_text(encoding='utf-8').rstrip()}\nOther,{long},,1 kg,2.00,USD,2026-01-12\n")
    turning.convert(quillfeather, tmp_path / "shop.xlsx")
    sheet = load_workbook(tmp_path / "shop.xlsx")["Prices"]
    rows = {str(row[1].value): row[0].row for row in sheet.iter_rows()}
    assert sheet.row_dimensions[rows[long]].height >= 3 * 12
    assert sheet.row_dimensions[rows["Cane sugar fine"]].height is None
