"""Doubtful records where a shop meets them."""

from __future__ import annotations

import json

from click.testing import CliRunner

from costing.cli import creamery


def run(*arguments):
    found = CliRunner().invoke(creamery, list(map(str, arguments)), standalone_mode=False)
    return found.return_value, found.stdout, found.stderr


def test_check_tells_of_a_doubtful_food_that_the_shop_uses(tmp_path):
    shop = tmp_path / "shop"
    assert run("new", shop)[0] == 0
    before = json.loads(run("check", shop, "--json")[1])["findings"]
    assert not [one for one in before if "doubtful" in one["what"]]
    place = shop / "ingredients.yaml"
    text = place.read_text(encoding="utf-8")
    # USDA's light cream has more sugars than carbohydrate.
    place.write_text(text.replace("usda:01053", "usda:01050"), encoding="utf-8")
    code, out, _ = run("check", shop, "--json")
    doubts = [one for one in json.loads(out)["findings"] if "doubtful" in one["what"]]
    assert code == 0
    assert [one["level"] for one in doubts] == ["note"]
    assert "(usda:01050) is doubtful: total sugars against carbohydrate: 3.67 g" in doubts[0]["what"]
    assert doubts[0]["where"].startswith("ingredients.yaml:")


def test_show_says_so():
    out = run("foods", "show", "usda:01050")[1]
    assert "doubtful: total sugars against carbohydrate: 3.67 g in 100 g, and at most 2.82 g were expected" in out
    assert "doubtful" not in run("foods", "show", "usda:01053")[1]


def test_check_says_what_is_taken_for_a_fat_that_nobody_knows(tmp_path):
    shop = tmp_path / "shop"
    assert run("new", shop)[0] == 0
    assert run("foods", "pin", shop)[0] == 0
    pin = shop / "pins" / "usda-01053.yaml"
    whole = json.loads(run("label", shop, "--json")[1])["results"][0]["serving"]["g"]
    pin.write_text(pin.read_text(encoding="utf-8").replace("  total fat: 36.08 g\n", ""), encoding="utf-8")
    found = [one for one in json.loads(run("check", shop, "--json")[1])["findings"] if "its fat" in one["what"]]
    assert [(one["level"], one["where"]) for one in found] == [("warning", "ingredients.yaml:14")]
    assert "fat taken as what the other values leave: 36.1 g in 100 g" in found[0]["what"]
    # A serving is a volume: the cream must not weigh more because a value is missing.
    assert json.loads(run("label", shop, "--json")[1])["results"][0]["serving"]["g"] == whole


def test_a_food_that_cannot_be_shown_says_how_to_come_by_it():
    """The reason carries its own mend, which stood in the reason while the mend said to search."""
    err = run_badly("foods", "show", "fdc:12345")
    assert "to mend: fetch it once while the service answers: creamery foods fetch 12345" in err
    assert "; fetch" not in err


def run_badly(*arguments):
    return CliRunner().invoke(creamery, list(map(str, arguments)), standalone_mode=False).stderr
