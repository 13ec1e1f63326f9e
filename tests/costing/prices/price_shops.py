"""Small shops for the price tests, built from models without any file."""

from __future__ import annotations

import dataclasses
from datetime import date
from pathlib import Path
from typing import Any

from costing.amounts import Amount, Figure, Kind
from costing.shop.models import Container, Ingredient, Part, PriceRow, Recipe, ShopModel
from costing.shop.steps import Add, Fill, Filling
from nutrition.composition import Composition
from nutrition.foods.record import FoodRecord, Measure, water

DAY = date(2026, 3, 2)


def row(ingredient: str, pack: str, price: float, **other: Any) -> PriceRow:
    """A price row; the item is called as the ingredient unless said otherwise."""
    given = {
        "where": "prices/list.csv:2",
        "supplier": "Mill Lane",
        "item": ingredient,
        "currency": "USD",
        "date": date(2026, 2, 16),
    } | other
    return PriceRow(ingredient=ingredient, pack=pack, price=price, **given)


def food(key: str, *measures: tuple[str, float], refuse: float | None = None) -> FoodRecord:
    """A food whose contents do not matter here."""
    known = tuple(Measure(text, grams) for text, grams in measures)
    return FoodRecord(key, key, "made up", Composition.of(100.0, {}), measures=known, refuse=refuse)


def ingredient(name: str, **other: Any) -> Ingredient:
    """An ingredient with a food record of its own name."""
    return Ingredient(
        **({"name": name, "where": f"ingredients.yaml:{len(name)}", "food": f"spec:{name}", "label": name} | other)
    )


def grams(value: float) -> Amount:
    """A weight."""
    return Amount(Kind.WEIGHT, Figure(value, value, f"{value:g} g"))


def pieces(value: float) -> Amount:
    """A count."""
    return Amount(Kind.COUNT, Figure(value, value, f"{value:g} each"), "each")


def recipe(*names: str, container: str = "pint") -> Recipe:
    """A recipe that puts a hundred grams of each thing into pints."""
    add = Add(verb="add", where="recipes/plain.yaml:4", things={name: grams(100.0) for name in names})
    fill = Fill(verb="fill", where="recipes/plain.yaml:5", container=(Filling(container=container),))
    part = Part(name="base", where="recipes/plain.yaml:3", steps=(add, fill))
    return Recipe(key="plain", where="recipes/plain.yaml:1", title="Plain", parts=(part,))


def shop(*rows: PriceRow, uses: tuple[str, ...] = (), **other: Any) -> ShopModel:
    """A shop with cream, sugar, peaches, eggs with yolks, and pints of one tub; ``uses`` is what its recipe adds."""
    known = {
        one.name: one
        for one in (
            ingredient("cream"),
            ingredient("sugar"),
            ingredient("peaches"),
            ingredient("eggs", measures={"1 each": Figure(50.0, 50.0, "50 g")}),
            ingredient("egg yolks", **{"from": {"eggs": Figure(0.34, 0.34, "34 %")}}),
            ingredient("water", food="water"),
        )
    }
    foods = {
        "spec:cream": food("spec:cream", ("1 cup", 238.0)),
        "spec:sugar": food("spec:sugar"),
        "spec:peaches": food("spec:peaches", refuse=0.24),
        "spec:eggs": food("spec:eggs"),
        "spec:egg yolks": food("spec:egg yolks"),
        "water": water(),
    }
    tub = Container(
        name="pint",
        where="shop.yaml:9",
        holds=Figure(473.176473, 473.176473, "1 pint"),
        **{"made of": {"tub": pieces(1)}},
    )
    plain = ShopModel(
        folder=Path("shop"),
        name="A shop",
        ingredients=known,
        foods=foods,
        containers={"pint": tub},
        recipes={"plain": recipe(*uses)} if uses else {},
        prices=rows,
    )
    return dataclasses.replace(plain, **other)
