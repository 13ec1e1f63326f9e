"""Draws a panel as SVG 1.1, to real size and with its type in it.

Letters are drawn as outlines, so that every viewer shows the panel alike whether or not it has the type: a stand-in
would be wider, and letters would touch. The words stand a second time as texts without ink, so that they can be
searched and read aloud.
"""

from __future__ import annotations

import functools
from html import escape

from nutrition.panel.drawing import Bar, Drawing, Item, Ring, Text
from nutrition.panel.faces import FAMILY, face, outline

_STYLES = {"regular": "", "bold": ' font-weight="700"', "italic": ' font-style="italic"'}


def text(drawing: Drawing, title: str = "Nutrition Facts") -> str:
    """The drawing as an SVG document.

    Args:
        drawing: the drawing.
        title: what the picture is, for those who hear it; anything that XML cannot hold is left out.

    Returns:
        The document; the same drawing always gives the same text.

    Raises:
        FileNotFoundError: the font package is not installed.

    >>> text(Drawing(72.0, 36.0, (Bar(0.0, 0.0, 72.0, 7.0),))).splitlines()[-4]
    '<rect x="0" y="0" width="72" height="7"/>'
    """
    width, height = _number(drawing.width), _number(drawing.height)
    letters = dict.fromkeys((run.face, letter) for run in drawing.texts for letter in run.text)
    return "\n".join(
        [
            '<?xml version="1.0" encoding="UTF-8"?>',
            '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
            f'width="{width}pt" height="{height}pt" viewBox="0 0 {width} {height}" role="img">',
            f"<title>{escape(_legal(title), quote=False)}</title>",
            "<defs>",
            *(_glyph(*letter) for letter in letters if letter[1] != " "),
            "</defs>",
            '<rect width="100%" height="100%" fill="#fff"/>',
            *(_ink(item) for item in drawing.items),
            f'<g fill="none" font-family="\'{FAMILY}\', Helvetica, Arial, sans-serif">',
            *(_words(run) for run in drawing.texts),
            "</g>\n</svg>\n",
        ]
    )


def _ink(item: Item) -> str:
    if isinstance(item, Text):
        return _outlines(item)
    if isinstance(item, Ring):
        place = f'cx="{_number(item.x)}" cy="{_number(item.y)}" r="{_number(item.radius)}"'
        return f'<circle {place} fill="none" stroke="#000" stroke-width="{_number(item.line)}"/>'
    place = f'x="{_number(item.x)}" y="{_number(item.y)}" width="{_number(item.width)}" height="{_number(item.height)}"'
    if isinstance(item, Bar):
        return f"<rect {place}/>"
    return f'<rect {place} fill="none" stroke="#000" stroke-width="{_number(item.line)}"/>'


@functools.cache
def _glyph(name: str, letter: str) -> str:
    return f'<path id="{_id(name, letter)}" d="{outline(name, letter)}"/>'


def _id(name: str, letter: str) -> str:
    return f"{name}-{ord(letter):x}"


def _outlines(run: Text) -> str:
    """The letters of a run side by side, in units of the font, whose y runs up."""
    used = face(run.face)
    em = used.em
    said = []
    x = 0.0
    for letter in run.text:
        if letter != " ":
            at = f' x="{_number(x * em)}"' if x else ""
            said.append(f'<use xlink:href="#{_id(run.face, letter)}"{at}/>')
        x += used.advances[ord(letter)]
    # SVG counts turns clockwise, because its y runs down.
    turn = f" rotate({_number(-run.turn)})" if run.turn else ""
    before = f" translate({_number(run.left - run.x)} 0)" if run.turn else ""
    start = run.x if run.turn else run.left
    level = round(255 * run.grey)
    fill = f' fill="#{level:02x}{level:02x}{level:02x}"' if level else ""
    scale = f"{run.size / em:.7f}"
    return (
        f'<g transform="translate({_number(start)} {_number(run.y)}){turn}{before} scale({scale} -{scale})"{fill}>'
        f"{''.join(said)}</g>"
    )


def _words(run: Text) -> str:
    """The run as a text without ink, fitted to the same width whatever type the viewer has."""
    x, y = _number(run.x), _number(run.y)
    anchor = "" if run.anchor == "start" else f' text-anchor="{run.anchor}"'
    turn = f' transform="rotate({_number(-run.turn)} {x} {y})"' if run.turn else ""
    return (
        f'<text x="{x}" y="{y}" font-size="{_number(run.size)}"{_STYLES[run.face]}{anchor}{turn} '
        f'textLength="{_number(run.width)}" lengthAdjust="spacingAndGlyphs">'
        f"{escape(_legal(run.text), quote=False)}</text>"
    )


def _number(value: float) -> str:
    """A length to a thousandth, without needless zeros."""
    shown = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if shown == "-0" else shown


def _legal(words: str) -> str:
    """A text without the characters that XML 1.0 cannot hold (its production 2, Char)."""
    return "".join(
        letter
        for letter in words
        if letter in "\t\n\r"
        or "\x20" <= letter <= "\ud7ff"
        or "\ue000" <= letter <= "\ufffd"
        or letter >= "\U00010000"
    )
