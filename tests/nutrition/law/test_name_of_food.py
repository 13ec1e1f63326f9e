"""Standards of identity. Source: 21 CFR 135.110, 135.130, 135.140, 135.160."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date

import pytest

from nutrition.law.us import name_of_food, solids, tables
from nutrition.law.us.label import NameTest
from nutrition.law.us.name_of_food import conditions, least_nonfat_milk_solids, name
from nutrition.product import Component, Product

from .builders import part, plain_pint, product


def mix(fat: float, nonfat: float, *others: Component, grams: float = 300.0, **more: object) -> Product:
    """A food of so much milkfat and nonfat milk solids, per cent, the rest sugar (40 g) and water."""
    taken = sum(c.present_g for c in others) + 40.0
    dairy = grams - taken
    f, s = fat / 100 * grams, nonfat / 100 * grams
    milk = part(
        "milk mix", "dairy", dairy,
        {"total_fat": f, "protein": 0.35 * s, "total_carbohydrate": 0.55 * s, "ash": 0.1 * s, "water": dairy - f - s},
        allergens=("milk",),
    )  # fmt: skip
    sugar = {"total_carbohydrate": 40.0, "total_sugars": 40.0, "added_sugars": 40.0}
    return product(milk, part("sugar", "sweetener", 40.0, sugar), *others, **more)


def by_what(found: tuple[NameTest, ...], what: str) -> NameTest:
    return next(t for t in found if t.what == what)


def test_a_plain_ice_cream_by_hand() -> None:
    answer = name(plain_pint())
    # 42 g of milkfat and 30 g of other milk solids in 300 g; 300 g in 473.176 mL weigh 5.291 lb to the gallon
    assert answer.allowed == "ice cream"
    assert by_what(answer.tests, "milkfat").value == pytest.approx(14.0)
    solid = by_what(answer.tests, "nonfat milk solids")
    assert solid.value == pytest.approx(10.0)
    assert (solid.limit, solid.met) == (6.0, True)
    assert by_what(answer.tests, "weight of a gallon").value == pytest.approx(5.291, abs=1e-3)
    # 120 g of solids: 42 + 30 + 48
    assert by_what(answer.tests, "total solids in a gallon").value == pytest.approx(5.291 * 0.4, abs=1e-3)


@pytest.mark.parametrize(
    ("fat", "nonfat", "allowed"),
    [
        (10.0, 10.0, True), (9.99, 11.0, False), (10.0, 9.99, False), (11.0, 9.0, True), (10.99, 9.5, False),
        (12.0, 8.0, True), (13.0, 7.0, True), (14.0, 6.0, True), (16.0, 6.0, True), (16.0, 5.99, False),
    ],
)  # fmt: skip
def test_the_sliding_scale(fat: float, nonfat: float, allowed: bool) -> None:
    answer = name(mix(fat, nonfat))
    assert (answer.allowed == "ice cream") is allowed


def test_fractions_of_fat_go_down() -> None:
    assert [least_nonfat_milk_solids(f) for f in (9.0, 10.0, 10.999, 11.0, 13.5, 14.0, 20.0)] == [
        10,
        10,
        10,
        9,
        7,
        6,
        6,
    ]


def test_without_a_standard_met_it_is_a_frozen_dessert_and_the_reason_is_said() -> None:
    answer = name(mix(8.0, 10.0))
    assert answer.allowed == "frozen dessert"
    assert "milkfat 8.00 %, at least 10 % wanted" in answer.notes[0]


def test_bulky_flavours_are_taken_off() -> None:
    # 30 g of nuts count 42 g: of the 258 g left 27 g are 10.47 %; of the whole 300 g they are 9 %
    nuts = part("pecans", "nut", 30.0, {"total_fat": 21.0, "protein": 9.0}, bulky="nut")
    answer = name(mix(9.0, 10.0, nuts))
    assert answer.allowed == "ice cream"
    found = by_what(answer.tests, "milkfat of what remains without the bulky flavors")
    assert found.value == pytest.approx(27 / 258 * 100)
    assert by_what(answer.tests, "other fat than milkfat and that of flavors and egg").value == 0.0


def test_never_below_eight_and_sixteen_per_cent() -> None:
    nuts = part("pecans", "nut", 75.0, {"total_fat": 52.0, "protein": 23.0}, bulky="nut")
    answer = name(mix(7.9, 12.0, nuts))
    assert answer.allowed == "frozen dessert"
    assert by_what(answer.tests, "milkfat of the whole food").met is False
    assert by_what(answer.tests, "milkfat of what remains without the bulky flavors").met is True


@pytest.mark.parametrize(
    ("component", "grams"),
    [
        (part("cocoa", "chocolate", 10.0, {"protein": 10.0}, bulky="chocolate", solids={"cocoa solids": 0.9}), 22.5),
        # dark chocolate of 20 g with 8 g of sugars: 12 g of cocoa solids
        (part("chocolate", "chocolate", 20.0, {"total_fat": 12.0, "total_carbohydrate": 8.0, "total_sugars": 8.0},
              bulky="chocolate"), 30.0),
        (part("milk chocolate", "chocolate", 20.0, {"total_fat": 20.0}, bulky="chocolate", allergens=("milk",)), 0.0),
        (part("cherries", "fruit", 30.0, {"water": 30.0}, bulky="fruit"), 42.0),
        # 10 g of raisins of 85 % solids back to grapes of 19.46 % solids (SR28 09132): 43.68 g, then 1.4
        (part("raisins", "fruit", 10.0, {"water": 1.5, "total_carbohydrate": 8.5}, bulky="dried fruit"),
         1.4 * 8.5 / 0.1946),
        (part("unheard-of", "fruit", 10.0, {"water": 2.0, "total_carbohydrate": 8.0}, bulky="dried fruit"), 14.0),
        (part("cookie", "other", 10.0, {"protein": 10.0}, bulky="other"), 10.0),
        (part("cream", "dairy", 10.0, {"water": 10.0}), 0.0),
    ],
)  # fmt: skip
def test_what_a_bulky_flavour_counts_for(component: Component, grams: float) -> None:
    assert solids.bulky_weight(component).value == pytest.approx(grams)


def test_egg_yolk_makes_it_a_frozen_custard() -> None:
    # 10 g of yolk with 5 g of solids in 300 g: 1.67 %
    yolk = part("yolk", "egg yolk", 10.0, {"water": 5.0, "protein": 2.0, "total_fat": 3.0})
    assert name(mix(12.0, 9.0, yolk)).allowed == "frozen custard"
    assert name(mix(12.0, 9.0, yolk, wanted="frozen custard")).allowed == "frozen custard"
    assert name(mix(12.0, 9.0, wanted="frozen custard")).allowed == "ice cream"


@pytest.mark.parametrize(("solid", "allowed"), [(4.19, "ice cream"), (4.2, "frozen custard")])
def test_exactly_one_point_four_per_cent_of_yolk_is_custard(solid: float, allowed: str) -> None:
    yolk = part("yolk", "egg yolk", 10.0, {"water": 10.0 - solid, "total_fat": solid})
    assert name(mix(12.0, 9.0, yolk)).allowed == allowed


def test_bulky_custard_never_below_one_point_twelve() -> None:
    nuts = part("pecans", "nut", 60.0, {"total_fat": 60.0}, bulky="nut")
    # 3.2 g of yolk solids: 1.067 % of 300 g, but 1.48 % of the 216 g left
    yolk = part("yolk", "egg yolk", 8.0, {"water": 4.8, "total_fat": 3.2})
    found = conditions(mix(10.0, 12.0, nuts, yolk), "frozen custard")
    assert by_what(found, "egg yolk solids").met is True
    assert by_what(found, "egg yolk solids of the whole food").met is False


def test_of_whole_egg_only_the_yolk_counts_and_of_sugared_yolk_no_sugar() -> None:
    # SR28 whole egg: 9.51 g of fat; yolk 47.69 g of solids with 26.54 g of fat: 17.09 g of yolk solids in 100 g
    egg = part("eggs", "egg", 100.0, {"water": 76.15, "protein": 12.56, "total_fat": 9.51})
    assert solids.egg_yolk_solids(egg).value == pytest.approx(17.09, abs=0.01)
    sugared = part(
        "yolk", "egg yolk", 100.0,
        {"water": 45.0, "total_fat": 25.0, "total_carbohydrate": 10.0, "total_sugars": 10.0, "added_sugars": 10.0},
    )  # fmt: skip
    assert solids.egg_yolk_solids(sugared).value == pytest.approx(45.0)


def test_whey_at_most_a_quarter() -> None:
    def with_whey(grams: float) -> bool | None:
        whey = part("whey powder", "dairy", grams, {"protein": 0.12 * grams, "total_carbohydrate": 0.88 * grams})
        return by_what(name(mix(12.0, 9.0, whey)).tests, "whey solids of the nonfat milk solids").met

    assert with_whey(9.0) is True  # 9 of 36
    assert with_whey(9.1) is False


def test_other_fat_is_not_ice_cream_and_may_be_mellorine() -> None:
    duck = part("duck skin", "meat", 15.0, {"total_fat": 15.0}, groups=("duck fat",))
    answer = name(mix(12.0, 9.0, duck))
    assert answer.allowed == "frozen dessert"
    assert by_what(answer.tests, "other fat than milkfat and that of flavors and egg").value == pytest.approx(5.0)
    assert any("mellorine" in note for note in answer.notes)
    assert name(mix(12.0, 9.0, duck, wanted="mellorine")).allowed == "mellorine"
    assert name(mix(12.0, 9.0, wanted="mellorine")).allowed == "ice cream"
    # Whoever takes that name hears of the vitamin A too (135.130), and nobody is told to bear it without.
    for wanted in ("frozen dessert", "mellorine"):
        notes = name(mix(12.0, 9.0, duck, wanted=wanted)).notes
        assert any("also wants added vitamin A" in note for note in notes)
        assert not any("should then bear that name" in note for note in notes)


def test_cultured_dairy_and_caseinate_do_not_count() -> None:
    yogurt = part("yogurt", "dairy", 60.0, {"water": 40.0, "total_fat": 10.0, "protein": 10.0})
    answer = name(mix(9.0, 10.0, yogurt))
    assert by_what(answer.tests, "milkfat").value == pytest.approx(9.0)
    assert any("yogurt" in note for note in answer.notes)
    assert solids.counts_as_milk(part("sodium caseinate", "dairy", 1.0)) is False


def test_milk_in_pieces_is_not_counted_and_said() -> None:
    caramel = part("caramel bits", "other", 30.0, {"total_fat": 6.0}, bulky="other", allergens=("milk",))
    answer = name(mix(12.0, 9.0, caramel))
    assert any("unsettled" in note for note in answer.notes)


def test_a_supplier_who_says_so_is_believed() -> None:
    base = part("bought base", "dairy", 260.0, {"water": 170.0, "total_fat": 50.0},
                solids={"milkfat": 0.14, "nonfat milk solids": 0.11, "whey solids": 0.02})  # fmt: skip
    found = solids.measures(product(base, part("sugar", "sweetener", 40.0)))
    assert found["milkfat"].value == pytest.approx(0.14 * 260 / 300 * 100)
    assert found["whey share"].value == pytest.approx(2 / 11 * 100)


@pytest.mark.parametrize(("grams", "met"), [(255.5, True), (255.0, False)])
def test_four_and_a_half_pounds_to_the_gallon(grams: float, met: bool) -> None:
    # 4.5 lb/gal x 453.59237 / 3785.411784 x 473.176473 = 255.15 g to the pint
    found = conditions(mix(12.0, 9.0, grams=grams), "ice cream")
    assert by_what(found, "weight of a gallon").met is met


def test_a_pound_and_six_tenths_of_solids() -> None:
    # 1.6 lb/gal is 90.72 g to the pint; this has 30 + 27 + 40 = 97 g
    found = conditions(mix(10.0, 9.0), "ice cream")
    assert by_what(found, "total solids in a gallon").value == pytest.approx(97 / 90.72 * 1.6, abs=1e-3)
    assert by_what(conditions(mix(9.0, 7.0), "ice cream"), "total solids in a gallon").met is False


def test_bounds_on_both_sides_of_a_limit_cannot_be_told() -> None:
    unsure = part("cream", "dairy", 260.0, {"water": 195.0, "total_fat": (28.0, 31.0, 34.0), "protein": 34.0})
    answer = name(product(unsure, part("sugar", "sweetener", 40.0)))
    assert by_what(answer.tests, "milkfat").met is None
    assert answer.allowed == "frozen dessert"
    assert "cannot be told" in answer.notes[0]


def test_an_unknown_figure_has_no_value() -> None:
    unsure = part("cream", "dairy", 260.0, {"water": 195.0, "total_fat": (28.0, math.nan, 34.0), "protein": 34.0})
    assert by_what(name(product(unsure)).tests, "milkfat").value is None


def test_sherbet() -> None:
    fruit = part("raspberries", "fruit", 60.0, {"water": 50.0, "total_carbohydrate": 10.0})
    food = mix(1.5, 2.0, fruit, grams=360.0, wanted="sherbet")
    answer = name(food)
    assert answer.allowed == "sherbet"
    assert (by_what(answer.tests, "fruit or its juice").limit, by_what(answer.tests, "weight of a gallon").met) == (
        6,
        True,
    )
    assert any("acidity" in note for note in answer.notes)
    assert name(mix(2.5, 2.0, fruit, grams=360.0, wanted="sherbet")).allowed == "frozen dessert"
    assert name(mix(1.5, 2.0, fruit, grams=330.0, wanted="sherbet")).allowed == "frozen dessert"  # below 6 lb


@pytest.mark.parametrize(("fruit", "limit"), [("lemon juice", 2.0), ("strawberries", 6.0), ("quince", 10.0)])
def test_fruit_of_a_sherbet(fruit: str, limit: float) -> None:
    assert solids.fruit_limit([part(fruit, "fruit", 10.0)]) == (10.0, limit)


def test_water_ice_has_no_milk_and_of_egg_only_the_white() -> None:
    sugar = part("sugar", "sweetener", 60.0, {"total_carbohydrate": 60.0})
    fruit = part("raspberries", "fruit", 240.0, {"water": 200.0})
    white = part("egg white", "egg", 5.0, {"water": 4.4, "protein": 0.6}, allergens=("egg",))
    milk = part("caramel", "other", 5.0, allergens=("milk",))
    for wanted in ("sorbet", "water ice"):
        assert name(product(sugar, fruit, white, wanted=wanted)).allowed == wanted
        assert name(product(sugar, fruit, milk, wanted=wanted)).allowed == "frozen dessert"
    yolk = part("yolk", "egg yolk", 5.0, {"water": 2.5, "total_fat": 1.5})
    assert name(product(sugar, fruit, yolk, wanted="sorbet")).allowed == "frozen dessert"


def test_descriptive_names_are_free_but_a_met_standard_is_said() -> None:
    answer = name(plain_pint(wanted="frozen dessert"))
    assert answer.allowed == "frozen dessert"
    assert "meets the standard of ice cream" in answer.notes[0]


@pytest.mark.parametrize("wanted", ["ice cream light", "Moon Snow"])
def test_names_that_cannot_be_tested_are_said(wanted: str) -> None:
    answer = name(plain_pint(wanted=wanted))
    assert answer.allowed == "ice cream"
    assert answer.notes[0]


def test_unknown_standard_or_no_weight() -> None:
    with pytest.raises(KeyError):
        conditions(plain_pint(), "soup")
    with pytest.raises(ValueError, match="weight"):
        name(plain_pint(net_ml=0.0))


def test_a_revoked_standard_would_free_the_name(monkeypatch: pytest.MonkeyPatch) -> None:
    def revoked(file: str, on: date | None = None) -> tuple[Mapping[str, str], ...]:
        return () if file == "identity_standards.csv" else tables.rows(file, on)

    monkeypatch.setattr(name_of_food, "rows", revoked)
    answer = name(mix(8.0, 8.0), date(2031, 1, 1))
    assert answer.allowed == "ice cream"
    assert "no standard for ice cream is in force" in answer.notes[0]
