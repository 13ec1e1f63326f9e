"""The PNG: its real size, and its ink against what another program (PDFium) makes of the PDF."""

from __future__ import annotations

import io
import struct

import numpy as np
import pypdfium2
import pytest
from panel_labels import BOTH, label, open_lines
from PIL import Image

from nutrition.panel import layout, pdf, png
from nutrition.panel.drawing import Bar, Drawing


def chunks(data: bytes) -> dict[bytes, bytes]:
    """The chunks of a PNG file, by the PNG specification (ISO/IEC 15948), section 5.3."""
    assert data.startswith(b"\x89PNG\r\n\x1a\n")
    found = {}
    at = 8
    while at < len(data):
        (length,) = struct.unpack_from(">I", data, at)
        found[data[at + 4 : at + 8]] = data[at + 8 : at + 8 + length]
        at += 12 + length
    return found


@pytest.mark.parametrize("dpi", [150.0, 600.0])
def test_real_size_is_in_the_file(dpi: float) -> None:
    drawing = layout.panel(label())
    found = chunks(png.data(drawing, dpi))
    wide, high, depth, colour = struct.unpack_from(">IIBB", found[b"IHDR"])
    across, down, unit = struct.unpack(">IIB", found[b"pHYs"])
    assert (unit, across, down) == (1, round(dpi / 0.0254), round(dpi / 0.0254))  # dots to the metre
    assert wide / dpi == pytest.approx(drawing.width_in, abs=1 / dpi)
    assert high / dpi == pytest.approx(drawing.height_in, abs=1 / dpi)
    assert (depth, colour) == (8, 0)


@pytest.mark.parametrize("lines", [None, open_lines("iron")], ids=["ready", "proof"])
def test_ink_is_where_the_pdf_has_it(lines: object) -> None:
    drawing = layout.panel(label(BOTH) if lines is None else label(lines=lines))
    ours = np.asarray(png.image(drawing, 288.0), dtype=float)
    page = pypdfium2.PdfDocument(pdf.data(drawing))[0]
    theirs = np.asarray(page.render(scale=4.0, grayscale=True).to_pil().convert("L"), dtype=float)
    high, wide = min(ours.shape[0], theirs.shape[0]), min(ours.shape[1], theirs.shape[1])
    assert abs(ours.shape[0] - theirs.shape[0]) <= 1
    assert abs(ours.shape[1] - theirs.shape[1]) <= 1
    ours, theirs = ours[:high, :wide], theirs[:high, :wide]
    assert ours.mean() == pytest.approx(theirs.mean(), abs=4)
    # Smooth edges differ a little; letters a dot beside their place would differ by 40 and more.
    assert np.abs(ours - theirs).mean() < 12
    shifted = np.abs(np.roll(ours, 2, axis=1) - theirs).mean()
    assert np.abs(ours - theirs).mean() < 0.5 * shifted


def test_bars_keep_their_weight_wherever_they_fall() -> None:
    bars = tuple(Bar(1.0, 1.0 + 3.1 * i, 20.0, 0.25) for i in range(20))
    ink = 255.0 - np.asarray(png.image(Drawing(22.0, 64.0, bars), 600.0), dtype=float)
    weights = [ink[round((bar.y - 1) * 600 / 72) : round((bar.y + 1.25) * 600 / 72), 90].sum() for bar in bars]
    assert min(weights) == pytest.approx(max(weights), rel=0.01)
    assert min(weights) > 400


def test_the_same_drawing_gives_the_same_bytes() -> None:
    assert png.data(layout.panel(label()), 100.0) == png.data(layout.panel(label()), 100.0)


@pytest.mark.parametrize("dpi", [0.0, -600.0, 35.9, 1201.0, float("nan"), float("inf")])
def test_absurd_resolutions_are_refused(dpi: float) -> None:
    with pytest.raises(ValueError, match="dots to the inch"):
        png.data(layout.panel(label()), dpi)


def test_a_picture_too_large_for_any_machine_is_refused() -> None:
    with pytest.raises(ValueError, match="too many for a picture"):
        png.data(Drawing(72.0 * 100, 72.0 * 100, ()), 600.0)


def test_a_small_picture_can_be_opened() -> None:
    with Image.open(io.BytesIO(png.data(layout.panel(label()), 72.0))) as opened:
        assert opened.size[0] == pytest.approx(layout.panel(label()).width, abs=1)
