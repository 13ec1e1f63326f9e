"""Items and the ingredients that they seem to be."""

from __future__ import annotations

from typing import Any

from costing.prices.intake import matching
from costing.prices.intake.matching import SURE, match
from costing.shop.models import Channel, Scoops, ShopModel
from nutrition import resources
from tests.costing.prices.price_shops import food, ingredient, row, shop


def kitchen(*names: str, **other: Any) -> ShopModel:
    return shop(
        ingredients={name: ingredient(name) for name in names},
        foods={f"spec:{name}": food(f"spec:{name}") for name in names},
        containers={},
        **other,
    )


def found(item: str, *names: str) -> tuple[str, bool, tuple[str, ...]]:
    one = match([item], kitchen(*names)).get(item)
    return ("", False, ()) if one is None else (one.ingredient, one.sure, one.rivals)


NAMES = (
    "heavy cream",
    "whole milk",
    "whole milk powder",
    "sugar",
    "brown sugar",
    "unsalted butter",
    "pistachios",
    "egg yolks",
)


def test_short_words_and_orders_of_suppliers() -> None:
    assert found("CREAM, HVY 36% UHT 12/32OZ", *NAMES) == ("heavy cream", True, ())
    assert found("MLK WHL", *NAMES) == ("whole milk", True, ())
    assert found("Milk powder, whole, 50#", *NAMES) == ("whole milk powder", True, ())
    assert found("BTTR UNSLT", *NAMES) == ("unsalted butter", True, ())
    assert found("Pistachoi", *NAMES)[0] == "pistachios"
    assert found("Crème épaisse", *NAMES)[0] != "sugar"


def test_a_word_more_makes_it_less_sure() -> None:
    assert found("Brown sugar", *NAMES)[0] == "brown sugar"
    name, sure, _ = found("Brown sugar", "sugar")
    assert (name, sure) == ("sugar", False)


def test_what_the_shop_does_not_use_is_nothing() -> None:
    for item in ("Napkins white", "Sour cream", "Diesel", "", "12/32 OZ", "????"):
        assert found(item, *NAMES)[0] == "", item


def test_two_that_fit_alike_are_told_and_never_sure() -> None:
    name, sure, rivals = found("Chocolate dark", "dark chocolate", "chocolate dark")
    assert {name, *rivals} == {"dark chocolate", "chocolate dark"}
    assert not sure


def test_an_item_of_an_earlier_list_is_what_it_was() -> None:
    rows = (row("pistachios", "25 lb", 3.0, item="Bronte 1A shelled"),)
    model = kitchen(*NAMES, prices=rows)
    one = match(["BRONTE 1A SHELLED", "Bronte shelled prime"], model)
    assert one["BRONTE 1A SHELLED"].score == 100
    assert one["Bronte shelled prime"].ingredient == "pistachios"
    both = (*rows, row("sugar", "25 lb", 3.0, item="Bronte 1A shelled"))
    assert match(["Bronte 1A shelled"], kitchen(*NAMES, prices=both))["Bronte 1A shelled"].rivals == ("sugar",)


def test_packaging_is_matched_and_what_comes_from_another_thing_is_not() -> None:
    model = shop()
    assert match(["Tub white"], model)["Tub white"].ingredient == "tub"
    assert "egg yolks" not in matching.names(model)
    assert "water" not in matching.names(model)


def test_scores_keep_to_their_scale_and_reasons_are_given() -> None:
    model = kitchen(*NAMES)
    for item, one in match(["Heavy cream", "Heavy whipping cream", "cream heavyy", "sugar brown dark"], model).items():
        assert 70 <= one.score <= 100, item
        assert one.why
        assert one.sure == (one.score >= SURE and not one.rivals)


def test_short_words_are_written_once_and_in_small_letters() -> None:
    rows = resources.table("prices", "item_words.csv")
    assert len({one["word"] for one in rows}) == len(rows)
    assert all(one["word"] == one["word"].casefold() for one in rows)


def test_what_goes_out_with_a_scoop_is_bought_too() -> None:
    window = Channel(name="window", where="shop.yaml:9", price=4.5, scoops=Scoops(70.0, 0.0, {"sugar cone": 1.0}))
    model = kitchen("sugar", channels={"window": window})
    assert matching.names(model) == {"sugar": "ingredient", "sugar cone": "packaging"}
    found = match(["CONE SUGAR", "SUGAR CANE"], model)
    assert (found["CONE SUGAR"].ingredient, found["SUGAR CANE"].ingredient) == ("sugar cone", "sugar")
