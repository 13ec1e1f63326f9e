"""The outlines of bands: those that run between columns, and those that turn out of the stream.

>>> through([(0.0, 10.0)], [(0.0, 20.0)], 5.0)[1][-1], through([(0.0, 10.0)], [(0.0, 20.0)], 5.0)[2]
((10.0, 20.0), ((10.0, 25.0),))
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.flow.picture import Point

    Path = tuple[tuple[Point, ...], ...]

_ROUND = 0.5523
"""handles of a Bézier curve that is a quarter of a circle, in radii: 4/3 of the tangent of 1/16 turn"""

TURN = 4.0
"""inner radius of a band that turns, pt"""
TIP = 7.0
"""height of the head of such a band, pt"""


def through(gaps: Sequence[tuple[float, float]], tops: Sequence[tuple[float, float]], thick: float) -> Path:
    """A band through several gaps between columns; it runs straight past the columns themselves.

    Args:
        gaps: where each gap begins and ends, across, pt.
        tops: the upper edge of the band at both ends of each gap, pt.
        thick: its thickness, measured upright, pt.
    """
    upper: list[tuple[Point, ...]] = []
    lower: list[tuple[Point, ...]] = []
    for (x0, x1), (y0, y1) in zip(gaps, tops, strict=True):
        middle = (x0 + x1) / 2
        upper += [((x0, y0),), ((middle, y0), (middle, y1), (x1, y1))]
        lower[:0] = [((x1, y1 + thick),), ((middle, y1 + thick), (middle, y0 + thick), (x0, y0 + thick))]
    return (*upper, *lower)


def turned(start: Point, at: float, tip: float, thick: float) -> Path:
    """A band that leaves a box, turns once, and ends in a head.

    Args:
        start: where its upper edge leaves the box, pt.
        at: its left edge once it has turned, pt.
        tip: height of the tip of its head, pt; below the start it falls, above it rises.
        thick: its thickness, pt.
    """
    x, y = start
    falls = tip > y
    down = 1.0 if falls else -1.0
    outer_y, inner_y = (y, y + thick) if falls else (y + thick, y)
    outer = TURN + thick
    bend, flat = at - TURN, inner_y + down * TURN
    neck, wing = tip - down * TIP, flare(thick)
    return (
        ((x, outer_y),),
        ((bend, outer_y),),
        ((bend + _ROUND * outer, outer_y), (at + thick, flat - down * _ROUND * outer), (at + thick, flat)),
        ((at + thick, neck),),
        ((at + thick + wing, neck),),
        ((at + thick / 2, tip),),
        ((at - wing, neck),),
        ((at, neck),),
        ((at, flat),),
        ((at, flat - down * _ROUND * TURN), (bend + _ROUND * TURN, inner_y), (bend, inner_y)),
        ((x, inner_y),),
    )


def flare(thick: float) -> float:
    """How far the head of a band stands out at each side, pt; a thick band shows its direction without."""
    return 2.5 if thick < 24 else 0.0
