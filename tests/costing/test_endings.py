"""Price endings: the next price up, worked out by hand; what is no ending."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing import endings
from costing.digits import UnreadableError
from costing.shop.reader import read

USUAL = (".00", ".49", ".99")


@pytest.mark.parametrize(
    ("price", "ends", "currency", "wanted"),
    [
        (8.21, USUAL, "USD", "8.49"),
        (8.49, USUAL, "USD", "8.49"),
        (8.4900000000004, USUAL, "USD", "8.49"),
        (8.491, USUAL, "USD", "8.99"),
        (8.991, USUAL, "USD", "9.00"),
        (0.0, USUAL, "USD", "0.00"),
        (0.0, (".49",), "USD", "0.49"),
        (10.20, (), "USD", "10.20"),
        (10.201, (), "USD", "10.21"),
        (10.2, (), "JPY", "11"),
        (10.2, (), "KWD", "10.200"),
        (91.0, ("9.99",), "USD", "99.99"),
        (99.995, ("9.99",), "USD", "109.99"),
        (101, ("0", "5"), "JPY", "105"),
        (101, ("95",), "JPY", "195"),
        (95, ("95",), "JPY", "95"),
        (4.01, (".5",), "EUR", "4.50"),
    ],
)
def test_the_next_price_up(price: float, ends: tuple[str, ...], currency: str, wanted: str) -> None:
    assert str(endings.up(price, ends, currency)) == wanted


@given(st.floats(0, 1e5), st.lists(st.sampled_from(["00", ".00", ".25", ".49", ".5", ".99", "9.95", "5"]), unique=True))
def test_never_below_and_never_further_than_the_ending_comes_round(price: float, ends: list[str]) -> None:
    found = endings.up(price, tuple(ends))
    assert found >= Decimal(repr(round(price, 9)))
    assert endings.up(float(found), tuple(ends)) == found
    assert found - Decimal(price) <= 100


@pytest.mark.parametrize("price", [float("nan"), float("inf"), -1.0])
def test_what_is_no_price(price: float) -> None:
    with pytest.raises(ValueError, match="no price"):
        endings.up(price)


@pytest.mark.parametrize(
    ("value", "what"),
    [
        ([], "must be a list"),
        ({"a": "b"}, "must be a list"),
        (["x"], "'x' is not a price ending"),
        (["-.49"], "is not a price ending"),
        ([".499"], "more decimals than USD"),
        ([".49", "0.49"], "stands here twice"),
        (["5."], "is not a price ending"),
        (["12345"], "is not a price ending"),
        ([["a"]], "is not an amount"),
        ([".49"] * 101, "nobody has 101"),
    ],
)
def test_what_is_no_ending(value: object, what: str) -> None:
    with pytest.raises(UnreadableError, match=what):
        endings.read(value, "USD")


def test_a_shop_file_may_name_them(quillfeather: Path) -> None:
    file = quillfeather / "shop.yaml"
    text = file.read_text()
    assert read(quillfeather)[0].price_endings == ()  # type: ignore[union-attr]
    file.write_text(text + "\nprice endings: [.00, .49, .99]\n")
    found = read(quillfeather)[0]
    assert found is not None
    assert found.price_endings == USUAL
    file.write_text(text + "\nprice endings: [.00, soon]\n")
    model, findings = read(quillfeather)
    assert model is None
    (error,) = [one for one in findings if one.level == "error"]
    assert error.where == f"shop.yaml:{text.count(chr(10)) + 2}"
    assert error.what == "price endings: 'soon' is not a price ending"
    assert ".49" in error.mend
