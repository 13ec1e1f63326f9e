"""A flow picture as SVG 1.1, with its words as words.

Every text is fitted to the width that the picture was laid out with, so that nothing overlaps where the viewer has
another type.
"""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from nutrition.panel.faces import FAMILY

if TYPE_CHECKING:
    from costing.flow.picture import Picture, Point, Shape, Text


def text(picture: Picture) -> str:
    """The picture as an SVG document.

    Args:
        picture: the picture.

    Returns:
        The document; the same picture always gives the same text.

    Raises:
        FileNotFoundError: the font package is not installed.
    """
    width, height = _number(picture.width), _number(picture.height)
    return "\n".join(
        [
            '<?xml version="1.0" encoding="UTF-8"?>',
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}pt" height="{height}pt" '
            f'viewBox="0 0 {width} {height}" role="img">',
            f"<title>{_legal(picture.title)}</title>",
            f"<desc>{_legal(picture.said)}</desc>",
            '<rect width="100%" height="100%" fill="#fff"/>',
            *(_shape(shape) for shape in picture.shapes),
            f"<g font-family=\"'{FAMILY}', 'Source Sans 3', Arial, Helvetica, sans-serif\">",
            *(_words(run) for run in picture.texts),
            "</g>\n</svg>\n",
        ]
    )


def _shape(shape: Shape) -> str:
    edge = f' stroke="#{shape.edge}" stroke-width="{_number(shape.line)}" stroke-linejoin="round"' if shape.edge else ""
    drawn = f'd="{_path(shape.path)}" fill="#{shape.fill}"{edge}'
    return f"<path {drawn}><title>{_legal(shape.said)}</title></path>" if shape.said else f"<path {drawn}/>"


def _path(path: tuple[tuple[Point, ...], ...]) -> str:
    said = []
    for n, points in enumerate(path):
        letter = "M" if n == 0 else "L" if len(points) == 1 else "C"
        said.append(letter + " ".join(f"{_number(x)},{_number(y)}" for x, y in points))
    return "".join(said) + "Z"


def _words(run: Text) -> str:
    anchor = "" if run.anchor == "start" else f' text-anchor="{run.anchor}"'
    weight = ' font-weight="700"' if run.face == "bold" else ""
    return (
        f'<text x="{_number(run.x)}" y="{_number(run.y)}" font-size="{_number(run.size)}"{weight}{anchor} '
        f'fill="#{run.colour}" textLength="{_number(run.width)}" lengthAdjust="spacingAndGlyphs">'
        f"{_legal(run.text)}</text>"
    )


def _number(value: float) -> str:
    """A length to a hundredth, without needless zeros."""
    shown = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if shown == "-0" else shown


def _legal(words: str) -> str:
    """A text with its markup escaped, without the characters that XML 1.0 cannot hold (its production 2, Char)."""
    kept = (
        letter
        for letter in words
        if letter in "\t\n\r"
        or "\x20" <= letter <= "\ud7ff"
        or "\ue000" <= letter <= "\ufffd"
        or letter >= "\U00010000"
    )
    return escape("".join(kept), quote=False)
