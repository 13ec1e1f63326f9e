"""What a state or local inspector asks besides the label, as notes for the sheets (from memory and common practice).

>>> from nutrition.product import Product
>>> from nutrition.composition import Composition
>>> food = Product("x", "X", "sorbet", (), 300.0, 473.2, 473.2, "1 pint", frozenset(), Composition.none())
>>> [note.what for note in asked(food) if "net contents" in note.what][0][-19:]
'fill above 473.2 mL'
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutrition.law.us.label import Note
from nutrition.law.us.statement_items import is_compound
from nutrition.law.us.tables import rows

if TYPE_CHECKING:
    from datetime import date

    from nutrition.product import Product


def asked(product: Product, on: date | None = None, *, scoops: bool = False) -> tuple[Note, ...]:
    """What an inspector may ask about a product.

    Args:
        product: the food.
        on: the day whose rules apply.
        scoops: it is served in scoops too.
    """
    kinds = {component.kind for component in product.components}
    compounds = dict.fromkeys(component.name for component in product.components if is_compound(component))
    when = {
        "always": True,
        "milk": "dairy" in kinds or bool(kinds & {"egg", "egg yolk"}),
        "egg": bool(kinds & {"egg", "egg yolk"}),
        "compound": bool(compounds),
        "scoops": scoops,
    }
    names, declared = ", ".join(compounds), f"{product.declared_ml:.1f}"
    return tuple(
        Note("note", row["what"].format(names=names, declared=declared), "", row["rule"], "inspection")
        for row in rows("inspection.csv", on)
        if when[row["only"]]
    )
