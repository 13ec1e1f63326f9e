"""Which form of the panel the law allows in the room there is, and which one is drawn.

21 CFR 101.9(b)(12)(i), (d)(11), (d)(12), (e)(6), (j)(13). Forms are tried in the order of ``panel_forms.csv``, each
with room to spare and then, where that does not fit, with everything that is freely chosen made small. Type is never
set below its legal size: what fits nowhere is refused, with what is lacking.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Protocol

from nutrition.panel import rules
from nutrition.panel.drawing import POINTS_PER_INCH, Drawing
from nutrition.panel.linear import Linear
from nutrition.panel.room import FormRefusedError, PanelError, Room, TooSmallError
from nutrition.panel.rules import FormRule, Look
from nutrition.panel.tabular import Tabular
from nutrition.panel.vertical import Vertical

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from nutrition.panel.content import Content

# Lengths are compared to this many pt, so that the least width of a panel may be asked for in inches again.
_SLACK = 1e-6

# At widths between those that suit it an upright form may be lower by a line of its footnote or two, pt.
_WORTH_TRYING = 24.0


class Form(Protocol):
    """How a form is drawn."""

    def widths(self, content: Content, look: Look) -> tuple[float, ...]:
        """Outer widths that suit it, pt, the best first."""

    def draw(self, content: Content, width: float, look: Look, notes: tuple[str, ...]) -> Drawing:
        """Draws it at an outer width, pt."""


FORMS: Mapping[str, Form] = {
    "vertical": Vertical(),
    "side-by-side": Vertical(beside=True),
    "tabular": Tabular(((2, True), (2, False))),
    "dual": Vertical(),
    "dual-side-by-side": Vertical(beside=True),
    "dual-tabular": Tabular(((2, True), (2, False), (1, False), (1, True))),
    "small-dual-tabular": Tabular(((2, False), (1, False))),
    "small-tabular": Tabular(((2, False),)),
    "linear": Linear(),
}


@dataclass(slots=True)
class Chooser:
    """Chooses for one content and one room; what was drawn to find out is kept.

    Args:
        content: what the panel says.
        room: what it may take.
    """

    content: Content
    room: Room
    _drawn: dict[str, Drawing | None] = field(default_factory=dict)
    _high: dict[str, tuple[float, ...]] = field(default_factory=dict)

    def choose(self, name: str = "") -> Drawing:
        """The panel in the form asked for, or in the first that is allowed and fits.

        Raises:
            PanelError: no such form, a form that the law does not allow here, or too little room.
        """
        if not name:
            for rule in rules.forms():
                if self._refusal(rule) is None and (found := self._fit(rule)) is not None:
                    return found
            raise self._too_small([rule for rule in rules.forms() if self._refusal(rule) is None])
        rule = self._rule(name)
        refused = self._refusal(rule)
        if refused is not None:
            raise FormRefusedError(name, *refused, self.allowed())
        found = self._fit(rule)
        if found is None:
            raise self._too_small([rule], named=True)
        return found

    def allowed(self) -> tuple[str, ...]:
        """Names of the forms that are allowed and fit."""
        return tuple(r.key for r in rules.forms() if self._refusal(r) is None and self._fit(r) is not None)

    def _rule(self, name: str) -> FormRule:
        for rule in rules.forms():
            if rule.key == name:
                return rule
        known = ", ".join(rule.key for rule in rules.forms())
        raise PanelError(f"there is no form of the panel called {name!r}", f"choose one of {known}")

    def _refusal(self, rule: FormRule) -> tuple[str, str] | None:
        """Why the law does not allow a form here, and the paragraph."""
        two = len(self.content.columns)
        if rule.columns > two:
            return "the label has amounts for one column only", "21 CFR 101.9(b)(12)(i)"
        small = rule.when in {"small", "last"}
        if rule.columns < two and not small:
            return (
                "a container of 200 to 300 % of the reference amount needs a column for a serving and one for the "
                "whole container",
                "21 CFR 101.9(b)(12)(i)",
            )
        if rule.when in {"beside", "low"}:
            return self._refusal_for_height(rule)
        return self._refusal_for_area(rule) if small else None

    def _refusal_for_height(self, rule: FormRule) -> tuple[str, str] | None:
        if self.room.height_in is None:
            return "it is for where there is not enough height, and nothing says how much there is", rule.rule
        # Down to potassium an upright form needs what it needs with the rest beside it.
        before, what = ("beside", "down to potassium") if rule.when == "low" else ("standard", "as a whole")
        upright = next(r for r in rules.forms() if r.when == before and r.columns == rule.columns)
        needed = min(self._heights(upright)) / POINTS_PER_INCH
        if needed <= self.room.height_in + _SLACK:
            high = f"there are {self.room.height_in:.2f} in of height"
            return f"{high}, and {what} the upright form needs {needed:.2f} in", rule.rule
        return None

    def _refusal_for_area(self, rule: FormRule) -> tuple[str, str] | None:
        most, paragraph = rules.area("small_package")
        least, _ = rules.area("tiny_package")
        area = self.room.area_sq_in
        if area is None:
            return f"it is for packages of at most {most:g} sq in, and nothing says how large this one is", paragraph
        if area > most:
            return f"the package has {area:.1f} sq in to bear a label, and this form ends at {most:g} sq in", paragraph
        if area >= least:
            if self.room.width_in is None or self.room.height_in is None:
                return "it is for where no standard form fits, and nothing says how much room there is", rule.rule
            fitting = [r.key for r in rules.forms() if r.when not in {"small", "last"} and self._possible(r)]
            if fitting:
                return f"the form {fitting[0]} fits", rule.rule
        if rule.when == "last":
            table = next(r for r in rules.forms() if r.key == "small-tabular")
            if self._fit(table) is not None:
                return "running text is only for where a small table does not fit, and it does", rule.rule
        return None

    def _possible(self, rule: FormRule) -> bool:
        return self._refusal(rule) is None and self._fit(rule) is not None

    def _fit(self, rule: FormRule) -> Drawing | None:
        """The form as it fits best, None where it does not."""
        if rule.key not in self._drawn:
            self._drawn[rule.key] = self._try(rule)
        return self._drawn[rule.key]

    def _try(self, rule: FormRule) -> Drawing | None:
        form = FORMS[rule.key]
        high = None if self.room.height_in is None else self.room.height_in * POINTS_PER_INCH + _SLACK
        if high is not None and min(self._heights(rule)) > high + _WORTH_TRYING:
            return None
        looks = [(content, look, form.widths(content, look)) for content, look in self._looks(rule)]
        for content, look, width in self._ways(looks):
            drawn = form.draw(content, width, look, self._notes(rule))
            if high is None or drawn.box[1] <= high:
                return replace(drawn, form=rule.key, rule=rule.rule)
        return None

    def _ways(self, looks: list[tuple[Content, Look, tuple[float, ...]]]) -> Iterator[tuple[Content, Look, float]]:
        """What to try in turn: the width asked for; the best arrangement, roomy and tight, and so on; all the room."""
        room = (self.room.width_in or rules.width("greatest")) * POINTS_PER_INCH
        fitting = [one for one in looks if min(one[2]) <= room + _SLACK]
        if self.room.asked:
            yield from ((content, look, room) for content, look, _ in fitting)
            if self.room.height_in is None:
                return
        for turn in range(max((len(widths) for *_, widths in fitting), default=0)):
            for content, look, widths in fitting:
                if turn < len(widths) and widths[turn] <= room + _SLACK:
                    yield content, look, widths[turn]
        if self.room.width_in is not None and not self.room.asked:
            yield from ((content, look, room) for content, look, _ in fitting)

    def _looks(self, rule: FormRule) -> Iterator[tuple[Content, Look]]:
        """The content as the form prints it, with its measures: first with room to spare, then tight."""
        area = self.room.area_sq_in
        tiny = rule.sizes == "small" and area is not None and area < rules.area("tiny_package")[0]
        content = self.content
        if rule.columns < len(content.columns):
            content = content.only("serving")
        if rule.sizes == "small":
            content = content.abbreviated("small")
        for tight in (False, True):
            if tight and rule.columns == 2 and rule.sizes != "small":
                content = content.abbreviated("dual")
            yield content, Look(rule.sizes, tight)
            if tight and tiny:
                yield content, Look("tiny", tight)

    def _heights(self, rule: FormRule) -> tuple[float, ...]:
        """Heights of a form's box in its tight look, pt, at the widths that suit it."""
        if rule.key not in self._high:
            *_, (content, look) = self._looks(rule)
            form = FORMS[rule.key]
            drawn = [form.draw(content, width, look, ()) for width in form.widths(content, look)]
            self._high[rule.key] = tuple(one.box[1] for one in drawn)
        return self._high[rule.key]

    def _notes(self, rule: FormRule) -> tuple[str, ...]:
        notes = []
        low, _ = rules.area("low_panel")
        height = self.room.height_in
        if rule.when == "low" and height is not None and height >= low:
            notes.append(
                f"The paragraph speaks of about {low:g} in of height, and there are {height:.2f} in; at the legal type "
                f"sizes that is not enough for the upright form. [{rule.rule}]"
            )
        if rule.columns < len(self.content.columns):
            notes.append("One column is printed, which small packages may do. [21 CFR 101.9(b)(12)(i)]")
        if self.room.area_sq_in is not None and self.room.area_sq_in < rules.area("tiny_package")[0]:
            notes.append(may_be_left_off())
        return tuple(notes)

    def _too_small(self, tried: list[FormRule], *, named: bool = False) -> TooSmallError:
        """The error that says which form comes nearest, and what it lacks."""
        wide = rules.width("greatest") if self.room.width_in is None else self.room.width_in
        high = rules.height("greatest") if self.room.height_in is None else self.room.height_in
        best: tuple[float, float, float, str] | None = None
        for rule in tried:
            *_, (content, look) = self._looks(rule)
            form = FORMS[rule.key]
            suit = form.widths(content, look)
            # No panel is wider than the greatest width, so an arrangement that would be is no help.
            sheet = rules.width("greatest") * POINTS_PER_INCH
            for width in [one for one in suit if one <= sheet] or suit:
                box = form.draw(content, width, look, ()).box
                size = box[0] / POINTS_PER_INCH, box[1] / POINTS_PER_INCH
                lack = max(0.0, size[0] - wide) + max(0.0, size[1] - high)
                if best is None or lack < best[0]:
                    best = lack, *size, rule.key
        if best is None:
            raise PanelError("no form of the panel is allowed here")
        _, width, height, key = best
        short = max(0.0, width - wide), max(0.0, height - high)
        lacks = [f"{_up(by):.2f} in of {what}" for by, what in zip(short, ("width", "height"), strict=True) if by > 0]
        which = f"the form {key} does not fit" if named else "no form of the panel that is allowed here fits"
        nearest = "it needs" if named else f"the nearest, {key}, needs"
        needs = f"{nearest} {_up(width):.2f} x {_up(height):.2f} in"
        what = f"{which} into {self.room.said}: {needs}, {' and '.join(lacks)} more"
        most, paragraph = rules.area("small_package")
        area = self.room.area_sq_in
        if area is not None and area < rules.area("tiny_package")[0]:
            mend = may_be_left_off()
        elif named and self.allowed():
            mend = f"allowed and large enough: {', '.join(self.allowed())}"
        elif area is None:
            mend = (
                f"give more room; packages of at most {most:g} sq in have smaller forms, if you say their area "
                f"[{paragraph}]"
            )
        else:
            mend = "give the panel a larger label"
        return TooSmallError(what, mend, short)


def _up(inches: float) -> float:
    """To a hundredth of an inch, upwards: whoever gives that much has enough."""
    return math.ceil(inches * 100 - 1e-6) / 100


def may_be_left_off() -> str:
    """What a package below 12 square inches may do instead."""
    least, rule = rules.area("tiny_package")
    return (
        f"Below {least:g} sq in the panel may be left off where an address or a telephone number for nutrition "
        f"information stands on the label and no claim is made. [{rule}]"
    )
