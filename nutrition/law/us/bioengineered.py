"""The bioengineered food disclosure, 7 CFR part 66 (from memory).

What is on the list of 66.6 and detectably so needs a disclosure; a very small maker, with annual receipts below the
figure of 66.1, needs none. Whether an ingredient is one only its supplier knows.

>>> from nutrition.composition import Composition
>>> from nutrition.product import Component
>>> def part(name, said=None):
...     return Component(name, name, "sweetener", "", "", 1.0, 1.0, Composition.none(), bioengineered=said)
>>> disclose([part("beet sugar", True)], None).text
'Contains a bioengineered food ingredient'
>>> disclose([part("beet sugar", True)], 300_000).text, disclose([part("corn syrup")], None).unknown
('', ('corn syrup',))
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from nutrition.law.us.tables import rows, words

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from nutrition.product import Component

TEXT: Final = "Contains a bioengineered food ingredient"
RULE: Final = "7 CFR 66.100, 66.102"


@dataclass(frozen=True, slots=True)
class Disclosure:
    """What must be disclosed.

    Args:
        text: as printed, empty where nothing is.
        of: ingredients that their suppliers call bioengineered.
        unknown: ingredients that may be, and nobody said.
        exempt: the maker is very small.
    """

    text: str
    of: tuple[str, ...]
    unknown: tuple[str, ...]
    exempt: bool


def disclose(components: Iterable[Component], total_sales_usd: float | None, on: date | None = None) -> Disclosure:
    """What a food's ingredients make its maker disclose.

    Args:
        components: of one container.
        total_sales_usd: the maker's annual receipts, USD; None where nobody said.
        on: the day whose figures apply.
    """
    listed = [words(row["word"]) for row in rows("bioengineered.csv", on)]
    said: dict[str, None] = {}
    unknown: dict[str, None] = {}
    for one in components:
        if one.bioengineered:
            said[one.name] = None
        elif one.bioengineered is None:
            names = [words(name) for name in (one.name, one.ingredient, *(sub for sub, _ in one.made_of))]
            if any(word <= name for word in listed for name in names):
                unknown[one.name] = None
    small = next(float(row["amount"]) for row in rows("exemption.csv", on) if row["what"] == "very small receipts")
    exempt = total_sales_usd is not None and total_sales_usd < small
    return Disclosure(TEXT if said and not exempt else "", tuple(said), tuple(unknown), exempt)
