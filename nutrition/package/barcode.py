"""Draws a GTIN-12 as UPC-A and a GTIN-13 as EAN-13, every bar an exact number of modules wide.

GS1 General Specifications, section 5.2; measures and number sets lie in ``data/gs1``. An EAN-13 has 95 modules: a guard
101, six digits of seven modules in the number sets that the leading digit chooses, a middle guard 01010, six digits in
set C, and a guard again. A UPC-A is the EAN-13 whose leading digit is 0.

>>> modules("036000291452")[:10]
'1010001101'
>>> from nutrition.package.gtin import read
>>> symbol(read("036000291452"), 0.8).bars_mm
25.08
"""

from __future__ import annotations

import functools
import itertools
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from nutrition import resources
from nutrition.package import letters
from nutrition.panel.drawing import POINTS_PER_INCH, Bar, Text
from nutrition.panel.faces import face

if TYPE_CHECKING:
    from collections.abc import Mapping

    from nutrition.package.gtin import Gtin
    from nutrition.panel.drawing import Item

MODULES: Final = 95
MM: Final = POINTS_PER_INCH / 25.4
STEPS: Final = (1.0, 0.95, 0.9, 0.85, 0.8)
"""Magnifications that are tried where room is short, the largest first."""
GUARD: Final = "101"
MIDDLE: Final = "01010"


@dataclass(frozen=True, slots=True)
class Symbol:
    """A drawn bar code.

    Args:
        number: what it says.
        magnification: 0.8 to 2, of the size at 100 %.
        width: of the whole with its light margins, pt.
        height: of bars and digits, pt.
        items: from its upper left corner.
        module: width of a module, pt.
        ladder: it lies on its side, its bars like the rungs of a ladder.
    """

    number: Gtin
    magnification: float
    width: float
    height: float
    items: tuple[Item, ...]
    module: float
    ladder: bool = False

    @property
    def bars_mm(self) -> float:
        """From the first bar to the last, mm."""
        return round(MODULES * self.module / MM, 6)


@functools.cache
def measures() -> Mapping[str, float]:
    """The measures of a symbol by key, each in its unit of ``data/gs1/symbol_measures.csv``."""
    return {row["key"]: float(row["value"]) for row in resources.table("gs1", "symbol_measures.csv")}


@functools.cache
def _sets() -> Mapping[str, Mapping[str, str]]:
    return {row["digit"]: row for row in resources.table("gs1", "symbol_sets.csv")}


def modules(digits: str) -> str:
    """The 95 modules of a symbol, 1 for dark.

    Args:
        digits: 12 or 13, the check digit right.

    Raises:
        ValueError: another number of digits.
    """
    if len(digits) not in (12, 13):
        raise ValueError(f"a UPC-A has 12 digits and an EAN-13 has 13, not {len(digits)}")
    first, left, right = digits.zfill(13)[0], digits.zfill(13)[1:7], digits.zfill(13)[7:]
    sets = _sets()
    halves = zip(left, sets[first]["parity"].lower(), strict=True)
    return (
        GUARD
        + "".join(sets[digit][used] for digit, used in halves)
        + MIDDLE
        + "".join(sets[digit]["c"] for digit in right)
        + GUARD
    )


def largest(diameter_in: float = 0.0) -> float:
    """The largest size up to 100 % whose outer bars a checkout still sees on a round tub.

    From the middle of the symbol to its outer bars the surface may turn away by less than 30 degrees (GS1 General
    Specifications, section 6.2.3.2).

    Args:
        diameter_in: of the tub, inches; 0: a flat surface.

    Returns:
        A magnification, 0.8 to 1 in steps of 0.05; 0 where even 80 % turns away too far.

    >>> largest(11.4 / math.pi), largest(2.2), largest(1.5)
    (1.0, 0.9, 0)
    """
    if not diameter_in:
        return STEPS[0]
    half = MODULES * measures()["module"] / 25.4 / 2
    steepest = math.radians(measures()["steepest"])
    return next((step for step in STEPS if step * half / (diameter_in / 2) < steepest), 0)


def laid_down(upright: Symbol) -> Symbol:
    """The symbol on its side: for a tub so narrow that upright bars would bend away, or for a narrow place.

    Args:
        upright: the symbol as :func:`symbol` draws it.
    """
    items: list[Item] = []
    for item in upright.items:
        if isinstance(item, Bar):
            items.append(Bar(item.y, upright.width - item.x - item.width, item.height, item.width))
        elif isinstance(item, Text):
            items.append(replace(item, x=item.y, y=upright.width - item.x, turn=90.0))
    return replace(upright, width=upright.height, height=upright.width, items=tuple(items), ladder=True)


def symbol(number: Gtin, magnification: float = 1.0) -> Symbol:
    """The symbol of a number.

    Args:
        number: a GTIN-12 or GTIN-13.
        magnification: of the size at 100 %, 0.8 to 2.

    Returns:
        The symbol with its light margins and its digits.

    Raises:
        ValueError: a number that neither symbol carries, or a size outside these bounds.
        FileNotFoundError: the font package is not installed.
    """
    known = measures()
    if not number.symbol:
        raise ValueError(f"no UPC-A or EAN-13 carries a {number.kind}")
    if not known["least"] <= round(100 * magnification, 6) <= known["greatest"]:
        raise ValueError(f"a symbol is printed at 80 to 200 %, not at {100 * magnification:g} %")
    key = number.symbol.replace("-", "").lower()
    x = known["module"] * MM * magnification
    left = known[f"quiet_left_{key}"] * x
    tall = known["bar_height"] * MM * magnification
    size = known["digit_height"] * MM * magnification / letters.cap_height("regular")
    baseline = tall + known["digit_gap"] * x + letters.cap_height("regular") * size
    digits = number.shortest
    pattern = modules(digits)
    guards = _guards(pattern, key)
    bars: list[Item] = []
    at = 0
    for dark, run in itertools.groupby(pattern):
        wide = len(list(run))
        if dark == "1":
            deep = tall + (known["guard_drop"] * x if at in guards else 0.0)
            bars.append(Bar(left + at * x, 0.0, wide * x, deep))
        at += wide
    texts = _digits(digits, key, left, x, size, baseline)
    width = left + MODULES * x + known[f"quiet_right_{key}"] * x
    height = max(baseline, tall + known["guard_drop"] * x)
    return Symbol(number, magnification, width, height, (*bars, *texts), x)


def _guards(pattern: str, key: str) -> frozenset[int]:
    """Modules whose bars reach further down: guards, and of a UPC-A the first and last digit too."""
    outer = 10 if key == "upca" else 3
    dropped = (*range(outer), *range(45, 50), *range(MODULES - outer, MODULES))
    return frozenset(i for i in dropped if pattern[i] == "1")


def _digits(digits: str, key: str, left: float, x: float, size: float, baseline: float) -> list[Item]:
    wide = face("regular").width("0", 1.0)

    def put(digit: str, middle: float, points: float) -> Text:
        return Text(left + middle * x, baseline, digit, "regular", points, wide * points, "middle")

    if key == "upca":
        small = min(size, measures()["small_digit_width"] * x / wide)
        gap = measures()["small_digit_gap"] + wide * small / x / 2
        # The digits of a half stand evenly between the bars that reach down.
        halves = [(digits[1:6], 10.0, 45.0), (digits[6:11], 50.0, 85.0)]
        ends = [put(digits[0], -gap, small), put(digits[11], MODULES + gap, small)]
    else:
        ends = [put(digits[0], -measures()["quiet_left_ean13"] + wide * size / x / 2, size)]
        halves = [(digits[1:7], 3.0, 45.0), (digits[7:], 50.0, 92.0)]
    found: list[Item] = [ends[0]]
    for half, begin, end in halves:
        step = (end - begin) / len(half)
        found.extend(put(digit, begin + (i + 0.5) * step, size) for i, digit in enumerate(half))
    return [*found, *ends[1:]]
