"""Whole labels for tests, and how to read them back."""

from __future__ import annotations

import functools
import io
from dataclasses import replace
from typing import Any

import pdfplumber

from nutrition.law.us import label_space
from nutrition.package import content, files, gtin
from nutrition.package import label as package
from tests.nutrition.panel.panel_labels import label as of_panel

BUSINESS = content.Business("Quillfeather Creamery", ("12 Ropewalk", "Port Ellery, ME 04999"))
STATEMENT = (
    "milk, cream, sour cherry ripple (sour cherries, sugar, lemon juice), sugar, pistachios, nonfat milk, glucose syrup, "
    "contains 2% or less of guar gum, salt"
)
PINT = label_space.wrap(12.1, 3.3, 4.0)
HALF_GALLON = label_space.wrap(17.2, 4.8, 6.0)
UPC = "614141000012"


def said(
    business: content.Business = BUSINESS, number: str | None = UPC, lot: Any = None, **changes: Any
) -> content.Content:
    """What a label says; changes are to the label."""
    label = replace(of_panel(title="Toasted pistachio & sour cherry"), ingredients=STATEMENT)
    return content.content(replace(label, **changes), business, None if number is None else gtin.read(number), lot)


def drawn(space: label_space.LabelSpace | None = PINT, **changes: Any) -> package.WholeLabel:
    """A label laid out."""
    return package.draw(said(**changes), space)


@functools.cache
def pages(space: label_space.LabelSpace | None = PINT, number: str | None = UPC) -> tuple[Any, ...]:
    """The pages of its PDF, read back."""
    return tuple(pdfplumber.open(io.BytesIO(files.pdf(drawn(space, number=number)))).pages)


def trim(page: Any) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of the trimmed label on a page, out of its own TrimBox; y runs down."""
    left, low, right, high = (float(one) for one in page.page_obj.attrs["TrimBox"])
    return left, float(page.height) - high, right, float(page.height) - low


def baseline(char: Any) -> float:
    """Where a character stands, pt from the top of its page."""
    return float(char["baseline"])


def inside(page: Any) -> list[Any]:
    """Characters that stand within the trimmed label, blanks left out, each with its baseline."""
    left, top, right, bottom = trim(page)
    found = []
    for char in page.chars:
        base = float(page.height) - char["matrix"][5]
        if char["text"] != " " and left <= char["x0"] <= right and top <= base <= bottom:
            found.append(char | {"baseline": base})
    return found


def found(chars: list[Any], words: str) -> list[Any]:
    """The characters of the first place where words stand."""
    text = "".join(c["text"] for c in chars)
    at = text.index(words.replace(" ", ""))
    return chars[at : at + len(words.replace(" ", ""))]
