"""Flows of small shops for the tests, and what is asked of every graph."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from costing.flow.edges import graph
from costing.kitchen.draws import Draws
from costing.kitchen.materials import Pantry
from costing.kitchen.run import run
from costing.prices.book import PriceBook
from costing.purchases import Purchasing
from tests.costing.kitchen import builders

if TYPE_CHECKING:
    from costing.flow.graph import Graph
    from costing.kitchen.brew import Brew
    from costing.shop.models import Recipe, ShopModel


def graph_of(batch: Brew, *others: Recipe) -> Graph:
    """The graph of a batch of the test shop."""
    whole = builders.shop(batch.recipe, *others)
    return graph(batch, _purchasing(whole).bought(batch.used), whole.recipes)


def made(parts: dict[str, Any], *others: Recipe, unpriced: str = "", **more: Any) -> Graph:
    """The graph of a recipe of the test shop; without the price of an ingredient if one is named."""
    recipe = builders.recipe(parts, **more)
    whole = builders.shop(recipe, *others)
    whole = replace(whole, prices=tuple(row for row in whole.prices if row.ingredient != unpriced))
    purchasing = _purchasing(whole)
    batch = run(recipe, whole, purchasing.pantry, purchasing.pricing, Draws())
    return graph(batch, purchasing.bought(batch.used), whole.recipes)


def _purchasing(whole: ShopModel) -> Purchasing:
    return Purchasing(Pantry(whole.ingredients, whole.foods), PriceBook(whole, builders.DAY))


def edge(found: Graph, source: str, target: str, what: str = "") -> tuple[float, float]:
    """Weight and value of the one edge between two nodes."""
    (one,) = (e for e in found.edges if (e.source, e.target) == (source, target) and (not what or e.what == what))
    return one.grams, one.value


def check(found: Graph) -> None:
    """Every node balances in grams and in money, the whole does, nothing is negative, and steam takes no money."""
    for grams in (True, False):
        totals = found.totals(grams=grams)
        room = 1e-9 * max(1.0, totals.bought)
        assert totals.contained + totals.saved + totals.lost + totals.vapour == pytest.approx(totals.bought, abs=room)
        for node in found.nodes:
            came, left = (
                math.fsum(e.grams if grams else e.value for e in edges)
                for edges in (found.into(node.key), found.out_of(node.key))
            )
            if node.kind in ("part", "aside"):
                assert came == pytest.approx(left, abs=room), node
            elif node.kind == "purchase":
                assert came == 0
                assert left > 0 or node.name == "water" or not grams
            else:
                assert left == 0
                assert came > 0 or not grams
    assert found.totals().vapour == 0
    for one in found.edges:
        assert one.grams >= 0
        assert one.value >= -1e-12
    assert len({node.key for node in found.nodes}) == len(found.nodes)
