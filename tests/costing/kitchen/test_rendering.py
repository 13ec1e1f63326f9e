"""Rendering by hand. USDA SR28 10123, bacon, in 100 g: water 44.24, protein 12.62, fat 39.69, ash 2.17, carbohydrate 1.28
of which sugars 1.00 g, cholesterol 66 mg. Ash and sugars are dissolved (3.45 g with what rounding leaves), protein and the
rest of the carbohydrate are tissue; cholesterol goes with the fat, the salt with what is dissolved."""

from __future__ import annotations

from typing import Any

import pytest

from costing.contents import composition
from costing.kitchen.bench import KitchenError
from costing.kitchen.brew import Brew
from costing.kitchen.draws import Draws
from costing.kitchen.materials import Pantry
from costing.kitchen.pot import FAT, MONEY, SOLUBLES, WATER, Pot
from tests.costing.kitchen.builders import brew, shop

WATER_G, PROTEIN, FAT_G, SOLUBLES_G, INSOLUBLES_G, CHOLESTEROL = 442.4, 126.2, 396.9, 34.5, 126.2, 660.0
"""in a kilogram of bacon"""
MOIST = 0.05
"""moisture of cracklings, data/kitchen/heat.csv"""


def rendered(**said: Any) -> Brew:
    step = {"of": "bacon", "yields": "30 %", "label": "bacon fat", "save": "cracklings", **said}
    return brew({"fat": [{"add": {"bacon": "1 kg"}}, {"render": step}]})


def amount(pot: Pot, key: str) -> float:
    whole = shop()
    found = composition(pot, Pantry(whole.ingredients, whole.foods)).amount(key)
    assert found is not None
    return found


def test_fat_is_pure_unless_the_recipe_says_otherwise() -> None:
    batch = rendered()
    (cracklings,) = batch.saved
    assert batch.pot.mass[:, 0].sum(axis=0) == pytest.approx([0, 0, 300, 0, 0])
    assert amount(batch.pot, "protein") == 0.0
    assert amount(batch.pot, "sodium") == 0.0
    assert amount(batch.pot, "cholesterol") == pytest.approx(CHOLESTEROL * 300 / FAT_G)
    assert amount(cracklings.pot, "cholesterol") == pytest.approx(CHOLESTEROL * (FAT_G - 300) / FAT_G)


def test_cracklings_keep_a_composition_of_their_own() -> None:
    (cracklings,) = rendered().saved
    pot = cracklings.pot
    dry = FAT_G - 300 + SOLUBLES_G + INSOLUBLES_G
    whole = dry / (1 - MOIST)
    assert pot.grams()[0] == pytest.approx(whole)
    assert amount(pot, "protein") == pytest.approx(PROTEIN)
    assert amount(pot, "total_fat") == pytest.approx(FAT_G - 300)
    assert amount(pot, "water") == pytest.approx(MOIST * whole)
    # 50 % protein and more, as pork cracklings have: SR28 19041, pork skins, has 61.3 %, fried out much further.
    assert 40 < 100 * PROTEIN / whole < 61.3


def test_purity_lets_water_and_solubles_go_along() -> None:
    batch = rendered(purity="99.5 %")
    (cracklings,) = batch.saved
    # 1.5 g of the 300 g are the tissue's water and solubles, in the proportion in which it has them.
    along = 1.5 / (WATER_G + SOLUBLES_G)
    assert batch.pot.grams()[0] == pytest.approx(300.0)
    assert batch.pot.mass[0, 0, FAT] == pytest.approx(298.5)
    assert batch.pot.mass[0, 0, WATER] == pytest.approx(WATER_G * along)
    assert batch.pot.mass[0, 0, SOLUBLES] == pytest.approx(SOLUBLES_G * along)
    assert amount(batch.pot, "cholesterol") == pytest.approx(CHOLESTEROL * 298.5 / FAT_G)
    assert amount(batch.pot, "protein") == 0.0
    dry = FAT_G - 298.5 + SOLUBLES_G * (1 - along) + INSOLUBLES_G
    assert cracklings.pot.grams()[0] == pytest.approx(dry / (1 - MOIST))
    assert amount(cracklings.pot, "protein") == pytest.approx(PROTEIN)
    vapour = batch.parts[0].steps[1].vapour_g[0]
    assert vapour == pytest.approx(1000 - 300 - dry / (1 - MOIST))


def test_money_goes_with_the_fat_and_its_saved_cracklings() -> None:
    batch = rendered(purity="97 % to 99 %")
    (cracklings,) = batch.saved
    assert batch.pot.ledger(MONEY)[0] + cracklings.pot.ledger(MONEY)[0] == pytest.approx(10.0)


def test_the_scale_settles_the_yield_of_impure_fat() -> None:
    step = {"of": "bacon", "yields": "20 %", "purity": "98 %"}
    batch = brew({"fat": [{"add": {"bacon": "1 kg"}}, {"render": step}, {"weigh": "310 g"}]})
    assert batch.parts[0].steps[1].free_figure == "yields 31.0 %"
    assert batch.pot.mass[:, 0, FAT].sum() == pytest.approx(0.98 * 310)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"yields": "40 %"}, "400 g of fat would have to come out of tissue that has 397 g"),
        ({"yields": "450 g", "purity": "90 %"}, "405 g of fat would have to come out"),
        ({"yields": "90 %", "purity": "40 %"}, "540 g of the rendered fat would be water and solubles, and the tissue has 477 g"),
    ],
)  # fmt: skip
def test_no_more_comes_out_than_the_tissue_holds(said: dict[str, str], words: str) -> None:
    with pytest.raises(KitchenError) as caught:
        rendered(**said)
    assert caught.value.finding.where == "recipes/try.yaml:11"
    assert words in caught.value.finding.what
    assert caught.value.finding.mend


def test_less_pure_fat_can_weigh_more_than_the_fat_of_the_tissue() -> None:
    batch = rendered(yields="40 %", purity="98 %")
    assert batch.pot.grams()[0] == pytest.approx(400.0)
    assert batch.pot.mass[0, 0, FAT] == pytest.approx(392.0)


def test_a_draw_that_asks_for_too_much_is_masked_and_counted() -> None:
    # The tissue has 39.69 % of fat. Of draws from 34 % to 44 %, whose middle can be, 5.69 of 10 points lie below that
    # and the others cannot be.
    step = {"of": "bacon", "yields": "34 % to 44 %"}
    batch = brew({"fat": [{"add": {"bacon": "1 kg"}}, {"render": step}]}, draws=Draws(4096))
    assert batch.draws.possible.mean() == pytest.approx((39.69 - 34) / 10, abs=0.001)
    assert (batch.pot.mass >= 0).all()
