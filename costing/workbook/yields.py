"""The yield of a flavour: every part and step, with what went in, what came out, and where the rest went.

For every step, and for the batch: in = out + vapour + discarded + saved.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from costing.workbook.formats import number, weight
from costing.workbook.values import NA, NONE, Column, Value
from nutrition.nutrients import index

if TYPE_CHECKING:
    from costing.results import Batch, PartResult, RecipeAnswer, StepResult
    from costing.workbook.grid import Sheet
    from nutrition.composition import Composition

SHOWN = (
    ("Water", "water"),
    ("Fat", "total_fat"),
    ("Sugars", "total_sugars"),
    ("Protein", "protein"),
    ("Alcohol", "alcohol"),
)
"""What a part is made of, as far as a cook steers it."""


def write(sheet: Sheet, answer: RecipeAnswer) -> int:
    """Write the section.

    Args:
        sheet: a flavour's sheet, at the row where the section begins.
        answer: everything about the recipe.

    Returns:
        The row of its heading.
    """
    at = sheet.section("Yield", new_page=answer.cost is not None)
    _steps(sheet, answer)
    if answer.cost is not None:
        _batch(sheet, answer.cost.batch)
    _parts(sheet, answer)
    return at


def _steps(sheet: Sheet, answer: RecipeAnswer) -> None:
    money = sheet.formats.money
    table = (
        Column("Step", 1, wrap=True),
        Column("Worked out from the scale", 2, wrap=True),
        Column("In (g)", 3, number(1)),
        Column("Out (g)", 4, number(1)),
        Column("Vapour (g)", 5, weight(1)),
        Column("Discarded (g)", 6, weight(1)),
        Column("Saved (g)", 7, weight(1)),
        Column("Money in", 8, money),
        Column("Money out", 9, money),
        Column("Value discarded", 10, money),
        Column("Out (mL)", 11, number(0)),
        Column("Machine runs", 12, number(0)),
    )
    sheet.heads(table)
    for part in answer.parts:
        sheet.block()
        source = "" if part.recipe in {"", answer.recipe} else f" (from {part.recipe})"
        sheet.line(table, [f"{part.name}{source}", *[NONE] * 11], "group")
        for step in part.steps:
            sheet.line(table, [_said(step), step.free_figure or NA, *_figures(step)])
    off = max((abs(_balance(step)) for part in answer.parts for step in part.steps), default=0.0)
    if off < 1e-6:
        sheet.paragraph("Balance of every step: in = out + vapour + discarded + saved, to the millionth of a gram.")
    else:
        sheet.paragraph(f"The steps do not balance: the greatest difference is {off:.6f} g.")


def _said(step: StepResult) -> str:
    words = step.text.strip()
    if words == step.verb or words.startswith(f"{step.verb} "):
        words = words[len(step.verb) :].strip()
    head = f"{step.step}  {step.verb}"
    if step.name:
        head += f" [{step.name}]"
    return f"{head}: {words.lstrip(': ')}" if words else head


def _figures(step: StepResult) -> list[Value]:
    return [
        step.in_g,
        step.out_g,
        step.vapour_g,
        step.discarded_g,
        step.saved_g,
        step.money_in,
        step.money_out,
        step.lost_value,
        step.out_ml,
        step.runs or NA,
    ]


def _balance(step: StepResult) -> float:
    return step.in_g - step.out_g - step.vapour_g - step.discarded_g - step.saved_g


def _batch(sheet: Sheet, batch: Batch) -> None:
    sheet.heading("The whole batch")
    table = (
        Column("Batch", 1),
        Column("In words", 2, wrap=True),
        Column("In (g)", 3, number(1)),
        Column("Out (g)", 4, number(1)),
        Column("Vapour (g)", 5, number(1)),
        Column("Discarded (g)", 6, number(1)),
        Column("Saved (g)", 7, number(1)),
        Column("Difference (g)", 8, number(6)),
        Column("Filled none (g)", 9, number(1)),
    )
    sheet.heads(table)
    left = batch.in_g - batch.out_g - batch.vapour_g - batch.discarded_g - batch.saved_g
    words = "balances" if abs(left) <= 1e-6 * max(1.0, batch.in_g) else "does not balance"
    # A difference of a rounding error of the machine is no difference; minus zero is no figure.
    left = round(left, 9) + 0.0
    sheet.line(
        table,
        [
            "Ingredients to whole containers", words, batch.in_g, batch.out_g, batch.vapour_g, batch.discarded_g,
            batch.saved_g, left, batch.rest_g,
        ],
        "total",
    )  # fmt: skip


def _parts(sheet: Sheet, answer: RecipeAnswer) -> None:
    sheet.heading("What came out of each part, and what 100 g of it hold")
    formats = sheet.formats
    table = (
        Column("Part", 1, wrap=True),
        Column("Used in the batch", 2, formats.percent, align="left"),
        Column("Out (g)", 3, number(1)),
        Column("Out (mL)", 4, number(0)),
        Column("Density (g/mL)", 5, number(3)),
        Column("Cost", 6, formats.money),
        Column("Cost of a kg", 7, formats.money),
        *(Column(f"{name} (g)", 8 + i, number(1)) for i, (name, _) in enumerate(SHOWN)),
    )
    sheet.heads(table)
    for part in answer.parts:
        sheet.line(table, _part(part))


def _part(part: PartResult) -> list[Value]:
    grams, ml = part.out_g, part.out_ml
    return [
        part.name,
        part.used_share,
        grams,
        ml,
        grams / ml if ml > 0 else NA,
        part.cost,
        part.cost / grams * 1000 if grams > 0 else NA,
        *(_per_100g(part.composition, key) for _, key in SHOWN),
    ]


def _per_100g(composition: Composition, key: str) -> Value:
    grams = float(np.ravel(composition.grams)[0])
    if grams <= 0:
        return NA
    values = composition.value if composition.value.ndim == 1 else composition.value[0]
    return float(values[index(key)]) / grams * 100  # nan, which nobody knows, is written as unknown
