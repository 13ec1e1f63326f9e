"""What the label preparer says in shop.yaml and in recipes: read, refused with its line, and heeded by the label."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from costing.desk import Shop
from costing.shop import label_check, reader
from costing.shop.label_choices import Business, Flavour, LabelChoices, options
from nutrition.law.us.options import Options
from nutrition.nutrients import index
from nutrition.resources import tree

STARTER = Path(str(tree("examples"))) / "starter"


def shop(folder: Path, *, more: str = "", recipe: str = "", ingredient: str = "") -> Path:
    place = folder / "shop"
    shutil.copytree(STARTER, place)
    vanilla = place / "recipes/vanilla.yaml"
    lines = vanilla.read_text(encoding="utf-8").splitlines(keepends=True)
    vanilla.write_text("".join(line for line in lines if not line.startswith("flavour:")), encoding="utf-8")
    for file, text in (("shop.yaml", more), ("recipes/vanilla.yaml", recipe), ("ingredients.yaml", ingredient)):
        with (place / file).open("a", encoding="utf-8") as one:
            one.write(f"\n{text}\n")
    return place


def said(place: Path) -> list[str]:
    return [f"{one.where}: {one.what} ({one.mend})" for one in reader.read(place)[1] if one.level == "error"]


def test_nobody_has_to_choose() -> None:
    assert options(None, None) == Options()
    assert options(LabelChoices(), LabelChoices()) == Options()


def test_every_choice_reaches_the_law() -> None:
    chosen = LabelChoices.model_validate(
        {
            "percents from": "Rounded", "below 2 %": "2 %", "closing clause": "0.5 %", "calories": "c",
            "juice": "juice volume", "compounds": "opened", "open": ["Dark Chocolate"], "water": "net of boiling",
            "milk": "gathered", "water reconstitutes": "yes", "also print": ["vitamin A", "Sugar Alcohol", "monounsaturated fat"],
            "lines": "shortened", "nutrition claims": "yes", "protein quality": "0.9", "reference amount": "sherbet",
            "shared equipment": "left out",
        }
    )  # fmt: skip
    assert options(chosen, None) == Options(
        dv_from="rounded", below_two="two", threshold=0.5, calories="C", juice="juice volume", compounds="opened",
        opened=frozenset({"dark chocolate"}), net_of_boiling=True, reconstituting=True, milk="gathered",
        further=("vitamin_a", "sugar_alcohol", "monounsaturated_fat"), lines="shortened", claims=True,
        protein_quality=0.9, category="sherbet", equipment="left out",
    )  # fmt: skip
    assert set(LabelChoices.model_fields) == chosen.model_fields_set


def test_a_recipe_stands_before_the_shop() -> None:
    shops, own = ({"closing clause": "1 %", "calories": "C"}, {"closing clause": "none"})
    found = options(LabelChoices.model_validate(shops), LabelChoices.model_validate(own))
    assert (found.threshold, found.calories) == (None, "C")


def test_the_label_heeds_what_was_chosen(tmp_path: Path) -> None:
    place = shop(
        tmp_path,
        more="label: {percents from: rounded, closing clause: none, also print: [vitamin A]}",
        recipe="label: {closing clause: 0.5 %}",
    )
    found = Shop.open(place)["vanilla"].label()
    assert found.dv_from == "rounded"
    assert found.nutrients[-1].key == "vitamin_a"
    assert found.chosen["closing clause"].startswith("contains 0.5%")
    assert "contains 0.5% or less of" in found.ingredients


@pytest.mark.parametrize(
    ("more", "what"),
    [
        ("label: {closing clause: 3 %}", "'3 %' cannot close"),
        ("label: {calories: D}", "'D' is not possible here (write one of: A, B, C)"),
        ("label: {also print: [vitamin Q]}", "no panel prints 'vitamin Q'"),
        ("label: {linse: all}", "'label' takes no 'linse' (did you mean 'lines'?)"),
        ("label: simplified", "label: this must be entries with names"),
        ("label: [all]", "label: this must be entries with names"),
        ("label: {lines: {all: yes}}", "lines"),
        ("label: {protein quality: 2}", "no amino acid score"),
        ("label: {reference amount: soup}", "'soup' has no reference amount"),
        ("business: {total sales: 310000}", "does not say per what"),
        ("business: {total sales: -5 per year}", "total sales"),
        ("business: {people: many}", "people"),
        ("business: {line: sold by}", "'sold by' is not possible here"),
        ("business: {wholesale: [grocr]}", "there is no way of selling called 'grocr'"),
        ("label: {closing clause: 9999999999999999999999999999 %}", "cannot close"),
    ],
)
def test_nonsense_in_the_shop_is_refused(more: str, what: str, tmp_path: Path) -> None:
    found = said(shop(tmp_path, more=more))
    assert any(what in one and one.startswith("shop.yaml:") for one in found), found


@pytest.mark.parametrize(
    ("recipe", "what"),
    [
        ("flavour: {nam: vanilla}", "'flavour' takes no 'nam'"),
        ("flavour: {name: vanilla, from: heaven}", "'heaven' is not possible here"),
        ("flavour: {from: natural}", "needs"),
        ("flavour: [a, b]", "flavour"),
        ("flavour:", "flavour"),
        ("label: {lines: few}", "'few' is not possible here"),
        ("units: 3200", "does not say per what"),
        ("units: many per year", "units"),
        ("bulky: [rye crmb]", "there is no part called 'rye crmb'"),
    ],
)
def test_nonsense_in_a_recipe_is_refused(recipe: str, what: str, tmp_path: Path) -> None:
    found = said(shop(tmp_path, recipe=recipe))
    assert any(what in one and one.startswith("recipes/vanilla.yaml:") for one in found), found


@pytest.mark.parametrize(
    ("entry", "what"),
    [
        ("sugar alcohols: {aspartame: 1 %}", "no sugar alcohol"),
        ("sugar alcohols: {xylitol: 60 %, sorbitol: 60 %}", "pass 100 %"),
        ("sugar alcohols: xylitol", "with shares"),
        ("calorie factors: {protein: 4.27}", "no unit"),
        ("calorie factors: {alcohol: 7 kcal/g}", "has no factor"),
        ("calorie factors: {fat: 900 kcal/g}", "more than any food"),
        ("single strength: 120 Brix", "single strength"),
        ("single strength: 12 %", "Brix"),
        ("preservative: forever", "what a preservative is for"),
        ("bulky: cookie", "'cookie' is not possible here"),
        ("bioengineered: maybe", "neither yes nor no"),
    ],
)
def test_nonsense_on_an_ingredient_is_refused(entry: str, what: str, tmp_path: Path) -> None:
    found = said(shop(tmp_path, ingredient=f"odd:\n  food: usda:19335\n  label: odd\n  {entry}"))
    assert any(what in one and one.startswith("ingredients.yaml:") for one in found), found


def test_names_in_other_scripts_are_taken() -> None:
    raw: Any = {"name": "焙じ茶", "from": "natural", "added": "искусственный ароматизатор"}
    assert Flavour.model_validate(raw).name == "焙じ茶"
    assert Business.model_validate({"wholesale": ["сосед"]}).wholesale == ("сосед",)


def test_an_ingredient_without_class_is_told(tmp_path: Path) -> None:
    place = shop(tmp_path)
    file = place / "ingredients.yaml"
    text = file.read_text(encoding="utf-8")
    assert "  class: sweetener\n" in text
    file.write_text(text.replace("  class: sweetener\n", "", 1), encoding="utf-8")
    found = [one for one in reader.read(place)[1] if "of what class" in one.what]
    assert [(one.level, one.where.partition(":")[0]) for one in found] == [("warning", "ingredients.yaml")]
    # Its sugars are not taken for none: the line is not printed.
    label = Shop.open(place)["vanilla"].label()
    assert next(one for one in label.nutrients if one.key == "added_sugars").unknown_from
    assert not label.print_ready


@pytest.mark.parametrize(
    ("entry", "what"),
    [
        ("made of: [sugar, soy lecithin]", "speaks of soy ('soy lecithin')"),
        ("made of: [sugar, wheat flour, butter]\n  allergens: [milk]", "speaks of wheat ('wheat flour')"),
        ("made of: [sugar, salt]", "nothing is said of allergens of odd, which is made of others"),
        ("class: other", "nothing is said of allergens of odd, which is of no class"),
        ("made of: [cocoa butter, coconut milk, sugar]\n  allergens: none", ""),
        ("made of: [almond paste]\n  allergens: [tree nut: almond]", ""),
        ("made of: [almond paste]\n  allergens: [tree nut: pecan]", "speaks of tree nut: almond"),
        ("made of: [goat cheese]\n  allergens: [goat milk]", ""),
        ("class: fat\n  highly refined: yes\n  made of: [soybean oil, salt]", ""),
    ],
)
def test_allergens_that_names_speak_of(entry: str, what: str, tmp_path: Path) -> None:
    place = shop(tmp_path, ingredient=f"odd:\n  food: usda:19335\n  label: odd\n  {entry}")
    model = reader.everything(place).model
    assert model is not None
    assert not [one for one in label_check.allergens_unsaid(model) if "odd" in one.what]  # nobody uses it
    recipe = place / "recipes/vanilla.yaml"
    recipe.write_text(recipe.read_text(encoding="utf-8").replace("sugar: 190 g", "sugar: 190 g, odd: 5 g"), "utf-8")
    model = reader.everything(place).model
    assert model is not None
    found = [one for one in label_check.allergens_unsaid(model) if "odd" in one.what]
    assert ([one.level for one in found], what in "".join(one.what for one in found)) == (
        ["warning"] if what else [],
        True,
    )


def test_choices_of_the_command_line_stand_before_all(tmp_path: Path) -> None:
    place = shop(tmp_path, more="label: {closing clause: none}", recipe="label: {percents from: rounded}")
    shops = Shop.open(place).choosing(["closing clause=0.5 %", "percents from=unrounded"])
    found = shops["vanilla"].label()
    assert found.dv_from == "unrounded"
    assert "contains 0.5% or less" in found.ingredients


@pytest.mark.parametrize(
    ("typed", "what"),
    [
        ("linse=all", "did you mean 'lines'?"), ("lines", "write it as lines=shortened"), ("lines=", "no choice"),
        ("lines=few", "'few' is not possible here"), ("also print=vitamin Q; iron", "no panel prints 'vitamin Q'"),
        ("=", "no choice"), ("closing clause=1", ""),
    ],
)  # fmt: skip
def test_choices_that_cannot_be_are_wrong_usage(typed: str, what: str) -> None:
    from click.testing import CliRunner

    from costing.cli import creamery

    found = CliRunner().invoke(creamery, ["label", str(STARTER), "vanilla", "--choose", typed])
    if what:
        assert found.exit_code == 2
        assert what in " ".join(found.output.split())
    else:
        assert found.exit_code == 0
        assert "contains 1% or less of" in found.output


def energy_by(folder: Path, letter: str, sugar: str = "usda:19335", more: str = "") -> Any:
    place = shop(folder)
    (place / "specs").mkdir(exist_ok=True)
    values = (
        "{energy: 400 kcal, water: 0 g, protein: 0 g, total fat: 0 g, carbohydrate: 100 g, sugars: 100 g, ash: 0 g}"
    )
    (place / "specs/beet.yaml").write_text(f"source: made up\nper: 100 g\nvalues: {values}\n", encoding="utf-8")
    file = place / "ingredients.yaml"
    text = file.read_text(encoding="utf-8")
    assert "  food: usda:19335" in text
    file.write_text(text.replace("  food: usda:19335", f"  food: {sugar}\n{more}", 1), encoding="utf-8")
    return Shop.open(place).choosing([f"calories={letter}"])["vanilla"].label().nutrients[0]


def test_calories_by_specific_factors_of_a_whole_shop(tmp_path: Path) -> None:
    general, specific = energy_by(tmp_path / "b", "B"), energy_by(tmp_path / "a", "A")
    assert specific.print_ready
    # Milk by 4.27, 8.79 and 3.87 and sugar by 3.87 give less than 4, 9 and 4.
    assert 0.94 * general.per_container < specific.per_container < general.per_container
    silent = energy_by(tmp_path / "silent", "A", "spec:beet")
    assert (silent.print_ready, silent.unknown_from) == (False, ("sugar",))
    said_ = energy_by(tmp_path / "said", "A", "spec:beet", "  calorie factors: {carbohydrate: 3.87 kcal/g}\n")
    assert (said_.print_ready, said_.unknown_from) == (True, ())


def test_more_added_sugars_than_sugars_is_refused_by_its_line(tmp_path: Path) -> None:
    """USDA SR28, NDB 19296 (honey): 82.12 g of sugars in 100 g."""
    entry = "honey:\n  food: usda:19296\n  label: honey\n  class: sweetener\n  added sugars: 90 %\n"
    (found,) = said(shop(tmp_path, ingredient=entry))
    assert "ingredients.yaml:" in found
    assert "honey: 90 g of added sugars stated in 100 g, but there are at most 82.12 g of sugars" in found


@pytest.mark.parametrize(("kind", "made_of"), [("dairy", ""), ("fruit", "[cherries, sugar]"), ("other", "")])
def test_added_sugars_of_a_supplier_s_sheet_count(kind: str, made_of: str, tmp_path: Path) -> None:
    """A sheet that states them has said it: they are neither unknown nor, for the class, none."""
    more = f"  made of: {made_of}\n" if made_of else ""
    entry = f"sweet thing:\n  food: spec:sweet\n  label: sweet thing\n  class: {kind}\n  allergens: [milk]\n{more}"
    place = shop(tmp_path, ingredient=entry)
    (place / "specs").mkdir(exist_ok=True)
    sheet = "source: Someone, sheet of 2026-01-05\nlike: usda:01116\nvalues: {water: 77 g, total sugars: 14 g, total carbohydrate: 15 g"
    (place / "specs" / "sweet.yaml").write_text(f"{sheet}, added sugars: 9 g}}\n", encoding="utf-8")
    one = Shop.open(place).pantry["sweet thing"]
    found = (one.nutrients[:, :, index("added_sugars")] * one.fractions).sum(axis=1)
    assert found * 100 == pytest.approx([9.0, 9.0, 9.0])
