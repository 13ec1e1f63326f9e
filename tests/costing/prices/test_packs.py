"""Packs: every way that suppliers write them, and what must be refused.

Units by NIST Handbook 44, appendix C: pound 453.59237 g, ounce 28.349523125 g, US gallon 3785.411784 mL,
fluid ounce 29.5735295625 mL.
"""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.prices.packs import Pack, _words, parse
from costing.unit_names import unit

POUND = 453.59237
OUNCE = 28.349523125
GALLON = 3785.411784
FLUID_OUNCE = 29.5735295625


@pytest.mark.parametrize(
    ("text", "kind", "amount"),
    [
        ("50 lb", "weight", 50 * POUND),
        ("50lbs.", "weight", 50 * POUND),
        ("50#", "weight", 50 * POUND),
        ("50 # bag", "weight", 50 * POUND),
        ("2.5 kg", "weight", 2500.0),
        ("12/32oz", "weight", 384 * OUNCE),
        ("1/50 LB", "weight", 50 * POUND),
        ("4 @ 5 lb", "weight", 20 * POUND),
        ("6/2 lb 4 oz", "weight", 6 * (2 * POUND + 4 * OUNCE)),
        ("1 1/2 lb", "weight", 1.5 * POUND),
        ("6/1 1/2 lb", "weight", 9 * POUND),
        ("LB", "weight", POUND),
        ("per lb", "weight", POUND),
        ("6 x 2 x 250 g", "weight", 3000.0),
        ("4 x 1 gal", "volume", 4 * GALLON),
        ("4/1 GAL", "volume", 4 * GALLON),
        ("4 x 1/2 gal", "volume", 2 * GALLON),
        ("4/½ gal", "volume", 2 * GALLON),
        ("1½ gal", "volume", 1.5 * GALLON),
        ("12/32 fl oz", "volume", 384 * FLUID_OUNCE),
        ("24/12FLOZ", "volume", 288 * FLUID_OUNCE),
        ("6 x 32 fl. oz.", "volume", 192 * FLUID_OUNCE),
        ("case of 6 x 500 mL", "volume", 3000.0),
        ("6×750 ml", "volume", 4500.0),
        ("6 x 750 ml / case", "volume", 4500.0),
        ("10 L", "volume", 10000.0),
        ("12 x 1 pt", "volume", 1.5 * GALLON),
        ("500 ct", "count", 500.0),
        ("1,000 ct", "count", 1000.0),
        ("20/50 ct", "count", 1000.0),
        ("1 dz", "count", 12.0),
        ("15 dozen", "count", 180.0),
        ("box of 12 dozen", "count", 144.0),
        ("1 each", "count", 1.0),
        ("each", "count", 1.0),
        ("case of 500", "count", 500.0),
        ("500/cs", "count", 500.0),
        ("1 gross", "count", 144.0),
    ],
)
def test_packs_as_suppliers_write_them(text: str, kind: str, amount: float) -> None:
    pack = parse(text)
    assert pack.kind == kind
    assert pack.amount == pytest.approx(amount, rel=1e-15)
    assert pack.text == text


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("1/2 gal", "'0.5 gal' or '1 x 2 gal'"),
        ("3/4 lb", "'0.75 lb' or '3 x 4 lb'"),
        ("4/1/2 gal", "'4 x 0.5 gal' or '4 x 1 x 2 gal'"),
        ("6/#10 can", "names a can size"),
        ("500", "how much of what"),
        ("", "how much of what"),
        ("2,5 kg", "a comma"),
        ("2,500 kg", "a comma"),
        ("-4 lb", "below nothing"),
        ("0 lb", "nothing in it"),
        ("4 bags", "does not say how much is in one"),
        ("1 case", "does not say how much is in one"),
        ("4 furlongs", "'furlongs' is not a unit"),
        ("1e5 lb", "'e' is not a unit"),
        ("4 x", "how much of what"),
        ("x 4 lb", "cannot be read"),
        ("4 oz 2 lb", "cannot be read"),
        ("2 lb 300 mL", "cannot be read"),
        ("2 lb 4 oz 3", "cannot be read"),
        ("1.5 x 4 lb", "cannot be read"),
        ("1 1/0 lb", "divides by zero"),
        ("10000000000 kg", "more than a pack can hold"),
        ("9" * 100 + " lb", "characters cannot be read"),
    ],
)
def test_what_cannot_be_read_says_how_to_write_it(text: str, words: str) -> None:
    with pytest.raises(ValueError, match=re.escape(words)) as told:
        parse(text)
    assert ";" in str(told.value)


@given(st.text(max_size=90))
def test_any_text_gives_a_pack_or_says_why_not(text: str) -> None:
    try:
        pack = parse(text)
    except ValueError:
        return  # any other error fails the test
    assert 0 < pack.amount <= 1e9


@given(
    outer=st.integers(1, 500),
    inner=st.integers(9, 500),
    sign=st.sampled_from([" x ", "x", "/", " / ", " × ", "*"]),
    word=st.sampled_from(["lb", "g", "fl oz", "mL", "ct", "gal", "oz"]),
)
def test_however_it_is_written_a_pack_is_the_product_of_its_numbers(
    outer: int, inner: int, sign: str, word: str
) -> None:
    together = parse(f"{outer}{sign}{inner} {word}")
    one = parse(f"{inner} {word}")
    assert together.kind == one.kind
    assert together.amount == pytest.approx(outer * one.amount, rel=1e-14)


def test_every_unit_of_the_table_is_one_that_the_units_know() -> None:
    kinds = {"weight": "mass", "volume": "volume"}
    for word, found in _words().items():
        if found.kind in kinds:
            known = unit(found.unit)
            assert known is not None, word
            assert known.kind == kinds[found.kind], word
        else:
            assert found.kind in ("count", "wrap"), word
            assert (found.each > 0) == (found.kind == "count"), word


def test_a_pack_is_a_plain_value() -> None:
    assert parse("500 ct") == Pack("count", 500.0, "500 ct")


def test_a_bag_in_box_a_dispenser_and_a_lug_hold_what_stands_before_them() -> None:
    assert parse("2.5GA BIB").amount == parse("2.5 gal").amount
    assert parse("5 GAL DISP").amount == parse("5 gal").amount
    assert parse("28 LB LUG").amount == parse("28 lb").amount
