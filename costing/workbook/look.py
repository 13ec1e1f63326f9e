"""How the workbook looks: few colours, good contrast, the same on every sheet, and as clear in grey.

Every look is made once for a workbook and then shared by all cells that wear it, for making fonts and
fills cell by cell is what makes writing a workbook slow.
"""

from __future__ import annotations

import functools
from copy import copy
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Literal

from openpyxl.cell.cell import Cell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

if TYPE_CHECKING:
    from openpyxl.styles.cell_style import StyleArray
    from openpyxl.workbook.workbook import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

FACE = "Arial"
"""On every machine, or with a stand-in of the same widths."""
SIZE = 10

INK = "1E2A33"
QUIET = "55636E"
PINE = "1F4B4A"
MIST = "E4ECEA"
PALE = "F4F7F6"
LINE = "B9C6C3"
CREAM = "FBF3E2"
RUST = "8C3B12"
WHITE = "FFFFFF"


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """What a cell wears, number format apart. Two are the same only if they are one: see :meth:`but`.

    Args:
        bold: bold type.
        italic: slanted type.
        size: type size, points.
        colour: of the type.
        fill: of the ground, empty for none.
        above: line style above, empty for none.
        below: line style below, empty for none.
        line: colour of the lines.
        align: where text stands.
        top: text stands at the top of a high row, else at its foot.
        wrap: text breaks into lines.
        underline: as links are.
        indent: how deep it stands.
    """

    bold: bool = False
    italic: bool = False
    size: float = SIZE
    colour: str = INK
    fill: str = ""
    above: str = ""
    below: str = "hair"
    line: str = LINE
    align: Literal["left", "right"] = "left"
    top: bool = True
    wrap: bool = False
    underline: bool = False
    indent: int = 0

    def but(self, **changes: object) -> Look:
        """This look with something changed; the same changes give the same look again.

        >>> PLAIN.but(wrap=True) is PLAIN.but(wrap=True)
        True
        """
        return _changed(self, tuple(changes.items()))


@functools.cache
def _changed(base: Look, changes: tuple[tuple[str, object], ...]) -> Look:
    return replace(base, **dict(changes))  # type: ignore[arg-type]


class Type(Font):
    """A font whose parts are written in the order that Excel writes and its makers' validator asks for.

    The schema of ECMA-376, part 1, 18.8.22 lets them stand in any order, and openpyxl writes them in another.
    """

    tagname = "font"
    __attrs__ = Font.__attrs__
    __nested__ = Font.__nested__
    __elements__ = (
        *("b", "i", "strike", "condense", "extend", "outline", "shadow", "u", "vertAlign", "sz", "color", "name"),
        *("family", "charset", "scheme"),
    )


TITLE = Look(bold=True, size=16, colour=PINE, below="", top=False)
LEAD = Look(colour=QUIET, below="")
PLAIN = Look(below="")
SECTION = Look(bold=True, size=13, colour=PINE, below="medium", line=PINE, top=False)
HEADING = Look(bold=True, size=11, colour=PINE, below="", top=False)
LINK = Look(colour=PINE, underline=True, below="")
GO = Look(bold=True, colour=PINE, underline=True, below="")

TONES = {
    "head": Look(bold=True, colour=WHITE, fill=PINE, below="", top=False, wrap=True),
    "body": Look(),
    "group": Look(bold=True, colour=PINE, fill=MIST, below="thin"),
    "sub": Look(bold=True, fill=PALE, above="thin", below="thin"),
    "total": Look(bold=True, fill=MIST, above="medium", below="medium", line=PINE),
    "strip head": Look(colour=QUIET, fill=PALE, below="", top=False, wrap=True, size=9),
    "strip": Look(bold=True, size=11, fill=PALE, below="thin", top=False),
    "picked": Look(fill=MIST),
    "warn": Look(colour=RUST, fill=CREAM),
}


@dataclass(slots=True)
class Wardrobe:
    """The looks of one workbook, each made once.

    Args:
        workbook: whose they are.
    """

    workbook: Workbook
    _made: dict[tuple[Look, str, bool], StyleArray] = field(default_factory=dict)

    def __post_init__(self) -> None:
        # The look of every cell without one, and the measure of column widths.
        self.workbook._named_styles["Normal"].font = Type(name=FACE, size=SIZE, color=INK)  # type: ignore[attr-defined]
        self.workbook._fonts[0] = Type(name=FACE, size=SIZE, color=INK)  # type: ignore[attr-defined]

    def style(self, look: Look, fmt: str = "", *, quote: bool = False) -> StyleArray:
        """The style of a cell, shared by all that look so.

        Args:
            look: what it wears.
            fmt: number format, empty for none.
            quote: the program shows that this is text, whatever it begins with.
        """
        key = (look, fmt, quote)
        if key not in self._made:
            self._made[key] = self._make(look, fmt, quote=quote)
        return self._made[key]

    def _make(self, look: Look, fmt: str, *, quote: bool) -> StyleArray:
        sheet: Worksheet = self.workbook.worksheets[0]
        cell: Any = Cell(sheet, 1, 1)  # never put on the sheet
        cell.font = Type(
            name=FACE,
            size=look.size,
            bold=look.bold,
            italic=look.italic,
            color=look.colour,
            underline="single" if look.underline else None,
        )
        if look.fill:
            cell.fill = PatternFill("solid", fgColor=look.fill)
        if look.above or look.below:
            cell.border = Border(top=_side(look.above, look.line), bottom=_side(look.below, look.line))
        cell.alignment = Alignment(
            horizontal=look.align,
            vertical="top" if look.top else "bottom",
            wrap_text=look.wrap or None,
            indent=look.indent,
        )
        cell.number_format = fmt or "General"
        style: StyleArray = copy(cell._style)
        style.quotePrefix = int(quote)
        return style


def _side(style: Any, colour: str) -> Side:
    return Side(style, colour) if style else Side()
