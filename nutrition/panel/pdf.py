"""Draws a panel as a PDF of one page, to real size, with its type embedded: the printer's file.

The same drawing and title always give the same bytes: no time stamps, no random numbers.
"""

from __future__ import annotations

import functools
import io
import unicodedata
from typing import TYPE_CHECKING, Any

from nutrition.panel import faces
from nutrition.panel.drawing import Bar, Box, Ring, Text

if TYPE_CHECKING:
    from nutrition.panel.drawing import Drawing


def data(drawing: Drawing, title: str = "") -> bytes:
    """The drawing as a PDF document.

    Args:
        drawing: the drawing.
        title: title of the document; control characters are left out.

    Returns:
        The document. Only the letters that are used are embedded.

    Raises:
        FileNotFoundError: the font package is not installed.
    """
    # Imported here because it takes longer to load than everything else that panels need.
    from reportlab.pdfgen.canvas import Canvas

    names = fonts()
    to = io.BytesIO()
    canvas: Any = Canvas(
        to,
        pagesize=(drawing.width, drawing.height),
        invariant=1,
        pageCompression=1,
        # Otherwise every page begins with a face of the reader's own, which printers refuse.
        initialFontName=names["regular"],
    )
    canvas.setTitle("".join(c for c in title if unicodedata.category(c) not in {"Cc", "Cs"}) or "Nutrition Facts")
    canvas.setAuthor("")
    canvas.setSubject("Nutrition Facts")
    paint(canvas, drawing)
    canvas.showPage()
    canvas.save()
    return to.getvalue()


def paint(canvas: Any, drawing: Drawing) -> None:
    """Put a drawing onto the page that a canvas is at.

    Args:
        canvas: of the PDF library.
        drawing: as large as the page.
    """
    names = fonts()
    for item in drawing.items:
        match item:
            case Bar():
                canvas.rect(item.x, drawing.height - item.y - item.height, item.width, item.height, stroke=0, fill=1)
            case Box():
                canvas.setLineWidth(item.line)
                canvas.rect(item.x, drawing.height - item.y - item.height, item.width, item.height, stroke=1, fill=0)
            case Ring():
                canvas.setLineWidth(item.line)
                canvas.circle(item.x, drawing.height - item.y, item.radius, stroke=1, fill=0)
            case Text():
                _text(canvas, item, drawing.height, names)


def _text(canvas: Any, item: Text, height: float, names: dict[str, str]) -> None:
    canvas.setFont(names[item.face], item.size)
    if not (item.turn or item.grey):
        canvas.drawString(item.left, height - item.y, item.text)
        return
    canvas.saveState()
    canvas.setFillGray(item.grey)
    canvas.translate(item.x, height - item.y)
    canvas.rotate(item.turn)
    canvas.drawString(item.left - item.x, 0, item.text)
    canvas.restoreState()


@functools.cache
def fonts() -> dict[str, str]:
    """The faces by the names under which the PDF library has them; registered once in a process, and parsed once."""
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    names = {face: f"panel-{face}" for face in faces.FILES}
    for face, name in names.items():
        registerFont(TTFont(name, str(faces.path(face))))
    return names
