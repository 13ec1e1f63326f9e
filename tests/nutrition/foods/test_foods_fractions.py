"""Fractions: exactly a whole, and nutrients that come back to the record."""

from __future__ import annotations

import numpy as np
import pytest

from nutrition.composition import Composition
from nutrition.foods import spec, table
from nutrition.foods.fractions import ALCOHOL, FAT, INSOLUBLES, NAMES, SOLUBLES, WATER, fractions
from nutrition.foods.record import FoodRecord, water
from nutrition.nutrients import index, keys
from tests.nutrition.foods.all_foods import all_foods


def comes_back(record):
    found = fractions(record)
    assert found.shares.sum() == 1.0
    assert (found.shares >= 0).all()
    grams = record.composition.grams
    for name in ("low", "value", "high"):
        wanted, matrix = getattr(record.composition, name), getattr(found, name)
        assert matrix.shape == (5, len(keys()))
        got = found.shares @ matrix * grams
        assert (np.isnan(got) == np.isnan(wanted)).all(), (record.id, name)
        off = np.abs(got - wanted) > 1e-9 * np.maximum(1.0, wanted)
        assert not off.any(), (record.id, name)


def test_every_food_is_a_whole_and_comes_back():
    for food in all_foods():
        comes_back(food)


def test_water_is_water():
    comes_back(water())
    assert fractions(water()).shares[WATER] == 1.0


def test_the_same_record_is_worked_out_once_but_a_namesake_is_another():
    food = table.food("01053")
    assert fractions(food) is fractions(food)
    sheet = {"source": "test", "per": "100 g", "values": {"fat": "10 g"}}
    first, _ = spec.record("x", sheet)
    second, _ = spec.record("x", {**sheet, "values": {"fat": "90 g"}})
    assert fractions(first).shares[FAT] == pytest.approx(0.1)
    assert fractions(second).shares[FAT] == pytest.approx(0.9)


def brix(ndb):
    shares = fractions(table.food(ndb)).shares
    return 100 * shares[SOLUBLES] / (shares[SOLUBLES] + shares[WATER])


@pytest.mark.parametrize(
    ("ndb", "single_strength"),
    # 21 CFR 101.30(h)(1), single-strength Brix: apple 11.5, orange 11.8, pineapple 12.8, grape 16.0 (from memory).
    [("09016", 11.5), ("09206", 11.8), ("09273", 12.8), ("09135", 16.0)],
)
def test_brix_of_juices(ndb, single_strength):
    assert brix(ndb) == pytest.approx(single_strength, abs=1.0)


def test_brix_is_total_solids_less_fat_and_fibre():
    food = table.food("09302")  # raspberries
    get = food.composition.amount
    solids = 100 - get("water") - get("total_fat") - get("dietary_fiber")
    assert fractions(food).shares[SOLUBLES] * 100 == pytest.approx(solids, abs=0.1)


def test_where_things_ride():
    cream = fractions(table.food("01053"))
    assert cream.shares[FAT] == pytest.approx(0.3608)
    assert cream.value[FAT, index("cholesterol")] * 0.3608 * 100 == pytest.approx(113)
    assert (cream.value[[WATER, ALCOHOL, SOLUBLES], index("total_fat")] == 0).all()
    # Milk protein is dissolved, yolk protein and nut protein are not.
    assert cream.value[SOLUBLES, index("protein")] > 0
    for ndb in ("01125", "12151", "01009"):
        assert fractions(table.food(ndb)).value[SOLUBLES, index("protein")] == 0
    # Starch of flour and fibre of fruit stay behind.
    flour = fractions(table.food("20481")).shares
    assert flour[INSOLUBLES] > 0.8
    rum = fractions(table.food("14050"))
    assert rum.shares[ALCOHOL] == pytest.approx(0.3339)
    assert rum.value[ALCOHOL, index("energy")] == pytest.approx(6.93, abs=0.05)


def test_energy_of_each_fraction_is_plausible():
    butter = fractions(table.food("01001"))
    assert butter.value[FAT, index("energy")] == pytest.approx(8.8, abs=0.1)
    assert butter.value[WATER, index("energy")] == 0
    sugar = fractions(table.food("19335"))
    assert sugar.value[SOLUBLES, index("energy")] == pytest.approx(3.87, abs=0.01)


def test_what_an_unknown_does_not_ride_on_is_not_spoiled_by_it():
    food = table.food("09523")
    found = fractions(food)
    assert np.isnan(food.composition.value[index("vitamin_k")])
    assert found.value[WATER, index("vitamin_k")] == 0
    assert np.isnan(found.shares @ found.value)[index("vitamin_k")]


def test_without_fat_its_riders_find_another_carrier():
    record = FoodRecord("t", "t", "t", Composition.of(100, {"water": 90.0, "total_fat": 0.0, "vitamin_a": 30.0}))
    comes_back(record)
    assert fractions(record).value[INSOLUBLES, index("vitamin_a")] > 0


def test_a_sheet_without_water_takes_what_is_left_and_says_so():
    sheet = {"source": "t", "per": "100 g", "values": {"fat": "20 g", "protein": "5 g", "carbohydrate": "30 g"}}
    record, _ = spec.record("bar", sheet)
    found = fractions(record)
    comes_back(record)
    assert found.shares[WATER] == pytest.approx(0.45)
    assert found.notes
    assert not fractions(table.food("01053")).notes


CREAM = {"water": 57.81, "protein": 2.84, "total_carbohydrate": 2.74, "total_sugars": 2.74, "ash": 0.53}
"""USDA SR28 01053 without its 36.08 g of fat."""


@pytest.mark.parametrize(
    ("amounts", "fat", "says"),
    [
        (CREAM, 0.3608, "fat taken as what the other values leave: 36.1 g in 100 g"),
        # Without water too the energy tells: 340 kcal less 4 a gram for 5.58 g, by 9 (21 CFR 101.9(c)(1)(i)(B)).
        ({k: v for k, v in CREAM.items() if k != "water"} | {"energy": 340.0}, 0.353, "fat taken as what the energy"),
        ({"protein": 2.84}, 0.0, "fat is unknown and taken as none"),
    ],
)
def test_unknown_fat_is_not_none(amounts, fat, says):
    """A cream without fat weighs 8 % more, and every figure of a serving by volume with it."""
    record = FoodRecord("c", "Cream", "t", Composition.of(100, {"alcohol": 0.0} | amounts), group="0100")
    found = fractions(record)
    comes_back(record)
    assert found.shares[FAT] == pytest.approx(fat, abs=1e-3)
    assert any(says in note for note in found.notes)


@pytest.mark.parametrize(
    "amounts",
    [
        {},
        {"protein": 100.0},
        {"water": 60.0, "total_carbohydrate": 45.0, "total_sugars": 45.0},  # 105 g in 100 g
        {"alcohol": 40.0, "water": 60.0},
        {"water": 100.0, "sodium": 3.0},
        {"total_fat": 100.0, "energy": 900.0},
        {"total_carbohydrate": 3.0, "dietary_fiber": 9.0},
        {"total_fat": (0.0, 0.3, 0.5), "trans_fat": (0.0, float("nan"), 0.5)},
    ],
)
def test_odd_records_come_back_too(amounts):
    record = FoodRecord("odd", "odd", "t", Composition.of(100, amounts))
    comes_back(record)
    # 30 g instead of 100.
    comes_back(FoodRecord("odd", "odd", "t", record.composition * 0.3))


def test_names():
    assert NAMES == ("water", "alcohol", "fat", "solubles", "insolubles")
