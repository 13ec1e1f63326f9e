"""Branded foods: what their labels print, as the intervals that print so, and what they are made of.

A branded record of FoodData Central is worked out from a package: amounts in 100 g (or 100 mL) are those of the label
divided by the serving, and so no surer than the label's rounding. The label's figure is found again, and the interval
that prints so stands for it (21 CFR 101.9(c); :mod:`nutrition.law.us.rounding`).

>>> found = intervals({"total_fat": 16.67}, 30.0)
>>> tuple(round(30 * x / 100, 2) for x in found["total_fat"])
(4.75, 5.0, 5.5)
>>> parts("CREAM, SUGAR, CHOCOLATE (SUGAR, COCOA BUTTER), CONTAINS 2% OR LESS OF: GUAR GUM.")
('cream', 'sugar', 'chocolate (sugar, cocoa butter)', 'guar gum')
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from nutrition.foods.spec_values import MOST_PARTS, ProblemError, printed
from nutrition.law.us import rounding

if TYPE_CHECKING:
    from collections.abc import Mapping

    from nutrition.composition import Interval

GRAMS: Final = frozenset(("g", "grm", "gm", "gram", "grams"))
"""Units of a serving by weight, as branded records write them (from memory)."""
MILLILITRES: Final = frozenset(("ml", "mlt", "milliliter", "milliliters"))
MOST_SERVING_G: Final = 5000.0
"""Nobody eats more than this at once; a serving beyond it is a slip."""
DENSITY: Final = (0.9, 1.4)
"""g/mL between which packaged liquid foods lie: oil 0.91, syrup 1.37 (common practice)."""
LIKE: Final = 0.02
"""How far a figure worked back from 100 g may lie beside the one that the label prints, as a share of it."""

_CLOSING: Final = {"(": ")", "[": "]", "{": "}"}
_PERCENT: Final = r"[0-9.]{1,5} ?%"
_LITTLE: Final = re.compile(
    rf"^(?:and )?contains (?:{_PERCENT} or less|less than {_PERCENT})(?: of)?(?: each)?(?: of)?(?: the following)?:? ",
    re.IGNORECASE,
)


def intervals(
    known: Mapping[str, float | Interval], serving_g: float, label: Mapping[str, float] | None = None
) -> dict[str, float | Interval]:
    """Amounts of a branded food as intervals.

    Args:
        known: amounts in 100 g by nutrient key.
        serving_g: the serving, g, above 0.
        label: figures of the label for a serving, where the record has them; they go before ``known``.

    Returns:
        Amounts in 100 g. A figure that no label prints keeps its place, and its interval reaches to the nearest
        that one prints.
    """
    found: dict[str, float | Interval] = dict(known)
    per_serving = {key: value * serving_g / 100.0 for key, value in known.items() if isinstance(value, float)}
    per_serving |= label or {}
    for key, value in per_serving.items():
        if key in rounding.lines():
            low, high = _interval(key, value)
            part = 100.0 / serving_g
            found[key] = (low * part, min(max(value, low), high) * part, high * part)
    return found


def _interval(key: str, value: float) -> tuple[float, float]:
    said = rounding.declare(key, value)
    try:
        low, high = printed(key, said.value, less=said.less_than)
    except ProblemError:
        return value, value
    if abs(said.value - value) > LIKE * max(value, said.value) and not said.less_than:
        low, high = min(low, value), max(high, value)
    return low, high


def of_100_ml(known: Mapping[str, float | Interval]) -> dict[str, float | Interval]:
    """Amounts in 100 mL as amounts in 100 g of a food whose density nobody said.

    >>> of_100_ml({"protein": 1.26})["protein"]
    (0.9, 1.26, 1.4)
    """
    light, dense = DENSITY
    found: dict[str, float | Interval] = {}
    for key, value in known.items():
        low, middle, high = value if isinstance(value, tuple) else (value, value, value)
        found[key] = (low / dense, middle, high / light)
    return found


def parts(text: str) -> tuple[str, ...]:
    """What a package says that it is made of, in order.

    Args:
        text: the statement as the record gives it.

    Returns:
        The ingredients in small letters, those of an ingredient in brackets behind it; none where brackets do not
        close, because then nobody can tell what belongs where.
    """
    found: list[str] = []
    open_: list[str] = []
    start = 0
    text = " ".join(text.split())
    for at, sign in enumerate(text):
        if sign in _CLOSING:
            open_.append(_CLOSING[sign])
        elif sign in _CLOSING.values():
            if not open_ or open_.pop() != sign:
                return ()
        elif sign in ",;" and not open_ and not text[at + 1 : at + 2].isdigit():
            found.append(text[start:at])
            start = at + 1
    if open_ or len(found) >= MOST_PARTS:
        return ()
    found.append(text[start:])
    plain = (_LITTLE.sub("", one.strip()).strip(" .:").lower() for one in found)
    return tuple(dict.fromkeys(one for one in plain if one))
