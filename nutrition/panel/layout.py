"""Lays out the Nutrition Facts panel of a label as a list of texts, bars and boxes. 21 CFR 101.9(d), (e).

Which form is drawn follows from the columns of the label: the standard one of (d)(12) for one column, the one of (e)(6)
for a serving beside a container, which a food between 200 and 300 per cent of its reference amount needs,
(b)(12)(i), and so does every pint of ice cream. A further form is one more entry in ``FORMS``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.panel import columns, rules, vertical
from nutrition.panel.content import content
from nutrition.panel.drawing import POINTS_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Callable

    from nutrition.law.us.label import Label
    from nutrition.panel.content import Content
    from nutrition.panel.drawing import Drawing

# Widths are compared to this many pt, so that the least width of a panel may be asked for in inches again.
_SLACK = 1e-6


@dataclass(frozen=True, slots=True)
class Form:
    """A form of the panel.

    Args:
        key: its name, under which ``panel.csv`` has its usual width.
        least_width: the least outer width, pt, of a content, with the serving size in full type or not.
        draw: draws a content at an outer width, pt, with notes.
    """

    key: str
    least_width: Callable[[Content, bool], float]
    draw: Callable[[Content, float, tuple[str, ...]], Drawing]


FORMS = {
    ("serving",): Form("vertical", vertical.least_width, vertical.draw),
    ("container",): Form("vertical", vertical.least_width, vertical.draw),
    ("serving", "container"): Form("columns", columns.least_width, columns.draw),
}


def panel(label: Label, width_in: float | None = None) -> Drawing:
    """Lays out the panel of a label.

    Args:
        label: the label.
        width_in: outer width of the box, inches; the usual width of the form if not given. Where letters would
            touch in it, the box is made as wide as it must be, and the drawing says so in its notes.

    Returns:
        The drawing, its box as wide as the drawing itself. A label that is not ready for print gives a proof:
        PROOF runs through the box, what is not settled shows ``?``, and the reason stands below the box.

    Raises:
        ValueError: a text holds characters that the type cannot set, the label lacks a line that every panel
            needs, or the width is none, or more than the greatest in ``panel.csv``.
    """
    said = content(label)
    form = FORMS[said.columns]
    greatest = rules.width("greatest")
    notes: tuple[str, ...] = ()
    if width_in is None:
        width = max(rules.width(form.key) * POINTS_PER_INCH, form.least_width(said, True))
    else:
        if not math.isfinite(width_in) or not 0 < width_in <= greatest:
            raise ValueError(f"a panel is more than 0 and at most {greatest:g} inches wide, not {width_in}")
        width = width_in * POINTS_PER_INCH
        least = form.least_width(said, False)
        if width < least - _SLACK:
            notes = (
                f"The panel is {least / POINTS_PER_INCH:.2f} inches wide, not {width_in:g}: "
                "in less its letters would touch or fall below their legal size.",
            )
            width = least
    if width > greatest * POINTS_PER_INCH:
        raise ValueError(
            f"the panel would have to be {width / POINTS_PER_INCH:.1f} inches wide; "
            "shorten the longest name or the serving size"
        )
    return form.draw(said, width, notes)
