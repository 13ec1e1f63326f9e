"""Spec sheets: what they say is taken exactly, and what is wrong is all told at once."""

from __future__ import annotations

import math

import pytest

from nutrition.foods import spec
from nutrition.foods.spec_values import ProblemError, amount, nutrient_key, share, weight
from nutrition.foods.table import food


def sheet(**more):
    return {"source": "Quoin Mills, sheet of 2026-01-04", "per": "100 g", "values": {"protein": "5 g"}} | more


def problems(**more):
    record, found = spec.record("x", sheet(**more))
    assert record is None
    assert found
    return found


def test_a_whole_sheet():
    record, found = spec.record(
        "duck-skin",
        {
            "name": "Duck skin",
            "source": "Ledgerwood, 2025-11-04",
            "per": "50 g serving",
            "values": {
                "energy": "1094 kJ",
                "protein": "5.3 g",
                "Total_Fat": "26.65 g",
                "sodium": "0.031 g",
                "vitamin d": "20 IU",
                "trans fat": "less than 0.1 g",
                "iron": "500 mcg",
                "cholesterol": "40 mg to 50 mg",
            },
            "measures": {"1 piece": "120 g"},
            "refuse": "10 %",
            "group": "500",
            "estimated": {"trans fat": "the supplier's guess"},
        },
    )
    assert not found
    assert record.id == "spec:duck-skin"
    get = record.composition.amount
    assert get("energy") == pytest.approx(2 * 1094 / 4.184)
    assert get("total_fat") == pytest.approx(53.3)
    assert get("sodium") == pytest.approx(62)
    assert get("vitamin_d") == pytest.approx(1.0)  # 40 IU are 1 mcg, 21 CFR 101.9(c)(8)(iv)
    assert get("iron") == pytest.approx(1.0)
    assert record.composition.bounds("trans_fat") == pytest.approx((0.0, 0.2))
    assert record.composition.bounds("cholesterol") == pytest.approx((80.0, 100.0))
    assert get("cholesterol") == pytest.approx(90.0)
    assert record.estimated["trans_fat"] == "the supplier's guess"
    assert (record.group, record.refuse, record.measures[0].grams) == ("0500", pytest.approx(0.1), 120.0)
    assert get("calcium") is None
    assert get("dietary_fiber") == 0.0  # group 0500, estimated
    assert "dietary_fiber" in record.estimated


def test_without_a_group_only_arithmetic_and_alcohol_are_filled():
    record, _ = spec.record("x", sheet(values={"protein": "5 g", "fat": "0 g"}))
    assert record.composition.amount("trans_fat") == 0.0
    assert record.composition.amount("alcohol") == 0.0
    assert set(record.estimated) == {"alcohol", "trans_fat", "saturated_fat"}
    assert record.composition.amount("cholesterol") is None


def test_values_of_a_label_are_the_intervals_that_print_so():
    """21 CFR 101.9(c); FDA Food Labeling Guide, Appendix H."""
    assert amount("energy", "50 kcal", rounded=True) == (47.5, 50.0, 54.999999999)
    assert amount("total_fat", "0 g", rounded=True) == (0.0, 0.0, 0.499999999)
    assert amount("sodium", "140 mg", rounded=True) == (137.5, 140.0, 144.999999999)
    assert amount("cholesterol", "less than 5 mg", rounded=True) == (2.0, 3.4999999995, 4.999999999)
    assert amount("total_sugars", "less than 1 g", rounded=True) == (0.5, 0.7499999995, 0.999999999)
    # Below 2 % of the RDI (1300 mg) the amount may be printed as 0: 101.9(c)(8)(iii).
    assert amount("calcium", "0 mg", rounded=True) == (0.0, 0.0, 25.999999999)
    record, _ = spec.record("x", sheet(per="2 tbsp (32 g)", rounded="yes", values={"total fat": "5 g"}))
    assert record.rounded
    assert record.composition.bounds("total_fat") == pytest.approx((4.75 / 0.32, 5.5 / 0.32))
    assert problems(rounded="yes", values={"total fat": "5.3 g"})[0][0] == ("values", "total fat")


def test_salt_is_sodium_times_two_and_a_half():
    """Regulation (EU) No 1169/2011, annex I."""
    record, _ = spec.record("x", sheet(values={"salt": "1.25 g"}))
    assert record.composition.amount("sodium") == pytest.approx(500)


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("Vitamin D", "vitamin_d"),
        ("saturates", "saturated_fat"),
        ("fibre", "dietary_fiber"),
        (" total__fat", "total_fat"),
    ],
)
def test_names_as_people_write_them(name, key):
    assert nutrient_key(name)[0] == key


def test_an_unknown_name_gets_the_nearest_right_one():
    assert problems(values={"sodum": "1 mg"}) == [
        (("values", "sodum"), "there is no nutrient called 'sodum'", "did you mean 'sodium'?")
    ]
    assert problems(mesures={})[0][2] == "did you mean 'measures'?"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("12", "has no unit"),
        ("12,5 g", "comma"),
        ("-1 g", "below zero"),
        ("1 cup", "no weight"),
        ("nan g", "not an amount"),
        ("1e5 g", "not an amount"),
        ("inf g", "not an amount"),
        ("\u0661 g", "not an amount"),
        ("5 g to 2 g", "backwards"),
        ("9" * 300 + " g", "too long"),
        ("=1+1", "not an amount"),
        ("", "not an amount"),
        ("5 kcal", "no weight"),
    ],
)
def test_amounts_that_cannot_be_read(text, says):
    with pytest.raises(ProblemError) as caught:
        amount("protein", text)
    assert says in caught.value.what


@pytest.mark.parametrize("text", ["", "100", "100 mL", "1 cup", "0 g", "-5 g", "5 g and 6 g", "99999999999 g"])
def test_weights_that_are_none(text):
    with pytest.raises(ProblemError):
        weight(text)


@pytest.mark.parametrize("text", ["10", "100 %", "-5 %", "x %"])
def test_shares_that_are_none(text):
    with pytest.raises(ProblemError):
        share(text)


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({"fat": "120 g"}, "120 g in 100 g"),
        ({"fat": "60 g", "carbohydrate": "60 g"}, "add up to 120.0 g"),
        ({"fat": "5 g", "saturated fat": "8 g"}, "more than total fat"),
        ({"sugars": "30 g", "carbohydrate": "10 g"}, "more than total carbohydrate"),
        ({"energy": "2000 kcal"}, "pure fat"),
        ({"energy": "300 kcal", "fat": "0 g", "protein": "0 g", "carbohydrate": "30 g"}, "alcohol"),
        ({"fat": "1 g", "total fat": "2 g"}, "twice"),
    ],
)
def test_what_cannot_be(values, says):
    assert says in " ".join(" ".join(p[1:]) for p in problems(values=values))


def test_every_problem_is_told_at_once():
    record, found = spec.record("x", {"per": "a lot", "values": {"protein": "much", "fatt": "1 g"}, "rounded": "maybe"})
    assert record is None
    assert {p[0] for p in found} == {("source",), ("per",), ("values", "protein"), ("values", "fatt"), ("rounded",)}
    assert all(what and mend is not None for _, what, mend in found)


@pytest.mark.parametrize(
    "raw",
    [
        [],
        "text",
        None,
        {"source": ["a"], "per": {}, "values": "x"},
        {"source": "s", "per": "100 g", "values": {"protein": ["1 g"]}},
        {"source": "s", "per": "100 g", "values": {"protein": None}},
        {"source": "s", "per": "100 g", "values": {}},
        {"source": "s", "per": "100 g", "values": {f"n{i}": "1 g" for i in range(600)}},
        {1: 2},
        {"source": "s", "per": "100 g", "values": {"protein": "1 g"}, "group": "fruit"},
        {"source": "s", "per": "100 g", "values": {"protein": "1 g"}, "estimated": {"iron": "w"}},
    ],
)
def test_hostile_shapes_are_problems_never_a_crash(raw):
    record, found = spec.record("x", raw)
    assert record is None
    assert found


def test_alcohol_when_named():
    values = {"energy": "231 kcal", "fat": "0 g", "protein": "0 g", "carbohydrate": "0 g", "alcohol": "33.4 g"}
    record, _ = spec.record("rum", sheet(values=values))
    assert record.composition.amount("alcohol") == 33.4
    assert "alcohol" not in record.estimated
    assert not math.isnan(record.composition.value[0])


def test_a_sheet_like_a_usda_record_says_only_what_differs():
    # SR28 01053, heavy cream: 36.08 g of fat, no trans fat measured; 1 cup weighs 238 g.
    cream, found = spec.record(
        "cream", {"source": "dairy, 2026", "like": "usda:01053", "values": {"trans fat": "1.3 g"}}
    )
    assert found == []
    assert cream is not None
    base = food("01053")
    assert cream.composition.bounds("trans_fat") == (1.3, 1.3)
    assert "trans_fat" in base.estimated
    assert "trans_fat" not in cream.estimated
    assert cream.composition.amount("total_fat") == base.composition.amount("total_fat") == 36.08
    assert (cream.measures, cream.group) == (base.measures, base.group)
    assert "the rest as in USDA SR28" in cream.source
    nothing, found = spec.record("cream", {"source": "dairy", "like": "usda:99999", "values": {"trans fat": "1.3 g"}})
    assert nothing is None
    assert found[0][0] == ("like",)


def test_the_factors_of_what_it_is_like_come_along() -> None:
    cream, wrong = spec.record("cream", {"source": "made up", "like": "usda:01053", "values": {"trans fat": "1.3 g"}})
    assert cream is not None, wrong
    assert dict(cream.factors) == {"protein": 4.27, "fat": 8.79, "carbohydrate": 3.87}  # USDA SR28 01053
