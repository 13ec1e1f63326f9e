"""Recost of 300 flavours after one price change, against working everything out again; both in the same run, ratios only.

Flavours are those of the example shop, each under names of its own. Cream goes up, which all but the sorbet have. *Recost*
is what stands between a new price and every flavour's new cost, contributions and target prices, the weights being known;
*from nothing* makes every flavour once in the kitchen too. Recomputing is everything that a shop knows of its flavours
(kitchen, cost, label) with the new price, as it was before there was a recost.
"""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from costing.desk import Shop
from costing.prices.book import PriceBook
from costing.whatif import tally as tallies
from costing.whatif.changing import changed
from costing.whatif.effect import effect, effects
from nutrition.resources import tree

if TYPE_CHECKING:
    from pytest_benchmark.fixture import BenchmarkFixture

    from costing.whatif.effect import Effect

MANY = 300
ROUNDS = 3
RECOST_LIMIT = 20.0
"""how much faster a recost must be than everything anew"""
WHOLE_LIMIT = 1.0
"""the same where every flavour is made once on the way"""


@pytest.fixture(scope="module")
def shop() -> Shop:
    """The example shop with 300 flavours."""
    model = Shop.open(str(tree("examples") / "quillfeather")).model
    some = [recipe for recipe in model.recipes.values() if recipe.makes is None]
    bases = {key: recipe for key, recipe in model.recipes.items() if recipe.makes is not None}
    many = {f"flavour {i}": some[i % len(some)].model_copy(update={"key": f"flavour {i}"}) for i in range(MANY)}
    return Shop(replace(model, recipes={**many, **bases}))


def test_recost_of_300_flavours_after_one_price_change(benchmark: BenchmarkFixture, shop: Shop) -> None:
    dearer = changed(shop.model, ("heavy cream=+12%",))
    keys = [key for key, recipe in shop.model.recipes.items() if recipe.makes is None]
    made = [one for key in keys if (one := tallies.tally(shop, key)) is not None]
    anew: list[float] = []
    whole: list[float] = []
    ours: list[float] = []
    costs: list[dict[str, float]] = []
    found: list[list[Effect]] = []

    def everything() -> None:
        began = time.perf_counter()
        again = Shop(dearer, (), shop.day)
        answers = again.answers(keys)
        anew.append(time.perf_counter() - began)
        costs.append({one.recipe: one.cost.per_container.total for one in answers if one.cost})
        began = time.perf_counter()
        effects(Shop(shop.model, (), shop.day), shop.book, PriceBook(dearer, shop.day), keys)
        whole.append(time.perf_counter() - began)

    def recost() -> None:
        began = time.perf_counter()
        book = PriceBook(dearer, shop.day)
        old, new = tallies.paid(shop.book, made), tallies.paid(book, made)
        found.append([effect(shop, one, shop.book, book, old, new) for one in made])
        ours.append(time.perf_counter() - began)

    benchmark.pedantic(recost, setup=everything, rounds=ROUNDS)
    ratio, with_kitchen = min(anew) / min(ours), min(anew) / min(whole)
    benchmark.extra_info |= {"everything_s": min(anew), "recost_s": min(ours), "ratio": ratio, "whole_s": min(whole)}
    print(
        f"\n{MANY} flavours after one price change: recost {min(ours) * 1000:.0f} ms, everything anew "
        f"{min(anew) * 1000:,.0f} ms: {ratio:.0f} times; from nothing {min(whole) * 1000:,.0f} ms: {with_kitchen:.1f} times"
    )
    assert {one.recipe: one.after for one in found[-1]} == pytest.approx(costs[-1], abs=1e-9)
    assert ratio >= RECOST_LIMIT
    assert with_kitchen >= WHOLE_LIMIT
