"""Every ingredient: its name on the label, where its figures come from, and what it costs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.workbook.values import NA, Column, Value
from nutrition.nutrients import nutrient

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from costing.results import CostLine, RecipeAnswer
    from costing.shop.models import Ingredient, ShopModel
    from costing.workbook.grid import Sheet
    from nutrition.foods.record import FoodRecord

NAME = "Ingredients"
WIDTHS = (18, 18, 28, 24, 12, 12, 8, 9, 9, 15, 12, 15, 36)
STATED = (
    ("added sugars", "added_sugars"),
    ("milkfat", "milkfat"),
    ("nonfat milk solids", "nonfat_milk_solids"),
    ("whey solids", "whey_solids"),
    ("egg yolk solids", "egg_yolk_solids"),
    ("cocoa solids", "cocoa_solids"),
)


def write(sheet: Sheet, answers: Sequence[RecipeAnswer], model: ShopModel, day: date) -> None:
    """Write the sheet.

    Args:
        sheet: a new sheet with :data:`WIDTHS`.
        answers: everything about every recipe.
        model: the shop.
        day: the day of the prices.
    """
    sheet.title("Ingredients", "Where the figures of every ingredient come from, and the price that was used.")
    sheet.gap(6)
    table = (
        Column("Ingredient", 1, wrap=True),
        Column("On the label", 2, wrap=True),
        Column("Food record", 3, wrap=True),
        Column("Source", 4, wrap=True),
        Column("Class", 5),
        Column("Allergens", 6, wrap=True),
        Column("Usable share", 7, sheet.formats.percent),
        Column("Price of a kg bought", 8, sheet.formats.money),
        Column("Price of a kg used", 9, sheet.formats.money),
        Column("Supplier", 10, wrap=True),
        Column("Price dated", 11, sheet.formats.date),
        Column("Said by the shop", 12, wrap=True),
        Column("Estimates and notes", 13, wrap=True),
    )
    head = sheet.heads(table)
    lines = used_lines(answers)
    for name, ingredient in model.ingredients.items():
        food = model.foods.get(ingredient.food)
        sheet.line(
            table, [name, *_words(ingredient, food), *_money(ingredient, food, lines, model), *_said(ingredient, food)]
        )
    sheet.filter(head, len(table))
    sheet.freeze(f"B{head + 1}")
    sheet.print_setup(foot=(model.name, f"Prices as of {sheet.formats.day(day)}"), repeat=(head, head))


def used_lines(answers: Sequence[RecipeAnswer]) -> dict[str, CostLine]:
    """For each item the cost line that priced it; the first, for on one day there is one price."""
    lines: dict[str, CostLine] = {}
    for answer in answers:
        for line in answer.cost.lines if answer.cost else ():
            if line.kind in {"ingredient", "packaging"}:
                lines.setdefault(line.item, line)
    return lines


def _words(ingredient: Ingredient, food: FoodRecord | None) -> list[Value]:
    label = ingredient.label
    if ingredient.made_of:
        inside = ", ".join(s.name + (f" {s.share.mid:.1%}" if s.share else "") for s in ingredient.made_of)
        label = f"{label} ({inside})"
    return [
        label,
        f"{food.name} ({ingredient.food})" if food else f"unknown ({ingredient.food})",
        food.source if food else None,
        ingredient.kind,
        ", ".join(ingredient.allergens) or "none",
    ]


def _money(
    ingredient: Ingredient, food: FoodRecord | None, lines: dict[str, CostLine], model: ShopModel
) -> list[Value]:
    usable = 1.0
    if ingredient.usable is not None:
        usable = ingredient.usable.mid
    elif food is not None and food.refuse is not None:
        usable = 1.0 - food.refuse
    if ingredient.kind == "water" or ingredient.food == "water":
        return [usable, 0.0, 0.0, "free", NA]
    line = lines.get(ingredient.name)
    if line is not None:
        used = None if line.per_kg is None or usable <= 0 else line.per_kg / usable
        return [usable, line.per_kg, used, line.supplier or NA, line.price_date or NA]
    if ingredient.comes_from:
        return [usable, NA, NA, "bought as " + ", ".join(ingredient.comes_from), NA]
    priced = any(row.ingredient == ingredient.name for row in model.prices)
    return [usable, NA, NA, "not used here" if priced else "no price", NA]


def _said(ingredient: Ingredient, food: FoodRecord | None) -> list[Value]:
    said = []
    for words, field in STATED:
        share = getattr(ingredient, field)
        if share is not None:
            said.append(f"{words} {share.text or f'{share.mid:.1%}'}")
    if ingredient.sulphites_ppm is not None:
        said.append(f"sulphites {ingredient.sulphites_ppm:g} ppm")
    if ingredient.highly_refined:
        said.append("highly refined")
    if ingredient.ready_to_eat:
        said.append("ready to eat")
    for source, share in ingredient.comes_from.items():
        said.append(f"{share.text or f'{share.mid:.0%}'} of {source}")
    notes = [f"{_nutrient(key)}: {words}" for key, words in food.estimated.items()] if food else []
    if food is not None and food.rounded:
        notes.append("values from a printed label, known as intervals")
    if ingredient.note:
        notes.append(ingredient.note)
    return ["; ".join(said) or NA, "; ".join(notes) or NA]


def _nutrient(key: str) -> str:
    try:
        return nutrient(key).name.lower()
    except KeyError:
        return key.replace("_", " ")
