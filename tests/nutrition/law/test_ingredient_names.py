"""What stands in the statement under which name. Source: 21 CFR 101.4(b), (c), 101.22, 101.15(c), 135.110(g), from memory."""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutrition.foods.table import food
from nutrition.law.us.ingredient_names import notes_on
from nutrition.law.us.ingredient_statement import statement
from nutrition.law.us.label import Label
from nutrition.law.us.labelling import label
from nutrition.law.us.options import Options
from nutrition.law.us.statement_items import reconstituted
from nutrition.law.us.tables import rows
from nutrition.product import Component

from .builders import part, plain_pint, product

CHOCOLATE = (("unsweetened chocolate", 0.55), ("sugar", 0.335), ("cocoa butter", 0.11), ("soy lecithin", 0.005))


def chocolate(grams: float = 40.0, **more: Any) -> Component:
    return part("dark chocolate", "chocolate", grams, **({"made_of": CHOCOLATE} | more))


def test_opened_compounds_gather_the_same_name() -> None:
    made = product(part("cream", "dairy", 116.0), part("sugar", "sweetener", 18.0), chocolate())
    assert statement(made).text == (
        "cream, dark chocolate (unsweetened chocolate, sugar, cocoa butter, soy lecithin), sugar"
    )
    # 18 + 0.335 x 40 = 31.4 g of sugar; 22 g of unsweetened chocolate; 4.4 g of cocoa butter; 0.2 g of lecithin
    for options in (Options(compounds="opened"), Options(opened=frozenset({"dark chocolate"}))):
        found = statement(made, options)
        assert found.text == ("cream, sugar, unsweetened chocolate, cocoa butter, contains 2% or less of soy lecithin")
        sugar = next(entry for entry in found.entries if entry.name == "sugar")
        assert sugar.grams == pytest.approx(31.4)
        assert sugar.ingredients == ("sugar", "dark chocolate")


def test_sugar_of_three_sources_stands_once() -> None:
    made = product(
        part("cream", "dairy", 100.0),
        part("sugar", "sweetener", 5.0),
        chocolate(10.0),
        part("sugar", "sweetener", 9.0, groups=("caramel",)),
        part("butter", "dairy", 3.0, groups=("caramel",)),
    )
    assert statement(made, Options(compounds="opened", threshold=None)).text == (
        "cream, sugar, unsweetened chocolate, butter, cocoa butter, soy lecithin"
    )


def test_without_shares_it_stays_in_brackets_and_is_told() -> None:
    cookie = part("cookies", "other", 30.0, made_of=(("wheat flour", None), ("sugar", 0.3)))
    made = product(*plain_pint().components, cookie)
    found = label(made, options=Options(compounds="opened"))
    assert "cookies (wheat flour, sugar)" in found.ingredients
    assert any("stays in brackets" in note.what for note in found.notes)


def test_a_rendered_fat_is_not_opened_into_its_tissue() -> None:
    fat = part("duck skin", "meat", 20.0, groups=("duck fat",))
    assert statement(product(part("cream", "dairy", 98.0), fat), Options(compounds="opened")).text == "cream, duck fat"


def test_milk_is_gathered_for_ice_cream_only() -> None:
    found = label(plain_pint(), options=Options(milk="gathered"))
    assert found.ingredients == "milkfat and nonfat milk, sugar"
    other = label(plain_pint(wanted="frozen dessert"), options=Options(milk="gathered"))
    assert other.ingredients == "skim milk, cream, sugar"
    assert any("only what is called ice cream" in note.what for note in other.notes)
    inside = product(*plain_pint().components, part("cream", "dairy", 5.0, groups=("caramel",)))
    assert "caramel (cream)" in statement(inside, Options(milk="gathered"), gather_milk=True).text


def powder(grams: float, name: str = "nonfat milk", water: float = 0.04) -> Component:
    return part("skim milk powder", "dairy", grams, name=name, as_added_fractions=(water, 0.0, 0.0, 0.96, 0.0))


def test_water_ranks_with_the_milk_that_it_brings_back() -> None:
    sugar, water = part("sugar", "sweetener", 150.0), part("water", "water", 1500.0)
    made = product(powder(100.0), sugar, water)
    assert statement(made).text == "water, sugar, nonfat milk"
    found = statement(made, Options(reconstituting=True))
    # 100 g of 96 % solids are 1048.03 g at 9.16 %: 948.03 g of the water go with it, 551.97 g are excess.
    assert found.text == "nonfat milk, water, sugar"
    grams = {entry.name: entry.grams for entry in found.entries}
    assert grams["nonfat milk"] == pytest.approx(100 * 96 / 9.16)
    assert grams["water"] == pytest.approx(1600 - 100 * 96 / 9.16)
    short = statement(product(powder(100.0), sugar, part("water", "water", 500.0)), Options(reconstituting=True))
    assert short.text == "nonfat milk, sugar"
    noted = label(made).notes
    assert any("water reconstitutes: yes" in note.mend for note in noted)


def test_only_class_names_take_water_and_only_at_their_place() -> None:
    sugar, water = part("sugar", "sweetener", 150.0), part("water", "water", 1500.0)
    for made in (
        product(powder(100.0, name="skim milk powder"), sugar, water),
        product(powder(100.0, water=0.9084), sugar, water),
        product(powder(100.0), sugar, part("water", "water", 1500.0, groups=("syrup",))),
    ):
        assert statement(made, Options(reconstituting=True)).text == statement(made).text


@given(st.lists(st.floats(0.1, 500), min_size=1, max_size=3), st.floats(0, 5000))
def test_no_water_is_lost(grams: list[float], water: float) -> None:
    names = ["nonfat milk", "milk", "eggs"]
    taken, left = reconstituted({n: (g, 0.95) for n, g in zip(names, grams, strict=False)}, water)
    assert sum(taken.values()) + left == pytest.approx(water)
    assert left >= 0


def test_single_strength_is_that_of_usda() -> None:
    """Outside: USDA SR28, by the NDB numbers that the table names."""
    for row in rows("reconstituted.csv"):
        water = food(row["ndb"]).composition.amount("water")
        assert water is not None
        assert float(row["solids_pct"]) == pytest.approx(100 - water, abs=0.005)


def test_a_preservative_says_what_for() -> None:
    kept = part("potassium sorbate", "other", 0.3, preservative="to retard spoilage")
    found = statement(product(part("cream", "dairy", 100.0), kept))
    assert found.text.endswith("potassium sorbate (to retard spoilage)")
    twice = part(
        "potassium sorbate", "other", 0.3, name="potassium sorbate (preservative)", preservative="preservative"
    )
    assert statement(product(part("cream", "dairy", 100.0), twice)).text.count("preservative") == 1


def about(found: Label, words: str) -> list[str]:
    return [note.level for note in found.notes if words in note.what]


def with_part(what: str, day: date | None = None, **more: Any) -> Label:
    return label(product(*plain_pint().components, part(what, "other", 0.2, **more)), as_of=day)


def test_colors_that_are_always_named() -> None:
    assert about(with_part("tartrazine", name="color"), "Yellow 5 is always named") == ["error"]
    assert not about(with_part("tartrazine", name="FD&C Yellow No. 5"), "Yellow 5 is always")
    assert not about(with_part("tartrazine", name="Yellow 5"), "Yellow 5 is always")
    assert about(with_part("pink", name="colour", made_of=(("carmine", None),)), "carmine is always") == []
    assert about(with_part("carmine paste", name="color added"), "carmine is always") == ["error"]
    assert about(with_part("cochineal", name="natural red"), "cochineal extract is always") == ["error"]


def test_red_3_goes_on_its_day() -> None:
    assert about(with_part("erythrosine", date(2027, 1, 14), name="Red 3"), "Red No. 3 may not") == ["warning"]
    assert about(with_part("erythrosine", date(2027, 1, 15), name="Red 3"), "Red No. 3 may not") == ["error"]


def test_flavors_say_what_they_are() -> None:
    assert about(with_part("vanillin", artificial=True), "is artificial and does not say so") == ["warning"]
    assert not about(with_part("vanillin", name="artificial flavor", artificial=True), "does not say so")
    assert about(with_part("flavouring"), "natural or artificial") == ["warning"]
    assert [note.rule for note in notes_on("Turmeric")] == ["21 CFR 101.22(a)(2)"]
    assert notes_on("natural flavor") == notes_on("spices") == ()


@pytest.mark.parametrize("name", ["焙じ茶", "ванилин", "زعفران"])
def test_names_in_other_scripts_are_told(name: str) -> None:
    found = with_part(name)
    assert about(found, "is not in English") == ["warning"]
    assert name in found.ingredients
    assert not about(with_part(f"roasted tea ({name})"), "is not in English")


def test_a_list_of_three_thousand_signs() -> None:
    many = [part(f"ingredient number {i} with a rather long name", "other", 1.0 + i / 100) for i in range(80)]
    found = label(product(*plain_pint().components, *many), options=Options(threshold=None))
    assert len(found.ingredients) > 3000
    assert all(f"number {i} with" in found.ingredients for i in range(80))


@pytest.mark.parametrize(
    ("name", "kind", "told"),
    [("butter", "dairy", True), ("cocoa butter", "fat", False), ("orange liqueur", "spirit", True), ("rum", "spirit", False),
     ("chocolate cookies", "other", True), ("cocoa", "chocolate", False)],
)  # fmt: skip
def test_what_is_surely_made_of_others_says_of_what(name: str, kind: str, told: bool) -> None:
    bare = label(product(*plain_pint().components, part(name, kind, 5.0)))
    assert bool(about(bare, "must stand behind it")) is told
    said = label(product(*plain_pint().components, part(name, kind, 5.0, made_of=(("a", None), ("b", None)))))
    assert not about(said, "must stand behind it")


NAMES = ["sugar", "cream", "nonfat milk", "water", "cocoa", "salt"]
KINDS = {"water": "water", "nonfat milk": "dairy", "cream": "dairy"}


@st.composite
def foods(draw: st.DrawFn) -> list[Component]:
    """Plain things, compounds with shares, parts with a name of their own; the same names in several of them."""
    found = []
    for i in range(draw(st.integers(1, 8))):
        name = draw(st.sampled_from(NAMES))
        more: dict[str, Any] = {"groups": draw(st.sampled_from([(), (), ("syrup",), ("syrup", "ripple")]))}
        if draw(st.booleans()):
            share = draw(st.floats(0.01, 0.99))
            more["made_of"] = ((draw(st.sampled_from(NAMES)), share), ("vanilla", 1 - share))
            name = f"compound {i}"
        elif name == "nonfat milk":
            more["as_added_fractions"] = (0.04, 0.0, 0.0, 0.96, 0.0)
        found.append(part(name, KINDS.get(name, "other"), draw(st.floats(0.5, 400)), **more))
    return found


@settings(max_examples=40)
@given(
    foods(),
    st.sampled_from(["bracketed", "opened"]),
    st.booleans(),
    st.booleans(),
    st.sampled_from([None, 2.0, 1.5, 1.0, 0.5]),
)
def test_order_by_weight_and_nothing_lost(
    parts: list[Component], compounds: Any, water: bool, gather: bool, threshold: float | None
) -> None:
    options = Options(
        compounds=compounds, reconstituting=water, threshold=threshold, milk="gathered" if gather else "by name"
    )
    found = statement(product(*parts), options, gather_milk=gather)
    main = [entry.grams for entry in found.entries if not entry.minor]
    assert all(a >= b - 1e-9 for a, b in pairwise(main))
    assert all(entry.share_pct <= (threshold or 0.0) + 1e-9 for entry in found.entries if entry.minor)
    # Opened, gathered or with its water: what was added is in the list, once.
    assert sum(entry.grams for entry in found.entries) == pytest.approx(sum(p.added_g for p in parts))
    names = [entry.name for entry in found.entries]
    assert len(names) == len(set(names))
    if compounds == "opened":
        assert not any(entry.sub for entry in found.entries)


@pytest.mark.parametrize(("ppm", "level"), [(99.99, []), (100.0, ["error"])])
def test_sulphites_are_declared_from_ten_ppm_of_the_food(ppm: float, level: list[str]) -> None:
    # 30 g in 300 g: a tenth of what the fruit has. 21 CFR 101.100(a)(4)
    fruit = part("apricots", "fruit", 30.0, {"water": 9.0}, sulphites_ppm=ppm)
    found = label(product(fruit, part("cream", "dairy", 270.0, {"water": 100.0})))
    assert about(found, "ppm of sulphites") == level
