"""Draws a panel as PNG in shades of grey, with its real size in the file: for the printer at 600 dots to the inch.

The letters are set one by one, each at the place that the drawing gives it, out of the same font files as those of
the PDF; everything is drawn larger and then made smaller, so that edges are smooth and hairlines keep their weight.
"""

from __future__ import annotations

import functools
import io
import math
from typing import TYPE_CHECKING

from nutrition.panel import faces
from nutrition.panel.drawing import POINTS_PER_INCH, Bar, Box, Ring, Text

if TYPE_CHECKING:
    from PIL.Image import Image as Picture
    from PIL.ImageDraw import ImageDraw as Draw
    from PIL.ImageFont import FreeTypeFont

    from nutrition.panel.drawing import Drawing

PRINT_DPI = 600.0
"""Dots to the inch of a picture for the printer."""
LEAST_DPI, MOST_DPI = 36.0, 1200.0
LARGEST = 80_000_000
"""dots that a picture may have"""
_WORKING_DPI = 1200.0
"""about how finely everything is drawn before it is made smaller"""
_STENCIL_DPI = 300.0
_WHITE = 255


def data(drawing: Drawing, dpi: float = PRINT_DPI) -> bytes:
    """The drawing as the bytes of a PNG file.

    Args:
        drawing: the drawing.
        dpi: dots to the inch, 36 to 1200; 600 for print, 150 is enough for a screen or a sheet.

    Returns:
        The file, eight bits of grey. It carries its real size (``pHYs``), so that programs place it at the size of the
        drawing. The same drawing always gives the same bytes with the same version of Pillow.

    Raises:
        ValueError: a resolution outside these bounds, or so many dots that no machine should draw them.
        FileNotFoundError: the font package is not installed.
    """
    out = io.BytesIO()
    image(drawing, dpi).save(out, "PNG", dpi=(dpi, dpi), compress_level=6)
    return out.getvalue()


def image(drawing: Drawing, dpi: float = PRINT_DPI) -> Picture:
    """The drawing as a picture of Pillow; see :func:`data`."""
    from PIL import Image, ImageDraw

    if not LEAST_DPI <= dpi <= MOST_DPI:
        raise ValueError(f"a picture has {LEAST_DPI:g} to {MOST_DPI:g} dots to the inch, not {dpi:g}")
    scale = dpi / POINTS_PER_INCH
    finer = max(2, min(8, round(_WORKING_DPI / dpi)))
    size = math.ceil(drawing.width * scale - 1e-6), math.ceil(drawing.height * scale - 1e-6)
    if size[0] * size[1] * finer**2 > LARGEST * 4:
        raise ValueError(f"{size[0]} by {size[1]} dots are too many for a picture; ask for fewer dots to the inch")
    fine = scale * finer
    canvas = Image.new("L", (size[0] * finer, size[1] * finer), _WHITE)
    draw = ImageDraw.Draw(canvas)
    for item in drawing.items:
        match item:
            case Bar():
                _fill(draw, item.x, item.y, item.width, item.height, fine)
            case Box():
                _frame(draw, item, fine)
            case Ring():
                _ring(draw, item, fine)
            case Text():
                if item.turn:
                    _turned(canvas, item, fine)
                else:
                    _letters(draw, item, item.left * fine, item.y * fine, fine)
    return canvas.reduce(finer)


def _fill(draw: Draw, x: float, y: float, width: float, height: float, scale: float) -> None:
    """A rectangle whose weight does not change with the place where it falls on the dots."""
    wide, high = max(1, round(width * scale)), max(1, round(height * scale))
    left, top = round(x * scale), round(y * scale)
    draw.rectangle((left, top, left + wide - 1, top + high - 1), fill=0)


def _frame(draw: Draw, box: Box, scale: float) -> None:
    line = max(1, round(box.line * scale))
    half = box.line / 2
    left, top = round((box.x - half) * scale), round((box.y - half) * scale)
    right, bottom = round((box.x + box.width + half) * scale), round((box.y + box.height + half) * scale)
    draw.rectangle((left, top, right - 1, bottom - 1), outline=0, width=line)


def _ring(draw: Draw, ring: Ring, scale: float) -> None:
    outer = ring.radius + ring.line / 2
    edges = ((ring.x - outer) * scale, (ring.y - outer) * scale, (ring.x + outer) * scale, (ring.y + outer) * scale)
    draw.ellipse(edges, outline=0, width=max(1, round(ring.line * scale)))


def _letters(draw: Draw, run: Text, x: float, y: float, scale: float, fill: int | None = None) -> None:
    """The letters of a run, one by one: the library's own spacing is rounded to whole dots."""
    size = run.size * scale
    font = _font(run.face, round(size * 4) / 4)
    advances = faces.face(run.face).advances
    grey = round(255 * run.grey) if fill is None else fill
    for letter in run.text:
        if letter != " ":
            draw.text((x, y), letter, font=font, fill=grey, anchor="ls")
        x += advances[ord(letter)] * size


def _turned(canvas: Picture, run: Text, scale: float) -> None:
    """A run at an angle: set straight on a plate of its own, turned into a coarser stencil of the whole picture."""
    from PIL import Image, ImageDraw

    coarse = min(scale, _STENCIL_DPI / POINTS_PER_INCH)
    ahead, above = (run.x - run.left) * coarse, run.size * coarse
    plate = Image.new("L", (math.ceil(run.width * coarse) + 2, math.ceil(1.5 * above)), 0)
    _letters(ImageDraw.Draw(plate), run, 0.0, above, coarse, fill=255)
    size = math.ceil(canvas.width * coarse / scale), math.ceil(canvas.height * coarse / scale)
    cos, sin = math.cos(math.radians(run.turn)), math.sin(math.radians(run.turn))
    x, y = run.x * coarse, run.y * coarse
    # From a place in the picture to a place on the plate.
    back = (cos, -sin, ahead - cos * x + sin * y, sin, cos, above - sin * x - cos * y)
    stencil = plate.transform(size, Image.Transform.AFFINE, back, resample=Image.Resampling.BILINEAR)
    canvas.paste(round(255 * run.grey), (0, 0), stencil.resize(canvas.size, Image.Resampling.BILINEAR))


@functools.cache
def _font(name: str, pixels: float) -> FreeTypeFont:
    from PIL import ImageFont

    return ImageFont.truetype(str(faces.path(name)), pixels, layout_engine=ImageFont.Layout.BASIC)
