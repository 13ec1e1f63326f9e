"""A circle, as every file format draws it."""

from __future__ import annotations

import io

import pdfplumber
import pytest

from nutrition.panel import pdf, png, svg
from nutrition.panel.drawing import Drawing, Ring, moved

DRAWING = Drawing(100.0, 80.0, (Ring(50.0, 40.0, 30.0, 2.0),))


def test_pdf() -> None:
    page = pdfplumber.open(io.BytesIO(pdf.data(DRAWING))).pages[0]
    (curve,) = page.curves
    assert (curve["x0"], curve["x1"], curve["top"], curve["bottom"]) == pytest.approx((20, 80, 10, 70), abs=0.01)
    assert curve["linewidth"] == 2


def test_svg() -> None:
    assert '<circle cx="50" cy="40" r="30" fill="none" stroke="#000" stroke-width="2"/>' in svg.text(DRAWING)


def test_png() -> None:
    picture = png.image(DRAWING, 72.0)
    assert picture.getpixel((50, 40)) == 255
    for place in ((50, 10), (50, 70), (20, 40), (80, 40)):
        assert min(picture.getpixel((place[0] + x, place[1] + y)) for x in (-1, 0) for y in (-1, 0)) < 80


def test_moved() -> None:
    assert moved(DRAWING.items, 5.0, -5.0) == (Ring(55.0, 35.0, 30.0, 2.0),)
