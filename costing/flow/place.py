"""Where everything of a flow picture stands: columns by the longest path, order within a column, heights.

A band that passes columns on its way runs through a free lane in each of them, so that it never crosses a box.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from costing.flow.graph import Edge, Graph

SWEEPS = 6
"""times that order and heights are bettered; small graphs settle sooner"""


@dataclass(slots=True, eq=False)
class Spot:
    """What stands in a column: a box, or the lane of a band that passes.

    Args:
        key: of the node; empty for a lane.
        column: from 0 at the left.
        high: height, pt.
        apart: room that it wants above it, pt.
    """

    key: str
    column: int
    high: float
    apart: float
    top: float = 0.0
    left: list[tuple[Spot, float]] = field(default_factory=list)
    right: list[tuple[Spot, float]] = field(default_factory=list)

    @property
    def middle(self) -> float:
        """Height of its middle, pt."""
        return self.top + self.high / 2


def columns(graph: Graph) -> dict[str, int]:
    """The column of each node that is no end: its longest path from a purchase; containers stand last of all.

    >>> from costing.flow.graph import Edge, Graph, Node
    >>> kinds = {"a": "purchase", "p": "part", "q": "part", "c": "containers"}
    >>> nodes = tuple(Node(key, kind, key) for key, kind in kinds.items())
    >>> edges = tuple(Edge(*pair, 1.0, 1.0) for pair in ("ap", "pq", "aq", "qc"))
    >>> columns(Graph("r", "R", nodes, edges))
    {'a': 0, 'p': 1, 'q': 2, 'c': 3}
    """
    out: dict[str, int] = {}
    for node in graph.nodes:  # parts and what they saved stand in the order of the kitchen, so sources come first
        if node.kind == "purchase":
            out[node.key] = 0
        elif node.kind in ("part", "aside"):
            out[node.key] = 1 + max((out[edge.source] for edge in graph.into(node.key)), default=0)
    last = 1 + max(out.values(), default=0)
    out |= {node.key: last for node in graph.of("containers")}
    return out


def spots(
    graph: Graph, heights: Mapping[str, float], thick: Mapping[Edge, float], apart: Mapping[str, float]
) -> tuple[list[list[Spot]], dict[Edge, tuple[Spot, ...]]]:
    """Place every node that is no end, and every lane.

    Args:
        graph: with small flows put together.
        heights: key of a node to the height of its box, pt.
        thick: edge to the thickness of its band, pt; edges to ends are left out.
        apart: key of a node to the room it wants above it, pt.

    Returns:
        The columns from left to right, each from top to bottom, heights from 0; and the spots that each edge runs
        through, the first and the last of them boxes.
    """
    level = columns(graph)
    rows: list[list[Spot]] = [[] for _ in range(1 + max(level.values(), default=0))]
    boxes = {key: Spot(key, column, heights[key], apart[key]) for key, column in level.items()}
    for box in boxes.values():
        rows[box.column].append(box)
    ways: dict[Edge, tuple[Spot, ...]] = {}
    for edge, band in thick.items():
        source, target = boxes[edge.source], boxes[edge.target]
        lanes = [Spot("", column, band, 4.0) for column in range(source.column + 1, target.column)]
        for lane in lanes:
            rows[lane.column].append(lane)
        ways[edge] = (source, *lanes, target)
        for before, after in itertools.pairwise(ways[edge]):
            before.right.append((after, band))
            after.left.append((before, band))
    _sort(rows)
    _settle(rows)
    return rows, ways


def _sort(rows: Sequence[list[Spot]]) -> None:
    """Order each column so that bands cross seldom: every spot near the mean place of its neighbours."""
    place = {id(spot): n / max(1, len(row)) for row in rows for n, spot in enumerate(row)}

    def mean(spot: Spot, neighbours: Sequence[tuple[Spot, float]]) -> float:
        weight = sum(band for _, band in neighbours)
        if not weight:
            return place[id(spot)]
        return sum(place[id(other)] * band for other, band in neighbours) / weight

    for sweep in range(SWEEPS):
        leftwards = sweep % 2 == 1
        for row in reversed(rows) if leftwards else rows:
            row.sort(key=lambda spot: mean(spot, spot.right if leftwards else spot.left))
            for n, spot in enumerate(row):
                place[id(spot)] = (n + 0.5) / len(row)


def _settle(rows: Sequence[list[Spot]]) -> None:
    """Give every spot a height near its neighbours, none over another; the highest at 0."""
    for row in rows:
        _stack(row, [0.0] * len(row))
    for sweep in range(SWEEPS):
        leftwards = sweep % 2 == 1
        for row in reversed(rows) if leftwards else rows:
            wanted = [_pull(spot, spot.right if leftwards else spot.left) for spot in row]
            _stack(row, wanted)
    top = min((row[0].top for row in rows if row), default=0.0)
    for row in rows:
        for spot in row:
            spot.top -= top


def _pull(spot: Spot, neighbours: Sequence[tuple[Spot, float]]) -> float:
    """Where the top of a spot would lie if its middle were that of its neighbours."""
    weight = sum(band for _, band in neighbours)
    if not weight:
        return spot.top
    return sum(other.middle * band for other, band in neighbours) / weight - spot.high / 2


def _stack(row: Sequence[Spot], wanted: Sequence[float]) -> None:
    """Stack a column as near to the wanted tops as may be, by least squares.

    With what stands above each spot taken off its wanted top, the tops must only not decrease: neighbours that would
    are pooled at their mean (isotonic regression by pooling adjacent violators).
    """
    above: list[float] = []
    at = 0.0
    for n, spot in enumerate(row):
        at += spot.apart if n else 0.0
        above.append(at)
        at += spot.high
    pools: list[tuple[float, int]] = []
    for top, offset in zip(wanted, above, strict=True):
        total, count = top - offset, 1
        while pools and pools[-1][0] / pools[-1][1] > total / count:
            before, many = pools.pop()
            total, count = total + before, count + many
        pools.append((total, count))
    free = (total / count for total, count in pools for _ in range(count))
    for spot, base, offset in zip(row, free, above, strict=True):
        spot.top = base + offset
