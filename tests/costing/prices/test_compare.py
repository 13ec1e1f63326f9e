"""Suppliers side by side: usable weight, yield in use, freight and minimum orders, worked out by hand."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from costing.desk import Shop
from costing.prices import compare, in_use
from costing.shop.suppliers import Supplier
from nutrition.resources import tree
from tests.costing.command_line import CommandLine
from tests.costing.prices.price_shops import DAY, row, shop

EXAMPLE = Path(str(tree("examples") / "quillfeather"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(EXAMPLE, tmp_path / "shop")
    return tmp_path / "shop"


def said(*entries: str) -> dict[str, Supplier]:
    made = {}
    for entry in entries:
        name, freight = entry.split(": ")
        given = {"name": name, "where": "s:1", "freight": freight, "usual order": "200"}
        made[name] = Supplier.model_validate(given)
    return made


def test_usable_weight_freight_and_use(folder: Path) -> None:
    """Quince by hand: 53.00 for 20 lb, trimmed to 61 % in the pot; freight (4 % of 400 + 12) / 400."""
    model = Shop.open(folder).model
    quince, plums = compare.things(model, model.as_of or DAY, ["quince", "red plums"])
    (offer,) = quince["offers"]
    kilogram = 53.00 / (20 * 0.45359237)
    assert quince["rule"] == "cheapest"
    assert quince["in_use"] == pytest.approx(0.61)
    assert offer["per_kg"] == pytest.approx(kilogram)
    assert offer["freight_share"] == pytest.approx(0.07)
    assert offer["per_kg_in_use"] == pytest.approx(kilogram / 0.61)
    assert offer["landed_per_kg_in_use"] == pytest.approx(kilogram * 1.07 / 0.61)
    # Plums lose their stones, and their pomace where they are pressed.
    (use,) = plums["uses"]
    assert use["verbs"] == ["trim", "press"]
    assert offer["landed_per_usable_kg"] == pytest.approx(offer["per_usable_kg"] * 1.07)


def test_a_usable_share_counts_before_what_a_recipe_does() -> None:
    """Peaches: a quarter (24 %) is refuse, so 2.00 a kg bought is 2.6316 a kg used."""
    model = shop(row("peaches", "1 kg", 2.00), uses=("peaches",))
    (peaches,) = compare.things(model, DAY, ["peaches"])
    assert peaches["offers"][0]["per_usable_kg"] == pytest.approx(2.00 / 0.76)
    assert peaches["in_use"] is None


def test_uses_are_averaged_by_what_is_bought() -> None:
    uses = (in_use.Use("a", "p", ("render",), 0.42, 900.0), in_use.Use("b", "p", (), 1.0, 100.0))
    assert in_use.share(uses) == pytest.approx(0.478)
    assert in_use.share(uses[1:]) is None
    assert in_use.share((uses[0], in_use.Use("c", "p", (), 1.0, None))) == pytest.approx(0.71)


def test_the_skin_is_rendered(folder: Path) -> None:
    shop_model = Shop.open(folder).model
    found = in_use.uses(shop_model, {})
    assert [(one.recipe, one.verbs, round(one.share, 9)) for one in found["duck skin"]] == [
        ("quince", ("render",), 0.42)
    ]


def test_with_freight_another_may_be_cheaper() -> None:
    rows = (row("sugar", "1 kg", 2.00, supplier="Far"), row("sugar", "1 kg", 2.10, supplier="Near"))
    model = shop(*rows, suppliers=said("Far: 20 per order", "Near: none"))
    found = compare.things(model, DAY, ["sugar"])
    assert [one["supplier"] for one in found[0]["offers"]] == ["Far", "Near"]
    (told,) = compare.findings(found, model)
    assert "with freight, sugar is cheaper from Near: $2.10 against $2.20" in told.what


def test_unknown_freight_is_said_and_never_none() -> None:
    known = said("Far: 20 per order") | {
        "Near": Supplier.model_validate({"name": "Near", "where": "", "freight": "9 per order", "minimum order": "90"})
    }
    rows = (row("sugar", "1 kg", 2.00, supplier="Who"), row("sugar", "1 kg", 2.10, supplier="Near"))
    model = shop(*rows, suppliers=known)
    found = compare.things(model, DAY, ["sugar"])
    who, near = found[0]["offers"]
    assert (who["freight_share"], who["landed_per_usable_kg"], who["freight_at_most"]) == (None, None, None)
    assert (near["freight_share"], near["freight_at_most"]) == (None, pytest.approx(0.1))
    (told,) = compare.findings(found, model)
    assert "is not known of Who, Near" in told.what
    text = "\n".join(compare.text(found, (), model))
    assert "at most 10.0%" in text
    assert "not known" in text


def test_who_has_not_stated_freight_is_compared_and_not_taken() -> None:
    rows = (row("sugar", "1 kg", 2.00, supplier="Who"), row("sugar", "1 kg", 2.10, supplier="Near"))
    model = shop(*rows, suppliers=said("Near: 10 per order"), count_freight=True)
    (found,) = compare.things(model, DAY, ["sugar"])
    near, who = found["offers"]
    assert (near["supplier"], near["used"], near["per_kg"]) == ("Near", True, pytest.approx(2.10))
    assert near["landed_per_usable_kg"] == pytest.approx(2.205)
    assert (who["used"], who["per_kg"], who["landed_per_usable_kg"]) == (False, 2.0, None)
    told = compare.findings([found], model)
    assert "is not known of Who" in " ".join(one.what for one in told)


def test_what_suppliers_ask(folder: Path) -> None:
    desk = Shop.open(folder)
    answers = desk.answers(tuple(desk.model.recipes))
    found = {one["name"]: one for one in compare.suppliers(desk.model, answers)}
    wrenlock = found["Wrenlock Kitchen Supply"]
    assert wrenlock["freight_share"] == pytest.approx(18 / 240)
    assert wrenlock["freight_per_month"] == pytest.approx(18 * 365.25 / 12 / 14)
    spent = sum(
        line.cost
        for answer in answers
        for line in (answer.cost.lines if answer.cost else ())
        if line.supplier == "Wrenlock Kitchen Supply"
    )
    assert wrenlock["round"] == pytest.approx(spent)
    assert wrenlock["rounds_to_minimum"] == pytest.approx(150 / spent)


def test_the_command(folder: Path, creamery: CommandLine) -> None:
    told = creamery("prices", "compare", folder)
    assert told.code == 0
    for words in ("duck skin", "42.0% in quince (render)", "4.0% + $12.00 an order", "Costs leave freight out"):
        assert words in told.out
    found = creamery("prices", "compare", folder, "sugar", "--json").json
    assert [one["name"] for one in found["results"]] == ["sugar"]
    assert [offer["used"] for offer in found["results"][0]["offers"]] == [True, False]
    for words in (
        ("compare", folder, "suger"),
        ("history", folder, "suger"),
        ("compare", folder / "no"),
        ("history", folder / "no"),
    ):
        wrong = creamery("prices", *words)
        assert wrong.code == 1
        assert "our fault" not in wrong.err
        assert "to mend:" in wrong.err
    assert creamery("prices", "compare", folder / "no", "--json").json["findings"][0]["level"] == "error"


def test_counting_it_changes_costs_by_as_much(folder: Path, creamery: CommandLine) -> None:
    plain: Any = creamery("cost", folder, "quince", "--json").json["results"][0]
    file = folder / "shop.yaml"
    file.write_text(file.read_text(encoding="utf-8") + "count freight: yes\n", encoding="utf-8")
    told = creamery("cost", folder, "quince")
    assert "Of this, freight: " in told.out
    counted: Any = creamery("cost", folder, "quince", "--json").json["results"][0]
    assert plain["freight"] is None
    shares = {"Barrow & Finch Provisioners": 0.07, "Wrenlock Kitchen Supply": 0.075, "Saltmarsh Hollow Dairy": 0.0}
    freight = sum(line["cost"] * shares[line["supplier"]] for line in plain["lines"] if line["supplier"])
    assert counted["freight"]["batch"] == pytest.approx(freight)
    kinds = ("ingredients", "packaging")
    more = sum(counted["cost"][kind] - plain["cost"][kind] for kind in kinds)
    assert more == pytest.approx(freight)
    each = sum(counted["per_container"][kind] - plain["per_container"][kind] for kind in kinds)
    assert counted["freight"]["per_container"] == pytest.approx(each)
