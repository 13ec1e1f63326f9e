"""The information panel: Nutrition Facts, ingredients, allergens, name and place of business, and the bar code.

21 CFR 101.2(b) to (e): to the right of the main panel, letters at least 1/16 in high by the small "o", all in one place
with nothing else between. The bar code and the empty box for lot and date come last for that reason. Nutrition Facts
have type sizes of their own (101.9(d)). Ways to lay it out are tried, and the one with the largest letters is taken;
letters never fall below the law's least, and where even these do not fit, the label is refused.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from nutrition.package import barcode, letters, measures, paragraphs
from nutrition.package.measures import measure, points
from nutrition.package.refusals import NoRoomError
from nutrition.panel.drawing import POINTS_PER_INCH, Bar, Box, Text, moved
from nutrition.panel.faces import face

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from nutrition.package.barcode import Symbol
    from nutrition.package.content import Content
    from nutrition.package.paragraphs import Runs
    from nutrition.panel.drawing import Drawing, Item

STEP = 0.25
EASY = 0.94
"""Text above this share of its greatest size has not been made small."""
RULE = "21 CFR 101.2(c)"


@dataclass(frozen=True, slots=True)
class Block:
    """Something of a fixed size: width and height, pt, and what is drawn from its upper left corner."""

    width: float
    height: float
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Way:
    """One way to lay the panel out: where things stand, pt from the upper left corner of its place.

    Args:
        facts: Nutrition Facts.
        blocks: bar code and empty box, with their places.
        text: left, top, width and height of the place for the text.
    """

    facts: tuple[Block, float, float] | None
    blocks: tuple[tuple[Block, float, float], ...]
    text: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Information:
    """An information panel that was laid out.

    Args:
        items: what is printed, from the upper left corner of its place.
        size: type size of its text, pt.
        magnification: of the bar code, 0 where there is none.
        form: of Nutrition Facts, empty where there are none.
        rule: the paragraph that allows this form.
        notes: what whoever asked for it should know.
    """

    items: tuple[Item, ...]
    size: float
    magnification: float
    form: str = ""
    rule: str = ""
    notes: tuple[str, ...] = ()

    @property
    def facts(self) -> bool:
        """Nutrition Facts are there."""
        return bool(self.form)

    @property
    def easy(self) -> bool:
        """Nothing had to be made small."""
        return self.size > EASY * points("greatest_text") and self.magnification in {0.0, 1.0}


def text_of(content: Content) -> tuple[Runs, ...]:
    """The paragraphs of the text in the order of the law.

    Ingredients, allergens right behind them (403(w)), what is said of shared equipment; name and place of business, and
    beside it a bioengineered disclosure (7 CFR 66.100, from memory); how the food is kept.
    """
    said: list[Runs] = [(("bold", measures.words("ingredients")), ("regular", content.ingredients))]
    plain = (("bold", content.contains), ("regular", content.advisory), ("regular", content.business))
    said += [(run,) for run in (*plain, ("regular", content.disclosure), ("bold", content.keep)) if run[1]]
    return tuple(said)


def lay(
    content: Content,
    facts: Sequence[Drawing],
    width: float,
    height: float,
    largest_symbol: float = 1.0,
) -> Information:
    """Lays out an information panel.

    Args:
        content: what is said.
        facts: Nutrition Facts in every form that may stand there, the best first; none where no panel is needed.
        width: of its place, pt.
        height: of its place, pt.
        largest_symbol: largest magnification of the bar code.

    Raises:
        NoRoomError: it does not fit with letters of the least height; says by how much.
    """
    text = text_of(content)
    least = letters.size_for(measure("least_letters"), "regular")
    best: Information | None = None
    reached = (0.0, 0.0)
    lacking: list[float] = []
    for symbol in _symbols(content, largest_symbol):
        for form in facts or (None,):
            for way in _ways(content, form, width, height, symbol):
                size = _largest(text, way, least)
                if size is None:
                    lacking.append(_lacking(text, way, least))
                    continue
                eased = _eased(text, way, size)
                if best is None or (size, _ease(eased, size)) > reached:
                    reached = size, _ease(eased, size)
                    notes = form.notes if form is not None else ()
                    magnification = symbol.magnification if symbol else 0.0
                    which = ("", "") if form is None else (form.form, form.rule)
                    best = Information(_drawn(eased, text, size), size, magnification, *which, notes)
        if best is not None:
            return best
    raise _refusal(content, facts, width, height, lacking)


def check(content: Content, width: float, height: float) -> None:
    """Refuse at once what does not fit even with nothing else in the place.

    Args:
        content: what is said.
        width: of the place, pt.
        height: of the place, pt.

    Raises:
        NoRoomError: the text alone is too much.
    """
    text = text_of(content)
    least = letters.size_for(measure("least_letters"), "regular")
    alone = Way(None, (), (0.0, 0.0, width, height))
    if not _fits(text, least, width, height):
        raise _refusal(content, (), width, height, [_lacking(text, alone, least)], "at least ")


def _symbols(content: Content, largest: float) -> tuple[Symbol | None, ...]:
    """The bar code in every size that may be tried, the best first: upright, then on its side."""
    if content.gtin is None:
        return (None,)
    number = content.gtin
    upright = [barcode.symbol(number, step) for step in barcode.STEPS]
    fitting = [one for one in upright if one.magnification <= largest + 1e-9]
    return (*fitting, *(barcode.laid_down(one) for one in upright))


def _ways(content: Content, form: Drawing | None, width: float, height: float, symbol: Symbol | None) -> Iterator[Way]:
    gap = points("gap")
    facts = None if form is None else _block(form)
    wide, high = (facts.width, facts.height) if facts else (0.0, 0.0)
    if wide > width or high > height:
        return
    tail = _tail(content, symbol)
    placed = None if facts is None else (facts, 0.0, 0.0)
    beside = wide + gap if facts else 0.0
    below = high + gap if facts else 0.0
    if width - beside > 0:
        # The text right of the panel, the bar code below the text or right of it.
        yield from _with_tail(placed, tail, beside, 0.0, width, height)
        if tail and facts and below + _tall(tail) <= height and _broad(tail) <= wide:
            yield Way(placed, _row(tail, 0.0, height - _tall(tail)), (beside, 0.0, width - beside, height))
    if facts and height - below > 0:
        yield from _with_tail(placed, tail, 0.0, below, width, height)


def _block(form: Drawing) -> Block:
    """Nutrition Facts alone; the marks of a proof and its reason stand on the sheet, once for the whole label."""
    width, height = form.box
    kept = tuple(
        item
        for item in form.items
        if not (form.proof and isinstance(item, Text) and (item.y > height or item.grey > 0))
    )
    return Block(width, height, kept)


def _with_tail(
    facts: tuple[Block, float, float] | None,
    tail: tuple[Block, ...],
    left: float,
    top: float,
    width: float,
    height: float,
) -> Iterator[Way]:
    """Text in a rectangle, with what comes last below it or to its right."""
    gap = points("gap")
    if not tail:
        yield Way(facts, (), (left, top, width - left, height - top))
        return
    tall, broad = _tall(tail), _broad(tail)
    if broad <= width - left:
        blocks = _row(tail, width - broad, height - tall)
        yield Way(facts, blocks, (left, top, width - left, height - top - tall - gap))
        if tall <= height - top:
            yield Way(facts, blocks, (left, top, width - left - broad - gap, height - top))
    if len(tail) > 1:
        # One above the other.
        widest, total = max(one.width for one in tail), sum(one.height for one in tail) + gap * (len(tail) - 1)
        if widest <= width - left and total <= height - top:
            blocks = _column(tail, width - widest, height - total)
            yield Way(facts, blocks, (left, top, width - left - widest - gap, height - top))


def _tail(content: Content, symbol: Symbol | None) -> tuple[Block, ...]:
    blocks = []
    if content.lot_space is not None:
        blocks.append(_empty_box(*content.lot_space))
    if symbol is not None:
        blocks.append(Block(symbol.width, symbol.height, symbol.items))
    return tuple(blocks)


def _empty_box(width_in: float, height_in: float) -> Block:
    width, height = width_in * POINTS_PER_INCH, height_in * POINTS_PER_INCH
    words = measures.words("lot")
    size = points("slug")
    below = size + 1.5
    item = Text(
        0.0, height + below - letters.drop("regular") * size, words, "regular", size, face("regular").width(words, size)
    )
    return Block(max(width, item.width), height + below, (Box(0.25, 0.25, width - 0.5, height - 0.5, 0.5), item))


def _tall(tail: tuple[Block, ...]) -> float:
    return max(one.height for one in tail)


def _broad(tail: tuple[Block, ...]) -> float:
    return sum(one.width for one in tail) + points("gap") * (len(tail) - 1)


def _row(tail: tuple[Block, ...], x: float, y: float) -> tuple[tuple[Block, float, float], ...]:
    placed = []
    tall = _tall(tail)
    for one in tail:
        placed.append((one, x, y + tall - one.height))
        x += one.width + points("gap")
    return tuple(placed)


def _column(tail: tuple[Block, ...], x: float, y: float) -> tuple[tuple[Block, float, float], ...]:
    placed = []
    for one in tail:
        placed.append((one, x, y))
        y += one.height + points("gap")
    return tuple(placed)


def _largest(text: tuple[Runs, ...], way: Way, least: float) -> float | None:
    """The largest type size at which the text fits, None where none does."""
    _, _, width, height = way.text
    if not _fits(text, least, width, height):
        return None
    size = points("greatest_text")
    while size > least and not _fits(text, size, width, height):
        size -= STEP
    return max(size, least)


def _fits(text: tuple[Runs, ...], size: float, width: float, height: float) -> bool:
    if width <= 0 or height <= 0:
        return False
    return paragraphs.widest_word(text, size) <= width and paragraphs.height(text, size, width) <= height


def _eased(text: tuple[Runs, ...], way: Way, size: float) -> Way:
    """The way with its lines no longer than is easy to read, where the place is high enough for that.

    Else a wide place would be worth less than a narrow one, and Nutrition Facts be stretched to make it narrow.
    """
    left, top, width, height = way.text
    easy = _easy_line(size)
    if easy >= width or not _fits(text, size, easy, height):
        return way
    return replace(way, text=(left, top, easy, height))


def _ease(way: Way, size: float) -> float:
    """How near the lines come to the length that reads most easily, some 60 letters; 0 is best."""
    return -abs(math.log(way.text[2] / _easy_line(size)))


def _easy_line(size: float) -> float:
    return measure("easy_line") * face("regular").width("abcdefghijklmnopqrstuvwxyz ", size) / 27


def _lacking(text: tuple[Runs, ...], way: Way, least: float) -> float:
    """How much higher the place of the text would have to be, pt; infinite where a word is wider than the place."""
    _, _, width, height = way.text
    if width <= 0 or paragraphs.widest_word(text, least) > width:
        return float("inf")
    return paragraphs.height(text, least, width) - max(0.0, height)


def _drawn(way: Way, text: tuple[Runs, ...], size: float) -> tuple[Item, ...]:
    left, top, width, _ = way.text
    items: list[Item] = []
    for block, x, y in ((way.facts,) if way.facts else ()) + way.blocks:
        items.extend(moved(block.items, x, y))
    return (*items, *paragraphs.lay(text, size, left, top, width))


def _refusal(
    content: Content, facts: Sequence[Drawing], width: float, height: float, lacking: list[float], about: str = ""
) -> NoRoomError:
    place = f"{width / POINTS_PER_INCH:.2f} in x {height / POINTS_PER_INCH:.2f} in"
    mend = "give the container a larger label in shop.yaml, or shorten the ingredient statement"
    extra = [
        words
        for words, there in (
            ("the bar code", content.gtin is not None),
            ("the lot space", content.lot_space is not None),
        )
        if there
    ]
    if extra:
        mend += f"; {' and '.join(extra)} {'take' if len(extra) > 1 else 'takes'} room too"
    finite = [one for one in lacking if one != float("inf")]
    if finite:
        short = min(finite) / POINTS_PER_INCH
        said = f"{len(content.ingredients):,} characters of ingredients"
        what = (
            f"the information panel is {about}{short:.2f} in too high for its place of {place}: "
            f"{said} in letters of 1/16 in, the smallest that the law allows"
        )
        return NoRoomError(what, mend, RULE, short)
    fitting = [one for one in facts if one.box[0] <= width and one.box[1] <= height]
    if fitting and extra:
        what = f"there is no place in {place} for {' and '.join(extra)} beside Nutrition Facts"
        return NoRoomError(what, "make the lot space smaller, or give the container a larger label in shop.yaml")
    if fitting:
        takes = f"{fitting[0].width_in:.2f} in x {fitting[0].height_in:.2f} in"
        what = f"there is no place in {place} for ingredients and address beside Nutrition Facts, which take {takes}"
        return NoRoomError(what, "ask for no form, or give the container a larger label in shop.yaml", RULE)
    if facts:
        needs = ", ".join(f"{one.width_in:.2f} in x {one.height_in:.2f} in" for one in facts)
        what = f"Nutrition Facts do not fit into {place}: they need {needs}"
        return NoRoomError(what, "give the container a larger label in shop.yaml", "21 CFR 101.9(d)")
    return NoRoomError(f"the text does not fit into {place}: a word is wider than that", mend, RULE)


def inked(items: Sequence[Item]) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of what is drawn, pt; a text counts from its tallest letters to its lowest tails."""
    boxes = [_box(item) for item in items]
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def _box(item: Item) -> tuple[float, float, float, float]:
    if isinstance(item, Text):
        rise, drop = letters.rise(item.face) * item.size, letters.drop(item.face) * item.size
        return item.left, item.y - rise, item.left + item.width, item.y + drop
    if isinstance(item, Bar):
        return item.x, item.y, item.x + item.width, item.y + item.height
    if isinstance(item, Box):
        half = item.line / 2
        return item.x - half, item.y - half, item.x + item.width + half, item.y + item.height + half
    outer = item.radius + item.line / 2
    return item.x - outer, item.y - outer, item.x + outer, item.y + outer
