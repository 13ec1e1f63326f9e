"""Small flows put together, so that a picture stays readable; the table and the graph keep them all."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from costing.flow.edges import LOST, VAPOUR, merged
from costing.flow.graph import Edge, Graph, Node

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

By = Literal["value", "mass"]

SMALL_PURCHASE = 0.012
"""share of what was bought below which a purchase is put with the others"""
MOST_PURCHASES = 14
"""purchases that a picture names"""
SMALL_LOSS = 0.004
"""share of what was bought below which losses of one part are put together"""
OTHERS = "others"


def measure(by: By) -> Callable[[Edge], float]:
    """What the thickness of a band shows: as-bought value, or grams."""
    return (lambda edge: edge.grams) if by == "mass" else (lambda edge: edge.value)


def gathered(graph: Graph, by: By) -> tuple[Graph, tuple[str, ...]]:
    """The graph with small purchases and small losses put together.

    Args:
        graph: of a batch; every value is known where ``by`` is ``value``.
        by: what counts as small.

    Returns:
        The graph, and the names of the purchases that are put together in its node ``others``.
    """
    size = measure(by)
    whole = sum(size(edge) for edge in graph.edges if graph.node(edge.source).kind == "purchase")
    edges = _losses(graph, SMALL_LOSS * whole, size)
    amounts = {node.key: sum(map(size, graph.out_of(node.key))) for node in graph.of("purchase")}
    order = sorted(amounts, key=lambda key: -amounts[key])
    small = {key for n, key in enumerate(order) if n >= MOST_PURCHASES - 1 or amounts[key] < SMALL_PURCHASE * whole}
    if len(small) < 2 or len(small) == len(order):
        return replace(graph, edges=tuple(edges)), ()
    others = f"buy:/{OTHERS}"  # no purchase has a name like that
    names = tuple(node.name for node in graph.nodes if node.key in small)
    edges = [
        replace(e, source=others, what="" if e.verb != "buy" else e.what) if e.source in small else e for e in edges
    ]
    first = next(n for n, node in enumerate(graph.nodes) if node.key in small)
    nodes: list[Node] = []
    for n, node in enumerate(graph.nodes):
        if n == first:
            nodes.append(Node(others, "purchase", OTHERS, count=len(names)))
        if node.key not in small:
            nodes.append(node)
    return replace(graph, nodes=tuple(nodes), edges=tuple(merged(edges))), names


def _losses(graph: Graph, small: float, size: Callable[[Edge], float]) -> list[Edge]:
    """All steam of a part as one band, and its small losses as one where there are several."""
    tiny: dict[str, list[Edge]] = {}
    for edge in graph.edges:
        if edge.target == LOST and size(edge) < small:
            tiny.setdefault(edge.source, []).append(edge)
    together = {key: those for key, those in tiny.items() if len(those) > 1}
    out: list[Edge] = []
    for edge in graph.edges:
        if edge.target == VAPOUR:
            out.append(replace(edge, what="", step=0, verb=""))
        elif edge in together.get(edge.source, ()):
            out.append(replace(edge, what=_listed(together[edge.source]), step=0, verb=""))
        else:
            out.append(edge)
    return merged(out)


def _listed(edges: Sequence[Edge]) -> str:
    return ", ".join(dict.fromkeys(edge.what for edge in edges))
