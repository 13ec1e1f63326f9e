"""Where every nutrient went: what was put in is in the container, kept for later or lost, for any recipe."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from costing import Shop, finished
from costing.evidence import losses
from costing.evidence.losses import HEAT, Held, Journey
from costing.kitchen.bench import KitchenError
from costing.kitchen.brew import Brew
from costing.kitchen.draws import Draws
from costing.kitchen.materials import Pantry
from costing.kitchen.vitamins import vitamins
from nutrition.law.us import evidence, labelling
from nutrition.nutrients import index, keys
from nutrition.resources import tree
from tests.costing.kitchen.builders import brew, shop
from tests.costing.kitchen.test_balance import recipes

FLAVOURS = ("brown-butter", "coffee", "custard", "oolong", "pistachio", "plum", "prune", "quince")


@cache
def quillfeather() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


@cache
def pantry() -> Pantry:
    whole = shop()
    return Pantry(whole.ingredients, whole.foods)


def check(batch: Brew, materials: Pantry) -> dict[str, Journey]:
    product = finished.product(batch, materials)
    assert product is not None
    found = losses.journeys(batch, materials, product.net_g)
    nutrients = [i for i, key in enumerate(keys()) if key != "energy"]
    label = labelling.label(product)
    for line in label.nutrients:
        origin = evidence.origins(product, label)[line.key]
        parts = [*(share.amount for share in origin.shares), *(one.amount for one in origin.corrections)]
        whole = sum(parts, evidence.NOTHING)
        assert whole.low == pytest.approx(line.per_container_low, rel=1e-9, abs=1e-9)
        assert whole.high == pytest.approx(line.per_container_high, rel=1e-9, abs=1e-9)
        assert (whole.value is None) == (line.per_container is None)
        if line.per_container is not None:
            assert whole.value == pytest.approx(line.per_container, rel=1e-9, abs=1e-9)
        assert not origin.corrections or line.key in ("energy", "total_sugars", "added_sugars")
    there = np.zeros((3, len(keys())))
    for journey in found.values():
        parts = [journey.there, *journey.kept.values(), *(one.held for one in journey.away)]
        out = sum((part.amounts for part in parts), np.zeros((3, len(keys()))))[:, nutrients]
        into = journey.put_in.amounts[:, nutrients]
        assert np.allclose(into, out, rtol=1e-9, atol=1e-9, equal_nan=True), journey.ingredient
        assert sum(part.grams for part in parts) == pytest.approx(journey.put_in.grams, rel=1e-9, abs=1e-9)
        # Nothing comes out of nowhere.
        for one in journey.away:
            assert np.nanmin(one.held.amounts[[0, 2]]) >= -1e-9, (one.part, one.step, one.how)
        there += np.nan_to_num(journey.there.amounts)
    whole = product.composition
    assert there[0] == pytest.approx(whole.low, rel=1e-9, abs=1e-9)
    assert there[2] == pytest.approx(whole.high, rel=1e-9, abs=1e-9)
    known = ~np.isnan(whole.value)
    assert there[1][known] == pytest.approx(whole.value[known], rel=1e-9, abs=1e-9)
    return found


@pytest.mark.parametrize("key", FLAVOURS)
def test_nothing_of_the_example_gets_lost_unsaid(key: str) -> None:
    check(quillfeather().brew(key), quillfeather().pantry)


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(recipes())
def test_nothing_of_any_recipe_gets_lost_unsaid(parts: dict[str, Any]) -> None:
    try:
        batch = brew(parts)
    except KitchenError:
        return
    if batch.filled and float(batch.filled[0].count[0]) >= 1:
        check(batch, pantry())


def test_a_strained_fruit_by_hand() -> None:
    # 500 g of quince and 500 g of sugar syrup; the fruit is strained out and holds a tenth of its weight of liquid.
    batch = brew(
        {
            "syrup": [
                {"add": {"quince": "500 g", "sugar": "250 g", "water": "250 g"}},
                {"strain": {"out": ["quince"], "holding": "10 %", "extracts": "20 %"}},
            ],
            "frozen": [{"add": {"syrup": "all"}}, {"fill": {"container": "cup", "rest": "save"}}],
        }
    )
    found = check(batch, pantry())
    (out,) = (one for one in found["quince"].away if one.how == "strained out")
    assert (out.part, out.step, out.verb) == ("syrup", 2, "strain")
    # A fifth of its solubles stays, less what of them goes along with the 50 g of liquid; all of its fibre is out.
    liquid = 500.0 + float(pantry()["quince"].fractions[3]) * 500 * 0.2
    sugars = pantry()["quince"].record.composition.amount("total_sugars")
    potassium = pantry()["quince"].record.composition.amount("potassium")
    assert potassium is not None
    assert sugars is None or sugars > 0
    stays = 0.2 * (1 - 50.0 / liquid)
    put, gone = found["quince"].put_in.of("potassium")[1], out.held.of("potassium")[1]
    assert put is not None
    assert gone == pytest.approx(put * (1 - stays))
    assert out.held.of("dietary_fiber")[1] == pytest.approx(found["quince"].put_in.of("dietary_fiber")[1])


def test_heat_takes_vitamins_and_nothing_else_but_water() -> None:
    batch = brew(
        {
            "base": [{"add": {"milk": "2 kg"}}, {"cook": {"loses": "10 %", "hold": "25 min"}}],
            "frozen": [{"add": {"base": "all"}}, {"fill": {"container": "cup", "rest": "save"}}],
        }
    )
    (heat,) = (one for one in check(batch, pantry())["milk"].away if one.how == HEAT)
    put = check(batch, pantry())["milk"].put_in
    thiamin, whole = heat.held.of("thiamin")[1], put.of("thiamin")[1]
    assert whole is not None
    # Milk, simmered: 90 % of thiamin is kept.
    assert thiamin == pytest.approx(0.1 * whole)
    assert heat.held.of("water")[1] == pytest.approx(put.grams * 0.1)
    lost = {key for key in keys() if key != "energy" and (heat.held.of(key)[2]) > 0}
    assert lost <= {"water", *vitamins()}
    assert heat.held.of("energy") == (0.0, 0.0, 0.0)


def test_the_pots_of_a_sample_are_not_kept() -> None:
    batch = brew({"frozen": [{"add": {"milk": "2 kg"}}, {"fill": {"container": "cup"}}]}, draws=Draws(8))
    with pytest.raises(ValueError, match="sample"):
        losses.journeys(batch, pantry(), 100.0)


def test_calories_go_by_the_method_of_the_label() -> None:
    amounts = np.zeros((3, len(keys())))
    amounts[:, index("total_fat")] = 10.0
    amounts[:, index("energy")] = 12345.0
    milk = pantry()["milk"]
    assert Held(milk, 20.0, 1.0, amounts).of("energy") == (90.0, 90.0, 90.0)
    # Method A: SR28 has 8.79 kcal a gram for the fat of milk (USDA Handbook 74).
    assert Held(milk, 20.0, 1.0, amounts).of("energy", "A")[1] == pytest.approx(87.9)
