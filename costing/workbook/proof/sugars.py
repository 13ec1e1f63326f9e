"""Added sugars: the written record that 21 CFR 101.9(g)(10) and (11) ask for, ready to be filed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.workbook.formats import number
from costing.workbook.values import NA, NONE, Column, Value
from nutrition.law.us.added_sugars_record import KEEP, RULE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.evidence.gather import Evidence
    from costing.workbook.grid import Sheet
    from nutrition.law.us.evidence import Amount

NAME = "Added sugars"
WIDTHS = (26, 24, 12, 20, 11, 10, 10, 10, 10, 8, 60, 40)


def write(sheet: Sheet, proofs: Sequence[Evidence]) -> int:
    """Write the sheet.

    Args:
        sheet: a new sheet with :data:`WIDTHS`.
        proofs: the evidence of each label.

    Returns:
        The row of its heads.
    """
    sheet.title(NAME, f"The record of added sugars, grams in one container. {KEEP} {RULE}.")
    sheet.paragraph(
        "No analysis can tell added sugars from the others. Where a food holds both, this record is what an inspector "
        "asks for: what each ingredient brings, why so much of it counts as added, and how it comes to what is printed."
    )
    table = (
        Column("Flavour", 1),
        Column("Ingredient", 2),
        Column("Class", 3),
        Column("Food record", 4),
        Column("Weight in it (g)", 5, number(2)),
        Column("Its sugars", 6, number(2)),
        Column("Added", 7, number(2)),
        Column("at least", 8, number(2)),
        Column("at most", 9, number(2)),
        Column("Brix", 10, number(1)),
        Column("Why", 11),
        Column("Source", 12),
    )
    head = sheet.heads(table)
    for proof in proofs:
        record = proof.record
        for one in record.sweets:
            row: list[Value] = [record.title, one.ingredient, one.kind, one.food, one.grams, one.sugars.value]
            brix: Value = NA if one.brix is None else one.brix
            sheet.line(table, [*row, *_amount(one.added), brix, one.basis, one.source])
        if record.concentrated.high > 0:
            water = "unknown" if record.water_g is None else f"{record.water_g:.2f} g"
            why = f"concentrated in the kitchen: beyond 100 % juice, beside {water} of water in the food"
            start: list[Value] = [record.title, "juice or fruit", NONE, NONE, NONE, NONE]
            sheet.line(table, [*start, *_amount(record.concentrated), NONE, why, NONE])
        printed = "; ".join(f"{text} per {column}" for column, text in record.printed)
        total: list[Value] = [record.title, "Together", NONE, NONE, record.net_g, NONE, *_amount(record.total)]
        sheet.line(table, [*total, NONE, f"printed: {printed}", NONE], "sub")
    sheet.filter(head, len(table))
    return head


def _amount(amount: Amount) -> list[Value]:
    return [amount.value, amount.low, amount.high]
