"""A step in words holds what its recipe says and nothing of how it is stored."""

from __future__ import annotations

import pytest

from costing import Shop
from costing.kitchen.words import describe
from nutrition.resources import tree


@pytest.mark.parametrize(
    ("recipe", "part", "number", "words"),
    [
        ("quince", "quince syrup", 5, "quince, holding 8 %, save poached quince"),
        ("quince", "base", 3, "to 40 F, within 4 h, hold 12 h"),
        ("quince", "frozen", 4, "pint, rest discard"),
        ("coffee", "frozen", 4, "10 x pint, half-gallon, rest discard"),
    ],
)
def test_a_step_in_words(recipe: str, part: str, number: int, words: str) -> None:
    parts = Shop.open(str(tree("examples") / "quillfeather")).model.recipes[recipe].parts
    assert describe(next(one for one in parts if one.name == part).steps[number - 1]) == words
