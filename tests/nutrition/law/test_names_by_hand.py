"""Whole names worked by hand: three bulky flavours, other animals' milk, names of less fat, the flavor's wording.

Source: 21 CFR 135.110(a)(2), (f); 135.115; 130.10 with 101.56(b) and 101.62(b); usual ice cream from USDA SR28 19095.
"""

from __future__ import annotations

from typing import Any

import pytest

from nutrition.foods.table import food
from nutrition.law.us.around import Around, Maker
from nutrition.law.us.flavor_names import category, wording
from nutrition.law.us.label import NameAnswer, NameTest
from nutrition.law.us.labelling import label
from nutrition.law.us.name_of_food import name
from nutrition.law.us.tables import rows
from nutrition.product import Component, Product

from .builders import PINT_ML, part, plain_pint, product
from .test_name_of_food import mix


def value(found: NameAnswer, words: str) -> NameTest:
    return next(test for test in found.tests if words in test.what)


def test_chocolate_by_hand() -> None:
    """12 g of cocoa (90 % cocoa solids) in 300 g: 10.8 g x 2.5 = 27 g come off; 273 g are left.

    Milkfat 28 g: 28 / 273 = 10.256 %, of the whole 9.333 %. Milk solids 28 + 27 = 55 g: 20.147 % and 18.333 %.
    """
    cocoa = part("cocoa", "chocolate", 12.0, {"protein": 12.0}, bulky="chocolate", solids={"cocoa solids": 0.9})
    found = name(mix(28 / 3, 9.0, cocoa))
    assert value(found, "milkfat of what remains").value == pytest.approx(2800 / 273)
    assert value(found, "total milk solids of what remains").value == pytest.approx(5500 / 273)
    assert value(found, "milkfat of the whole").value == pytest.approx(28 / 3)
    assert value(found, "total milk solids of the whole").value == pytest.approx(55 / 3)
    assert found.allowed == "ice cream"
    # With a gram of milkfat less 27 / 273 = 9.89 %: below 10.
    assert name(mix(9.0, 9.0, cocoa)).allowed == "frozen dessert"


def test_strawberries_by_hand() -> None:
    """60 g of strawberries in 300 g: 60 x 1.4 = 84 g come off; 216 g are left.

    Milkfat 24 g: 11.111 %, of the whole 8 %: exactly the floor. Milk solids 48 g: 22.222 %, of the whole 16 %: the floor.
    """
    fruit = part("strawberries", "fruit", 60.0, {"water": 54.0, "total_carbohydrate": 6.0}, bulky="fruit")
    found = name(mix(8.0, 8.0, fruit))
    assert value(found, "milkfat of what remains").value == pytest.approx(2400 / 216)
    assert value(found, "milkfat of the whole").value == pytest.approx(8.0)
    assert value(found, "total milk solids of the whole").value == pytest.approx(16.0)
    assert found.allowed == "ice cream"
    assert name(mix(7.99, 8.5, fruit)).allowed == "frozen dessert"
    assert name(mix(8.0, 7.99, fruit)).allowed == "frozen dessert"


def test_prunes_by_hand() -> None:
    """20 g of prunes with 14 g dry: plums hold 87.23 % of water (SR28 09279), so 14 / 0.1277 = 109.632 g of plums.

    x 1.4 = 153.48 g come off; 146.52 g are left; milkfat 24 g is 16.38 % of it, but 8 % of the whole.
    """
    prunes = part("prunes", "fruit", 20.0, {"water": 6.0, "total_carbohydrate": 14.0}, bulky="dried fruit")
    found = name(mix(8.0, 8.0, prunes))
    left = 300 - 1.4 * 14 / 0.1277
    assert value(found, "milkfat of what remains").value == pytest.approx(2400 / left)
    assert value(found, "milkfat of the whole").value == pytest.approx(8.0)
    assert found.allowed == "ice cream"


def test_juice_is_brought_back_to_single_strength() -> None:
    from nutrition.law.us.solids import bulky_weight

    # 20 g of plum juice left of 80 g: the 80 g count, x 1.4.
    boiled = part("plums", "juice", 20.0, {"water": 8.0}, bulky="fruit", added_g=80.0, present_g=20.0, boiled_g=60.0)
    assert bulky_weight(boiled).value == pytest.approx(112.0)
    # A bought concentrate of 70 Brix; apple juice has 11.5: 10 g stand for 60.87 g.
    bought = part(
        "apple juice concentrate", "juice", 10.0, {"water": 3.0}, bulky="fruit",
        as_added_fractions=(0.3, 0.0, 0.0, 0.7, 0.0),
    )  # fmt: skip
    assert bulky_weight(bought).value == pytest.approx(1.4 * 10 * 70 / 11.5)
    plain = part("apple juice", "juice", 10.0, {"water": 8.8}, bulky="fruit")
    assert bulky_weight(plain).value == pytest.approx(14.0)


def goat(**more: Any) -> Product:
    made = plain_pint(**more)
    parts = [
        Component(**{key: getattr(c, key) for key in Component.__slots__} | {"allergens": ("goat milk",)})
        if c.kind == "dairy"
        else c
        for c in made.components
    ]
    return product(*parts, **more)


def test_goats_milk_has_its_own_standard() -> None:
    assert name(goat(wanted="goat's milk ice cream")).allowed == "goat's milk ice cream"
    assert name(goat(wanted="Goat\u2019s Milk Ice Cream")).allowed == "Goat\u2019s Milk Ice Cream"
    as_ice_cream = name(goat())
    assert as_ice_cream.allowed == "frozen dessert"
    assert value(as_ice_cream, "milk of other animals than the cow").met is False
    assert name(plain_pint(wanted="goat's milk ice cream")).allowed == "ice cream"
    both = product(*goat().components[:1], *plain_pint().components[1:], wanted="goat's milk ice cream")
    assert value(name(both), "milk of other animals than the goat").met is False
    # Nobody is told of other animals where there are none.
    assert not any("other animals" in test.what for test in name(plain_pint()).tests)


def test_usual_ice_cream_is_that_of_usda() -> None:
    """Outside: USDA SR28 19095, 11.00 g of fat and 207 kcal in 100 g, half a cup of 66 g."""
    record = food("19095")
    half_cup = next(m.grams for m in record.measures if "1/2 cup" in m.text)
    for row in rows("reference_foods.csv"):
        amount = record.composition.amount(row["key"])
        assert amount is not None
        assert float(row["amount"]) == pytest.approx(amount / 100 * half_cup * (2 / 3) / (1 / 2))


def lean(fat_pct: float, wanted: str) -> NameAnswer:
    # 300 g in a pint: a reference amount of 160 mL weighs 101.44 g.
    return name(mix(fat_pct, 17.0, wanted=wanted))


SERVING = 300 / PINT_ML * 160


@pytest.mark.parametrize(
    ("wanted", "most_g", "included"),
    [
        ("reduced fat ice cream", 0.75 * 9.68, True),
        ("low fat ice cream", 3.0, True),
        ("nonfat ice cream", 0.5, False),
        ("light ice cream", 0.5 * 9.68, True),
    ],
)
def test_names_of_less_fat(wanted: str, most_g: float, included: bool) -> None:
    at = most_g / SERVING * 100
    assert lean(at - 1e-6, wanted).allowed == wanted
    assert (lean(at - 1e-12 if included else at, wanted).allowed == wanted) is included
    over = lean(at + 1e-3, wanted)
    assert over.allowed == "frozen dessert"
    assert any(test.met is False and test.for_name == wanted for test in over.tests)
    assert any("130.10(b)" in note for note in lean(at / 2, wanted).notes)


def test_light_by_calories_alone() -> None:
    # A food of much fat but few calories: two thirds of 182.16 kcal are 121.44 kcal.
    found = name(mix(5.5, 12.0, grams=200.0, wanted="light ice cream"))
    test = value(found, "the lower")
    grams = 200 / PINT_ML * 160 / 200
    kcal = (9 * 11.0 + 4 * (0.35 * 24) + 4 * (0.55 * 24 + 40)) * grams
    fat = 11.0 * grams
    assert test.value == pytest.approx(min(fat / 9.68 / 0.5, kcal / 182.16 / (2 / 3)) * 100)


# The flavor ---------------------------------------------------------------------------------------------------------


def flavored(*more: Component, **said: Any) -> NameAnswer:
    return label(product(*plain_pint().components, *more, **({"flavor": "vanilla"} | said))).name


VANILLA = part("vanilla extract", "flavouring", 0.3, {"water": 0.2, "alcohol": 0.1})
VANILLIN = part("vanillin", "flavouring", 0.1, name="artificial flavor", artificial=True)


def test_the_three_categories() -> None:
    assert (flavored(VANILLA).category, flavored(VANILLA).text) == ("I", "vanilla ice cream")
    found = flavored(VANILLA, VANILLIN, flavor_from="mostly natural")
    assert (found.category, found.text) == ("II", "vanilla flavored ice cream")
    found = flavored(VANILLA, VANILLIN, flavor_from="mostly artificial")
    assert (found.category, found.text) == ("III", "artificially flavored vanilla ice cream")
    assert flavored(VANILLIN).text == "artificially flavored vanilla ice cream"


def test_the_stricter_wording_where_nobody_says_which_leads() -> None:
    found = flavored(VANILLA, VANILLIN)
    assert found.category == "III"
    assert any("nobody said which leads" in note for note in found.notes)


def test_letters_of_the_flavor_by_the_paragraph() -> None:
    """135.110(f)(2): the flavor at least half of "ice cream", "flavored" at least half of the flavor."""
    parts = flavored(VANILLA, VANILLIN, flavor_from="mostly natural").parts
    assert [(p.text, p.role, p.least, p.of) for p in parts] == [
        ("vanilla", "flavor", 0.5, "food"), ("flavored", "flavored", 0.5, "flavor"), ("ice cream", "food", 0.0, ""),
    ]  # fmt: skip
    assert {p.rule for p in parts[:2]} == {"21 CFR 135.110(f)(2)"}
    plain = wording("quince", "frozen dessert", "III", standard="")
    assert [(p.text, p.least, p.of) for p in plain] == [
        ("artificially flavored", 0.5, "flavor"), ("quince", 0.0, ""), ("frozen dessert", 0.0, ""),
    ]  # fmt: skip
    with pytest.raises(ValueError, match="category"):
        wording("x", "y", "IV")


def test_what_a_person_should_look_at() -> None:
    said = flavored(VANILLA, VANILLIN, flavor_from="natural")
    assert any("if it imitates vanilla" in note for note in said.notes)
    assert any("nothing in the recipe is called vanilla" in note for note in flavored().notes)
    assert any("no ingredient says artificial" in note for note in flavored(VANILLA, flavor_from="artificial").notes)
    assert any("characterizing flavor" in note for note in label(plain_pint()).name.notes)
    assert label(plain_pint()).name.text == "ice cream"


def test_an_added_flavor_is_named() -> None:
    found = flavored(VANILLA, flavor_from="natural", flavor_added="artificial almond flavor")
    assert found.parts[-1].text == "artificial almond flavor added"
    assert found.text == "vanilla ice cream"


@pytest.mark.parametrize(
    ("flavor", "own"), [("wild strawberries", "strawberry puree"), ("Cherries", "sour cherry"), ("焙じ茶", "焙じ茶")]
)
def test_a_flavor_is_found_in_its_ingredient(flavor: str, own: str) -> None:
    made = product(*plain_pint().components, part(own, "fruit", 5.0), flavor=flavor)
    assert category(made) == ("I", ())


def test_milk_in_own_pieces_is_not_counted_and_said() -> None:
    # 20 g of butter in a crumb of the shop's own, which its recipe calls bulky.
    butter = part("butter", "dairy", 20.0, {"total_fat": 16.0, "water": 4.0}, bulky="other", allergens=("milk",))
    found = name(mix(9.0, 10.0, butter))
    assert value(found, "milkfat of the whole").value == pytest.approx(9.0)
    assert any("unsettled" in note and "butter" in note for note in found.notes)


def test_a_test_says_at_least_at_most_or_below() -> None:
    found = {test.what: test.must_be for test in name(plain_pint()).tests}
    assert found["milkfat"] == "at least"
    assert found["whey solids of the nonfat milk solids"] == "at most"
    assert found["egg yolk solids"] == "below"


def test_a_name_of_less_fat_is_a_claim_and_ends_the_exemption() -> None:
    small = Around(Maker(people=3), units=100.0, direct=True)
    light = label(mix(1.0, 17.0, wanted="low fat ice cream"), around=small)
    assert light.name.allowed == "low fat ice cream"
    assert light.exemption is not None
    assert not light.exemption.exempt
    assert "claim" in light.exemption.reasons[0]
    plain = label(mix(1.0, 17.0, wanted="frozen dessert"), around=small)
    assert plain.exemption is not None
    assert plain.exemption.exempt
