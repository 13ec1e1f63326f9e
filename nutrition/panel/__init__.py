"""Draws the Nutrition Facts panel of a label.

    drawing = layout.panel(label)            what stands where, in points
    svg.text(drawing), pdf.data(drawing)     the same drawing in vectors, to real size
    png.data(drawing, 600)                   and as a picture, with its real size in the file
    write(drawing, Path("pistachio"))        SVG and PDF at once

A panel whose label is not ready for print is drawn as a proof that nobody can take for a finished one.
"""

from nutrition.panel.files import write

__all__ = ["write"]
