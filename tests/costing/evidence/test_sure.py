"""Amounts in every draw, and the texts that they print, against whole labels made one by one."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings

from costing import Shop
from costing.desk import PLAIN
from costing.evidence import amounts, sure
from costing.evidence.sure import HowSure
from costing.finished import product
from costing.kitchen.draws import Draws
from nutrition.law.us import compliance, labelling
from nutrition.law.us.label import Label
from nutrition.law.us.options import Options
from nutrition.product import Product
from nutrition.resources import tree
from tests.nutrition.law.test_evidence import foods

FLAVOURS = ("oolong", "plum")
SERVING_ML = 160.0


@cache
def quillfeather() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


@cache
def found(key: str) -> HowSure:
    shop = quillfeather()
    answer = sure.how_sure(shop, shop.answer(key), PLAIN, draws=256)
    assert answer is not None
    return answer


def one_by_one(key: str, count: int, options: Options) -> tuple[Any, list[Label], Label]:
    """Amounts of a sample, and the label of every draw of it."""
    shop = quillfeather()
    brew = shop.brew(key, Draws(count))
    plain = shop.answer(key).product
    assert plain is not None
    label = labelling.label(plain, as_of=shop.day, options=options)
    foods = [product(brew, shop.pantry, draw) for draw in range(count) if brew.draws.possible[draw]]
    labels = [labelling.label(food, as_of=shop.day, options=options) for food in foods if food is not None]
    return amounts.sampled(brew, shop.pantry, label, SERVING_ML), labels, label


@pytest.mark.parametrize("key", FLAVOURS)
@pytest.mark.parametrize(
    "options",
    [
        Options(),
        Options(calories="C", further=("vitamin_c", "thiamin", "vitamin_a")),
        Options(calories="A", further=("sugar_alcohol",)),
    ],
)
def test_amounts_of_every_draw_are_those_of_its_own_label(key: str, options: Options) -> None:
    sampled, labels, _ = one_by_one(key, 12, options)
    for i, line in enumerate(labels[0].nutrients):
        for column, part in (("container", "per_container"), ("serving", "per_serving")):
            rows = [[getattr(one.nutrients[i], f"{part}{end}") for end in ("_low", "", "_high")] for one in labels]
            by_hand = np.array(rows, dtype=np.float64).T
            ours = np.maximum(sampled.column(line.key, column), 0.0)
            # Juice is judged draw by draw in so small a sample, so nothing is taken from a neighbour.
            assert np.allclose(ours, by_hand, rtol=1e-9, atol=1e-9, equal_nan=True), (line.key, column)


def test_texts_and_their_shares_are_those_of_printing_every_draw() -> None:
    shop, key = quillfeather(), "oolong"
    brew = shop.brew(key, Draws(128))
    answer = sure.how_sure(shop, shop.answer(key), PLAIN, draws=128)
    assert answer is not None
    assert answer.draws == 128
    labels = []
    for draw in range(128):
        food = product(brew, shop.pantry, draw)
        assert food is not None
        labels.append(labelling.label(food, as_of=shop.day))
    several = 0
    for i, line in enumerate(labels[0].nutrients):
        for column in ("serving", "container"):
            texts = Counter()
            for one in labels:
                other = one.nutrients[i]
                value = other.per_serving if column == "serving" else other.per_container
                assert value is not None
                texts[labelling.printed(line.key, value, "unrounded", shop.day)] += 1
            (ours,) = (one for one in answer.of(line.key) if one.column == column)
            likely = {(c.text, c.percent): c.likely for c in ours.could if c.likely}
            assert likely == {text: pytest.approx(count / 128) for text, count in texts.items()}, line.key
            several += len(texts) > 1
            lows = [one.nutrients[i].per_container_low for one in labels]
            if column == "container":
                assert ours.reach[0] == pytest.approx(min(lows))
    assert several >= 3


def test_what_only_the_foods_unknowns_allow_is_possible_and_has_no_chance() -> None:
    every = [could for one in found("quince").figures for could in one.could]
    only = [could for could in every if could.likely == 0.0]
    assert all(sum(c.likely or 0.0 for c in one.could) == pytest.approx(1.0) for one in found("quince").figures)
    assert all(not could.now for could in only)
    for one in found("quince").figures:
        assert sum(could.now for could in one.could) == 1, (one.key, one.column)


def test_the_texts_that_are_no_amounts() -> None:
    words = {one.place: dict(one.texts) for one in found("quince").words}
    label = quillfeather()["quince"].label()
    assert found("quince").looked == sure.WORDS
    assert words["contains"] == {label.contains: 1.0}
    assert label.ingredients in words["ingredients"]
    assert sum(words["serving size"].values()) == pytest.approx(1.0)


def test_without_ranges_there_is_one_draw() -> None:
    shop = quillfeather()
    one = sure.how_sure(shop, shop.answer("quince"), PLAIN, draws=1)
    assert one is not None
    assert (one.draws, one.looked) == (1, 1)
    for figure in one.figures:
        assert figure.likely is not None
        assert figure.likely[0] == figure.likely[1]
        assert sum(could.likely or 0.0 for could in figure.could) == 1.0


def test_a_base_has_no_label_to_be_sure_of() -> None:
    shop = quillfeather()
    assert sure.how_sure(shop, shop.answer("house-base"), PLAIN, draws=1) is None


def test_the_band_is_that_of_the_printed_figure() -> None:
    for one in found("plum").figures:
        line = next(line for line in quillfeather()["plum"].label().nutrients if line.key == one.key)
        assert (
            one.band == compliance.band(one.key, line.declared[one.column], only_sugars=False, on=quillfeather().day)
            or one.band is None
            or one.band.group == "class I"
        )
        assert one.likely is not None
        assert one.verdict == compliance.judge(one.band, *one.likely)
        assert one.widest == compliance.judge(one.band, *one.reach)


@settings(max_examples=40, deadline=None)
@given(foods())
def test_what_the_law_does_to_a_whole_food_is_done_to_every_draw(food: Product) -> None:
    plain = replace(food, components=tuple(replace(c, concentrated=False) for c in food.components))
    lines = {line.key: line for line in labelling.label(plain).nutrients}
    own = plain.composition

    def held(key: str) -> Any:
        low, high = own.bounds(key)
        value = own.amount(key)
        return np.array([[low], [np.nan if value is None else value], [high]])

    found = {key: held(key) for key in amounts.PARTS}
    sugars = amounts._bounded(found["added_sugars"], found["total_sugars"])
    ours = {
        "energy": amounts.energy(found, np.array([float(own.grams)])),
        "total_sugars": amounts._within(found["total_sugars"], found["total_carbohydrate"]),
        "added_sugars": amounts._within(sugars, found["total_carbohydrate"]),
    }
    for key, rows in ours.items():
        line = lines[key]
        by_hand = [line.per_container_low, line.per_container, line.per_container_high]
        assert np.allclose(rows[:, 0], np.array(by_hand, dtype=np.float64), rtol=1e-9, atol=1e-9, equal_nan=True), key
