"""Lays out the Nutrition Facts panel of a label as a list of texts, bars and boxes. 21 CFR 101.9(d), (e), (j)(13).

The form follows from the columns of the label and from the room: see :mod:`nutrition.panel.choice`. A pint of ice
cream holds between 200 and 300 per cent of its reference amount and so has a column for a serving and one for the
container, (b)(12)(i), upright where there is height for it and else lying.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutrition.panel.choice import Chooser
from nutrition.panel.content import content
from nutrition.panel.room import room

if TYPE_CHECKING:
    from nutrition.law.us.label import Label
    from nutrition.law.us.label_space import LabelSpace
    from nutrition.panel.drawing import Drawing


def panel(
    label: Label,
    width_in: float | None = None,
    height_in: float | None = None,
    *,
    form: str = "",
    space: LabelSpace | None = None,
    area_sq_in: float | None = None,
) -> Drawing:
    """Lays out the panel of a label.

    Args:
        label: the label.
        width_in: outer width of the box, inches, above 0 and at most 8; the box is made that wide where its form may
            be. If not given, the usual width of the form, within the space.
        height_in: the height that there is for the box, inches; any if not given.
        form: a name of ``data/law/us/panel_forms.csv``, such as ``dual`` or ``linear``; chosen by the room if empty.
        space: the container's label, which gives width, height and area where they are not given here.
        area_sq_in: total area of the package available to bear labeling, square inches.

    Returns:
        The drawing, its box as wide as the drawing itself, with the name of its form and the paragraph. A label that is
        not ready for print gives a proof: PROOF runs through the box, what is not settled shows ``?``, and the reason
        stands below the box.

    Raises:
        FormRefusedError: a form asked for by name that the law does not allow here; says why and what it allows.
        TooSmallError: nothing that the law allows fits; says what is lacking.
        PanelError: no such form, or a length or an area that cannot be. All three are ValueErrors.
        ValueError: a text holds characters that the type cannot set, or the label lacks a line that every panel needs.
    """
    place = room(width_in, height_in, space, area_sq_in)
    return Chooser(content(label), place).choose(form)
