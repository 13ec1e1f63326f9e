"""What a strained-out thing holds and gives where the recipe says neither: by its form, found by its names."""

from __future__ import annotations

import pytest

from costing.kitchen.pot import SOLUBLES
from costing.kitchen.straining import default
from costing.shop.models import CLASSES
from nutrition import resources
from tests.costing.kitchen.builders import brew


@pytest.mark.parametrize(
    ("kind", "names", "form"),
    [
        ("spice", ("mint", "mint", "Peppermint, fresh"), "herb"),
        ("spice", ("bay", "bay leaves", "Spices, bay leaf"), "dry leaf"),
        ("flavouring", ("vanilla bean", "vanilla"), "pod"),
        ("flavouring", ("Vanilla pods",), "pod"),
        ("spice", ("green cardamom", "cardamom", "Spices, cardamom"), "pod"),
        ("fruit", ("lemon peel", "lemon peel", "Lemon peel, raw"), "peel"),
        ("fruit", ("orange zest", "orange peel"), "peel"),
        ("grain", ("toasted oats", "oats", "Oats"), "grain"),
        ("other", ("cornflakes", "corn cereal"), "grain"),
        ("spice", ("dill seed", "dill", "Spices, dill seed"), "seed"),
        ("spice", ("black peppercorns", "black pepper"), "seed"),
        ("spice", ("pepper", "spice", "Spices, pepper, black"), "seed"),
        ("spice", ("cinnamon stick", "cinnamon"), "bark or root"),
        ("coffee or tea", ("coffee beans", "coffee"), "ground coffee"),
        ("coffee or tea", ("Smoked black tea", "tea"), "dry tea leaf"),
        ("chocolate", ("cocoa nibs", "cocoa nibs"), "bean"),
        ("nut", ("hazelnuts", "hazelnuts"), "nut"),
        ("fruit", ("fig leaves", "fig leaf"), "leaf"),
        ("grain", ("rye toast", "rye bread"), "crumb"),
        # no word tells: the class does
        ("fruit", ("quince", "quince", "Quinces, raw"), "fruit"),
        ("spice", ("house mix", "spices"), "spice"),
        ("coffee or tea", ("number four", "infusion"), "coffee or tea"),
        ("meat", ("bacon", "bacon"), "meat"),
        # a word counts only for the classes that it can mean
        ("fruit", ("Buddha's hand", "citron", "Ginger fruit, raw"), "fruit"),
        ("grain", ("rye", "rye", "Rye, with almond flavour"), "grain"),
    ],
)
def test_the_form_is_told_by_the_names_and_else_by_the_class(kind: str, names: tuple[str, ...], form: str) -> None:
    found = default(kind, names)
    assert found is not None
    assert found.form == form


def test_the_shops_own_name_tells_before_the_food_record() -> None:
    # The record of a mint syrup's mint may be of its seed; what the shop calls it counts.
    found = default("spice", ("mint", "mint", "Spices, mustard seed, ground"))
    assert found is not None
    assert found.form == "herb"


def test_what_flows_has_no_default() -> None:
    assert default("dairy", ("milk",)) is None
    assert default("sweetener", ("sugar",)) is None


def test_every_row_says_where_it_comes_from_and_can_be_so() -> None:
    rows = resources.table("kitchen", "straining.csv")
    assert {"grain", "leaf", "peel", "pod", "nut", "fruit", "bean", "ground coffee", "herb", "seed"} <= {
        row["form"] for row in rows
    }
    for row in rows:
        assert row["source"], row
        assert set(row["classes"].split("|")) - {""} <= set(CLASSES), row
        assert 0 <= float(row["holding_pct"]) <= 400, row
        assert 0 <= float(row["extracts_pct"]) <= 50, row
    solid = {row["class"] for row in resources.table("kitchen", "states.csv") if row["state"] == "solid"}
    assert solid <= {row["classes"] for row in rows if not row["words"]}, "every solid class has a row of its own"


def test_strain_takes_the_defaults_of_the_form() -> None:
    # Mint is an herb: it keeps 80 % of its weight as added in liquid and gives 25 % of its solubles.
    # SR28 02064, peppermint: solubles are 1.76 g ash and 1.97 g of sugars in 100 g, see data/foods/solubility.csv.
    batch = brew({"base": [{"add": {"milk": "900 g", "mint": "100 g"}}, {"strain": {"out": ["mint"]}}]})
    strained = batch.parts[0].steps[1]
    given = 0.25 * 100 * 0.037305
    assert strained.discarded_g[0] == pytest.approx(100 - given + 80, rel=1e-4)
    piece = next(i for i, tag in enumerate(batch.pot.tags) if "given" in tag.marks)
    held = 80 / (900 + given)
    assert batch.pot.mass[piece, 0, SOLUBLES] == pytest.approx(given * (1 - held), rel=1e-3)
    (note,) = [one for one in batch.findings if "goes along" in one.what or "go along" in one.what]
    assert "80 g is common for herb" in note.what
    assert "weigh" in note.mend


def test_what_the_recipe_says_goes_before_the_defaults() -> None:
    said = {"out": ["mint"], "holding": "120 %", "extracts": "0 %"}
    batch = brew({"base": [{"add": {"milk": "900 g", "mint": "100 g"}}, {"strain": said}]})
    assert batch.parts[0].steps[1].discarded_g[0] == pytest.approx(100 + 120)
    assert not batch.findings


def test_two_things_strained_out_together_hold_each_their_own() -> None:
    # 100 g of mint hold 80 g; 200 g of pistachios hold 30 %, 60 g.
    batch = brew(
        {
            "base": [
                {"add": {"milk": "2 kg", "mint": "100 g", "pistachio": "200 g"}},
                {"strain": {"out": ["mint", "pistachio"], "extracts": "0 %"}},
            ]
        }
    )
    assert batch.parts[0].steps[1].discarded_g[0] == pytest.approx(300 + 140)
    assert any("140 g is common for herb and nut" in one.what for one in batch.findings)
