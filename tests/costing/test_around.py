"""What stands around a product: exemption, advisory, name and place, disclosure. Source: 21 CFR 101.9(j), 101.5; 7 CFR 66."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from costing.around import touched
from costing.desk import Shop
from nutrition.law.us import allergens, shared_equipment
from nutrition.law.us.around import Neighbour
from nutrition.law.us.label import Label
from nutrition.resources import tree

EXAMPLES = Path(str(tree("examples")))


@pytest.fixture(scope="module")
def quillfeather() -> Shop:
    return Shop.open(EXAMPLES / "quillfeather")


def starter(folder: Path, more: str = "", recipe: str = "", **edits: tuple[str, str]) -> Label:
    place = folder / "shop"
    shutil.copytree(EXAMPLES / "starter", place)
    for file, text in (("shop.yaml", more), ("recipes/vanilla.yaml", recipe)):
        with (place / file).open("a", encoding="utf-8") as one:
            one.write(f"\n{text}\n")
    for old, new in edits.values():
        file = place / "ingredients.yaml"
        text = file.read_text(encoding="utf-8")
        assert old in text
        file.write_text(text.replace(old, new, 1), encoding="utf-8")
    return Shop.open(place)["vanilla"].label()


def test_the_advisory_names_what_runs_on_the_same_machine(quillfeather: Shop) -> None:
    # The batch freezer runs custard (egg), pistachio, miso and chocolate (soy), rye (no major allergen).
    plum = quillfeather["plum"].label()
    assert plum.contains == ""
    assert plum.advisory == "Made on equipment that also processes milk, egg, tree nuts (pistachio), soy."
    pistachio = quillfeather["pistachio"].label()
    assert pistachio.advisory == "Made on equipment that also processes egg, soy."
    said = [note.what for note in pistachio.notes if "same machine (batch freezer)" in note.what]
    assert len(said) == 1
    assert "egg, in Sorghum & black pepper frozen custard" in said[0]
    assert "soy, in Browned butter, white miso & rye crumb, Slow-steeped coffee & dark chocolate;" in said[0]
    assert "voluntary" in said[0]


def test_the_advisory_is_voluntary(quillfeather: Shop) -> None:
    silent = quillfeather.choosing(["shared equipment=left out"])["plum"].label()
    assert silent.advisory == ""
    assert any("same machine (batch freezer)" in note.what for note in silent.notes), (
        "the preparer is told all the same"
    )


def test_what_is_strained_out_still_counts(quillfeather: Shop) -> None:
    model = quillfeather.model
    for key, recipe in model.recipes.items():
        if recipe.makes is None:
            made = quillfeather[key].label()
            those = allergens.ordered(touched(recipe, model, quillfeather.pantry))
            assert tuple(map(str, those)) == made.allergens, key


def test_a_machine_of_its_own_shares_nothing(tmp_path: Path) -> None:
    found = starter(tmp_path)
    assert found.advisory == ""
    assert any("ran on the same machine before" in note.what for note in found.notes)


@pytest.mark.parametrize(
    ("more", "recipe", "exempt", "rules", "reason"),
    [
        ("", "", False, (), "nobody said"),
        ("business: {total sales: 310000 per year}", "", True, ("21 CFR 101.9(j)(1)",), "retailer"),
        ("business: {food sales: 50000 per year}", "", True, ("21 CFR 101.9(j)(1)",), "retailer"),
        ("business: {food sales: 50001 per year, total sales: 500001 per year, people: 200}", "units: 200000 per year",
         False, (), "pass the limits"),
        ("business: {people: 9}", "units: 9999 per year", True, ("21 CFR 101.9(j)(18)",), "no notice needed"),
        ("business: {people: 10, total sales: 1000000 per year}", "units: 9999 per year", False, (), "once a yearly"),
        ("business: {people: 99, notice filed: yes}", "units: 99999 per year", True, ("21 CFR 101.9(j)(18)",), "filed"),
        ("business: {people: 100, notice filed: yes, total sales: 600000 per year}", "units: 10 per year", False, (),
         "pass the limits"),
        ("business: {people: 4, total sales: 1000 per year}\nlabel: {nutrition claims: yes}", "units: 10 per year",
         False, (), "claim"),
    ],
)  # fmt: skip
def test_the_verdict_on_the_panel(
    more: str, recipe: str, exempt: bool, rules: tuple[str, ...], reason: str, tmp_path: Path
) -> None:
    found = starter(tmp_path, more, recipe).exemption
    assert found is not None
    assert (found.exempt, found.rules) == (exempt, rules), found
    assert reason in "; ".join(found.reasons)


def test_wholesale_needs_the_low_volume_exemption(tmp_path: Path) -> None:
    names = ", ".join(f'"{one}"' for one in Shop.open(EXAMPLES / "starter").model.channels)
    found = starter(tmp_path, f"business: {{total sales: 1000 per year, people: 4, wholesale: [{names}]}}").exemption
    assert found is not None
    assert not found.exempt
    assert found.reasons == ("nobody said: units a year",)


def test_name_and_place_as_printed(tmp_path: Path) -> None:
    found = starter(tmp_path, "business: {line: manufactured for, street in directory: yes}")
    assert found.business[0].startswith("Manufactured for ")
    assert len(found.business) == 1 + max(1, len(Shop.open(EXAMPLES / "starter").model.address) - 1)


def test_bioengineered_as_suppliers_say(tmp_path: Path) -> None:
    edit = ("  class: sweetener\n", "  class: sweetener\n  bioengineered: yes\n")
    found = starter(tmp_path, sugar=edit)
    assert found.bioengineered == "Contains a bioengineered food ingredient"
    small = starter(tmp_path / "small", "business: {total sales: 2499999 per year}", sugar=edit)
    assert small.bioengineered == ""
    assert any("very small maker" in note.what for note in small.notes)


def test_what_an_inspector_asks(quillfeather: Shop) -> None:
    asked = " ".join(note.what for note in quillfeather["coffee"].label().inspection)
    for words in (
        "licence",
        "who pasteurised",
        "lot code",
        "dark chocolate",
        "change-over",
        "temperatures",
        "473.2 mL",
    ):
        assert words in asked
    assert "who pasteurised" not in " ".join(note.what for note in quillfeather["plum"].label().inspection)


def test_many_neighbours_are_counted() -> None:
    others = [Neighbour("freezer", f"flavour {i}", frozenset({"egg"})) for i in range(300)]
    (note,) = shared_equipment.notes(["milk"], others)
    assert "egg, in flavour 0, flavour 1, flavour 2 and 297 more" in note.what
    assert len(note.what) < 400
