"""The faces: widths against another reader of the same files, and their outlines."""

from __future__ import annotations

import re

import pytest
from reportlab.pdfbase.ttfonts import TTFont

from nutrition.panel import faces


@pytest.mark.parametrize("name", sorted(faces.FILES))
def test_widths_agree_with_another_reader(name: str) -> None:
    font = TTFont(f"check-{name}", str(faces.path(name)))
    mine = faces.face(name).advances
    blank = {0xA0}  # the other reader takes a blank for the no-break space
    theirs = {code for code in font.face.charToGlyph if code < 0xFFFF and code not in blank}
    assert {code for code in mine if code < 0xFFFF and code not in blank} == theirs
    for code in theirs:
        assert mine[code] * 1000 == pytest.approx(font.face.charWidths[code], abs=0.5)


def test_a_blank_has_no_outline_and_an_unknown_letter_is_an_error() -> None:
    assert faces.outline("regular", " ") == ""
    with pytest.raises(KeyError):
        faces.outline("regular", "\u2603")


def test_outlines_are_closed() -> None:
    path = faces.outline("bold", "B")
    assert path.count("M") == path.count("Z") == 3
    assert re.fullmatch(r"(M[-\d., ]+([LQHV][-\d., ]+)*Z)+", path)
