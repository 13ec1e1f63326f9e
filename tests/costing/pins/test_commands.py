"""Fetching, pinning and refreshing as commands, over real HTTP against a stand-in on this computer."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from costing.desk import Shop
from nutrition.foods.fdc import kept
from tests.costing.command_line import CommandLine
from tests.costing.pins.conftest import SUGAR, edit, from_the_web
from tests.service import Service

CREAM = "pins/usda-01053.yaml"


def printed(shop: Path) -> str:
    return repr(Shop.open(shop)["vanilla"].label())


def test_fetch_says_what_came(creamery: CommandLine, service: Service) -> None:
    said = creamery("foods", "fetch", SUGAR, "fdc:534358")
    assert said.code == 0
    assert "HAZELNUT PRALINE" in said.out
    assert said.out.count("fetched now") == 2
    assert service.asked == [[SUGAR, 534358]]
    said = creamery("foods", "fetch", SUGAR, 9, "--json")
    assert said.code == 1
    one = said.json["results"][0]
    assert (one["id"], one["origin"], one["per_100g"]["total_sugars"]) == (f"fdc:{SUGAR}", "cache", 99.8)
    assert said.json["findings"][0]["where"] == "fdc:9"
    assert "no food with the number 9" in said.json["findings"][0]["what"]
    assert creamery("foods", "show", f"fdc:{SUGAR}", "--json").json["name"] == "Sugars, granulated"
    assert "creamery foods fetch 8" in creamery("foods", "show", "fdc:8").err
    assert service.asked == [[SUGAR, 534358], [9]]


def test_fetch_takes_numbers_of_the_service_only(creamery: CommandLine, service: Service) -> None:
    said = creamery("foods", "fetch", "usda:01053")
    assert said.code == 1
    assert "is no record of FoodData Central" in said.err
    assert service.asked == []


def test_a_shop_asks_once_and_says_so(creamery: CommandLine, service: Service, shop: Path) -> None:
    from_the_web(shop)
    edit(shop / "ingredients.yaml", "food: usda:02047", "food: fdc:99")
    said = creamery("check", shop)
    assert said.code == 1
    assert "no food with the number 99" in said.err
    assert f"fdc:{SUGAR} was fetched from FoodData Central just now" in said.err
    assert service.asked == [[SUGAR, 99]]
    assert not (shop / "pins").exists()


def test_a_shop_off_line(creamery: CommandLine, service: Service, shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from_the_web(shop)
    monkeypatch.setenv("CREAMERY_OFFLINE", "")  # what the option sets is taken back afterwards
    said = creamery("--offline", "check", shop)
    assert said.code == 1
    assert f"ingredients.yaml:33: the record of fdc:{SUGAR} is not on this computer" in said.err
    assert f"creamery foods fetch {SUGAR}" in said.err
    assert service.asked == []
    monkeypatch.setenv("CREAMERY_OFFLINE", "")
    assert creamery("foods", "fetch", SUGAR).code == 0
    assert creamery("--offline", "check", shop).code == 0
    assert len(service.asked) == 1


def test_what_is_pinned_needs_nothing_else(
    creamery: CommandLine, service: Service, shop: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    from_the_web(shop)
    assert creamery("foods", "fetch", SUGAR, "--for", shop).code == 0
    assert (shop / f"pins/fdc-{SUGAR}.yaml").exists()
    before = printed(shop)
    monkeypatch.setenv("CREAMERY_HOME", str(tmp_path / "another"))
    monkeypatch.setenv("CREAMERY_OFFLINE", "1")
    assert printed(shop) == before
    assert len(service.asked) == 1


def test_pinning_changes_no_label(creamery: CommandLine, shop: Path) -> None:
    before = printed(shop)
    said = creamery("foods", "pin", shop, "--json")
    assert said.code == 0
    assert [one["id"] for one in said.json["results"]] == [
        "usda:01053", "usda:01077", "usda:01091", "usda:02047", "usda:02050", "usda:19335",
    ]  # fmt: skip
    assert printed(shop) == before
    stamps = {path: path.stat().st_mtime_ns for path in shop.rglob("*.yaml")}
    said = creamery("foods", "pin", shop)
    assert "all 6 records of the shop are pinned already" in said.out
    assert stamps == {path: path.stat().st_mtime_ns for path in shop.rglob("*.yaml")}


def test_what_a_sheet_is_like_is_pinned_too(creamery: CommandLine, shop: Path) -> None:
    edit(shop / "ingredients.yaml", "food: usda:01053", "food: spec:own")
    (shop / "specs/own.yaml").write_text("source: made up\nlike: usda:01053\nvalues: {trans fat: 1 g}\n")
    assert "usda:01053" in creamery("foods", "pin", shop).out


def test_a_file_that_pins_something_else_stays(creamery: CommandLine, shop: Path) -> None:
    creamery("foods", "pin", shop)
    (shop / "pins/usda-19335.yaml").unlink()
    text = (shop / CREAM).read_text().replace("usda:01053", "usda:01049")
    (shop / "pins/usda-19335.yaml").write_text(text)
    said = creamery("foods", "pin", shop)
    assert said.code == 1
    assert "pins something else than usda:19335" in said.err
    assert (shop / "pins/usda-19335.yaml").read_text() == text


def test_refresh_shows_before_it_changes(creamery: CommandLine, shop: Path) -> None:
    creamery("foods", "pin", shop)
    assert "the sources have nothing new" in creamery("label", shop, "--refresh").out
    edit(shop / CREAM, "total fat: 36.08 g", "total fat: 30 g")
    text, before = (shop / CREAM).read_text(), printed(shop)
    said = creamery("label", shop, "--refresh")
    assert said.code == 0
    assert "total fat  30 g  36.08 g" in said.out
    assert "Total Fat, serving             16g, 21%        19g, 24%" in said.out
    assert "nothing was changed" in said.out
    assert ((shop / CREAM).read_text(), printed(shop)) == (text, before)
    found = creamery("label", shop, "--refresh", "--json").json["results"][0]
    assert found["records"][0]["differences"] == [{"what": "total fat", "before": "30 g", "after": "36.08 g"}]
    assert {"what": "Total Fat, serving", "before": "16g, 21%", "after": "19g, 24%"} in found["labels"][0]["changes"]
    assert found["taken"] == []
    assert (shop / CREAM).read_text() == text
    said = creamery("label", shop, "--refresh", "--yes")
    assert "wrote pins/usda-01053.yaml" in said.out
    assert "total fat: 36.08 g" in (shop / CREAM).read_text()
    assert "nothing new" in creamery("label", shop, "--refresh").out


def test_refresh_asks_the_service_anew(creamery: CommandLine, service: Service, shop: Path) -> None:
    from_the_web(shop)
    creamery("foods", "fetch", SUGAR, "--for", shop)
    creamery("foods", "pin", shop)
    for line in service.foods[SUGAR]["foodNutrients"]:
        if line["nutrient"]["id"] == 1093:
            line["amount"] = 400.0
    said = creamery("label", shop, "--refresh", "--yes")
    assert "sodium    1 mg  400 mg" in said.out
    assert "Sodium, serving" in said.out
    assert "sodium: 400 mg" in (shop / f"pins/fdc-{SUGAR}.yaml").read_text()
    service.plan = ["403"]
    said = creamery("label", shop, "--refresh")
    assert said.code == 0
    assert "the record that is used stays" in said.err


@pytest.mark.parametrize("words", [("--refresh", "vanilla"), ("--refresh", "--out", "x"), ("--yes",)])
def test_refresh_is_about_the_whole_shop(creamery: CommandLine, shop: Path, words: tuple[str, ...]) -> None:
    assert creamery("label", shop, *words).code == 2


def test_a_broken_shop_is_not_pinned(creamery: CommandLine, shop: Path) -> None:
    edit(shop / "ingredients.yaml", "food: usda:02047", "food: usda:99999")
    assert creamery("foods", "pin", shop).code == 1
    assert not (shop / "pins").exists()


def test_refresh_of_a_workbook(creamery: CommandLine, service: Service, shop: Path) -> None:
    from_the_web(shop)
    creamery("foods", "fetch", SUGAR, "--for", shop)
    book = shop.parent / "shop.xlsx"
    assert creamery("convert", shop, book).code == 0
    for line in service.foods[SUGAR]["foodNutrients"]:
        if line["nutrient"]["id"] == 1093:
            line["amount"] = 400.0
    before = book.read_bytes()
    assert "sodium    1 mg  400 mg" in creamery("label", book, "--refresh").out
    assert book.read_bytes() == before
    assert "wrote" in creamery("label", book, "--refresh", "--yes").out
    found = Shop.open(book).model.pins[f"fdc:{SUGAR}"].record
    assert found.composition.amount("sodium") == 400


def test_an_old_record_is_used_with_a_warning(
    creamery: CommandLine, service: Service, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from_the_web(shop)
    monkeypatch.setattr(kept, "DAYS", timedelta(days=-1))
    creamery("foods", "fetch", SUGAR)
    service.plan = ["500"]
    said = creamery("check", shop)
    assert said.code == 0
    assert f"warning: ingredients.yaml:33: the record of fdc:{SUGAR} is an old one" in said.err


def test_fetching_for_a_shop_writes_over_nothing(creamery: CommandLine, service: Service, shop: Path) -> None:
    """A shop that waits for its record has errors; what it pins already stays all the same."""
    from_the_web(shop)
    creamery("foods", "fetch", SUGAR, "--for", shop)
    file = shop / f"pins/fdc-{SUGAR}.yaml"
    edit(file, "sodium: 1 mg", "sodium: 7 mg")
    edit(shop / "ingredients.yaml", "food: usda:02047", "food: fdc:534358")
    edit(shop / "recipes/vanilla.yaml", "add:", "ad:")
    assert creamery("foods", "fetch", SUGAR, 534358, "--for", shop).code == 0
    assert "sodium: 7 mg" in file.read_text()
    assert (shop / "pins/fdc-534358.yaml").exists()
    edit(file, "sodium: 7 mg", "sodium: 7 cups")
    said = creamery("foods", "fetch", SUGAR, "--for", shop)
    assert said.code == 1
    assert "sodium: 7 cups" in file.read_text()


def test_a_pin_that_nobody_uses(creamery: CommandLine, shop: Path) -> None:
    creamery("foods", "pin", shop)
    edit(shop / CREAM, "id: usda:01053", "id: usda:01049")
    said = creamery("check", shop)
    assert f"note: {CREAM}:2: no ingredient uses the pin of usda:01049" in said.err


def test_a_packaged_food_brings_its_parts_to_the_label(creamery: CommandLine, service: Service, shop: Path) -> None:
    """Its parts stand in the statement, an allergen among them is asked for, and what nobody knows of it is told."""
    edit(shop / "ingredients.yaml", "food: usda:02047", "food: fdc:534358")
    said = creamery("label", shop, "--json")
    assert "(hazelnuts, sugar, chocolate (sugar, cocoa butter), salt)" in said.json["results"][0]["ingredients"]
    assert [one for one in said.json["findings"] if "tree nut" in one["what"] and "does not declare" in one["what"]]
    iron = next(one for one in said.json["results"][0]["nutrients"] if one["key"] == "iron")
    assert 0 < iron["weight"]["unknown"] < 0.01
