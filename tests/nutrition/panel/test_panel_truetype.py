"""The reader of TrueType files, against what the files say of themselves and against another reader."""

from __future__ import annotations

import re

import pytest
from reportlab.pdfbase.ttfonts import TTFont

from nutrition.panel import faces
from nutrition.panel.truetype import TrueType, _path


@pytest.mark.parametrize("name", sorted(faces.FILES))
def test_outlines_span_what_the_file_says(name: str) -> None:
    # OpenType specification, glyf: xMin, yMin, xMax, yMax of every glyph. Points stand at extremes.
    font = faces.face(name).font
    compared = 0
    for glyph in set(font.glyphs.values()):
        said = font.bounds(glyph)
        points = [point for contour in font.contours(glyph) for point in contour]
        assert (said is None) == (not points)
        if said is None:
            continue
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        assert (min(xs), min(ys), max(xs), max(ys)) == pytest.approx(said, abs=1.5)
        compared += 1
    assert compared > 500


@pytest.mark.parametrize("name", sorted(faces.FILES))
def test_widths_and_letters_agree_with_another_reader(name: str) -> None:
    font = TTFont(f"check-{name}", str(faces.path(name)))
    mine = faces.face(name).advances
    blank = {0xA0}  # the other reader takes a blank for the no-break space
    theirs = {code: glyph for code, glyph in font.face.charToGlyph.items() if code < 0xFFFF and code not in blank}
    assert {code: glyph for code, glyph in faces.face(name).font.glyphs.items() if code not in blank} == theirs
    for code, width in mine.items():
        if code not in blank:
            assert width * 1000 == pytest.approx(font.face.charWidths[code], abs=0.5)


def test_a_blank_has_no_outline_and_an_unknown_letter_is_an_error() -> None:
    font = faces.face("regular").font
    assert font.path(ord(" ")) == ""
    with pytest.raises(KeyError):
        font.path(0x2603)


def test_outlines_are_closed_and_absolute() -> None:
    path = faces.face("bold").font.path(ord("B"))
    assert path.count("M") == path.count("Z") == 3
    assert re.fullmatch(r"(M[-\d. ]+([LQ][-\d. ]+)*Z)+", path)


def test_points_between_two_controls_lie_half_way() -> None:
    circle = [(0.0, 0.0, False), (0.0, 10.0, False), (10.0, 10.0, False), (10.0, 0.0, False)]
    assert _path(circle) == "M5 0Q0 0 0 5Q0 10 5 10Q10 10 10 5Q10 0 5 0Z"
    assert _path([(0.0, 0.0, True), (4.0, 0.0, True), (4.0, 4.0, False)]) == "M0 0L4 0Q4 4 0 0Z"


def test_a_file_without_a_unicode_table_is_refused() -> None:
    data = bytearray(faces.path("italic").read_bytes())
    font = TrueType(bytes(data))
    at = font.tables[b"cmap"] + 2
    data[at : at + 2] = b"\0\0"
    with pytest.raises(ValueError, match="no Unicode table"):
        TrueType(bytes(data))
