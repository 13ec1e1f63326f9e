"""The main panel: name of the food and net quantity, on a rectangle or on a round lid.

21 CFR 101.3(d): the name of the food in bold type, in lines parallel to the base, in a size reasonably related to the
most prominent print. 21 CFR 135.110(f): each part of it in letters of at least the share of another part's height that
:mod:`nutrition.law.us.flavor_names` gives with it. 21 CFR 101.7: the net quantity in the bottom 30 %, its
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
from nutrition.panel.drawing import Text
from nutrition.panel.faces import face

if TYPE_CHECKING:
    from collections.abc import Iterator

    from nutrition.package.content import Content, Identity

STEP = 0.5
"""Type sizes are tried from large to small by this many pt."""
MOST_LINES = 5
LONGEST_SHOWN = 80
"""letters of a name that a refusal quotes"""
WIDTHS = (0.94, 1.0, 0.8, 0.65, 0.5)
"""Shares of the greatest width that the lines of the name may have, tried in turn."""


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

    @property
    def widest(self) -> float:
        """How wide print may be where there is most room."""
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

    @property
    def widest(self) -> float:
        """How wide print may be."""
        return self.wide - 2 * self.margin

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

    @property
    def widest(self) -> float:
        """How wide print may be at the middle."""
        return 2 * (self.radius - self.margin)

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
    size = points("greatest_name")
    while size >= floor - 1e-9:
        for stack in _stacks(content, place, size, floor, maker=maker):
            placed = _placed(stack, place, ceiling)
            if placed is not None:
                return placed
        if size == floor:
            break
        size = max(floor, size - STEP)
    name = content.identity.text
    shown = name if len(name) <= LONGEST_SHOWN else f"{name[:LONGEST_SHOWN]}…"
    what = f"the name '{shown}' does not fit on the main panel"
    mend = "shorten the title, or give the container a larger label"
    raise NoRoomError(what, mend, "21 CFR 101.3(d)")


def _stacks(content: Content, place: Place, size: float, floor: float, *, maker: bool) -> Iterator[tuple[_Line, ...]]:
    """The ways to break the name into lines at one size of its most prominent words, the widest lines first."""
    head = [_Line(content.maker, "regular", max(floor, 0.4 * size), 0.0)] if maker else []
    blocks = _blocks(content.identity, size, floor)
    tried: set[tuple[tuple[str, ...], ...]] = set()
    for share in WIDTHS:
        broken = tuple(_lines(words, points_, share * place.widest) for words, points_, _ in blocks)
        if broken in tried or not all(broken):
            continue
        tried.add(broken)
        stack = list(head)
        for lines, (_, points_, above) in zip(broken, blocks, strict=True):
            for i, line in enumerate(lines):
                first = len(stack) == len(head)
                space = 0.0 if i else (0.7 * size if head else 0.0) if first else above
                stack.append(_Line(line, "bold", points_, space))
        yield tuple(stack)


def _lines(words: str, size: float, width: float) -> tuple[str, ...]:
    """Words in as few even lines as fit into a width, pt; none where a word is too wide or there would be too many."""
    bold = face("bold")
    for count in range(1, MOST_LINES + 1):
        lines = balanced(words, "bold", count)
        if max(bold.width(line, size) for line in lines) <= width:
            return lines
        if len(lines) < count:
            break
    return ()


def _blocks(identity: Identity, size: float, floor: float) -> list[tuple[str, float, float]]:
    """The words of the name, each block with its type size and the white above it, pt.

    What stands above the name of the food is the most prominent print, and the name is related to it in size. Each part
    has at least the share of another's height that the law asks for.
    """
    related = max(floor, measure("food_of_flavor") * size)
    if identity.title:
        # All of the name in one size: no share of another's height can be missed.
        blocks = [(identity.title, size, 0.0)]
        main = " ".join(part.text for part in identity.parts if part.role != "added")
        blocks.append((main, related, 0.3 * size))
        blocks += [(part.text, related, 0.15 * size) for part in identity.parts if part.role == "added"]
        return blocks
    wanted = {part.role: related if part.role != "flavor" else size for part in identity.parts}
    if "flavor" not in wanted:
        wanted["food"] = size
    for part in identity.parts:
        if part.of in wanted:
            wanted[part.role] = max(wanted[part.role], part.least * wanted[part.of])
    return [(part.text, wanted[part.role], 0.25 * size) for part in identity.parts]


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
