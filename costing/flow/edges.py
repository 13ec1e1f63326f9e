"""Where the weight and the as-bought value of a batch went, as a graph: purchases, parts, containers, and what left.

The as-bought value stays with each gram, so what leaves a part is worth what its grams cost when they were bought;
vapour takes none. What goes into a part is what comes out of it, in grams and in money.

>>> from costing.desk import Shop
>>> from nutrition.resources import tree
>>> shop = Shop.open(str(tree("examples") / "quillfeather"))
>>> from costing.flow import draw
>>> graph = draw(shop, "quince").graph
>>> [edge.what for edge in graph.edges if edge.target == LOST and edge.source == "part:quince/quince syrup"]
['trimmed off']
>>> totals = graph.totals()
>>> round(totals.lost + totals.contained + totals.saved - totals.bought, 9)
0.0
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from costing.flow.graph import LOSSES, Edge, Graph, Node
from costing.kitchen.balance import BalanceError
from costing.kitchen.fill import REST
from costing.kitchen.pot import VALUE

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from costing.kitchen.bench import Use
    from costing.kitchen.brew import Brew, PartRecord, Saved, StepRecord
    from costing.purchases import Bought
    from costing.shop.models import Recipe

LOST, VAPOUR = "lost", "vapour"

NOTHING = 1e-9
"""g or money below which a flow is a rounding error of the machine"""
CLOSE = 1e-6
"""what a node may be off, times the larger of 1 and what was bought"""


def graph(brew: Brew, bought: Sequence[Bought], recipes: Mapping[str, Recipe]) -> Graph:
    """The graph of a batch.

    Args:
        brew: the batch; of draws the first.
        bought: what was bought for it (:meth:`costing.purchases.Purchasing.bought`).
        recipes: the shop's recipes by key; those of house bases are looked up here.

    Returns:
        The graph, with every part of a house base at the size that this batch takes of it.

    Raises:
        BalanceError: a node does not balance; our fault, never the recipe's.
    """
    plan = _Plan(brew, recipes)
    edges = [*_purchases(bought), *_uses(brew, bought, plan), *_losses(brew), *_saved(brew, plan), *_filled(brew)]
    edges = merged([edge for edge in edges if edge.grams > NOTHING or edge.value > NOTHING])
    used = {key for edge in edges for key in (edge.source, edge.target)}
    nodes = tuple(node for node in _nodes(brew, bought, plan) if node.key in used)
    made = Graph(brew.recipe.key, brew.recipe.title, nodes, tuple(edges))
    _check(made)
    return made


def _part_key(recipe: str, part: str) -> str:
    return f"part:{recipe}/{part}"


def _aside_key(recipe: str, name: str) -> str:
    return f"aside:{recipe}/{name}"


class _Plan:
    """Who saved what, and who took it."""

    def __init__(self, brew: Brew, recipes: Mapping[str, Recipe]) -> None:
        self.recipes = {**recipes, brew.recipe.key: brew.recipe}
        self.keys = tuple(dict.fromkeys(part.recipe for part in brew.parts))
        self.uses = tuple(_takers(brew))
        self.savers = {
            (key, name): part.name
            for key in self.keys
            for part in self.recipes[key].parts
            for step in part.steps
            for name in (getattr(step, "save", None), f"{REST} of {part.name}")
            if name
        }
        """(recipe, name of what is saved) to the part that saves it"""
        self.asides = dict.fromkeys(
            (use.recipe, use.source)
            for use, owner in self.uses
            if use.recipe == owner and (use.recipe, use.source) in self.savers and not self._is_part(use)
        )
        """what is saved by one step and taken by another"""

    def _is_part(self, use: Use) -> bool:
        return any(part.name == use.source for part in self.recipes[use.recipe].parts)

    def source(self, use: Use, owner: str) -> str:
        """Key of the node that a step took something from."""
        if use.recipe != owner:
            return _part_key(use.recipe, self.recipes[use.recipe].parts[-1].name)
        if (use.recipe, use.source) in self.asides:
            return _aside_key(use.recipe, use.source)
        return _part_key(use.recipe, use.source)

    def home(self, saved: Saved) -> str:
        """Key of the recipe that something saved at the end belongs to."""
        file = saved.where.rpartition(":")[0]
        having = [key for key in self.keys for part in self.recipes[key].parts if part.name == saved.part]
        for key in having:
            if any(part.where.rpartition(":")[0] == file for part in self.recipes[key].parts):
                return key
        return having[-1]


def _takers(brew: Brew) -> Iterator[tuple[Use, str]]:
    """Every use with the recipe whose part took it.

    Uses stand in the order of the parts. Where a base and a flavour call two neighbouring parts alike, the weight that
    the steps of the first put in says where its uses end.
    """
    uses = [use for use in brew.uses if float(use.grams[0]) > 0]
    parts = [(part, _put_in(part)) for part in brew.parts]
    parts = [(part, need) for part, need in parts if need > NOTHING]
    at = 0
    for n, (part, need) in enumerate(parts):
        namesake = n + 1 < len(parts) and parts[n + 1][0].name == part.name
        got = 0.0
        while at < len(uses) and uses[at].into == part.name:
            if namesake and got >= need * (1 - NOTHING):
                break
            got += float(uses[at].grams[0])
            yield uses[at], part.recipe
            at += 1
    if at < len(uses):
        raise BalanceError(f"{brew.recipe.key}: no part took {uses[at].source} into {uses[at].into}")


def _put_in(part: PartRecord) -> float:
    """Weight that the steps of a part put in, g."""
    inside, total = 0.0, 0.0
    for step in part.steps:
        if step.verb in ("add", "fold"):
            total += float(step.in_g[0]) - inside
        inside = float(step.out_g[0])
    return total


def _nodes(brew: Brew, bought: Sequence[Bought], plan: _Plan) -> Iterator[Node]:
    for one in bought:
        yield Node(f"buy:{one.name}", "purchase", one.name)
    seen = dict.fromkeys((part.recipe, part.name) for part in brew.parts)
    for recipe, name in seen:
        yield Node(_part_key(recipe, name), "part", name, recipe)
        for key, thing in plan.asides:
            if key == recipe and plan.savers[key, thing] == name:
                yield Node(_aside_key(key, thing), "aside", thing, key)
    for filled in brew.filled:
        name = filled.container.name
        yield Node(f"fill:{name}", "containers", name, count=round(float(filled.count[0])))
    if not brew.filled:
        yield Node("made", "containers", brew.recipe.makes or brew.recipe.title)
    for key, name in dict.fromkeys((plan.home(one), one.name) for one in brew.saved):
        yield Node(f"saved:{key}/{name}", "saved", name, key)
    yield Node(LOST, "lost", "lost")
    yield Node(VAPOUR, "vapour", "boiled off")


def _purchases(bought: Sequence[Bought]) -> Iterator[Edge]:
    """What of each purchase could not be used."""
    for one in bought:
        grams = float(one.bought_g[0] - one.used_g[0])
        if grams > NOTHING:
            value = float(one.cost[0] - one.value_used[0])
            yield Edge(f"buy:{one.name}", LOST, grams, value, LOSSES["buy"], 0, "buy")


def _uses(brew: Brew, bought: Sequence[Bought], plan: _Plan) -> Iterator[Edge]:
    source_of = {ingredient: one.name for one in bought for ingredient in one.uses}
    for use, owner in plan.uses:
        grams, value = float(use.grams[0]), float(use.value[0])
        target = _part_key(owner, use.into)
        if use.recipe:
            yield Edge(plan.source(use, owner), target, grams, value)
        else:
            name = source_of[use.source]
            yield Edge(f"buy:{name}", target, grams, value, "" if name == use.source else use.source)
    taken: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for use, owner in plan.uses:
        if use.recipe == owner and (use.recipe, use.source) in plan.asides:
            taken.setdefault((use.recipe, use.source), []).append((float(use.grams[0]), float(use.value[0])))
    for one in brew.saved:
        if (plan.home(one), one.name) in plan.asides:
            taken[plan.home(one), one.name].append((float(one.pot.grams()[0]), _value(one)))
    for (key, name), amounts in taken.items():
        saver = _part_key(key, plan.savers[key, name])
        yield Edge(saver, _aside_key(key, name), math.fsum(g for g, _ in amounts), math.fsum(v for _, v in amounts))


def _value(one: Saved) -> float:
    return float(one.pot.ledger(VALUE)[0])


def _losses(brew: Brew) -> Iterator[Edge]:
    for part in brew.parts:
        key = _part_key(part.recipe, part.name)
        for step in part.steps:
            vapour, discarded = float(step.vapour_g[0]), float(step.discarded_g[0])
            if discarded > NOTHING:
                value = float(step.lost_value[0])
                yield Edge(key, LOST, discarded, value, _loss_words(step), step.number, step.verb)
            if vapour > NOTHING:
                yield Edge(key, VAPOUR, vapour, 0.0, step.name, step.number, step.verb)


def _loss_words(step: StepRecord) -> str:
    return step.name or LOSSES.get(step.verb, step.verb)


def _saved(brew: Brew, plan: _Plan) -> Iterator[Edge]:
    for one in brew.saved:
        key = plan.home(one)
        source = _aside_key(key, one.name) if (key, one.name) in plan.asides else _part_key(key, one.part)
        yield Edge(source, f"saved:{key}/{one.name}", float(one.pot.grams()[0]), _value(one))


def _filled(brew: Brew) -> Iterator[Edge]:
    source = _part_key(brew.recipe.key, brew.recipe.parts[-1].name)
    grams, value = float(brew.pot.grams()[0]), float(brew.pot.ledger(VALUE)[0])
    if not brew.filled:
        yield Edge(source, "made", grams, value)
        return
    weights = [float(filled.count[0] * filled.grams[0]) for filled in brew.filled]
    for filled, weight in zip(brew.filled, weights, strict=True):
        # What is in the containers is one mix: its value lies in them by weight.
        share = weight / math.fsum(weights)
        yield Edge(source, f"fill:{filled.container.name}", grams * share, value * share)


def merged(edges: Sequence[Edge]) -> list[Edge]:
    """One edge for each pair of nodes, thing and step, with the sums of those that there were."""
    found: dict[tuple[str, str, str, int, str], list[Edge]] = {}
    for edge in edges:
        found.setdefault((edge.source, edge.target, edge.what, edge.step, edge.verb), []).append(edge)
    return [
        Edge(
            source,
            target,
            math.fsum(one.grams for one in those),
            math.fsum(one.value for one in those),
            what,
            step,
            verb,
        )
        for (source, target, what, step, verb), those in found.items()
    ]


def _check(made: Graph) -> None:
    """Insist that what reaches a node leaves it again, in grams and, where prices are known, in money."""
    for grams in (True, False):
        if not grams and not made.priced:
            return
        room = CLOSE * max(1.0, made.totals(grams=grams).bought)
        for node in made.nodes:
            if node.kind in ("part", "aside"):
                came, left = (
                    math.fsum(edge.grams if grams else edge.value for edge in edges)
                    for edges in (made.into(node.key), made.out_of(node.key))
                )
                if abs(came - left) > room:
                    raise BalanceError(f"{made.recipe}, {node.name}: {came} came in and {left} went out")
