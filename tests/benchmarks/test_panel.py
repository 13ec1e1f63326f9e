"""Drawing a panel, against the PDF library drawing as many strings, lines and boxes with no thinking.

Run with ``make bench``.
"""

from __future__ import annotations

import functools
import io
import time
from collections.abc import Callable
from typing import Any

from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from nutrition.law.us import label_space
from nutrition.law.us.labelling import label
from nutrition.panel import faces, layout, pdf
from nutrition.panel.drawing import Drawing, Text
from tests.nutrition.law.builders import plain_pint

ROUNDS = 7
PINT = label_space.wrap(11.4, 3.3, lid_in=3.8)


def best(work: Callable[[], object]) -> float:
    """Least seconds of some rounds."""
    taken = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def bare(drawing: Drawing) -> bytes:
    """As many strings in the same faces, and as many rectangles, one below the other."""
    to = io.BytesIO()
    canvas: Any = Canvas(to, pagesize=(drawing.width, drawing.height), invariant=1, pageCompression=1)
    for i, item in enumerate(drawing.items):
        if isinstance(item, Text):
            canvas.setFont(f"bench-{item.face}", item.size)
            canvas.drawString(5, i, item.text)
        else:
            canvas.rect(5, i, 100, 1, stroke=0, fill=1)
    canvas.showPage()
    canvas.save()
    return to.getvalue()


def compare(name: str, ours: Callable[[], Drawing]) -> None:
    for face in faces.FILES:
        registerFont(TTFont(f"bench-{face}", str(faces.path(face))))
    drawing = ours()
    mine, floor = best(lambda: pdf.data(ours())), best(functools.partial(bare, drawing))
    many = len(drawing.items)
    print(f"\n{name}, {many} items: {mine * 1000:.1f} ms against {floor * 1000:.1f} ms: {mine / floor:.2f} times")
    assert mine / floor < 3


def test_an_upright_panel_against_the_same_count_of_strings_and_lines() -> None:
    said = label(plain_pint())
    compare("upright", lambda: layout.panel(said))


def test_a_panel_chosen_by_the_room_against_the_same_count_of_strings_and_lines() -> None:
    said = label(plain_pint())
    compare("chosen for a pint", lambda: layout.panel(said, space=PINT))
