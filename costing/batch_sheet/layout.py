"""Sets the content of a batch sheet on pages: as large as two pages allow.

Type begins at 12 points and shrinks, together with everything around it, until the sheet fits on one page at a size
that is easy to read, or on two at any; 8 points is the least. A sheet that needs more pages even so says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from costing.batch_sheet.content import Run
from costing.batch_sheet.rows import LEAST, MARGIN, Block, Rows
from costing.batch_sheet.setting import fitted, lines, pieces, settable, width
from nutrition.panel.drawing import Bar, Drawing

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from costing.batch_sheet.content import BatchSheet
    from costing.batch_sheet.setting import Piece
    from nutrition.panel.drawing import Item

LARGEST: Final = 12.0
EASY: Final = 10.5
"""Type sizes, pt: the largest, and the least for which one page is better than two."""
PAGES: Final = 2
"""How many pages a sheet should have at most."""
_STEP: Final = 0.25
_FOOT: Final = 22.0

Page = list[tuple[float, Block]]
"""Blocks with the height at which they begin, pt from the top."""


def pages(sheet: BatchSheet) -> tuple[Drawing, ...]:
    """The pages of a sheet.

    Args:
        sheet: its content.

    Returns:
        One drawing for each page, at most two where the least type size allows.
    """
    best: _Paged | None = None
    size = LARGEST
    while size >= LEAST:
        found = _paged(Rows(sheet, size))
        # Two pages in larger type are better than one that is hard to read.
        if len(found.pages) == 1 and (best is None or size >= EASY):
            best = found
            break
        if best is None and len(found.pages) <= PAGES:
            best = found
        if best is not None and size <= EASY:
            break
        size -= _STEP
    return (best or _paged(Rows(sheet, LEAST))).drawings()


@dataclass(frozen=True, slots=True)
class _Paged:
    """Rows on their pages.

    Args:
        rows: the rows.
        again: the allergens as they stand on top of every page after the first.
        pages: the blocks of each page.
    """

    rows: Rows
    again: list[list[Piece]]
    pages: list[Page]

    def drawings(self) -> tuple[Drawing, ...]:
        """One drawing for each page."""
        return tuple(
            Drawing(*self.rows.page, tuple(self._items(page, n))) for n, page in enumerate(self.pages, start=1)
        )

    def _items(self, page: Page, number: int) -> Iterable[Item]:
        if number > 1:
            yield from self._top(number)
        for y, block in page:
            yield from block.draw(MARGIN, y)
        yield from self._bottom(number)

    def _top(self, number: int) -> Iterable[Item]:
        rows, s = self.rows, self.rows.size
        head = settable(f"{rows.sheet.title} · {rows.sheet.size}")
        title, size = fitted(head, "bold", 1.1 * s, rows.room - 8 * s, LEAST)
        base = MARGIN + 1.1 * s
        yield rows.text(MARGIN, base, title, "bold", size)
        yield rows.text(MARGIN + rows.room, base, f"page {number} of {len(self.pages)}", "bold", s, end=True)
        yield from rows.runs(self.again, MARGIN, MARGIN + 1.4 * s, s)
        yield Bar(MARGIN, MARGIN + 1.55 * s + rows.line * len(self.again), rows.room, 0.6)

    def _bottom(self, number: int) -> Iterable[Item]:
        rows = self.rows
        base = rows.page[1] - MARGIN
        tail = f"page {number} of {len(self.pages)}"
        if len(self.pages) > PAGES:
            tail += "; a long sheet, keep its pages together"
        room = rows.room - width(tail, "regular", LEAST) - 12
        words, size = fitted(settable(rows.sheet.foot), "regular", LEAST, room, LEAST)
        yield Bar(MARGIN, base - 11.0, rows.room, 0.4)
        yield rows.text(MARGIN, base, words, "regular", size)
        yield rows.text(MARGIN + rows.room, base, tail, "regular", LEAST, end=True)


def _paged(rows: Rows) -> _Paged:
    """Put the rows on pages."""
    names = ", ".join(rows.sheet.allergens).upper() or "none written"
    again = lines(pieces((Run(f"ALLERGENS: {names}", True),)), rows.size, rows.room)
    bottom = rows.page[1] - MARGIN - _FOOT
    top = MARGIN + 2.1 * rows.size + rows.line * len(again)
    out: list[Page] = [[]]
    y = MARGIN

    def turn(first: Block) -> float:
        """A new page; a part that goes on has its name over it again."""
        out.append([])
        if not first.part:
            return top
        head = rows.part_head(f"{first.part}, continued")
        out[-1].append((top, head))
        return top + head.height

    for group in _groups(rows.all()):
        tall = sum(block.height for block in group)
        whole = tall <= bottom - top - 3 * rows.size
        # What is taller than a page begins where some of it fits.
        if out[-1] and y + tall > bottom and (whole or y > bottom - 6 * rows.line):
            y = turn(group[0])
        for block in group:
            if y + block.height > bottom and len(out[-1]) > 1:
                y = turn(block)
            out[-1].append((y, block))
            y += block.height
    return _Paged(rows, again, out)


def _groups(blocks: Sequence[Block]) -> Iterable[list[Block]]:
    """Blocks that stay together."""
    group: list[Block] = []
    for block in blocks:
        group.append(block)
        if not block.glued:
            yield group
            group = []
    if group:
        yield group
