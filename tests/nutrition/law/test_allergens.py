"""Major allergens. Source: FD&C Act 201(qq), 403(w); FDA guidance on food allergen labelling, edition 5, January 2025."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutrition.law.us import allergens
from nutrition.law.us.allergens import contains, parse, problem, union
from nutrition.law.us.tables import rows

from .builders import part, product

TWELVE = [  # the guidance's list of January 2025
    "almond", "black walnut", "Brazil nut", "California walnut", "cashew", "hazelnut", "heartnut", "macadamia", "pecan",
    "pine nut", "pistachio", "walnut",
]  # fmt: skip
NO_LONGER = [
    "coconut", "chestnut", "beech nut", "butternut", "chinquapin", "ginkgo nut", "hickory nut", "kola nut", "palm nut",
    "pili nut", "shea nut",
]  # fmt: skip
NINE = ["milk", "egg", "fish: cod", "crustacean shellfish: crab", "tree nut: pecan", "wheat", "peanut", "soy", "sesame"]


def test_the_lists_are_the_guidances() -> None:
    assert [row["kind"] for row in rows("tree_nuts.csv") if row["counts"] == "yes"] == TWELVE
    assert [row["kind"] for row in rows("tree_nuts.csv") if row["counts"] == "no"] == NO_LONGER


@pytest.mark.parametrize("text", NINE)
def test_the_nine(text: str) -> None:
    assert problem(text) is None
    assert str(parse(text)) == text


@pytest.mark.parametrize("kind", TWELVE)
def test_twelve_tree_nuts(kind: str) -> None:
    assert problem(f"tree nut: {kind}") is None
    assert contains([f"Tree Nuts: {kind.upper()}"]).startswith("Contains: Tree Nuts (")


@pytest.mark.parametrize("kind", NO_LONGER)
def test_tree_nuts_that_no_longer_count_are_explained(kind: str) -> None:
    for text in (kind, f"tree nut: {kind}"):
        found = problem(text)
        assert found is not None
        assert "no longer a major allergen" in found


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        (" Milk ", "milk"), ("dairy", "milk"), ("lactose", "milk"), ("ghee", "milk"), ("eggs", "egg"),
        ("tree nuts: filberts", "tree nut: hazelnut"), ("tree nut: English walnut", "tree nut: walnut"),
        ("goat milk", "goat milk"), ("milk: goat", "goat milk"), ("milk: cow", "milk"), ("duck eggs", "duck egg"),
        ("egg: Quail", "quail egg"), ("egg: hen", "egg"), ("soya", "soy"), ("soybeans", "soy"), ("peanuts", "peanut"),
        ("Fish:  Atlantic cod", "fish: atlantic cod"), ("crustacean: shrimp", "crustacean shellfish: shrimp"),
    ],
)  # fmt: skip
def test_other_ways_of_writing(text: str, canonical: str) -> None:
    assert str(parse(text)) == canonical
    assert str(parse(canonical)) == canonical


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("mlik", 'did you mean "milk"'),
        ("tree nut", "named by kind"),
        ("nuts", "named by kind"),
        ("fish", "named by species"),
        ("crustacean shellfish", "named by species"),
        ("shellfish", "only crustaceans"),
        ("pistachio", 'write "tree nut: pistachio"'),
        ("salmon", 'write "fish: salmon"'),
        ("lobster", 'write "crustacean shellfish: lobster"'),
        ("tree nut: pistacio", 'did you mean "tree nut: pistachio"'),
        ("tree nut: acorn", "kinds are almond"),
        ("gluten", "no major allergen in the United States"),
        ("mustard", "no major allergen"),
        ("oyster", "molluscs"),
        ("sulphites", "ppm"),
        ("wheat: durum", 'write "wheat"'),
        ("fish: 123", "is no kind of fish"),
        ("xyzzy", "those are milk, egg"),
        ("xyzzy: cod", "no major allergen"),
        ("", "no major allergen"),
    ],
)
def test_what_is_wrong_is_said_with_what_is_right(text: str, says: str) -> None:
    found = problem(text)
    assert found is not None
    assert says in found
    with pytest.raises(ValueError, match=r"."):
        parse(text)


def test_contains_in_the_order_of_the_act() -> None:
    assert contains(reversed(NINE)) == (
        "Contains: Milk, Egg, Fish (Cod), Crustacean Shellfish (Crab), Tree Nuts (Pecan), Wheat, Peanuts, Soy, Sesame."
    )
    assert contains(["milk", "goat milk", "duck eggs"]) == "Contains: Milk, Goat Milk, Duck Egg."
    assert (
        contains(["tree nut: pecan", "tree nut: almond", "tree nuts: Pecans"]) == "Contains: Tree Nuts (Almond, Pecan)."
    )
    assert contains([]) == ""


def test_only_major_allergens_may_stand_in_it() -> None:
    with pytest.raises(ValueError, match="mustard"):
        contains(["milk", "mustard"])


@given(st.lists(st.sampled_from(NINE), max_size=6), st.lists(st.sampled_from(NINE), max_size=6))
def test_contains_is_the_union_of_what_is_in_it_and_what_it_touched(inside: list[str], touched: list[str]) -> None:
    food = product(part("a", "other", 10.0, allergens=tuple(inside)), touched=frozenset(touched))
    assert union(food) == set(inside) | set(touched)
    printed = contains(union(food))
    table = {row["key"]: row["printed"] for row in rows("allergens.csv")}
    for text in NINE:
        word = table[parse(text).major]
        assert (word in printed) is (text in union(food))


def test_no_duplicates_however_written() -> None:
    assert [str(a) for a in allergens.ordered(["eggs", "egg", "Hen eggs"])] == ["egg"]
