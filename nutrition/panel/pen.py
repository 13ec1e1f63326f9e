"""Sets texts and bars one after another and keeps what was drawn: the tool that draws every form of the panel."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from nutrition.panel.drawing import Bar, Text
from nutrition.panel.faces import face

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nutrition.panel.drawing import Item
    from nutrition.panel.rules import Look

# Where the baseline lies in a line of type: the faces rise 0.75 of the type size above it and reach 0.25 below.
RISE = 0.75


@dataclass(slots=True)
class Pen:
    """Draws downwards between two edges.

    Args:
        look: the measures to draw with.
        left: left edge of the texts, pt.
        right: right edge of the texts, pt.
        y: where the next line begins, pt.
        items: what was drawn so far.
    """

    look: Look
    left: float
    right: float
    y: float
    items: list[Item] = field(default_factory=list)

    @property
    def inner(self) -> float:
        """Width between the edges, pt."""
        return self.right - self.left

    def beside(self, left: float, right: float, y: float | None = None) -> Pen:
        """Another pen on the same paper, between other edges, from the same height unless another is given."""
        return Pen(self.look, left, right, self.y if y is None else y, self.items)

    def line(self, size: float, leading: float) -> float:
        """Begins a line of type, half of the leading above it and half below.

        Returns:
            Its baseline, pt; ``y`` then lies below the line.
        """
        baseline = self.y + leading / 2 + RISE * size
        self.y += size + leading
        return baseline

    def text(self, x: float, baseline: float, words: str, name: str, size: float, *, anchor: str = "start") -> None:
        """Sets one run of text in one face."""
        self.items.append(Text(x, baseline, words, name, size, face(name).width(words, size), anchor))

    def runs(self, x: float, baseline: float, runs: Sequence[tuple[str, str]], size: float) -> None:
        """Sets runs of (face, words) behind each other, a word space apart."""
        for name, words in runs:
            self.text(x, baseline, words, name, size)
            x += face(name).width(words, size) + blank(size)

    def paragraph(self, words: str, size: float, leading: float, *, hang: float = 0.0) -> None:
        """Sets a text in as many lines as it needs, all of them moved in by ``hang`` pt."""
        for said in wrap(words, "regular", size, self.inner - hang):
            self.text(self.left + hang, self.line(size, leading), said, "regular", size)

    def bar(self, key: str) -> None:
        """Draws a bar of the table of measures from edge to edge, and goes below it."""
        thickness = self.look.bar(key)
        self.items.append(Bar(self.left, self.y, self.inner, thickness))
        self.y += thickness

    def rule(self, left: float | None = None) -> None:
        """Draws a hairline on the line between two rows; it takes no height of its own."""
        x = self.left if left is None else left
        thickness = self.look.bar("hairline")
        self.items.append(Bar(x, self.y - thickness / 2, self.right - x, thickness))

    def upright(self, x: float, top: float, bottom: float) -> None:
        """Draws an upright hairline."""
        thickness = self.look.bar("hairline")
        self.items.append(Bar(x - thickness / 2, top, thickness, bottom - top))


def blank(size: float) -> float:
    """Width of a word space, pt."""
    return face("regular").width(" ", size)


def runs_width(runs: Sequence[tuple[str, str]], size: float) -> float:
    """How wide runs of (face, words) are, a word space apart, pt."""
    return sum(face(name).width(words, size) for name, words in runs) + blank(size) * (len(runs) - 1)


def wrap(words: str, name: str, size: float, width: float) -> list[str]:
    """Breaks a text into lines that are no wider than ``width`` pt; a single word that is wider stands alone."""
    lines: list[str] = []
    line = ""
    for word in words.split():
        longer = f"{line} {word}" if line else word
        if line and face(name).width(longer, size) > width:
            lines.append(line)
            line = word
        else:
            line = longer
    if line:
        lines.append(line)
    return lines
