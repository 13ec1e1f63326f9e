"""The graph of a batch: purchases, parts, containers, and where weight and as-bought value leave.

>>> nodes = (Node("buy", "purchase", "cream"), Node("pot", "part", "pot"), Node("fill", "containers", "pint"))
>>> edges = (Edge("buy", "pot", 500.0, 2.5), Edge("pot", "fill", 500.0, 2.5))
>>> Graph("plain", "Plain cream", nodes, edges).totals().contained
2.5
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

NodeKind = Literal["purchase", "part", "aside", "containers", "saved", "lost", "vapour"]

LOSSES = {
    "buy": "not usable as bought",
    "trim": "trimmed off",
    "render": "cracklings",
    "press": "press cake",
    "strain": "strained out",
    "lose": "left in the pot",
    "churn": "left in the machine",
    "fill": "fills no container",
    "rest": "rest, used by no step",
}
"""What a verb throws away, in words."""


@dataclass(frozen=True, slots=True)
class Node:
    """A place that weight comes from, goes through, or ends in.

    Args:
        key: its own.
        kind: ``purchase``, ``part``, ``aside`` (saved by a step and used by a later one), ``containers``, ``saved``,
            ``lost`` or ``vapour``.
        name: what people call it.
        recipe: key of the recipe of a part or of what one saved; empty for others.
        count: how many containers.
    """

    key: str
    kind: NodeKind
    name: str
    recipe: str = ""
    count: int = 0


@dataclass(frozen=True, slots=True)
class Edge:
    """What goes from one node to another.

    Args:
        source: key of the node it leaves.
        target: key of the node it reaches.
        grams: weight, g.
        value: as-bought value in the shop's currency; ``nan`` where a price is missing.
        what: in words, where the nodes do not say it.
        step: number of the step in its part, 0 for none.
        verb: of that step; ``buy`` for the unusable share of a purchase.
    """

    source: str
    target: str
    grams: float
    value: float
    what: str = ""
    step: int = 0
    verb: str = ""


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums of as-bought value, or of grams: ``bought = contained + saved + lost + vapour``."""

    bought: float
    contained: float
    saved: float
    lost: float
    vapour: float


@dataclass(frozen=True, slots=True)
class Graph:
    """All nodes and edges of a batch.

    Args:
        recipe: key of its recipe.
        title: title of its recipe.
        nodes: in the order of the kitchen.
        edges: in the order of the kitchen; none is below zero.
    """

    recipe: str
    title: str
    nodes: tuple[Node, ...]
    edges: tuple[Edge, ...]

    def node(self, key: str) -> Node:
        """A node by its key.

        Raises:
            KeyError: there is none.
        """
        for node in self.nodes:
            if node.key == key:
                return node
        raise KeyError(key)

    def into(self, key: str) -> tuple[Edge, ...]:
        """What reaches a node."""
        return tuple(edge for edge in self.edges if edge.target == key)

    def out_of(self, key: str) -> tuple[Edge, ...]:
        """What leaves a node."""
        return tuple(edge for edge in self.edges if edge.source == key)

    def of(self, kind: NodeKind) -> tuple[Node, ...]:
        """The nodes of a kind."""
        return tuple(node for node in self.nodes if node.kind == kind)

    def totals(self, *, grams: bool = False) -> Totals:
        """What was bought and where it ended.

        Args:
            grams: sums of weight, g; else of as-bought value.
        """
        kinds = {node.key: node.kind for node in self.nodes}

        def total(kind: NodeKind, at: str) -> float:
            return math.fsum(
                edge.grams if grams else edge.value for edge in self.edges if kinds[getattr(edge, at)] == kind
            )

        return Totals(
            bought=total("purchase", "source"),
            contained=total("containers", "target"),
            saved=total("saved", "target"),
            lost=total("lost", "target"),
            vapour=total("vapour", "target"),
        )

    @property
    def priced(self) -> bool:
        """Whether every value is known."""
        return all(math.isfinite(edge.value) for edge in self.edges)
