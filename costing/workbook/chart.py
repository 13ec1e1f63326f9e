"""The picture of the opening sheet: what a container costs, in bars stacked by kind.

Every kind has a pattern as well as a colour, and they stand in the order of the legend, so that the picture
says the same in grey.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from openpyxl.chart import BarChart, Reference
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.series_factory import SeriesFactory
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText
from openpyxl.drawing.colors import ColorChoice
from openpyxl.drawing.fill import PatternFillProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.text import CharacterProperties, Font, Paragraph, ParagraphProperties, RichTextProperties

from costing.workbook import look

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

PATTERNS = (
    ("solid", look.PINE, look.PINE),
    ("wdUpDiag", "3F7F86", look.WHITE),
    ("solid", "E3B778", "E3B778"),
    ("pct25", look.RUST, look.WHITE),
    ("pct5", look.QUIET, look.WHITE),
)
"""Pattern, ink and ground of each kind, darkest and heaviest first."""


def add(sheet: Worksheet, *, at: str, names: int, kinds: tuple[int, int], rows: tuple[int, int, int], axis: str,
        fmt: str, wide_cm: float, longest: float) -> float:  # fmt: skip
    """Put the chart on the sheet.

    Args:
        sheet: where its figures stand.
        at: cell of its upper left corner.
        names: column of the flavours' names.
        kinds: first and last column of the kinds.
        rows: row of the heads, first and last row of the flavours.
        axis: what the value axis measures, with its unit.
        fmt: number format of the value axis.
        wide_cm: width, cm.
        longest: width of the longest name, digits.

    Returns:
        Its height, cm.
    """
    head, first, last = rows
    chart: Any = BarChart()
    chart.type = "bar"
    chart.grouping = "stacked"
    chart.overlap = 100
    chart.gapWidth = 55
    chart.title = None
    chart.legend.position = "t"
    chart.legend.txPr = lettering(1200)
    labels = Reference(sheet, min_col=names, min_row=first, max_row=last)
    for i, column in enumerate(range(kinds[0], kinds[1] + 1)):
        series = SeriesFactory(
            Reference(sheet, min_col=column, min_row=first, max_row=last),
            title_from_data=False,
        )
        series.tx = _title(sheet, head, column)
        series.graphicalProperties = _fill(*PATTERNS[i % len(PATTERNS)])
        series.invertIfNegative = False
        chart.series.append(series)
    chart.set_categories(labels)
    flavours: Any = chart.x_axis
    values: Any = chart.y_axis
    flavours.scaling.orientation = "maxMin"  # the first flavour on top, as in the table
    flavours.delete = values.delete = False
    flavours.tickLblPos = "low"  # left of every bar, credits too
    flavours.title = None
    flavours.txPr = lettering(1100)
    flavours.majorTickMark = values.majorTickMark = "out"
    values.crosses = "max"
    values.title = axis
    values.title.tx.rich.p[0].pPr = ParagraphProperties(defRPr=_letters(1100))
    values.title.tx.rich.p[0].r[0].rPr = _letters(1100)
    values.title.overlay = False
    values.txPr = lettering(1100)
    values.number_format = fmt
    values.majorGridlines.spPr = GraphicalProperties(ln=LineProperties(solidFill=look.LINE, w=6350))
    values.spPr = GraphicalProperties(ln=LineProperties(noFill=True))
    chart.graphical_properties = GraphicalProperties(ln=LineProperties(noFill=True))
    # The names stand left of the bars: 11 point type is about 8 pixels of 1/96 in a digit.
    left = min(0.45, (8.2 * longest + 30) / (wide_cm / 2.54 * 96))
    chart.layout = Layout(manualLayout=ManualLayout(layoutTarget="inner", x=left, y=0.13, w=0.96 - left, h=0.66))
    chart.width = wide_cm
    chart.height = min(20.0, 4.2 + 0.85 * (last - first + 1))
    sheet.add_chart(chart, at)
    return float(chart.height)


def _title(sheet: Worksheet, row: int, column: int) -> object:
    from openpyxl.chart.data_source import StrRef
    from openpyxl.chart.series import SeriesLabel

    return SeriesLabel(strRef=StrRef(f=str(Reference(sheet, min_col=column, min_row=row))))


def _fill(pattern: Any, ink: str, ground: str) -> GraphicalProperties:
    line = LineProperties(solidFill=ink, w=9525)
    if pattern == "solid":
        return GraphicalProperties(solidFill=ink, ln=line)
    colours: list[Any] = [ink, ground]
    front, back = (ColorChoice(srgbClr=colour) for colour in colours)
    made = PatternFillProperties(prst=pattern, fgClr=front, bgClr=back)
    return GraphicalProperties(pattFill=made, ln=line)


def _letters(size: int) -> CharacterProperties:
    return CharacterProperties(sz=size, b=False, solidFill=look.INK, latin=Font(typeface=look.FACE))


def lettering(size: int) -> RichText:
    """The type of axes and legends.

    Args:
        size: in hundredths of a point.
    """
    return RichText(
        bodyPr=RichTextProperties(),
        p=[Paragraph(pPr=ParagraphProperties(defRPr=_letters(size)), endParaRPr=_letters(size))],
    )
