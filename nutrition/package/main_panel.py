"""The main panel: name of the food and net quantity, on a rectangle or on a round lid.

21 CFR 101.3(d): the name of the food in bold type, in lines parallel to the base, in a size reasonably related to the
most prominent print. 21 CFR 135.110(f): letters of the flavour at least half as high as those of "ice cream", letters
of "flavored" at least half as high as those of the flavour. 21 CFR 101.7: the net quantity in the bottom 30 %, its
letters as high as the area asks for, with a letter's height clear above and below and twice the width of an N clear to
the left and right. Where it has small letters, they must be so high (101.7(h)(2)). All from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from nutrition.law.us import net_quantity
from nutrition.package import letters
from nutrition.package.measures import measure, points
from nutrition.package.paragraphs import balanced
from nutrition.package.refusals import NoRoomError
from nutrition.panel.drawing import POINTS_PER_INCH, Text
from nutrition.panel.faces import face

if TYPE_CHECKING:
    from collections.abc import Iterator

    from nutrition.package.content import Content, Identity

STEP = 0.5
"""Type sizes are tried from large to small by this many pt."""
MOST_LINES = 5


class Place(Protocol):
    """Where a main panel is printed, pt."""

    @property
    def middle(self) -> float:
        """x of its middle."""
        ...

    @property
    def top(self) -> float:
        """y of the top of the panel that the law measures."""
        ...

    @property
    def bottom(self) -> float:
        """y of its bottom."""
        ...

    @property
    def margin(self) -> float:
        """How far print stays away from its edge."""
        ...

    def width(self, above: float, below: float) -> float:
        """How wide print may be between two heights."""
        ...

    def fits(self, width: float, beside: float, above: float, below: float) -> bool:
        """Whether so wide a print has its place between two heights, with so much clear on both sides."""
        ...


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangular main panel: left and top edge, width and height, and the margin inside, pt."""

    left: float
    top: float
    wide: float
    high: float
    margin: float

    @property
    def middle(self) -> float:
        """x of its middle."""
        return self.left + self.wide / 2

    @property
    def bottom(self) -> float:
        """y of its bottom."""
        return self.top + self.high

    def width(self, above: float, below: float) -> float:
        """How wide print may be between two heights: always the same, if both lie inside."""
        inside = self.top + self.margin - 1e-6 <= above and below <= self.bottom - self.margin + 1e-6
        return self.wide - 2 * self.margin if inside else 0.0

    def fits(self, width: float, beside: float, above: float, below: float) -> bool:
        """Whether so wide a print has its place between two heights, with so much clear on both sides.

        Beside the main panel stands other print, so all that must be clear lies inside it.
        """
        return width <= self.width(above, below) and width + 2 * beside <= self.wide


@dataclass(frozen=True, slots=True)
class Round:
    """A round main panel: its middle and radius, and the margin inside, pt."""

    middle: float
    centre: float
    radius: float
    margin: float

    @property
    def top(self) -> float:
        """y of its top."""
        return self.centre - self.radius

    @property
    def bottom(self) -> float:
        """y of its bottom."""
        return self.centre + self.radius

    def width(self, above: float, below: float) -> float:
        """How wide print may be between two heights: the shorter of the two chords."""
        inner = self.radius - self.margin
        far = max(abs(above - self.centre), abs(below - self.centre))
        return 2 * math.sqrt(inner**2 - far**2) if far < inner else 0.0

    def fits(self, width: float, beside: float, above: float, below: float) -> bool:  # noqa: ARG002
        """Whether so wide a print has its place between two heights; beside it a lid ends, and no print stands."""
        return width <= self.width(above, below)


@dataclass(frozen=True, slots=True)
class MainPanel:
    """A main panel that was laid out.

    Args:
        items: what is printed.
        least: least height of the letters of the net quantity.
        area_sq_in: area of the panel that this goes by.
    """

    items: tuple[Text, ...]
    least: net_quantity.TypeHeight
    area_sq_in: float


def lay(content: Content, place: Place, area_sq_in: float, *, maker: bool = True) -> MainPanel:
    """Lays out a main panel.

    Args:
        content: what is said.
        place: where.
        area_sq_in: area of the main panel by 21 CFR 101.1.
        maker: whether the maker's name stands above the flavour.

    Raises:
        NoRoomError: net quantity or name do not fit at their least sizes.
    """
    least = net_quantity.type_height(area_sq_in)
    quantity, ceiling = _quantity(content.net_quantity, place, least, area_sq_in)
    return MainPanel((*_name(content, place, ceiling, maker=maker), *quantity), least, area_sq_in)


def _quantity(
    words: str, place: Place, least: net_quantity.TypeHeight, area_sq_in: float
) -> tuple[tuple[Text, ...], float]:
    """The net quantity, and the height above which everything else must end."""
    bold = face("bold")
    size = letters.size_for(least.inches, "bold", capitals=words.upper() == words)
    rise, drop = letters.rise("bold") * size, letters.drop("bold") * size
    clear = measure("clear_above") * rise
    beside = measure("clear_sides") * bold.width("N", size)
    head, bracket, rest = words.partition(" (")
    for lines in ((words,), (head, f"({rest}") if bracket else (words,)):
        step = 1.15 * size
        wide = [bold.width(line, size) for line in lines]
        # Whatever stands below the panel's edge is another part of the package, so the clear space may end there.
        last = place.bottom - max(place.margin, clear) - drop
        highest = place.bottom - measure("bottom_share") * (place.bottom - place.top)
        least_last = (
            (place.top + place.margin if area_sq_in <= measure("no_bottom_up_to") else highest)
            + rise
            + (len(lines) - 1) * step
        )
        while last >= least_last - 1e-6:
            baselines = [last - (len(lines) - 1 - i) * step for i in range(len(lines))]
            if all(place.fits(w, beside, y - rise, y + drop) for w, y in zip(wide, baselines, strict=True)):
                items = tuple(
                    Text(place.middle, y, line, "bold", size, w, "middle")
                    for line, w, y in zip(lines, wide, baselines, strict=True)
                )
                return items, baselines[0] - rise - clear
            last -= STEP
    what = f"the net quantity {words} does not fit: its letters must be {least.text} high"
    raise NoRoomError(what, "give the container a larger label, or a shorter net quantity", least.rule)


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of the stack: words, face, size, and the white above it, pt."""

    words: str
    face: str
    size: float
    above: float

    @property
    def rise(self) -> float:
        return letters.rise(self.face) * self.size

    @property
    def drop(self) -> float:
        return letters.drop(self.face) * self.size

    @property
    def width(self) -> float:
        return face(self.face).width(self.words, self.size)


def _name(content: Content, place: Place, ceiling: float, *, maker: bool) -> tuple[Text, ...]:
    """Maker, flavour and name of the food, as large as there is room for, in the middle of what is free."""
    floor = letters.size_for(measure("least_letters"), "bold")
    size = points("greatest_flavour")
    while size >= floor - 1e-9:
        for stack in _stacks(content, size, floor, maker=maker):
            placed = _placed(stack, place, ceiling)
            if placed is not None:
                return placed
        if size == floor:
            break
        size = max(floor, size - STEP)
    what = f"the name '{content.identity.flavour} {content.identity.food}' does not fit on the main panel"
    mend = "shorten the title, or give the container a larger label"
    raise NoRoomError(what, mend, "21 CFR 101.3(d)")


def _stacks(content: Content, size: float, floor: float, *, maker: bool) -> Iterator[tuple[_Line, ...]]:
    """The ways to break the name into lines at one size of the flavour, the fewest lines first."""
    identity = content.identity
    food = max(floor, measure("food_of_flavour") * size)
    # The floor keeps all letters alike where little room is left, so the flavour never falls below half of the food.
    flavour = max(size, measure("flavour_of_food") * food)
    for count in range(1, MOST_LINES + 1):
        lines = balanced(identity.flavour, "bold", count)
        if len(lines) < count:
            return
        first = [_Line(content.maker, "regular", max(floor, 0.4 * size), 0.0)] if maker else []
        stack = [
            _Line(line, "bold", flavour, 0.0 if i else (0.7 * size if maker else 0.0)) for i, line in enumerate(lines)
        ]
        if identity.flavoured:
            stack.append(_Line(identity.flavoured, "bold", max(floor, 0.75 * flavour), 0.1 * size))
        stack += [_Line(line, "bold", food, 0.25 * size) for line in balanced(identity.food, "bold", 1)]
        yield (*first, *stack)


def _placed(stack: tuple[_Line, ...], place: Place, ceiling: float) -> tuple[Text, ...] | None:
    """The stack in the middle between the panel's top and the ceiling; None where it does not fit."""
    tall = sum(line.above + line.rise + line.drop for line in stack)
    top = place.top + place.margin
    spare = ceiling - top - tall
    if spare < 0:
        return None
    for share in (0.5, 0.6, 0.7, 0.8, 0.9, 1.0) if isinstance(place, Round) else (0.5,):
        y = top + share * spare
        items: list[Text] = []
        for line in stack:
            y += line.above + line.rise
            if line.width > place.width(y - line.rise, y + line.drop):
                break
            items.append(Text(place.middle, y, line.words, line.face, line.size, line.width, "middle"))
            y += line.drop
        if len(items) == len(stack):
            return tuple(items)
    return None


def least_height_in(area_sq_in: float) -> float:
    """Least height of the letters of the net quantity, inches.

    >>> least_height_in(15.0)
    0.125
    """
    return net_quantity.type_height(area_sq_in).inches


def heights(identity: Identity, items: tuple[Text, ...]) -> dict[str, float]:
    """How high the letters of the name stand, inches, by part: ``flavour``, ``flavoured``, ``food``.

    Args:
        identity: the name.
        items: a main panel that was laid out.
    """
    found: dict[str, float] = {}
    for part in ("flavour", "flavoured", "food"):
        words = getattr(identity, part)
        for item in items:
            if item.face == "bold" and item.text and words and item.text in words and part not in found:
                found[part] = letters.x_height("bold") * item.size / POINTS_PER_INCH
    return found
