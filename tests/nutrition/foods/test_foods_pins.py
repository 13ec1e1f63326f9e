"""Pins: a record written as text comes back to its last digit, and a spoilt pin is told of."""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutrition.composition import Composition
from nutrition.foods import pin_reading, pins, table
from nutrition.foods.record import FoodRecord, Measure, water
from nutrition.nutrients import keys

DAY = "2026-03-02"


def back(food: FoodRecord) -> FoodRecord:
    found, problems = pin_reading.record(pins.texts(food, DAY))
    assert problems == []
    assert found is not None
    assert found.pinned == DAY
    return found.record


def test_embedded_records_come_back_to_the_last_digit() -> None:
    """USDA SR28, every fortieth record: values, estimates, bounds of what is unknown, measures, refuse, factors."""
    tried = 0
    for row, food in enumerate(table.foods()):
        if row % 40:
            continue
        found = back(food)
        assert pins.same(found, food), food.id
        assert (found.id, found.name, found.source, found.release) == (food.id, food.name, food.source, food.release)
        assert dict(found.factors) == dict(food.factors)
        tried += 1
    assert tried > 200


amounts = st.floats(1e-14, 1e5) | st.just(0.0)


@st.composite
def records(draw: st.DrawFn) -> FoodRecord:
    named = draw(st.lists(st.sampled_from(keys()), unique=True, min_size=1, max_size=8))
    values: dict[str, Any] = {}
    estimated = {}
    for key in named:
        low, value, high = sorted(draw(st.tuples(amounts, amounts, amounts)))
        kind = draw(st.sampled_from(["sure", "between", "unknown"]))
        values[key] = value if kind == "sure" else (low, math.nan if kind == "unknown" else value, high)
        if kind == "unknown" or draw(st.booleans()):
            estimated[key] = draw(st.text(st.characters(categories=["L", "N", "P"]), min_size=1, max_size=20))
    return FoodRecord(
        draw(st.sampled_from(["usda:01053", "fdc:171265"])),
        "Food",
        "made up",
        Composition.of(100.0, values),
        group=draw(st.sampled_from(["", "0100"])),
        measures=tuple(Measure(f"{i} cup", g) for i, g in enumerate(draw(st.lists(st.floats(1e-6, 1e6), max_size=3)))),
        refuse=draw(st.none() | st.floats(1e-14, 1)),
        estimated=MappingProxyType(estimated),
        rounded=draw(st.booleans()),
        published="2019-04-01",
        details=MappingProxyType(draw(st.sampled_from([{}, {"brand owner": "Saltmarsh: a dairy", "gtin": "012"}]))),
        made_of=draw(st.sampled_from([(), (("cream", 0.999), ("gum", None))])),
    )


@given(records())
@settings(max_examples=40, deadline=None)
def test_any_record_comes_back_to_the_last_digit(food: FoodRecord) -> None:
    found = back(food)
    assert pins.same(found, food)
    assert found.rounded == food.rounded
    assert (found.published, dict(found.details)) == (food.published, dict(food.details))


def test_what_stands_in_the_shop_itself_is_not_pinned() -> None:
    with pytest.raises(ValueError, match="stands in the shop itself"):
        pins.texts(water(), DAY)


GOOD: dict[str, Any] = {
    "id": "usda:01053",
    "name": "Cream",
    "source": "made up",
    "pinned": DAY,
    "values": {"total fat": "36.08 g", "trans fat": "1.4 g (1.2 g to 1.7 g)", "sodium": "unknown (0 mg to 9 mg)"},
}


def test_a_pin_written_by_hand() -> None:
    found, problems = pin_reading.record(GOOD)
    assert problems == []
    assert found is not None
    assert found.record.composition.bounds("trans_fat") == (1.2, 1.7)
    assert found.record.composition.amount("sodium") is None
    assert found.record.composition.bounds("sodium") == (0.0, 9.0)


@pytest.mark.parametrize(
    ("entry", "value", "where", "part"),
    [
        ("id", "spec:cream", ("id",), "not the id of a food that is pinned"),
        ("id", "usda:1053", ("id",), "not the id"),
        ("id", "fdc:0", ("id",), "not the id"),
        ("id", "", ("id",), "empty"),
        ("pinned", "yesterday", ("pinned",), "is no day"),
        ("group", "dairy", ("group",), "food group"),
        ("rounded", "perhaps", ("rounded",), "neither yes nor no"),
        ("refuse", "lots", ("refuse",), "not a share"),
        ("refuse", "101 %", ("refuse",), "not a share"),
        ("measures", {"1 cup": "0 g"}, ("measures", "1 cup"), "not the weight"),
        ("measures", ["1 cup"], ("measures",), "must be names"),
        ("measures", {"1 cup": {"deep": "g"}}, ("measures", "1 cup"), "must have a text"),
        ("factors", {"protein": "nan"}, ("factors", "protein"), "kcal in a gram"),
        ("estimated", {"iron": "guessed"}, ("estimated", "iron"), "has no value"),
        ("values", {}, ("values",), "no values"),
        ("values", {"protein": "3"}, ("values", "protein"), "not the amount"),
        ("values", {"protein": "nan g"}, ("values", "protein"), "not the amount"),
        ("values", {"protein": "-3 g"}, ("values", "protein"), "not the amount"),
        ("values", {"protein": "1e400 g"}, ("values", "protein"), "not the amount"),
        ("values", {"protein": "9" * 400 + " g"}, ("values", "protein"), "not the amount"),
        ("values", {"protein": "3 mg"}, ("values", "protein"), "not the unit"),
        ("values", {"protein": "unknown"}, ("values", "protein"), "needs its bounds"),
        ("values", {"protein": "3 g (4 g to 5 g)"}, ("values", "protein"), "between its bounds"),
        ("values", {"protein": "3 g", "Protein": "3 g"}, ("values", "Protein"), "twice"),
        ("values", {"proteen": "3 g"}, ("values", "proteen"), "no nutrient"),
        ("values", {"salt": "3 g"}, ("values", "salt"), "not a nutrient of a pin"),
        ("values", {f"x{i}": "1 g" for i in range(501)}, ("values",), "more than 500"),
        ("shelf", "3", ("shelf",), "no entry 'shelf'"),
        ("made of", {"cream": "200 %"}, ("made of", "cream"), "not a share"),
    ],
)
def test_a_spoilt_pin_is_told_of(entry: str, value: Any, where: tuple[str, ...], part: str) -> None:
    found, problems = pin_reading.record({**GOOD, entry: value})
    assert found is None
    assert [(w, part in what, bool(mend)) for w, what, mend in problems[:1]] == [(where, True, True)], problems


@pytest.mark.parametrize("missing", ["id", "name", "source", "pinned", "values"])
def test_what_a_pin_needs(missing: str) -> None:
    found, problems = pin_reading.record({key: value for key, value in GOOD.items() if key != missing})
    assert found is None
    assert [where for where, _, _ in problems] == [(missing,)]
