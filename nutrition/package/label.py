"""The sheets of a whole label: a wrap around a tub or a flat label, and the top of a lid.

A wrap has the main panel on its left, 40 % of the way round (21 CFR 101.1(b)), and the information panel to the right
of it. Where that is too narrow, its print begins a little earlier: what must be said may stand on either (101.2(b)). A
lid that is printed shows the name and the net quantity again: seen from above it is a main panel too, and what the main
panel must say stands on each (101.1).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.law.us import label_space
from nutrition.law.us.net_quantity import TypeHeight, type_height
from nutrition.package import barcode, facts, information, main_panel
from nutrition.package.measures import measure, points
from nutrition.package.refusals import NoRoomError
from nutrition.package.sheet import Sheet, inches, sheet
from nutrition.panel.drawing import POINTS_PER_INCH, moved
from nutrition.panel.room import PanelError

if TYPE_CHECKING:
    from nutrition.law.us.label_space import LabelSpace
    from nutrition.package.content import Content
    from nutrition.package.gtin import Gtin
    from nutrition.package.information import Information

MAIN_SHARES = (label_space.MAIN_SHARE, 0.36, label_space.LEAST_MAIN_SHARE)
"""Shares of the label's width that the print of the main panel may take, tried in turn."""
MARGIN = label_space.MARGIN_IN * POINTS_PER_INCH


@dataclass(frozen=True, slots=True)
class WholeLabel:
    """A whole label.

    Args:
        title: of the flavour.
        sheets: its pages.
        text_size: type size of the information panel, pt.
        magnification: of the bar code, 0 where there is none.
        net_quantity: least height of the letters of the net quantity on the first sheet.
        main_panel_sq_in: area of the main panel that this goes by.
        symbol: number of the bar code that is drawn, None for none.
        form: of Nutrition Facts, empty where there are none.
        rule: the paragraph that allows this form.
        notes: what whoever asked for it should know, one sentence each.
    """

    title: str
    sheets: tuple[Sheet, ...]
    text_size: float
    magnification: float
    net_quantity: TypeHeight
    main_panel_sq_in: float
    symbol: Gtin | None = None
    form: str = ""
    rule: str = ""
    notes: tuple[str, ...] = ()

    @property
    def proof(self) -> bool:
        """It is marked as a proof."""
        return any(one.drawing.proof for one in self.sheets)


def draw(content: Content, space: LabelSpace | None, form: str = "") -> WholeLabel:
    """Lays out the whole label of a container.

    Args:
        content: what it says.
        space: the room that the container has; None lays out a flat label as large as it comes.
        form: the form of Nutrition Facts that is wanted, chosen by the room if empty.

    Returns:
        The sheets: the wrap or flat label first, then the lid if it is printed.

    Raises:
        NoRoomError: something does not fit at its least legal size.
        ValueError: Nutrition Facts hold a text that cannot be set.
    """
    notes: list[str] = []
    if content.gtin is None:
        notes.append("no bar code is drawn, because the recipe has no gtin")
    if space is None:
        space = _natural(content, form)
        size = f"{space.label_width_in:g} in x {space.label_height_in:g} in"
        notes.append(
            f"nobody said how large the container's label is, so it is a flat one of {size}; "
            "the height of the net quantity goes by that"
        )
    elif space.shape == "top":
        raise NoRoomError(
            "a lid alone has no room for Nutrition Facts, ingredients and address",
            "give the container a wrap or a panel in shop.yaml",
            "21 CFR 101.2",
        )
    elif space.shape == "rectangle" and space.rule == "21 CFR 101.1(a)":
        notes.append(
            "the height of the net quantity goes by the area of the flat label; where the side that it is stuck on is "
            "larger, say main panel: and its area [21 CFR 101.1(a)]"
        )
    first, found = _first(content, space, form)
    notes.extend(found.notes)
    if not found.facts:
        notes.append(
            f"Nutrition Facts are left off: below {measure('no_panel_below'):g} sq in an address is enough, as long as "
            "nothing is claimed about nutrition [21 CFR 101.9(j)(13)(i)]"
        )
    sheets = [first]
    if space.lid_in:
        sheets.append(_lid(content, space))
    return WholeLabel(
        title=content.label.title,
        sheets=tuple(sheets),
        text_size=found.size,
        magnification=found.magnification,
        net_quantity=type_height(space.main_panel_sq_in),
        main_panel_sq_in=space.main_panel_sq_in,
        symbol=content.gtin if found.magnification else None,
        form=found.form,
        rule=found.rule,
        notes=tuple(notes),
    )


def _first(content: Content, space: LabelSpace, form: str) -> tuple[Sheet, Information]:
    """The wrap or flat label: the print of the main panel as wide as the law counts it, or less where room is short."""
    information.check(content, POINTS_PER_INCH * space.width_in, POINTS_PER_INCH * space.height_in)
    refused: ValueError | None = None
    best: tuple[Sheet, Information] | None = None
    tries = [(share, room) for share in MAIN_SHARES for room in facts.rooms(space.beside(share))]
    for share, room in sorted(tries, key=lambda one: -one[1].width_in / space.beside(one[0]).width_in):
        try:
            made = _beside(content, space.beside(share), room, share, form)
        except (NoRoomError, PanelError) as error:
            refused = error if refused is None or isinstance(refused, PanelError) else _nearer(refused, error)
            continue
        if best is None or _ease(made) > _ease(best):
            best = made
        if made[1].easy and facts.standard(made[1].form):
            break
    if best is None:
        assert refused is not None
        raise refused
    return best


def _ease(made: tuple[Sheet, Information]) -> tuple[int, float, float]:
    # A smaller form is lawful only where no larger one fits; letters that read more easily are no reason for it.
    return -facts.rank(made[1].form), made[1].size, made[1].magnification


def _nearer(one: ValueError, other: ValueError) -> ValueError:
    """Of two refusals the one that lacks less, if both say how much."""
    lacks = [error.lacking_in if isinstance(error, NoRoomError) else 0.0 for error in (one, other)]
    return other if lacks[1] and lacks[1] < lacks[0] else one


def _beside(
    content: Content, space: LabelSpace, room: LabelSpace, share: float, form: str
) -> tuple[Sheet, Information]:
    """The label with so large a share of its width for the main panel, and room for Nutrition Facts in the rest."""
    width, height = space.label_width_in * POINTS_PER_INCH, space.label_height_in * POINTS_PER_INCH
    main = share * width
    panel = main_panel.lay(content, main_panel.Rectangle(0.0, 0.0, main, height, MARGIN), space.main_panel_sq_in)
    forms = facts.forms(content.label, room, form)
    round_tub = space.shape == "cylinder"
    found = information.lay(
        content,
        forms,
        space.width_in * POINTS_PER_INCH,
        space.height_in * POINTS_PER_INCH,
        barcode.largest(space.label_width_in / math.pi if round_tub else 0.0),
    )
    kind = "wrap around the tub" if round_tub else "flat label"
    counted = f"{inches(space.main_width_in * POINTS_PER_INCH)} in wide, " if round_tub else ""
    caption = (
        f"{content.label.title}: {kind}, trimmed {inches(width)} in x {inches(height)} in, bleed "
        f"{inches(points('bleed'))} in, real size. Main panel {counted}{space.main_panel_sq_in:.1f} sq in "
        f"({space.rule}); net quantity at least {panel.least.text} ({panel.least.rule})."
    )
    guides = (
        (0.0, main, f"main panel, print {inches(main)} in wide"),
        (main, width, f"information panel, {inches(width - main)} in"),
    )
    made = sheet(
        "wrap" if round_tub else "label",
        (*panel.items, *moved(found.items, main + MARGIN, MARGIN)),
        width,
        height,
        (caption,),
        guides=guides,
        proof="" if content.label.print_ready and not any(one.proof for one in forms) else _reason(content),
    )
    return made, found


def _lid(content: Content, space: LabelSpace) -> Sheet:
    across = space.lid_in * POINTS_PER_INCH
    place = main_panel.Round(across / 2, across / 2, across / 2, points("round_margin"))
    panel = main_panel.lay(content, place, space.lid_sq_in)
    caption = (
        f"{content.label.title}: top of the lid, trimmed to a circle of {inches(across)} in (the ring), bleed "
        f"{inches(points('bleed'))} in, real size. {space.lid_sq_in:.1f} sq in (21 CFR 101.1); "
        f"net quantity at least {panel.least.text} ({panel.least.rule})."
    )
    why = "" if content.label.print_ready else _reason(content)
    return sheet("lid", panel.items, across, across, (caption,), circle=True, proof=why)


def _reason(content: Content) -> str:
    errors = [note.what for note in content.label.notes if note.level == "error"]
    lines = [
        "Added Sugars" if one.key == "added_sugars" else one.name
        for one in content.label.nutrients
        if not one.print_ready
    ]
    open_lines = [f"not settled yet: {', '.join(lines)}"] if lines else []
    return f"Proof, not for print: {'; '.join((*errors, *open_lines)) or 'the label has open findings'}."


def _natural(content: Content, form: str) -> LabelSpace:
    """A flat label just large enough, for a container whose size nobody said."""
    first = facts.forms(content.label, None, form)[0]
    edges = 2 * label_space.MARGIN_IN
    height = math.ceil(4 * (first.height_in + edges)) / 4
    width = math.ceil(4 * (first.width_in + 2.0 + edges) / (1 - label_space.MAIN_SHARE)) / 4
    while True:
        space = label_space.rectangle(width, height)
        beside = space.beside(label_space.MAIN_SHARE)
        try:
            _beside(content, beside, beside, label_space.MAIN_SHARE, form)
        except NoRoomError:
            if width >= measure("greatest_natural"):
                raise
            width += 0.5
        else:
            return space
