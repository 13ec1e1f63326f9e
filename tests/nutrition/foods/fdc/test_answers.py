"""Answers of the web service that nobody meant well with."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutrition.foods.fdc import answers, printed
from nutrition.foods.fdc.answers import AnswerError
from tests.service import BRANDED, sr_legacy


def line(**more: Any) -> dict[str, Any]:
    return {"nutrient": {"id": 1093, "number": "307", "name": "Sodium, Na", "unitName": "MG"}, "amount": 52.0} | more


def food(*lines: Any, **more: Any) -> dict[str, Any]:
    return {"fdcId": 1, "dataType": "SR Legacy", "description": "Milk", "foodNutrients": list(lines)} | more


@pytest.mark.parametrize(
    "raw",
    [
        b"", b"\xff\xfe", b"null", b"7", b'"text"', b"[" * 100_000, b'{"a":' * 100_000, b"[NaN]", b"[1e", b"[Infinity]",
        b"[" + b"9" * 10_000 + b"]", b"<html></html>", json.dumps([food()] * 1001).encode(),
    ],
)  # fmt: skip
def test_what_is_no_answer(raw: bytes) -> None:
    with pytest.raises(AnswerError):
        answers.foods(raw)


@pytest.mark.parametrize(
    ("more", "part"),
    [
        ({"fdcId": "1"}, "without FDC id"),
        ({"fdcId": -1}, "without FDC id"),
        ({"fdcId": True}, "without FDC id"),
        ({"fdcId": 10**12}, "without FDC id"),
        ({"dataType": "Sample"}, "no kind of food"),
        ({"dataType": None}, "no kind of food"),
        ({"description": ["x"]}, "has no name"),
        ({"description": "\x00 \n"}, "has no name"),
    ],
)
def test_what_is_no_food(more: dict[str, Any], part: str) -> None:
    found, problems = answers.foods(json.dumps([food(**more), food()]).encode())
    assert [one.id for one in found] == [1]
    assert part in problems[0]


@pytest.mark.parametrize(
    ("lines", "amount", "part"),
    [
        ([line()], 52.0, ""),
        ([line(amount="52")], None, "no amount"),
        ([line(amount=1e999)], None, "no amount"),
        ([line(amount=-3)], None, "is no amount"),
        ([line(amount=True)], None, "no amount"),
        ([line(amount=10**400)], None, "no amount"),
        ([line(amount=None)], None, ""),
        ([line(), line()], 52.0, ""),
        ([line(), line(amount=53.0)], None, "given twice, 52 mg and 53 mg; neither is used"),
        (
            [line(nutrient={"id": 1093, "number": "307", "name": "Sodium, Na", "unitName": "CUP"})],
            None,
            "'CUP' is no unit",
        ),
        ([line(nutrient={"id": 1093, "number": "307", "name": "Iron, Fe", "unitName": "MG"})], None, "is not its name"),
        ([line(nutrient={"id": 1093, "number": "301", "name": "Sodium, Na", "unitName": "MG"})], None, "not 301"),
        ([line(nutrient={"id": 999999, "number": "9", "name": "Mood", "unitName": "MG"})], None, ""),
        (["x", 7, None, [], {"nutrient": "x", "amount": 1}], None, ""),
        ([{"number": "307", "name": "Sodium, Na", "amount": 0.052, "unitName": "G"}], 52.0, ""),
        ([{"number": 307, "name": "Sodium, Na", "amount": 52, "unitName": "mg"}], 52.0, ""),
    ],
)
def test_amounts(lines: list[Any], amount: float | None, part: str) -> None:
    text = json.dumps([food(*lines)]).replace("Infinity", "1e999").encode()
    record = answers.foods(text)[0][0].record()
    assert record.composition.amount("sodium") == (None if amount is None else pytest.approx(amount))
    assert part in "; ".join(record.problems)
    assert bool(part) == bool(record.problems)


json_values = st.recursive(
    st.none() | st.booleans() | st.floats(allow_nan=False, allow_infinity=False) | st.integers() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from([*BRANDED, "id", "value"]), inner, max_size=3)
    ),
    max_leaves=8,
)


@given(st.sampled_from([*BRANDED, "foodPortions", "foodCategory", "ndbNumber"]), json_values)
@settings(max_examples=150, deadline=None)
def test_any_field_may_hold_anything(key: str, value: Any) -> None:
    found, problems = answers.foods(json.dumps([BRANDED | {key: value}]).encode())
    assert len(found) + len(problems) == 1
    for facts in found:
        facts.record()


def test_portions() -> None:
    portions = [
        {"amount": 1, "gramWeight": 238, "modifier": "cup, fluid", "measureUnit": {"name": "undetermined"}},
        {"amount": 2, "gramWeight": 30, "modifier": "", "measureUnit": {"name": "tablespoon"}},
        {"gramWeight": 15, "portionDescription": "1 slice", "modifier": "10205"},
        {"gramWeight": 99, "portionDescription": "Quantity not specified", "modifier": "90000"},
        {"gramWeight": 0, "portionDescription": "nothing"},
        {"gramWeight": "5", "portionDescription": "text"},
        {"gramWeight": 7, "portionDescription": "1 slice"},
    ]
    found = answers.food(food(foodPortions=portions)).measures
    assert [(one.text, one.grams) for one in found] == [("1 cup, fluid", 238), ("2 tablespoon", 30), ("1 slice", 15)]


@pytest.mark.parametrize(
    ("text", "day"), [("4/1/2019", "2019-04-01"), ("2021-10-28", "2021-10-28"), ("13/13/2019", ""), ("soon", "")]
)
def test_days(text: str, day: str) -> None:
    assert answers.food(food(publicationDate=text)).published == day


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("MILK, CREAM.", ("milk", "cream")),
        ("milk; sugar; salt", ("milk", "sugar", "salt")),
        ("WATER, CONTAINS LESS THAN 2% OF: SALT, GUM", ("water", "salt", "gum")),
        ("cream (milk, [x, y]), salt", ("cream (milk, [x, y])", "salt")),
        ("cream (milk, salt", ()),
        ("cream milk), salt", ()),
        ("", ()),
        ("a," * 500, ()),
    ],
)
def test_what_a_package_is_made_of(text: str, found: tuple[str, ...]) -> None:
    assert printed.parts(text) == found


def test_a_label_figure_that_no_label_prints_keeps_its_place() -> None:
    low, value, high = printed.intervals({"total_fat": 5.3}, 100.0)["total_fat"]  # type: ignore[misc]
    assert value == pytest.approx(5.3)
    assert (low, high) == pytest.approx((4.75, 5.5))


def test_ndb_numbers_join_the_embedded_table() -> None:
    record = answers.food(sr_legacy(9, "01123")).record()
    assert record.refuse == pytest.approx(0.12)
    assert record.details["ndb"] == "01123"


def test_a_package_whose_energy_is_explained_holds_no_alcohol() -> None:
    """4-4-9: 10 g of fat, 3 g of protein and 15 g of carbohydrate give 162 kcal, and the label says 160."""
    label = {"fat": 10.0, "protein": 3.0, "carbohydrates": 15.0, "calories": 160.0}
    sober = answers.food(BRANDED | {"labelNutrients": {key: {"value": one} for key, one in label.items()}}).record()
    assert sober.composition.bounds("alcohol") == (0.0, 0.0)
    assert "explained without" in sober.estimated["alcohol"]
    label["calories"] = 230.0
    strong = answers.food(BRANDED | {"labelNutrients": {key: {"value": one} for key, one in label.items()}}).record()
    assert strong.composition.amount("alcohol") is None
    assert strong.composition.bounds("alcohol")[1] > 0
