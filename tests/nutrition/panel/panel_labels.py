"""Labels built by hand, for the tests of the panel."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from nutrition.law.us.label import Label, NameAnswer, NutrientLine, Serving

BOTH = ("serving", "container")

# key, name, unit, text and % per serving, text and % per container. Invented figures in the range of a rich ice cream.
AMOUNTS: tuple[tuple[str, str, str, str, int | None, str, int | None], ...] = (
    ("energy", "Calories", "kcal", "290", None, "870", None),
    ("total_fat", "Total Fat", "g", "19g", 24, "56g", 72),
    ("saturated_fat", "Saturated Fat", "g", "12g", 60, "34g", 170),
    ("trans_fat", "Trans Fat", "g", "0.5g", None, "1.5g", None),
    ("cholesterol", "Cholesterol", "mg", "65mg", 22, "195mg", 65),
    ("sodium", "Sodium", "mg", "70mg", 3, "200mg", 9),
    ("total_carbohydrate", "Total Carbohydrate", "g", "26g", 9, "77g", 28),
    ("dietary_fiber", "Dietary Fiber", "g", "less than 1g", 2, "2g", 7),
    ("total_sugars", "Total Sugars", "g", "24g", None, "71g", None),
    ("added_sugars", "Includes", "g", "14g", 28, "41g", 82),
    ("protein", "Protein", "g", "5g", None, "15g", None),
    ("vitamin_d", "Vitamin D", "mcg", "0.6mcg", 4, "1.8mcg", 10),
    ("calcium", "Calcium", "mg", "140mg", 10, "410mg", 30),
    ("iron", "Iron", "mg", "0.2mg", 0, "0.6mg", 4),
    ("potassium", "Potassium", "mg", "220mg", 4, "650mg", 15),
)


def line(row: tuple[str, str, str, str, int | None, str, int | None], columns: tuple[str, ...]) -> NutrientLine:
    """One line of a label that is ready for print."""
    key, name, unit, serving, serving_dv, container, container_dv = row
    texts = {"serving": serving, "container": container}
    percents = {"serving": serving_dv, "container": container_dv}
    return NutrientLine(
        key=key,
        name=name,
        unit=unit,
        per_100g=1.0,
        per_serving=1.0,
        per_serving_low=1.0,
        per_serving_high=1.0,
        per_container=3.0,
        per_container_low=3.0,
        per_container_high=3.0,
        declared={column: texts[column] for column in columns},
        dv_pct={column: value for column in columns if (value := percents[column]) is not None},
        print_ready=True,
        unknown_from=(),
        estimated_from=(),
        rule="21 CFR 101.9(c)",
    )


def label(columns: tuple[str, ...] = BOTH, **changes: Any) -> Label:
    """A label that is ready for print; ``measure`` and ``servings`` change its serving, ``lines`` its lines."""
    serving = Serving(
        measure=changes.pop("measure", "2/3 cup"),
        grams=95.2,
        grams_text="95g",
        per_container=2.96,
        per_container_text=changes.pop("servings", "about 3"),
        columns=columns,
        rule="21 CFR 101.9(b)",
    )
    return Label(
        key="pistachio",
        title=changes.pop("title", "Pistachio & burnt honey"),
        law="us",
        serving=serving,
        nutrients=changes.pop("lines", tuple(line(row, columns) for row in AMOUNTS)),
        calorie_method="21 CFR 101.9(c)(1)(i)(B)",
        ingredients="cream, milk, sugar",
        contains="Contains: Milk.",
        allergens=("milk",),
        name=NameAnswer("ice cream", "ice cream", ()),
        net_quantity="1 PINT (473 mL)",
        added_sugars_record=(),
        notes=(),
        print_ready=changes.pop("print_ready", True),
        alcohol_by_volume_pct=0.0,
        alcohol_by_weight_pct=0.0,
    )


def open_lines(*keys: str, columns: tuple[str, ...] = BOTH) -> tuple[NutrientLine, ...]:
    """The lines, of which some could not be settled."""
    empty = dict.fromkeys(columns, "")
    return tuple(
        replace(each, declared=empty, dv_pct={}, print_ready=False) if each.key in keys else each
        for each in (line(row, columns) for row in AMOUNTS)
    )
