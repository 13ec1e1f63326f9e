"""``creamery foods import``, from the command line."""

from __future__ import annotations

import json
import re

import pytest
from click.testing import CliRunner

from costing.cli import creamery
from costing.cli_foods import KINDS
from nutrition.foods.fdc.kinds import NAMES
from tests.nutrition.foods.fdc.small_download import FILES, folder, with_rows, zipped


@pytest.fixture
def run(tmp_path, monkeypatch):
    monkeypatch.setenv("CREAMERY_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("CREAMERY_CACHE", str(tmp_path / "cache"))

    def call(*arguments):
        found = CliRunner().invoke(creamery, ["foods", *map(str, arguments)], standalone_mode=False)
        return found.return_value, found.stdout, found.stderr

    return call


def test_kinds_are_the_same_on_both_floors():
    assert KINDS == NAMES


def test_import_show_and_search(run, tmp_path):
    code, out, err = run("import", zipped(folder(tmp_path)))
    assert (code, err) == (0, "")  # no bar in a pipe
    assert re.search(r"SR Legacy +2024-10-31 +1\n", out)
    assert re.search(r"food_nutrient.csv +15 +12 +3 +0", out)
    code, out, _ = run("show", "fdc:170859", "--json")
    found = json.loads(out)
    assert (code, found["id"], found["per_100g"]["total_fat"]) == (0, "fdc:170859", 36.08)
    code, out, _ = run("import", tmp_path / "FoodData_Central_csv_2024-10-31", "--only", "branded", "--json")
    found = json.loads(out)
    assert found["results"][0]["kinds"] == [{"kind": "branded", "release": "2024-10-31", "foods": 3}]
    assert all(
        one["read"] == one["stored"] + sum(one["left_out"].values()) + sum(one["refused"].values())
        for one in found["results"][0]["files"]
    )


def test_refused_rows_are_warnings(run, tmp_path):
    code, _, err = run(
        "import", folder(tmp_path, with_rows("food_nutrient.csv", '"9","746782","1004","-1","","","","","","",""'))
    )
    assert code == 0
    assert "warning: " in err
    assert "rows of food_nutrient.csv were refused: an amount below zero 1, such as fdc_id 746782, nutrient 1004" in err


def test_errors_are_findings(run, tmp_path):
    (tmp_path / "x.zip").write_text("no")
    code, out, err = run("import", tmp_path / "x.zip")
    assert (code, out) == (1, "")
    assert "x.zip is not a zip file" in err
    home = folder(tmp_path)
    assert run("import", home)[0] == 0
    older = folder(tmp_path, name="FoodData_Central_csv_2020-04-29")
    code, out, _ = run("import", older, "--json")
    finding = json.loads(out)["findings"][0]
    assert (code, finding["level"]) == (1, "error")
    assert "--older" in finding["mend"]
    assert run("import", older, "--older")[0] == 0
    bad = folder(tmp_path, {"food.csv": FILES["food.csv"].replace("fdc_id", "id")}, "bad")
    assert "has no column fdc_id" in run("import", bad)[2]


def test_search_from_the_command_line(run, tmp_path):
    run("import", folder(tmp_path))
    code, out, err = run("search", "mascarpone")
    assert (code, err) == (0, "")
    assert re.search(r"usda:01017 +Cheese, cream +nearest *\n", out)
    assert "usda:01017: SR28 has no mascarpone; cream cheese is the nearest\n" in out
    assert "'hazlenut' was taken for 'hazelnut'" in run("search", "hazlenuts")[2]
    code, out, err = run("search", "oat", "milk")
    assert (code, out) == (0, "")
    assert "SR28 has no oat milk; look in FoodData Central" in err
    out = run("search", "coffee cream")[1]
    assert re.search(r"usda:01050 .* doubtful *\n", out)
    assert "usda:01050: total sugars against carbohydrate: 3.67 g" in out
    code, out, _ = run("search", "heavy cream", "--in", "branded", "--in", "survey", "--json")
    assert [one["id"] for one in json.loads(out)] == ["fdc:2705384", "fdc:2000002"]
    found = json.loads(run("search", "coffee cream", "--json", "--limit", "1")[1])[0]
    assert set(found) == {"id", "name", "source", "note", "doubtful"}
    assert found["doubtful"].startswith("total sugars")
    (tmp_path / "home" / "foods" / "library.json").write_text("{")
    code, _, err = run("search", "cream")
    assert code == 1
    assert "damaged" in err
