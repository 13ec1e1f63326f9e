"""Batch sheets as a PDF document: one or two pages for each recipe, type embedded.

The same sheets always give the same bytes: no time stamps, no random numbers.
"""

from __future__ import annotations

import functools
import io
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from costing import files
from costing.batch_sheet.setting import settable
from nutrition.panel import faces
from nutrition.panel.drawing import Bar, Box, Text

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from costing.batch_sheet.content import BatchSheet
    from costing.desk import Asked, Shop
    from nutrition.panel.drawing import Item


def render(shop: Shop, keys: Sequence[str] = (), how: Asked | Mapping[str, Asked] | None = None) -> bytes:
    """The batch sheets of some recipes as one document.

    Args:
        shop: the shop.
        keys: the recipes, all of them if none is named.
        how: size of the batch, and whether what trials measured stands in, for all of them or for each by its key;
            None: one batch as written.

    Returns:
        A PDF document.

    Raises:
        KeyError: no such recipe.
        ShopError: a recipe that cannot be made; carries the findings.
        FileNotFoundError: the font package is not installed.
    """
    from costing.batch_sheet.writing import sheet

    hows = how if isinstance(how, Mapping) else dict.fromkeys(keys or shop.model.recipes, how)
    return data([sheet(shop, key, hows.get(key)) for key in (keys or shop.model.recipes)])


def write(
    shop: Shop,
    keys: Sequence[str],
    how: Asked | Mapping[str, Asked] | None,
    path: Path,
    *,
    replace: bool = False,
) -> Path:
    """Write the batch sheets of some recipes into one document; for the others see :func:`render`.

    Args:
        path: the file, by custom ending in ``.pdf``.
        replace: whether an existing file gives way.

    Returns:
        The path.

    Raises:
        ShopError: also where the file exists already, or cannot be written.
    """
    files.refuse_existing((path,), replace=replace)
    return files.write(path, render(shop, keys, how), replace=replace)


def data(sheets: Sequence[BatchSheet]) -> bytes:
    """Sheets as a PDF document.

    Args:
        sheets: their contents.
    """
    # Imported here because it takes longer to load than everything else that sheets need.
    from reportlab.pdfgen.canvas import Canvas

    from costing.batch_sheet.layout import pages

    names = _fonts()
    to = io.BytesIO()
    canvas: Any = Canvas(to, invariant=1, pageCompression=1, initialFontName=names["regular"])
    canvas.setTitle(settable(", ".join(one.title for one in sheets))[:200] or "Batch sheet")
    canvas.setAuthor(settable(sheets[0].shop) if sheets else "")
    canvas.setSubject("Batch sheets")
    for sheet in sheets:
        for page in pages(sheet):
            canvas.setPageSize((page.width, page.height))
            _draw(canvas, page.items, page.height, names)
            canvas.showPage()
    canvas.save()
    return to.getvalue()


def _draw(canvas: Any, items: Iterable[Item], height: float, names: dict[str, str]) -> None:
    for item in items:
        match item:
            case Bar():
                canvas.rect(item.x, height - item.y - item.height, item.width, item.height, stroke=0, fill=1)
            case Box():
                canvas.setLineWidth(item.line)
                canvas.rect(item.x, height - item.y - item.height, item.width, item.height, stroke=1, fill=0)
            case Text():
                canvas.setFont(names[item.face], item.size)
                canvas.setFillGray(item.grey)
                canvas.drawString(item.left, height - item.y, item.text)
                canvas.setFillGray(0.0)


@functools.cache
def _fonts() -> dict[str, str]:
    """Registers the faces with the PDF library, once in a process, so that their files are parsed once."""
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    names = {name: f"sheet-{name}" for name in ("regular", "bold")}
    for name, registered in names.items():
        registerFont(TTFont(registered, str(faces.path(name))))
    return names
