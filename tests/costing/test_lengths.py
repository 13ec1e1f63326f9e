"""Sizes of labels as people write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing import lengths, units
from costing.digits import UnreadableError

# NIST Handbook 44, appendix C: 1 inch = 2.54 cm, exactly.
INCH_CM = 2.54


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("3.6 in", 3.6),
        ('3 5/8"', 3.625),
        ("3 5/8″", 3.625),
        ("91.44 mm", 3.6),
        ("9.144 cm", 3.6),
        ("3½ inches", 3.5),
        ("1 IN.", 1.0),
    ],
)
def test_lengths(text: str, inches: float) -> None:
    assert lengths.length(text).inches == pytest.approx(inches, rel=1e-12)
    assert lengths.length(text).text == text


@pytest.mark.parametrize(
    "text", ["11.5 in x 3.25 in", "11.5 x 3.25 in", '11 1/2" × 3 1/4"', "11.5in by 3.25in", "292.1 x 82.55 mm"]
)
def test_sizes(text: str) -> None:
    found = lengths.size(text)
    assert (found.width_in, found.height_in) == pytest.approx((11.5, 3.25), rel=1e-12)


@pytest.mark.parametrize(
    "text", ["12 sq in", "12 square inches", "12 in2", "12 in²", "12 sq. in.", "77.419200 cm2", "77.4192 cm²"]
)
def test_areas(text: str) -> None:
    assert lengths.area(text).sq_in == pytest.approx(12.0, rel=1e-9)


@pytest.mark.parametrize(
    ("parse", "text", "says"),
    [
        (lengths.length, "3.6", "has no unit; write 3.6 in"),
        (lengths.length, "3,6 cm", "has a comma in its number; write 3.6 cm"),
        (lengths.length, "3.6 g", "not in a unit of length"),
        (lengths.length, "wide", "is not a length"),
        (lengths.length, "-3 in", "is not a length"),
        (lengths.length, "0 in", "is no size of a label"),
        (lengths.length, "900 in", "is no size of a label"),
        (lengths.length, ["3 in"], "this must be a plain text"),
        (lengths.size, "11.5 in", "is not a width and a height"),
        (lengths.size, "11.5 x 3.3", "has no unit"),
        (lengths.size, "1 in x 2 in x 3 in", "is not a width and a height"),
        (lengths.size, "11 oz x 3 in", "not in a unit of length"),
        (lengths.area, "12", "is not an area; write it as 12 sq in"),
        (lengths.area, "12 in", "is not an area"),
        (lengths.area, "0 sq in", "is no area of a label"),
    ],
)
def test_what_is_refused(parse, text, says) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(UnreadableError, match=says):
        parse(text)


@given(st.floats(0.11, 59.0), st.floats(0.11, 59.0))
def test_inches_and_centimetres_say_the_same(wide: float, high: float) -> None:
    one = lengths.size(f"{wide:.4f} in x {high:.4f} in")
    other = lengths.size(f"{wide * INCH_CM:.6f} x {high * INCH_CM:.6f} cm")
    assert (one.width_in, one.height_in) == pytest.approx((other.width_in, other.height_in), abs=1e-3)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text: str) -> None:
    for parse in (lengths.length, lengths.size, lengths.area):
        try:
            parse(text)
        except UnreadableError as refused:
            assert refused.what
            assert refused.mend


def test_a_cooks_inch_stays_a_counted_thing() -> None:
    assert units.amount("2 inch").unit == "inch"
    with pytest.raises(UnreadableError):
        units.amount("2 cm")
