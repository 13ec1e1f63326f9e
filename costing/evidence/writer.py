"""Numbers of evidence as people read them, in the shop's locale."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing import money

if TYPE_CHECKING:
    from costing.evidence.gather import Evidence
    from nutrition.law.us.evidence import Amount

DIGITS = {"kcal": 1, "g": 2, "mg": 1, "mcg": 2}
SMALL_MG = 20.0
"""milligrams below which a second decimal is shown: iron is printed to a tenth"""


def digits(unit: str, size: float | None) -> int:
    """Decimals of an amount of that size.

    >>> digits("mg", 174.8), digits("mg", 0.6)
    (1, 2)
    """
    small = unit == "mg" and size is not None and abs(size) < SMALL_MG
    return 2 if small else DIGITS.get(unit, 2)


class Writer:
    """Writes evidence in the shop's locale.

    Args:
        found: the evidence.
        locale: the shop's locale.
    """

    def __init__(self, found: Evidence, locale: str) -> None:
        self.found = found
        self.locale = locale

    def number(self, value: float | None, unit: str) -> str:
        """An amount without its unit; ``unknown`` where nobody knows."""
        return "unknown" if value is None else money.number(value + 0.0, self.locale, digits(unit, value))

    def amount(self, amount: Amount, unit: str) -> str:
        """An amount with its unit, or its ends where only they are known."""
        if amount.value is None:
            return f"{self.number(amount.low, unit)} to {self.number(amount.high, unit)} {unit}"
        return f"{self.number(amount.value, unit)} {unit}"

    def percent(self, share: float) -> str:
        """A share of 1 as per cent."""
        return money.percent(100.0 * share, self.locale)
