"""Net quantity of contents by fluid measure, 21 CFR 101.7, and the height of its letters.

>>> declare(473.176473)
'1 PINT (473 mL)'
>>> declare(14 * 29.5735295625)
'14 FL OZ (414 mL)'
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from nutrition.law.us.tables import NANO, nano, plain, rows


@dataclass(frozen=True, slots=True)
class TypeHeight:
    """Least height of letters: inches, in words, and the paragraph."""

    inches: float
    text: str
    rule: str


def declare(declared_ml: float, text: str = "") -> str:
    """The net quantity in both systems, largest whole unit first.

    What is left below a fluid ounce is given to one decimal and, like the metric figure, never rounded up.

    Args:
        declared_ml: the quantity declared, mL.
        text: how the shop writes it, for the error only.

    Raises:
        ValueError: it is not above a tenth of a fluid ounce.

    >>> declare(591.4705912500), declare(946.352946), declare(500.0)
    ('1 PINT 4 FL OZ (591 mL)', '1 QUART (946 mL)', '1 PINT 0.9 FL OZ (500 mL)')
    >>> declare(2 * 946.352946), declare(3785.411784)
    ('2 QUARTS (1.89 L)', '1 GALLON (3.78 L)')
    """
    if not math.isfinite(declared_ml) or declared_ml <= 0:
        raise ValueError(f"{text or declared_ml} is no net quantity")
    left = nano(declared_ml)
    words = []
    *large, ounce = rows("volume_units.csv")
    for row in large:
        count, left = divmod(left + _SLACK, nano(float(row["ml"])))
        left = max(0, left - _SLACK)
        if count:
            words.append(f"{count} {row['plural' if count > 1 else 'singular']}")
    tenths = (left + _SLACK) * 10 // nano(float(ounce["ml"]))
    if tenths:
        words.append(f"{plain(tenths * NANO // 10)} {ounce['singular']}")
    if not words:
        raise ValueError(f"{text or declared_ml} is too little to declare")
    return f"{' '.join(words)} ({metric(declared_ml)})"


_SLACK = NANO // 1000
"""A thousandth of a millilitre, in thousand-millionths: no declared size is missed by the noise of a conversion."""


def metric(declared_ml: float) -> str:
    """The metric figure with three digits, never rounded up.

    >>> metric(473.176473), metric(1892.705892), metric(29.57)
    ('473 mL', '1.89 L', '29.5 mL')
    """
    whole = nano(declared_ml) + _SLACK
    unit, size = ("L", 1000 * NANO) if whole >= 1000 * NANO else ("mL", NANO)
    digits = 3 - len(str(whole // size))
    step = size // 10**digits if digits >= 0 else size * 10**-digits
    return f"{plain(whole // step * step * NANO // size)} {unit}"


def main_panel_area(shape: str, height_in: float, across_in: float) -> float:
    """Area of the main panel, square inches, 21 CFR 101.1.

    Args:
        shape: ``rectangle`` (height times width), ``cylinder`` (40 % of height times circumference, without rims) or
            ``top`` (an obvious round top, its whole area; ``across_in`` is its diameter, the height does not count).
        height_in: inches.
        across_in: width, circumference or diameter, inches.

    Raises:
        ValueError: another shape, or a measure that is not above zero.

    >>> round(main_panel_area("cylinder", 3.5, 11.0), 2)
    15.4
    """
    if across_in <= 0 or (height_in <= 0 and shape != "top"):
        raise ValueError("a panel has a height and a width above zero")
    share = main_panel_share(shape)
    return share * (math.pi * across_in**2 / 4 if shape == "top" else height_in * across_in)


def main_panel_share(shape: str) -> float:
    """What of a shape is its main panel, as a share from 0 to 1, 21 CFR 101.1.

    Raises:
        ValueError: another shape.

    >>> main_panel_share("cylinder")
    0.4
    """
    for row in rows("main_panel.csv"):
        if row["shape"] == shape:
            return float(row["share"])
    raise ValueError(f"{shape!r} is no shape; there are rectangle, cylinder and top")


def type_height(area_sq_in: float) -> TypeHeight:
    """Least height of the letters of the net quantity by the area of the main panel.

    >>> type_height(15.4).text, type_height(25.0).text, type_height(25.1).text
    ('1/8 in', '1/8 in', '3/16 in')
    """
    area = nano(area_sq_in)
    for row in rows("net_quantity_type.csv"):
        if not row["up_to_sq_in"] or area <= nano(float(row["up_to_sq_in"])):
            return TypeHeight(float(row["height_in"]), row["height_text"], row["reference"])
    raise AssertionError("the last row has no limit")
