"""Words into lines: what the type can set, how wide it is, where a line breaks.

The type is that of the panels (:mod:`nutrition.panel.faces`). A character that it does not have is replaced where
everybody can see it: a sheet must come out of the printer whatever a supplier calls his plums.

>>> settable("Crème 🍨")
'Crème ◊'
"""

from __future__ import annotations

import functools
import re
import unicodedata
from typing import TYPE_CHECKING, Final

from nutrition.panel.faces import face

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from costing.batch_sheet.content import Words

MISSING: Final = "\u25ca"
"""Stands for what the type cannot set."""
_NUMBER: Final = re.compile(r"[0-9]$")
_UNIT: Final = re.compile(r"(?:°[CF]|%|k?g|mL|L|qt|d|h|min|s|[0-9]+/[0-9]+)(?![0-9A-Za-z])")
Piece = tuple[str, str]
"""A face and words in it."""


@functools.lru_cache(maxsize=4096)
def settable(text: str) -> str:
    """A text that every face can set: composed, on one line, without controls.

    Args:
        text: any text.
    """
    composed = unicodedata.normalize("NFC", text)
    spaced = "".join(" " if c.isspace() or unicodedata.category(c) == "Zs" else c for c in composed)
    lacking = set(face("regular").missing(spaced)) | set(face("bold").missing(spaced))
    # Marks of writing direction and joiners show nothing and need no replacement.
    shown = ("" if unicodedata.category(c) == "Cf" else MISSING if c in lacking else c for c in spaced)
    return " ".join("".join(shown).split())


def width(text: str, name: str, size: float) -> float:
    """How wide a settable text is, pt."""
    return face(name).width(text, size)


def pieces(words: Words) -> tuple[Piece, ...]:
    """Words as pieces of faces, each settable, blanks between them kept."""
    out: list[Piece] = []
    for run in words:
        text = settable(run.text)
        if text:
            lead = " " if run.text[:1].isspace() else ""
            tail = " " if run.text[-1:].isspace() else ""
            out.append(("bold" if run.strong else "regular", lead + text + tail))
        elif run.text.strip() != run.text:
            out.append(("regular", " "))
    return tuple(out)


def lines(words: Iterable[Piece], size: float, room: float) -> list[list[Piece]]:
    """Break pieces into lines.

    Args:
        words: the pieces.
        size: type size, pt.
        room: width of a line, pt; a word that is wider is broken where it must be.

    Returns:
        The lines, at least one, each with its pieces.
    """
    out: list[list[Piece]] = [[]]
    at = 0.0
    blank = width(" ", "regular", size)
    for word in _words(words):
        wide = sum(width(bit, name, size) for name, bit in word)
        bits = (
            word if wide <= room else [(name, bit) for name, whole in word for bit in _broken(whole, name, size, room)]
        )
        gap = blank if out[-1] else 0.0
        if out[-1] and at + gap + wide > room:
            out.append([])
            at = gap = 0.0
        for name, bit in bits:
            step = width(bit, name, size)
            if out[-1] and not gap and at + step > room:
                out.append([])
                at = 0.0
            out[-1].append((name, (" " if gap else "") + bit))
            at += gap + step
            gap = 0.0
    return out


def _words(words: Iterable[Piece]) -> Iterator[list[Piece]]:
    """Words one by one; a word may run through several faces, and a number keeps its unit (``4 h``)."""
    word: list[Piece] = []
    for name, bit, spaced in _atoms(words):
        if word and spaced and not (_NUMBER.search(word[-1][1]) and _UNIT.match(bit)):
            yield word
            word = []
        word.append((name, f" {bit}" if word and spaced else bit))
    if word:
        yield word


def _atoms(words: Iterable[Piece]) -> Iterator[tuple[str, str, bool]]:
    """What stands between blanks and changes of face, and whether a blank stands before it."""
    spaced = False
    for name, text in words:
        for n, bit in enumerate(text.split(" ")):
            spaced = spaced or n > 0
            if bit:
                yield name, bit, spaced
                spaced = False


def _broken(word: str, name: str, size: float, room: float) -> list[str]:
    if width(word, name, size) <= room:
        return [word]
    out = [""]
    for letter in word:
        if out[-1] and width(out[-1] + letter, name, size) > room:
            out.append("")
        out[-1] += letter
    return out


def fitted(text: str, name: str, size: float, room: float, least: float) -> tuple[str, float]:
    """A text on one line: smaller where it must be, cut where even the least size is too wide.

    Returns:
        The text and its size, pt.
    """
    wide = width(text, name, 1.0)
    size = max(least, min(size, room / wide)) if wide > 0 else size
    while len(text) > 1 and width(text, name, size) > room + 1e-6:
        text = text.rstrip("…")[:-1].rstrip() + "…"
    return text, size
