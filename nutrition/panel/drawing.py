"""What a drawn panel is made of, before anyone has chosen SVG or PDF.

A :class:`Drawing` is a flat list of texts, bars and boxes at fixed places. All lengths are in points
(1/72 inch); x runs to the right and y runs down from the upper left corner of the drawing, as in SVG.
The later an item stands in the list, the nearer it lies to the eye.

>>> Drawing(144.0, 72.0, (Bar(0.0, 10.0, 144.0, 7.0),)).width_in
2.0
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

POINTS_PER_INCH = 72.0
BLACK = 0.0


@dataclass(frozen=True, slots=True)
class Text:
    """A run of text in one face and one size, on one line.

    Args:
        x: where it is anchored, pt.
        y: its baseline, pt.
        text: the words.
        face: ``regular``, ``bold`` or ``italic``.
        size: type size, pt.
        width: how wide the run is in that face, pt.
        anchor: ``start``, ``middle`` or ``end``: which point of the run lies at x.
        turn: degrees by which it is turned about (x, y), counter-clockwise.
        grey: 0 is black, 1 is white.
    """

    x: float
    y: float
    text: str
    face: str
    size: float
    width: float
    anchor: str = "start"
    turn: float = 0.0
    grey: float = BLACK

    @property
    def left(self) -> float:
        """Where the run begins, pt, before any turning."""
        return self.x - self.width * {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor]


@dataclass(frozen=True, slots=True)
class Bar:
    """A filled black rectangle: a bar, a hairline or an upright rule. In pt; (x, y) is its upper left corner."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Box:
    """An empty rectangle, all in pt; ``line`` is the thickness of its outline, which is centred on its edge."""

    x: float
    y: float
    width: float
    height: float
    line: float


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle, all in pt; (x, y) is its middle, and ``line`` the thickness of its outline, centred on its edge."""

    x: float
    y: float
    radius: float
    line: float


Item = Text | Bar | Box | Ring


def moved(items: Iterable[Item], right: float, down: float) -> tuple[Item, ...]:
    """Items at another place.

    Args:
        items: the items.
        right: how far to the right, pt.
        down: how far down, pt.

    >>> moved((Bar(1.0, 2.0, 3.0, 4.0),), 10.0, 20.0)
    (Bar(x=11.0, y=22.0, width=3.0, height=4.0),)
    """
    return tuple(replace(item, x=item.x + right, y=item.y + down) for item in items)


@dataclass(frozen=True, slots=True)
class Drawing:
    """A finished drawing.

    Args:
        width: pt.
        height: pt.
        items: from the back to the front.
        notes: what whoever asked for it should know, one sentence each.
        proof: it is marked as a proof and must not be printed on a package.
        form: which form of the panel it is, a key of ``panel_forms.csv``; empty for other drawings.
        rule: the paragraph of that form.
    """

    width: float
    height: float
    items: tuple[Item, ...]
    notes: tuple[str, ...] = ()
    proof: bool = False
    form: str = ""
    rule: str = ""

    @property
    def width_in(self) -> float:
        """Width in inches."""
        return self.width / POINTS_PER_INCH

    @property
    def height_in(self) -> float:
        """Height in inches."""
        return self.height / POINTS_PER_INCH

    @property
    def box(self) -> tuple[float, float]:
        """Width and height of the panel's own box with its line, pt; what stands below it is left out."""
        for item in self.items:
            if isinstance(item, Box):
                return item.width + item.line, item.height + item.line
        return self.width, self.height

    @property
    def texts(self) -> tuple[Text, ...]:
        """The texts alone, in order."""
        return tuple(item for item in self.items if isinstance(item, Text))
