"""Pins, spec sheets in CSV, and foods that nobody has chosen yet, as a shop's reader takes them."""

from __future__ import annotations

from datetime import date

import pytest

from costing.desk import Shop
from costing.shop import pinning, reader
from nutrition.foods import pins, table
from tests.costing.shop.conftest import DAY, Folder

INGREDIENTS = "ingredients.yaml"


def pin(folder: Folder, food_id: str = "usda:01053") -> Folder:
    record = table.food(food_id.removeprefix("usda:"))
    return folder.write(pinning.file_of(food_id), pinning.text(record, date(2026, 3, 2)))


def lines(shop: Shop) -> dict[str, str]:
    label = shop["vanilla"].label()
    return {one.key: one.declared["serving"] for one in label.nutrients}


def test_a_pin_of_the_same_record_changes_nothing(folder: Folder) -> None:
    before = Shop.open(folder.path)["vanilla"].label()
    pin(folder)
    shop = Shop.open(folder.path)
    assert not [one for one in shop.findings if one.where.startswith("pins")]
    assert shop.model.origins["usda:01053"] == "pin"
    assert shop.model.origins["usda:19335"] == "table"
    assert repr(shop["vanilla"].label()) == repr(before)


def test_a_label_is_made_from_the_pin_whatever_the_table_says(folder: Folder) -> None:
    before = lines(Shop.open(folder.path))
    file = pinning.file_of("usda:01053")
    pin(folder).edit(file, "total fat: 36.08 g", "total fat: 30 g")
    shop = Shop.open(folder.path)
    assert lines(shop)["total_fat"] != before["total_fat"]
    note = next(one for one in shop.findings if one.where.startswith(file))
    assert note.level == "note"
    assert "total fat 30 g, there 36.08 g" in note.what
    assert "--refresh" in note.mend


def test_a_pin_whose_sums_do_not_agree_is_doubtful_and_used(folder: Folder) -> None:
    file = pinning.file_of("usda:01053")
    pin(folder).edit(file, "saturated fat: 23.032 g", "saturated fat: 63 g")
    model, found = reader.read(folder.path, DAY)
    assert model is not None
    told = [one for one in found if "is doubtful" in one.what]
    assert told
    assert all(one.level == "note" and one.where.startswith(file) for one in told)
    assert model.foods["usda:01053"].composition.amount("saturated_fat") == 63


def test_what_a_sheet_is_like_is_taken_from_the_pin(folder: Folder) -> None:
    """So that a later table cannot move a label by way of a spec sheet either."""
    folder.write("specs/own.yaml", "source: made up\nlike: usda:01053\nvalues: {trans fat: 1 g}\n")
    folder.edit(INGREDIENTS, "food: usda:01053", "food: spec:own")
    file = pinning.file_of("usda:01053")
    pin(folder).edit(file, "sodium: 27 mg", "sodium: 99 mg")
    model, _ = reader.read(folder.path, DAY)
    assert model is not None
    assert model.foods["spec:own"].composition.amount("sodium") == 99
    assert model.foods["spec:own"].like == "usda:01053"


@pytest.mark.parametrize(
    ("old", "new", "part", "what"),
    [
        ("id: usda:01053", "id: spec:cream", "id:", "not the id of a food"),
        ("total fat: 36.08 g", "total fat: 36.08", "total fat", "not the amount of a pin"),
        ("total fat: 36.08 g", "total fat: &a 36.08 g", "total fat", "make links inside the file"),
        ("  protein: 2.84 g", "  protein: 2.84 g\n  protein: 2.84  g", "protein: 2.84  g", "stands here twice"),
        ("pinned: 2026-03-02", "pinned: 2026-13-02", "pinned:", "is no day"),
    ],
)  # fmt: skip
def test_a_pin_spoilt_by_hand(folder: Folder, old: str, new: str, part: str, what: str) -> None:
    file = pinning.file_of("usda:01053")
    pin(folder).edit(file, old, new)
    found = folder.only()
    assert found.where == folder.line(file, part)
    assert what in found.what


def test_one_food_is_pinned_once(folder: Folder) -> None:
    pin(folder)
    folder.write("pins/other.yaml", folder.text(pinning.file_of("usda:01053")))
    found = folder.only()
    assert found.where == "pins/usda-01053.yaml:2"
    assert "pinned twice, first in pins/other.yaml" in found.what


def test_a_sheet_in_csv_says_the_same_as_in_yaml(folder: Folder) -> None:
    folder.edit(INGREDIENTS, "food: usda:01053", "food: spec:own")
    folder.write("specs/own.csv", "Nutrient;Amount;Unit\nsource;Dairy, 2026;\nper;30 g serving;\nrounded;yes;\n"
                 "total fat;11;g\nsodium;10;mg\niron;;mg\nmade of;cream, gellan gum;\n")  # fmt: skip
    model = reader.everything(folder.path).model
    assert model is not None
    (folder.path / "specs/own.csv").unlink()
    folder.write("specs/own.yaml", "source: Dairy, 2026\nper: 30 g serving\nrounded: yes\n"
                 "values: {total fat: 11 g, sodium: 10 mg}\nmade of: [cream, gellan gum]\n")  # fmt: skip
    other = reader.everything(folder.path).model
    assert other is not None
    one, two = model.foods["spec:own"], other.foods["spec:own"]
    assert pins.same(one, two)
    assert one.rounded
    assert one.composition.amount("iron") is None
    assert one.source == two.source == "Dairy, 2026"


def test_the_interval_of_a_printed_value_travels_to_the_label(folder: Folder) -> None:
    """10 mg of sodium in 30 g is 7.5 mg to below 12.5 mg (21 CFR 101.9(c)(4)): so wide is the label for its share of cream."""
    before = {line.key: line for line in Shop.open(folder.path)["vanilla"].label().nutrients}
    assert before["sodium"].per_serving_low == before["sodium"].per_serving_high
    folder.edit(INGREDIENTS, "food: usda:01053", "food: spec:own")
    folder.write(
        "specs/own.yaml", "source: made up\nlike: usda:01053\nper: 30 g\nrounded: yes\nvalues: {sodium: 10 mg}\n"
    )
    answer = Shop.open(folder.path)["vanilla"].answer()
    assert answer.label is not None
    assert answer.product is not None
    after = {line.key: line for line in answer.label.nutrients}
    cream = next(one for one in answer.product.components if one.ingredient == "heavy cream")
    width = after["sodium"].per_container_high - after["sodium"].per_container_low
    assert width == pytest.approx(cream.added_g / 30 * 5.0, rel=1e-6)
    assert after["sodium"].weight is not None
    assert after["sodium"].weight.estimated == pytest.approx(cream.present_g / answer.product.net_g)


def test_what_the_sheet_is_made_of_goes_into_the_statement(folder: Folder) -> None:
    folder.edit(INGREDIENTS, "food: usda:01053", "food: spec:own")
    folder.write(
        "specs/own.yaml",
        "source: made up\nlike: usda:01053\nvalues: {trans fat: 1 g}\nmade of: [milkfat, gellan gum]\n",
    )
    assert "cream (milkfat, gellan gum)" in Shop.open(folder.path)["vanilla"].label().ingredients
    folder.edit(INGREDIENTS, "  label: cream\n", "  label: cream\n  made of: [fresh cream, gum]\n")
    shop = Shop.open(folder.path)
    assert "cream (fresh cream, gum)" in shop["vanilla"].label().ingredients
    told = next(one for one in shop.findings if one.where == folder.line(INGREDIENTS, "made of"))
    assert told.level == "warning"
    assert "fresh cream, gellan gum, gum, milkfat" in told.what


@pytest.mark.parametrize(
    ("content", "line", "what"),
    [
        ("", "", "the sheet is empty"),
        ("# only words\n", ":1", "the sheet is empty"),
        ("entry,price\nx,1\n", ":1", "there is no column 'price'"),
        ("entry,value\nprotein,1 g\nprotein,2 g\n", ":3", "stands here twice, first in line 2"),
        ("entry,value\n,1 g\n", ":2", "nothing says what this value is of"),
        ("entry,value\nprotein,1 g,2 g\n", ":2", "more cells than the head"),
        ('entry,value\nprotein,"1 g\n', ":2", "opens here and is not closed"),
        ("entry,value\nprotein,1\0 g\n", ":2", "cannot stand in a text file"),
        ("entry,value\n" + "iron,\n" * 1001, ":1002", "more than 1000 rows"),
        ("entry,value\nsource,x\nper,100 g\nprotein,1e9999 g\n", ":4", "not an amount"),
        ("entry,value\nsource,x\nper,100 g\nproteen,1 g\n", ":4", "no nutrient called 'proteen'"),
        ("entry,value\nsource,x\nper,0 g\nprotein,1 g\n", ":3", "not one weight"),
    ],
)
def test_a_spoilt_sheet_in_csv(folder: Folder, content: str, line: str, what: str) -> None:
    folder.write("specs/own.csv", content)
    found = [one for one in folder.findings() if one.where.startswith("specs/own.csv" + line)]
    assert any(what in one.what for one in found), folder.findings()
    assert reader.read(folder.path, DAY)[0] is None


def test_two_sheets_of_one_name(folder: Folder) -> None:
    sheet = "source: made up\nper: 100 g\nvalues: {protein: 1 g}\n"
    folder.write("specs/own.yaml", sheet).write("specs/own.csv", "entry,value\nper,100 g\nsource,x\nprotein,1 g\n")
    assert "two files are called 'own'" in folder.only().what


@pytest.mark.parametrize("new", ["food: ?", "food: '?'", "food:", "food: ?   # which?", "{cut}"])
def test_a_food_that_nobody_has_chosen(folder: Folder, new: str) -> None:
    folder.edit(INGREDIENTS, "  food: usda:19335\n", "" if new == "{cut}" else f"  {new}\n")
    found = folder.only()
    assert found.what == "sugar needs 'food'"
    assert "creamery foods suggest" in found.mend
    model = reader.everything(folder.path).model
    assert model is not None
    assert model.ingredients["sugar"].food == "?"


def test_a_food_of_the_web_that_is_not_here(folder: Folder) -> None:
    folder.edit(INGREDIENTS, "food: usda:19335", "food: fdc:169655")
    found = folder.only()
    assert "fdc:169655 is not on this computer" in found.what
    assert "creamery foods fetch 169655" in found.mend
