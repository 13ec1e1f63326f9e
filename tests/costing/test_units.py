"""Amounts as cooks write them, and the definitions behind them."""

import math
import os
import subprocess
import sys
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing import units
from costing.amounts import Kind
from costing.digits import UnreadableError, number
from costing.unit_names import names, registry, scales, singular, unit

# NIST Handbook 44, Appendix C, "General Tables of Units of Measurement": exact values, in g, mL and s.
NIST = {
    "gram": "1",
    "kilogram": "1000",
    "milligram": "0.001",
    "pound": "453.59237",
    "ounce": "28.349523125",
    "milliliter": "1",
    "centiliter": "10",
    "deciliter": "100",
    "liter": "1000",
    "cubic_inch": "16.387064",
    "gallon": "3785.411784",
    "quart": "946.352946",
    "pint": "473.176473",
    "cup": "236.5882365",
    "fluid_ounce": "29.5735295625",
    "tablespoon": "14.78676478125",
    "teaspoon": "4.92892159375",
    "second": "1",
    "minute": "60",
    "hour": "3600",
    "day": "86400",
}


@pytest.mark.parametrize(("name", "exact"), NIST.items())
def test_definitions_are_those_of_nist_exactly(name, exact):
    assert registry().get_base_units(name)[0] == Fraction(exact)
    assert unit(name.replace("_", " ")).factor == Fraction(exact)


@pytest.fixture(scope="module")
def usual():
    return pint.UnitRegistry()


@pytest.mark.parametrize("name", NIST)
def test_definitions_agree_with_pints_own_registry(name, usual):
    base = {"mass": "gram", "volume": "milliliter", "time": "second"}[unit(name.replace("_", " ")).kind]
    assert usual.Quantity(1, name).to(base).magnitude == pytest.approx(float(Fraction(NIST[name])), rel=1e-12)


@pytest.mark.parametrize(
    ("text", "celsius"), [("32 F", 0), ("212 F", 100), ("-40 F", -40), ("175 F", 715 / 9), ("80 °C", 80)]
)
def test_temperatures_against_pint_and_nist_sp_811(text, celsius, usual):
    # NIST SP 811, B.8: t/degC = (t/degF - 32)/1.8
    assert units.temperature(text).mid == pytest.approx(celsius, abs=1e-12)
    if "F" in text:
        degrees = float(text.split()[0])
        assert units.temperature(text).mid == pytest.approx(
            usual.Quantity(degrees, "degF").to("degC").magnitude, abs=1e-9
        )


def test_temperature_scales_are_exact():
    assert scales()["degree Fahrenheit"] == (Fraction(-160, 9), Fraction(-155, 9))


@pytest.mark.parametrize(
    ("text", "kind", "value", "written"),
    [
        ("350 g", Kind.WEIGHT, 350, ""),
        ("350g", Kind.WEIGHT, 350, ""),
        ("1.2 kg", Kind.WEIGHT, 1200, ""),
        ("2 lb 4 oz", Kind.WEIGHT, 1020.5828325, ""),
        ("2lb4oz", Kind.WEIGHT, 1020.5828325, ""),
        ("2 LBS", Kind.WEIGHT, 907.18474, ""),
        ("500 mg", Kind.WEIGHT, 0.5, ""),
        ("2 qt", Kind.VOLUME, 1892.705892, "qt"),
        ("1 1/2 cups", Kind.VOLUME, 354.88235475, "cups"),
        ("1-1/2 cups", Kind.VOLUME, 354.88235475, "cups"),
        ("½ cup", Kind.VOLUME, 118.29411825, "cup"),
        ("1½ cups", Kind.VOLUME, 354.88235475, "cups"),
        ("1\u00a0½\u202fcups", Kind.VOLUME, 354.88235475, "cups"),
        ("1\u20442 cup", Kind.VOLUME, 118.29411825, "cup"),
        (".25 cup", Kind.VOLUME, 59.147059125, "cup"),
        ("8 fl oz", Kind.VOLUME, 236.5882365, "fl oz"),
        ("8 fl. oz.", Kind.VOLUME, 236.5882365, "fl. oz."),
        ("1 T", Kind.VOLUME, 14.78676478125, "T"),
        ("1 t", Kind.VOLUME, 4.92892159375, "t"),
        ("2 c", Kind.VOLUME, 473.176473, "c"),
        ("2 tbsp.", Kind.VOLUME, 29.5735295625, "tbsp."),
        ("2 cups 1 tbsp", Kind.VOLUME, 487.96323778125, "cups"),
        ("1 litre", Kind.VOLUME, 1000, "litre"),
        ("1 cup chopped", Kind.VOLUME, 236.5882365, "cup, chopped"),
        ("3 each", Kind.COUNT, 3, "each"),
        ("2 dozen", Kind.COUNT, 24, "each"),
        ("1 pinch", Kind.COUNT, 1, "pinch"),
        ("2 sticks", Kind.COUNT, 2, "stick"),
        ("12 leaves", Kind.COUNT, 12, "leaf"),
        ("3 extra large", Kind.COUNT, 3, "extra large"),
        ("50 %", Kind.SHARE, 0.5, ""),
        ("50%", Kind.SHARE, 0.5, ""),
        ("all", Kind.ALL, 1, ""),
        ("0.3 % of pot", Kind.OF_POT, 0.003, ""),
        ("0.3 % of the pot", Kind.OF_POT, 0.003, ""),
        ("up to 2 kg", Kind.UP_TO, 2000, ""),
    ],
)
def test_amounts(text, kind, value, written):
    found = units.amount(text)
    assert (found.kind, found.unit) == (kind, written)
    assert found.figure.mid == pytest.approx(value, rel=1e-15)
    assert found.text == text


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("38 % to 46 %", 0.38, 0.46),
        ("38 to 46 %", 0.38, 0.46),
        ("38-46 %", 0.38, 0.46),
        ("38–46 %", 0.38, 0.46),
        ("1.1 kg to 1.3 kg", 1100, 1300),
        ("1.1 to 1.3 kg", 1100, 1300),
        ("900 g to 1 kg", 900, 1000),
        ("2 to 3 leaves", 2, 3),
    ],
)
def test_ranges(text, low, high):
    figure = units.amount(text).figure
    assert (figure.low, figure.high, figure.is_range) == (low, high, True)


@pytest.mark.parametrize(
    ("text", "what", "mend"),
    [
        ("350", "has no unit", "write 350 g, not 350"),
        ("1,5 kg", "comma", "write 1.5 kg with a point"),
        ("1,200 g", "comma", "write 1200 g without the comma, or 1.200 g"),
        ("-5 g", "below zero", "0 or more"),
        ("\u22125 g", "below zero", "0 or more"),
        ("nan g", "not an amount", "write a number"),
        ("inf kg", "not an amount", "write a number"),
        ("2000000 kg", "more than any kitchen holds", "check the number"),
        ("2000000 each", "more than any kitchen holds", "check the number"),
        ("9" * 150 + " g", "more than any kitchen holds", "check the number"),
        ("9" * 300 + " g", "too long", "write a number"),
        ("", "no value", "take the line out"),
        (" \t ", "no value", "take the line out"),
        ("5 % to 3 %", "backwards", "smaller end first"),
        ("150 %", "more than 100 %", "0 % to 100 %"),
        ("1/0 g", "not a fraction", "1.5"),
        ("1 3/2 g", "not a fraction", "1 1/2"),
        ("12 min", "not an amount of a thing", "such as 350 g"),
        ("2 lb 3 cups", "cannot be added", "one kind of unit"),
        ("3 g to 4 cups", "different kinds", "one kind of unit"),
        ("2 sticks to 3 leaves", "different kinds", "one kind of unit"),
        ("350 gr", "no unit that can be read", "did you mean gram"),
        ("350 g g", "no unit that can be read", "did you mean g"),
        ("1e3 g", "no unit that can be read", "did you mean"),
        ("up to 3 cups", "not a weight", "up to 2 kg"),
        ("100 % of pot", "no room", "less than 100 %"),
        ("1 to 2", "no unit", "such as 350 g"),
        ("to 5 g", "not an amount", "such as 350 g"),
        ("+5 g", "not an amount", "such as 350 g"),
        ("\u0661 g", "not an amount", "such as 350 g"),
        ("=1+1", "not an amount", "such as 350 g"),
    ],
)
def test_what_is_no_amount_is_refused_with_a_mend(text, what, mend):
    with pytest.raises(UnreadableError) as refused:
        units.amount(text)
    assert what in refused.value.what
    assert mend in refused.value.mend


@pytest.mark.parametrize("value", [None, 3, 3.5, ["1 g"], {"a": "1 g"}])
def test_only_text_is_an_amount(value):
    with pytest.raises(UnreadableError, match="is not an amount"):
        units.amount(value)


def test_kinds_are_kept_apart():
    for parse, wrong, mend in (
        (units.weight, "2 cups", "350 g"),
        (units.volume, "350 g", "1 pint"),
        (units.share, "350 g", "50 %"),
        (units.ratio, "2 cups", "30 %"),
        (units.duration, "5 g", "12 min"),
        (units.share_or_weight, "2 cups", "12 %"),
        (units.weight_or_volume, "2 %", "473 mL"),
        (units.target, "2 cups", "65 Brix"),
        (units.temperature, "80 K", "175 F"),
    ):
        with pytest.raises(UnreadableError) as refused:
            parse(wrong)
        assert mend in refused.value.mend


def test_a_missing_unit_is_mended_with_the_usual_one():
    for parse, mend in (
        (units.duration, "30 min"),
        (units.share, "30 %"),
        (units.volume, "30 mL"),
        (units.weight, "30 g"),
    ):
        with pytest.raises(UnreadableError, match=f"write {mend}, not 30"):
            parse("30")
    with pytest.raises(UnreadableError, match="write 80 F or 80 C"):
        units.temperature("80")


def test_shares_pass_the_whole_only_where_they_may():
    assert units.ratio("180 % to 240 %").high == 2.4
    with pytest.raises(UnreadableError, match="more than 1000 %"):
        units.ratio("1001 %")
    with pytest.raises(UnreadableError, match="more than 100 %"):
        units.share("101 %")
    with pytest.raises(UnreadableError, match="more than 100 %"):
        units.share_or_weight("101 %")


@pytest.mark.parametrize(
    ("text", "kind", "low", "high"),
    [
        ("50 %", Kind.SHARE, 0.5, 0.5),
        ("900 g", Kind.WEIGHT, 900, 900),
        ("50 % by volume", Kind.VOLUME_SHARE, 0.5, 0.5),
        ("65 Brix", Kind.BRIX, 65, 65),
        ("65 °Brix", Kind.BRIX, 65, 65),
        ("60 to 65 brix", Kind.BRIX, 60, 65),
        ("60 Brix to 65 Brix", Kind.BRIX, 60, 65),
    ],
)
def test_targets(text, kind, low, high):
    found = units.target(text)
    assert (found.kind, found.text) == (kind, text)
    assert (found.figure.low, found.figure.high) == (pytest.approx(low), pytest.approx(high))


@pytest.mark.parametrize("text", ["100 Brix", "120 Brix", "x Brix", "Brix", "-4 Brix"])
def test_impossible_brix(text):
    with pytest.raises(UnreadableError):
        units.target(text)


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("25 s", 25),
        ("12 min", 720),
        ("4 h", 14400),
        ("1 h 30 min", 5400),
        ("1h30min", 5400),
        ("2 days", 172800),
        ("1 hr", 3600),
    ],
)
def test_durations(text, seconds):
    assert units.duration(text).mid == seconds


def test_durations_and_temperatures_have_bounds():
    for parse, text in ((units.duration, "9000 h"), (units.temperature, "9999 F"), (units.temperature, "-300 C")):
        with pytest.raises(UnreadableError, match="check the number"):
            parse(text)
    with pytest.raises(UnreadableError, match="colder end first"):
        units.temperature("180 F to 170 F")


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [("170 F to 175 F", 76.667, 79.444), ("170 to 175 F", 76.667, 79.444), ("-20 C to -18 C", -20, -18)],
)
def test_temperature_ranges(text, low, high):
    found = units.temperature(text)
    assert (found.low, found.high) == (pytest.approx(low, abs=1e-3), pytest.approx(high, abs=1e-3))


def test_each_figure_is_one_of_its_own():
    one, other = units.weight("5 g to 6 g"), units.weight("5 g to 6 g")
    assert one != other
    assert units.weight(one) is one
    amount = units.amount("5 g")
    assert units.amount(amount) is amount


def test_every_spelling_leads_to_a_unit_and_capitals_do_not_matter():
    for spelling in names():
        assert unit(spelling) is not None
        if spelling not in ("T", "t", "c"):  # T and t differ, and C is Celsius
            assert unit(spelling.upper()) == unit(spelling)
    assert unit("T").name == "tablespoon"
    assert unit("t").name == "teaspoon"
    assert unit("gr") is None
    assert unit("stone") is None


def test_singular():
    words = {
        "leaves": "leaf",
        "pinches": "pinch",
        "berries": "berry",
        "boxes": "box",
        "Sticks": "stick",
        "each": "each",
    }
    assert {word: singular(word) for word in words} == words
    assert singular("extra large eggs") == "extra large egg"


_FRACTIONS = st.sampled_from(["1/2", "1/3", "2/3", "1/4", "3/4", "1/8"])
_UNITS = st.sampled_from(["g", "kg", "mg", "oz", "lb", "mL", "L", "tsp", "tbsp", "fl oz", "cup", "qt", "gal"])


@given(st.decimals(0, 10_000, places=3), _UNITS, st.sampled_from(["", " ", "\u00a0", "  "]))
def test_decimals_are_read_exactly(value, written, space):
    found = units.amount(f"{value}{space}{written}").figure
    assert found.low == found.high == float(Fraction(value) * unit(written).factor)


@given(st.integers(0, 500), _FRACTIONS, _UNITS)
def test_mixed_numbers_are_read_exactly(whole, part, written):
    expected = float((whole + Fraction(part)) * unit(written).factor)
    assert units.amount(f"{whole} {part} {written}").figure.mid == pytest.approx(expected, rel=1e-15)
    assert number(f"{whole} {part}") == whole + Fraction(part)


@given(st.decimals(0, 1000, places=2), st.decimals(0, 1000, places=2), _UNITS)
def test_ranges_are_read_or_run_backwards(low, high, written):
    text = f"{low} to {high} {written}"
    if low > high:
        with pytest.raises(UnreadableError, match="backwards"):
            units.amount(text)
    else:
        figure = units.amount(text).figure
        assert figure.low <= figure.mid <= figure.high


@given(st.text(max_size=40))
def test_any_text_is_an_amount_or_refused_in_words(text):
    for parse in (units.amount, units.temperature, units.target, units.duration):
        try:
            found = parse(text)
        except UnreadableError as refused:
            assert refused.what
            assert refused.mend
        else:
            figure = getattr(found, "figure", found)
            assert math.isfinite(figure.low)
            assert figure.low <= figure.high


PROBE = """
import sys
from costing import units
assert "pint" not in sys.modules
print(units.weight("2 lb 4 oz").mid, units.temperature("175 F").mid, units.volume("1 T").mid, "pint" in sys.modules)
"""


def _probe(cache):
    run = subprocess.run(
        [sys.executable, "-c", PROBE],
        check=True, capture_output=True, text=True, env={**os.environ, "CREAMERY_CACHE": str(cache)},
    )  # fmt: skip
    return run.stdout.split()


def test_pint_is_asked_once_and_what_it_said_is_kept(tmp_path):
    first = _probe(tmp_path)
    assert first == ["1020.5828325", "79.44444444444444", "14.78676478125", "True"]
    assert _probe(tmp_path) == [*first[:3], "False"]
    (kept,) = tmp_path.glob("units-*.json")
    for damage in (b"", b"[", b"[[1, 2], []]", b"null", b"\xff"):
        kept.write_bytes(damage)
        assert _probe(tmp_path) == first
