"""A flow picture as PNG, by Pillow; shapes are drawn larger and then made smaller, so that their edges are smooth."""

from __future__ import annotations

import functools
import io
from typing import TYPE_CHECKING

from nutrition.panel.faces import path

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

    from costing.flow.picture import Picture, Point

    Colour = tuple[int, int, int]

SMOOTH = 2
"""how much larger shapes are drawn"""
BENDS = 14
"""straight pieces of a curve"""
APART = 8
"""least difference of two colours of the palette, of 255"""
_WHITE = (255, 255, 255)
LARGEST = 40_000_000
"""pixels that a picture may have before it is drawn smaller"""


def data(picture: Picture, dots: float = 144.0) -> bytes:
    """The picture as the bytes of a PNG file.

    Args:
        picture: the picture.
        dots: pixels to the inch; fewer where the picture would have more than 40 million.

    Returns:
        The file; the same picture always gives the same bytes with the same version of Pillow.

    Raises:
        FileNotFoundError: the font package is not installed.
    """
    from PIL import Image, ImageDraw

    scale = dots / 72.0
    scale = min(scale, (LARGEST / (picture.width * picture.height * SMOOTH**2)) ** 0.5)
    size = (max(1, round(picture.width * scale)), max(1, round(picture.height * scale)))
    image = Image.new("RGB", (size[0] * SMOOTH, size[1] * SMOOTH), "white")
    draw = ImageDraw.Draw(image)
    large = scale * SMOOTH
    for shape in picture.shapes:
        outline = [(x * large, y * large) for x, y in _flat(shape.path)]
        draw.polygon(outline, fill=f"#{shape.fill}")
        if shape.edge:
            draw.line([*outline, outline[0]], fill=f"#{shape.edge}", width=max(1, round(shape.line * large)))
    image = image.reduce(SMOOTH)
    draw = ImageDraw.Draw(image)
    for run in picture.texts:
        font = _font(run.face, round(run.size * scale * 4) / 4)
        draw.text((run.left * scale, run.y * scale), run.text, font=font, fill=f"#{run.colour}", anchor="ls")
    # A palette makes the file a third as large, and writing it takes a fifth of the time.
    palette = Image.new("P", (1, 1))
    palette.putpalette([part for colour in _palette(picture) for part in colour])
    out = io.BytesIO()
    flat = image.quantize(palette=palette, dither=Image.Dither.NONE)
    flat.save(out, "PNG", dpi=(72 * scale, 72 * scale), compress_level=4)
    return out.getvalue()


def _palette(picture: Picture) -> tuple[Colour, ...]:
    grounds = dict.fromkeys(shape.fill for shape in picture.shapes)
    edges = dict.fromkeys(shape.edge for shape in picture.shapes if shape.edge)
    words = dict.fromkeys(run.colour for run in picture.texts)
    return _mixed(tuple(sorted(grounds)), tuple(sorted(edges)), tuple(sorted(words)))


@functools.cache
def _mixed(grounds: tuple[str, ...], edges: tuple[str, ...], words: tuple[str, ...]) -> tuple[Colour, ...]:
    """White, every colour of a picture, and what smooth edges need between: colours on white, words on boxes."""
    inks = (*edges, *words)
    found: dict[Colour, None] = {_WHITE: None} | dict.fromkeys(map(_rgb, (*grounds, *inks)))
    on_white = [(_WHITE, _rgb(colour)) for colour in (*grounds, *inks)]
    on_boxes = [(_rgb(ground), _rgb(run)) for run in words for ground in grounds]
    for below, above in (*on_white, *on_boxes):
        for step in range(1, 8):
            mixed = _between(below, above, step / 8)
            # Pillow looks colours up a little coarsely, and must not find one that is only near the one meant.
            if not any(_near(mixed, other) for other in found):
                found[mixed] = None
    return tuple(found)[:256]


def _near(one: Colour, other: Colour) -> bool:
    return all(abs(a - b) < APART for a, b in zip(one, other, strict=True))


def _rgb(colour: str) -> Colour:
    return int(colour[0:2], 16), int(colour[2:4], 16), int(colour[4:6], 16)


def _between(below: Colour, above: Colour, share: float) -> Colour:
    red, green, blue = (round(a + (b - a) * share) for a, b in zip(below, above, strict=True))
    return red, green, blue


@functools.cache
def _font(face: str, pixels: float) -> FreeTypeFont:
    from PIL import ImageFont

    return ImageFont.truetype(str(path(face)), pixels, layout_engine=ImageFont.Layout.BASIC)


def _flat(way: tuple[tuple[Point, ...], ...]) -> list[Point]:
    """A path with its curves as straight pieces."""
    out: list[Point] = []
    for points in way:
        if len(points) == 1:
            out.append(points[0])
            continue
        (x0, y0), ((x1, y1), (x2, y2), (x3, y3)) = out[-1], points
        for n in range(1, BENDS + 1):
            t = n / BENDS
            a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
            out.append((a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3))
    return out
