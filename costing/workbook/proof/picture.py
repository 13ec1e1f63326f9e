"""The panel of a label as a picture on the sheet of its flavour, at its real size."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing.findings import ShopError

if TYPE_CHECKING:
    from costing.results import RecipeAnswer
    from costing.shop.models import ShopModel
    from costing.workbook.grid import Sheet

DOTS = 144.0
"""dots to the inch: enough for a screen and for paper beside the sheet; the printer's files are written by `label`"""
TALLEST_ROW = 200.0
"""points"""


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawn panel.

    Args:
        png: the picture.
        width: points.
        height: points.
        words: its form, its paragraph, and whether it is a proof.
    """

    png: bytes
    width: float
    height: float
    words: str


def of(model: ShopModel, answer: RecipeAnswer) -> Picture | None:
    """The panel of an answer's label; None where none can be drawn, which ``creamery label`` says why."""
    from costing import panels
    from nutrition.panel import png

    try:
        drawing = panels.draw(model, answer)
    except ShopError:
        return None
    words = f"{drawing.form}, {drawing.rule}" + ("; a proof, not for print" if drawing.proof else "")
    return Picture(png.data(drawing, DOTS), drawing.width, drawing.height, words)


def write(sheet: Sheet, picture: Picture) -> None:
    """Put the picture on a sheet, and leave the room that it takes.

    Args:
        sheet: a flavour's sheet.
        picture: the panel.
    """
    from openpyxl.drawing.image import Image

    sheet.heading(f"The panel ({picture.words})")
    # Spreadsheets measure pictures in pixels of 1/96 inch.
    image = Image(io.BytesIO(picture.png))
    image.width, image.height = round(picture.width * 96 / 72), round(picture.height * 96 / 72)
    sheet.sheet.add_image(image, f"A{sheet.row}")
    rows = math.ceil(picture.height / TALLEST_ROW)
    for _ in range(rows):
        sheet.gap(picture.height / rows)
