"""How high letters stand, so that a height that the law sets becomes a type size.

Where a text has small letters, the law measures the small "o" or its equivalent (21 CFR 101.2(c), 101.7(h)(2), from
memory). The curve of an "o" reaches a little over the flat letters; the flat height is taken here, so that no gauge
finds a letter too low.

>>> round(x_height("regular"), 3), round(cap_height("bold"), 3)
(0.486, 0.652)
>>> round(size_for(1 / 16, "regular"), 2)
9.26
"""

from __future__ import annotations

import functools

from nutrition.panel import faces
from nutrition.panel.drawing import POINTS_PER_INCH


@functools.cache
def _heights(name: str) -> tuple[float, float, float, float]:
    """Height of x and of H, how far a bracket reaches down, and how high ink rises, as shares of the type size."""
    # Imported here because the command line must start without it.
    from fontTools.pens.boundsPen import BoundsPen
    from fontTools.ttLib import TTFont

    font = TTFont(str(faces.path(name)), lazy=True)
    glyphs, letters, em = font.getGlyphSet(), font.getBestCmap(), font["head"].unitsPerEm
    bounds = {}
    for letter in "xH(bdlj":
        pen = BoundsPen(glyphs)
        glyphs[letters[ord(letter)]].draw(pen)
        bounds[letter] = pen.bounds
    rise = max(bounds[letter][3] for letter in "bdl(")
    drop = max(-bounds[letter][1] for letter in "(j")
    return bounds["x"][3] / em, bounds["H"][3] / em, drop / em, rise / em


def x_height(name: str) -> float:
    """Height of the small letters of a face, as a share of the type size.

    Args:
        name: ``regular``, ``bold`` or ``italic``.
    """
    return _heights(name)[0]


def cap_height(name: str) -> float:
    """Height of capitals and figures, as a share of the type size."""
    return _heights(name)[1]


def drop(name: str) -> float:
    """How far brackets and tails reach below the line, as a share of the type size."""
    return _heights(name)[2]


def rise(name: str) -> float:
    """How high the tallest letters stand above the line, as a share of the type size."""
    return _heights(name)[3]


def size_for(height_in: float, name: str, *, capitals: bool = False) -> float:
    """The least type size, pt, at which letters are so high.

    Args:
        height_in: the height that the law sets, inches.
        name: of the face.
        capitals: the text has nothing but capitals and figures.
    """
    return height_in * POINTS_PER_INCH / (cap_height(name) if capitals else x_height(name))
