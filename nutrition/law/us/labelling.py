"""From a product to its label: every module of the law asked in turn.

Amounts of a serving are those of the container scaled by weight, unrounded; the container's column comes from the
unrounded contents, never from the printed serving. A line is print-ready when its least and its greatest amount
print the same text and the same per cent in every column; otherwise it names the ingredients whose width is to blame.

Calories follow method B with alcohol at 7 kcal a gram (:mod:`~nutrition.law.us.calories`); per cents of the daily value
follow from unrounded amounts unless asked otherwise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from nutrition.law.us import (
    added_sugars,
    alcohol,
    allergens,
    calories,
    cautions,
    daily_values,
    ingredient_statement,
    name_of_food,
    net_quantity,
    provisions,
    rounding,
)
from nutrition.law.us.label import Label, Note, NutrientLine, Serving
from nutrition.law.us.serving import serving
from nutrition.law.us.tables import held, nano
from nutrition.nutrients import index

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from datetime import date

    from nutrition.law.us.ingredient_statement import Options
    from nutrition.product import Component, Product

DvFrom = Literal["unrounded", "rounded"]
BLAMED_FROM = 0.01
"""An ingredient is named for a line when it makes at least this share of the line's width."""
SUGARS = ("total_sugars", "added_sugars")
MACROS = ("protein", "total_fat", "total_carbohydrate", "alcohol")
"""What calories are worked out from."""


@dataclass(frozen=True, slots=True)
class _Amount:
    """An amount in a container with its bounds; the value is None where unknown."""

    low: float
    value: float | None
    high: float


def label(
    product: Product,
    *,
    as_of: date | None = None,
    dv_from: DvFrom = "unrounded",
    statement_threshold: float | None = 2.0,
    statement_options: Options | None = None,
    calorie_method: str = "B",
    juice_method: added_sugars.Method = "finished food",
    also: tuple[str, ...] = (),
) -> Label:
    """The label of a product.

    Args:
        product: the food; weights are those of one container.
        as_of: the day whose law applies, None: the rules that have no end. For a day before the form of 2016 the rules
            that have no end are taken, and an error note says so.
        dv_from: per cents of the daily value from ``unrounded`` or ``rounded`` amounts.
        statement_threshold: per cent of the closing clause of the ingredient statement, None for none.
        statement_options: what the law leaves open there.
        calorie_method: ``B`` or ``C``.
        juice_method: how concentrated juice is judged, ``finished food`` or the conservative ``juice volume``.
        also: further nutrients to print, by key.

    Returns:
        The label. What cannot be printed is marked so and said in its notes; nothing is guessed.

    Raises:
        KeyError: a nutrient of ``also`` that no panel prints.
        ValueError: a product that has no weight, volume or declared quantity, or an option that does not exist.
    """
    if dv_from not in {"unrounded", "rounded"}:
        raise ValueError(f"per cents come from unrounded or rounded amounts, not {dv_from!r}")
    asked, as_of = as_of, held(as_of)
    size = serving(declared_ml=product.declared_ml, net_ml=product.net_ml, net_g=product.net_g, on=as_of)
    sugars = added_sugars.of(product, juice_method)
    energy = calories.of(product.composition, calorie_method)
    lines = []
    for key in _keys(also):
        if key == "energy":
            amount = _Amount(energy.low, energy.value, energy.high)
        elif key == "added_sugars":
            amount = _Amount(sugars.low, sugars.value, sugars.high)
        else:
            amount = _Amount(*_of(product, key))
        if key in SUGARS:
            amount = _within(amount, product)
        lines.append(_line(key, amount, product, size, dv_from, calorie_method, sugars, as_of))
    statement = ingredient_statement.statement(product, statement_threshold, statement_options)
    drink = alcohol.shares(product.composition)
    found, contains, allergen_notes = _allergens(product)
    name = name_of_food.name(product, as_of)
    notes = (
        *_check(product),
        *_too_early(asked, as_of),
        *_open_lines(lines),
        *_more_sugars(product),
        *allergen_notes,
        *_name_notes(product, name.allowed, name.notes),
        *_suggestions(product.components),
        *cautions.cautions(product, drink, statement.text, as_of),
        *_changes(as_of),
    )
    return Label(
        key=product.key,
        title=product.title,
        law="us",
        serving=size,
        nutrients=tuple(lines),
        calorie_method=energy.text,
        ingredients=statement.text,
        contains=contains,
        allergens=found,
        name=name,
        net_quantity=net_quantity.declare(product.declared_ml, product.declared_text),
        added_sugars_record=sugars.record,
        notes=notes,
        print_ready=all(line.print_ready for line in lines) and all(n.level != "error" for n in notes),
        alcohol_by_volume_pct=drink.volume_pct,
        alcohol_by_weight_pct=drink.weight_pct,
        statement=statement.entries,
        sugars=sugars,
        as_of=as_of,
        dv_from=dv_from,
        calorie_key=energy.method,
    )


def _within(sugars: _Amount, product: Product) -> _Amount:
    """Sugars no more than carbohydrate: a food table may hold more, one by analysis and the other by difference."""
    low, value, high = _of(product, "total_carbohydrate")
    if value is None or sugars.value is None:
        return _Amount(min(sugars.low, high), sugars.value, min(sugars.high, high))
    return _Amount(min(sugars.low, low), min(sugars.value, value), min(sugars.high, high))


def _more_sugars(product: Product) -> Iterable[Note]:
    sugars, carbohydrate = (product.composition.amount(key) for key in ("total_sugars", "total_carbohydrate"))
    if sugars is not None and carbohydrate is not None and nano(sugars) > nano(carbohydrate):
        yield Note(
            "note",
            f"the food records hold {sugars:.1f} g of sugars and {carbohydrate:.1f} g of carbohydrate in a container, "
            "one by analysis and the other by difference; no more sugars than carbohydrate are printed",
            "a supplier's sheet settles it",
            "21 CFR 101.9(c)(6)",
            "nutrients",
        )


def _keys(also: tuple[str, ...]) -> list[str]:
    table = rounding.lines()
    for key in also:
        if key not in table:
            raise KeyError(f"no line of the panel is called {key!r}")
    return [key for key, row in table.items() if row["mandatory"] == "yes" or key in also]


def _of(product: Product, key: str) -> tuple[float, float | None, float]:
    low, high = product.composition.bounds(key)
    return max(0.0, low), product.composition.amount(key), max(0.0, high)


def _line(
    key: str,
    container: _Amount,
    product: Product,
    size: Serving,
    dv_from: DvFrom,
    calorie_method: str,
    sugars: added_sugars.AddedSugars,
    on: date | None,
) -> NutrientLine:
    row = rounding.lines()[key]
    share = {"serving": size.grams / product.net_g, "container": 1.0}
    declared: dict[str, str] = {}
    dv_pct: dict[str, int] = {}
    ready = True
    rule = row["rule"]
    for column in size.columns:
        part = share[column]
        low = printed(key, container.low * part, dv_from, on)
        high = low if container.high == container.low else printed(key, container.high * part, dv_from, on)
        if low == high:
            text, percent = low
        else:
            ready = False
            unknown = container.value is None
            text, percent = ("", None) if unknown else printed(key, (container.value or 0.0) * part, dv_from, on)
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
        unknown_from=() if ready else _blamed(product, _width(key, calorie_method, sugars)),
        estimated_from=_estimated(key, product.components),
        rule=rule,
    )


def printed(key: str, amount: float, dv_from: DvFrom, on: date | None) -> tuple[str, int | None]:
    """What one column prints for an amount: its text, and the per cent of the daily value, None where there is none.

    Args:
        key: nutrient key.
        amount: in the nutrient's unit; what sums leave below zero is nothing.
        dv_from: per cents from ``unrounded`` or ``rounded`` amounts.
        on: the day whose rules apply, None: the rules that have no end.

    >>> printed("sodium", 142.0, "unrounded", None)
    ('140mg', 6)
    """
    amount = max(0.0, amount)
    text = rounding.declare(key, amount, on=on).text
    return text, daily_values.percent(key, amount, dv_from == "rounded", on=on)


def _width(key: str, method: str, sugars: added_sugars.AddedSugars) -> Callable[[int, Component], float]:
    """How far apart the bounds of one component lie on a line."""
    if key == "energy":

        def of_energy(_: int, component: Component) -> float:
            found = calories.of(component.composition, method)
            return found.high - found.low

        return of_energy
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
    keys = MACROS if key == "energy" else (key,)
    return tuple(
        dict.fromkeys(
            f"{c.ingredient}: {c.estimated[k]}"
            for c in components
            for k in keys
            if k in c.estimated and c.composition.bounds(k)[1] > 0
        )
    )


def _check(product: Product) -> Iterable[Note]:
    grams = float(product.composition.grams)
    if abs(grams - product.net_g) > 1e-6 * product.net_g:
        yield Note(
            "error",
            f"the ingredients in a container weigh {grams:.2f} g, but {product.net_g:.2f} g are filled",
            "this is a mistake in the calculation; please report it",
            about="nutrients",
        )


def _too_early(asked: date | None, used: date | None) -> Iterable[Note]:
    if asked is not None and used is None:
        what = f"the law of {asked.isoformat()} is older than the rules held here; the label follows the present ones"
        yield Note("error", what, "choose a later day", "81 FR 33742", "nutrients")


def _open_lines(lines: Iterable[NutrientLine]) -> Iterable[Note]:
    """One note for each ingredient that keeps lines from being printed."""
    waiting: dict[str, list[str]] = {}
    for line in lines:
        name = "Added Sugars" if line.key == "added_sugars" else line.name
        for ingredient in line.unknown_from:
            waiting.setdefault(ingredient, []).append(name)
    for ingredient, names in waiting.items():
        yield Note(
            "warning",
            f"what is known of {ingredient} is not enough to print {', '.join(names)}",
            f"give {ingredient} the supplier's values in a spec sheet",
            "21 CFR 101.9(g)",
            "nutrients",
        )


def _allergens(product: Product) -> tuple[tuple[str, ...], str, tuple[Note, ...]]:
    """The allergens, the "Contains" statement, and an error for each text that is no major allergen."""
    written = sorted(allergens.union(product))
    problems = {text: allergens.problem(text) for text in written}
    good = [text for text in written if problems[text] is None]
    notes = tuple(
        Note("error", f'allergen "{text}": {problem}', "mend it on the ingredient", "FD&C Act 403(w)", "allergens")
        for text, problem in problems.items()
        if problem is not None
    )
    return tuple(str(a) for a in allergens.ordered(good)), allergens.contains(good), notes


def _name_notes(product: Product, allowed: str, notes: Iterable[str]) -> Iterable[Note]:
    refused = allowed.casefold() != product.wanted.casefold()
    for i, what in enumerate(notes):
        level = "warning" if refused and i == 0 else "note"
        mend = f'sell it as "{allowed}", or change the recipe' if refused and i == 0 else ""
        yield Note(level, what, mend, "21 CFR part 135", "name")


def _suggestions(components: Iterable[Component]) -> Iterable[Note]:
    for name in dict.fromkeys(c.name for c in components):
        found = ingredient_statement.suggestion(name)
        if found is not None:
            yield Note("note", f'"{name}" may stand as "{found[0]}"', "change its label", found[1], "ingredients")


def _changes(as_of: date | None) -> Iterable[Note]:
    """What is about to change; without a day only what is proposed."""
    if as_of is None:
        coming = tuple(p for p in provisions.provisions() if p.status == "proposed")
    else:
        coming = provisions.to_watch(as_of)
    for p in coming:
        begins = f" from {p.begins.isoformat()}" if p.begins else ""
        yield Note("note", f"{p.title}{begins}: {p.what}", "", p.rule, "changes")
