"""Entries that are no amounts."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.amounts import Amount, Figure, Kind, Labour, SubIngredient
from costing.digits import UnreadableError
from costing.shop import words
from costing.shop.models import Channel, Container, Ingredient, Part
from costing.shop.steps import Add

PARSERS = (
    words.money, words.money_per_hour, words.money_per_month, words.money_per_kg, words.fees, words.plain_share,
    words.labour, words.words, words.names, words.counted, words.sub_ingredients, words.allergens,
    words.cooling_points, words.ppm, words.yes_no, words.whole_number, words.measures,
)  # fmt: skip


@pytest.mark.parametrize(
    ("parse", "text", "value"),
    [
        (words.money, "11.00", 11.0),
        (words.money, "11 USD", 11.0),
        (words.money, "USD 11", 11.0),
        (words.money_per_hour, "21.50 per hour", 21.5),
        (words.money_per_hour, "21.50/h", 21.5),
        (words.money_per_hour, "21.50 USD an hour", 21.5),
        (words.money_per_month, "1400 a month", 1400.0),
        (words.money_per_kg, "3 USD/kg", 3.0),
        (words.money_per_kg, "3 per kg", 3.0),
        (words.money_per_kg, "0", 0.0),
        (words.fees, "2.9 % + 0.30", (0.029, 0.3)),
        (words.fees, "0.30 + 2.9 %", (0.029, 0.3)),
        (words.fees, "0.30", (0.0, 0.3)),
        (words.fees, "0 %", (0.0, 0.0)),
        (words.plain_share, "65 %", 0.65),
        (words.names, "quince", ("quince",)),
        (words.allergens, {"tree nut": ["almond", "pecan"]}, ("tree nut: almond", "tree nut: pecan")),
        (words.allergens, ["Milk", "egg"], ("milk", "egg")),
        (words.allergens, "None", ()),
        (words.ppm, "10 ppm", 10.0),
        (words.ppm, "0", 0.0),
        (words.yes_no, "No", False),
        (words.whole_number, "12 each", 12),
    ],
)
def test_values(parse, text, value):
    assert parse(text) == value


@pytest.mark.parametrize(
    ("parse", "text", "mend"),
    [
        (words.money, "$11", "write 11"),
        (words.money, "eleven", "such as 11.00"),
        (words.money, "11,50", "write 11.50 with a point"),
        (words.money, "-1", "0 or more"),
        (words.money, -1.0, "0 or more"),
        (words.money, float("nan"), "0 or more"),
        (words.money, "USD 11 USD", "such as 11.00"),
        (words.money_per_hour, "21.50", "21.50 per hour"),
        (words.money_per_hour, "21.50 per kg", "21.50 per hour"),
        (words.money_per_kg, "3", "3 USD/kg"),
        (words.fees, "2.9 % + 0.30 + 1", "2.9 % + 0.30"),
        (words.fees, "1 + 2", "2.9 % + 0.30"),
        (words.fees, "100 %", "below 100 %"),
        (words.fees, "2 % to 3 %", "below 100 %"),
        (words.labour, "12", "12 min"),
        (words.labour, "12 min per pint", "per container"),
        (words.names, [], "[quince, peel]"),
        (words.names, ["a", "a"], "write it once"),
        (words.names, {"a": "b"}, "[quince, peel]"),
        (words.sub_ingredients, [], "[cream, gellan gum]"),
        (words.sub_ingredients, ["a", "a"], "write it once"),
        (words.sub_ingredients, {"a": "60 %", "b": "50 %"}, "cannot pass 100 %"),
        (words.allergens, ["milk", "milk"], "write it once"),
        (words.cooling_points, "70 F", "{70 F: 2 h}"),
        (words.ppm, "10", "10 ppm"),
        (words.ppm, "2000000 ppm", "check the number"),
        (words.yes_no, "perhaps", "yes or no"),
        (words.whole_number, "1.5", "such as 6"),
        (words.whole_number, "0", "such as 6"),
        (words.counted, {"tub": "2 cups"}, "2 each"),
        (words.measures, {"1 lb": "454 g"}, "1 cup"),
        (words.measures, {"1 to 2 cups": "454 g"}, "1 cup"),
    ],
)
def test_what_is_refused_says_how_to_mend_it(parse, text, mend):
    with pytest.raises(UnreadableError) as refused:
        parse(text)
    assert mend in refused.value.mend


def test_the_currency_is_the_shops():
    assert words.money("3 EUR", "EUR") == 3
    with pytest.raises(UnreadableError, match="write it in USD"):
        words.money("3 EUR", "USD")
    with pytest.raises(UnreadableError, match="write it in USD"):
        words.money_per_kg("3 EUR/kg", "USD")


@pytest.mark.parametrize("per", ["batch", "run", "container"])
def test_labour(per):
    found = words.labour(f"6 min per {per}")
    assert (found.time.mid, found.time.text, found.per) == (360, f"6 min per {per}", per)
    assert words.labour(found) is found


def test_packaging_counts():
    found = words.counted({"label": "2", "band": "1 each", "tape": "3 g"})
    assert [(name, a.kind, a.figure.mid) for name, a in found.items()] == [
        ("label", Kind.COUNT, 2),
        ("band", Kind.COUNT, 1),
        ("tape", Kind.WEIGHT, 3),
    ]


_JSON = st.recursive(
    st.text("0123456789 .,%gkml/+-aeiou", max_size=12) | st.none(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=6,
)


@given(_JSON)
def test_anything_is_a_value_or_refused_in_words(value):
    for parse in PARSERS:
        try:
            parse(value)
        except UnreadableError as refused:
            assert refused.what
            assert refused.mend


def test_models_take_finished_values_too():
    grams = Figure(5.0, 5.0, "5 g")
    milk = Ingredient(name="milk", where="x:1", food="water", label="milk", measures={"1 cup": grams})
    assert milk.measures["1 cup"] is grams
    assert "allergens" not in milk.model_fields_set
    sub = SubIngredient("cream", Figure(0.5, 0.5))
    assert Ingredient(name="m", where="x:1", food="water", label="m", made_of=[sub]).made_of == (sub,)
    tub = Container(name="t", where="x:1", holds=Figure(5.0, 5.0), made_of={"tub": Amount(Kind.COUNT, grams, "each")})
    assert tub.made_of["tub"].figure is grams
    assert Channel(name="c", where="x:1", price=3.0, fee_share=0.1, target_margin=0.5).target_margin == 0.5
    add = Add(verb="add", where="x:2", things={"milk": "5 g"}, labour=Labour(Figure(60.0, 60.0)))
    assert Part(name="p", where="x:1", steps=[add]).steps == (add,)
    assert (
        Part(name="p", where="x:1", steps=[{"verb": "lose", "where": "x:3", "amount": "2 %"}]).steps[0].where == "x:3"
    )
