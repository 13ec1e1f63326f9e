"""What forms of the panel share: title, servings, calories, footnote, box, and the mark of a proof.

21 CFR 101.9(d)(1)(i) box of hairlines, (d)(2) title, (d)(3) servings, (d)(5) calories, (d)(9) footnote.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from nutrition.panel import rules
from nutrition.panel.drawing import Box, Drawing, Text
from nutrition.panel.faces import CAP_HEIGHT, face
from nutrition.panel.pen import Pen, blank

if TYPE_CHECKING:
    from nutrition.panel.content import Content
    from nutrition.panel.rules import Look

# White beside the first and the last letter of the title, as shares of its size (bold N and s): without them its ink
# would stop short of the edges that everything else keeps.
_TITLE_BEARINGS = (0.077, 0.028)
TITLE_RISE = 0.722
"""How high the tallest ink of the title, the dot of the i, stands, as a share of its size."""
_PROOF = "PROOF"
_PROOF_GREY = 0.86
_PROOF_SHARE = 0.92  # of the box that the mark of a proof fills
BELOW_BAR = 1.0
"""pt below the thick bar under the serving size"""
AIR = 3.0
"""pt above and below letters that have no descenders beside a bar"""


def title_ems(words: str | None = None) -> float:
    """How wide the title's ink is, as a share of its size."""
    return face("bold").width(words or rules.words("title"), 1.0) - sum(_TITLE_BEARINGS)


def least_title(look: Look) -> float:
    """The least size of the title, pt: larger than any other type, the largest of which is the calories' figure."""
    return look.size("calories_figure") + look.space("title_extra")


def head_width(content: Content, look: Look) -> float:
    """The least width between the edges, pt, in which title, servings and serving size keep their sizes.

    The serving size may be set in the smaller type of (d)(3)(ii) where the look is tight.
    """
    bold = face("bold")
    size = look.size("serving_size_tight" if look.tight else "serving_size")
    serving = (
        bold.width(rules.words("serving_size"), size)
        + look.space("between_columns")
        + bold.width(content.serving_size, size)
    )
    servings = face("regular").width(content.servings, look.size("servings"))
    return max(title_ems() * least_title(look), serving, servings)


def title(pen: Pen, words: str, size: float) -> None:
    """Sets a line of the title so that its ink begins at the left edge, and a hairline's room below it."""
    pen.y += TITLE_RISE * size
    pen.text(pen.left - _TITLE_BEARINGS[0] * size, pen.y, words, "bold", size)


def top(pen: Pen, content: Content) -> None:
    """Draws title, servings per container, serving size, and the thick bar below them."""
    title(pen, rules.words("title"), pen.inner / title_ems())
    pen.y += AIR
    pen.rule()
    pen.y += 1.0
    servings(pen, content)
    pen.y += 1.0
    pen.bar("thick")
    pen.y += BELOW_BAR


def servings(pen: Pen, content: Content) -> None:
    """Sets servings per container and, at the right edge, the serving size, below its words where there is no room."""
    look, bold = pen.look, face("bold")
    leading = look.leading("other")
    size = look.size("servings")
    whole = face("regular").width(content.servings, size) <= pen.inner
    for words in [content.servings] if whole else halves(content.servings):
        pen.text(pen.left, pen.line(size, leading), words, "regular", size)
    head = rules.words("serving_size")
    for key in ("serving_size", "serving_size_tight"):
        size = look.size(key)
        both = bold.width(head, size) + bold.width(content.serving_size, size) + look.space("between_columns")
        if both <= pen.inner:
            break
    else:
        size = look.size("serving_size" if _fits(pen, content) else "serving_size_tight")
    baseline = pen.line(size, leading)
    pen.text(pen.left, baseline, head, "bold", size)
    if both > pen.inner:
        baseline = pen.line(size, leading)
    pen.text(pen.right, baseline, content.serving_size, "bold", size, anchor="end")


def halves(servings: str) -> list[str]:
    """The servings per container in two lines.

    >>> halves("About 3 servings per container")
    ['About 3 servings', 'per container']
    """
    end = " per container"
    return [servings.removesuffix(end), end.strip()]


def _fits(pen: Pen, content: Content) -> bool:
    return face("bold").width(content.serving_size, pen.look.size("serving_size")) <= pen.inner


def calories(pen: Pen, content: Content, rights: tuple[float, ...]) -> None:
    """Sets the calories, each figure ending at its right edge."""
    figure = pen.look.size("calories_figure")
    pen.y += CAP_HEIGHT * figure + 1.0
    pen.text(pen.left, pen.y, rules.words("calories"), "bold", pen.look.size("calories"))
    for amount, right in zip(content.calories, rights, strict=True):
        pen.text(right, pen.y, amount, "bold", figure, anchor="end")
    pen.y += AIR + 0.5


def statement(pen: Pen, content: Content, *, rule: bool = True) -> None:
    """Sets the statement about lines left out, below the table and in its type, (c), (f)(4)."""
    if not content.not_significant:
        return
    if rule:
        pen.rule()
    pen.y += 0.5
    pen.paragraph(content.not_significant, pen.look.size("nutrient"), pen.look.leading("other"))
    pen.y += 1.5


def footnote(pen: Pen, content: Content) -> None:
    """Sets the footnote, whose lines hang from its asterisk."""
    pen.y += 1.0
    size = pen.look.size("footnote")
    hang = face("regular").width("*", size) + blank(size)
    pen.text(pen.left, pen.y + pen.look.leading("other") / 2 + 0.75 * size, "*", "regular", size)
    pen.paragraph(content.footnote, size, pen.look.leading("other"), hang=hang)


def finish(pen: Pen, content: Content, width: float, notes: tuple[str, ...]) -> Drawing:
    """Draws the box around what was drawn, down to the pen, and, where it is one, the marks of a proof."""
    look = pen.look
    line = look.bar("box")
    height = pen.y + line
    items = [*pen.items, Box(line / 2, line / 2, width - line, height - line, line)]
    if not content.reason:
        return Drawing(width, height, tuple(items), notes)
    below = Pen(look, look.margin, width - look.margin, height + 1.0)
    below.paragraph(content.reason, look.size("proof"), look.leading("other"))
    return Drawing(width, below.y, (_proof(width, height), *items, *below.items), notes, proof=True)


def _proof(width: float, height: float) -> Text:
    """The word that runs through the box from its lower left to its upper right, behind all else."""
    turn = math.atan2(height, width)
    long = face("regular").width(_PROOF, 1.0)
    size = _PROOF_SHARE * min(
        width / (long * math.cos(turn) + CAP_HEIGHT * math.sin(turn)),
        height / (long * math.sin(turn) + CAP_HEIGHT * math.cos(turn)),
    )
    half = CAP_HEIGHT * size / 2
    return Text(
        x=width / 2 + half * math.sin(turn),
        y=height / 2 + half * math.cos(turn),
        text=_PROOF,
        face="regular",
        size=size,
        width=long * size,
        anchor="middle",
        turn=math.degrees(turn),
        grey=_PROOF_GREY,
    )
