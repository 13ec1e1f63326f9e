"""Per cent of the daily value, 21 CFR 101.9(c)(8)(iii), (iv), (c)(9) and (d)(7)(ii).

By default the per cent is worked out from the *unrounded* amount; the law allows the printed amount as well
(``rounded_first=True``), and a label keeps to one of the two throughout.

>>> percent("sodium", 142.0)
6
>>> percent("calcium", 130.0)
10
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from nutrition.law.us import rounding
from nutrition.law.us.tables import NANO, nano, rows

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date


@dataclass(frozen=True, slots=True)
class DailyValue:
    """A daily value: its amount in the nutrient's unit, ``DRV`` or ``RDI``, and the paragraph."""

    key: str
    amount: float
    unit: str
    kind: str
    rule: str


@functools.cache
def daily_values(on: date | None = None) -> Mapping[str, DailyValue]:
    """All daily values in force, by nutrient key.

    >>> daily_values()["iron"].amount
    18.0
    """
    return {
        row["key"]: DailyValue(row["key"], float(row["amount"]), row["unit"], row["kind"], row["reference"])
        for row in rows("daily_values.csv", on)
    }


@functools.cache
def _small() -> tuple[int, int]:
    row = rows("small_percent.csv")[0]
    return int(row["from_pct"]), int(row["printed_pct"])


@functools.cache
def _prepared(key: str, on: date | None) -> tuple[int, bool, tuple[rounding.Band, ...]] | None:
    value = daily_values(on).get(key)
    if value is None:
        rounding.declare(key, 0.0, on=on)  # refuses what is no line of the panel
        return None
    is_rdi = value.kind == "RDI"
    return nano(value.amount), is_rdi, rounding.bands("percent of vitamins and minerals" if is_rdi else "percent", on)


def percent(
    key: str,
    amount: float,
    rounded_first: bool = False,
    *,
    below_two: Literal["zero", "two"] = "zero",
    protein_quality: float | None = None,
    on: date | None = None,
) -> int | None:
    """The printed per cent of the daily value.

    The law lets it be worked out from the printed or from the unrounded amount, (d)(7)(ii). Where the amount itself
    prints as 0 it is 0 by either choice: "0g 1%" would contradict itself, and the printed amount gives 0.

    Args:
        key: nutrient key.
        amount: unrounded amount in the nutrient's unit.
        rounded_first: work it out from the printed amount; "less than" counts as the unrounded one, as protein does.
        below_two: a vitamin or mineral from 1 % to below 2 % prints 0 or 2.
        protein_quality: the amino acid score that corrects protein, 0 to 1; without it protein prints none.
        on: the day whose rules apply.

    Returns:
        The per cent, None where none is printed: energy, total sugars, trans fat, and protein of unknown quality.

    Raises:
        KeyError: the panel has no such line.
        ValueError: the amount is negative or no number, or the protein quality is not a share.

    >>> percent("total_sugars", 20.0) is None
    True
    >>> percent("vitamin_d", 0.3), percent("vitamin_d", 0.3, below_two="two")
    (0, 2)
    >>> percent("protein", 10.0) is None, percent("protein", 10.0, protein_quality=1.0)
    (True, 20)
    >>> percent("dietary_fiber", 0.4), percent("dietary_fiber", 0.5)
    (0, 2)
    """
    prepared = _prepared(key, on)
    if prepared is None or (key == "protein" and protein_quality is None):
        nano(amount)
        return None
    daily, is_rdi, found = prepared
    if protein_quality is not None and key == "protein":
        if not 0 <= protein_quality <= 1:
            raise ValueError(f"protein quality is a share from 0 to 1, not {protein_quality}")
        amount *= protein_quality
    elif rounded_first or not is_rdi:
        printed = rounding.declare(key, amount, on=on)
        if (rounded_first or printed.value == 0) and not printed.less_than:
            amount = printed.value
    whole = nano(amount) * 100
    # per cent = whole / daily; compared with limits by cross-multiplying, so nothing is rounded on the way
    for band in found:
        if band.last is None or whole * NANO <= band.last * daily:
            break
    if band.increment:
        step = band.increment // NANO
        return (2 * whole + step * daily) // (2 * step * daily) * step
    start, printed_pct = _small()
    return printed_pct if is_rdi and below_two == "two" and whole >= start * daily else 0
