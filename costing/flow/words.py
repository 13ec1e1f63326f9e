"""The words of a flow picture: amounts in the shop's locale, what stands in boxes and at ends, what it comes to."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing import money
from costing.flow.picture import cut, plain, width

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.flow.gather import By
    from costing.flow.graph import Edge, Graph, Node

LONGEST = 260.0
"""room for what an end is called, pt"""


def called(node: Node, own: str) -> str:
    """The name of a node; a part of a house base carries the key of its recipe.

    Args:
        node: the node.
        own: key of the flavour's recipe.
    """
    name = plain(node.name)
    return f"{name} ({plain(node.recipe)})" if node.kind == "part" and node.recipe != own else name


@dataclass(frozen=True, slots=True)
class Words:
    """How amounts are written.

    Args:
        currency: ISO code of the shop's currency.
        locale: the shop's locale.
        by: which of weight and money is drawn, and comes first.
    """

    currency: str
    locale: str
    by: By = "value"

    def cash(self, value: float) -> str:
        """An amount of money; one that rounds to nothing and is not says so.

        >>> Words("USD", "en_US").cash(0.004), Words("USD", "en_US").cash(0.005)
        ('under $0.01', '$0.01')
        """
        if not math.isfinite(value):
            return "price unknown"
        digits = money.digits_of(self.currency)
        if value > 1e-9 and money.rounded(value, digits) == 0:
            return f"under {money.show(10.0**-digits, self.currency, self.locale)}"
        return money.show(max(value, 0.0), self.currency, self.locale)

    def weight(self, grams: float) -> str:
        """A weight.

        >>> Words("USD", "en_US").weight(3749.31), Words("USD", "en_US").weight(4.04)
        ('3,749 g', '4.0 g')
        """
        return f"{money.number(grams, self.locale, 0 if grams >= 99.95 else 1)} g"

    def share(self, part: float, whole: float) -> str:
        """A share as a percentage; empty where it cannot be said, or rounds to nothing."""
        if not (math.isfinite(part) and whole > 0 and part / whole >= 0.0005):
            return ""
        return money.percent(100 * part / whole, self.locale)

    def pair(self, value: float, grams: float, bought: float = 0.0) -> tuple[str, str]:
        """Money and weight, the one that is drawn first, with its share of what was bought if that is given."""
        first, second = (grams, value) if self.by == "mass" else (value, grams)
        share = self.share(first, bought)
        if self.by == "mass":
            said, other = self.weight(first), self.cash(second)
        else:
            said, other = self.cash(first), self.weight(second)
        return (f"{said}, {share}" if share else said), other

    def both(self, value: float, grams: float) -> str:
        """Money and weight in one text."""
        return " · ".join(self.pair(value, grams))

    def of_end(self, edge: Edge, source: Node, end: Node, bought: float, own: str, size: float) -> str:
        """What stands at the end of a band that left the stream.

        Args:
            edge: the band.
            source: where it left.
            end: where it ends.
            bought: what was bought, in the measure that is drawn.
            own: key of the flavour's recipe.
            size: type size, pt.
        """
        if end.kind == "vapour":
            share = self.share(edge.grams, bought)
            amounts = f"{self.weight(edge.grams)}, {share}" if share else self.weight(edge.grams)
            return f"{cut(f'boiled off: {called(source, own)}', LONGEST, size)} · {amounts}"
        thing = end.name if end.kind == "saved" else f"{edge.what}, {called(source, own)}"
        amounts = " · ".join(self.pair(edge.value, edge.grams, bought))
        return f"{cut(f'{end.kind}: {plain(thing)}', LONGEST, size)} · {amounts}"

    def of_purchase(self, node: Node, out: Sequence[Edge], others: Sequence[str]) -> tuple[str, str]:
        """Name and amounts of a purchase, or of several that were put together."""
        amounts = self.both(math.fsum(edge.value for edge in out), math.fsum(edge.grams for edge in out))
        if node.count:
            return f"{node.count} others: {', '.join(plain(name) for name in others)}", amounts
        return plain(node.name), amounts

    def of_box(self, node: Node, into: Sequence[Edge], bought: float, own: str, room: float, size: float) -> list[str]:
        """Name of a part or a kind of container, then its amounts, line by line.

        Args:
            node: the part or container.
            into: what comes in.
            bought: what was bought, in the measure that is drawn.
            own: key of the flavour's recipe.
            room: width of a line, pt.
            size: type size of the amounts, pt.
        """
        value, grams = math.fsum(edge.value for edge in into), math.fsum(edge.grams for edge in into)
        name = f"{node.count} × {plain(node.name)}" if node.kind == "containers" and node.count else called(node, own)
        joined = self.both(value, grams)
        lines = [joined] if width(joined, size) <= room else list(self.pair(value, grams))
        if node.kind == "containers":
            share = self.share(grams if self.by == "mass" else value, bought)
            lines += [f"{share} of bought"] if share else []
        return [name, *lines]

    def lead(self, graph: Graph) -> tuple[str, ...]:
        """What it comes to, and how to read it."""
        mass = self.by == "mass"
        totals = graph.totals(grams=mass)
        say = self.weight if mass else self.cash
        filled = any(node.count for node in graph.of("containers"))
        amounts = [(totals.contained, "in containers" if filled else "made"), (totals.saved, "saved")]
        amounts += [(totals.lost, "lost"), (totals.vapour, "boiled off")]
        sums = [(amount, what) for amount, what in amounts if amount > 0]
        pieces = [f"{say(a)} {what} ({self.share(a, totals.bought) or 'next to nothing'})" for a, what in sums]
        summary = f"{say(totals.bought)} bought = {' + '.join(pieces)}"
        if not mass:
            how = "Bands are as thick as what they carry cost when it was bought; what boils off takes no money."
            return summary, how + ("" if self._adds_up(totals.bought, sums) else " Figures are rounded one by one.")
        if not graph.priced:
            return summary, "Bands are as thick as what they carry is heavy; a price is missing, so no money is drawn."
        return summary, "Bands are as thick as what they carry is heavy; money is what it cost when it was bought."

    def _adds_up(self, whole: float, parts: Sequence[tuple[float, str]]) -> bool:
        digits = money.digits_of(self.currency)
        return money.rounded(whole, digits) == sum(money.rounded(part, digits) for part, _ in parts)
