"""Amounts as a kitchen weighs and measures them: grams for a scale, quarts in fractions, both temperature scales.

>>> grams(1903.6, "en_US"), grams(14.26, "en_US")
('1,904 g', '14.3 g')
>>> quantity(5.34, "en_US")
'5 1/3'
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import TYPE_CHECKING, Final, Literal

from costing import money
from costing.amounts import Kind
from costing.unit_names import singular, unit

if TYPE_CHECKING:
    from collections.abc import Callable

    from costing.amounts import Amount, Figure
    from costing.unit_names import Unit

FRACTIONS: Final = tuple(
    Fraction(text) for text in ("0", "1/8", "1/4", "1/3", "3/8", "1/2", "5/8", "2/3", "3/4", "7/8", "1")
)
"""What cups and spoons are marked with."""
CLOSE: Final = 0.01
"""A fraction stands for an amount that it misses by no more than this share; the grams beside it are exact."""
FAHRENHEIT: Final = frozenset({"US", "PR", "BS", "BZ", "KY", "PW", "LR", "FM", "MH"})
"""Territories that cook in degrees F (CLDR supplemental data, temperature, from memory)."""

_METRIC: Final = frozenset({"gram", "kilogram", "milligram"})
_LITRES: Final = frozenset({"milliliter", "centiliter", "deciliter", "liter"})
_SMALLER: Final = (
    ("gallon", "gal", 40),
    ("quart", "qt", 40),
    ("cup", "cup", 16),
    ("tablespoon", "tbsp", 8),
    ("teaspoon", "tsp", 6),
)
"""Measures from large to small, as they are written beside a weight, and how often anybody fills one in a row."""
_UNIT: Final = re.compile(r"[^\W\d_][^\d]*")
_PLURALS: Final = {"leaf": "leaves", "loaf": "loaves", "half": "halves", "knife": "knives"}
_SCALE_FROM: Final = 50
"""g from which a kitchen scale that shows 1 g is fine enough"""


def grams(value: float, locale: str) -> str:
    """A weight to weigh by: whole grams from 50 g on, tenths below, and no trace shown as nothing.

    Args:
        value: g.
        locale: how numbers are written.

    >>> grams(49.96, "en_US"), grams(49.94, "en_US"), grams(0.042, "en_US"), grams(12000, "de_DE")
    ('50 g', '49.9 g', '0.04 g', '12.000 g')
    """
    if money.rounded(value, 1) >= _SCALE_FROM:
        digits = 0
    elif value >= 0.095 or value <= 0:
        digits = 1 if value > 0 else 0
    else:
        digits = 1 - math.floor(math.log10(value)) - 1
    return f"{money.number(value, locale, min(digits, 6))} g"


def millilitres(value: float, locale: str) -> str:
    """A volume: whole mL below a litre, litres with two decimals above.

    >>> millilitres(477.9, "en_US"), millilitres(4268.0, "en_US")
    ('478 mL', '4.27 L')
    """
    if money.rounded(value, 0) < 1000:
        return f"{money.number(value, locale, 0)} mL"
    return f"{money.number(value / 1000, locale, 2)} L"


def volume(value: float, locale: str) -> str:
    """A volume in a pot: quarts where people cook by them, with litres beside.

    >>> volume(4268.0, "en_US"), volume(4268.0, "en_GB")
    ('4.5 qt (4.27 L)', '4.27 L')
    """
    metric = millilitres(value, locale)
    quart = unit("qt")
    if quart is None or territory(locale) not in FAHRENHEIT:
        return metric
    quarts = value / float(quart.factor)
    return f"{plain(quarts, locale, 1 if quarts >= 1 else 2)} qt ({metric})"


def plain(value: float, locale: str, digits: int = 2) -> str:
    """A number with at most so many decimals and no idle zeros.

    >>> plain(2.6700, "en_US"), plain(3.0, "en_US"), plain(0.004, "en_US")
    ('2.67', '3', '0.004')
    """
    if 0 < abs(value) < 0.5 * 10.0**-digits:
        digits = -math.floor(math.log10(abs(value)))
    exact = money.rounded(value, digits).normalize()
    exponent = exact.as_tuple().exponent
    return money.number(exact, locale, max(0, -exponent) if isinstance(exponent, int) else 0)


def quantity(value: float, locale: str) -> str:
    """How many cups or quarts, in the fractions that these are marked with, else with a point.

    >>> [quantity(x, "en_US") for x in (0.667, 1.34, 2.0, 2.998, 26.7, 3.55, 0.06)]
    ['2/3', '1 1/3', '2', '3', '26 2/3', '3.55', '0.06']
    """
    total = _marked(value)
    if total is None:
        return plain(value, locale)
    whole, part = divmod(total, 1)
    if not part:
        return money.number(int(whole), locale)
    return f"{money.number(int(whole), locale)} {part}" if whole else str(part)


def measure(amount: Amount, size: float, locale: str) -> str:
    """An amount in the cook's own measure at the size of a batch; empty where that is grams anyway.

    Args:
        amount: as the recipe has it.
        size: by what the recipe is multiplied.
        locale: how numbers are written.

    >>> from costing.units import amount as read
    >>> [measure(read(text), 2.67, "en_US") for text in ("2 qt", "24 each", "1 cup", "350 g", "12 leaves", "50 %")]
    ['5 1/3 qt', '64.1 each', '2 2/3 cups', '', '32 leaves', '50 % of it']
    >>> measure(read("2 gal"), 0.703, "en_US")  # 1.41 gal, which no jug is marked with
    '5 5/8 qt'
    >>> measure(read("1 1/3 cups"), 2.67, "en_US")  # 57 spoons are no measure either
    '3.56 cups'
    """
    figure, kind = amount.figure, amount.kind
    if kind is Kind.SHARE:
        return f"{amount.text} of it"
    if kind is Kind.OF_POT:
        return amount.text
    if kind is Kind.ALL:
        return "all of it"
    if kind is Kind.UP_TO:
        return f"up to {grams(figure.mid * size, locale)}"
    if kind is Kind.COUNT:
        found = _ends(figure, size, lambda value: plain(value, locale, 1))
        return f"{found} {_many(amount.unit, figure.high * size)}"
    return _measured(amount, size, locale)


def _measured(amount: Amount, size: float, locale: str) -> str:
    """A weight or a volume."""
    label, _, words = amount.unit.partition(", ")
    if amount.kind is Kind.WEIGHT:
        found = _UNIT.search(amount.text.replace(" to ", " "))
        label = found[0].strip() if found else ""
    known = unit(label)
    if known is None or known.name in _METRIC:
        return ""
    label, known = _handy(label, known, amount.figure.mid * size)
    factor = float(known.factor)

    def show(value: float) -> str:
        if known.name not in _LITRES:
            return quantity(value, locale)
        return plain(value, locale, 0 if known.name == "milliliter" and value >= 10 else 2)

    text = _ends(amount.figure, size / factor, show)
    if singular(label) == known.name.casefold():
        label = _many(known.name, amount.figure.high * size / factor)
    return f"{text} {label}" + (f", {words}" if words else "")


def _handy(label: str, known: Unit, base: float) -> tuple[str, Unit]:
    """The unit as written, or the next smaller one in which the amount is a fraction that cups are marked with."""
    names = [name for name, _, _ in _SMALLER]
    if known.name not in names or _marked(base / float(known.factor)) is not None:
        return label, known
    for name, short, most in _SMALLER[names.index(known.name) + 1 :]:
        smaller = unit(name)
        count = base / float(smaller.factor) if smaller is not None else math.inf
        if smaller is not None and count <= most and _marked(count) is not None:
            return short, smaller
    return label, known


def _marked(value: float) -> Fraction | None:
    """The fraction that stands for an amount, None where none is close."""
    whole = math.floor(value)
    best = min(FRACTIONS, key=lambda part: abs(value - whole - float(part)))
    return whole + best if value > 0 and abs(value - whole - float(best)) <= CLOSE * value else None


def _ends(figure: Figure, factor: float, show: Callable[[float], str]) -> str:
    low, high = show(figure.low * factor), show(figure.high * factor)
    return low if low == high else f"{low} to {high}"


def _many(thing: str, count: float) -> str:
    """A unit or a counted thing for so many of them.

    >>> _many("cup", 0.5), _many("cup", 1.5), _many("leaf", 3.0), _many("each", 3.0), _many("berry", 2.0)
    ('cup', 'cups', 'leaves', 'each', 'berries')
    """
    if count <= 1 + CLOSE or thing == "each":
        return thing
    head, _, last = thing.rpartition(" ")
    lead = f"{head} " if head else ""
    if last in _PLURALS:
        return lead + _PLURALS[last]
    if last.endswith("y") and last[-2:-1] not in tuple("aeiou"):
        return f"{lead}{last[:-1]}ies"
    return lead + last + ("es" if last.endswith(("s", "x", "z", "ch", "sh")) else "s")


def plural(count: int, thing: str, locale: str) -> str:
    """So many containers.

    >>> plural(9, "pint", "en_US"), plural(1, "half-gallon", "en_US"), plural(2, "box", "en_US")
    ('9 pints', '1 half-gallon', '2 boxes')
    """
    return f"{money.number(count, locale)} {_many(thing, count)}"


def temperature(figure: Figure, locale: str, toward: Literal["up", "down"]) -> str:
    """A temperature on both scales, the locale's first; what was converted is rounded to the strict side.

    Args:
        figure: degrees C.
        locale: of the shop.
        toward: ``up`` for what must be reached in heating, ``down`` for cooling.

    >>> from costing import units
    >>> temperature(units.temperature("175 F"), "en_US", "up"), temperature(units.temperature("0 F"), "en_US", "down")
    ('175 °F (80 °C)', '0 °F (−18 °C)')
    >>> temperature(units.temperature("80 C"), "de_DE", "up")
    '80 °C (176 °F)'
    """
    scales = [
        f"{_degrees(figure.low * 1.8 + 32, figure.high * 1.8 + 32, locale, toward)} °F",
        f"{_degrees(figure.low, figure.high, locale, toward)} °C",
    ]
    first, second = scales if territory(locale) in FAHRENHEIT else reversed(scales)
    return f"{first} ({second})"


def territory(locale: str) -> str:
    """Where a locale is at home; of one that names no place, nowhere.

    >>> territory("en_US"), territory("de")
    ('US', '')
    """
    return money.locale(locale).territory or ""


def _degrees(low: float, high: float, locale: str, toward: str) -> str:
    """Degrees as they are where somebody wrote them so, else the whole degree on the strict side."""

    def show(value: float) -> str:
        if abs(value * 10 - round(value * 10)) < 1e-6:
            text = plain(value, locale, 1)
        else:
            text = money.number(math.ceil(value) if toward == "up" else math.floor(value), locale)
        return text.replace("-", "\u2212")

    a, b = show(low), show(high)
    return a if a == b else f"{a} to {b}"
