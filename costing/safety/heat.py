"""Whether a written heat counts as pasteurising a mix: 21 CFR 135.3, which 7 CFR 58.635 repeats.

The regulation names two heats, 155 F for 30 minutes and 175 F for 25 seconds, "or an equal". What is hotter or longer
than one of them passes. A heat between the two is in no row of the rule: a plant may have it approved as an equal, so
that it cannot be told from here whether it counts. To tell such a heat from one that is hopeless, a straight line is
drawn through both rows, with the logarithm of the hold against the temperature; that line is our own, lets nothing
pass, and only decides whether somebody reads a warning or an error.

>>> from costing.units import duration, temperature
>>> judge(temperature("175 F"), duration("25 s")).qualifies
True
>>> judge(temperature("174 F"), duration("30 min")).qualifies
True
>>> judge(temperature("140 F"), duration("10 min")).qualifies
False
>>> judge(temperature("165 F"), duration("10 min")).standing.value
'an equal at most'
>>> judge(None, duration("50 min")).why
'no temperature is written'
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from nutrition.law.us.tables import rows

if TYPE_CHECKING:
    from costing.amounts import Figure


class Standing(StrEnum):
    """What can be said of a heat."""

    COUNTS = "counts"
    """it reaches a row of the rule for its hold"""
    SHORT = "too little"
    """it is known not to"""
    EQUAL = "an equal at most"
    """it reaches no row, and might be approved as an equal"""
    OVEN = "heat of an oven"
    """the temperature is that of the air around the food"""
    UNKNOWN = "cannot be told"
    """a figure is missing, or is a range that ends below the rule"""


@dataclass(frozen=True, slots=True)
class Row:
    """A heat of the rule.

    Args:
        temperature_c: least temperature, degrees C.
        hold_s: least hold at it, s.
        words: both, as the rule writes them.
        rule: the paragraph.
    """

    temperature_c: float
    hold_s: float
    words: str
    rule: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """What is said of one heat.

    Args:
        standing: whether it counts.
        why: in words, to follow "because" or a colon.
        rule: paragraph.
    """

    standing: Standing
    why: str
    rule: str

    @property
    def qualifies(self) -> bool | None:
        """True or False where that is known, else None."""
        return {Standing.COUNTS: True, Standing.SHORT: False}.get(self.standing)


def celsius(fahrenheit: str) -> float:
    """Degrees C of a figure in degrees F; nine decimals, so that 175 F in a recipe is 175 F in the table.

    >>> celsius("41")
    5.0
    """
    return round((float(fahrenheit) - 32.0) / 1.8, 9)


@functools.cache
def _table() -> dict[str, Row]:
    return {
        row["key"]: Row(celsius(row["temperature_f"]), float(row["hold_s"]), row["words"], row["rule"])
        for row in rows("pasteurising.csv")
    }


@functools.cache
def rule_rows() -> tuple[Row, ...]:
    """The heats of the rule, the coolest first."""
    return tuple(sorted((row for key, row in _table().items() if key != "equal"), key=lambda row: row.temperature_c))


@functools.cache
def rule_words() -> str:
    """The rule in a few words.

    >>> rule_words()
    '155 F for 30 min or 175 F for 25 s, or an equal'
    """
    return f"{' or '.join(row.words for row in rule_rows())}, or an equal"


def judge(temperature: Figure | None, hold: Figure | None, *, oven: bool = False) -> Verdict:
    """Whether a heat counts as pasteurising.

    Args:
        temperature: of the food, degrees C; None: nobody wrote it.
        hold: at that temperature, s; None: nobody wrote it.
        oven: the temperature is that of the air in an oven.

    Returns:
        The verdict. A range must reach the rule with its low ends to count, and miss it with its high ends to be short.
    """
    standing, why = _standing(temperature, hold, oven)
    return Verdict(standing, why, rule_rows()[0].rule)


def _standing(temperature: Figure | None, hold: Figure | None, oven: bool) -> tuple[Standing, str]:
    if temperature is None:
        return Standing.UNKNOWN, "no temperature is written"
    if _c(temperature.high) < _table()["equal"].temperature_c:
        return Standing.SHORT, f"{temperature.text} is too cold to pasteurise at any hold"
    if hold is None:
        return Standing.UNKNOWN, f"no hold is written beside {temperature.text}"
    said = f"{temperature.text} for {hold.text}"
    if oven:
        return Standing.OVEN, f"{said} is the heat of the oven, and what counts is the middle of the food"
    return _against_rule(said, temperature, hold)


def _against_rule(said: str, temperature: Figure, hold: Figure) -> tuple[Standing, str]:
    row = _reached(_c(temperature.low), hold.low)
    if row is not None:
        return Standing.COUNTS, f"{said} reaches {row.words}"
    if _reached(_c(temperature.high), hold.high) is not None:
        return Standing.UNKNOWN, f"the low end of {said} does not reach {_either()}"
    if _as_good(_c(temperature.high), hold.high):
        why = f"{said} is no row of the rule, and counts only if your authority has approved it as an equal"
        return Standing.EQUAL, why
    return Standing.SHORT, f"{said} does not reach {_either()}"


def _either() -> str:
    return " or ".join(row.words for row in rule_rows())


def _c(degrees: float) -> float:
    return round(degrees, 9)


def _reached(temperature_c: float, hold_s: float) -> Row | None:
    """The hottest row that the heat reaches for its hold."""
    met = [row for row in rule_rows() if temperature_c >= row.temperature_c and round(hold_s, 9) >= row.hold_s]
    return met[-1] if met else None


def _as_good(temperature_c: float, hold_s: float) -> bool:
    """Whether a heat lies on or above the line through the coolest and the hottest row."""
    first, last = rule_rows()[0], rule_rows()[-1]
    if first is last:
        return False
    steepness = (temperature_c - first.temperature_c) / (last.temperature_c - first.temperature_c)
    needed: float = first.hold_s * (last.hold_s / first.hold_s) ** steepness
    return hold_s >= needed
