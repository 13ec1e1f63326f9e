"""Suggestions: a record for every ingredient without one, with the reason, and nothing written."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from costing import suggest
from costing.shop import reader
from costing.shop.sheets import turning
from nutrition.foods import kitchen
from nutrition.resources import tree
from tests.costing.command_line import CommandLine

EXAMPLES = Path(str(tree("examples")))


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return Path(shutil.copytree(EXAMPLES / "starter", tmp_path / "shop"))


def undecided(shop: Path, *names: str) -> None:
    """Take the record of some ingredients away, of all if none is named."""
    path = shop / "ingredients.yaml"
    blocks = re.split(r"(?m)^(?=\S)", path.read_text())
    path.write_text(
        "".join(
            re.sub(r"(?m)^(  food:).*$", r"\1 ?", one)
            if not names or one.startswith(tuple(f"{n}:" for n in names))
            else one
            for one in blocks
        )
    )


def found(shop: Path) -> dict[str, suggest.Suggestion]:
    model = reader.everything(shop).model
    assert model is not None
    return {one.ingredient: one for one in suggest.suggestions(model)}


def test_the_starter_shop_is_found_again(shop: Path) -> None:
    """What the shop had is what is proposed, for all of it."""
    before = reader.everything(shop).model
    assert before is not None
    undecided(shop)
    suggested = found(shop)
    assert {name: one.food for name, one in suggested.items()} == {
        name: one.food for name, one in before.ingredients.items()
    }
    assert suggested["heavy cream"].why == "'heavy cream' is what kitchens call it"
    assert "trans_fat" not in suggested["heavy cream"].unknown  # an estimate is not unknown


def test_the_line_to_paste_mends_the_shop(creamery: CommandLine, shop: Path) -> None:
    undecided(shop, "sugar", "heavy cream")
    before = (shop / "ingredients.yaml").read_bytes()
    assert creamery("check", shop).code == 1
    said = creamery("foods", "suggest", shop, "--json")
    assert said.code == 0
    assert (shop / "ingredients.yaml").read_bytes() == before
    text = before.decode()
    for one in said.json["results"]:
        file, line = one["where"].split(":")
        lines = text.split("\n")
        assert file == "ingredients.yaml"
        assert lines[int(line) - 1].strip() == "food: ?"
        lines[int(line) - 1] = one["line"]
        text = "\n".join(lines)
    (shop / "ingredients.yaml").write_text(text)
    assert creamery("check", shop).code == 0
    assert "every ingredient has a food record" in creamery("foods", "suggest", shop).out


def test_the_class_decides_between_records(shop: Path) -> None:
    path = shop / "ingredients.yaml"
    path.write_text(path.read_text() + "\nmelon drink:\n  label: melon drink\n  class: juice\n  allergens: none\n")
    one = found(shop)["melon drink"]
    assert one.food
    assert one.why.endswith("its food group goes with the class juice")


def test_what_is_only_near_says_so(shop: Path) -> None:
    path = shop / "ingredients.yaml"
    path.write_text(
        path.read_text()
        + "\nmascarpone:\n  label: mascarpone\n  class: dairy\n  allergens: [milk]\n"
        + "\nvanila extrakt:\n  label: flavour\n  class: flavouring\n  allergens: none\n"
    )
    suggested = found(shop)
    assert "cream cheese is the nearest" in suggested["mascarpone"].why
    assert suggested["vanila extrakt"].food == "usda:02050"


def test_a_name_for_which_there_is_no_record(shop: Path) -> None:
    name = next(one for one in kitchen._rows() if not one.ndb)
    path = shop / "ingredients.yaml"
    path.write_text(path.read_text() + f"\n{' '.join(name.words)}:\n  label: thing\n  allergens: none\n")
    one = next(one for one in found(shop).values())
    assert one.food == one.line == ""
    assert name.note in one.why
    assert "spec sheet" in one.why


def test_the_shop_itself_comes_first(shop: Path) -> None:
    (shop / "specs/heavy-cream.yaml").write_text(
        "source: made up\nper: 100 g\nvalues: {protein: 2 g, total fat: 36 g}\n"
    )
    path = shop / "ingredients.yaml"
    path.write_text(path.read_text() + "\nother cream:\n  food: spec:heavy-cream\n  label: crema\n")
    undecided(shop, "heavy cream")
    one = found(shop)["heavy cream"]
    assert (one.food, one.why) == ("spec:heavy-cream", "the shop has a spec sheet of this name")
    assert "sodium" in one.unknown


def test_a_name_that_nobody_knows(creamery: CommandLine, shop: Path) -> None:
    path = shop / "ingredients.yaml"
    path.write_text(path.read_text() + "\nqwzrtx:\n  food: ?\n  label: qwzrtx\n")
    said = creamery("foods", "suggest", shop)
    assert said.code == 0
    assert "no food is called so" in said.out
    assert "food:" not in said.out


def test_an_id_that_leads_nowhere_is_proposed_for_too(shop: Path) -> None:
    path = shop / "ingredients.yaml"
    path.write_text(path.read_text().replace("food: usda:19335", "food: usda:99999"))
    assert found(shop)["sugar"].food == "usda:19335"
    path.write_text(path.read_text().replace("food: usda:99999", "food: fdc:99999"))
    assert "sugar" not in found(shop)


def test_other_mistakes_are_told(creamery: CommandLine, shop: Path) -> None:
    undecided(shop, "sugar")
    path = shop / "recipes/vanilla.yaml"
    path.write_text(path.read_text().replace("add:", "ad:", 1))
    said = creamery("foods", "suggest", shop)
    assert said.code == 1
    assert "food: usda:19335" in said.out
    assert "no verb 'ad'" in said.err
    assert "sugar needs" not in said.err


def test_a_workbook(creamery: CommandLine, shop: Path) -> None:
    from openpyxl import load_workbook

    path = shop.parent / "shop.xlsx"
    turning.convert(shop, path)
    book = load_workbook(path)
    sheet = book["Ingredients"]
    cell = next(c for row in sheet.iter_rows() for c in row if c.value == "usda:19335")
    cell.value = None
    book.save(path)
    one = creamery("foods", "suggest", path, "--json").json["results"][0]
    assert one["food"] == "usda:19335"
    assert one["where"].startswith("Ingredients!")
