"""Writes a drawn panel to files: one SVG and one PDF."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from nutrition.panel import pdf, svg

if TYPE_CHECKING:
    from pathlib import Path

    from nutrition.panel.drawing import Drawing


def write(drawing: Drawing, stem: Path, title: str = "", *, replace: bool = False) -> tuple[Path, Path]:
    """Writes ``stem.svg`` and ``stem.pdf``.

    Both are made in full beside their places and moved there only when both are on the disk.

    Args:
        drawing: the drawing.
        stem: folder and name without ending; the folder must exist.
        title: title of both documents.
        replace: whether files that exist are written over.

    Returns:
        The two paths.

    Raises:
        FileExistsError: one of the files exists and ``replace`` is not set; nothing is written.
        OSError: the disk is full or the folder cannot be written; nothing is written.
    """
    made = {
        stem.with_name(stem.name + ".svg"): svg.text(drawing, title or "Nutrition Facts").encode(),
        stem.with_name(stem.name + ".pdf"): pdf.data(drawing, title),
    }
    for path in made:
        if path.is_dir():
            raise IsADirectoryError(f"{path} is a folder")
        if path.exists() and not replace:
            raise FileExistsError(f"{path} exists already")
    drafts: dict[Path, Path] = {}
    try:
        for path, content in made.items():
            draft = path.with_name(f".{path.name}.{os.getpid()}.draft")
            with draft.open("xb") as to:
                drafts[path] = draft
                to.write(content)
                to.flush()
                os.fsync(to.fileno())
        for path, draft in drafts.items():
            draft.replace(path)
    finally:
        for draft in drafts.values():
            draft.unlink(missing_ok=True)
    first, second = made
    return first, second
