"""The compliance band of a printed figure, 21 CFR 101.9(g)(3) to (g)(6), from memory.

An inspector's laboratory analyses a composite of twelve packages, (g)(2), and holds the result against the label.

* Calories, fats, cholesterol, sodium and total sugars, (g)(5): no more than 120 % of what is printed.
* Vitamins, minerals, protein, carbohydrate and fiber, (g)(4): where they are there by nature (class II) at least 80 %
  of what is printed; where they were put in (class I) at least 100 %.
* Added sugars, (g)(5): as total sugars where they are the only sugars; else no analysis can tell, and the record of
  (g)(10) answers for them.

The paragraph does not say what 120 % of nothing is. Here whatever itself would be printed as "0" or as "less than" is
in the band of that text, which is our reading. It is our reading too that the vitamin D of a fortified milk was put in:
of the two classes that is the stricter one.

>>> band("total_fat", "17g").at_most, band("calcium", "130mg").at_least, band("calcium", "130mg", put_in=True).at_least
(20.4, 104.0, 130.0)
>>> judge(band("total_fat", "17g"), 15.0, 20.5)
'above'
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from nutrition.law.us import rounding
from nutrition.law.us.tables import rows, words

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date

    from nutrition.product import Product

Verdict = Literal["in", "below", "above", "below and above", "no band"]
_FIGURE = re.compile(r"\d+(?:\.\d+)?")
_PUT_IN = frozenset({"added", "fortified", "enriched"})
_NOT = re.compile(r"\bwithout\b.*?(?:\band with\b|$)", re.IGNORECASE)
ONLY = 1e-9
"""g by which added and total sugars may differ and still be the same"""


@dataclass(frozen=True, slots=True)
class Band:
    """What a laboratory may find for a printed figure, in the nutrient's unit.

    Args:
        group: ``class I``, ``class II``, ``third group`` or ``record`` (no analysis can tell).
        at_least: the least that is in the band, None for no such end.
        at_most: the most.
        rule: the paragraph.
    """

    group: str
    at_least: float | None
    at_most: float | None
    rule: str


@functools.cache
def _table() -> Mapping[str, Mapping[str, str]]:
    return {row["key"]: row for row in rows("compliance.csv")}


def band(
    key: str, printed: str, *, put_in: bool = False, only_sugars: bool = False, on: date | None = None
) -> Band | None:
    """The band of one printed text.

    Args:
        key: nutrient key.
        printed: as printed (``17g``, ``less than 5mg``).
        put_in: the nutrient was added to the food, or to an ingredient of it (:func:`put_in`).
        only_sugars: added sugars are the only sugars of the food.
        on: the day whose rounding applies, for texts of their own.

    Returns:
        The band; None where nothing is printed.

    Raises:
        KeyError: the panel has no such line.
        ValueError: no amount prints so.

    >>> band("total_fat", "0g").at_most, band("cholesterol", "less than 5mg").at_most
    (0.5, 5.0)
    >>> band("added_sugars", "12g").group, band("added_sugars", "12g", only_sugars=True).at_most
    ('record', 14.4)
    """
    found = _FIGURE.search(printed)
    if found is None:
        return None
    figure = float(found[0])
    row = _table().get(key) or _table()["*"]
    own_words = figure == 0 or printed.casefold().startswith("less than")
    if row["group"] == "sole" and not only_sugars:
        return Band("record", None, None, "21 CFR 101.9(g)(5), (g)(10)")
    if row["group"] in ("limit", "sole"):
        most = rounding.interval(key, printed, on=on)[1] if own_words else _share(figure, row["at_most_pct"])
        return Band("third group", None, most, row["reference"])
    share = row["class_1_pct"] if put_in else row["class_2_pct"]
    least = 0.0 if own_words else _share(figure, share)
    rule = f"{row['reference']}({'i' if put_in else 'ii'})"
    return Band("class I" if put_in else "class II", least, None, rule)


def _share(figure: float, per_cent: str) -> float:
    return round(figure * float(per_cent) / 100.0, 9)


def judge(found: Band | None, low: float, high: float) -> Verdict:
    """Whether amounts from ``low`` to ``high`` are all in the band, and at which end they leave it.

    >>> judge(band("iron", "0.5mg"), 0.3, 0.9), judge(band("iron", "0.5mg"), 0.4, 9.0)
    ('below', 'in')
    """
    if found is None or (found.at_least is None and found.at_most is None):
        return "no band"
    below = found.at_least is not None and round(low, 9) < found.at_least
    above = found.at_most is not None and round(high, 9) > found.at_most
    return "below and above" if below and above else "below" if below else "above" if above else "in"


def put_in(product: Product, names: Mapping[str, Iterable[str]] | None = None) -> frozenset[str]:
    """The nutrients that were added to a food or to one of its ingredients, as far as names tell.

    What an ingredient holds by nature stays in class II, unless the same nutrient is also added, (g)(3)(ii).

    Args:
        product: the food.
        names: further names of an ingredient, such as that of its food record (``Milk, whole, with added vitamin D``).

    Returns:
        Nutrient keys.
    """
    more = names or {}
    found: set[str] = set()
    for component in product.components:
        if component.present_g <= 0:
            continue
        said = (
            component.name,
            component.ingredient,
            *(sub for sub, _ in component.made_of),
            *more.get(component.ingredient, ()),
        )
        for text in said:
            found |= _named(text)
    return frozenset(found)


@functools.cache
def _named(text: str) -> frozenset[str]:
    # "without added vitamin A" says the opposite.
    said = " ".join(re.findall(r"[a-z0-9]+", _NOT.sub(" ", text).casefold()))
    there = words(said)
    found = {row["key"] for row in rows("added_nutrients.csv") if words(row["words"]) <= there}
    if there & _PUT_IN:
        found |= {key for key, pattern in _by_name() if pattern.search(said)}
    return frozenset(found)


@functools.cache
def _by_name() -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Names of nutrients that may be added; of several vitamins the word may stand once (``vitamins A and D``)."""
    out = []
    for key, row in rounding.lines().items():
        if row["group"] == rounding.BY_RDI or key in ("protein", "dietary_fiber"):
            name = key.replace("_", " ")
            first, _, letter = name.partition(" ")
            said = rf"vitamins?(?: [a-k]\d*)*(?: and)? {letter}" if first == "vitamin" else name
            out.append((key, re.compile(rf"\b{said}\b")))
    return tuple(out)
