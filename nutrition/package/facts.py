"""The forms of Nutrition Facts that may stand on a package, in every size that leaves room for the rest of the label.

Which forms the law allows is settled in :mod:`nutrition.panel.choice`; how much of the information panel each may take
is tried out here, since the text needs its place too.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from nutrition.package.measures import measure
from nutrition.panel import layout, rules
from nutrition.panel.choice import Chooser
from nutrition.panel.content import content
from nutrition.panel.room import PanelError, room

if TYPE_CHECKING:
    from nutrition.law.us.label import Label
    from nutrition.law.us.label_space import LabelSpace
    from nutrition.panel.drawing import Drawing

LEFT_FOR_TEXT_IN = (0.0, 1.4, 1.8, 2.2, 2.8, 3.4)
"""Widths beside the panel, inches, that are tried for the text."""
SMALLER = (0.8, 0.65, 0.5)
"""Shares of a small package's information panel that are left to Nutrition Facts."""


def forms(label: Label, space: LabelSpace | None, form: str = "") -> tuple[Drawing, ...]:
    """Nutrition Facts in every form that the law allows on a package, the best first.

    Args:
        label: the label.
        space: the room on the package, None where nobody knows it.
        form: the one form that is wanted, any if empty.

    Returns:
        The drawings, some of one form in several widths; none where none fits and none is needed.

    Raises:
        PanelError: no form that is allowed fits.
        ValueError: the panel cannot be set.
    """
    if space is None:
        return (layout.panel(label, form=form),)
    chooser = Chooser(content(label), room(space=space))
    names = (form,) if form else chooser.allowed()
    if not names:
        if space.available_sq_in < measure("no_panel_below"):
            return ()
        chooser.choose()  # says what is lacking
    found: dict[tuple[str, float, float], Drawing] = {}
    for name in names:
        for drawing in (chooser.choose(name), *_narrower(label, space, name)):
            found.setdefault((name, round(drawing.width), round(drawing.height)), drawing)
    return tuple(found.values())


def rooms(space: LabelSpace) -> tuple[LabelSpace, ...]:
    """The places for Nutrition Facts that are tried in turn, each smaller than the one before.

    On a package of at most 40 square inches the smaller forms are allowed where the label does not accommodate the
    larger ones (101.9(j)(13)(ii)); what else must be said has its place on it too, so less than all of it is there.

    Args:
        space: the room on the package.
    """
    if space.available_sq_in > rules.area("small_package")[0]:
        return (space,)
    return (space, *(replace(space, width_in=share * space.width_in) for share in SMALLER))


def rank(form: str) -> int:
    """How far down a form stands among those of small packages; none at all comes last.

    >>> [rank(form) for form in ("tabular", "dual", "small-tabular", "linear", "")]
    [0, 0, 1, 2, 3]
    """
    last = {"small": 1, "last": 2}
    return next((last.get(rule.when, 0) for rule in rules.forms() if rule.key == form), 3)


def standard(form: str) -> bool:
    """Whether a form may stand on a package of any size."""
    return rank(form) == 0


def _narrower(label: Label, space: LabelSpace, name: str) -> list[Drawing]:
    found = []
    for left in LEFT_FOR_TEXT_IN:
        width = space.width_in - left
        if width <= 0:
            continue
        try:
            found.append(layout.panel(label, width, form=name, space=space))
        except PanelError:
            continue
    return found
