"""The label of a flavour: every printed text beside its unrounded amount, its bounds, its rule and its source."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.terminal import panel_needed
from costing.workbook.formats import number
from costing.workbook.text import capital
from costing.workbook.values import NA, NONE, Column, Value

if TYPE_CHECKING:
    from costing.workbook.grid import Sheet
    from costing.workbook.proof.picture import Picture
    from nutrition.law.us.label import Label, NameAnswer, NameTest, NutrientLine

INDENTED = frozenset(
    {"saturated_fat", "trans_fat", "polyunsaturated_fat", "monounsaturated_fat", "dietary_fiber", "total_sugars"}
)
DIGITS = {"kcal": 1, "g": 2, "mg": 1, "mcg": 2}


def write(sheet: Sheet, label: Label, panel: Picture | None = None) -> int:
    """Write the section.

    Args:
        sheet: a flavour's sheet, at the row where the section begins.
        label: the label.
        panel: its drawn panel, if it is wanted.

    Returns:
        The row of its heading.
    """
    at = sheet.section("Label", new_page=True)
    _figures(sheet, label)
    _nutrients(sheet, label)
    if panel is not None:
        # Seldom asked for, so loaded only then.
        from costing.workbook.proof import picture

        picture.write(sheet, panel)
    _behind(sheet, label)
    _statements(sheet, label)
    if label.name.tests:
        _tests(sheet, label.name.tests)
    _notes(sheet, label)
    return at


def missing(label: Label) -> str:
    """What keeps a label from being printed, in words; empty where nothing does."""
    waits = [name_of(line) for line in label.nutrients if not line.print_ready]
    waits += [note.what for note in label.notes if note.level == "error"]
    if not waits and not label.print_ready:
        return "see the cautions on its sheet"
    return "; ".join(waits)


def state(label: Label) -> str:
    """Whether a label may be printed, and else why not, in words."""
    if label.print_ready:
        return "ready to print"
    return f"not yet: {missing(label)}"


def name_of(line: NutrientLine) -> str:
    """The name of a line, told apart from all others."""
    return "Added sugars" if line.key == "added_sugars" else line.name


def _figures(sheet: Sheet, label: Label) -> None:
    serving = label.serving
    calories = next((line for line in label.nutrients if line.key == "energy"), None)
    texts = dict(calories.declared) if calories else {}
    sheet.strip(
        [
            ("To print", "ready" if label.print_ready else "not yet", ""),
            ("Serving size", f"{serving.measure} ({serving.grams_text})", ""),
            ("Servings in a container", serving.per_container_text, ""),
            ("Calories, serving", texts.get("serving") or NA, ""),
            ("Calories, container", texts.get("container") or NA, ""),
            ("Alcohol by volume", label.alcohol_by_volume_pct / 100, "0.00%"),
            ("Alcohol by weight", label.alcohol_by_weight_pct / 100, "0.00%"),
            ("Serving, unrounded (g)", serving.grams, number(2)),
            ("Servings, unrounded", serving.per_container, number(3)),
        ]
    )
    if not label.print_ready:
        sheet.entry("Still missing", missing(label), tone="warn")


def _nutrients(sheet: Sheet, label: Label) -> None:
    sheet.heading("Nutrients: as calculated, and as printed")
    table = (
        Column("Nutrient (unit)", 1),
        Column("Rule", 2, wrap=True),
        Column("In 100 g", 3, number(2)),
        Column("In a serving", 4, number(2)),
        Column("at least", 5, number(2)),
        Column("at most", 6, number(2)),
        Column("In a container", 7, number(2)),
        Column("at least", 8, number(2)),
        Column("at most", 9, number(2)),
        Column("Printed, serving", 10, align="right"),
        Column("Printed, container", 11, align="right"),
        Column("%DV, serving", 12, '0"%"'),
        Column("%DV, container", 13, '0"%"'),
        Column("How sure", 14),
    )
    sheet.heads(table)
    for line in label.nutrients:
        digits = number(DIGITS.get(line.unit, 2))
        own = tuple(Column(c.head, c.at, digits, c.wrap, c.align) if 3 <= c.at <= 9 else c for c in table)
        values: list[Value] = [
            f"{name_of(line)} ({line.unit})",
            line.rule,
            line.per_100g,
            line.per_serving,
            line.per_serving_low,
            line.per_serving_high,
            line.per_container,
            line.per_container_low,
            line.per_container_high,
            *(_printed(label, line, column) for column in ("serving", "container")),
            *(line.dv_pct.get(column, NA) for column in ("serving", "container")),
            certainty(line),
        ]
        sheet.line(own, values, "body" if line.print_ready else "warn", indent=_depth(line.key))


def _printed(label: Label, line: NutrientLine, column: str) -> Value:
    if column not in label.serving.columns and column not in line.declared:
        return NA
    return line.declared.get(column) or None


def _depth(key: str) -> int:
    return 2 if key == "added_sugars" else int(key in INDENTED)


def certainty(line: NutrientLine) -> str:
    """How sure a line is, in a word or two."""
    if not line.print_ready:
        return "unknown" if line.unknown_from or line.per_serving is None else "too wide"
    if line.estimated_from:
        return "estimated"
    return "in part" if line.per_serving is None or line.unknown_from else "known"


def _behind(sheet: Sheet, label: Label) -> None:
    lines = [line for line in label.nutrients if line.estimated_from or line.unknown_from]
    if not lines:
        return
    sheet.heading("What is estimated or unknown, and where it comes from")
    for line in lines:
        words = []
        if line.unknown_from:
            words.append("unknown in " + ", ".join(line.unknown_from))
        if line.estimated_from:
            words.append("estimated: " + "; ".join(line.estimated_from))
        sheet.entry(name_of(line), ". ".join(capital(w) for w in words))


def _statements(sheet: Sheet, label: Label) -> None:
    sheet.heading("Words on the container")
    sheet.entry("Name of the food", "\n".join((_name(label), *label.name.notes)))
    if label.name.parts:
        sheet.entry("On the main panel", label.name.text, also="\n".join(_letters(label.name)))
    sheet.entry("Net quantity", label.net_quantity)
    sheet.entry("Name and place", "\n".join(label.business))
    sheet.entry("Ingredient statement", label.ingredients)
    sheet.entry("Allergen statement", label.contains or "no major allergen")
    if label.advisory:
        sheet.entry("Voluntary, about equipment", label.advisory)
    if label.bioengineered:
        sheet.entry("Disclosure", label.bioengineered, also="7 CFR 66.102")
    if label.exemption is not None:
        sheet.entry("Panel", panel_needed(label.exemption))
    sheet.entry("Serving size", f"{label.serving.measure} ({label.serving.grams_text})", also=label.serving.rule)
    sheet.entry("Servings in a container", label.serving.per_container_text)
    if label.left_out:
        sheet.entry("Beneath the lines", label.not_significant or "no statement needed")
    sheet.entry("Calories by", label.calorie_method)
    for about, choice in label.chosen.items():
        sheet.entry(f"Chosen: {about}", choice)
    if label.added_sugars_record:
        sheet.entry("Added sugars: record to keep", "\n".join(label.added_sugars_record))


def _name(label: Label) -> str:
    name = label.name
    if name.wanted == name.allowed:
        return f"{capital(name.allowed)}: the tests below allow it" if name.tests else capital(name.allowed)
    return f"{capital(name.allowed)}; the recipe asks for “{name.wanted}”, which the tests below do not allow"


def _letters(name: NameAnswer) -> list[str]:
    """How large the words that stand with the name must be."""
    roles = {part.role: part.text for part in name.parts}
    return [
        f"{part.text}: letters at least {part.least:g} of the height of {roles.get(part.of, part.of)}, {part.rule}"
        for part in name.parts
        if part.least
    ]


def _tests(sheet: Sheet, tests: tuple[NameTest, ...]) -> None:
    sheet.heading("Tests for the name of the food")
    table = (
        Column("What", 1, wrap=True),
        Column("Rule", 2, wrap=True),
        Column("Found", 3, number(2)),
        Column("Must be", 4, align="right"),
        Column("Limit", 5, number(2)),
        Column("Unit", 6),
        Column("Result", 7),
        Column("For the name", 10, wrap=True),
    )
    sheet.heads(table)
    for test in tests:
        result = {True: "met", False: "not met", None: "unknown"}[test.met]
        values: list[Value] = [
            capital(test.what), test.rule, test.value, test.must_be, test.limit,
            test.unit, result, test.for_name or NONE,
        ]  # fmt: skip
        sheet.line(table, values, "body" if test.met else "warn")


def _notes(sheet: Sheet, label: Label) -> None:
    sheet.heading("Cautions")
    sheet.paragraph(
        "This label is calculated from the recipe and published food data; it is not a laboratory analysis. "
        "The regulation decides, and so does whoever inspects the shop."
    )
    for note in (*label.notes, *label.inspection):
        words = ". ".join(capital(part.rstrip(".")) for part in (note.what, note.mend) if part) + "."
        tone = "warn" if note.level in {"error", "warning"} else "body"
        sheet.entry(f"{capital(note.level)}: {note.about}" if note.about else capital(note.level), words,
                    tone=tone, also=note.rule)  # fmt: skip
