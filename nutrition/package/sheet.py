"""A sheet for the printer: what is printed inside the trimmed edge, and bleed, crop marks and a caption outside it.

Common practice of printers: crop marks stand outside the bleed, so that none is ever seen on the label; the trimmed
size is also in the page boxes of the PDF (ISO 32000-1, 14.11.2: TrimBox and BleedBox).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.package import letters
from nutrition.package.measures import points
from nutrition.panel.drawing import POINTS_PER_INCH, Bar, Drawing, Ring, Text, moved
from nutrition.panel.faces import CAP_HEIGHT, face
from nutrition.panel.pen import wrap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nutrition.panel.drawing import Item

PROOF = "PROOF"
_PROOF_GREY = 0.88
_PROOF_SHARE = 0.7


@dataclass(frozen=True, slots=True)
class Sheet:
    """A page with a label on it.

    Args:
        name: ``wrap``, ``label`` or ``lid``.
        drawing: the page.
        trim: left, top, width and height of the trimmed label on it, pt.
        bleed: how far the bleed reaches beyond that, pt.
        round: it is cut as a circle.
    """

    name: str
    drawing: Drawing
    trim: tuple[float, float, float, float]
    bleed: float
    round: bool = False


def sheet(
    name: str,
    items: Sequence[Item],
    width: float,
    height: float,
    captions: Sequence[str],
    *,
    circle: bool = False,
    guides: Sequence[tuple[float, float, str]] = (),
    proof: str = "",
) -> Sheet:
    """A page around a label.

    Args:
        name: what it is.
        items: what is printed, from the upper left corner of the trimmed label.
        width: of the trimmed label, pt.
        height: of the trimmed label, pt.
        captions: lines that stand below it, outside the bleed.
        circle: it is cut as a circle.
        guides: from where to where along the upper edge something reaches, pt, and what it is.
        proof: why it must not be printed on a package; empty where it may.
    """
    bleed, mark, size = points("bleed"), points("mark"), points("slug")
    leading = 1.35 * size
    left = bleed + mark + 3.0
    top = left + (1.6 * size if guides else 0.0)
    room = width + 2 * (bleed + mark)
    lines = [line for words in (*captions, *([proof] if proof else ())) for line in wrap(words, "regular", size, room)]
    page = (width + 2 * left, top + height + bleed + mark + leading * len(lines) + 6.0)
    line = points("mark_line")
    drawn: list[Item] = []
    if proof:
        drawn.append(_proof(left, top, width, height))
    drawn += [*moved(items, left, top), *_marks(left, top, width, height, bleed, mark, line)]
    if circle:
        # The knife follows the ring, whose inner edge is the trimmed edge: the ring goes with the waste.
        drawn.append(Ring(left + width / 2, top + height / 2, (width + line) / 2, line))
        drawn += _quarters(left, top, width, height, bleed, mark, line)
    drawn += _guides(guides, left, top - bleed, size, line)
    y = top + height + bleed + mark + leading
    for words in lines:
        drawn.append(Text(left - bleed - mark, y, words, "regular", size, face("regular").width(words, size)))
        y += leading
    return Sheet(name, Drawing(*page, tuple(drawn), (), bool(proof)), (left, top, width, height), bleed, circle)


def _marks(left: float, top: float, width: float, height: float, bleed: float, mark: float, line: float) -> list[Item]:
    """Two marks at each corner, in line with the trimmed edges and outside the bleed."""
    found: list[Item] = []
    for x in (left, left + width):
        found += [
            Bar(x - line / 2, top - bleed - mark, line, mark),
            Bar(x - line / 2, top + height + bleed, line, mark),
        ]
    for y in (top, top + height):
        found += [
            Bar(left - bleed - mark, y - line / 2, mark, line),
            Bar(left + width + bleed, y - line / 2, mark, line),
        ]
    return found


def _quarters(
    left: float, top: float, width: float, height: float, bleed: float, mark: float, line: float
) -> list[Item]:
    """Marks at the middle of each side, through which the circle's two axes run."""
    x, y = left + width / 2 - line / 2, top + height / 2 - line / 2
    return [
        Bar(x, top - bleed - mark, line, mark),
        Bar(x, top + height + bleed, line, mark),
        Bar(left - bleed - mark, y, mark, line),
        Bar(left + width + bleed, y, mark, line),
    ]


def _guides(
    guides: Sequence[tuple[float, float, str]], left: float, bottom: float, size: float, line: float
) -> list[Item]:
    """What reaches from where to where along the upper edge, above the bleed."""
    found: list[Item] = []
    for begin, end, words in guides:
        y = bottom - 0.9 * size
        inset = 2.0
        wide = face("regular").width(words, size)
        found += [
            Bar(left + begin + inset, y, end - begin - 2 * inset, line),
            Bar(left + begin + inset, y, line, 4.0),
            Bar(left + end - inset - line, y, line, 4.0),
            Text(left + (begin + end) / 2, y - 2.5, words, "regular", size, wide, "middle"),
        ]
    return found


def _proof(left: float, top: float, width: float, height: float) -> Text:
    """The word that runs across the label, behind all else."""
    turn = min(math.atan2(height, width), math.radians(45.0))
    wide = face("regular").width(PROOF, 1.0)
    size = _PROOF_SHARE * min(
        width / (wide * math.cos(turn) + CAP_HEIGHT * math.sin(turn)),
        height / (wide * math.sin(turn) + CAP_HEIGHT * math.cos(turn)),
    )
    half = letters.cap_height("regular") * size / 2
    return Text(
        x=left + width / 2 + half * math.sin(turn),
        y=top + height / 2 + half * math.cos(turn),
        text=PROOF,
        face="regular",
        size=size,
        width=wide * size,
        anchor="middle",
        turn=math.degrees(turn),
        grey=_PROOF_GREY,
    )


def inches(length: float) -> str:
    """A length in pt as inches for a caption.

    >>> inches(820.8)
    '11.4'
    """
    return f"{length / POINTS_PER_INCH:.3f}".rstrip("0").rstrip(".")
