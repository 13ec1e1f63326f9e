"""How large a batch somebody asks for, in words."""

from __future__ import annotations

import pytest

from costing.asking import batches_of, count_of


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("24 pints", (24, "pints")),
        ("24pints", (24, "pints")),
        ("  3 x small cup ", (3, "small cup")),
        ("3× half-gallons", (3, "half-gallons")),
        ("40", (40, "")),
        ("2 x", (2, "x")),  # a container may be called so
        ("6 Becher, groß", (6, "Becher, groß")),
    ],
)
def test_counts_of_containers(text: str, found: tuple[int, str]) -> None:
    assert count_of(text) == found


@pytest.mark.parametrize(
    "text",
    ["", " ", "pints", "-3 pints", "2.5 pints", "1/2 pint", "0 pints", "1000001 pints", "9" * 400, "3 " + "x" * 999],
)
def test_counts_that_are_none(text: str) -> None:
    with pytest.raises(ValueError, match="write it like 24 pints"):
        count_of(text)


@pytest.mark.parametrize("text", ["0", "-1", "nan", "inf", "-inf", "1e9", "two", "", "1,5", "1 000"])
def test_batches_that_are_none(text: str) -> None:
    with pytest.raises(ValueError, match="number"):
        batches_of(text)


def test_batches() -> None:
    assert [batches_of(text) for text in ("3", "0.5", "1e-3", "4096")] == [3.0, 0.5, 0.001, 4096.0]
