"""GTINs against GS1's worked examples and against python-stdnum, and symbols read back by another decoder."""

from __future__ import annotations

import itertools
import math

import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.graphics.barcode import eanbc
from stdnum import ean

from nutrition.package import barcode, gtin
from nutrition.panel import png
from nutrition.panel.drawing import Bar, Drawing, Text

DIGITS = st.text("0123456789", min_size=1, max_size=1)


@pytest.mark.parametrize(
    ("body", "check"),
    [
        # GS1 General Specifications, section 7.9, and GS1's page on check digits: the worked GTIN-13 and its like.
        ("629104150021", "3"),
        ("03600029145", "2"),  # the usual example of a UPC-A
        ("400638133393", "1"),  # the usual example of an EAN-13
        ("9638507", "4"),  # the usual example of an EAN-8
        ("1061414100041", "5"),  # a case of GS1 US's example company prefix
    ],
)
def test_worked_examples(body: str, check: str) -> None:
    assert gtin.check_digit(body) == check
    assert gtin.read(body + check).digits == body + check


def test_the_worked_example_of_eighteen_digits() -> None:
    """GS1 General Specifications, section 7.9: the serial shipping container code of its table."""
    assert gtin.check_digit("37610425002123456") == "9"


@given(st.sampled_from([8, 12, 13, 14]).flatmap(lambda n: st.text("0123456789", min_size=n - 1, max_size=n - 1)))
def test_check_digits_are_those_of_python_stdnum(body: str) -> None:
    right = gtin.check_digit(body)
    assert right == ean.calc_check_digit(body)
    for last in "0123456789":
        number = body + last
        if not number.strip("0"):
            continue
        assert ean.is_valid(number) == (last == right)
        if last == right:
            assert gtin.read(number).digits == ean.validate(number)
        else:
            with pytest.raises(gtin.GtinError, match=f"its check digit is {right}"):
                gtin.read(number)


@given(
    st.text("0123456789", min_size=11, max_size=11).filter(lambda t: t.strip("0")),
    st.integers(0, 11),
    st.integers(1, 9),
)
def test_one_wrong_digit_never_passes(body: str, at: int, by: int) -> None:
    number = body + gtin.check_digit(body)
    wrong = number[:at] + str((int(number[at]) + by) % 10) + number[at + 1 :]
    if wrong.strip("0"):
        with pytest.raises(gtin.GtinError):
            gtin.read(wrong)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("036000291453", "its check digit is 2; write 036000291452"),
        ("O36000291452", "more than digits in it .O.; did you mean 036000291452"),
        ("0360002914x2", "more than digits in it .x.; write the 12 or 13 digits"),
        ("٠٣٦٠٠٠٢٩١٤٥٢", "more than digits"),
        ("36000291452", "has 11 digits; .* did a spreadsheet drop its first 0. then it is 036000291452"),
        ("61414100001", "has 11 digits; .* if its check digit is missing, it is 614141000012"),
        ("12345", "has 5 digits"),
        ("", "has 0 digits"),
        ("9" * 500, "far too long"),
        ("000000000000", "nothing but zeros"),
        ("03600029145²", "more than digits"),
    ],
)
def test_what_is_refused(text: str, says: str) -> None:
    with pytest.raises(gtin.GtinError, match=says):
        gtin.read(text)


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        assert ean.is_valid(gtin.read(text).digits)
    except gtin.GtinError as refused:
        assert refused.what
        assert refused.mend


def test_one_number_in_several_lengths() -> None:
    for text in ("036000291452", "0036000291452", "00036000291452", "0 36000-29145 2"):
        found = gtin.read(text)
        assert (found.kind, found.symbol, found.shortest) == ("GTIN-12", "UPC-A", "036000291452")
    assert gtin.read("4006381333931").symbol == "EAN-13"
    assert gtin.read("96385074").kind == "GTIN-8"
    assert gtin.read("00000096385074").kind == "GTIN-8"


@pytest.mark.parametrize(
    ("number", "level", "says"),
    [
        ("96385074", "error", "GTIN-8"),
        ("10614141000415", "error", "number of a case"),
        ("90614141000411", "error", "number of a case"),
        ("212345678992", "warning", "inside one shop"),
        ("9780306406157", "warning", "books"),
        ("9771234567898", "warning", "periodicals"),
    ],
)
def test_verdicts(number: str, level: str, says: str) -> None:
    said = gtin.verdict(gtin.read(number[:-1] + gtin.check_digit(number[:-1])))
    assert said is not None
    assert said.level == level
    assert says in said.what


def test_a_case_names_the_pint_inside() -> None:
    said = gtin.verdict(gtin.read("10614141000415"))
    assert said is not None
    assert said.mend.endswith("614141000418")


NUMBERS = st.one_of(
    st.text("0123456789", min_size=11, max_size=11),
    st.text("0123456789", min_size=12, max_size=12),
).map(lambda body: body + gtin.check_digit(body)).filter(lambda n: n.strip("0"))  # fmt: skip


@given(NUMBERS)
def test_modules_are_those_of_another_library(number: str) -> None:
    """reportlab's own tables, turned into a row of modules by itself."""
    drawn = eanbc.Ean13BarcodeWidget(number.zfill(13))
    assert barcode.modules(number) == "".join("1" if bar else "0" for bar in _row(drawn))


def _row(widget: eanbc.Ean13BarcodeWidget) -> list[bool]:
    bars = sorted(
        (one.x, one.width) for one in widget.draw().contents if type(one).__name__ == "Rect" and one.width < 10
    )
    first = bars[0][0]
    unit = widget.barWidth
    row = [False] * 95
    for x, width in bars:
        for i in range(round((x - first) / unit), round((x - first + width) / unit)):
            row[i] = True
    return row


@settings(max_examples=12, deadline=None)
@given(NUMBERS.filter(lambda n: gtin.read(n).symbol), st.sampled_from([0.8, 0.95, 1.0, 1.5, 2.0]))
def test_a_decoder_reads_the_drawn_symbol(number: str, size: float) -> None:
    symbol = barcode.symbol(gtin.read(number), size)
    picture = png.image(Drawing(symbol.width, symbol.height, symbol.items), 300.0)
    assert [one.text.zfill(13) for one in zxingcpp.read_barcodes(picture)] == [number.zfill(13)]


@pytest.mark.parametrize("number", ["036000291452", "4006381333931"])
@pytest.mark.parametrize("size", [0.8, 1.0, 2.0])
def test_every_bar_is_whole_modules_and_margins_are_light(number: str, size: float) -> None:
    symbol = barcode.symbol(gtin.read(number), size)
    x = 0.330 * size * 72 / 25.4  # GS1 General Specifications: X at 100 % is 0.330 mm
    bars = [one for one in symbol.items if isinstance(one, Bar)]
    assert len(bars) == 30
    for bar in bars:
        assert bar.width / x == pytest.approx(round(bar.width / x), abs=1e-9)
        assert 1 <= round(bar.width / x) <= 4
    upca = len(number) == 12
    assert bars[0].x == pytest.approx((9 if upca else 11) * x)
    assert symbol.width - bars[-1].x - bars[-1].width == pytest.approx((9 if upca else 7) * x)
    for left, right in itertools.pairwise(bars):
        gap = (right.x - left.x - left.width) / x
        assert gap == pytest.approx(round(gap), abs=1e-9)
    # The whole of a UPC-A is 113 modules of 0.33 mm wide, 37.29 mm; an EAN-13 the same; both are 25.9 mm high.
    assert symbol.width == pytest.approx(37.29 * size * 72 / 25.4)
    assert symbol.height / size * 25.4 / 72 == pytest.approx(25.9, abs=0.2)
    for text in symbol.items:
        if isinstance(text, Text):
            assert text.left >= -1e-9
            assert text.left + text.width <= symbol.width + 1e-9
            assert text.y <= symbol.height
            over = [bar for bar in bars if bar.x < text.left + text.width and text.left < bar.x + bar.width]
            assert all(text.y - 0.66 * text.size > bar.y + bar.height for bar in over)
    assert "".join(one.text for one in symbol.items if isinstance(one, Text)) == number


@pytest.mark.parametrize("size", [0.79, 2.01, math.nan])
def test_other_sizes_are_refused(size: float) -> None:
    with pytest.raises(ValueError, match="80 to 200 %"):
        barcode.symbol(gtin.read("036000291452"), size)


def test_a_number_without_a_symbol_is_refused() -> None:
    with pytest.raises(ValueError, match="no UPC-A or EAN-13"):
        barcode.symbol(gtin.read("96385074"))


def test_round_tubs_take_smaller_symbols() -> None:
    """GS1 General Specifications, 6.2.3.2: less than 30 degrees from the middle to the outer bars."""
    for across in (3.6, 2.6, 2.2, 2.0, 1.9):
        size = barcode.largest(across)
        if size:
            bars = barcode.symbol(gtin.read("036000291452"), size).bars_mm / 25.4
            assert math.degrees(bars / 2 / (across / 2)) < 30
    assert barcode.largest(1.8) == 0
    assert barcode.largest() == 1.0
