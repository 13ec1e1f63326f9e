"""The faces that panels are set in, and how wide their letters are.

Panels are set in Source Sans Pro (Adobe; SIL Open Font License 1.1), which the PyPI package
``font-source-sans-pro`` carries as TrueType files. It was chosen because the law wants one plain type style
that is easy to read; it has a regular, a bold and an italic face; all its figures are equally wide, so columns of
numbers stand straight; it is narrow enough for two columns on a pint; and its licence lets anyone embed it in a
document. The files are found without importing the package.

The files are read by fontTools, so that measuring and SVG need no PDF library.

>>> round(face("regular").width("0123456789", 10.0), 2) == round(10 * face("regular").width("1", 10.0), 2)
True
>>> face("bold").missing("Caf\\u00e9 \\u2603")
('\\u2603',)
"""

from __future__ import annotations

import functools
import importlib.util
import unicodedata
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

PACKAGE = "font_source_sans_pro"
FAMILY = "Source Sans Pro"
FILES = {"regular": "SourceSansPro-Regular.ttf", "bold": "SourceSansPro-Bold.ttf", "italic": "SourceSansPro-It.ttf"}

# Height of capitals and figures as a share of the type size; the three faces agree (OS/2 table, sCapHeight 660).
CAP_HEIGHT = 0.660

# A character of these kinds is not one letter in a row: controls, marks set on another letter, surrogates.
_UNSETTABLE = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Mn", "Me", "Mc", "Zl", "Zp"})


def path(name: str) -> Path:
    """The font file of a face.

    Args:
        name: ``regular``, ``bold`` or ``italic``.

    Raises:
        FileNotFoundError: the font package is not installed.
    """
    spec = importlib.util.find_spec(PACKAGE)
    for folder in spec.submodule_search_locations or () if spec else ():
        file = Path(folder) / "files" / FILES[name]
        if file.is_file():
            return file
    raise FileNotFoundError(f"the type for panels is missing ({FILES[name]}); install font-source-sans-pro")


@dataclass(frozen=True, slots=True)
class Face:
    """One face.

    Args:
        name: ``regular``, ``bold`` or ``italic``.
        advances: widths by code point, as shares of the type size.
        em: units of the font that go into the type size.
    """

    name: str
    advances: Mapping[int, float]
    em: int

    def width(self, text: str, size: float) -> float:
        """How wide a text is, pt, at a type size in pt. Letters are set one by one, without kerning.

        Raises:
            KeyError: the face has no such letter; :meth:`missing` names them first.
        """
        return size * _ems(self.name, text)

    def missing(self, text: str) -> tuple[str, ...]:
        """The characters of a text that this face cannot set, each once, in order."""
        return tuple(
            dict.fromkeys(
                letter
                for letter in text
                if ord(letter) not in self.advances or unicodedata.category(letter) in _UNSETTABLE
            )
        )


@functools.lru_cache(maxsize=8192)
def _ems(name: str, text: str) -> float:
    """How wide a text is as a share of the type size; the same words are measured again and again."""
    advances = face(name).advances
    return sum([advances[ord(letter)] for letter in text])


@functools.cache
def face(name: str) -> Face:
    """A face by its name, read once in a process.

    Args:
        name: ``regular``, ``bold`` or ``italic``.

    Raises:
        FileNotFoundError: the font package is not installed.
    """
    font = _font(name)
    em = int(font["head"].unitsPerEm)
    widths = font["hmtx"].metrics
    return Face(name, {code: widths[glyph][0] / em for code, glyph in font.getBestCmap().items()}, em)


@functools.cache
def outline(name: str, letter: str) -> str:
    """The outline of a letter as an SVG path in units of the font, whose y runs up; empty for a blank.

    Args:
        name: of the face.
        letter: one character.

    Raises:
        KeyError: the face has no such letter.
    """
    from fontTools.pens.svgPathPen import SVGPathPen

    font = _font(name)
    glyphs = _glyphs(name)
    pen = SVGPathPen(glyphs)
    glyphs[font.getBestCmap()[ord(letter)]].draw(pen)
    said: str = pen.getCommands()
    return said


@functools.cache
def _font(name: str) -> Any:
    # Imported here because the command line must start without it.
    from fontTools.ttLib import TTFont

    return TTFont(str(path(name)), lazy=True)


@functools.cache
def _glyphs(name: str) -> Any:
    return _font(name).getGlyphSet()


def clean(text: str, where: str) -> str:
    """A text as it can be set: composed (NFC), with runs of blanks made one.

    Args:
        text: what is to be printed.
        where: what it is, for the message.

    Raises:
        ValueError: it holds characters that the type cannot set, which are named.

    >>> clean(" 2/3   cup", "serving size")
    '2/3 cup'
    """
    composed = unicodedata.normalize("NFC", text)
    spaced = "".join(" " if unicodedata.category(letter) == "Zs" else letter for letter in composed)
    words = " ".join(filter(None, spaced.split(" ")))
    lacking = face("regular").missing(words)
    if lacking:
        named = ", ".join(_name(letter) for letter in lacking[:8])
        more = " and more" if len(lacking) > 8 else ""
        raise ValueError(f"the panel cannot print {where}: its type has no {named}{more}; write it with plain letters")
    return words


def shown(text: str) -> str:
    """A text as far as it can be set, with a question mark for each character that the type does not have.

    >>> shown(" raspberries \\n of \\u2603")
    'raspberries of ?'
    """
    words = " ".join(unicodedata.normalize("NFC", text).split())
    lacking = frozenset(face("regular").missing(words))
    return "".join("?" if letter in lacking else letter for letter in words)


def _name(letter: str) -> str:
    shown = f" {letter!r}" if letter.isprintable() else ""
    return f"U+{ord(letter):04X}{shown} ({unicodedata.name(letter, 'unnamed').lower()})"
