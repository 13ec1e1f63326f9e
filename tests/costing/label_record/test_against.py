"""``creamery label --against``: what must be printed anew, what only moved, and the right reason for each."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from costing import label_commands
from costing.asking import Wanted
from costing.demo import copy_example
from costing.findings import ShopError
from costing.label_record import keep, kept, reasons
from nutrition.foods.library import resolve
from tests.costing.command_line import CommandLine

KEY = "oolong"


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The example shop, and labels that were written of it."""
    folder = tmp_path_factory.mktemp("against")
    shop, out = folder / "shop", folder / "labels"
    copy_example(shop)
    code = label_commands.label(
        shop, ("oolong", "plum"), None, as_json=True, out=out, replace=False, whole=False, wanted=Wanted(ranges=False)
    )
    assert code == 0
    return shop, out


@pytest.fixture
def places(printed: tuple[Path, Path], tmp_path: Path) -> tuple[Path, Path]:
    """Copies of both that a test may spoil."""
    shop, out = tmp_path / "shop", tmp_path / "labels"
    shutil.copytree(printed[0], shop)
    shutil.copytree(printed[1], out)
    return shop, out


def against(creamery: CommandLine, shop: Path, place: Path, *words: object) -> Any:
    said = creamery("label", shop, KEY, "--against", place, "--no-ranges", "--json", *words)
    assert said.code == 0, said.out
    (result,) = said.json["results"]
    return result["against"] | {"findings": said.json["findings"]}


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, old
    path.write_text(text.replace(old, new), encoding="utf-8")


def levels(found: Any) -> list[str]:
    return [one["level"] for one in found["findings"] if one["where"].endswith(f"{KEY}.json")]


# The record --------------------------------------------------------------------------------------------------------


def test_a_record_is_whole(places: tuple[Path, Path]) -> None:
    document = json.loads((places[1] / f"{KEY}.json").read_text())
    record, (label,) = document["record"], document["results"]
    assert (document["schema"], record["version"], record["as_of"]) == (1, 1, "2026-03-02")
    assert set(record["evidence"]["nutrients"]) == {line["key"] for line in label["nutrients"]}
    assert set(record["recipes"]) == {"oolong", "house-base"}
    step = record["recipes"]["oolong"]["parts"][1]["steps"][0]
    assert (step["verb"], step["said"]["honey"], step["where"]) == ("add", "240 g", "recipes/oolong.yaml:9")
    milk = record["foods"][record["ingredients"]["whole milk"]["food"]]
    assert milk["per_100g"]["calcium"] == [113.0, 113.0, 113.0]
    assert record["rules"]["law/us/rounding.csv"] == keep.rules(None)["law/us/rounding.csv"]
    # Prices play no part.
    assert "price" not in json.dumps(record).casefold().replace("priced", "")


def test_a_fingerprint_is_of_values_and_source() -> None:
    one, other = keep.food(resolve("usda:01077", {})), keep.food(resolve("usda:01079", {}))
    assert one["sha256"] != other["sha256"]
    assert one["sha256"] == keep.food(resolve("usda:01077", {}))["sha256"]


# Nothing, and each kind of reason -----------------------------------------------------------------------------------


def test_the_same_shop_needs_no_new_label(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    found = against(creamery, *places)
    assert (found["reprint"], found["printed"], found["moved"], found["causes"]) == (False, [], [], [])
    assert levels(found) == ["note"]
    said = creamery("label", places[0], KEY, "--against", places[1] / f"{KEY}.json", "--no-ranges")
    assert "Nothing has changed." in said.out


def test_prices_are_no_reason(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    for path in (places[0] / "prices").glob("*.csv"):
        path.write_text(path.read_text().replace(",2025-", ",2024-"))
    assert against(creamery, *places)["printed"] == []


def test_an_amount_in_a_recipe(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    change(places[0] / "recipes" / "oolong.yaml", "honey: 240 g", "honey: 480 g")
    found = against(creamery, *places)
    assert found["reprint"] is True
    assert levels(found) == ["warning"]
    (cause,) = found["causes"]
    assert (cause["kind"], cause["was"], cause["now"]) == ("recipe", "240 g", "480 g")
    assert (cause["ingredient"], cause["where"]) == ("honey", "recipes/oolong.yaml:9")
    sugars = next(c for c in found["printed"] if c["key"] == "total_sugars" and c["column"] == "container")
    first = sugars["why"][0]
    assert first["kind"] == "recipe"
    assert "honey: 240 g → 480 g" in first["what"]
    assert first["amount"] > 0
    # What moves a line adds up to how far it moved.
    moved = sugars["amount_now"] - sugars["amount_was"]
    assert sum(one["amount"] for one in sugars["why"]) == pytest.approx(moved, rel=0.05)
    fat = next(c for c in (*found["printed"], *found["moved"]) if c["key"] == "total_fat")
    assert fat["why"][0]["amount"] < 0
    assert "another share of the container" in fat["why"][0]["what"]


def test_an_amount_in_a_house_base(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    base = places[0] / "recipes" / "house-base.yaml"
    text = base.read_text()
    start = text.index("sugar: ")
    old = text[start : text.index(",", start)]
    change(base, old, "sugar: 3 kg")
    found = against(creamery, *places)
    assert any(c["where"].startswith("recipes/house-base.yaml") for c in found["causes"])
    assert found["printed"][0]["why"]


def test_a_step_of_the_kitchen(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    change(places[0] / "recipes" / "oolong.yaml", "overrun: 27 %", "overrun: 45 %")
    found = against(creamery, *places)
    serving = next(c for c in found["printed"] if c["key"] == "serving size")
    assert [(one["kind"], one["what"]) for one in serving["why"]] == [
        ("recipe", "frozen, step 2 (churn), overrun: 27 % → 45 %")
    ]
    # More air: less of everything in a container, in the same proportions.
    fat = next(c for c in found["printed"] if c["key"] == "total_fat" and c["column"] == "container")
    assert fat["amount_now"] < fat["amount_was"]
    assert {one["kind"] for one in fat["why"]} == {"recipe"}


def test_a_value_of_a_spec_sheet(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    change(places[0] / "specs" / "whole-milk.yaml", "calcium: 113 mg", "calcium: 150 mg")
    found = against(creamery, *places)
    (cause,) = found["causes"]
    assert (cause["kind"], cause["ingredient"]) == ("food record", "whole milk")
    assert cause["what"] == "spec:whole-milk (whole milk), calcium in 100 g"
    assert (cause["was"], cause["now"]) == ("113 mg", "150 mg")
    places_changed = {(c["key"], c["column"]) for c in (*found["printed"], *found["moved"])}
    assert places_changed == {("calcium", "serving"), ("calcium", "container")}
    for one in found["printed"]:
        (why,) = one["why"]
        assert why["kind"] == "food record"
        assert why["amount"] == pytest.approx(one["amount_now"] - one["amount_was"])


def test_what_moved_a_line_falls_into_its_reasons_without_a_rest(
    creamery: CommandLine, places: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reasons, "ENOUGH", 0.0)
    change(places[0] / "recipes" / "oolong.yaml", "honey: 240 g", "honey: 300 g")
    change(places[0] / "recipes" / "oolong.yaml", "overrun: 27 %", "overrun: 30 %")
    change(places[0] / "recipes" / "house-base.yaml", "loses: 1.5 % to 2.5 %", "loses: 4 %")
    change(places[0] / "specs" / "whole-milk.yaml", "protein: 3.15 g", "protein: 3.45 g")
    change(places[0] / "specs" / "heavy-cream.yaml", "sodium: 27 mg", "sodium: 40 mg")
    entries = places[0] / "ingredients.yaml"
    entries.write_text(entries.read_text().replace("food: usda:19296", "food: usda:19335", 1))
    found = against(creamery, *places)
    lines = [one for one in (*found["printed"], *found["moved"]) if one["column"]]
    assert len(lines) >= 20
    for one in lines:
        moved = one["amount_now"] - one["amount_was"]
        assert sum(why["amount"] for why in one["why"]) == pytest.approx(moved, rel=1e-9, abs=1e-9), one["key"]
    kinds = {why["kind"] for one in lines for why in one["why"]}
    assert kinds == {"recipe", "food record"}


def test_a_measure_of_an_ingredient(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    change(places[0] / "specs" / "whole-milk.yaml", "measures: {1 cup: 244 g}", "measures: {1 cup: 300 g}")
    found = against(creamery, *places)
    assert [(c["kind"], c["what"], c["was"], c["now"]) for c in found["causes"]] == [
        ("food record", "whole milk, 1 cup", "244 g", "300 g")
    ]


def test_another_food_record(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    entries = places[0] / "ingredients.yaml"
    entries.write_text(entries.read_text().replace("food: usda:19296", "food: usda:19335", 1))
    found = against(creamery, *places)
    cause = found["causes"][0]
    assert (cause["kind"], cause["was"], cause["now"]) == ("food record", "usda:19296", "usda:19335")
    assert any(why["kind"] == "food record" for c in found["printed"] for why in c["why"])


def test_an_allergen_and_a_name(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    entries = places[0] / "ingredients.yaml"
    text = entries.read_text()
    start = text.index("food: usda:19296")
    label = text.index("label: ", start)
    end = text.index("\n", label)
    entries.write_text(f"{text[:label]}label: clover honey\n  allergens: [sesame]{text[end:]}")
    found = against(creamery, *places)
    assert [c["key"] for c in found["printed"]] == ["contains", "ingredients"]
    contains, names = found["printed"]
    assert "Sesame" in contains["now"]
    assert [(w["kind"], w["what"]) for w in contains["why"]] == [("ingredient", "honey, allergens: not there → sesame")]
    assert ("ingredient", "honey, label: honey → clover honey") in [(w["kind"], w["what"]) for w in names["why"]]


def test_another_day(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    found = against(creamery, *places, "--as-of", "2028-03-01")
    kinds = [one["kind"] for one in found["causes"]]
    assert kinds[-1] == "day"
    assert any("Red No. 3" in one["what"] for one in found["causes"] if one["kind"] == "rule")
    assert (found["causes"][-1]["was"], found["causes"][-1]["now"]) == ("2026-03-02", "2028-03-01")
    # None of the rules in between changes what an amount prints.
    assert [c["key"] for c in found["printed"]] == []


def test_a_rule_that_says_something_else(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    # As if the earlier label had been rounded by another table: the same amount, another text.
    path = places[1] / f"{KEY}.json"
    document = json.loads(path.read_text())
    line = next(one for one in document["results"][0]["nutrients"] if one["key"] == "sodium")
    line["declared"]["serving"] = "69mg"
    document["record"]["rules"]["law/us/rounding.csv"] = "0" * 16
    path.write_text(json.dumps(document))
    found = against(creamery, *places)
    (one,) = found["printed"]
    assert (one["key"], one["was"]) == ("sodium", "69mg (3%)")
    assert [(why["kind"], why["where"]) for why in one["why"]] == [("rule", "law/us/rounding.csv")]


def test_a_choice_and_another_size(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    found = against(creamery, *places, "--batches", "2")
    assert ("size or trials", "1", "2") in [(c["kind"], c["was"], c["now"]) for c in found["causes"]]


def test_words_for_people(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    change(places[0] / "recipes" / "oolong.yaml", "honey: 240 g", "honey: 480 g")
    said = creamery("label", places[0], "oolong", "plum", "quince", "--against", places[1], "--no-ranges")
    assert said.code == 0
    assert "PRINT ANEW:" in said.out
    assert "(1) recipe: infused base, step 1 (add), honey: 240 g → 480 g [recipes/oolong.yaml:9]" in said.out
    assert "only moved underneath" in said.out
    # Of the other flavours there is nothing earlier, which is no error.
    assert "there is no earlier label of quince to compare with" in said.err
    assert "plum: nothing has changed" in said.err
    # New labels may be written in the same breath, into another folder.
    out = places[1].parent / "anew"
    assert (
        creamery("label", places[0], KEY, "--against", places[1], "--out", out, "--panel-only", "--no-ranges").code == 0
    )
    assert (out / f"{KEY}.json").is_file()


# Bad input ---------------------------------------------------------------------------------------------------------


def spoiled(places: tuple[Path, Path], content: str | bytes) -> list[str]:
    """What is said of a file with that content."""
    path = places[1] / f"{KEY}.json"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    with pytest.raises(ShopError) as refused:
        kept.read(path, (KEY,))
    assert all(one.level == "error" and one.where == str(path) and one.mend for one in refused.value.findings)
    return [one.what for one in refused.value.findings]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "damaged"),
        (b"\xff\xfe{}", "damaged"),
        ('{"schema": 1, "results": [', "damaged"),
        ('{"schema": 1, "results": [{"a": NaN}]}', "no number of JSON"),
        ("[" * 100_000, "nested too deeply"),
        ("[1, 2]", "no label that creamery kept"),
        ('{"hello": "world"}', "no label that creamery kept"),
        ('{"schema": 99, "results": []}', "its schema is 99"),
        ('{"schema": 1, "results": [], "record": {"version": 999}}', "up to 1"),
        ('{"schema": 1, "results": [], "record": {"version": true}}', "no version"),
        ('{"schema": 1, "results": [], "record": 7}', "no version"),
        ('{"schema": 1, "results": [{"recipe": "oolong"}]}', "damaged at title"),
        ('{"schema": 1, "results": [3], "record": {"version": 1}}', "damaged"),
    ],
)
def test_a_file_that_is_no_label(tmp_path: Path, content: str | bytes, words: str) -> None:
    said = spoiled((tmp_path, tmp_path), content)
    assert any(words in one for one in said), said


def test_a_damaged_file_stops_the_command(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    (places[1] / f"{KEY}.json").write_text("{")
    said = creamery("label", places[0], KEY, "--against", places[1], "--no-ranges", "--json")
    assert (said.code, said.json["results"]) == (1, [])
    assert "the file is damaged" in said.json["findings"][-1]["what"]


def test_a_value_that_cannot_be(places: tuple[Path, Path]) -> None:
    document = json.loads((places[1] / f"{KEY}.json").read_text())
    document["record"]["foods"]["spec:whole-milk"]["per_100g"]["calcium"] = [1, "many", 3]
    assert any("foods.spec:whole-milk.per_100g.calcium" in one for one in spoiled(places, json.dumps(document)))


def test_a_file_too_large(tmp_path: Path) -> None:
    (said,) = spoiled((tmp_path, tmp_path), b" " * 16_000_001)
    assert "16,000,001 bytes" in said


def test_a_label_older_than_records(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    path = places[1] / f"{KEY}.json"
    document = json.loads(path.read_text())
    del document["record"]
    path.write_text(json.dumps(document))
    change(places[0] / "recipes" / "oolong.yaml", "honey: 240 g", "honey: 480 g")
    found = against(creamery, *places)
    assert found["earlier"] is None
    assert found["reprint"] is True
    assert all(one["why"] == [] for one in found["printed"])
    assert levels(found) == ["warning", "warning"]
    assert "kept before records were complete" in json.dumps(found["findings"])


def test_no_such_place(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    said = creamery("label", places[0], KEY, "--against", places[1] / "nowhere", "--no-ranges")
    assert said.code == 1
    assert "there is no such file or folder" in said.err


def test_an_address_and_what_runs_on_the_machine(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    change(places[0] / "shop.yaml", "12 Ropewalk", "14 Ropewalk")
    # A flavour with sesame on the same machine changes what may be said about shared equipment.
    change(places[0] / "recipes" / "prune.yaml", "title: ", "title: Sesame and ")
    entries = places[0] / "ingredients.yaml"
    text = entries.read_text()
    start = text.index("pitted prunes:")
    label = text.index("  label:", start)
    entries.write_text(f"{text[:label]}  allergens: [sesame]\n{text[label:]}")
    found = against(creamery, *places)
    shown = {one["key"]: one for one in found["printed"]}
    assert set(shown) == {"place of business", "shared equipment"}
    assert [(w["kind"], w["where"]) for w in shown["place of business"]["why"]] == [("shop", "shop.yaml")]
    assert "sesame" in shown["shared equipment"]["now"]
    assert [w["kind"] for w in shown["shared equipment"]["why"]] == ["shop"]


def test_a_title_and_a_bar_code_are_printed_too(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    recipe = places[0] / "recipes" / "oolong.yaml"
    change(recipe, "title: Toasted oolong & honey", "title: Oolong & honey\ngtin: 614141000074")
    found = against(creamery, *places)
    assert levels(found) == ["warning"]
    shown = {one["key"]: one for one in found["printed"]}
    assert {key: (one["was"], one["now"]) for key, one in shown.items()} == {
        "title": ("Toasted oolong & honey", "Oolong & honey"),
        "bar code": ("", "614141000074"),
    }
    assert [why["kind"] for why in shown["title"]["why"]] == ["recipe"]


def test_a_choice_is_the_reason_only_of_what_it_decides(creamery: CommandLine, places: tuple[Path, Path]) -> None:
    found = against(creamery, *places, "--choose", "calories=A", "--choose", "below 2 %=2 %")
    for one in found["printed"]:
        choices = {why["what"].split(":")[0] for why in one["why"]}
        assert {why["kind"] for why in one["why"]} == {"choice"}
        assert ("calories" in choices) == (one["key"] == "energy")
        # Specific factors are missing here: no amount is known now, and so none by which it moved.
        assert one["key"] != "energy" or [why["amount"] for why in one["why"]] == [None]
    assert {"energy", "iron"} <= {one["key"] for one in found["printed"]}
