"""Products for the tests of the law, put together by hand."""

from __future__ import annotations

from typing import Any

from nutrition.composition import Composition, Interval
from nutrition.nutrients import keys
from nutrition.product import Component, Product

PINT_ML = 473.176473


def holds(grams: float, amounts: dict[str, float | Interval] | None = None, **more: float | Interval) -> Composition:
    """A composition in which everything that is not named is known to be none."""
    return Composition.of(grams, dict.fromkeys(keys(), 0.0) | (amounts or {}) | more)


def part(name: str, kind: str, grams: float, amounts: dict[str, Any] | None = None, /, **more: Any) -> Component:
    """A component that is present as it was added; amounts are those of its whole weight."""
    given: dict[str, Any] = {
        "ingredient": name,
        "name": name,
        "kind": kind,
        "food": f"spec:{name}",
        "source": "by hand",
        "added_g": grams,
        "present_g": grams,
        "composition": holds(more.get("present_g", grams), amounts),
    }
    return Component(**(given | more))


def product(*components: Component, **more: Any) -> Product:
    """A pint of these components."""
    composition = sum((c.composition for c in components), Composition.none())
    given: dict[str, Any] = {
        "key": "test",
        "title": "Test",
        "wanted": "ice cream",
        "components": components,
        "net_g": sum(c.present_g for c in components),
        "net_ml": PINT_ML,
        "declared_ml": PINT_ML,
        "declared_text": "1 pint",
        "touched": frozenset[str](),
        "composition": composition,
    }
    return Product(**(given | more))


def plain_pint(**more: Any) -> Product:
    """300 g of a plain mix: 14 % milkfat, 10 % nonfat milk solids, 16 % sugar.

    The figures are made up to be easy to work by hand; every nutrient of the three is known.
    """
    cream = part(
        "heavy cream",
        "dairy",
        116.0,
        {
            "water": 67.0,
            "protein": 3.3,
            "total_fat": 42.0,
            "saturated_fat": 26.1,
            "trans_fat": 1.2,
            "total_carbohydrate": 3.2,
            "total_sugars": 3.2,
            "lactose": 3.2,
            "ash": 0.5,
            "cholesterol": 155.0,
            "sodium": 32.0,
            "calcium": 75.0,
            "potassium": 110.0,
            "iron": 0.12,
            "vitamin_d": 1.8,
        },
        name="cream",
        allergens=("milk",),
    )
    skim = part(
        "skim milk",
        "dairy",
        136.0,
        {
            "water": 113.0,
            "protein": 8.2,
            "total_carbohydrate": 12.6,
            "total_sugars": 12.6,
            "lactose": 12.6,
            "ash": 2.2,
            "sodium": 110.0,
            "calcium": 265.0,
            "potassium": 370.0,
            "iron": 0.08,
        },
        allergens=("milk",),
    )
    sugar = part(
        "sugar",
        "sweetener",
        48.0,
        {"total_carbohydrate": 48.0, "total_sugars": 48.0, "added_sugars": 48.0, "sucrose": 48.0},
    )
    return product(cream, skim, sugar, **more)
