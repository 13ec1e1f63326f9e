"""Text set in lines between two edges, with runs of different faces in one paragraph.

>>> len(broken((("regular", "cream, milk, sugar, guar gum"),), 10.0, 60.0))
3
"""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING

from nutrition.package import letters
from nutrition.panel.drawing import Text
from nutrition.panel.faces import face

if TYPE_CHECKING:
    from collections.abc import Sequence

Runs = tuple[tuple[str, str], ...]
"""Runs of (face, words), a word space apart."""

LEADING = 1.12
"""From one baseline to the next, by the type size."""
BETWEEN = 0.45
"""More space between two paragraphs, by the type size."""


def broken(runs: Runs, size: float, width: float) -> list[list[tuple[str, str, float]]]:
    """The lines of a paragraph, each as (face, words, x).

    Args:
        runs: its words.
        size: type size, pt.
        width: of its lines, pt; a single word that is wider stands alone and reaches over.
    """
    blank = face("regular").width(" ", size)
    lines: list[list[tuple[str, str, float]]] = [[]]
    x = 0.0
    for name, words in runs:
        for word in words.split():
            wide = face(name).width(word, size)
            if lines[-1] and x + blank + wide > width + 1e-6:
                lines.append([])
                x = 0.0
            elif lines[-1]:
                x += blank
            line = lines[-1]
            # Words of one face that follow each other are one run, so that the text can be searched.
            if line and line[-1][0] == name:
                line[-1] = (name, f"{line[-1][1]} {word}", line[-1][2])
            else:
                line.append((name, word, x))
            x += wide
    return lines if lines[-1] else lines[:-1]


@functools.lru_cache(4096)
def height(paragraphs: tuple[Runs, ...], size: float, width: float) -> float:
    """How high paragraphs stand in so wide a place, from the top of the first letters to the bottom of the last, pt."""
    count = sum(len(broken(runs, size, width)) for runs in paragraphs)
    if not count:
        return 0.0
    between = BETWEEN * size * (len(paragraphs) - 1)
    return (count - 1) * LEADING * size + between + (letters.rise("regular") + letters.drop("regular")) * size


@functools.lru_cache(256)
def widest_word(paragraphs: tuple[Runs, ...], size: float) -> float:
    """Width of the widest single word, pt."""
    return max(
        (face(name).width(word, size) for runs in paragraphs for name, words in runs for word in words.split()),
        default=0.0,
    )


def lay(paragraphs: Sequence[Runs], size: float, x: float, y: float, width: float) -> tuple[Text, ...]:
    """Paragraphs one below the other.

    Args:
        paragraphs: the runs of each.
        size: type size, pt.
        x: left edge, pt.
        y: top of the tallest letters of the first line, pt.
        width: of the lines, pt.
    """
    items: list[Text] = []
    baseline = y + letters.rise("regular") * size
    for runs in paragraphs:
        for line in broken(runs, size, width):
            items.extend(
                Text(x + at, baseline, words, name, size, face(name).width(words, size)) for name, words, at in line
            )
            baseline += LEADING * size
        baseline += BETWEEN * size
    return tuple(items)


@functools.lru_cache(256)
def balanced(words: str, name: str, count: int) -> tuple[str, ...]:
    """A text in so many lines, as even as they come; fewer where it has fewer words.

    >>> balanced("Toasted pistachio & sour cherry", "bold", 2)
    ('Toasted pistachio', '& sour cherry')
    """
    units = words.split()
    if count <= 1 or len(units) <= 1:
        return (" ".join(units),)
    low, high = max(face(name).width(one, 1.0) for one in units), face(name).width(words, 1.0)
    for _ in range(24):
        middle = (low + high) / 2
        low, high = (low, middle) if len(_lines(units, name, middle)) <= count else (middle, high)
    return tuple(_lines(units, name, high))


def _lines(units: Sequence[str], name: str, width: float) -> list[str]:
    lines: list[str] = []
    for unit in units:
        longer = f"{lines[-1]} {unit}" if lines else unit
        if lines and face(name).width(longer, 1.0) <= width + 1e-9:
            lines[-1] = longer
        else:
            lines.append(unit)
    return lines
