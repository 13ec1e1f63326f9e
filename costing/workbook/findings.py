"""What is to be known or mended: errors first, each with where it is and what to do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.workbook.values import NA, Column

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from costing.findings import Finding
    from costing.results import RecipeAnswer
    from costing.shop.models import ShopModel
    from costing.workbook.grid import Sheet

NAME = "Findings"
WIDTHS = (11, 34, 70, 50)
LEVELS = ("error", "warning", "note")


def gather(answers: Sequence[RecipeAnswer], others: Iterable[Finding] = ()) -> tuple[Finding, ...]:
    """All findings, each once: errors first, then by place."""
    found = {finding: None for answer in answers for finding in answer.findings} | dict.fromkeys(others)
    return tuple(sorted(found, key=lambda f: (LEVELS.index(f.level), f.where, f.what)))


def write(sheet: Sheet, findings: Sequence[Finding], model: ShopModel, day: date) -> None:
    """Write the sheet.

    Args:
        sheet: a new sheet with :data:`WIDTHS`.
        findings: what to tell.
        model: the shop.
        day: the day of the prices.
    """
    sheet.title("Findings", "What to know or to mend: errors first.")
    sheet.gap(6)
    table = (
        Column("Level", 1),
        Column("Where", 2, wrap=True),
        Column("What", 3, wrap=True),
        Column("How to mend it", 4, wrap=True),
    )
    head = sheet.heads(table)
    for finding in (one.shown() for one in findings):
        tone = "warn" if finding.level == "error" else "body"
        sheet.line(table, [finding.level, finding.where, finding.what, finding.mend or NA], tone)
    sheet.filter(head, len(table))
    sheet.freeze(f"A{head + 1}")
    sheet.print_setup(foot=(model.name, sheet.formats.day(day)), repeat=(head, head))
