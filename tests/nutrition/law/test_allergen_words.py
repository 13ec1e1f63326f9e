"""Words that speak of allergens. Source: FD&C Act 201(qq); FDA guidance on food allergen labelling, edition 5."""

from __future__ import annotations

import pytest

from nutrition.law.us import allergens
from nutrition.law.us.allergen_words import spoken_of, unsaid
from nutrition.law.us.tables import rows


def test_every_word_leads_to_a_major_allergen() -> None:
    for row in rows("allergen_words.csv"):
        if row["allergen"]:
            assert str(allergens.parse(row["allergen"])) == row["allergen"]
            assert set(spoken_of([row["phrase"]])) == {row["allergen"]}
        else:
            assert spoken_of([row["phrase"]]) == {}


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("peanut butter", {"peanut"}), ("Coconut-milk caramel", set()), ("dulce de leche (milk, sugar)", {"milk"}),
        ("egg-free meringue powder, milk free", {"egg"}), ("buttercream", set()), ("eggplant", set()),
        ("whole wheat, soy flour", {"wheat", "soy"}), ("湯葉", set()), ("", set()),
    ],
)  # fmt: skip
def test_names(name: str, found: set[str]) -> None:
    assert set(spoken_of([name])) == found


def test_what_is_declared_is_not_asked_again() -> None:
    assert unsaid(["butter", "walnuts"], ["milk", "tree nut: walnut"]) == {}
    assert unsaid(["butter"], ["nonsense"]) == {"milk": "butter"}


def test_milk_and_eggs_of_other_animals_are_named() -> None:
    """FDA guidance on food allergen labelling, edition 5, January 2025: goat milk, duck eggs."""
    assert unsaid(["goat milk"], ["milk"]) == {"goat milk": "goat milk"}
    assert unsaid(["Goat\u2019s cheese"], ["milk"]) == {"goat milk": "Goat\u2019s cheese"}
    assert unsaid(["duck eggs"], ["egg"]) == {"duck egg": "duck eggs"}
    assert unsaid(["duck eggs"], ["duck egg"]) == unsaid(["sheep yogurt"], ["sheep milk"]) == {}
    assert unsaid(["duck fat caramel"], []) == {}
