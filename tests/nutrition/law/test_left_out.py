"""Lines left off the panel. Source: 21 CFR 101.9(c), FDA Food Labeling Guide, Appendix H; (f) from memory."""

from __future__ import annotations

import math
from typing import Any

import pytest

from nutrition.law.us.label import Label
from nutrition.law.us.labelling import label
from nutrition.law.us.options import Options
from nutrition.product import Product

from .builders import part, plain_pint, product

SORBET = {
    "water": 200.0, "total_carbohydrate": 90.0, "total_sugars": 88.0, "added_sugars": 88.0, "sodium": 3.0,
    "dietary_fiber": 0.9, "potassium": 90.0,
}  # fmt: skip


def sorbet(**more: Any) -> Product:
    return product(part("sorbet", "sweetener", 300.0, SORBET | more), wanted="sorbet")


def made(food: Product, **options: Any) -> Label:
    return label(food, options=Options(**options))


def test_every_line_stands_unless_asked_otherwise() -> None:
    found = made(sorbet())
    assert (found.simplified, found.left_out, found.not_significant) == (False, (), "")
    assert any("simplified form may be printed" in note.what for note in found.notes)


def test_shortened() -> None:
    found = made(sorbet(), lines="shortened")
    assert not found.simplified
    assert found.left_out == (
        "saturated_fat", "trans_fat", "cholesterol", "dietary_fiber", "vitamin_d", "calcium", "iron", "potassium",
    )  # fmt: skip
    assert found.not_significant == (
        "Not a significant source of saturated fat, trans fat, cholesterol, dietary fiber, vitamin D, calcium, iron, "
        "and potassium."
    )
    # Everything is still worked out.
    assert len(found.nutrients) == 15


@pytest.mark.parametrize(
    ("key", "below", "gone"),
    [
        ("dietary_fiber", 1.0, ("dietary_fiber",)),
        ("cholesterol", 2.0, ("cholesterol",)),
        ("total_fat", 0.5, ("saturated_fat", "trans_fat")),
        ("calcium", 26.0, ("calcium",)),  # 2 % of 1300 mg
        ("iron", 0.36, ("iron",)),  # 2 % of 18 mg
        ("potassium", 94.0, ("potassium",)),  # 2 % of 4700 mg
        ("vitamin_d", 0.4, ("vitamin_d",)),  # 2 % of 20 mcg
    ],
)
def test_a_line_goes_below_its_limit_only(key: str, below: float, gone: tuple[str, ...]) -> None:
    # The container decides, for its column stands on the panel too.
    assert set(gone) <= set(made(sorbet(**{key: below - 1e-6}), lines="shortened").left_out)
    assert set(gone).isdisjoint(made(sorbet(**{key: below}), lines="shortened").left_out)


def test_sugars_below_a_gram_may_go() -> None:
    food = product(part("ice", "water", 300.0, {"water": 299.0, "total_carbohydrate": 0.9, "total_sugars": 0.9}))
    assert {"total_sugars", "added_sugars"} <= set(made(food, lines="shortened").left_out)
    # As insignificant counts what prints 0: below 0.5 g.
    assert "total_sugars" not in made(food, lines="simplified").left_out


def test_what_nobody_knows_is_not_left_out() -> None:
    assert "iron" not in made(sorbet(iron=(0.0, math.nan, 5.0)), lines="shortened").left_out


def test_a_claim_keeps_the_lines() -> None:
    found = made(sorbet(), lines="shortened", claims=True)
    assert (found.simplified, found.left_out) == (False, ())
    assert any("claim" in note.what for note in found.notes)


def test_simplified_wants_eight() -> None:
    found = made(sorbet(), lines="simplified")
    # fat, saturated, trans, cholesterol, sodium, fiber, protein, vitamin D, calcium, iron, potassium
    assert found.simplified
    assert found.not_significant == ""
    kept = [n.key for n in found.nutrients if n.key not in found.left_out]
    assert kept == ["energy", "total_fat", "sodium", "total_carbohydrate", "total_sugars", "added_sugars", "protein"]
    rich = made(sorbet(calcium=300.0, iron=4.0, vitamin_d=3.0, potassium=900.0), lines="simplified")
    assert not rich.simplified  # fat, saturated, trans, cholesterol, sodium, fiber, protein: seven
    assert any("wants 8" in note.what for note in rich.notes)
    one_less = made(sorbet(calcium=300.0, iron=4.0, vitamin_d=3.0), lines="simplified")
    assert one_less.simplified
    assert {"calcium", "iron", "vitamin_d"}.isdisjoint(one_less.left_out)


def test_simplified_says_so_where_more_is_printed() -> None:
    found = made(sorbet(vitamin_c=20.0), lines="simplified", further=("vitamin_c",))
    assert found.not_significant.startswith("Not a significant source of saturated fat, trans fat, cholesterol")
    assert made(sorbet(), lines="simplified", claims=True).not_significant


def test_ice_cream_keeps_its_lines() -> None:
    found = made(plain_pint(), lines="shortened")
    assert found.left_out == ("dietary_fiber", "iron")
    assert found.not_significant == "Not a significant source of dietary fiber and iron."


@pytest.mark.parametrize("bad", ["dv_from", "below_two", "calories", "juice", "compounds", "milk", "lines"])
def test_choices_that_do_not_exist_are_refused(bad: str) -> None:
    wrong: dict[str, Any] = {bad: "both"}
    with pytest.raises(ValueError, match="none of"):
        Options(**wrong)
    quality: Any = {"protein_quality": 1.5}
    with pytest.raises(ValueError, match="share"):
        Options(**quality)
