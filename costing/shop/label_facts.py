"""Parsers for what an ingredient says for the label alone: polyols, factors, Brix, what a preservative is for.

>>> factors({"protein": "4.27 kcal/g", "fat": "8.79 kcal/g"})
{'protein': 4.27, 'fat': 8.79}
>>> brix("11.5 Brix"), preserves("To retard spoilage")
(11.5, 'to retard spoilage')
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from costing import units
from costing.amounts import Figure, Kind
from costing.digits import UnreadableError, clean, number
from costing.shop.building import nearest
from nutrition.law.us import calories
from nutrition.law.us.tables import rows

BULKY: Final = ("chocolate", "fruit", "dried fruit", "nut", "other", "no")
MACROS: Final = ("protein", "fat", "carbohydrate")
_FACTOR: Final = re.compile(r"(.+?) ?(?:kcal ?/ ?g|kcal per g|kcal a gram)", re.IGNORECASE)
_MOST: Final = 12.0
"""kcal in a gram; nothing that is eaten has more than 9.02"""


def polyols(value: object) -> dict[str, Figure]:
    """Sugar alcohols by name, each as a share of the ingredient.

    >>> polyols({"erythritol": "99 %"})["erythritol"].mid
    0.99
    """
    if not isinstance(value, Mapping) or not value:
        raise UnreadableError("this must be sugar alcohols with shares", "write it as {erythritol: 99 %}")
    known = calories.factors("F")
    found: dict[str, Figure] = {}
    for name, share in value.items():
        key = clean(name).casefold()
        if key not in known:
            mend = nearest(key, known, f"they are: {', '.join(known)}")
            raise UnreadableError(f"'{name}' is no sugar alcohol with a calorie factor", mend)
        found[key] = share if isinstance(share, Figure) else units.share(share)
    if sum(one.low for one in found.values()) > 1 + 1e-9:
        raise UnreadableError("the shares pass 100 %", "they cannot be more than the whole")
    return found


def factors(value: object) -> dict[str, float]:
    """Specific factors of a food, kcal in a gram of its protein, fat and carbohydrate."""
    if not isinstance(value, Mapping) or not value:
        raise UnreadableError("this must be factors", "write it as {protein: 4.27 kcal/g, fat: 8.79 kcal/g}")
    found = {}
    for name, factor in value.items():
        key = clean(name).casefold()
        if key not in MACROS:
            raise UnreadableError(f"'{name}' has no factor", f"they are of: {', '.join(MACROS)}")
        if isinstance(factor, float):
            found[key] = factor
            continue
        plain = clean(factor)
        match = _FACTOR.fullmatch(plain)
        if match is None:
            raise UnreadableError(f"'{plain}' has no unit that can be read", "write it as 4.27 kcal/g")
        found[key] = float(number(match[1]))
        if not 0 <= found[key] <= _MOST:
            raise UnreadableError(f"'{plain}' is more than any food has", "check the number")
    return found


def brix(value: object) -> float:
    """Brix of a single-strength juice, above 0 and below 100."""
    if isinstance(value, float):
        return value
    amount = units.target(value)
    if amount.kind is not Kind.BRIX or amount.figure.is_range or not 0 < amount.figure.mid < 100:
        raise UnreadableError(f"'{amount.text}' is no Brix of a juice", "write it as 11.5 Brix")
    return amount.figure.mid


def preserves(value: object) -> str:
    """What a preservative is for, in the words of 21 CFR 101.22(j)."""
    plain, known = clean(value).casefold(), [row["words"] for row in rows("preservatives.csv")]
    if plain not in known:
        mend = nearest(plain, known, f"write one of: {', '.join(known)}")
        raise UnreadableError(f"'{plain}' does not say what a preservative is for", mend)
    return plain
