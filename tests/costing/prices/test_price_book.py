"""The price used on a day, worked by hand."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from costing.amounts import Figure
from costing.prices.book import PriceBook, PricedEach
from tests.costing.prices.price_shops import DAY, food, ingredient, row, shop


def per_kg(book: PriceBook, name: str) -> float:
    priced = book.ingredient(name)
    assert priced is not None
    return 1000 * priced.per_gram


def test_a_weighed_pack() -> None:
    # 50 lb = 22.6796185 kg for 39.25: 1.7306287 a kg
    book = PriceBook(shop(row("sugar", "50 lb", 39.25)), DAY)
    assert per_kg(book, "sugar") == pytest.approx(39.25 / 22.6796185, rel=1e-12)


def test_a_volume_pack_is_weighed_by_the_ingredients_own_measure() -> None:
    # 384 fl oz = 48 cups of 238 g = 11.424 kg for 61.20
    book = PriceBook(shop(row("cream", "12/32 fl oz", 61.20)), DAY)
    assert per_kg(book, "cream") == pytest.approx(61.20 / 11.424, rel=1e-12)


def test_a_counted_pack_is_weighed_by_what_a_piece_weighs() -> None:
    # 15 dozen = 180 eggs of 50 g = 9 kg for 51.30: 5.70 a kg
    book = PriceBook(shop(row("eggs", "15 dozen", 51.30)), DAY)
    assert per_kg(book, "eggs") == pytest.approx(5.70, rel=1e-12)


def test_the_newest_on_or_before_the_day_counts() -> None:
    rows = [
        row("sugar", "1 kg", price, date=date(2026, 1, 12) + timedelta(days=30 * i))
        for i, price in enumerate((1.0, 2.0, 3.0))
    ]
    model = shop(*rows)
    assert per_kg(PriceBook(model, date(2026, 2, 10)), "sugar") == 1.0
    assert per_kg(PriceBook(model, date(2026, 2, 11)), "sugar") == 2.0  # the very day of the second list
    assert per_kg(PriceBook(model, date(2027, 1, 1)), "sugar") == 3.0
    assert PriceBook(model, date(2026, 1, 11)).ingredient("sugar") is None


def test_a_supplier_whose_price_rose_is_no_longer_the_cheapest() -> None:
    model = shop(
        row("sugar", "1 kg", 1.0, date=date(2026, 1, 1)),
        row("sugar", "1 kg", 3.0, date=date(2026, 2, 1)),
        row("sugar", "1 kg", 2.0, supplier="Other", date=date(2026, 1, 1)),
    )
    priced = PriceBook(model, DAY).ingredient("sugar")
    assert priced is not None
    assert (priced.supplier, priced.price) == ("Other", 2.0)


def test_an_item_in_two_packs_on_one_list_is_bought_in_the_cheaper_one() -> None:
    model = shop(row("sugar", "25 lb", 266.0), row("sugar", "2.5 kg", 64.0))
    priced = PriceBook(model, DAY).ingredient("sugar")
    assert priced is not None
    # 266 / 11.33980925 kg = 23.4572; 64 / 2.5 kg = 25.60
    assert priced.pack == "25 lb"


def test_ties_go_by_name_and_packs_that_differ_only_in_arithmetic_are_ties() -> None:
    model = shop(
        row("sugar", "3 x 0.1 kg", 0.3, supplier="Zed"),
        row("sugar", "1 kg", 1.0, supplier="Abel"),
        row("sugar", "0.3 kg", 0.1 + 0.2, supplier="Mid"),
    )
    offers = PriceBook(model, DAY).offers("sugar")
    assert [one.supplier for one in offers] == ["Abel", "Mid", "Zed"]


def test_a_fixed_supplier_is_taken_though_dearer_and_never_replaced_silently() -> None:
    fixed = ingredient("sugar", supplier="Dear")
    model = shop(row("sugar", "1 kg", 1.0), row("sugar", "1 kg", 9.0, supplier="Dear"))
    model = shop(*model.prices, ingredients={**model.ingredients, "sugar": fixed})
    assert per_kg(PriceBook(model, DAY), "sugar") == 9.0
    gone = shop(model.prices[0], ingredients=model.ingredients)
    assert PriceBook(gone, DAY).ingredient("sugar") is None


@pytest.mark.parametrize(("usable", "share"), [(None, 0.76), (Figure(0.9, 0.9, "90 %"), 0.9)])
def test_a_usable_gram_costs_more_than_a_bought_one(usable: Figure | None, share: float) -> None:
    # Peaches with 24 % refuse at 4.00 a kg: 5.263 for a usable kg.
    model = shop(row("peaches", "1 kg", 4.0))
    model = shop(*model.prices, ingredients={**model.ingredients, "peaches": ingredient("peaches", usable=usable)})
    priced = PriceBook(model, DAY).ingredient("peaches")
    assert priced is not None
    assert priced.per_gram == pytest.approx(0.004)
    assert priced.per_usable_gram == pytest.approx(0.004 / share)


def test_another_currency_is_changed_at_the_shops_rate() -> None:
    model = shop(row("sugar", "1 kg", 2.0, currency="EUR"), rates={"EUR": 1.25})
    assert per_kg(PriceBook(model, DAY), "sugar") == 2.5
    without = shop(row("sugar", "1 kg", 2.0, currency="EUR"))
    assert PriceBook(without, DAY).ingredient("sugar") is None


def test_water_is_free_unless_somebody_sells_it() -> None:
    free = PriceBook(shop(), DAY).ingredient("water")
    assert free is not None
    assert (free.per_gram, free.supplier, free.date) == (0.0, "", None)
    sold = PriceBook(shop(row("water", "2 kg", 1.0)), DAY).ingredient("water")
    assert sold is not None
    assert sold.per_gram == pytest.approx(0.0005)
    unnamed = PriceBook(shop(ingredients={}), DAY).ingredient("water")
    assert unnamed is not None
    assert unnamed.per_gram == 0.0


def test_what_comes_from_another_thing_has_no_price_of_its_own() -> None:
    book = PriceBook(shop(row("eggs", "15 dz", 51.30), row("egg yolks", "1 kg", 12.0)), DAY)
    assert book.ingredient("egg yolks") is None
    assert book.ingredient("eggs") is not None


def test_an_unknown_ingredient_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(KeyError):
        PriceBook(shop(), DAY).ingredient("unicorn")


@pytest.mark.parametrize("price", [0.0, -1.0, float("nan"), float("inf")])
def test_a_price_that_is_none_is_not_used(price: float) -> None:
    assert PriceBook(shop(row("sugar", "1 kg", price)), DAY).ingredient("sugar") is None


def test_packaging_costs_by_the_piece() -> None:
    book = PriceBook(shop(row("tub", "500 ct", 115.0), row("tub", "50 ct", 20.0, supplier="Corner")), DAY)
    found = book.item("tub")
    assert isinstance(found, PricedEach)
    assert found.per_each == pytest.approx(0.23)
    assert [one.supplier for one in book.item_offers("tub")] == ["Mill Lane", "Corner"]
    assert PriceBook(shop(row("tub", "5 kg", 115.0)), DAY).item("tub") is None
    assert book.item("lid") is None


def test_a_volume_without_a_measure_has_no_price() -> None:
    model = shop(row("sugar", "1 gal", 9.0))
    assert PriceBook(model, DAY).ingredient("sugar") is None
    weighed = shop(*model.prices, foods={**model.foods, "spec:sugar": food("spec:sugar", ("1 cup", 200.0))})
    # 16 cups of 200 g = 3.2 kg for 9.00
    assert per_kg(PriceBook(weighed, DAY), "sugar") == pytest.approx(9 / 3.2)


def test_the_cheapest_of_twenty_thousand_rows_is_found() -> None:
    base = row("sugar", "50 lb", 39.25)
    rows = tuple(
        base.model_copy(update={"item": f"item {i % 5000}", "price": 10.0 + i % 77, "pack": f"{1 + i % 60} lb"})
        for i in range(20_000)
    )
    priced = PriceBook(shop(*rows), DAY).ingredient("sugar")
    assert priced is not None
    # The cheapest pound by hand: price 10 + i mod 77 for 1 + i mod 60 pounds.
    best = min((10.0 + i % 77) / (1 + i % 60) for i in range(20_000))
    assert priced.per_gram == pytest.approx(best / 453.59237)
