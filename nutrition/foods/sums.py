"""Whether the figures of a food agree with each other: proximates, parts within wholes, energy by its factors.

A record that fails is *doubtful*. It is shown with the reason, and never hidden or changed: analyses of one food are
made on different samples, and now and then a figure is simply wrong. The checks, their tolerances and the reasons for
them lie in ``data/foods/sums.csv``. An amount known as an interval is only doubted where the whole interval fails.

>>> from nutrition.composition import Composition
>>> from nutrition.foods.record import FoodRecord
>>> odd = FoodRecord("x", "x", "x", Composition.of(100, {"total_carbohydrate": 3.0, "total_sugars": 30.0}))
>>> [found.what for found in doubts(odd)]
['total sugars against carbohydrate: 30 g in 100 g, and at most 3 g were expected']
>>> from nutrition.foods.table import food
>>> doubts(food("01053"))
()
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from nutrition import resources
from nutrition.nutrients import GRAMS, index, keys, nutrient

if TYPE_CHECKING:
    from collections.abc import Mapping

    from nutrition.composition import Interval
    from nutrition.foods.record import FoodRecord

ALCOHOL_KCAL: Final = 6.93
"""kcal in a gram of alcohol (USDA Agriculture Handbook 74)."""
GENERAL: Final = {"protein": 4.0, "total_fat": 9.0, "total_carbohydrate": 4.0, "alcohol": 7.0}
"""General Atwater factors, kcal/g (21 CFR 101.9(c)(1)(i)(B); alcohol: common practice)."""
OWN: Final = {"protein": "protein", "total_fat": "fat", "total_carbohydrate": "carbohydrate"}
SPECIFIC: Final = "energy"
UNCOUNTED: Final = 3.0
"""What proximates may leave of 100 g besides: the acid of vinegar (5 g) and the oils of spices are in none of them."""


@dataclass(frozen=True, slots=True)
class Check:
    """One row of the table.

    Args:
        name: what the check is called.
        kind: ``near``, ``within`` or ``energy``.
        parts: nutrient keys.
        whole: a nutrient key, or grams (kcal) in 100 g as a number.
        amount: how far off is no wonder, g in 100 g (kcal for energy).
        share: or this share of the whole, if that is more.
        words: what is compared.
        reason: why the tolerance is what it is.
    """

    name: str
    kind: str
    parts: tuple[str, ...]
    whole: str | float
    amount: float
    share: float
    words: str
    reason: str


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why a record is doubtful.

    Args:
        check: the name of the check.
        what: what does not agree, with the figures.
        reason: what was allowed for, and why.
    """

    check: str
    what: str
    reason: str


@functools.cache
def checks() -> tuple[Check, ...]:
    """All checks, in order."""
    return tuple(
        Check(
            row["check"],
            row["kind"],
            tuple(row["parts"].split("|")),
            row["whole"] if row["whole"] in keys() else float(row["whole"]),
            float(row["amount"]),
            float(row["share"]),
            row["words"],
            row["reason"],
        )
        for row in resources.table("foods", "sums.csv")
    )


def doubts(record: FoodRecord) -> tuple[Doubt, ...]:
    """What does not agree in a record; nothing where all does, or nobody can say.

    Args:
        record: the food.
    """
    composition = record.composition
    part = 100.0 / float(composition.grams) if float(composition.grams) > 0 else 0.0
    low, value, high = ((v * part).tolist() for v in (composition.low, composition.value, composition.high))
    known: dict[str, Interval] = {}
    for key in keys():
        i = index(key)
        if not math.isnan(value[i]) or key in record.estimated:
            size = GRAMS.get(nutrient(key).unit, 1.0)
            known[key] = (low[i] * size, value[i] * size, high[i] * size)
    if "alcohol" in known and "alcohol" in record.estimated and known["alcohol"][1] == 0.0:
        # Its estimate reaches up to all that the others leave, and so would make every sum come out.
        known["alcohol"] = (0.0, 0.0, 0.0)
    found = (_asked(check, known, record) for check in checks())
    return tuple(one for one in found if one is not None)


def _asked(check: Check, known: Mapping[str, Interval], record: FoodRecord) -> Doubt | None:
    if check.kind == "energy":
        return _energy(check, known, record)
    if isinstance(check.whole, str) and check.whole not in known:
        return None
    whole = known[check.whole] if isinstance(check.whole, str) else (check.whole, check.whole, check.whole)
    unit = "kcal" if check.name == "most energy" else "g"
    parts = [known[key] for key in check.parts if key in known]
    least, most = sum(part[0] for part in parts), sum(part[2] for part in parts)
    slack = max(check.amount, check.share * whole[2])
    # A single part of several has a check of its own.
    if len(parts) >= min(2, len(check.parts)) and least > whole[2] + slack:
        if check.kind == "near":
            return Doubt(check.name, f"{check.words} {least:.4g} {unit} in {whole[2]:g} {unit}", check.reason)
        what = f"{check.words}: {least:.4g} {unit} in 100 g, and at most {whole[2]:.4g} {unit} were expected"
        return Doubt(check.name, what, check.reason)
    # A food that names no alcohol has none: the other five are what must be known.
    if check.kind == "near" and set(check.parts) - {"alcohol"} <= known.keys() and most < whole[0] - slack - UNCOUNTED:
        return Doubt(check.name, f"{check.words} {most:.4g} {unit} in {whole[0]:g} {unit}", check.reason)
    return None


def _energy(check: Check, known: Mapping[str, Interval], record: FoodRecord) -> Doubt | None:
    own = {key: record.factors[name] for key, name in OWN.items() if name in record.factors}
    if (check.name == SPECIFIC) != (len(own) == len(OWN)):
        return None
    if not {"energy", *OWN} <= known.keys():
        return None
    factors = own | {"alcohol": ALCOHOL_KCAL} if len(own) == len(OWN) else GENERAL
    fibre = known.get("dietary_fiber", (0.0, 0.0, 0.0))[2] if not own else 0.0
    least = sum(known[key][0] * factor for key, factor in factors.items() if key in known)
    # Fibre is carbohydrate, but few of its calories are used: either way of counting is right.
    least -= min(fibre, known["total_carbohydrate"][0]) * factors["total_carbohydrate"]
    most = sum(known[key][2] * factor for key, factor in factors.items() if key in known)
    low, _, high = known["energy"]
    slack = max(check.amount, check.share * high)
    if least - slack <= high and low <= most + slack:
        return None
    said = f"{low:.4g}" if low == high else f"{low:.4g} to {high:.4g}"
    span = f"{least:.4g}" if math.isclose(least, most) else f"{least:.4g} to {most:.4g}"
    what = f"{check.words} would be {span} kcal in 100 g, and the record says {said} kcal"
    return Doubt(check.name, what, check.reason)
