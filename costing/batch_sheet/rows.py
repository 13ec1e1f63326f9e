"""The rows of a batch sheet at one type size: head, parts with their steps and weights, foot.

Everything is measured in the type size, so that a smaller one shrinks the whole sheet together.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

from costing.batch_sheet.content import CHECK_BOXES, Run
from costing.batch_sheet.setting import fitted, lines, pieces, settable, width
from nutrition.panel.drawing import Bar, Box, Text

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from costing.batch_sheet.content import BatchSheet, Section, StepLines, Weigh
    from nutrition.panel.drawing import Item

LETTER: Final = (612.0, 792.0)
A4: Final = (595.28, 841.89)
MARGIN: Final = 36.0
LEAST: Final = 8.0
"""The least type size, pt; smaller nobody reads on a wall."""


@dataclass(frozen=True, slots=True)
class Block:
    """Something that stays on one page.

    Args:
        height: pt.
        draw: draws it with its upper left corner at (x, y).
        glued: it stays with what follows.
        part: the part that it belongs to, whose name stands over it again on a new page.
    """

    height: float
    draw: Callable[[float, float], Iterable[Item]]
    glued: bool = False
    part: str = ""


@dataclass(slots=True)
class Rows:
    """The rows of one sheet.

    Args:
        sheet: its content.
        size: type size, pt.
    """

    sheet: BatchSheet
    size: float
    blocks: list[Block] = field(default_factory=list)

    # Measures ------------------------------------------------------------------------------------------------------

    @property
    def page(self) -> tuple[float, float]:
        """Width and height of the paper, pt."""
        return LETTER if self.sheet.letter else A4

    @property
    def room(self) -> float:
        """Width between the margins, pt."""
        return self.page[0] - 2 * MARGIN

    @property
    def small(self) -> float:
        """Type size of what is read from near, pt."""
        return max(LEAST, 0.82 * self.size)

    @property
    def line(self) -> float:
        """Height of a line, pt."""
        return 1.22 * self.size

    @property
    def tick(self) -> float:
        """Width and height of a box to tick, pt."""
        return 0.95 * self.size

    # Columns, from the left edge: tick box, number, words, measure, grams, expected, box.
    @property
    def words_at(self) -> float:
        """Where words begin."""
        return 3.0 * self.size

    @property
    def box_wide(self) -> float:
        """Width of the box for a measured weight."""
        return 5.6 * self.size

    @property
    def box_at(self) -> float:
        """Where it begins."""
        return self.room - self.box_wide

    @property
    def after_to(self) -> float:
        """Where expected weights end."""
        return self.box_at - 0.7 * self.size

    @property
    def grams_to(self) -> float:
        """Where weights to weigh in end."""
        return self.after_to - 5.6 * self.size

    @property
    def measure_to(self) -> float:
        """Where the cook's measures end."""
        return self.grams_to - 5.0 * self.size

    # Type ----------------------------------------------------------------------------------------------------------

    def text(self, x: float, y: float, words: str, name: str, size: float, *, end: bool = False) -> Text:
        """Words on one line that begin, or end, at x."""
        words = settable(words)
        return Text(x, y, words, name, size, width(words, name, size), "end" if end else "start")

    def paragraph(
        self, words: Sequence[Run], size: float, left: float, right: float, *, above: float = 0.0, glued: bool = False
    ) -> None:
        """A block of words between two edges."""
        set_lines = lines(pieces(tuple(words)), size, right - left)
        step = 1.22 * size

        def draw(x: float, y: float) -> Iterable[Item]:
            yield from self.runs(set_lines, x + left, y + above, size)

        self.blocks.append(Block(above + step * len(set_lines), draw, glued))

    def runs(self, set_lines: Sequence[Sequence[tuple[str, str]]], x: float, y: float, size: float) -> Iterable[Item]:
        """Lines below each other; (x, y) is the upper left corner of the first."""
        for n, line in enumerate(set_lines):
            at = x
            for name, bit in line:
                wide = width(bit, name, size)
                yield Text(at, y + 1.22 * size * n + size, bit, name, size, wide)
                at += wide

    def labelled(self, x: float, y: float, wide: float, high: float, label: str) -> Iterable[Item]:
        """A box to write into, with a small label in its upper left corner."""
        yield Box(x, y, wide, high, 0.8)
        words, size = fitted(settable(label), "regular", self.small, wide - 6, LEAST)
        yield self.text(x + 3, y + size, words, "regular", size)

    # Head ----------------------------------------------------------------------------------------------------------

    def head(self) -> None:
        """Title, size, allergens, what is written in, and cautions."""
        sheet, s = self.sheet, self.size
        self.paragraph((Run(f"{sheet.shop} · batch sheet"),), self.small, 0, self.room, glued=True)
        self.paragraph((Run(sheet.title, True),), 1.8 * s, 0, self.room, glued=True)
        self.paragraph((Run(sheet.size, True),), 1.3 * s, 0, self.room, glued=True)
        self.blocks.append(Block(0.35 * s, lambda _x, _y: (), True))
        self.allergens(1.35 * s)
        self.row_of_boxes(sheet.heads, 2.7 * s, above=0.5 * s)
        if sheet.note:
            self.paragraph((Run(sheet.note),), s, 0, self.room, above=0.3 * s)
        for n, caution in enumerate(sheet.cautions):
            self.paragraph((Run("•  "), Run(caution)), self.small, 0, self.room, above=0.4 * s if n == 0 else 0.0)

    def allergens(self, size: float) -> None:
        """The allergens, in capitals on black: to be read in any light, and on any copier."""
        inside = [name for name in self.sheet.allergens if name not in self.sheet.beside]
        what = (
            "  ·  ".join(name.upper() for name in inside)
            or "none of the nine major ones, by what is written of the ingredients"
        )
        words = [Run(f"ALLERGENS: {what}", True)]
        if self.sheet.beside:
            words.append(Run(f"   On the bench, not in the containers: {', '.join(self.sheet.beside).upper()}", True))
        set_lines = lines(pieces(tuple(words)), size, self.room - 12)
        high = 1.22 * size * len(set_lines) + 0.6 * size

        def draw(x: float, y: float) -> Iterable[Item]:
            yield Bar(x, y, self.room, high)
            for text in self.runs(set_lines, x + 6, y + 0.22 * size, size):
                if isinstance(text, Text):
                    yield Text(text.x, text.y, text.text, text.face, text.size, text.width, grey=1.0)

        self.blocks.append(Block(high + 0.2 * self.size, draw, True))

    def row_of_boxes(self, labels: Sequence[str], high: float, above: float) -> None:
        """Labelled boxes side by side, as wide as the page."""
        wide = (self.room - 6.0 * (len(labels) - 1)) / len(labels)

        def draw(x: float, y: float) -> Iterable[Item]:
            for n, label in enumerate(labels):
                yield from self.labelled(x + n * (wide + 6.0), y + above, wide, high, label)

        self.blocks.append(Block(above + high, draw))

    # Parts ---------------------------------------------------------------------------------------------------------

    def section(self, part: Section) -> None:
        """A part: its name, what there is to know, its steps."""
        self.blocks.append(self.part_head(part.title))
        first = len(self.blocks)
        if part.lead:
            self.lead(part)
        for step in part.steps:
            self.step(step)
        self.blocks[first:] = [replace(block, part=part.title) for block in self.blocks[first:]]

    def part_head(self, words: str) -> Block:
        """The name of a part over its columns."""
        s, small = self.size, self.small

        def draw(x: float, y: float) -> Iterable[Item]:
            base = y + 2.2 * s
            title, size = fitted(settable(words), "bold", 1.25 * s, self.measure_to - 6.5 * s, LEAST)
            yield self.text(x, base, title, "bold", size)
            columns = ((self.measure_to, "measure"), (self.grams_to, "weigh in"), (self.after_to, "then weighs"))
            for right, label in columns:
                yield self.text(x + right, base, label, "regular", small, end=True)
            yield self.text(x + self.box_at, base, "measured", "regular", small)
            yield Bar(x, base + 0.3 * s, self.room, 1.2)

        return Block(2.2 * s + 0.3 * s + 1.2, draw, True)

    def lead(self, part: Section) -> None:
        """What there is to know before a part begins, and a box for the lot of a house base that is there already."""
        s, small = self.size, self.small
        box_at = self.grams_to + 0.8 * s
        right = box_at - 0.8 * s if part.base else self.room
        set_lines = [
            line
            for n, lead in enumerate(part.lead)
            for line in lines(pieces((Run(lead, n == 0),)), small, right)
        ]  # fmt: skip
        high = max(1.22 * small * len(set_lines), 2.6 * s if part.base else 0.0) + 0.5 * s

        def draw(x: float, y: float) -> Iterable[Item]:
            yield from self.runs(set_lines, x, y + 0.3 * s, small)
            if part.base:
                yield from self.labelled(
                    x + box_at, y + 0.4 * s, self.room - box_at, 2.4 * s, f"Lot of the {part.base}"
                )

        self.blocks.append(Block(high + 0.1 * s, draw, True))

    def step(self, step: StepLines) -> None:
        """A step with what goes in."""
        s, small = self.size, self.small
        right = self.grams_to if step.after or step.measured else self.room
        room = right - self.words_at - 0.6 * s
        set_lines = lines(pieces(step.words), s, room)
        said = "  ".join((*step.notes, *((f"Time: {step.time}.",) if step.time else ())))
        below = lines(pieces((Run(said),)), small, room) if said else []
        for warning in step.warnings:
            below += lines(pieces((Run("Mind: ", True), Run(warning))), small, room)
        high = max(
            self.line * len(set_lines) + 1.22 * small * len(below),
            1.65 * s if step.measured else 0.0,
            self.line + 1.22 * small if step.what else 0.0,
        )

        def draw(x: float, y: float) -> Iterable[Item]:
            top = y + 0.35 * s
            yield Box(x + 1, top + 0.13 * s, self.tick, self.tick, 0.9)
            yield self.text(x + self.words_at - 0.5 * s, top + s, str(step.number), "bold", s, end=True)
            yield from self.runs(set_lines, x + self.words_at, top, s)
            yield from self.runs(below, x + self.words_at, top + self.line * len(set_lines), small)
            if step.after:
                yield self.text(x + self.after_to, top + s, step.after, "bold", s, end=True)
            if step.what:
                yield self.text(x + self.after_to, top + s + 1.1 * small, step.what, "regular", small, end=True)
            if step.measured:
                yield Box(x + self.box_at, top - 0.15 * s, self.box_wide, 1.6 * s, 0.9)
                yield self.text(x + self.room - 3, top + s, "g", "regular", small, end=True)

        self.blocks.append(Block(high + 0.5 * s, draw, bool(step.weighs)))
        for n, weigh in enumerate(step.weighs):
            self.weigh(weigh, glued=n < len(step.weighs) - 1)

    def weigh(self, weigh: Weigh, *, glued: bool) -> None:
        """One thing to weigh in."""
        s, small = self.size, self.small
        left = self.words_at + 1.6 * s
        measure = settable(weigh.measure)
        to = self.measure_to - max(width(measure, "regular", s), 3.0 * s) - 0.8 * s
        name = [Run(weigh.name), *((Run(f" [{weigh.allergens.upper()}]", True),) if weigh.allergens else ())]
        set_lines = lines(pieces(tuple(name)), s, to - left)
        remark = lines(pieces((Run(weigh.remark),)), small, to - left) if weigh.remark else []
        # A short remark stands beside the name.
        beside = sum(width(bit, name, s) for name, bit in set_lines[-1]) + 0.6 * s
        if len(remark) == 1 and beside + sum(width(bit, name, small) for name, bit in remark[0]) <= to - left:
            behind, remark = remark, []
        else:
            behind = []
        high = self.line * len(set_lines) + 1.2 * small * len(remark) + 0.36 * s

        def draw(x: float, y: float) -> Iterable[Item]:
            top = y + 0.12 * s
            yield Box(x + self.words_at + 1, top + 0.13 * s, self.tick, self.tick, 0.9)
            yield from self.runs(set_lines, x + left, top, s)
            last = top + self.line * (len(set_lines) - 1)
            yield from self.runs(behind, x + left + beside, last + s - small, small)
            yield from self.runs(remark, x + left, last + self.line, small)
            yield self.text(x + self.measure_to, top + s, measure, "regular", s, end=True)
            yield self.text(x + self.grams_to, top + s, weigh.shown, "bold", 1.15 * s, end=True)
            # A hairline leads the eye from the name to the weight.
            yield Bar(x + left, y + high - 0.25, self.grams_to - left, 0.25)

        self.blocks.append(Block(high, draw, glued))

    # Foot ----------------------------------------------------------------------------------------------------------

    def foot(self) -> None:
        """Temperatures, what came out, signatures."""
        sheet, s = self.sheet, self.size
        if sheet.checks:
            self.heading("Temperatures", ("temperature", "from", "to", "initials"))
            for n, check in enumerate(sheet.checks):
                what = (Run(f"{check.where}: "), Run(f"{check.what}, {check.limit}", True))
                self.boxed(what, CHECK_BOXES, glued=n < len(sheet.checks) - 1)
        self.heading("What came out", ("counted or weighed",))
        for n, count in enumerate(sheet.counts):
            words = (
                Run(f"{count.what}: "),
                Run(count.expected, True),
                Run(f"; {count.remark}" if count.remark else ""),
            )
            self.boxed(words, 1, glued=n < len(sheet.counts) - 1)
        self.row_of_boxes(sheet.signs, 2.7 * s, above=0.7 * s)

    def heading(self, title: str, labels: Sequence[str]) -> None:
        """A heading over boxes, with what each of them holds."""
        s, small = self.size, self.small
        cells = self.cells()

        def draw(x: float, y: float) -> Iterable[Item]:
            base = y + 2.2 * s
            yield self.text(x, base, title, "bold", 1.25 * s)
            if len(labels) == 1:
                yield self.text(x + self.room, base, labels[0], "regular", small, end=True)
            else:
                for (left, _), label in zip(cells, labels, strict=True):
                    yield self.text(x + left, base, label, "regular", small)
            yield Bar(x, base + 0.3 * s, self.room, 1.2)

        self.blocks.append(Block(2.2 * s + 0.3 * s + 1.2, draw, True))

    def cells(self) -> list[tuple[float, float]]:
        """Left edge and width of the boxes of a check."""
        wide, gap = 4.7 * self.size, 0.4 * self.size
        first = self.room - CHECK_BOXES * wide - (CHECK_BOXES - 1) * gap
        return [(first + n * (wide + gap), wide) for n in range(CHECK_BOXES)]

    def boxed(self, words: Sequence[Run], count: int, *, glued: bool) -> None:
        """Words, and boxes to write into at their right."""
        s = self.size
        cells = self.cells()[-count:]
        set_lines = lines(pieces(tuple(words)), s, cells[0][0] - 0.8 * s)
        high = max(self.line * len(set_lines), 1.7 * s) + 0.4 * s

        def draw(x: float, y: float) -> Iterable[Item]:
            yield from self.runs(set_lines, x, y + 0.45 * s, s)
            for left, wide in cells:
                yield Box(x + left, y + 0.3 * s, wide, 1.7 * s, 0.9)

        self.blocks.append(Block(high, draw, glued))

    def all(self) -> list[Block]:
        """Every block of the sheet, in order."""
        self.blocks = []
        self.head()
        for part in self.sheet.sections:
            self.section(part)
        self.foot()
        return self.blocks
