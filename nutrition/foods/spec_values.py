"""Amounts, weights and names as spec sheets write them.

>>> amount("sodium", "0.12 g")
(120.0, 120.0, 120.0)
>>> amount("trans_fat", "less than 0.5 g")
(0.0, 0.25, 0.5)
>>> amount("vitamin_d", "0.4 mcg to 0.9 mcg")
(0.4, 0.65, 0.9)
>>> weight("30 g serving")
30.0
"""

from __future__ import annotations

import difflib
import functools
import math
import re
from typing import TYPE_CHECKING

from nutrition import resources
from nutrition.nutrients import GRAMS, keys, nutrient, nutrients

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from nutrition.composition import Interval

Problem = tuple[tuple[str, ...], str, str]
"""Where it is (keys from the top), what is wrong, how to mend it."""

KCAL = {"kcal": 1.0, "cal": 1.0, "calories": 1.0, "kj": 1 / 4.184}
"""kcal in a unit of energy (thermochemical calorie, 4.184 J); a label's Cal is a kcal."""
WEIGHTS = {"mcg": 1e-6, "\u00b5g": 1e-6, "\u03bcg": 1e-6, "ug": 1e-6, "mg": 1e-3, "g": 1.0, "kg": 1000.0}
WEIGHTS |= {"oz": 28.349523125, "lb": 453.59237}
"""Grams in a unit of weight (NIST Handbook 44, appendix C, for the avoirdupois ones)."""
VITAMIN_D_IU = 0.025
"""Micrograms in one IU of vitamin D (21 CFR 101.9(c)(8)(iv))."""
SMALLEST = 1e-9
"""What amounts are taken to before they are rounded (:mod:`nutrition.law.us.rounding`)."""
MOST_PARTS = 200
FREE = 0.02
"""A label may print nothing of a vitamin or mineral below this share of its RDI, 21 CFR 101.9(c)(8)(iii)."""

_NUMBER = r"(?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]{1,9})(?:\.[0-9]{1,9})?|\.[0-9]{1,9}"
_UNIT = r"[a-z\u00b5\u03bc]{1,10}"
_ONE = re.compile(rf"({_NUMBER})\s*({_UNIT})")
_RANGE = re.compile(rf"({_NUMBER})\s*({_UNIT})?\s*(?:to|-|\u2013)\s*({_NUMBER})\s*({_UNIT})")
_BELOW = re.compile(rf"(?:<|less than|below|under)\s*({_NUMBER})\s*({_UNIT})")
_WEIGHT = re.compile(rf"({_NUMBER})\s*(mg|g|kg|oz|lb)\b")
_SHARE = re.compile(rf"({_NUMBER})\s*%")
LONGEST = 200


class ProblemError(ValueError):
    """A text that cannot be read.

    Args:
        what: what is wrong.
        mend: how to mend it.
    """

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(what)
        self.what = what
        self.mend = mend


def plain(name: object) -> str:
    """A key in small letters, words apart by one blank.

    >>> plain(" Vitamin_D")
    'vitamin d'
    """
    return re.sub(r"[\s_-]+", " ", str(name)[:LONGEST]).strip().lower()


def nearest(name: str, of: Iterable[str]) -> str:
    """A hint at the nearest right name, empty where none is near.

    >>> nearest("mesures", ["measures", "refuse"])
    "did you mean 'measures'?"
    """
    near = difflib.get_close_matches(name, list(of), n=1)
    return f"did you mean '{near[0]}'?" if near else ""


@functools.cache
def _names() -> Mapping[str, tuple[str, float]]:
    found = {row["name"]: (row["key"], float(row["factor"])) for row in resources.table("foods", "nutrient_names.csv")}
    for n in nutrients():
        found[plain(n.name)] = found[plain(n.key)] = (n.key, 1.0)
    return found


def nutrient_key(name: str) -> tuple[str, float]:
    """The nutrient that a sheet means, and what its amounts are multiplied with.

    Raises:
        ProblemError: there is no such nutrient; the nearest one is named.

    >>> nutrient_key("Vitamin D"), nutrient_key("salt")
    (('vitamin_d', 1.0), ('sodium', 0.4))
    """
    wanted = plain(name)
    found = _names().get(wanted)
    if found is None:
        ours = nearest(wanted, (key.replace("_", " ") for key in keys())) or nearest(wanted, _names())
        raise ProblemError(f"there is no nutrient called '{name[:LONGEST]}'", ours)
    return found


def amount(key: str, text: str, *, rounded: bool = False) -> Interval:
    """An amount with its unit as an interval in the nutrient's own unit.

    Args:
        key: nutrient key.
        text: ``12.5 g``, ``0.2 g to 0.4 g``, ``less than 1 g`` or ``<1 g``.
        rounded: the text stands on a US label: the interval is everything that is printed so.

    Returns:
        Low, value, high. Of a range and of "less than" the value is the middle. The interval of a printed text holds
        everything that is printed so and nothing else: amounts are taken to nine decimals before they are rounded, so
        its end lies a thousand-millionth below the amount that prints the next figure.

    Raises:
        ProblemError: it cannot be read, or its unit does not fit.

    >>> amount("total_fat", "5 g", rounded=True)
    (4.75, 5.0, 5.499999999)
    """
    clean = re.sub(r"\s+", " ", text.strip().lower())
    if len(clean) > LONGEST:
        raise ProblemError("the value is too long to be an amount", "write a number with its unit")
    if match := _BELOW.fullmatch(clean):
        high = _in_unit(key, match[1], match[2])
        low, high = printed(key, high, less=True) if rounded else (0.0, high)
        return low, (low + high) / 2, high
    if match := _RANGE.fullmatch(clean):
        low, high = _in_unit(key, match[1], match[2] or match[4]), _in_unit(key, match[3], match[4])
        if low > high:
            raise ProblemError(f"'{text}' runs backwards", "write the smaller amount first")
        return low, (low + high) / 2, high
    if match := _ONE.fullmatch(clean):
        value = _in_unit(key, match[1], match[2])
        if rounded:
            least, most = printed(key, value)
            return min(least, value), value, max(most, value)  # a line that no panel has is as it is
        return value, value, value
    raise _unreadable(key, text, clean)


def _unreadable(key: str, text: str, clean: str) -> ProblemError:
    unit = nutrient(key).unit
    if clean.startswith("-"):
        return ProblemError(f"'{text}' is below zero", "write how much there is")
    if re.fullmatch(_NUMBER, clean):
        return ProblemError(f"'{text}' has no unit", f"write {text} {unit}")
    if re.fullmatch(r"[0-9]+,[0-9]{1,2}\s*\w*", clean):
        return ProblemError(f"'{text}' has a comma where a point belongs", f"write {clean.replace(',', '.')}")
    return ProblemError(f"'{text}' is not an amount", f"write a number with its unit, such as 2.5 {unit}")


def _in_unit(key: str, number: str, unit: str) -> float:
    value = float(number.replace(",", ""))
    own = nutrient(key).unit
    if own == "kcal":
        if unit in KCAL:
            return value * KCAL[unit]
        raise ProblemError(f"'{unit}' is no unit of energy", "write kcal or kJ")
    if key == "vitamin_d" and unit == "iu":
        return value * VITAMIN_D_IU
    if unit not in WEIGHTS:
        raise ProblemError(f"'{unit}' is no weight", f"write {own}, or g, mg, mcg")
    # Rounded to nine digits after the point, so that 0.12 g is 120 mg and not a hair more.
    return value if unit == own else round(value * WEIGHTS[unit] / GRAMS[own], 9)


def printed(key: str, value: float, *, less: bool = False) -> tuple[float, float]:
    """Every amount that a US label prints as this one."""
    from nutrition.law.us import daily_values, rounding

    if key not in rounding.lines():
        return value, value
    try:
        low, high = rounding.interval(key, f"{'less than ' if less else ''}{value:.9g}")
    except ValueError:
        raise ProblemError(
            f"no US label prints {value:g} {nutrient(key).unit} of {nutrient(key).name.lower()}",
            "check the value; write one that is not rounded as a range, or leave out rounded: yes if none is",
        ) from None
    daily = daily_values.daily_values().get(key)
    if value == 0 and daily is not None and daily.kind == "RDI":
        # Below 2 % of the RDI the amount itself may be printed as 0 too.
        high = max(high, FREE * daily.amount)
    return low, round(high - SMALLEST, 9)


def scaled(interval: Interval, factor: float) -> Interval:
    """An interval times a factor.

    >>> scaled((1.0, 2.0, 3.0), 2.0)
    (2.0, 4.0, 6.0)
    """
    low, value, high = interval
    return low * factor, value * factor, high * factor


def weight(text: str) -> float:
    """The weight that a text begins with or holds in brackets, g.

    Raises:
        ProblemError: it holds no weight above zero, or more than one.

    >>> weight("2 tbsp (32 g)")
    32.0
    """
    found = _WEIGHT.findall(text.strip().lower()[:LONGEST])
    grams = [float(number.replace(",", "")) * WEIGHTS[unit] for number, unit in found]
    if len(grams) != 1 or not math.isfinite(grams[0]) or not 0 < grams[0] <= 1e6 or "-" in text:
        raise ProblemError(f"'{text[:LONGEST]}' is not one weight", "write a weight, such as 100 g")
    return grams[0]


def share(text: str) -> float:
    """A percentage as a share, 0 to below 1.

    Raises:
        ProblemError: it is none.

    >>> share("10 %")
    0.1
    """
    match = _SHARE.fullmatch(text.strip())
    if match is None or not 0 <= float(match[1].replace(",", "")) < 100:
        raise ProblemError(f"'{text[:LONGEST]}' is not a share of the weight", "write a percentage, such as 10 %")
    return float(match[1].replace(",", "")) / 100


def parts(raw: object) -> tuple[tuple[str, float | None], ...]:
    """What a food is made of, in order, each with its share (0 to 1) where it is said.

    Args:
        raw: nothing, a name, a list of names, or names with shares.

    Raises:
        ProblemError: it is none of these, names stand twice, or the shares pass 100 %.

    >>> parts(["cream", {"gellan gum": "0.1 %"}])
    (('cream', None), ('gellan gum', 0.001))
    """
    pieces = raw if isinstance(raw, list) else [] if raw in (None, "") else [raw]
    pairs: list[tuple[object, object]] = []
    for piece in pieces[: MOST_PARTS + 1]:
        pairs.extend(piece.items() if isinstance(piece, dict) else [(piece, "")])
    if len(pairs) > MOST_PARTS:
        raise ProblemError(f"it is made of more than {MOST_PARTS} things", "name those that its label names")
    found: dict[str, float | None] = {}
    for name, text in pairs:
        if not isinstance(name, str) or not isinstance(text, str) or not name.strip():
            raise ProblemError(
                "what it is made of must be names, with a share where it is known", "write [cream, salt]"
            )
        tidy = " ".join(name[:LONGEST].split())
        if tidy in found:
            raise ProblemError(f"'{tidy}' stands twice in what it is made of", "keep one of them")
        found[tidy] = share(text) if text.strip() else None
    if sum(one for one in found.values() if one is not None) > 1 + 1e-9:
        raise ProblemError("the shares of what it is made of pass 100 %", "check them")
    return tuple(found.items())
