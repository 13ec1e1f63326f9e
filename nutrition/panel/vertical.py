"""The panel from top to bottom, with one column of amounts or with two. 21 CFR 101.9(d)(12), (e)(6)(i).

Where there is not enough height, what follows potassium and the footnote stand beside the rest, (d)(11)(i), (ii).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.panel import frame, rules, table
from nutrition.panel.drawing import POINTS_PER_INCH
from nutrition.panel.faces import face
from nutrition.panel.pen import Pen, wrap

if TYPE_CHECKING:
    from nutrition.panel.content import Content, Row
    from nutrition.panel.drawing import Drawing
    from nutrition.panel.rules import Look
    from nutrition.panel.table import Needs

_LAST_ON_THE_LEFT = frozenset({"vitamin_d", "calcium", "iron", "potassium"})


@dataclass(frozen=True, slots=True)
class Vertical:
    """The form; ``beside`` moves the lower part to the right."""

    beside: bool = False

    def widths(self, content: Content, look: Look) -> tuple[float, ...]:
        """Outer widths, pt: the usual one, and the least in which nothing touches."""
        least = self._main_least(content, look) + self._side(content, look) + 2 * look.margin
        usual = rules.width("vertical" if len(content.columns) == 1 else "dual") * POINTS_PER_INCH
        return max(usual + self._side(content, look), least), least

    def draw(self, content: Content, width: float, look: Look, notes: tuple[str, ...]) -> Drawing:
        """Draws the panel at an outer width, pt."""
        pen = Pen(look, look.margin, width - look.margin - self._side(content, look), look.margin - 1.0)
        columns = table.place(pen, _needs(content, look))
        rights = tuple(column.right for column in columns) or (pen.right,)
        frame.top(pen, content)
        upper = pen.y - frame.BELOW_BAR
        _heads(pen, content, rights)
        frame.calories(pen, content, rights)
        pen.bar("medium")
        size = look.size("daily_value_head")
        baseline = pen.line(size, look.leading("nutrient"))
        for right in rights:
            pen.text(right, baseline, content.daily_value, "bold", size, anchor="end")
        table.rows(pen, content.nutrients, columns, first=True)
        left, moved = self._parts(content)
        if left:
            pen.bar("thick")
            table.rows(pen, left, columns, first=False)
        elif not self.beside:
            pen.bar("thick")
        for column in columns:
            pen.upright(column.rule, upper, pen.y)
        if self.beside:
            return self._finish_beside(pen, content, moved, width, notes)
        frame.statement(pen, content)
        pen.bar("medium")
        frame.footnote(pen, content)
        pen.y += frame.AIR - 1.0
        return frame.finish(pen, content, width, notes)

    def _finish_beside(
        self, pen: Pen, content: Content, moved: tuple[Row, ...], width: float, notes: tuple[str, ...]
    ) -> Drawing:
        look = pen.look
        gap = look.space("inside_column") + 1.0
        side = pen.beside(pen.right + 2 * gap, width - look.margin, look.margin)
        if moved:
            columns = table.place(side, table.needs(content, moved, look, (0.0,) * len(content.columns)))
            table.rows(side, moved, columns, first=False)
            for column in columns:
                side.upright(column.rule, look.margin, side.y)
            side.bar("medium")
        frame.statement(side, content, rule=False)
        frame.footnote(side, content)
        side.y += frame.AIR - 1.0
        pen.y = max(pen.y + frame.AIR - 1.0, side.y)
        line = look.bar("box")
        pen.upright(pen.right + gap, line, pen.y)
        return frame.finish(pen, content, width, notes)

    def _parts(self, content: Content) -> tuple[tuple[Row, ...], tuple[Row, ...]]:
        """The vitamins that stay on the left, and those that move to the right."""
        if not self.beside:
            return content.vitamins, ()
        stays = tuple(row for row in content.vitamins if row.key in _LAST_ON_THE_LEFT)
        return stays, tuple(row for row in content.vitamins if row.key not in _LAST_ON_THE_LEFT)

    def _side(self, content: Content, look: Look) -> float:
        """What the right part takes, with the white on both sides of its rule, pt."""
        if not self.beside:
            return 0.0
        _, moved = self._parts(content)
        wide = look.space("foot_cell")
        if moved:
            wide = max(wide, table.needs(content, moved, look, (0.0,) * len(content.columns)).total)
        words = wrap(content.not_significant, "regular", look.size("nutrient"), 1.0)
        longest = max((face("regular").width(word, look.size("nutrient")) for word in words), default=0.0)
        return max(wide, longest) + 2 * (look.space("inside_column") + 1.0)

    def _main_least(self, content: Content, look: Look) -> float:
        return max(frame.head_width(content, look), _needs(content, look).total)


def _heads(pen: Pen, content: Content, rights: tuple[float, ...]) -> None:
    """What stands over the calories: the columns' names, or that amounts are for a serving."""
    look = pen.look
    if len(content.columns) == 1:
        size = look.size("amount_per_serving")
        baseline = pen.line(size, look.leading("other"))
        pen.text(pen.left, baseline, rules.words("amount_per_serving"), "bold", size)
        return
    size = look.size("column_head")
    baseline = pen.line(size, look.leading("other"))
    for key, right in zip(content.columns, rights, strict=True):
        pen.text(right, baseline, rules.words(f"head_{key}"), "bold", size, anchor="end")


def _needs(content: Content, look: Look) -> Needs:
    bold = face("bold")
    word = bold.width(rules.words("calories"), look.size("calories"))
    figures = [bold.width(amount, look.size("calories_figure")) for amount in content.calories]
    if len(content.columns) == 1:
        line = word + look.space("between_columns") + figures[0]
        return table.needs(content, content.rows, look, (line,))
    heads = [
        max(
            bold.width(rules.words(f"head_{key}"), look.size("column_head")),
            bold.width(content.daily_value, look.size("daily_value_head")),
            figure,
        )
        for key, figure in zip(content.columns, figures, strict=True)
    ]
    return table.needs(content, content.rows, look, heads, word)
