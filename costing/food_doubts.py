"""Says of which foods a shop uses the record's own figures do not agree."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.findings import Finding

if TYPE_CHECKING:
    from costing.desk import Shop

WEIGH = "write its fat, or a record that says it: what the food weighs and fills goes by it"
MEND = "compare it with another record (creamery foods search), or write the supplier's values in a spec sheet"


def notes(shop: Shop) -> tuple[Finding, ...]:
    """A finding for every doubt about a food that an ingredient of the shop is.

    Args:
        shop: the shop.
    """
    from nutrition.foods import fractions, sums

    found = []
    for one in shop.model.ingredients.values():
        record = shop.model.foods.get(one.food)
        if record is None:
            continue
        about = f"the record of {one.name} ({record.id})"
        found += [
            Finding("note", one.where, f"{about} is doubtful: {doubt.what}", MEND) for doubt in sums.doubts(record)
        ]
        found += [
            Finding("note", one.where, f"{about} could not be read whole: {what}", MEND) for what in record.problems
        ]
        if record.composition.amount("total_fat") is None:
            found += [
                Finding("warning", one.where, f"{about} does not say its fat: {said}", WEIGH)
                for said in fractions.fractions(record).notes
                if said.startswith("fat")
            ]
    return tuple(found)
