"""The room that a panel has, and what is said where it has too little or where the law wants another form."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.panel import rules

if TYPE_CHECKING:
    from nutrition.law.us.label_space import LabelSpace


class PanelError(ValueError):
    """A panel that cannot be drawn as it was asked for; the message is a sentence, ``mend`` says what to do."""

    def __init__(self, what: str, mend: str = "") -> None:
        super().__init__(what)
        self.mend = mend


class FormRefusedError(PanelError):
    """A form that the law does not allow here.

    Args:
        form: its name.
        reason: why, without a full stop.
        rule: the paragraph.
        allowed: names of forms that are allowed and fit.
    """

    def __init__(self, form: str, reason: str, rule: str, allowed: tuple[str, ...]) -> None:
        said = f"the form {form} is not allowed here: {reason} [{rule}]"
        super().__init__(said, f"allowed and large enough: {', '.join(allowed)}" if allowed else "")
        self.form = form
        self.reason = reason
        self.rule = rule
        self.allowed = allowed


class TooSmallError(PanelError):
    """A place that holds no form of the panel; ``short_in`` is by how many inches of width and of height."""

    def __init__(self, what: str, mend: str, short_in: tuple[float, float]) -> None:
        super().__init__(what, mend)
        self.short_in = short_in


@dataclass(frozen=True, slots=True)
class Room:
    """What a panel may take, None where nobody said.

    Args:
        width_in: width, inches.
        height_in: height, inches.
        area_sq_in: total area available to bear labeling, square inches: of the whole package.
        asked: the width was asked for, and the box is made as wide.
    """

    width_in: float | None = None
    height_in: float | None = None
    area_sq_in: float | None = None
    asked: bool = False

    @property
    def said(self) -> str:
        """The room in words.

        >>> Room(6.7, 3.2).said, Room(None, 3.0).said, Room().said
        ('6.70 x 3.20 in', '3.00 in of height', '8 in of width, the most that a panel has')
        """
        if self.width_in is not None and self.height_in is not None:
            return f"{self.width_in:.2f} x {self.height_in:.2f} in"
        if self.width_in is not None:
            return f"{self.width_in:.2f} in of width"
        if self.height_in is not None:
            return f"{self.height_in:.2f} in of height"
        return f"{rules.width('greatest'):g} in of width, the most that a panel has"


def room(
    width_in: float | None = None,
    height_in: float | None = None,
    space: LabelSpace | None = None,
    area_sq_in: float | None = None,
) -> Room:
    """The room, from what was asked for and from the container's label.

    Args:
        width_in: width asked for, inches; else the space's.
        height_in: height asked for, inches; else the space's.
        space: the container's label.
        area_sq_in: total area available to bear labeling, square inches; else the space's.

    Raises:
        PanelError: a length or an area that is none, or one that no panel has.
    """
    widest, highest = rules.width("greatest"), rules.height("greatest")
    _check("width", width_in, widest)
    _check("height", height_in, highest)
    if area_sq_in is not None and not (math.isfinite(area_sq_in) and area_sq_in > 0):
        raise PanelError(f"the area of a package is more than 0 square inches, not {area_sq_in}")
    if space is not None:
        area_sq_in = space.available_sq_in if area_sq_in is None else area_sq_in
    asked = width_in is not None
    if space is not None and width_in is None:
        width_in = min(space.width_in, widest)
    if space is not None and height_in is None:
        height_in = min(space.height_in, highest)
    return Room(width_in, height_in, area_sq_in, asked)


def _check(what: str, length_in: float | None, greatest: float) -> None:
    if length_in is not None and not (math.isfinite(length_in) and 0 < length_in <= greatest):
        long = "wide" if what == "width" else "high"
        raise PanelError(
            f"a panel is more than 0 and at most {greatest:g} inches {long}, not {length_in:g}",
            f"give another --{what}",
        )
