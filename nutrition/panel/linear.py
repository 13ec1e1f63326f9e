"""The panel as running text, 21 CFR 101.9(j)(13)(ii)(A)(2): only where a small table does not fit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.panel import frame, rules
from nutrition.panel.drawing import POINTS_PER_INCH
from nutrition.panel.faces import face
from nutrition.panel.pen import Pen, blank

if TYPE_CHECKING:
    from collections.abc import Iterator

    from nutrition.panel.content import Content, Row
    from nutrition.panel.drawing import Drawing
    from nutrition.panel.rules import Look


@dataclass(frozen=True, slots=True)
class Piece:
    """A word or some that stay together: runs of (face, words, size in pt) without blanks between them."""

    runs: tuple[tuple[str, str, float], ...]

    @property
    def width(self) -> float:
        """How wide it is, pt."""
        return sum(face(name).width(words, size) for name, words, size in self.runs)

    @property
    def size(self) -> float:
        """Its largest type, pt."""
        return max(size for _, _, size in self.runs)


@dataclass(frozen=True, slots=True)
class Linear:
    """The form."""

    def widths(self, content: Content, look: Look) -> tuple[float, ...]:
        """Outer widths, pt: a usual one, and the least in which every piece stays whole."""
        least = max(piece.width for piece in _pieces(content, look)) + 2 * look.margin
        return max(rules.width("linear") * POINTS_PER_INCH, least), least

    def draw(self, content: Content, width: float, look: Look, notes: tuple[str, ...]) -> Drawing:
        """Draws the panel at an outer width, pt."""
        pen = Pen(look, look.margin, width - look.margin, look.margin - 1.0)
        leading = look.leading("other")
        for line in _lines(_pieces(content, look), pen.inner, look):
            size = max(piece.size for piece in line)
            baseline = pen.line(size, leading)
            x = pen.left
            for piece in line:
                for name, words, its in piece.runs:
                    pen.text(x, baseline, words, name, its)
                    x += face(name).width(words, its)
                x += _blank(piece, look)
        pen.y += 1.5
        return frame.finish(pen, content, width, notes)


def _blank(piece: Piece, look: Look) -> float:
    """The space behind a piece, pt: wider behind the title, which no comma ends."""
    title = frame.least_title(look)
    return 2 * blank(title) if piece.size == title else blank(look.size("nutrient"))


def _lines(pieces: list[Piece], room: float, look: Look) -> Iterator[list[Piece]]:
    line: list[Piece] = []
    taken = 0.0
    for piece in pieces:
        if line and taken + piece.width > room:
            yield line
            line, taken = [], 0.0
        line.append(piece)
        taken += piece.width + _blank(piece, look)
    if line:
        yield line


def _pieces(content: Content, look: Look) -> list[Piece]:
    """What stands in the text, in its order, each as far as it must not be broken."""
    servings, serving = look.size("servings"), look.size("serving_size")
    amount = look.size("amount_per_serving")
    count = content.servings.split(" serving")[0].replace("About", "about")
    title = frame.least_title(look)
    found = [Piece((("bold", rules.words("title"), title),))]
    found += _words("regular", f"{rules.words('linear_servings')} {count},", servings)
    found += _words("bold", f"{rules.words('linear_serving_size')} {content.serving_size},", serving)
    found += _words("bold", rules.words("linear_amount"), amount)
    found.append(
        Piece(
            (
                ("bold", rules.words("calories") + " ", look.size("calories")),
                ("bold", content.calories[0], look.size("calories_figure")),
                ("regular", ",", look.size("nutrient")),
            )
        )
    )
    for i, row in enumerate(content.rows):
        found += _row(row, look, last=i == len(content.rows) - 1)
    if content.not_significant:
        found += _words("regular", content.not_significant, look.size("nutrient"))
    found += _words("regular", "*" + content.footnote, look.size("footnote"))
    return found


def _row(row: Row, look: Look, *, last: bool) -> list[Piece]:
    """``Total Fat 19g (24% DV),``: the name may be broken, the amount not; per cents of (d)(7)(ii) bold."""
    size = look.size(row.group)
    found = [piece for name, words in row.inline_runs(0) for piece in _words(name, words, size)]
    end = "." if last else ","
    percent = row.cells[0].percent
    if not percent:
        whole = found[-1].runs[0]
        return [*found[:-1], Piece(((whole[0], whole[1] + end, size),))]
    found.append(
        Piece(
            (
                ("regular", "(", size),
                (row.percent_face, percent, size),
                ("regular", f" {rules.words('linear_dv')}){end}", size),
            )
        )
    )
    return found


def _words(name: str, words: str, size: float) -> list[Piece]:
    return [Piece(((name, word, size),)) for word in words.split()]
