"""The whole label, one product worked by hand line by line. Source of every rule: 21 CFR 101.9."""

from __future__ import annotations

import dataclasses
import math
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutrition.law.us.label import Label, NutrientLine
from nutrition.law.us.labelling import label
from nutrition.law.us.options import Options
from nutrition.product import Product

from .builders import PINT_ML, part, plain_pint, product

# 300 g in 473.176473 mL: a serving of 160 mL is 101.442068 g, which is 0.338140227 of the container.
BY_HAND = {
    # key: in a container, printed for a serving and for the container, per cents
    "energy": (4 * 11.5 + 4 * 63.8 + 9 * 42, "230", "680", None, None),  # 679.2; x 0.33814 = 229.66
    "total_fat": (42.0, "14g", "42g", 18, 54),  # 14.20 g, 18.2 %; 53.8 %
    "saturated_fat": (26.1, "9g", "26g", 44, 131),  # 8.825 g, 44.1 %; 130.5 % goes up
    "trans_fat": (1.2, "0g", "1g", None, None),  # 0.406 g is below 0.5
    "cholesterol": (155.0, "50mg", "155mg", 17, 52),  # 52.41 mg; 17.47 %, 51.67 %
    "sodium": (142.0, "50mg", "140mg", 2, 6),  # 48.02 mg; 2.09 %, 6.17 %
    "total_carbohydrate": (63.8, "22g", "64g", 8, 23),  # 21.57 g; 7.84 %, 23.2 %
    "dietary_fiber": (0.0, "0g", "0g", 0, 0),
    "total_sugars": (63.8, "22g", "64g", None, None),
    "added_sugars": (48.0, "16g", "48g", 32, 96),  # 16.23 g; 32.5 % as 32.46, 96 %
    "protein": (11.5, "4g", "12g", None, None),  # 3.889 g; 11.5 goes up
    "vitamin_d": (1.8, "0.6mcg", "1.8mcg", 4, 10),  # 0.6087 mcg, 3.04 %; 9 % goes up to 10
    "calcium": (340.0, "110mg", "340mg", 8, 25),  # 114.97 mg, 8.84 %; 26.2 %
    "iron": (0.2, "0.1mg", "0.2mg", 0, 0),  # 0.0676 mg, 0.38 %; 1.1 %
    "potassium": (480.0, "160mg", "480mg", 4, 10),  # 162.3 mg, 3.45 %; 10.2 % is above 10 and goes to the nearest 5
}


def line(found: Label, key: str) -> NutrientLine:
    return next(n for n in found.nutrients if n.key == key)


def notes(found: Label, about: str, level: str = "") -> list[str]:
    return [n.what for n in found.notes if n.about == about and level in {"", n.level}]


def test_every_line_by_hand() -> None:
    found = label(plain_pint())
    assert [n.key for n in found.nutrients] == list(BY_HAND)
    for key, (amount, serving, container, dv_serving, dv_container) in BY_HAND.items():
        got = line(found, key)
        assert got.per_container == pytest.approx(amount), key
        assert got.per_serving == pytest.approx(amount * 0.338140227), key
        assert got.per_100g == pytest.approx(amount / 3), key
        assert got.declared == {"serving": serving, "container": container}, key
        percents = {"serving": dv_serving, "container": dv_container} if dv_serving is not None else {}
        assert got.dv_pct == percents, key
        assert got.print_ready, key
        assert got.unknown_from == (), key
        assert got.rule.startswith("21 CFR 101.9(c)"), key
    assert found.print_ready


def test_the_rest_of_the_label_by_hand() -> None:
    found = label(plain_pint(), as_of=date(2026, 3, 2))
    assert (found.serving.measure, found.serving.grams_text, found.serving.per_container_text) == (
        "2/3 cup", "101g", "about 3",
    )  # fmt: skip
    assert found.ingredients == "skim milk, cream, sugar"
    assert found.contains == "Contains: Milk."
    assert found.allergens == ("milk",)
    assert found.net_quantity == "1 PINT (473 mL)"
    assert (found.name.wanted, found.name.allowed) == ("ice cream", "ice cream")
    assert found.calorie_method.startswith("21 CFR 101.9(c)(1)(i)(B)")
    assert (found.key, found.title, found.law, found.alcohol_by_volume_pct) == ("test", "Test", "us", 0.0)
    assert notes(found, "nutrients") == [
        "the panel is calculated from the recipe and food tables, it is no laboratory analysis"
    ]


def test_percents_from_rounded_amounts_on_request() -> None:
    # 14.20 g prints 14 g: 17.9 % instead of 18.2 %; 52.41 mg prints 50 mg: 16.7 % instead of 17.5 %
    found = label(plain_pint(), options=Options(dv_from="rounded"))
    assert line(found, "cholesterol").dv_pct == {"serving": 17, "container": 52}
    assert line(found, "sodium").dv_pct == {"serving": 2, "container": 6}
    assert line(found, "saturated_fat").dv_pct == {"serving": 45, "container": 130}
    bad: Any = "both"
    with pytest.raises(ValueError, match="unrounded, rounded"):
        Options(dv_from=bad)


def test_columns_follow_the_size_of_the_container() -> None:
    cup = label(plain_pint(declared_ml=118.294118, net_ml=120.0))
    assert cup.serving.columns == ("container",)
    assert line(cup, "total_fat").declared == {"container": "42g"}
    assert line(cup, "total_fat").per_serving == line(cup, "total_fat").per_container
    quart = label(plain_pint(declared_ml=946.352946, net_ml=950.0))
    assert line(quart, "total_fat").declared.keys() == {"serving"}


def with_unknown(amounts: dict[str, Any], **more: Any) -> Product:
    base = plain_pint()
    return product(*base.components, part("mystery", "other", 10.0, amounts, **more))


def test_an_unknown_amount_is_no_zero() -> None:
    found = label(with_unknown({"cholesterol": (0.0, math.nan, 40.0)}))
    got = line(found, "cholesterol")
    assert not got.print_ready
    assert got.declared == {"serving": "", "container": ""}
    assert got.per_serving is None
    assert (got.per_container_low, got.per_container_high) == (155.0, 195.0)
    assert got.unknown_from == ("mystery",)
    assert not found.print_ready
    assert notes(found, "nutrients", "warning") == ["what is known of mystery is not enough to print Cholesterol"]


def test_a_width_that_changes_no_print_is_ready() -> None:
    found = label(with_unknown({"sodium": (0.0, math.nan, 0.5)}))
    got = line(found, "sodium")
    assert got.print_ready
    assert got.per_serving is None
    assert got.declared == {"serving": "50mg", "container": "140mg"}
    assert got.unknown_from == ()


def test_a_width_that_changes_only_the_per_cent_is_not_ready() -> None:
    food = with_unknown({"added_sugars": (0.0, 0.0, 0.4), "total_sugars": 0.4, "total_carbohydrate": 0.4})
    got = line(label(food), "added_sugars")
    # 48.0 to 48.4 g print 48 g; 96 % and 96.8 % print 96 % and 97 %
    assert got.declared["container"] == "48g"
    assert not got.print_ready


def test_an_estimate_counts_as_width_and_is_named() -> None:
    food = with_unknown({"trans_fat": (0.0, 0.5, 1.0), "total_fat": 5.0}, estimated={"trans_fat": "from butter"})
    got = line(label(food), "trans_fat")
    assert not got.print_ready
    assert got.declared == {"serving": "0.5g", "container": "1.5g"}  # the best value, 1.7 g: 0.57 g and 1.5 g
    assert got.estimated_from == ("mystery: from butter",)
    assert got.unknown_from == ("mystery",)


def test_an_exact_estimate_is_named_though_ready() -> None:
    food = with_unknown({"alcohol": 0.1}, estimated={"alcohol": "by difference"})
    found = label(food)
    assert line(found, "energy").estimated_from == ("mystery: by difference",)
    assert "alcohol 7 kcal" in found.calorie_method


def test_calories_carry_the_width_of_what_they_are_made_of() -> None:
    got = line(label(with_unknown({"total_fat": (0.0, math.nan, 5.0)})), "energy")
    assert got.per_container is None
    assert got.per_container_high - got.per_container_low == pytest.approx(45.0)
    assert got.unknown_from == ("mystery",)


def test_only_ingredients_that_matter_are_blamed() -> None:
    base = plain_pint()
    wide = part("wide", "other", 10.0, {"iron": (0.0, math.nan, 5.0)})
    narrow = part("narrow", "other", 10.0, {"iron": (0.0, math.nan, 0.01)})
    assert line(label(product(*base.components, narrow, wide)), "iron").unknown_from == ("wide",)


def test_concentrated_juice_adds_to_added_sugars() -> None:
    juice = part(
        "quince", "fruit", 40.0, {"water": 10.0, "total_carbohydrate": 30.0, "total_sugars": 30.0},
        concentrated=True, single_strength_brix=13.3,
    )  # fmt: skip
    base = plain_pint()
    found = label(product(*base.components, juice))
    # 190 g of water free 190 x 13.3 / 86.7 = 29.146 g of the 30 g
    assert line(found, "added_sugars").per_container == pytest.approx(48 + 30 - 29.1465, abs=1e-3)
    assert any("quince" in text and "13.3 Brix" in text for text in found.added_sugars_record)
    unknown = dataclasses.replace(juice, ingredient="medlar", name="medlar", single_strength_brix=None)
    found = label(product(*base.components, unknown))
    assert line(found, "added_sugars").unknown_from == ("medlar",)
    assert notes(found, "added sugars", "warning")


def test_allergens_are_the_union_and_bad_ones_are_errors() -> None:
    base = plain_pint(touched=frozenset({"tree nut: pecan", "Milk"}))
    found = label(base)
    assert found.contains == "Contains: Milk, Tree Nuts (Pecan)."
    assert found.allergens == ("milk", "tree nut: pecan")
    bad = label(plain_pint(touched=frozenset({"tree nut: coconut"})))
    assert not bad.print_ready
    assert "no longer" in notes(bad, "allergens", "error")[0]
    assert bad.contains == "Contains: Milk."


def test_cautions_by_content() -> None:
    spirit = part("brandy", "spirit", 10.0, {"water": 6.0, "alcohol": 4.0})
    duck = part("duck skin", "meat", 20.0, {"total_fat": 19.9, "water": 0.1})
    yolk = part("yolk", "egg yolk", 5.0, {"water": 2.5, "total_fat": 1.4})
    base = plain_pint()
    found = label(product(*base.components, spirit, duck, yolk))
    assert len(notes(found, "alcohol", "warning")) == 1
    assert "0.5 %" in notes(found, "alcohol", "warning")[0]
    assert found.alcohol_by_weight_pct == pytest.approx(4 / 335 * 100)
    assert any("duck skin" in text for text in notes(found, "meat"))
    assert len(notes(found, "meat")) == 1  # 0.03 % tissue, 6 % fat: below the lines of inspection
    assert any("155 F" in text for text in notes(found, "pasteurisation"))
    assert any("egg" in text for text in notes(found, "pasteurisation"))
    assert any("shared equipment" in text for text in notes(found, "allergens"))
    sorbet = label(product(part("sugar", "sweetener", 300.0), wanted="sorbet"))
    assert notes(sorbet, "pasteurisation") == notes(sorbet, "alcohol") == notes(sorbet, "meat") == []


def test_meat_beyond_the_lines_of_inspection() -> None:
    bacon = part("bacon", "meat", 20.0, {"total_fat": 8.0, "protein": 8.0, "water": 4.0})
    found = label(product(*plain_pint().components, bacon))
    assert any("2 % cooked" in text for text in notes(found, "meat", "warning"))
    lard = part("pork fat", "meat", 200.0, {"total_fat": 200.0})
    found = label(product(*plain_pint().components, lard))
    assert any("above 30 %" in text for text in notes(found, "meat", "warning"))


def test_candy_with_spirit() -> None:
    truffle = part("truffles", "chocolate", 20.0, {"alcohol": 2.0}, bulky="chocolate")
    spirit = part("rum", "spirit", 10.0, {"alcohol": 4.0})
    found = label(product(*plain_pint().components, truffle, spirit))
    assert any("confectionery" in text for text in notes(found, "alcohol"))
    plain = part("chips", "chocolate", 20.0, {"total_fat": 8.0}, bulky="chocolate")
    found = label(product(*plain_pint().components, plain, spirit))
    assert not any("confectionery" in text for text in notes(found, "alcohol"))


def test_sulphites_must_be_named() -> None:
    fruit = part("apricots", "fruit", 10.0, {"water": 2.0}, bulky="dried fruit", sulphites_ppm=2000.0)
    found = label(product(*plain_pint().components, fruit))
    assert notes(found, "ingredients", "error")
    assert not found.print_ready
    named = dataclasses.replace(fruit, made_of=(("apricots", None), ("sulfur dioxide (preservative)", None)))
    found = label(product(*plain_pint().components, named))
    assert not notes(found, "ingredients", "error")
    silent = dataclasses.replace(fruit, sulphites_ppm=None)
    found = label(product(*plain_pint().components, silent))
    assert any("nobody said" in text for text in notes(found, "ingredients", "note"))


def test_a_short_container_is_an_error() -> None:
    found = label(plain_pint(net_ml=PINT_ML - 1))
    assert notes(found, "net quantity", "error")
    assert not found.print_ready
    assert not notes(label(plain_pint()), "net quantity")


def test_a_wrong_name_is_a_warning() -> None:
    found = label(plain_pint(wanted="sherbet"))
    assert found.name.allowed == "ice cream"
    assert len(notes(found, "name", "warning")) == 1
    assert found.print_ready


def test_weights_that_do_not_agree_are_an_error() -> None:
    found = label(plain_pint(net_g=301.0))
    assert "301.00 g" in notes(found, "nutrients", "error")[0]


def test_changes_to_watch_have_their_day() -> None:
    assert any("Red No. 3" in text for text in notes(label(plain_pint(), as_of=date(2026, 3, 2)), "changes"))
    assert not any("Red No. 3" in text for text in notes(label(plain_pint(), as_of=date(2027, 3, 2)), "changes"))
    assert any("dairy standards" in text for text in notes(label(plain_pint()), "changes"))


def test_a_day_before_the_rules_is_said() -> None:
    found = label(plain_pint(), as_of=date(1999, 1, 1))
    assert "1999-01-01" in notes(found, "nutrients", "error")[0]
    assert not found.print_ready
    assert line(found, "calcium").declared == line(label(plain_pint()), "calcium").declared


def test_voluntary_lines_on_request() -> None:
    found = label(plain_pint(), options=Options(further=("vitamin_a", "monounsaturated_fat")))
    keys = [n.key for n in found.nutrients]
    assert keys.index("monounsaturated_fat") == keys.index("trans_fat") + 1
    assert keys[-1] == "vitamin_a"
    with pytest.raises(KeyError, match="ash"):
        label(plain_pint(), options=Options(further=("ash",)))


@pytest.mark.parametrize("bad", [{"net_g": 0.0}, {"net_ml": -1.0}, {"declared_ml": math.nan}])
def test_containers_that_cannot_be_are_refused(bad: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="above zero"):
        label(plain_pint(**bad))


def test_steeped_things_keep_their_name_and_their_allergens() -> None:
    nut = part("pecans", "nut", 0.0, given_only=True, allergens=("tree nut: pecan",))
    found = label(product(*plain_pint().components, nut))
    assert found.ingredients.endswith("contains 2% or less of pecans")
    assert "Tree Nuts (Pecan)" in found.contains
    assert any("steeped" in text for text in notes(found, "ingredients"))


def test_never_more_sugars_than_carbohydrate() -> None:
    # USDA SR28 01077, whole milk: 5.05 g of sugars by analysis and 4.80 g of carbohydrate by difference in 100 g.
    milk = part("whole milk", "dairy", 300.0, {"total_carbohydrate": 14.4, "total_sugars": 15.15, "water": 264.0})
    found = label(product(milk))
    assert line(found, "total_sugars").per_container == pytest.approx(14.4)
    assert line(found, "total_sugars").declared == line(found, "total_carbohydrate").declared
    assert any("by difference" in text for text in notes(found, "nutrients"))


def test_the_law_of_the_day_asked_for() -> None:
    food = plain_pint(touched=frozenset({"sesame"}))
    assert label(food, as_of=date(2022, 12, 31)).contains == "Contains: Milk."
    assert label(food, as_of=date(2023, 1, 1)).contains == "Contains: Milk, Sesame."
    changes = notes(label(food, as_of=date(2026, 3, 2)), "changes")
    assert any("Date wording" in text for text in changes)
    assert not any("Date wording" in text for text in notes(label(food, as_of=date(2026, 7, 1)), "changes"))


@settings(max_examples=40)
@given(
    st.lists(st.sampled_from(["milk", "egg", "soy", "wheat", "peanut", "sesame", "tree nut: pecan", "goat milk"])),
    st.lists(st.sampled_from(["tree nut: almond", "fish: cod", "milk", "duck egg"])),
    st.booleans(),
)
def test_contains_is_the_union_of_what_is_in_it_and_what_touched_it(
    inside: list[str], over: list[str], given_: bool
) -> None:
    """403(w)(1)(A): all major allergens, once each, and nothing else; what was strained out counts."""
    parts = [part(f"x{i}", "other", 1.0, allergens=(one,), given_only=given_) for i, one in enumerate(inside)]
    sugar = part("sugar", "sweetener", 10.0)
    found = label(product(sugar, *parts, touched=frozenset(over)))
    assert set(found.allergens) == {*inside, *over}
    assert len(found.allergens) == len(set(found.allergens))
    words = found.contains.removeprefix("Contains: ").removesuffix(".").casefold()
    for one in (*inside, *over):
        assert (one.partition(": ")[2] or one) in words
    assert bool(found.contains) == bool(inside or over)


def test_a_trace_of_alcohol_that_prints_as_nothing_is_no_news() -> None:
    def said(grams: float) -> list[str]:
        spirit = part("vanilla extract", "flavouring", 1.0, {"water": 0.5, "alcohol": grams})
        return notes(label(product(*plain_pint().components, spirit)), "alcohol")

    assert said(0.01) == []
    assert len(said(0.1)) == 1
