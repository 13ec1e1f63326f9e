"""What household measures weigh."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing import units
from costing.amounts import Kind
from costing.measures import MeasureError, weigh
from costing.shop.models import Ingredient
from nutrition.composition import Composition
from nutrition.foods.library import resolve
from nutrition.foods.record import FoodRecord, Measure, water


def ingredient(**more):
    return Ingredient.model_validate(
        {"name": "thing", "where": "ingredients.yaml:1", "food": "x", "label": "x", **more}
    )


def record(*measures):
    return FoodRecord("spec:x", "X", "made up", Composition.of(100, {}), measures=tuple(Measure(*m) for m in measures))


def grams(text, food=None, **more):
    return weigh(units.amount(text), ingredient(**more), food or record()).mid


def test_weights_are_what_they_are():
    assert weigh(units.amount("350 g to 360 g"), ingredient(), record()) == (350, 360)


def test_water_is_weighed_at_20_degrees():
    # CRC Handbook of Chemistry and Physics: 0.9982 g/mL
    assert grams("1 qt", water()) == pytest.approx(946.352946 * 0.9982)
    assert grams("1 cup", water(), measures={"1 cup": "240 g"}) == pytest.approx(240)


@pytest.mark.parametrize(
    ("text", "expected"),
    # USDA SR28, NDB 01053: 1 cup, fluid (yields 2 cups whipped) 238 g; 1 cup, whipped 120 g
    [("1 cup", 238), ("2 qt", 238 * 8), ("1/2 cup", 119), ("1 gal", 238 * 16), ("1 cup to 2 cups", 357)],
)
def test_cream_is_weighed_by_its_fluid_cup(text, expected):
    assert grams(text, resolve("usda:01053", {})) == pytest.approx(expected, rel=2e-3)


def test_usda_spoons_of_powder_come_from_the_nearest_measure():
    # USDA SR28, NDB 01091, milk, dry, nonfat, regular: 1 cup 120 g, .25 cup 30 g
    assert grams("1/2 cup", resolve("usda:01091", {})) == pytest.approx(60)


def test_own_measures_come_before_the_foods():
    food = record(("1 cup", 100.0))
    assert grams("1 cup", food, measures={"1 cup": "120 g"}) == 120
    assert grams("1 pint", food, measures={"1 cup": "120 g to 130 g"}) == pytest.approx(250)
    assert grams("1 cup", food, measures={"1 pinch": "0.4 g"}) == 100


@pytest.mark.parametrize(
    "other", ["1 cup, whipped", "1 cup, packed", "1 cup, chopped", "2 tbsp, packed", "6 inch, sub", "1 cup, heaped"]
)
def test_a_plain_measure_beats_one_with_words(other):
    assert grams("1 cup", record((other, 99.0), ("1 cup,  (8 fl oz)", 240.0))) == 240
    assert grams("1 cup", record((other, 99.0), ("1 cup, fluid (yields 2 cups whipped)", 238.0))) == 238


def test_words_choose_among_measures():
    food = record(("1 cup, chopped", 110.0), ("1 cup, halves", 100.0))
    assert grams("2 cups chopped", food) == 220
    assert grams("1 cup halved", record(("1 cup", 5.0), ("1 cup, halved", 7.0))) == 7
    with pytest.raises(MeasureError, match="more than one thing") as refused:
        grams("1 cup", food)
    assert "write '1 cup chopped'" in refused.value.mend
    assert "measures: {1 cup: … g}" in refused.value.mend


def test_measures_that_agree_need_no_choice():
    assert grams("1 cup", record(("1 cup, chopped", 110.0), ("1 tbsp, minced", 6.875))) == 110


@pytest.mark.parametrize(
    ("text", "expected"),
    [("3 large", 150), ("1 extra large", 56), ("2 sticks", 226), ("1 fruit", 131), ("6 leaves", 3), ("1 pinch", 0.4)],
)
def test_counts(text, expected):
    food = record(
        ("1 large", 50.0),
        ("1 extra large", 56.0),
        ("1 stick", 113.0),
        ('1 fruit,  (2-1/8" dia)', 131.0),
        ("5 leaves", 2.5),
    )
    assert grams(text, food, measures={"1 pinch": "0.4 g"}) == pytest.approx(expected)


def test_each_says_which_to_write():
    food = resolve("usda:01123", {})  # USDA SR28: egg, whole, raw: 1 large 50 g, 1 extra large 56 g
    with pytest.raises(MeasureError) as refused:
        grams("3 each", food)
    assert "'1 large' (50 g)" in refused.value.what
    assert "write 3 large" in refused.value.mend
    assert "measures: {1 each: … g}" in refused.value.mend
    assert grams("3 each", food, measures={"1 each": "50 g"}) == 150
    assert grams("1 dozen", food, measures={"1 each": "50 g"}) == 600


@pytest.mark.parametrize(
    ("text", "mend"),
    [
        ("1 pinch", "measures: {1 pinch: … g}"),
        ("2 tbsp", "measures: {1 tablespoon: … g}"),
        ("3 gramms", "did you mean gram? if not, "),
    ],
)
def test_what_nobody_knows_is_never_guessed(text, mend):
    for food in (record(), record(("3 oz", 85.0)), record(("1 serving", 85.0), ("1 cup", 0.0))):
        with pytest.raises(MeasureError, match="nobody says") as refused:
            grams(text, food)
        assert mend in refused.value.mend


@pytest.mark.parametrize("text", ["50 %", "all", "0.3 % of pot", "up to 2 kg"])
def test_shares_have_no_weight_of_their_own(text):
    with pytest.raises(MeasureError, match="no weight of its own"):
        grams(text)


@given(st.sampled_from(["tsp", "tbsp", "cup", "pint", "qt", "gal", "mL", "L"]), st.integers(1, 40))
def test_volumes_scale_by_the_units_alone(written, many):
    amount = units.amount(f"{many} {written}")
    assert amount.kind is Kind.VOLUME
    expected = amount.figure.mid * 238 / 236.5882365
    assert weigh(amount, ingredient(), record(("1 cup", 238.0))).mid == pytest.approx(expected, rel=1e-12)
