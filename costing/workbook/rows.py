"""The cells of a sheet as XML, written at once.

openpyxl builds an element for every cell, which is half of the time that a workbook takes. The sheets here hold
nothing but text, numbers and days, and for these a few lines do the same. What is neither is refused: no text can
slip in as a formula, for a formula is a :class:`~costing.workbook.values.Formula`, which only our own sheets make.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape

from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import to_excel
from openpyxl.worksheet._writer import WorksheetWriter

from costing.workbook.values import Formula

if TYPE_CHECKING:
    import io

EMPTY = b"<sheetData></sheetData>"


class Writer(WorksheetWriter):
    """Writes one sheet; its head and tail are openpyxl's own.

    Args:
        ws: the sheet.
        out: where the XML goes.
    """

    def __init__(self, ws: Any, out: io.BytesIO) -> None:
        super().__init__(ws, out)
        self._sheet = ws
        self._out = out
        self._data = b""

    def write_rows(self) -> None:
        """Leave the place of the rows empty, and make them ready for :meth:`xml`."""
        stream: Any = self.xf.send(True)
        with stream.element("sheetData"):
            pass
        self.xf.send(None)
        self._data = "".join(self._rows()).encode()

    def xml(self) -> bytes:
        """The whole sheet.

        Raises:
            ValueError: openpyxl wrote the empty rows in another way than is known here.
        """
        try:
            self.write()
        except BaseException:
            self.close()  # else the stream complains when it is thrown away half written
            raise
        head, found, tail = self._out.getvalue().partition(EMPTY)
        if not found:
            raise ValueError("the rows of the sheet have no place in it; this openpyxl is not known")
        return b"".join((head, b"<sheetData>", self._data, b"</sheetData>", tail))

    def _rows(self) -> list[str]:
        sheet = self._sheet
        known = sheet.parent._cell_styles
        styles: dict[int, int] = {}
        letters = [get_column_letter(i) for i in range(1, sheet.max_column + 1)]
        heights = {r: d.height for r, d in sheet.row_dimensions.items() if d.height is not None}
        by_row: dict[int, list[Any]] = {row: [] for row in heights}
        for (row, _), cell in sheet._cells.items():
            by_row.setdefault(row, []).append(cell)
        out: list[str] = []
        for row in sorted(by_row):
            tall = f' ht="{heights[row]:g}" customHeight="1"' if row in heights else ""
            out.append(f'<row r="{row}"{tall}>')
            for cell in sorted(by_row[row], key=_column):
                style = cell._style
                number = styles.get(id(style))
                if number is None:
                    number = styles[id(style)] = known.add(style)
                if cell._hyperlink is not None:
                    sheet._hyperlinks.append(cell._hyperlink)
                out.append(_cell(f'<c r="{letters[cell.column - 1]}{row}" s="{number}"', cell))
            out.append("</row>")
        return out


def _serial(day: date) -> str:
    # Days since the end of 1899, as ECMA-376 part 1, 18.17.4.1 counts them.
    return repr(to_excel(day))  # type: ignore[no-untyped-call]


def _column(cell: Any) -> int:
    found: int = cell.column
    return found


def _cell(start: str, cell: Any) -> str:
    value = cell._value
    if value is None:
        return f"{start}/>"
    kind = cell.data_type
    if kind == "s":
        return f'{start} t="inlineStr"><is><t xml:space="preserve">{escape(value)}</t></is></c>'
    if kind == "n":
        return f"{start}><v>{value!r}</v></c>"
    if kind == "d" and isinstance(value, date):
        return f"{start}><v>{_serial(value)}</v></c>"
    if kind == "f" and isinstance(value, Formula):
        shown = value.shown
        if isinstance(shown, str):
            return f'{start} t="str"><f>{escape(value.text)}</f><v>{escape(shown)}</v></c>'
        return f"{start}><f>{escape(value.text)}</f><v>{shown!r}</v></c>"
    raise ValueError(f"cell {cell.coordinate} of {cell.parent.title} is neither text nor number nor day")
