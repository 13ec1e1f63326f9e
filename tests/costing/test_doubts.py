"""Doubts: which values hold up labels, and what knowing them would do, found again by giving the value in a sheet."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from costing import doubts
from costing.desk import Shop
from costing.findings import ShopError
from nutrition.resources import tree
from tests.costing.command_line import CommandLine

EXAMPLES = Path(str(tree("examples")))


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return Path(shutil.copytree(EXAMPLES / "starter", tmp_path / "shop"))


def sheet(shop: Path, ingredient: str, ndb: str, values: str) -> None:
    """Give an ingredient a supplier's sheet for some values."""
    name = ingredient.replace(" ", "-")
    (shop / f"specs/{name}.yaml").write_text(f"source: made up\nlike: usda:{ndb}\nvalues: {{{values}}}\n")
    path = shop / "ingredients.yaml"
    before = path.read_text()
    assert f"food: usda:{ndb}" in before
    path.write_text(before.replace(f"food: usda:{ndb}", f"food: spec:{name}"))


def ready(shop: Path) -> dict[str, bool]:
    return {line.key: line.print_ready for line in Shop.open(shop)["vanilla"].label().nutrients}


def test_what_holds_up_a_label_is_found_and_settles_it(shop: Path) -> None:
    found = doubts.values(Shop.open(shop))
    assert [(one.ingredient, one.nutrient) for one in found] == [
        ("heavy cream", "trans_fat"),
        ("whole milk", "trans_fat"),
    ]
    cream, milk = found
    assert not cream.unknown
    assert (cream.low, cream.high) == pytest.approx((1.22672, 1.69576))
    assert "SR26" in cream.words
    assert not ready(shop)["trans_fat"]
    # What it says of the cream's value holds: at the places where it says that the line is settled, it is.
    said = cream.held[0].share
    tried = [cream.low + share * (cream.high - cream.low) for share in (0.1, 0.3, 0.5, 0.7, 0.9)]
    settled = []
    for number, value in enumerate(tried):
        other = Path(shutil.copytree(shop, shop.parent / str(number)))
        sheet(other, "heavy cream", "01053", f"trans fat: {value:.9f} g")
        settled.append(ready(other)["trans_fat"])
    assert sum(settled) / len(settled) == said
    assert milk.held[0].share <= said


def test_an_unknown_value(shop: Path) -> None:
    """A sheet that says nothing of sugars, of sodium, of fat's parts."""
    path = shop / "ingredients.yaml"
    path.write_text(path.read_text().replace("food: usda:01091", "food: spec:powder"))
    values = "protein: 36 g, total fat: 0.8 g, total carbohydrate: 52 g, water: 3.2 g, ash: 8 g"
    (shop / "specs/powder.yaml").write_text(f"source: made up\nper: 100 g\nvalues: {{{values}}}\n")
    found = {(one.ingredient, one.nutrient): one for one in doubts.values(Shop.open(shop))}
    unknown = [one for one in found.values() if one.unknown]
    assert {"total_sugars", "sodium", "saturated_fat"} <= {one.nutrient for one in unknown}
    assert all(one.ingredient == "skim milk powder" for one in unknown)
    label = Shop.open(shop)["vanilla"].label()
    for line in label.nutrients:
        if line.weight is not None and line.weight.unknown > 0:
            assert line.per_serving is None
        if line.key == "total_sugars":
            assert line.weight is not None
            assert 0.03 < line.weight.unknown < 0.1


def test_what_the_shop_itself_must_say(shop: Path) -> None:
    """Of a flavouring nobody knows how much of its sugars was added; one line in ingredients.yaml settles it."""
    path = shop / "ingredients.yaml"
    text = path.read_text()
    line = next(line for line in text.splitlines() if "added sugars: 0 %" in line)
    path.write_text(text.replace(line + "\n", "").replace("food: usda:02050", "food: usda:19348"))
    one = next(one for one in doubts.values(Shop.open(shop)) if one.nutrient == "added_sugars")
    assert one.ingredient == "vanilla extract"
    assert one.unknown
    assert [held.line for held in one.held] == ["added_sugars"]
    assert one.mend.startswith("write added sugars: … % under vanilla extract")


def test_shares_of_weight_add_up(shop: Path) -> None:
    for line in Shop.open(shop)["vanilla"].label().nutrients:
        assert line.weight is not None
        assert line.weight.known + line.weight.estimated + line.weight.unknown == pytest.approx(1)
        if line.per_serving is None:
            assert line.weight.unknown > 0
        if line.per_serving_low == line.per_serving_high:
            assert line.weight.estimated == line.weight.unknown == 0
    trans = next(line for line in Shop.open(shop)["vanilla"].label().nutrients if line.key == "trans_fat")
    assert trans.weight is not None
    assert trans.weight.estimated > 0.5


def test_the_command(creamery: CommandLine, shop: Path) -> None:
    said = creamery("foods", "doubts", shop, "vanilla")
    assert said.code == 0
    assert "heavy cream" in said.out
    assert "values: {trans fat: … g}" in said.out
    one = creamery("foods", "doubts", shop, "--json").json["results"][0]
    assert (one["ingredient"], one["nutrient"], one["state"], one["labels"]) == (
        "heavy cream",
        "trans_fat",
        "interval",
        1,
    )
    weight = creamery("label", shop, "--json").json["results"][0]["nutrients"][0]["weight"]
    assert set(weight) == {"known", "estimated", "unknown"}
    assert creamery("foods", "doubts", shop, "vanila").code == 1


def test_a_recipe_that_cannot_be_made_is_no_recipe_without_doubts(creamery: CommandLine, shop: Path) -> None:
    path = shop / "recipes/vanilla.yaml"
    path.write_text(path.read_text().replace("loses: 3 %", "to: 90 kg"))
    said = creamery("foods", "doubts", shop)
    assert said.code == 1
    assert "ready for print" not in said.out


def test_values_that_settle_something_on_most_labels_come_first(quillfeather: Path) -> None:
    path = quillfeather / "ingredients.yaml"
    text = path.read_text().replace("food: spec:heavy-cream", "food: usda:01053")
    path.write_text(text.replace("food: spec:quince", "food: usda:09296"))
    found = doubts.values(Shop.open(quillfeather))
    assert (found[0].ingredient, found[0].nutrient) == ("heavy cream", "trans_fat")
    assert found[0].freed == found[0].labels == 6
    assert [one.freed for one in found] == sorted((one.freed for one in found), reverse=True)
    assert ("quince", "total_sugars", 1) in [(one.ingredient, one.nutrient, one.freed) for one in found]


def test_a_shop_without_doubts(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("foods", "doubts", quillfeather)
    assert said.code == 0
    assert "every line of every label is ready for print" in said.out


def test_what_is_asked_for_can_be_written_into_a_sheet_of_rounded_values(shop: Path) -> None:
    """A single unrounded value in it would be refused, since no label prints it; a range is taken as it is."""
    path = shop / "specs/cream.yaml"
    text = "source: made up\nlike: usda:01053\nper: 30 g\nrounded: yes\nvalues: {fat: 11 g, protein: PROTEIN}\n"
    path.write_text(text.replace("PROTEIN", "less than 1 g"))
    ingredients = shop / "ingredients.yaml"
    ingredients.write_text(ingredients.read_text().replace("food: usda:01053", "food: spec:cream"))
    found = next(one for one in doubts.values(Shop.open(shop)) if one.nutrient == "protein")
    assert found.mend == "ask the supplier of heavy cream; in a spec sheet: values: {protein: … g to … g}"
    path.write_text(text.replace("PROTEIN", "0.84 g to 0.85 g"))
    low, high = Shop.open(shop).model.foods["spec:cream"].composition.bounds("protein")
    assert (low, high) == pytest.approx((2.8, 2.8333), abs=1e-4)
    path.write_text(text.replace("PROTEIN", "0.85 g"))
    with pytest.raises(ShopError) as refused:
        Shop.open(shop)
    assert any("write one that is not rounded as a range" in one.mend for one in refused.value.findings)
