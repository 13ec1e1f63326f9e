"""The ingredient statement. Source: 21 CFR 101.4(a)(1), (a)(2), (b), 101.100(a)(4)."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutrition.law.us.ingredient_names import suggestion
from nutrition.law.us.ingredient_statement import statement, sulphites_ppm
from nutrition.law.us.options import Options

from .builders import part, plain_pint, product


def test_heaviest_first_by_weight_as_added() -> None:
    # cream 116 g, skim milk 136 g, sugar 48 g
    assert statement(plain_pint()).text == "skim milk, cream, sugar"


def test_weight_as_added_ranks_not_weight_now() -> None:
    juice = part("apple juice", "juice", 20.0, added_g=200.0, present_g=20.0, boiled_g=180.0)
    sugar = part("sugar", "sweetener", 100.0)
    assert statement(product(juice, sugar)).text == "apple juice, sugar"


def test_own_labels_stand_with_what_they_are_made_of() -> None:
    syrup = ("quince syrup",)
    found = statement(
        product(
            part("cream", "dairy", 200.0),
            part("quince", "fruit", 30.0, groups=syrup),
            part("sugar", "sweetener", 40.0, groups=syrup),
            part("water", "water", 10.0, groups=syrup),
            part("sugar in the mix", "sweetener", 50.0, name="sugar"),
        )
    )
    assert found.text == "cream, quince syrup (sugar, quince, water), sugar"
    assert found.entries[1].ingredients == ("sugar", "quince", "water")
    assert found.entries[1].grams == 80.0


def test_brackets_within_brackets_change_shape() -> None:
    found = statement(
        product(
            part("butter", "dairy", 60.0, groups=("toffee", "toffee swirl"), made_of=(("cream", 0.99), ("salt", 0.01))),
            part("sugar", "sweetener", 80.0, groups=("toffee", "toffee swirl")),
            part("cream", "dairy", 20.0, groups=("toffee swirl",)),
        )
    )
    assert found.text == "toffee swirl (toffee [sugar, butter (cream, salt)], cream)"


def test_the_same_name_stands_once_at_a_level() -> None:
    found = statement(
        product(
            part("cane sugar", "sweetener", 30.0, name="sugar"),
            part("beet sugar", "sweetener", 30.0, name="Sugar "),
            part("cream", "dairy", 50.0),
        )
    )
    assert found.text == "sugar, cream"
    assert found.entries[0].grams == 60.0
    assert found.entries[0].ingredients == ("cane sugar", "beet sugar")


def test_sub_ingredients_of_bought_goods() -> None:
    cream = part("cream", "dairy", 90.0, made_of=(("gellan gum", 0.001), ("cream", 0.999)))
    cookie = part("cookie", "other", 10.0, made_of=(("wheat flour", None), ("butter", None)))
    plain = part("milk", "dairy", 50.0, made_of=(("milk", 1.0),))
    found = statement(product(cream, plain, cookie), Options(threshold=None))
    # known shares go by weight, unknown ones as the supplier orders them; what is only itself needs no brackets
    assert found.text == "cream (cream, gellan gum), milk, cookie (wheat flour, butter)"


@pytest.mark.parametrize(
    ("threshold", "text"),
    [
        (None, "cream, salt, gum, extract"),
        (2.0, "cream, contains 2% or less of salt, gum, extract"),
        (1.5, "cream, salt, contains 1.5% or less of gum, extract"),
        (1.0, "cream, salt, contains 1% or less of gum, extract"),
        (0.5, "cream, salt, gum, contains 0.5% or less of extract"),
    ],
)
def test_closing_clause(threshold: float | None, text: str) -> None:
    parts = [part("cream", "dairy", 96.5), part("salt", "salt", 2.0), part("gum", "stabiliser", 1.0)]
    parts.append(part("extract", "flavouring", 0.5))
    found = statement(product(*parts), Options(threshold=threshold))
    assert found.text == text
    assert [e.minor for e in found.entries] == [e.share_pct <= (threshold or 0) for e in found.entries]


def test_exactly_the_threshold_is_in_the_clause() -> None:
    cream = part("cream", "dairy", 98.0)
    assert "contains 2% or less of salt" in statement(product(cream, part("salt", "salt", 2.0))).text
    more = statement(product(part("cream", "dairy", 97.9), part("salt", "salt", 2.1))).text
    assert more == "cream, salt"


@pytest.mark.parametrize("bad", [3.0, 0.0, -1.0, 5.0])
def test_other_thresholds_are_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="closing clause"):
        Options(threshold=bad)


def test_added_water_goes_only_when_all_of_it_is_gone() -> None:
    sugar = part("sugar", "sweetener", 60.0)
    half = part("water", "water", 40.0, added_g=100.0, present_g=40.0, boiled_g=60.0)
    gone = part("water", "water", 0.0, added_g=100.0, present_g=0.0, boiled_g=100.0)
    assert statement(product(sugar, half)).text == "water, sugar"
    assert statement(product(sugar, half), options=Options(net_of_boiling=True)).text == "sugar, water"
    assert statement(product(sugar, gone)).text == "sugar"


def test_what_was_steeped_stays_by_name() -> None:
    coffee = part("coffee beans", "coffee or tea", 0.0, name="coffee", given_only=True, added_g=0.0)
    found = statement(product(part("cream", "dairy", 98.0), coffee))
    assert found.text == "cream, contains 2% or less of coffee"
    assert found.entries[-1].given_only


def test_what_left_the_food_is_not_in_it() -> None:
    assert statement(product(part("cream", "dairy", 98.0), part("peel", "fruit", 0.0))).text == "cream"


def test_rendered_fat_is_named_by_its_source() -> None:
    fat = part("duck skin", "meat", 20.0, groups=("duck fat",))
    assert statement(product(part("cream", "dairy", 98.0), fat)).text == "cream, duck fat"
    browned = part("butter", "dairy", 20.0, groups=("brown butter",), made_of=(("cream", None), ("salt", None)))
    assert statement(product(part("milk", "dairy", 98.0), browned)).text == "milk, brown butter (butter [cream, salt])"


def test_an_own_label_can_be_opened_up() -> None:
    syrup = [part("sugar", "sweetener", 40.0, groups=("syrup",)), part("quince", "fruit", 30.0, groups=("syrup",))]
    found = statement(product(part("sugar", "sweetener", 20.0), *syrup), options=Options(opened=frozenset({"syrup"})))
    assert found.text == "sugar, quince"


def test_a_product_without_weight_is_refused() -> None:
    with pytest.raises(ValueError, match="weight"):
        statement(product(net_g=0.0))


@given(st.lists(st.floats(0.1, 500), min_size=1, max_size=12))
def test_order_is_by_weight_and_nobody_is_lost(weights: list[float]) -> None:
    parts = [part(f"n{i}", "fruit", grams) for i, grams in enumerate(weights)]
    found = statement(product(*parts), Options(threshold=None))
    grams = [entry.grams for entry in found.entries]
    assert grams == sorted(grams, reverse=True) or [round(g, 9) for g in grams] == sorted(
        (round(g, 9) for g in grams), reverse=True
    )
    assert sorted(re.split(", ", found.text)) == sorted(c.name for c in parts)
    # with the clause the same names stand, whatever their order
    closed = statement(product(*parts)).text
    names = closed.replace("contains 2% or less of ", "").split(", ")
    assert sorted(names) == sorted(c.name for c in parts)


@pytest.mark.parametrize(
    ("written", "suggested"),
    [
        ("skim milk powder", "skim milk"),
        ("Nonfat dry milk", "nonfat milk"),
        ("heavy cream", "cream"),
        ("granulated sugar", "sugar"),
        ("sweetened condensed milk", "sweetened condensed milk (milk, sugar)"),
    ],
)
def test_class_names(written: str, suggested: str) -> None:
    found = suggestion(written)
    assert found is not None
    assert found[0] == suggested
    assert "101.4(b)" in found[1]


@pytest.mark.parametrize("name", ["cream", "sugar", "quince", "coconut milk", "buttermilk pie"])
def test_names_that_need_no_other(name: str) -> None:
    assert suggestion(name) is None


def test_sulphites_of_the_finished_food() -> None:
    # 40 g at 1000 mg/kg in 400 g of food: 100 mg/kg
    fruit = part("apricots", "fruit", 40.0, sulphites_ppm=1000.0)
    assert sulphites_ppm(product(fruit, part("cream", "dairy", 360.0)).components, 400.0) == pytest.approx(100.0)
