"""Sugar that leaves fruit for a liquor that is kept: neither lost nor counted twice, and judged apart from whole fruit.

Source: 21 CFR 101.9(c)(6)(iii); FDA's questions and answers on concentrated juice; single strength from 101.30(h)(1).
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from costing import terminal
from costing.desk import Shop
from costing.finished import product
from nutrition.foods.table import food
from nutrition.product import Component, Product
from nutrition.resources import tree

RAISINS = """
raisins:
  food: usda:09298
  label: raisins
  class: fruit
  usable: 100 %
  single strength: 16 Brix
  sulphites: 0 ppm
water: {food: water, label: water, class: water}
sweet allulose:
  food: spec:allulose
  label: allulose
  class: sweetener
  allulose: 95 %
"""
ALLULOSE = """
source: made up
per: 100 g
values: {energy: 60 kcal, water: 2 g, protein: 0 g, total fat: 0 g, carbohydrate: 98 g, sugars: 98 g, ash: 0 g}
"""
PRICES = """supplier,item,ingredient,pack,price,currency,date
Someone,Raisins,raisins,1 kg,9,USD,2026-01-05
Someone,Allulose,sweet allulose,1 kg,19,USD,2026-01-05
"""
BEGIN = """title: Raisin
sold as: frozen dessert
parts:
  liquor:
    - add: {raisins: 300 g, water: 330 g}
    - cook: {hold: 10 min, loses: 0 %}
    - strain: {out: [raisins], holding: 0 %, extracts: 40 %, save: plump raisins}
"""
END = """
  frozen:
    - add: {liquor: all, sugar: 30 g}
    - churn: {machine: ice cream machine, overrun: 0 %, leaves: 0 g}
    - fold: {plump raisins: all}
    - fill: {container: cup}
"""


def made(folder: Path, steps: str, end: str = END) -> tuple[Product, Shop]:
    place = folder / "shop"
    shutil.copytree(Path(str(tree("examples"))) / "starter", place)
    (place / "specs").mkdir(exist_ok=True)
    (place / "specs" / "allulose.yaml").write_text(ALLULOSE, encoding="utf-8")
    (place / "recipes" / "raisin.yaml").write_text(steps + end, encoding="utf-8")
    with (place / "ingredients.yaml").open("a", encoding="utf-8") as one:
        one.write(RAISINS)
    (place / "prices" / "more.csv").write_text(PRICES, encoding="utf-8")
    shop_file = place / "shop.yaml"
    text = shop_file.read_text(encoding="utf-8")
    shop_file.write_text(text.replace("containers:", "containers:\n  cup: {holds: 4 fl oz}\n#", 1), encoding="utf-8")
    shop = Shop.open(place)
    found = product(shop.brew("raisin"), shop.pantry)
    assert found is not None
    return found, shop


def sugars(parts: list[Component], key: str = "total_sugars") -> float:
    return sum(part.composition.amount(key) or 0.0 for part in parts)


def test_nothing_vanishes_and_nothing_counts_twice(tmp_path: Path) -> None:
    found, shop = made(tmp_path, BEGIN + "    - reduce: {to: 60 %}\n")
    raisins = [part for part in found.components if part.ingredient == "raisins"]
    assert [part.concentrated for part in raisins] in ([True, False], [False, True])
    liquor = next(part for part in raisins if part.concentrated)
    whole = food("09298").composition.amount("total_sugars")
    assert whole is not None
    sugar = next(part for part in found.components if part.ingredient == "sugar")
    # All 300 g of raisins go with the 30 g of sugar, in the liquor or in the fruit: 40 % of their sugars in the liquor.
    assert sugars(raisins) / sugar.present_g * 30 == pytest.approx(3 * whole, rel=1e-9)
    assert sugars([liquor]) == pytest.approx(0.4 * sugars(raisins), rel=1e-9)
    # Added: the liquor's sugars beyond what the food's water brings back to 16 Brix, and the sugar.
    water = found.composition.amount("water")
    assert water is not None
    excess = max(0.0, sugars([liquor]) - water * 16 / 84)
    assert excess > 0.5
    label = shop["raisin"].label()
    added = next(line for line in label.nutrients if line.key == "added_sugars").per_container
    own = sugars([part for part in found.components if part.ingredient == "sugar"])
    assert added == pytest.approx(own + excess, rel=1e-6)
    assert label.ingredients.count("raisins") == 1


def test_dried_fruit_gives_a_concentrate_without_any_boiling(tmp_path: Path) -> None:
    found, _ = made(tmp_path, BEGIN)
    assert [part.concentrated for part in found.components if part.ingredient == "raisins"].count(True) == 1


def test_allulose_is_a_carbohydrate_and_no_sugar(tmp_path: Path) -> None:
    plain = "title: A\nsold as: frozen dessert\nparts:\n  liquor:\n    - add: {sweet allulose: 100 g, water: 400 g}\n"
    end = END.replace("    - fold: {plump raisins: all}\n", "")
    found, shop = made(tmp_path, plain, end)
    sweet = next(part for part in found.components if part.ingredient == "sweet allulose")
    share = sweet.present_g / 100
    # 95 g of allulose in 98 g of carbohydrate: at most 3 g are sugars, and all of them are added.
    assert sweet.allulose_g == pytest.approx(95 * share)
    assert sweet.composition.amount("total_carbohydrate") == pytest.approx(98 * share)
    assert sweet.composition.amount("total_sugars") == pytest.approx(3 * share)
    assert sweet.composition.amount("added_sugars") == pytest.approx(3 * share)
    label = shop["raisin"].label()
    assert "allulose 0.4 kcal" in label.calorie_method
    assert "allulose 0.4 kcal" in terminal.label(label, "en_US") + label.calorie_method
    assert {type(line.per_serving) for line in label.nutrients} <= {float, type(None)}
    energy = next(line for line in label.nutrients if line.key == "energy").per_container
    sugar = next(part for part in found.components if part.ingredient == "sugar").composition
    rest = sugar.amount("total_carbohydrate")
    assert rest is not None
    assert energy == pytest.approx(4 * (98 - 95) * share + 0.4 * 95 * share + 4 * rest, rel=1e-6)
