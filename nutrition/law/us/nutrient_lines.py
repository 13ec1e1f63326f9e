"""The lines of the panel: for each nutrient what is in a serving and a container, its bounds, and what is printed.

Amounts of a serving are those of the container scaled by weight, unrounded; the container's column comes from the
unrounded contents, never from the printed serving, 21 CFR 101.9(b)(12). A line is print-ready when its least and its
greatest amount print the same text and the same per cent in every column; otherwise it names the ingredients whose
width is to blame.

>>> keys(("vitamin_a",))[-5:]
['vitamin_d', 'calcium', 'iron', 'potassium', 'vitamin_a']
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition import sureness
from nutrition.law.us import calories, daily_values, rounding
from nutrition.law.us.label import NutrientLine
from nutrition.nutrients import index

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from datetime import date

    from nutrition.law.us import added_sugars
    from nutrition.law.us.label import Serving
    from nutrition.law.us.options import BelowTwo, DvFrom, Options
    from nutrition.product import Component, Product

BLAMED_FROM = 0.01
"""An ingredient is named for a line when it makes at least this share of the line's width."""
SUGARS = ("total_sugars", "added_sugars")


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount in a container with its bounds; the value is None where unknown."""

    low: float
    value: float | None
    high: float


def lines(
    product: Product,
    size: Serving,
    energy: calories.Energy,
    sugars: added_sugars.AddedSugars,
    options: Options,
    on: date | None,
) -> tuple[NutrientLine, ...]:
    """Every line of a panel.

    Args:
        product: the food; weights are those of one container.
        size: its serving and columns.
        energy: calories of a container.
        sugars: added sugars of a container.
        options: per cents, method of calories, further nutrients.
        on: the day whose rules apply.

    Raises:
        KeyError: a further nutrient that no panel prints.
    """
    found = []
    for key in keys(options.further):
        if key == "energy":
            amount = Amount(energy.low, energy.value, energy.high)
        elif key == "sugar_alcohol":
            amount = Amount(*(_polyols(product),) * 3)
        elif key == "added_sugars":
            amount = Amount(sugars.low, sugars.value, sugars.high)
        else:
            amount = Amount(*_of(product, key))
        if key in SUGARS:
            amount = _within(amount, product)
        found.append(_line(key, amount, product, size, sugars, options, on))
    return tuple(found)


def _within(sugars: Amount, product: Product) -> Amount:
    """Sugars no more than carbohydrate: a table may hold more, one by analysis and the other by difference."""
    low, value, high = _of(product, "total_carbohydrate")
    if value is None or sugars.value is None:
        return Amount(min(sugars.low, high), sugars.value, min(sugars.high, high))
    return Amount(min(sugars.low, low), min(sugars.value, value), min(sugars.high, high))


def keys(also: tuple[str, ...] = ()) -> list[str]:
    """The lines that every panel has, and further ones, in the order of 21 CFR 101.9(c).

    Args:
        also: nutrient keys.

    Raises:
        KeyError: no panel has such a line.
    """
    table = rounding.lines()
    for key in also:
        if key not in table:
            raise KeyError(f"no line of the panel is called {key!r}")
    return [key for key, row in table.items() if row["mandatory"] == "yes" or key in also]


def _polyols(product: Product) -> float:
    """Sugar alcohols of a container as the ingredients state them, g, 21 CFR 101.9(c)(6)(iv)."""
    return math.fsum(grams for c in product.components for grams in c.sugar_alcohols.values())


def _of(product: Product, key: str) -> tuple[float, float | None, float]:
    low, high = product.composition.bounds(key)
    return max(0.0, low), product.composition.amount(key), max(0.0, high)


def _line(
    key: str,
    container: Amount,
    product: Product,
    size: Serving,
    sugars: added_sugars.AddedSugars,
    options: Options,
    on: date | None,
) -> NutrientLine:
    row = rounding.lines()[key]
    share = {"serving": size.grams / product.net_g, "container": 1.0}
    declared: dict[str, str] = {}
    dv_pct: dict[str, int] = {}
    ready = True
    rule = row["rule"]

    def show(amount: float) -> tuple[str, int | None]:
        return printed(key, amount, options.dv_from, on, options.below_two, options.protein_quality)

    for column in size.columns:
        part = share[column]
        low = show(container.low * part)
        high = low if container.high == container.low else show(container.high * part)
        if low == high:
            text, percent = low
        else:
            ready = False
            unknown = container.value is None
            text, percent = ("", None) if unknown else show((container.value or 0.0) * part)
        declared[column] = text
        if percent is not None:
            dv_pct[column] = percent
    per_100g, part = 100.0 / product.net_g, share["serving"]
    known = container.value
    return NutrientLine(
        key=key,
        name=row["name"],
        unit=row["unit"],
        per_100g=None if known is None else known * per_100g,
        per_serving=None if known is None else known * part,
        per_serving_low=container.low * part,
        per_serving_high=container.high * part,
        per_container=known,
        per_container_low=container.low,
        per_container_high=container.high,
        declared=declared,
        dv_pct=dv_pct,
        print_ready=ready,
        unknown_from=() if ready else _blamed(product, _width(key, options.calories, sugars)),
        estimated_from=_estimated(key, product.components),
        rule=rule,
        weight=sureness.shares(product.components, key) if key != "sugar_alcohol" else None,
    )


def printed(
    key: str,
    amount: float,
    dv_from: DvFrom,
    on: date | None,
    below_two: BelowTwo = "zero",
    protein_quality: float | None = None,
) -> tuple[str, int | None]:
    """What one column prints for an amount: its text, and the per cent of the daily value, None where there is none.

    Args:
        key: nutrient key.
        amount: in the nutrient's unit; what sums leave below zero is nothing.
        dv_from: per cents from ``unrounded`` or ``rounded`` amounts.
        on: the day whose rules apply, None: the rules that have no end.
        below_two: a vitamin or mineral from 1 % to below 2 % prints ``zero`` or ``two``.
        protein_quality: the share that corrects protein; without it protein prints no per cent.

    >>> printed("sodium", 142.0, "unrounded", None)
    ('140mg', 6)
    """
    amount = max(0.0, amount)
    percent = daily_values.percent(
        key, amount, dv_from == "rounded", below_two=below_two, protein_quality=protein_quality, on=on
    )
    return rounding.declare(key, amount, on=on).text, percent


def _width(key: str, method: str, sugars: added_sugars.AddedSugars) -> Callable[[int, Component], float]:
    """How far apart the bounds of one component lie on a line."""
    if key == "energy":

        def of_energy(_: int, component: Component) -> float:
            found = calories.of_component(component, method)
            return found.high - found.low

        return of_energy
    if key == "sugar_alcohol":
        return lambda _, __: 0.0
    place = index(key)

    def of_key(i: int, component: Component) -> float:
        low, high = component.composition.bounds(key)
        if key == "added_sugars" and i in sugars.excess:
            low, high = low + sugars.excess[i][0], high + sugars.excess[i][1]
        # A value nobody knows is a width even where mass leaves it no room.
        return high - low if high > low else (1e-12 if math.isnan(_value(component, place)) else 0.0)

    return of_key


def _value(component: Component, place: int) -> float:
    return float(component.composition.value[..., place].item())


def _blamed(product: Product, width: Callable[[int, Component], float]) -> tuple[str, ...]:
    """The ingredients that make the width of a line, the widest first."""
    found: dict[str, float] = {}
    for i, component in enumerate(product.components):
        found[component.ingredient] = found.get(component.ingredient, 0.0) + width(i, component)
    enough = BLAMED_FROM * sum(found.values())
    widest = sorted(found.items(), key=lambda item: (-item[1], item[0]))
    return tuple(name for name, wide in widest if wide > 0 and wide >= enough)


def _estimated(key: str, components: Iterable[Component]) -> tuple[str, ...]:
    keys = sureness.sources(key)
    return tuple(
        dict.fromkeys(
            f"{c.ingredient}: {c.estimated[k]}"
            for c in components
            for k in keys
            if k in c.estimated and c.composition.bounds(k)[1] > 0
        )
    )
