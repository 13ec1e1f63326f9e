"""A whole label as files: one PDF with a page for each sheet, and an SVG for each.

The PDF has trim and bleed boxes on each page (ISO 32000-1, 14.11.2) and its type embedded; the same label always gives
the same bytes.
"""

from __future__ import annotations

import io
import unicodedata
from typing import TYPE_CHECKING, Any

from nutrition.panel import pdf as panel_pdf
from nutrition.panel import svg as panel_svg

if TYPE_CHECKING:
    from nutrition.package.label import WholeLabel
    from nutrition.package.sheet import Sheet


def pdf(whole: WholeLabel) -> bytes:
    """The label as a PDF document, to real size.

    Args:
        whole: the label.

    Raises:
        FileNotFoundError: the font package is not installed.
    """
    # Imported here because it takes longer to load than everything else that labels need.
    from reportlab.pdfgen.canvas import Canvas

    to = io.BytesIO()
    first = whole.sheets[0].drawing
    canvas: Any = Canvas(
        to,
        pagesize=(first.width, first.height),
        invariant=1,
        pageCompression=1,
        initialFontName=panel_pdf.fonts()["regular"],
    )
    canvas.setTitle("".join(c for c in whole.title if unicodedata.category(c) not in {"Cc", "Cs"}) or "Label")
    canvas.setAuthor("")
    canvas.setSubject("Label")
    for one in whole.sheets:
        canvas.setPageSize((one.drawing.width, one.drawing.height))
        canvas.setTrimBox(_box(one, 0.0))
        canvas.setBleedBox(_box(one, one.bleed))
        panel_pdf.paint(canvas, one.drawing)
        canvas.showPage()
    canvas.save()
    return to.getvalue()


def _box(one: Sheet, more: float) -> tuple[float, float, float, float]:
    """A page box from its lower left to its upper right corner, y running up."""
    left, top, width, height = one.trim
    bottom = one.drawing.height - top - height
    return left - more, bottom - more, left + width + more, bottom + height + more


def svgs(whole: WholeLabel) -> dict[str, str]:
    """The sheets as SVG documents, by their names; the first has an empty one.

    Args:
        whole: the label.

    Raises:
        FileNotFoundError: the font package is not installed.
    """
    return {
        ("" if i == 0 else one.name): panel_svg.text(one.drawing, f"{whole.title}: {one.name}")
        for i, one in enumerate(whole.sheets)
    }
