"""The kitchen against tables and records from outside the project."""

from __future__ import annotations

import numpy as np
import pytest

from costing.contents import composition
from costing.kitchen.density import volume
from costing.kitchen.materials import Pantry
from costing.kitchen.vapour import alcohol_kept
from nutrition.foods.library import resolve
from tests.costing.kitchen.builders import brew, shop

SUCROSE = {10: 1.038, 20: 1.081, 30: 1.127, 40: 1.1765, 50: 1.230, 60: 1.287, 70: 1.347}
"""Brix to g/mL at 20 degrees C: sucrose tables (ICUMSA, NIST circular 440), from memory."""


@pytest.mark.parametrize(("brix", "density"), SUCROSE.items())
def test_density_of_syrup(brix: int, density: float) -> None:
    mass = np.array([100.0 - brix, 0.0, 0.0, brix, 0.0])
    assert 100.0 / float(volume(mass)) == pytest.approx(density, rel=0.005)


@pytest.mark.parametrize(("share", "density"), [(0.0, 0.9982), (0.40, 0.9352), (1.0, 0.7893)])
def test_density_of_spirit(share: float, density: float) -> None:
    # Ethanol-water tables at 20 degrees C (OIML R 22, CRC Handbook), from memory.
    mass = np.array([1.0 - share, share, 0.0, 0.0, 0.0])
    assert 1.0 / float(volume(mass)) == pytest.approx(density, rel=1e-4)


def test_alcohol_and_water_shrink_together() -> None:
    # Additive volumes would be 3.4 % off at 40 % by mass (reference tables, from memory): 60/0.9982 + 40/0.7893.
    additive = 60 / 0.9982 + 40 / 0.7893
    assert float(volume(np.array([60.0, 40.0, 0.0, 0.0, 0.0]))) / additive == pytest.approx(0.966, abs=0.003)


def test_density_of_mix() -> None:
    # Dairy handbooks (from memory): 100 / (fat/0.93 + solids not fat/1.58 + water/1.0) for 12 % fat, 26 % other solids.
    handbook = 100 / (12 / 0.93 + 26 / 1.58 + 62 / 1.0)
    assert 100 / float(volume(np.array([62.0, 0.0, 12.0, 26.0, 0.0]))) == pytest.approx(handbook, rel=0.002)


@pytest.mark.parametrize(
    ("minutes", "kept"), [(0, 85), (15, 40), (30, 35), (60, 25), (90, 20), (120, 10), (150, 5), (600, 5)]
)
def test_alcohol_retention(minutes: int, kept: int) -> None:
    # USDA Table of Nutrient Retention Factors, release 6 (2007), from memory.
    assert alcohol_kept(minutes * 60) == pytest.approx(kept / 100)


def test_whole_milk_boiled_down_is_evaporated_milk() -> None:
    # SR28 01077 whole milk against 01153 evaporated milk without added vitamins; only water left in the vacuum pan, and
    # the two are different milks, so within 10 %.
    evaporated = resolve("usda:01153", {}).composition
    solids = 100.0 - float(evaporated.amount("water") or 0)
    milk = resolve("usda:01077", {}).composition
    weight = (100.0 - float(milk.amount("water") or 0)) / solids * 1000
    batch = brew({"milk": [{"add": {"milk": "1 kg"}}, {"reduce": {"to": f"{weight:.3f} g"}}]})
    whole = shop()
    found = composition(batch.pot, Pantry(whole.ingredients, whole.foods)).per_100g()
    for key in ("protein", "total_fat", "total_carbohydrate", "calcium", "potassium"):
        assert found[key] == pytest.approx(float(evaporated.amount(key) or 0), rel=0.10), key


def test_a_quart_of_cream_and_milk_fills_two_to_three_pints() -> None:
    # Common practice of kitchen-scale recipes, by overrun and loss.
    for overrun in ("20 %", "30 %", "40 %"):
        batch = brew(
            {
                "mix": [
                    {"add": {"cream": "2 cups", "milk": "2 cups", "sugar": "150 g"}},
                    {"cook": {"loses": "3 %", "hold": "2 min"}},
                    {"churn": {"overrun": overrun, "leaves": "60 g"}},
                    {"fill": {"container": "pint"}},
                ]
            }
        )
        assert 2 <= batch.filled[0].count[0] <= 3
