"""What a flow picture is made of, before anyone has chosen SVG or PNG.

All lengths are in points (1/72 inch); x runs to the right and y runs down from the upper left corner. The later an item
stands, the nearer it lies to the eye.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Literal

from nutrition.panel.faces import face

Point = tuple[float, float]
FaceName = Literal["regular", "bold"]
ELLIPSIS = "…"
ASCENT, DESCENT = 0.75, 0.25
"""How far type reaches above and below its baseline, as shares of its size."""


@dataclass(frozen=True, slots=True)
class Shape:
    """A closed, filled outline.

    Args:
        path: each one point, to which a straight line leads, or three: two handles and the end of a Bézier curve.
        fill: of the ground, six hexadecimal digits.
        edge: of the outline, empty for none.
        line: thickness of the outline, pt.
        said: what it is, for those who point at it or hear it.
    """

    path: tuple[tuple[Point, ...], ...]
    fill: str
    edge: str = ""
    line: float = 0.5
    said: str = ""


@dataclass(frozen=True, slots=True)
class Text:
    """A run of text on one line.

    Args:
        x: where it begins or ends, pt.
        y: its baseline, pt.
        text: the words.
        size: type size, pt.
        face: ``regular`` or ``bold``.
        colour: six hexadecimal digits.
        anchor: ``start``, ``middle`` or ``end``: which point of it lies at x.
    """

    x: float
    y: float
    text: str
    size: float
    face: FaceName = "regular"
    colour: str = "000000"
    anchor: Literal["start", "middle", "end"] = "start"

    @property
    def width(self) -> float:
        """How wide it is, pt."""
        return width(self.text, self.size, self.face)

    @property
    def left(self) -> float:
        """Where it begins, pt."""
        return self.x - self.width * {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor]

    @property
    def box(self) -> tuple[float, float, float, float]:
        """The room it takes: left, top, right, bottom, pt."""
        return (self.left, self.y - ASCENT * self.size, self.left + self.width, self.y + DESCENT * self.size)


@dataclass(frozen=True, slots=True)
class Picture:
    """A finished picture.

    Args:
        width: pt.
        height: pt.
        shapes: from the back to the front.
        texts: in front of all shapes.
        title: what it is, in a line.
        said: what it shows, in a sentence.
    """

    width: float
    height: float
    shapes: tuple[Shape, ...]
    texts: tuple[Text, ...]
    title: str
    said: str


def rectangle(x: float, y: float, wide: float, high: float) -> tuple[tuple[Point, ...], ...]:
    """The path of a rectangle."""
    return (((x, y),), ((x + wide, y),), ((x + wide, y + high),), ((x, y + high),))


@functools.cache
def plain(text: str) -> str:
    """A text as the type can set it: on one line, and a question mark for each character that it has not.

    >>> plain(" salt \\n & smoke \\u2603")
    'salt & smoke ?'
    """
    words = " ".join(text.split())
    lacking = frozenset(face("regular").missing(words))
    return "".join("?" if letter in lacking else letter for letter in words) if lacking else words


@functools.cache
def width(text: str, size: float, name: FaceName = "regular") -> float:
    """How wide a text is, pt."""
    return face(name).width(text, size)


def cut(text: str, room: float, size: float, name: FaceName = "regular") -> str:
    """A text as far as it fits, with an ellipsis where something is left out.

    >>> cut("white miso", 400.0, 10.0), cut("white miso", 30.0, 10.0)
    ('white miso', 'whit…')
    """
    if width(text, size, name) <= room:
        return text
    while text and width(text.rstrip() + ELLIPSIS, size, name) > room:
        text = text[:-1]
    return text.rstrip() + ELLIPSIS


def broken(text: str, room: float, size: float, name: FaceName = "regular", most: int = 3) -> tuple[str, ...]:
    """A text broken into lines that fit, the last one cut if there are too many.

    >>> broken("browned butter and rye", 50.0, 10.0, most=2)
    ('browned', 'butter an…')
    """
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width(longer, size, name) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    if len(lines) > most:
        lines[most - 1 :] = [" ".join(lines[most - 1 :])]
    return tuple(cut(line, room, size, name) for line in lines)
