"""Statements: every name of an ingredient statement and every allergen, with ingredients and records behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.workbook.formats import number
from costing.workbook.values import NA, NONE, Column, Value

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.evidence.gather import Evidence, Name
    from costing.workbook.grid import Sheet

NAME = "Statements"
WIDTHS = (26, 12, 30, 11, 9, 22, 24, 20, 36, 50)


def write(sheet: Sheet, proofs: Sequence[Evidence]) -> int:
    """Write the sheet.

    Args:
        sheet: a new sheet with :data:`WIDTHS`.
        proofs: the evidence of each label.

    Returns:
        The row of its heads.
    """
    sheet.title(NAME, "Ingredient statements and allergens, and what stands behind their words.")
    sheet.paragraph(
        "Names stand by their weight as added to a container, the heaviest first, 21 CFR 101.4. What was steeped and "
        "taken out again still gave something and stays declared, and so do its allergens."
    )
    table = (
        Column("Flavour", 1),
        Column("What", 2),
        Column("Name", 3),
        Column("As added (g)", 4, number(2)),
        Column("Of the food", 5, sheet.formats.percent),
        Column("How", 6),
        Column("Ingredient", 7),
        Column("Food record", 8),
        Column("Its name there", 9),
        Column("Source", 10),
    )
    head = sheet.heads(table)
    for proof in proofs:
        for name in proof.names:
            _name(sheet, table, proof.label.title, name, 0)
        for one in proof.allergens:
            taken = f"nothing left of {', '.join(one.taken_out)}" if one.taken_out else NONE
            row: list[Value] = [proof.label.title, "allergen", one.text, NA, NA, taken, ", ".join(one.by) or NA]
            sheet.line(table, [*row, NONE, NONE, NONE], "sub")
    sheet.filter(head, len(table))
    return head


def _name(sheet: Sheet, table: Sequence[Column], title: str, name: Name, depth: int) -> None:
    entry = name.entry
    how: Value = "steeped, taken out" if entry.given_only else "in the 2 % clause" if entry.minor else NONE
    weight: list[Value] = [entry.grams, entry.share_pct / 100] if entry.grams > 0 else [NA, NA]
    # What stands in brackets has records of its own, unless the supplier names it.
    sources = () if any(sub.sources for sub in name.sub) else name.sources
    first = sources[0] if sources else None
    behind: list[Value] = (
        [NONE] * 4
        if first is None
        else [
            ", ".join(one.ingredient for one in sources),
            ", ".join(dict.fromkeys(one.food for one in sources)),
            first.name,
            first.source,
        ]
    )
    what = "ingredient" if depth == 0 else "made of"
    sheet.line(table, [title, what, f"{'    ' * depth}{entry.name}", *weight, how, *behind])
    for sub in name.sub:
        _name(sheet, table, title, sub, depth + 1)
