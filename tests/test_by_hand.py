"""One whole flavour of the example, duck fat and quince, worked by hand from purchases to the printed panel.

Nothing here calls the engine to get a figure: weights, money and amounts are worked out with plain numbers, written
beside where they come from, and then held against what the engine answers. Densities are those of dairy handbooks
(fat 0.93, solids 1.58, water 1.0, ethanol 0.789 g/mL, from memory), not the engine's own, hence a per mille or two of
play wherever a volume comes in. Rounding is by FDA's Food Labeling Guide, Appendix H, and 21 CFR 101.9(c), by eye.
"""

from __future__ import annotations

from functools import cache

import pytest

from costing import Shop
from costing.results import RecipeAnswer
from nutrition.resources import tree

POUND, FLUID_OUNCE, GALLON, PINT = 453.59237, 29.5735295625, 3785.411784, 473.176473  # NIST Handbook 44, appendix C

# What 100 g hold: energy by 4-4-9 is not here, it is worked out at the end. USDA SR28 records 19335, 01091, 14037 and
# 42281; the cream, milk, quince and duck skin are the example's own spec sheets.
KEYS = ("protein", "fat", "saturated", "trans", "cholesterol", "sodium", "carbohydrate", "fibre", "sugars", "d", "calcium", "iron", "potassium", "water", "alcohol")  # fmt: skip
CREAM = (2.84, 36.08, 23.032, 1.3, 113, 27, 2.92, 0, 2.92, 1.6, 66, 0.1, 95, 57.81, 0)
MILK = (3.15, 3.25, 1.865, 0.115, 10, 43, 5.05, 0, 5.05, 1.3, 113, 0.03, 132, 88.13, 0)
POWDER = (36.16, 0.77, 0.499, 0.77 * 0.0404, 20, 535, 51.98, 0, 51.98, 0, 1257, 0.32, 1794, 3.16, 0)
SUGAR = (0, 0, 0, 0, 0, 1, 99.98, 0, 99.80, 0, 1, 0.05, 2, 0.02, 0)
GUM = (4.60, 0.50, 0.060, 0, 0, 125, 77.30, 77.3, 0, 0, 294, 0, 0, 15.00, 0)
QUINCE = (0.4, 0.1, 0.01, 0, 0, 4, 15.3, 1.9, 9.8, 0, 11, 0.7, 197, 83.8, 0)
BRANDY = (0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0.04, 2, 66.60, 33.39)
# All that rides on the fat of duck skin, in 100 g of that fat: saturated, trans, cholesterol and vitamin D.
DUCK_FAT = (0, 100, 17.7 / 0.533, 0, 96 / 0.533, 0, 0, 0, 0, 1.2 / 0.533, 0, 0, 0, 0, 0)


@cache
def answer() -> RecipeAnswer:
    return Shop.open(str(tree("examples") / "quillfeather"))["quince"].answer()


# Weights ------------------------------------------------------------------------------------------------------------

FAT = 900 * 0.42  # the middle of 38 % to 46 %
FRUIT = 1200 * 0.61
POT = FRUIT + 1000 * 0.9982 + 350  # water at 20 degrees C weighs 0.9982 g/mL
COOKED = POT * 0.88
HELD = 0.08 * FRUIT
SAVED = FRUIT + HELD
LIQUOR = COOKED - SAVED
SYRUP = LIQUOR / 2
BRANDY_G = 60 / FLUID_OUNCE * 27.8  # SR28: 27.8 g in a fluid ounce
SYRUP_AND_BRANDY = SYRUP + BRANDY_G
CREAM_G, MILK_G = 8 * 238.0, 4 * 244.0
BASE = CREAM_G + MILK_G + 520 + 160 + 4 + 180
MIX = BASE * 0.98
CHURNED = MIX - 2 * 90  # 3.4 L of mix in a machine of 3 L: two runs
FOLDED = SAVED / 2 + 200
FROZEN = CHURNED + FOLDED


def in_the_frozen() -> dict[str, float]:
    """Grams of each ingredient, all but water as it went in, in what comes out of the freezer with its mix-ins."""
    k = CHURNED / MIX
    sugar_held = 350 * HELD / (COOKED - FRUIT)
    sugar_in_syrup = (350 - sugar_held) * 200 / SYRUP_AND_BRANDY
    return {
        "cream": CREAM_G * k,
        "milk": MILK_G * k,
        "powder": 160 * k,
        "sugar": 520 * k + sugar_held / 2 + sugar_in_syrup,
        "gum": 4 * k,
        "duck": 180 * k,
        "quince": FRUIT / 2,
        "brandy": BRANDY_G * 200 / SYRUP_AND_BRANDY,
    }


def totals() -> dict[str, float]:
    """Amounts of every nutrient in the frozen food; its water is what is left of its weight."""
    grams = in_the_frozen()
    foods = {"cream": CREAM, "milk": MILK, "powder": POWDER, "sugar": SUGAR, "gum": GUM, "duck": DUCK_FAT, "quince": QUINCE, "brandy": BRANDY}  # fmt: skip
    total = {key: sum(grams[n] / 100 * foods[n][i] for n in foods) for i, key in enumerate(KEYS)}
    dry = sum(grams[n] * (1 - (foods[n][13] + foods[n][14]) / 100) for n in foods)
    total["water"] = FROZEN - dry - total["alcohol"]
    return total


def volume(grams: float, fat: float, water: float, alcohol: float) -> float:
    return fat / 0.93 + (grams - fat - water - alcohol) / 1.58 + water / 1.0 + alcohol / 0.789


def frozen_ml() -> tuple[float, float]:
    """Volume of the mix that was churned and came out of the machine, and of all with its air and mix-ins, mL."""
    k = CHURNED / MIX
    fat = k * (CREAM_G * 0.3608 + MILK_G * 0.0325 + 160 * 0.0077 + 4 * 0.005 + 180)
    water = k * (CREAM_G * 0.5781 + MILK_G * 0.8813 + 160 * 0.0316 + 520 * 0.0002 + 4 * 0.15 - 0.02 * BASE)
    mix = volume(CHURNED, fat, water, 0)
    t = totals()
    together = volume(FROZEN, t["fat"], t["water"], t["alcohol"])
    return mix, together + 0.28 * mix


def test_weights_step_by_step() -> None:
    steps = {(part.name, step.step): step for part in answer().parts for step in part.steps}
    by_hand = {
        ("duck fat", 2): FAT,
        ("quince syrup", 2): FRUIT,
        ("quince syrup", 3): POT,
        ("quince syrup", 4): COOKED,
        ("quince syrup", 5): LIQUOR,
        ("quince syrup", 6): SYRUP,
        ("quince syrup", 7): SYRUP_AND_BRANDY,
        ("base", 1): BASE,
        ("base", 2): MIX,
        ("frozen", 2): CHURNED,
        ("frozen", 3): FROZEN,
    }
    for step, grams in by_hand.items():
        assert steps[step].out_g == pytest.approx(grams, rel=1e-9), step
    assert steps["quince syrup", 5].saved_g == pytest.approx(SAVED, rel=1e-9)


# Money --------------------------------------------------------------------------------------------------------------

# The newest list on or before 2 March 2026, the cheapest usable gram; a gram of each as bought.
A_GRAM = {
    "duck skin": 47.00 / (4 * 5 * POUND),
    "quince": 53.00 / (20 * POUND),
    "sugar": 39.25 / (50 * POUND),
    "pear brandy": 171.00 / (6 * 750 / FLUID_OUNCE * 27.8),
    "heavy cream": 61.20 / (12 * 32 * FLUID_OUNCE / (GALLON / 16) * 238),
    "whole milk": 17.20 / (4 * 16 * 244),
    "skim milk powder": 112.00 / (50 * POUND),
    "guar gum": 34.50 / (5 * POUND),
    "water": 0.0,
}
BOUGHT = {"duck skin": 900, "quince": 1200, "sugar": 870, "pear brandy": BRANDY_G, "heavy cream": CREAM_G, "whole milk": MILK_G, "skim milk powder": 160, "guar gum": 4, "water": 998.2}  # fmt: skip
A_TUB = 115.00 / 500 + 46.00 / 500 + 22.00 / 1000 + 91.00 / 1000  # tub, lid, tamper band, label


def money() -> dict[str, float]:
    cost = {name: grams * A_GRAM[name] for name, grams in BOUGHT.items()}
    duck_saved = cost["duck skin"] * (FAT - 180) / FAT
    liquor = COOKED - FRUIT
    sweet = 350 * A_GRAM["sugar"]
    fruit_saved = (cost["quince"] + sweet * HELD / liquor) / 2
    syrup = sweet * (1 - HELD / liquor) + cost["pear brandy"]
    syrup_saved = syrup * (1 - 200 / SYRUP_AND_BRANDY)
    labour = 25 / 60 * 21.50
    return {
        "ingredients": sum(cost.values()),
        "packaging": 9 * A_TUB,
        "labour": labour,
        "overhead": 6.40 + 0.12 * labour,
        "saved": -(duck_saved + fruit_saved + syrup_saved),
    }


def test_money_line_by_line() -> None:
    cost = answer().cost
    assert cost is not None
    lines = {line.item: line for line in cost.lines if line.kind == "ingredient"}
    assert set(lines) == set(BOUGHT)
    for name, grams in BOUGHT.items():
        assert lines[name].bought_g == pytest.approx(grams, rel=1e-9), name
        assert lines[name].cost == pytest.approx(grams * A_GRAM[name], rel=1e-9), name
    by_hand = money()
    for kind, value in by_hand.items():
        assert getattr(cost.cost, kind) == pytest.approx(value, rel=1e-9), kind
    assert cost.cost.total == pytest.approx(sum(by_hand.values()), rel=1e-9)
    assert cost.per_container.total == pytest.approx(sum(by_hand.values()) / 9, rel=1e-9)
    assert sum(line.cost for line in cost.lines) == pytest.approx(cost.cost.total, rel=1e-12)


def test_nine_pints() -> None:
    _, ml = frozen_ml()
    assert int(ml // (PINT * 1.01)) == 9
    batch = answer().cost.batch  # type: ignore[union-attr]
    assert batch.containers == 9
    assert batch.fill_g == pytest.approx(FROZEN / ml * PINT * 1.01, rel=2e-3)


def test_margin_of_the_scoop_shop() -> None:
    # 11.00 a pint, 2.9 % and 0.30 of fees, target 55 %.
    cost = sum(money().values()) / 9
    channel = next(c for c in answer().cost.channels if c.name == "scoop shop")  # type: ignore[union-attr]
    assert channel.fees == pytest.approx(11.00 * 0.029 + 0.30)
    assert channel.margin == pytest.approx(11.00 - 0.619 - cost)
    assert channel.margin_pct == pytest.approx(100 * (11.00 - 0.619 - cost) / 11.00)
    assert channel.markup_pct == pytest.approx(100 * (11.00 - 0.619 - cost) / cost)
    assert channel.price_for_target == pytest.approx((cost + 0.30) / (1 - 0.029 - 0.55))
    assert f"{cost:.2f}" == "4.46"
    assert f"{channel.margin_pct:.1f}" == "53.9"


# Panel --------------------------------------------------------------------------------------------------------------


def test_serving_by_hand() -> None:
    _, ml = frozen_ml()
    serving = answer().label.serving  # type: ignore[union-attr]
    assert serving.grams == pytest.approx(FROZEN / ml * 160, rel=2e-3)
    assert (serving.measure, serving.grams_text, serving.per_container_text) == ("2/3 cup", "139g", "about 3")


def test_every_line_of_the_panel() -> None:
    # key, what it is by hand, and the printed text of a serving and of a pint, rounded by eye.
    t = totals()
    added = in_the_frozen()["sugar"] * 0.998  # all sugars of the sugar, none of fruit and dairy
    rows = [
        ("energy", 4 * t["protein"] + 4 * t["carbohydrate"] + 9 * t["fat"] + 7 * t["alcohol"], "400", "1180"),
        ("total_fat", t["fat"], "29g", "86g"),
        ("saturated_fat", t["saturated"], "17g", "50g"),
        ("trans_fat", t["trans"], "1g", "2.5g"),
        ("cholesterol", t["cholesterol"], "85mg", "250mg"),
        ("sodium", t["sodium"], "60mg", "170mg"),
        ("total_carbohydrate", t["carbohydrate"], "29g", "86g"),
        ("dietary_fiber", t["fibre"], "0g", "less than 1g"),
        ("total_sugars", t["sugars"], "28g", "84g"),
        ("added_sugars", added, "21g", "62g"),
        ("protein", t["protein"], "5g", "14g"),
        ("vitamin_d", t["d"], "1.5mcg", "4.5mcg"),
        ("calcium", t["calcium"], "140mg", "430mg"),
        ("iron", t["iron"], "0.2mg", "0.6mg"),
        ("potassium", t["potassium"], "220mg", "650mg"),
    ]
    label = answer().label
    assert label is not None
    assert [line.key for line in label.nutrients] == [row[0] for row in rows]
    _, ml = frozen_ml()
    for line, (key, amount, serving, container) in zip(label.nutrients, rows, strict=True):
        assert line.per_100g == pytest.approx(amount / FROZEN * 100, rel=1e-6), key
        assert line.per_serving == pytest.approx(amount / ml * 160, rel=2e-3), key
        assert line.declared == {"serving": serving, "container": container}, key


def test_daily_values_by_hand() -> None:
    # 21 CFR 101.9(c)(9): fat 78 g, saturated 20 g, sodium 2300 mg, carbohydrate 275 g, fibre 28 g, added sugars 50 g;
    # vitamin D 20 mcg and calcium 1300 mg in steps of (c)(8)(iii). 29.2/78 = 37 %, 16.8/20 = 84 %, 59/2300 = 3 %,
    # 29.2/275 = 11 %, 21.1/50 = 42 %, 1.53/20 = 7.7 -> 8 %, 143.9/1300 = 11.1 -> 10 %, 218.8/4700 = 4.7 -> 4 %.
    label = answer().label
    assert label is not None
    printed = {line.key: line.dv_pct.get("serving") for line in label.nutrients}
    by_hand = {"total_fat": 37, "saturated_fat": 84, "sodium": 3, "total_carbohydrate": 11, "added_sugars": 42, "vitamin_d": 8, "calcium": 10, "potassium": 4}  # fmt: skip
    assert {key: printed[key] for key in by_hand} == by_hand


def test_words_of_the_label() -> None:
    # As added and still there, g: cream 1811, milk 928, sugar 619, quince 366, water, duck fat 171, nonfat milk 152;
    # brandy (20 g) and gum (4 g) are below 2 % of the food.
    label = answer().label
    assert label is not None
    assert label.ingredients == (
        "cream, milk, sugar, quince, water, duck fat, nonfat milk, contains 2% or less of pear brandy, guar gum"
    )
    assert (label.contains, label.net_quantity) == ("Contains: Milk.", "1 PINT (473 mL)")
    assert label.name.allowed == "frozen dessert", "duck fat is not milkfat, 21 CFR 135.110(a)"
