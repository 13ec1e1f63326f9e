"""Reads panels back: words and characters out of the PDF, and what of a drawing touches, leaves the box or is crossed."""

from __future__ import annotations

import io
from collections import defaultdict
from itertools import combinations
from typing import Any

import pdfplumber

from nutrition.panel.drawing import Bar, Box, Drawing, Text


def read(data: bytes) -> Any:
    return pdfplumber.open(io.BytesIO(data)).pages[0]


def lines(page: Any) -> list[str]:
    """The lines of a page from top to bottom, each with one blank between its words."""
    rows: dict[int, list[Any]] = defaultdict(list)
    for word in page.extract_words(x_tolerance_ratio=0.12, extra_attrs=["size"]):
        baseline = word["bottom"] - 0.25 * word["size"]
        rows[next((y for y in rows if abs(y - 10 * baseline) < 10), round(10 * baseline))].append(word)
    return [" ".join(w["text"] for w in sorted(rows[y], key=lambda w: w["x0"])) for y in sorted(rows)]


def chars(page: Any, words: str) -> list[Any]:
    """The characters of the first place where words stand, blanks left out."""
    solid = [c for c in page.chars if c["text"] != " "]
    text = "".join(c["text"] for c in solid)
    at = text.index(words.replace(" ", ""))
    return solid[at : at + len(words.replace(" ", ""))]


# What ink the faces put above and below the baseline, as shares of the size, measured on capitals, brackets and
# descenders of the three faces; figures and capitals reach 0.66.
RISE, DROP = 0.735, 0.225
FLAT_RISE, FLAT_DROP = 0.722, 0.013


def ink(text: Text) -> tuple[float, float]:
    """Where the ink of a text begins and ends, downwards, pt."""
    figures = text.text.isdigit()
    hangs = set(text.text) & set("gjpqy,;()Q%/")
    rise = 0.665 if figures else RISE if hangs else FLAT_RISE
    return text.y - rise * text.size, text.y + (DROP if hangs else FLAT_DROP) * text.size


def touching(drawing: Drawing) -> list[tuple[str, str]]:
    """Pairs of texts whose ink would meet, or that stand closer than a word space on one line.

    Running text is set in pieces of words, which may follow each other, but not run into each other.
    """
    least = -0.01 if drawing.form == "linear" else 1.2 - 1e-6
    texts = [t for t in drawing.texts if not t.turn]
    met = []
    for a, b in combinations(texts, 2):
        apart_across = max(a.left, b.left) - min(a.left + a.width, b.left + b.width)
        (top_a, end_a), (top_b, end_b) = ink(a), ink(b)
        apart_down = max(top_a, top_b) - min(end_a, end_b)
        if apart_across < least and apart_down < 0:
            met.append((a.text, b.text))
    return met


def outside(drawing: Drawing) -> list[Text | Bar]:
    box = next(item for item in drawing.items if isinstance(item, Box))
    right = box.x + box.width - box.line / 2
    # Beside every letter lies some white, 0.077 of the size to the left of N and 0.028 to the right of s in bold;
    # it may pass the line where the title is huge, its ink may not.
    return [
        item
        for item in drawing.items
        if (
            isinstance(item, Text)
            and not item.turn
            and not 0.5 < item.left + 0.077 * item.size < item.left + item.width - 0.028 * item.size < right
        )
        or (isinstance(item, Bar) and not (item.x > 0.5 and item.x + item.width < right))
    ]


def crossed(drawing: Drawing) -> list[str]:
    """Texts that an upright rule runs through or comes within a point of."""
    uprights = [b for b in drawing.items if isinstance(b, Bar) and b.height > 20]
    return [
        t.text
        for t in drawing.texts
        for b in uprights
        if not t.turn and b.y < t.y < b.y + b.height and t.left - 1 < b.x < t.left + t.width + 1
    ]
