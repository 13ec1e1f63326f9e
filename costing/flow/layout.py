"""Draws the flow of a batch: purchases at the left, parts as boxes, containers at the right.

The thickness of a band is proportional to its as-bought value, or to its weight. What is lost falls out of the main
stream and ends below it, what is saved or boiled off rises and ends above it; the earlier a column loses, the lower its
losses end (and the higher what it saves), so that every end has free room for its words at its right.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing.flow import palette
from costing.flow.bands import TIP, TURN, flare, through, turned
from costing.flow.gather import gathered, measure
from costing.flow.picture import ASCENT, Picture, Shape, Text, broken, cut, plain, rectangle, width
from costing.flow.place import Spot, columns, spots

if TYPE_CHECKING:
    from costing.flow.graph import Edge, Graph, Node
    from costing.flow.picture import FaceName
    from costing.flow.words import Words

STREAM = 250.0
"""thickness of everything that was bought, pt"""
HAIR = 0.8
"""the thinnest band, pt"""
EDGE = 16.0
"""margin round the picture, pt"""
BOX = 104.0
"""width of a part's box, pt"""
BAR = 9.0
"""width of a purchase's bar, pt"""
GUTTER = 220.0
"""the most room for a purchase's words, pt"""
GAP = 46.0
"""room between columns for bands to bend, pt"""
BESIDE = 6.0
"""room between two bands that turn, pt"""
ROW = 16.0
"""height of a line of words at an end, pt"""
NAME, SMALL, TITLE, LEAD = 11.0, 10.0, 15.0, 11.5
"""type sizes, pt"""
LEADING = 1.22
"""height of a line over its type size"""

_COLOURS = {"lost": palette.LOST, "saved": palette.SAVED, "vapour": palette.STEAM}


@dataclass(frozen=True, slots=True)
class _End:
    """A band that leaves the stream: it falls or rises to words of its own."""

    edge: Edge
    node: Node
    thick: float

    @property
    def falls(self) -> bool:
        return self.node.kind == "lost"


def picture(graph: Graph, words: Words) -> Picture:
    """Draw the flow of a batch.

    Args:
        graph: of the batch (:func:`costing.flow.edges.graph`); every price is known if value is drawn.
        words: how amounts are written, and whether value or weight is drawn.

    Returns:
        The picture; no two texts in it overlap, and all lie inside.
    """
    return _Draft(graph, words).picture(graph)


class _Draft:
    """One picture in the making."""

    def __init__(self, graph: Graph, words: Words) -> None:
        self.words = words
        self.bought = graph.totals(grams=words.by == "mass").bought
        self.graph, self.others = gathered(graph, words.by)
        self.nodes = {node.key: node for node in self.graph.nodes}
        self.size = measure(words.by)
        self.scale = STREAM / self.bought if self.bought > 0 else 0.0
        level = columns(self.graph)
        self.thick = {edge: self._thick(edge) for edge in self.graph.edges if edge.target in level}
        self.out: dict[str, list[Edge]] = {key: [] for key in level}
        self.into: dict[str, list[Edge]] = {key: [] for key in level}
        for edge in self.thick:
            self.out[edge.source].append(edge)
            self.into[edge.target].append(edge)
        self.ends = {key: self._ends(key) for key in level}
        self.labels = {key: self._label(self.nodes[key]) for key in level}
        heights = {key: self._height(key) for key in level}
        apart = {key: 3.0 if self.nodes[key].kind == "purchase" else 16.0 for key in level}
        self.rows, self.ways = spots(self.graph, heights, self.thick, apart)
        self.boxes = {spot.key: spot for row in self.rows for spot in row if spot.key}
        self.count = {
            falls: sum(e.falls == falls for ends in self.ends.values() for e in ends) for falls in (True, False)
        }
        self.shapes: list[Shape] = []
        self.texts: list[Text] = []

    # sizes

    def _thick(self, edge: Edge) -> float:
        return max(HAIR, self.size(edge) * self.scale)

    def _ends(self, key: str) -> list[_End]:
        """Bands that leave the stream at a node. Steam takes no money, so it stands in pictures of weight only."""
        drawn = ("lost", "saved", "vapour") if self.words.by == "mass" else ("lost", "saved")
        edges = (edge for edge in self.graph.edges if edge.source == key)
        return [
            _End(edge, self.nodes[edge.target], self._thick(edge))
            for edge in edges
            if self.nodes[edge.target].kind in drawn
        ]

    def _leaving(self, key: str) -> float:
        """Thickness of everything that leaves a node, pt."""
        return sum(self.thick[edge] for edge in self.out[key]) + sum(end.thick for end in self.ends[key])

    def _height(self, key: str) -> float:
        stream = max(sum(self.thick[edge] for edge in self.into[key]), self._leaving(key))
        if self.nodes[key].kind == "purchase":
            return max(stream, NAME * LEADING)
        return max(stream, LEADING * sum(text.size for text in self.labels[key]) + 8.0)

    def _label(self, node: Node) -> tuple[Text, ...]:
        """The words of a node, not yet in their place: name and amounts of a purchase, lines of a box."""
        if node.kind == "purchase":
            thing, paid = self.words.of_purchase(node, self.graph.out_of(node.key), self.others)
            room = max(60.0, GUTTER - width(paid, SMALL))
            return Text(0, 0, cut(thing, room, NAME), NAME), Text(0, 0, paid, SMALL, "regular", palette.QUIET)
        room = BOX - 12
        colour = palette.WHITE if node.kind == "containers" else palette.INK
        into = self.graph.into(node.key)
        name, *amounts = self.words.of_box(node, into, self.bought, self.graph.recipe, room, SMALL)
        return (
            *(Text(0, 0, line, NAME, "bold", colour, "middle") for line in broken(name, room, NAME, "bold")),
            *(Text(0, 0, cut(line, room, SMALL), SMALL, "regular", colour, "middle") for line in amounts),
        )

    # the drawing

    def picture(self, whole: Graph) -> Picture:
        """Everything in its place, under a head that tells the sums of the whole graph."""
        lead = self.words.lead(whole)
        head = EDGE + TITLE * LEADING + LEAD * LEADING * len(lead) + 14.0
        self.top = head + ROW * self.count[False] + (12.0 if self.count[False] else 4.0)
        for row in self.rows:
            for spot in row:
                spot.top += self.top
        self.bottom = max((spot.top + spot.high for row in self.rows for spot in row), default=self.top)
        self._across()
        self._bands()
        for falls in (True, False):
            self._turns(falls=falls)
        for key, spot in self.boxes.items():
            self._box(key, spot)
        right = max([self.x[-1] + self.wide[-1], *(text.box[2] for text in self.texts)])
        wide = max(right, EDGE + min(800.0, max(width(line, LEAD) for line in lead))) + EDGE
        title = (
            f"{'Where the weight goes' if self.words.by == 'mass' else 'Where the money goes'}: {plain(whole.title)}"
        )
        heads: list[tuple[str, float, FaceName, str]] = [
            (title, TITLE, "bold", palette.PINE),
            *((line, LEAD, "regular", palette.INK) for line in lead),
        ]
        at = EDGE
        for line, size, name, colour in heads:
            self.texts.append(
                Text(EDGE, at + size * ASCENT, cut(line, wide - 2 * EDGE, size, name), size, name, colour)
            )
            at += size * LEADING
        high = self.bottom + ROW * self.count[True] + (16.0 if self.count[True] else 4.0) + EDGE
        return Picture(wide, high, tuple(self.shapes), tuple(self.texts), title, " ".join(lead))

    def _across(self) -> None:
        """Where each column stands, with room after it for what falls and rises there."""
        gutter = max(
            (sum(text.width for text in self.labels[key]) for key in self.labels if self._is_bar(key)), default=0.0
        )
        self.x: list[float] = []
        self.wide: list[float] = []
        self.rise_from: list[float] = []
        at = EDGE + gutter + 14
        for n, row in enumerate(self.rows):
            wide = BAR if n == 0 else BOX
            self.x.append(at)
            self.wide.append(wide)
            at += wide + TURN + 4
            ends = {spot.key: self.ends[spot.key] for spot in row if spot.key and self.ends[spot.key]}
            falling = sum(end.thick + BESIDE for those in ends.values() for end in those if end.falls)
            rising = sum(end.thick + BESIDE for those in ends.values() for end in those if not end.falls)
            # Of one box, one turns up and the other down; of several, each needs its own way past the others.
            self.rise_from.append(at if len(ends) < 2 else at + falling)
            at += (max(falling, rising) if len(ends) < 2 else falling + rising) + GAP

    def _is_bar(self, key: str) -> bool:
        return self.nodes[key].kind == "purchase"

    def _bands(self) -> None:
        """Bands between boxes, thick ones first so that thin ones stay in sight."""
        leaves: dict[Edge, float] = {}
        comes: dict[Edge, float] = {}
        for key, spot in self.boxes.items():
            at = spot.middle - self._leaving(key) / 2 + sum(end.thick for end in self.ends[key] if not end.falls)
            for edge in sorted(self.out[key], key=lambda e: self.ways[e][1].middle):
                leaves[edge] = at
                at += self.thick[edge]
            at = spot.middle - sum(self.thick[edge] for edge in self.into[key]) / 2
            for edge in sorted(self.into[key], key=lambda e: self.ways[e][-2].middle):
                comes[edge] = at
                at += self.thick[edge]
        for edge in sorted(self.thick, key=lambda e: -self.thick[e]):
            way = self.ways[edge]
            tops = [leaves[edge], *(lane.top for lane in way[1:-1]), comes[edge]]
            gaps = [(self.x[a.column] + self.wide[a.column], self.x[b.column]) for a, b in itertools.pairwise(way)]
            path = through(gaps, list(itertools.pairwise(tops)), self.thick[edge])
            self.shapes.append(Shape(path, *self._colours(edge), 0.5, self._said(edge)))

    def _colours(self, edge: Edge) -> tuple[str, str]:
        if self.nodes[edge.target].kind == "containers":
            return palette.HELD
        return palette.BOUGHT if self._is_bar(edge.source) else palette.MADE

    def _said(self, edge: Edge) -> str:
        source, target = self.nodes[edge.source], self.nodes[edge.target]
        return f"{plain(source.name)} to {plain(target.name)}: {self.words.both(edge.value, edge.grams)}"

    def _turns(self, *, falls: bool) -> None:
        """Bands that leave the stream, each to an end of its own; the head of this module tells their order."""
        away = ROW * self.count[falls]
        for column, row in enumerate(self.rows):
            keys = [spot.key for spot in row if spot.key]
            x0 = self.x[column] + self.wide[column]
            at = x0 + TURN + 4 if falls else self.rise_from[column]
            # What leaves nearest to where it goes turns first, so that those of a column never cross each other.
            for key in reversed(keys) if falls else keys:
                half = self._leaving(key) / 2
                y = self.boxes[key].middle + (half if falls else -half)
                for end in (end for end in self.ends[key] if end.falls == falls):
                    start = y - end.thick if falls else y
                    tip = self.bottom + 8.0 + away if falls else self.top - 8.0 - away
                    self._turn(end, (x0, start), at, tip)
                    y = start if falls else start + end.thick
                    at += end.thick + BESIDE
                    away -= ROW

    def _turn(self, end: _End, start: tuple[float, float], at: float, tip: float) -> None:
        words = self.words.of_end(
            end.edge, self.nodes[end.edge.source], end.node, self.bought, self.graph.recipe, SMALL
        )
        fill, line = _COLOURS[end.node.kind]
        self.shapes.append(Shape(turned(start, at, tip, end.thick), fill, line, 0.6, words))
        base = tip - TIP + 0.36 * SMALL if end.falls else tip + TIP + 0.36 * SMALL - 1.0
        colour = palette.RUST if end.falls else palette.INK
        x = at + end.thick + flare(end.thick) + 4.0
        self.texts.append(Text(x, base, words, SMALL, "regular", colour))

    def _box(self, key: str, spot: Spot) -> None:
        node, lines = self.nodes[key], self.labels[key]
        x, wide = self.x[spot.column], self.wide[spot.column]
        if self._is_bar(key):
            name, amounts = lines
            self.shapes.append(Shape(rectangle(x, spot.top, wide, spot.high), palette.QUIET))
            y = spot.middle + 0.34 * NAME
            self.texts.append(Text(x - 6, y, amounts.text, SMALL, "regular", palette.QUIET, "end"))
            self.texts.append(Text(x - 14 - amounts.width, y, name.text, NAME, "regular", palette.INK, "end"))
            return
        fill, line = {"part": (palette.PALE, palette.PINE), "aside": (palette.CREAM, palette.SAVED[1])}.get(
            node.kind, (palette.PINE, palette.PINE)
        )
        self.shapes.append(Shape(rectangle(x, spot.top, wide, spot.high), fill, line, 1.0))
        at = spot.middle - sum(text.size * LEADING for text in lines) / 2
        for text in lines:
            base = at + text.size * (LEADING - 0.22)
            self.texts.append(Text(x + wide / 2, base, text.text, text.size, text.face, text.colour, "middle"))
            at += text.size * LEADING
