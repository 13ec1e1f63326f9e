"""How much room a container has for its label, 21 CFR 101.1, 101.2(b), 101.9(j)(13), (j)(17) (from memory).

Two areas decide what a label must look like. The *main panel* (principal display panel, 101.1) is the part most likely
to be seen when the food is offered for sale; the height of the letters of the net quantity goes by its area:

- a rectangle: height times width of the side,
- a cylinder or nearly one: 40 % of height times circumference,
- another shape: 40 % of its surface, but an obvious top (the lid of a round tub): its whole area.

Rims, flanges, bottoms, shoulders and necks do not count. The *area available to bear labeling* is everything on which
a label could stand, whether or not it does; below 12 and up to 40 square inches the law lets the panel shrink.

The information panel lies to the right of the main panel (101.2(a)). What must be said may stand on either (101.2(b)),
so print of the information panel may reach over to where the main panel's own print leaves room; the area of the main
panel stays what it is.

>>> pint = wrap(11.4, 3.3, lid_in=3.8)
>>> round(pint.main_panel_sq_in, 2), round(pint.available_sq_in, 2)
(15.05, 48.96)
>>> round(pint.width_in, 2), round(pint.height_in, 2)
(7.63, 3.17)
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from nutrition.law.us.net_quantity import main_panel_area, main_panel_share

Shape = Literal["cylinder", "rectangle", "top"]

MAIN_SHARE = main_panel_share("cylinder")
"""What of a cylinder's circumference counts as its main panel, 101.1(b)."""

CUBIC_INCH_ML = 16.387064
"""Millilitres in a cubic inch, NIST Handbook 44, appendix C."""

LEAST_MAIN_SHARE = 0.32
"""What of a label's width is always left to the print of the main panel (common practice)."""

MARGIN_IN = 0.0625
"""Between the trimmed edge and anything printed, inches: what a cutting knife may be off (common practice)."""


@dataclass(frozen=True, slots=True)
class LabelSpace:
    """The room that one container has for its label. Lengths in inches, areas in square inches.

    Args:
        shape: ``cylinder`` (a wrap around a tub), ``rectangle`` (a flat label) or ``top`` (a round lid and no more).
        label_width_in: width of the printed wrap or rectangle, trimmed; of a top its diameter.
        label_height_in: its height; of a top its diameter.
        lid_in: diameter of a round lid that bears printing too, 0 where there is none.
        width_in: greatest width of the place for the information panel, margins taken off.
        height_in: its height.
        available_sq_in: total area available to bear labeling.
        main_panel_sq_in: area of the main panel, 101.1.
        rule: the paragraph that the area of the main panel goes by.
    """

    shape: Shape
    label_width_in: float
    label_height_in: float
    lid_in: float
    width_in: float
    height_in: float
    available_sq_in: float
    main_panel_sq_in: float
    rule: str

    @property
    def lid_sq_in(self) -> float:
        """Area of the lid."""
        return math.pi * self.lid_in**2 / 4

    @property
    def main_width_in(self) -> float:
        """Width of the main panel as it stands on the label: 40 % of a wrap, the whole of a flat label or a top."""
        return self.label_width_in * (MAIN_SHARE if self.shape == "cylinder" else 1.0)

    def beside(self, main_share: float) -> LabelSpace:
        """The same with the place for the information panel that the print of the main panel leaves.

        Args:
            main_share: what of the label's width the print of the main panel takes, 0 to 1.

        >>> round(wrap(11.4, 3.3).beside(0.4).width_in, 2)
        6.71
        """
        return replace(self, width_in=_inside((1.0 - main_share) * self.label_width_in))

    def with_available(self, sq_in: float) -> LabelSpace:
        """The same where so much of the package could bear labeling, printed or not; never less than what is printed.

        Args:
            sq_in: square inches.

        Raises:
            ValueError: it is not above zero.

        >>> rectangle(4.0, 2.5).with_available(least_surface(473.176)).available_sq_in > 40
        True
        """
        if not (math.isfinite(sq_in) and sq_in > 0):
            raise ValueError("what could bear labeling has an area above zero")
        return replace(self, available_sq_in=max(self.available_sq_in, sq_in))

    def with_main_panel(self, sq_in: float) -> LabelSpace:
        """The same with an area of the main panel that somebody measured.

        A flat label is smaller than the side of the box that it is stuck on, and the side counts.

        Args:
            sq_in: area of the main panel, square inches; the area available is at least that.

        Raises:
            ValueError: it is not above zero.

        >>> rectangle(4.0, 2.5).with_main_panel(12.0).available_sq_in
        12.0
        """
        if not (math.isfinite(sq_in) and sq_in > 0):
            raise ValueError("a main panel has an area above zero")
        return replace(
            self,
            main_panel_sq_in=sq_in,
            available_sq_in=max(self.available_sq_in, sq_in),
            rule="21 CFR 101.1, as measured",
        )


def least_surface(ml: float) -> float:
    """The least surface, bottom left out, of a round tub that holds so much, square inches.

    Of all cylinders of one volume, the one as high as its radius has the least side and top together: three times the
    area of that circle (by differentiation). What could bear labeling counts whether or not it does, so a pint tub has
    more than 40 square inches however small its label is.

    Args:
        ml: what it holds, mL.

    Raises:
        ValueError: it is not above zero.

    >>> round(least_surface(473.176473), 1), round(least_surface(118.294), 1)
    (41.4, 16.4)
    """
    if not (math.isfinite(ml) and ml > 0):
        raise ValueError("a container holds more than nothing")
    radius = math.cbrt(ml / CUBIC_INCH_ML / math.pi)
    return 3 * math.pi * radius**2


def wrap(width_in: float, height_in: float, lid_in: float = 0.0) -> LabelSpace:
    """The room on a round tub with a wrap around it and, if it is printed too, a lid.

    Args:
        width_in: around the tub (at the middle of its height, where it tapers), inches.
        height_in: height of the wrap without rims, inches.
        lid_in: diameter of the lid's top, inches; 0: none.

    Raises:
        ValueError: a measure that is not above zero.

    >>> wrap(8.3, 1.5, 2.9).available_sq_in < 40
    True
    """
    return _upright("cylinder", width_in, height_in, lid_in, "21 CFR 101.1(b)")


def rectangle(width_in: float, height_in: float, lid_in: float = 0.0) -> LabelSpace:
    """The room on one flat label, which bears main panel and information panel alike.

    Args:
        width_in: inches.
        height_in: inches.
        lid_in: diameter of a round lid that is printed too, inches; 0: none.

    Raises:
        ValueError: a measure that is not above zero.

    >>> rectangle(4.0, 2.5).main_panel_sq_in
    10.0
    """
    return _upright("rectangle", width_in, height_in, lid_in, "21 CFR 101.1(a)")


def _upright(shape: Shape, width_in: float, height_in: float, lid_in: float, rule: str) -> LabelSpace:
    _positive(width_in, height_in)
    lid = main_panel_area("top", 0.0, lid_in) if lid_in else 0.0
    return LabelSpace(
        shape=shape,
        label_width_in=width_in,
        label_height_in=height_in,
        lid_in=lid_in,
        width_in=_inside((1.0 - LEAST_MAIN_SHARE) * width_in),
        height_in=_inside(height_in),
        available_sq_in=width_in * height_in + lid,
        main_panel_sq_in=main_panel_area(shape, height_in, width_in),
        rule=rule,
    )


def top(diameter_in: float) -> LabelSpace:
    """The room on a round lid where nothing else of the container is printed.

    Args:
        diameter_in: inches.

    Raises:
        ValueError: it is not above zero.

    >>> round(top(3.5).main_panel_sq_in, 2)
    9.62
    """
    _positive(diameter_in, diameter_in)
    area = main_panel_area("top", 0.0, diameter_in)
    side = _inside(diameter_in) / math.sqrt(2.0)
    return LabelSpace(
        shape="top",
        label_width_in=diameter_in,
        label_height_in=diameter_in,
        lid_in=diameter_in,
        width_in=side,
        height_in=side,
        available_sq_in=area,
        main_panel_sq_in=area,
        rule="21 CFR 101.1(c)",
    )


def _inside(length_in: float) -> float:
    return max(0.0, length_in - 2 * MARGIN_IN)


def _positive(*lengths_in: float) -> None:
    if not all(math.isfinite(one) and one > 0 for one in lengths_in):
        raise ValueError("a label has a width and a height above zero")
