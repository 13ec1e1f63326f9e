"""``creamery label --why`` and ``--final``: whole commands, and figures worked by hand beside them."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from costing import Shop
from costing.evidence import asked
from costing.evidence.gather import gather
from nutrition.resources import tree
from tests.costing.command_line import CommandLine
from tests.test_by_hand import CHURNED, FROZEN, MIX, in_the_frozen

EXAMPLE = tree("examples") / "quillfeather"


def one(creamery: CommandLine, *words: object) -> Any:
    said = creamery("label", EXAMPLE, *words, "--no-ranges", "--json")
    assert said.code == 0, said.err
    (result,) = said.json["results"]
    return result["evidence"]


def test_one_nutrient_through_one_recipe_by_hand(creamery: CommandLine) -> None:
    # Total fat of duck fat caramel & brandied quince; weights by hand as in tests/test_by_hand.py, foods from their
    # sheets: cream 36.08 g, milk 3.25 g, powder 0.77 g, gum 0.5 g, quince 0.1 g in 100 g, duck fat all fat.
    found = one(creamery, "quince", "--why", "total_fat")["nutrients"]["total_fat"]
    shares = {share["ingredient"]: share for share in found["shares"]}
    grams = in_the_frozen()
    by_hand = {
        "heavy cream": grams["cream"] * 0.3608,
        "whole milk": grams["milk"] * 0.0325,
        "skim milk powder": grams["powder"] * 0.0077,
        "guar gum": grams["gum"] * 0.005,
        "duck skin": grams["duck"],
        "quince": grams["quince"] * 0.001,
    }
    (pint,) = Shop.open(str(EXAMPLE))["quince"].answer().filled
    share = pint.fill_g / FROZEN * (pint.declared_ml / pint.fill_ml)
    for name, fat in by_hand.items():
        assert shares[name]["per_container"] == pytest.approx(fat * share, rel=1e-6), name
    assert found["per_container"] == pytest.approx(sum(by_hand.values()) * share, rel=1e-6)
    assert math.fsum(s["per_container"] for s in found["shares"]) == pytest.approx(found["per_container"], rel=1e-9)
    # Of the cream's fat, what stays in the machine: two runs of 90 g of the mix.
    (cream,) = (way for way in found["ways"] if way["ingredient"] == "heavy cream")
    stayed = {(away["part"], away["verb"]): away["amount"] for away in cream["away"]}
    put_in = cream["put_in"]["amount"]
    assert stayed["frozen", "churn"] == pytest.approx(put_in * (MIX - CHURNED) / MIX, rel=1e-6)
    # Of the duck skin 53.3 % is fat, and 42 % of its weight melts out; the rest is cracklings.
    (duck,) = (way for way in found["ways"] if way["ingredient"] == "duck skin")
    cracklings = next(away for away in duck["away"] if away["verb"] == "render")
    assert cracklings["how"] == "cracklings"
    assert cracklings["amount"] / duck["put_in"]["amount"] == pytest.approx((0.533 - 0.42) / 0.533, rel=1e-6)
    (serving, container) = (found["printed"][column] for column in ("serving", "container"))
    assert container["step"]["from"] <= found["per_container"] < container["step"]["below"]
    assert serving["step"]["up_to"] != serving["text"]


def test_every_line_of_every_flavour_adds_up(creamery: CommandLine) -> None:
    shop = Shop.open(str(EXAMPLE))
    for key in shop.model.recipes:
        answer = shop.answer(key)
        if answer.label is None:
            continue
        found = gather(shop, answer)
        for line in answer.label.nutrients:
            origin = found.lines[line.key].origin
            parts = [*(s.amount for s in origin.shares), *(c.amount for c in origin.corrections)]
            for end, whole in (("low", line.per_container_low), ("high", line.per_container_high)):
                assert math.fsum(getattr(part, end) for part in parts) == pytest.approx(whole, rel=1e-9, abs=1e-9)
            if line.per_container is not None:
                known = math.fsum(part.value or 0.0 for part in parts)
                assert known == pytest.approx(line.per_container, rel=1e-9, abs=1e-9), (key, line.key)
            for share in origin.shares:
                method = found.label.calorie_key
                if line.key != "added_sugars" or share.kind != "juice":
                    there = found.journeys[share.ingredient].there.of(line.key, method)[1]
                    assert there == pytest.approx(share.amount.value, rel=1e-9, abs=1e-9)


def test_what_was_steeped_and_taken_out_is_told(creamery: CommandLine) -> None:
    said = creamery("label", EXAMPLE, "plum", "--why", "ingredients", "--why", "contains", "--no-ranges")
    assert said.code == 0
    ginger = next(line for line in said.out.splitlines() if line.strip().startswith("ginger"))
    assert "steeped and taken out" in ginger
    assert "fresh ginger: usda:11216" in ginger
    found = one(creamery, "pistachio", "--why", "contains")
    assert {a["allergen"]: a["ingredients"] for a in found["contains"]}["tree nut: pistachio"] == ["pistachios"]


def test_everything_at_once(creamery: CommandLine) -> None:
    found = one(creamery, "plum", "--why", "all")
    assert set(found) == {
        *("nutrients", "ingredients", "contains", "name", "serving", "net_quantity", "added_sugars_record", "sure"),
    }
    label = Shop.open(str(EXAMPLE))["plum"].label()
    assert list(found["nutrients"]) == [line.key for line in label.nutrients]
    assert [name["name"] for name in found["ingredients"]] == [entry.name for entry in label.statement]
    assert found["serving"]["density_g_per_ml"] == pytest.approx(label.serving.grams / 160.0)
    record = found["added_sugars_record"]
    added = sum(one["added_g"] for one in record["ingredients"]) + record["concentrated"]["added_g"]
    assert added == pytest.approx(found["nutrients"]["added_sugars"]["per_container"])
    assert found["nutrients"]["sodium"]["sure"]["serving"]["could"][0]["now"] is True


def test_with_ranges_the_chances_are_told(creamery: CommandLine) -> None:
    said = creamery("label", EXAMPLE, "oolong", "--why", "total fat")
    assert said.code == 0
    assert "over 4,096 draws" in said.out
    assert "54g 5" in said.out
    assert "a laboratory may find at most 64.80 g (third group, 21 CFR 101.9(g)(5))" in said.out


@pytest.mark.parametrize(
    ("word", "key"),
    [("Total Fat", "total_fat"), ("calories", "energy"), ("NAME", "name"), ("net-quantity", "net_quantity")],
)
def test_a_figure_may_be_called_as_people_call_it(word: str, key: str) -> None:
    assert asked.meant(word, ["energy", "total_fat"]) == key


def test_what_the_label_does_not_have_is_a_wrong_question(creamery: CommandLine) -> None:
    said = creamery("label", EXAMPLE, "plum", "--why", "fibber", "--no-ranges")
    assert said.code == 2
    assert "did you mean 'fiber'?" in said.err
    assert creamery("label", EXAMPLE, "plum", "--why", "\x1b[2J" + "x" * 500, "--no-ranges").code == 2


@pytest.fixture
def unknown(quillfeather: Path) -> Path:
    """The example with USDA's cream, whose trans fat is an estimate that may print two ways."""
    entries = quillfeather / "ingredients.yaml"
    text = entries.read_text()
    assert "food: spec:heavy-cream" in text
    entries.write_text(text.replace("food: spec:heavy-cream", "food: usda:01053", 1))
    return quillfeather


def test_final_refuses_what_is_not_ready_and_writes_nothing(creamery: CommandLine, unknown: Path) -> None:
    out = unknown.parent / "panels"
    said = creamery("label", unknown, "oolong", "plum", "--out", out, "--panel-only", "--final", "--no-ranges")
    assert said.code == 1
    assert "error: recipes/oolong.yaml:1: not ready for print: Trans Fat is not settled" in said.err
    assert not out.exists()
    document = creamery(
        "label", unknown, "oolong", "--out", out, "--panel-only", "--final", "--no-ranges", "--json"
    ).json
    assert [f["level"] for f in document["findings"]].count("error") == 1
    # Without --final it is a proof, and says so.
    said = creamery("label", unknown, "oolong", "--out", out, "--panel-only", "--no-ranges")
    assert said.code == 0
    assert ">PROOF<" in (out / "oolong.svg").read_text()
    # What is ready is written as it is.
    assert creamery("label", unknown, "plum", "--out", out, "--panel-only", "--final", "--no-ranges").code == 0
    assert ">PROOF<" not in (out / "plum.svg").read_text()


def test_final_without_a_place_is_wrong_usage(creamery: CommandLine) -> None:
    said = creamery("label", EXAMPLE, "plum", "--final")
    assert said.code == 2
    assert "--out" in said.err


def test_an_estimate_shows_its_width_and_what_it_comes_from(creamery: CommandLine, unknown: Path) -> None:
    said = creamery("label", unknown, "oolong", "--why", "trans_fat", "--no-ranges")
    assert "estimated: heavy cream: 0.0404 g in a gram of milkfat" in said.out
    assert "estimated: sugar" not in said.out
    assert "possible too, by what is not known of the foods: 1g" in said.out
    (result,) = creamery("label", unknown, "oolong", "--why", "trans_fat", "--no-ranges", "--json").json["results"]
    could = result["evidence"]["nutrients"]["trans_fat"]["sure"]["serving"]["could"]
    assert [(c["text"], c["likely"], c["now"]) for c in could] == [("0.5g", 1.0, True), ("1g", 0.0, False)]


def test_the_label_itself_says_what_could_be_printed_otherwise(creamery: CommandLine) -> None:
    said = creamery("label", EXAMPLE, "oolong")
    assert "these could print otherwise; --why KEY says how likely each is:" in said.out
    assert "    Total Fat per serving: 18g, or 19g\n" in said.out
    assert "could print otherwise" not in creamery("label", EXAMPLE, "quince").out
    assert "could print otherwise" not in creamery("label", EXAMPLE, "oolong", "--no-ranges").out


def test_final_wants_a_place_of_business(creamery: CommandLine, quillfeather: Path) -> None:
    shop = quillfeather / "shop.yaml"
    text = shop.read_text()
    start = text.index("address:")
    shop.write_text(f"{text[:start]}address: [12 Ropewalk, Port Ellery]{text[text.index(chr(10), start) :]}")
    said = creamery(
        "label", quillfeather, "plum", "--out", quillfeather / "out", "--final", "--no-ranges", "--panel-only"
    )
    assert said.code == 1
    assert "not ready for print: the address has no state; the address has no ZIP code" in said.err
    assert not (quillfeather / "out").exists()
