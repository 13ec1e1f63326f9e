"""Shares of a line add up to it; steps, chances and bands against what the tables print, amount by amount."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutrition.composition import Composition
from nutrition.law.us import added_sugars_record, compliance, evidence, next_step, rounding
from nutrition.law.us.labelling import label, printed
from nutrition.product import Component, Product
from tests.nutrition.law.builders import part, plain_pint, product

LINES = tuple(rounding.lines())


def same(found: evidence.Amount, low: float, value: float | None, high: float) -> None:
    for one, other in ((found.low, low), (found.high, high)):
        assert one == pytest.approx(other, rel=1e-9, abs=1e-9)
    assert (found.value is None) == (value is None)
    if value is not None:
        assert found.value == pytest.approx(value, rel=1e-9, abs=1e-9)


def check(food: Product) -> None:
    found = label(food)
    for line in found.nutrients:
        origin = evidence.origins(food, found)[line.key]
        whole = sum((s.amount for s in origin.shares), evidence.NOTHING)
        whole = sum((c.amount for c in origin.corrections), whole)
        same(whole, line.per_container_low, line.per_container, line.per_container_high)
        same(origin.total, line.per_container_low, line.per_container, line.per_container_high)
        allowed = {"added_sugars", "total_sugars", "energy"}
        assert not origin.corrections or line.key in allowed, line.key


# Shares -------------------------------------------------------------------------------------------------------------


@st.composite
def compositions(draw: st.DrawFn, grams: float) -> Composition:
    """Something of a food: some amounts known, some as intervals, the others unknown."""
    amounts: dict[str, Any] = {}
    left = 1.0
    for key in ("water", "protein", "total_fat", "total_carbohydrate", "ash", "alcohol"):
        share = draw(st.floats(0, left / 2))
        left -= share
        if draw(st.integers(0, 5)):
            wide = draw(st.sampled_from([0.0, 0.0, 0.1]))
            value = share * grams
            amounts[key] = (value * (1 - wide), value, value * (1 + wide)) if wide else value
    if isinstance(amounts.get("total_carbohydrate"), float) and draw(st.booleans()):
        # A table may hold more sugars than carbohydrate.
        amounts["total_sugars"] = amounts["total_carbohydrate"] * draw(st.sampled_from([0.5, 1.0, 1.02]))
        amounts["added_sugars"] = amounts["total_sugars"] * draw(st.sampled_from([0.0, 0.4, 1.0]))
    for key in ("sodium", "calcium", "iron", "potassium", "cholesterol"):
        if draw(st.booleans()):
            amounts[key] = draw(st.floats(0, 3)) * grams / 10
    return Composition.of(grams, amounts)


@st.composite
def foods(draw: st.DrawFn) -> Product:
    parts = []
    for name in draw(st.lists(st.sampled_from("abcdefg"), min_size=1, max_size=5)):
        grams = draw(st.floats(0.5, 200))
        juice = draw(st.integers(0, 3)) == 0
        parts.append(
            Component(
                f"{name} apple",
                name,
                "juice" if juice else draw(st.sampled_from(["dairy", "sweetener", "fruit", "other"])),
                f"spec:{name}",
                "by hand",
                grams,
                grams,
                draw(compositions(grams)),
                concentrated=juice,
            )
        )
    return product(*parts)


@settings(max_examples=60, deadline=None)
@given(foods())
def test_the_shares_of_every_line_come_to_the_line(food: Product) -> None:
    check(food)


def test_shares_of_a_pint_by_hand() -> None:
    origin = evidence.origins(plain_pint(), label(plain_pint()))["calcium"]
    assert [(s.ingredient, s.amount.value) for s in origin.shares] == [
        ("skim milk", 265.0),
        ("heavy cream", 75.0),
        ("sugar", 0.0),
    ]
    energy = evidence.origins(plain_pint(), label(plain_pint()))["energy"]
    # Cream: 3.3 g protein, 42 g fat, 3.2 g carbohydrate, by 4-9-4.
    assert energy.shares[0].amount.value == pytest.approx(4 * 3.3 + 9 * 42.0 + 4 * 3.2)


def test_an_ingredient_in_two_places_is_one_share() -> None:
    once, again = part("sugar", "sweetener", 30.0), part("sugar", "sweetener", 10.0)
    again = replace(again, name="caramel", groups=("sauce",))
    (share,) = evidence.origins(product(once, again), label(product(once, again)))["total_carbohydrate"].shares
    assert (share.grams, share.names) == (40.0, ("sugar", "caramel"))


# Steps --------------------------------------------------------------------------------------------------------------


def text(key: str) -> Any:
    return lambda amount: printed(key, amount, "unrounded", None)[0]


def percent(key: str) -> Any:
    return lambda amount: printed(key, amount, "unrounded", None)[1]


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(LINES), st.floats(0, 3000))
def test_a_step_is_the_way_back_from_what_is_printed(key: str, amount: float) -> None:
    step = next_step.around(text(key), amount)
    assert (step.least, step.limit) == pytest.approx(rounding.interval(key, step.text))
    assert text(key)(step.least) == step.text != step.above == text(key)(step.limit)
    assert step.below is None if step.least == 0 else step.below == text(key)(step.least - 1e-9)
    down, up = step.down(amount), step.up(amount)
    assert (down is None) == (step.least == 0)
    assert up is not None
    assert up > 0


@pytest.mark.parametrize(
    ("key", "amount", "least", "limit"),
    [
        # (d)(7)(ii): nearest whole per cent of 78 g of fat: 22 % is 21.5 % to 22.5 %.
        ("total_fat", 17.2, 0.215 * 78, 0.225 * 78),
        # (c)(8)(iii): calcium, 1,300 mg, nearest 2 % up to 10: 10 % is 9 % up to and with 10 %, and on to 12.5 % by fives.
        ("calcium", 125.0, 0.09 * 1300, 0.125 * 1300),
        ("iron", 0.1, 0.0, 0.02 * 18),
    ],
)
def test_steps_of_per_cents_by_hand(key: str, amount: float, least: float, limit: float) -> None:
    step = next_step.around(percent(key), amount)
    assert (step.least, step.limit) == pytest.approx((least, limit))


def test_what_never_changes_has_no_way_to_go() -> None:
    step = next_step.around(percent("trans_fat"), 3.0)
    assert (step.text, step.least, step.limit, step.down(3.0), step.up(3.0)) == (None, 0.0, None, None, None)


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from(LINES),
    st.lists(st.floats(0, 900), min_size=1, max_size=60),
    st.sampled_from([0.01, 0.3, 1.0]),
)
def test_chances_are_those_of_printing_every_amount(key: str, amounts: list[float], size: float) -> None:
    some = np.array(amounts) * size
    both = lambda amount: printed(key, amount, "unrounded", None)  # noqa: E731
    texts = [both(float(a)) for a in some]
    found = next_step.chances(both, some)
    assert {one.text: one.share for one in found} == {
        each: pytest.approx(texts.count(each) / len(texts)) for each in set(texts)
    }
    assert math.fsum(one.share for one in found) == pytest.approx(1.0)
    # In the order of the amounts, each once.
    assert [one.text for one in found] == list(dict.fromkeys(both(float(a)) for a in np.sort(some)))


def test_no_amounts_have_no_chances() -> None:
    assert next_step.chances(text("total_fat"), np.array([])) == ()


def test_all_texts_between_two_amounts() -> None:
    found = tuple(step.text for step in next_step.between(text("total_fat"), 4.4, 6.2))
    assert found == ("4.5g", "5g", "6g")
    assert found == tuple(dict.fromkeys(text("total_fat")(a) for a in np.linspace(4.4, 6.2, 5000)))
    assert [step.text for step in next_step.between(text("sodium"), 142.0, 142.0)] == ["140mg"]
    assert len(next_step.between(text("sodium"), 0.0, 1e6, 7)) == 7


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(LINES), st.lists(st.floats(0, 9), min_size=1, max_size=40))
def test_steps_that_follow_one_another(key: str, amounts: list[float]) -> None:
    both = lambda amount: printed(key, amount, "unrounded", None)  # noqa: E731
    some = np.array(amounts)
    steps = next_step.between(both, some.min(), some.max(), 400)
    assert steps == tuple(next_step.around(both, step.least) for step in steps)
    assert [step.least for step in steps[1:]] == [step.limit for step in steps[:-1]]
    shares = next_step.shares(steps, some)
    assert {s.text: share for s, share in zip(steps, shares, strict=True) if share} == {
        one.text: one.share for one in next_step.chances(both, some)
    }


# 101.9(g) -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "shown", "group", "least", "most"),
    [
        # (g)(5): "greater than 20 percent in excess of the value for that nutrient declared on the label".
        ("energy", "250", "third group", None, 300.0),
        ("saturated_fat", "10g", "third group", None, 12.0),
        ("sodium", "140mg", "third group", None, 168.0),
        ("total_sugars", "28g", "third group", None, 33.6),
        # (g)(4)(ii): "at least equal to 80 percent of the value for that nutrient declared on the label".
        ("protein", "6g", "class II", 4.8, None),
        ("calcium", "190mg", "class II", 152.0, None),
        ("dietary_fiber", "3g", "class II", 2.4, None),
        ("total_carbohydrate", "28g", "class II", 22.4, None),
        # What rounds to a text of its own is in the band of that text.
        ("trans_fat", "0g", "third group", None, 0.5),
        ("cholesterol", "less than 5mg", "third group", None, 5.0),
        ("dietary_fiber", "less than 1g", "class II", 0.0, None),
    ],
)
def test_bands_of_the_paragraph(key: str, shown: str, group: str, least: float | None, most: float | None) -> None:
    band = compliance.band(key, shown)
    assert band is not None
    assert (band.group, band.at_least, band.at_most) == (group, least, most)


def test_what_was_put_in_must_be_there_in_full() -> None:
    band = compliance.band("vitamin_d", "2mcg", put_in=True)
    assert band is not None
    assert (band.group, band.at_least, band.rule) == ("class I", 2.0, "21 CFR 101.9(g)(4)(i)")
    assert compliance.judge(band, 1.99, 3.0) == "below"
    assert compliance.judge(band, 2.0, 3.0) == "in"


def test_added_sugars_have_a_band_only_where_there_are_no_others() -> None:
    with_milk, alone = compliance.band("added_sugars", "20g"), compliance.band("added_sugars", "20g", only_sugars=True)
    assert with_milk is not None
    assert alone is not None
    assert (with_milk.group, compliance.judge(with_milk, 0.0, 99.0)) == ("record", "no band")
    assert (alone.at_most, compliance.judge(alone, 19.0, 24.1)) == (24.0, "above")
    assert compliance.band("added_sugars", "") is None


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(LINES), st.floats(0, 2000), st.floats(0.5, 1.5))
def test_the_ratio_of_a_laboratory_decides(key: str, amount: float, ratio: float) -> None:
    shown = text(key)(amount)
    band = compliance.band(key, shown, only_sugars=True)
    figure = rounding.declare(key, amount).value
    if figure == 0 or "less" in shown or abs(ratio - 1.2) < 1e-6 or abs(ratio - 0.8) < 1e-6:
        return
    verdict = compliance.judge(band, figure * ratio, figure * ratio)
    limited = key in {"energy", "total_fat", "saturated_fat", "trans_fat", "cholesterol", "sodium", "total_sugars", "added_sugars"}  # fmt: skip
    assert verdict == ("above" if limited and ratio > 1.2 else "below" if not limited and ratio < 0.8 else "in")


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("Milk, whole, 3.25% milkfat, with added vitamin D", {"vitamin_d"}),
        ("Milk, canned, evaporated, with added vitamin D and without added vitamin A", {"vitamin_d"}),
        ("Milk, dry, nonfat, regular, without added vitamin A and vitamin D", set()),
        ("skim milk fortified with vitamins A and D", {"vitamin_a", "vitamin_d"}),
        ("Egg, whole, raw, fresh", set()),
        ("baked in a cast iron pan", {"iron"}),  # names are all that is known; the stricter class is the safe one
    ],
)
def test_names_say_what_was_put_in(name: str, found: set[str]) -> None:
    food = product(part("milk", "dairy", 100.0))
    assert compliance.put_in(food, {"milk": [name]}) == found


def test_a_sub_ingredient_says_what_was_put_in() -> None:
    flour = replace(part("flour", "grain", 10.0), made_of=(("wheat flour", None), ("ferrous sulfate", None)))
    assert compliance.put_in(product(flour)) == {"iron"}
    assert compliance.put_in(product(replace(flour, present_g=0.0), part("x", "other", 1.0))) == set()


# The record of (g)(10) ----------------------------------------------------------------------------------------------


def test_the_record_of_added_sugars_has_every_amount() -> None:
    food = plain_pint()
    found = added_sugars_record.record(food, label(food))
    assert [(s.ingredient, s.added.value, s.sugars.value) for s in found.sweets] == [
        ("sugar", 48.0, 48.0),
        ("heavy cream", 0.0, 3.2),
        ("skim milk", 0.0, 12.6),
    ]
    assert [s.basis for s in found.sweets] == [
        "class sweetener: all of its sugars are added",
        *["class dairy: none of its sugars is added"] * 2,
    ]
    assert (found.total.value, found.concentrated.value, found.net_g) == (48.0, 0.0, 300.0)
    assert dict(found.printed) == {"serving": "16g", "container": "48g"}


def test_concentrated_juice_stands_in_the_record_with_its_brix() -> None:
    amounts = {"water": 20.0, "total_carbohydrate": 30.0, "total_sugars": 30.0}
    juice = replace(part("apple juice", "juice", 50.0, amounts), concentrated=True)
    food = product(juice, part("water", "water", 50.0, {"water": 50.0}))
    found = added_sugars_record.record(food, label(food))
    (sweet,) = found.sweets
    assert sweet.brix == 11.5
    # 70 g of water bring 70 x 11.5 / 88.5 g of sugars back to juice; the rest of the 30 g is added.
    assert found.total.value == pytest.approx(30.0 - 70.0 * 11.5 / 88.5)
    assert found.concentrated.value == pytest.approx(found.total.value)
    assert found.water_g == pytest.approx(70.0)


@settings(max_examples=30, deadline=None)
@given(foods())
def test_the_record_comes_to_the_label(food: Product) -> None:
    found = label(food)
    record = added_sugars_record.record(food, found)
    line = next(one for one in found.nutrients if one.key == "added_sugars")
    whole = sum((s.added for s in record.sweets), evidence.NOTHING) + record.concentrated
    same(whole, line.per_container_low, line.per_container, line.per_container_high)
