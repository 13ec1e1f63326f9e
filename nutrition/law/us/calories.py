"""Calories by specific or general factors, 21 CFR 101.9(c)(1)(i).

Method A counts each ingredient by the specific factors of its own food (USDA Handbook 74; SR28 carries them for most
foods); where one is missing the amount is only bounded, and the label line waits. Method B counts 4 kcal a gram of
protein, 4 of total carbohydrate and 9 of fat; method C takes dietary fiber and sugar alcohols out of the carbohydrate
first and adds 2 kcal a gram of soluble fiber. A calculation keeps to one of them. Alcohol at 7 kcal a gram is custom
and stands in no paragraph; it is added where there is alcohol, and said; Handbook 74 has 6.93. (D), factors that FDA
approved, and (E), bomb calorimetry, are no calculation from a recipe.

>>> from nutrition.composition import Composition
>>> food = Composition.of(100, {"protein": 4, "total_carbohydrate": 24, "total_fat": 14, "alcohol": 0})
>>> of(food).value, of(food).method
(238.0, 'B')
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from nutrition.composition import RICHEST
from nutrition.law.us.tables import rows
from nutrition.nutrients import index

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from nutrition.composition import Composition
    from nutrition.product import Component, Product

METHODS = ("A", "B", "C")
SPECIFIC = {"protein": "protein", "total_fat": "fat", "total_carbohydrate": "carbohydrate"}
"""Nutrient to the name of its specific factor."""
NONE: Mapping[str, float] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Energy:
    """Food energy of a weight of food, kcal.

    Args:
        low: least, from the least amounts.
        value: best, None where an amount is unknown.
        high: greatest.
        method: ``A``, ``B`` or ``C``.
        text: the method in words, with the figures used.
        rule: the paragraph.
    """

    low: float
    value: float | None
    high: float
    method: str
    text: str
    rule: str


@functools.cache
def factors(method: str) -> Mapping[str, float]:
    """kcal in a gram, by part of the food (``B``, ``C``), by sugar alcohol (``F``) or by ``custom``.

    >>> factors("F")["erythritol"]
    0.0
    """
    return {row["part"]: float(row["kcal_per_g"]) for row in rows("calorie_factors.csv") if row["method"] == method}


def of(
    composition: Composition,
    method: str = "B",
    *,
    soluble_fiber_g: float | None = None,
    sugar_alcohols: Mapping[str, float] = NONE,
    allulose_g: float = 0.0,
) -> Energy:
    """The energy of a weight of food, with its bounds.

    Args:
        composition: amounts in that weight.
        method: ``B`` or ``C``.
        soluble_fiber_g: for C, soluble non-digestible carbohydrate, g; None: none to all of the fiber, value unknown
            unless there is no fiber.
        sugar_alcohols: for C, sugar alcohol to grams, each with its own factor of (F).
        allulose_g: grams of allulose within the carbohydrate.

    Returns:
        The energy.

    Raises:
        KeyError: a sugar alcohol without factor.
        ValueError: another method, or a negative amount.

    >>> from nutrition.composition import Composition
    >>> oats = Composition.of(100, {"protein": 10, "total_carbohydrate": 50, "dietary_fiber": 10, "total_fat": 5,
    ...                             "alcohol": 0})
    >>> of(oats, "C", soluble_fiber_g=4).value
    253.0
    """
    if method not in METHODS[1:]:
        raise ValueError(f"there is no method {method!r} for a food as a whole; general factors are B and C")
    if allulose_g < 0 or any(g < 0 for g in sugar_alcohols.values()) or (soluble_fiber_g or 0) < 0:
        raise ValueError("an amount cannot be negative")
    use, custom = factors(method), factors("custom")
    low, value, high = (_vector(composition, which) for which in ("low", "value", "high"))
    polyols = sum(sugar_alcohols.values()) if method == "C" else 0.0

    def total(sure: list[float], fiber: float, soluble: float) -> float:
        protein, fat, carbohydrate, alcohol = sure
        kcal = use["protein"] * protein + use["total_fat"] * fat + custom["alcohol"] * alcohol
        if method == "B":
            kcal += use["total_carbohydrate"] * _at_least_none(carbohydrate - allulose_g)
        else:
            digestible = _at_least_none(carbohydrate - fiber - polyols - allulose_g)
            kcal += use["digestible_carbohydrate"] * digestible + use["soluble_fiber"] * soluble
            kcal += sum(factors("F")[name] * grams for name, grams in sugar_alcohols.items())
        return kcal + custom["allulose"] * allulose_g

    # The least energy goes with the most fiber, and none of it soluble; the greatest the other way round.
    least_soluble = soluble_fiber_g or 0.0
    most_soluble = high[4] if soluble_fiber_g is None else soluble_fiber_g
    best_soluble = (math.nan if value[4] else 0.0) if soluble_fiber_g is None else soluble_fiber_g
    best = total(value[:4], value[4], best_soluble)
    least = total(low[:4], high[4], least_soluble)
    most = total(high[:4], low[4], most_soluble)
    ceiling = max(use["total_fat"] * float(composition.grams), least)
    text, rule = _text(method, alcohol=high[3] > 0, allulose=allulose_g > 0, polyols=sugar_alcohols)
    return Energy(least, None if math.isnan(best) else best, min(most, ceiling), method, text, rule)


def _text(method: str, *, alcohol: bool, allulose: bool, polyols: Iterable[str] = ()) -> tuple[str, str]:
    """The method in words, and its paragraph."""
    custom = factors("custom")
    text = {
        "A": "the specific factors of each food (USDA Handbook 74)",
        "B": "protein 4, total carbohydrate 4, fat 9 kcal a gram",
        "C": "protein 4, carbohydrate less dietary fiber and sugar alcohols 4, soluble fiber 2, fat 9 kcal a gram",
    }[method]
    if method == "C":
        text += "".join(f"; {name} {factors('F')[name]:g} kcal a gram, (F)" for name in sorted(polyols))
    if alcohol and method == "A":
        text += f"; alcohol {factors('A')['alcohol']:g} kcal a gram"
    elif alcohol:
        text += f"; alcohol {custom['alcohol']:g} kcal a gram by custom, not by the paragraph"
    if allulose:
        text += f"; allulose {custom['allulose']:g} kcal a gram (FDA guidance, 2020)"
    rule = f"21 CFR 101.9(c)(1)(i)({method})"
    return f"{rule}: {text}", rule


def of_component(component: Component, method: str = "B") -> Energy:
    """The energy of one ingredient as it stands in the food, with its bounds.

    Args:
        component: the ingredient; its factors, sugar alcohols, allulose and soluble fiber count where the method asks.
        method: ``A``, ``B`` or ``C``.

    Raises:
        ValueError: another method.
    """
    if method != "A":
        return of(
            component.composition,
            method,
            soluble_fiber_g=component.soluble_fiber_g,
            sugar_alcohols=component.sugar_alcohols if method == "C" else NONE,
            allulose_g=component.allulose_g,
        )
    low = value = high = 0.0
    for nutrient, name in SPECIFIC.items():
        least, most = component.composition.bounds(nutrient)
        amount = component.composition.amount(nutrient)
        best = math.nan if amount is None else amount
        if nutrient == "total_carbohydrate" and component.allulose_g:
            less = component.allulose_g
            least, best, most = (_at_least_none(grams - less) for grams in (least, best, most))
        factor = component.factors.get(name)
        if factor is None and most > 0:
            high += RICHEST[nutrient] * most
            value = math.nan
        elif factor is not None:
            low, value, high = low + factor * least, value + factor * best, high + factor * most
    drink, amount = component.composition.bounds("alcohol"), component.composition.amount("alcohol")
    use, sweet = factors("A")["alcohol"], factors("custom")["allulose"] * component.allulose_g
    low, high = low + use * drink[0] + sweet, high + use * drink[1] + sweet
    value += math.nan if amount is None else use * amount + sweet
    text, rule = _text("A", alcohol=drink[1] > 0, allulose=component.allulose_g > 0)
    return Energy(low, None if math.isnan(value) else value, high, "A", text, rule)


def of_product(product: Product, method: str = "B") -> Energy:
    """The energy of a container: by its sums for B, ingredient by ingredient where the method looks at each.

    Args:
        product: the food.
        method: ``A``, ``B`` or ``C``; one for the whole food, never mixed.
    """
    allulose = sum(c.allulose_g for c in product.components)
    if method == "B":
        return of(product.composition, method, allulose_g=allulose)
    parts = [of_component(c, method) for c in product.components]
    value = None if any(p.value is None for p in parts) else math.fsum(p.value for p in parts if p.value is not None)
    text, rule = _text(
        method,
        alcohol=product.composition.bounds("alcohol")[1] > 0,
        allulose=allulose > 0,
        polyols={name for c in product.components for name in c.sugar_alcohols},
    )
    return Energy(math.fsum(p.low for p in parts), value, math.fsum(p.high for p in parts), method, text, rule)


def without_factors(product: Product) -> tuple[str, ...]:
    """Ingredients that have protein, fat or carbohydrate and no specific factor for it, once each."""
    return tuple(
        dict.fromkeys(
            c.ingredient
            for c in product.components
            for nutrient, name in SPECIFIC.items()
            if name not in c.factors and c.composition.bounds(nutrient)[1] > 0
        )
    )


def _at_least_none(grams: float) -> float:
    # max(0.0, nan) is 0.0, which would make an unknown amount a zero.
    return grams if math.isnan(grams) else max(0.0, grams)


@functools.cache
def _places() -> list[int]:
    return [index(key) for key in ("protein", "total_fat", "total_carbohydrate", "alcohol", "dietary_fiber")]


def _vector(composition: Composition, which: str) -> list[float]:
    """Protein, fat, carbohydrate, alcohol and fiber, g, of one of the three vectors of a plain composition."""
    vector = getattr(composition, which)
    return [float(vector[..., i].item()) for i in _places()]
