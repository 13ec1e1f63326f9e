"""What all forms of the panel share: title, servings, footnote, box, and the mark of a proof.

21 CFR 101.9(d)(1)(i) box of hairlines, (d)(2) title as wide as the box, (d)(3) servings, (d)(9) footnote.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from nutrition.panel import rules
from nutrition.panel.drawing import Box, Drawing, Text
from nutrition.panel.faces import CAP_HEIGHT, face
from nutrition.panel.pen import Pen, blank, wrap

if TYPE_CHECKING:
    from nutrition.panel.content import Content

# White beside the first and the last letter of the title, as shares of its size (bold N and s): without them its ink
# would stop short of the edges that everything else keeps.
_TITLE_BEARINGS = (0.077, 0.028)
_TITLE_RISE = 0.722  # how high its tallest ink, the dot of the i, stands, as a share of its size
_PROOF = "PROOF"
_PROOF_GREY = 0.86
_PROOF_SHARE = 0.92  # of the box that the mark of a proof fills
BELOW_BAR = 1.0  # pt below the thick bar under the serving size
_AIR = 3.0  # pt above and below letters that have no descenders beside a bar


def margin() -> float:
    """From the outer edge of the box to the texts, pt."""
    return rules.space("margin") + rules.bar("box")


def least_width(content: Content, roomy: bool) -> float:
    """The least outer width, pt, in which title, servings and serving size keep their sizes.

    Args:
        content: what is printed.
        roomy: the serving size keeps its full type; otherwise the smaller one that the law allows where it is tight.
    """
    bold = face("bold")
    # The title must be larger than any other type, and the largest other type is the figure of the calories.
    title = _title_ems() * (rules.size("calories_figure") + 0.5)
    size = rules.size("serving_size" if roomy else "serving_size_tight")
    serving = (
        bold.width(rules.words("serving_size"), size)
        + rules.space("between_columns")
        + bold.width(content.serving_size, size)
    )
    servings = face("regular").width(content.servings, rules.size("servings"))
    return max(title, serving, servings) + 2 * margin()


def begin(width: float) -> Pen:
    """A pen inside a box of an outer width, pt."""
    return Pen(margin(), width - margin(), margin() - 1.0)


def top(pen: Pen, content: Content) -> None:
    """Draws title, servings per container, serving size, and the thick bar below them."""
    title = pen.inner / _title_ems()
    pen.y += _TITLE_RISE * title
    pen.text(pen.left - _TITLE_BEARINGS[0] * title, pen.y, rules.words("title"), "bold", title)
    pen.y += _AIR
    pen.rule(rules.bar("hairline"))
    pen.y += 1.0
    leading = rules.leading("other")
    size = rules.size("servings")
    pen.text(pen.left, pen.line(size, leading), content.servings, "regular", size)
    head = rules.words("serving_size")
    size = rules.size("serving_size")
    bold = face("bold")
    if bold.width(head, size) + bold.width(content.serving_size, size) + rules.space("between_columns") > pen.inner:
        size = rules.size("serving_size_tight")
    baseline = pen.line(size, leading)
    pen.text(pen.left, baseline, head, "bold", size)
    pen.text(pen.right, baseline, content.serving_size, "bold", size, anchor="end")
    pen.y += 1.0
    pen.bar(rules.bar("thick"))
    pen.y += BELOW_BAR


def calories(pen: Pen, content: Content, rights: tuple[float, ...]) -> None:
    """Draws the calories, each figure ending at its right edge, and the medium bar below them."""
    figure = rules.size("calories_figure")
    pen.y += CAP_HEIGHT * figure + 1.0
    pen.text(pen.left, pen.y, rules.words("calories"), "bold", rules.size("calories"))
    for amount, right in zip(content.calories, rights, strict=True):
        pen.text(right, pen.y, amount, "bold", figure, anchor="end")
    pen.y += _AIR + 0.5
    pen.bar(rules.bar("medium"))


def foot(pen: Pen) -> None:
    """Draws the medium bar and the footnote, whose lines hang from its asterisk."""
    pen.bar(rules.bar("medium"))
    pen.y += 1.0
    size = rules.size("footnote")
    hang = face("regular").width("*", size) + blank(size)
    for i, words in enumerate(wrap(rules.words("footnote"), "regular", size, pen.inner - hang)):
        baseline = pen.line(size, rules.leading("other"))
        if i == 0:
            pen.text(pen.left, baseline, "*", "regular", size)
        pen.text(pen.left + hang, baseline, words, "regular", size)
    pen.y += _AIR - 1.0


def finish(pen: Pen, content: Content, width: float, notes: tuple[str, ...]) -> Drawing:
    """Draws the box around what was drawn and, where it is one, the marks of a proof."""
    line = rules.bar("box")
    height = pen.y + line
    items = [*pen.items, Box(line / 2, line / 2, width - line, height - line, line)]
    if not content.reason:
        return Drawing(width, height, tuple(items), notes)
    below = Pen(margin(), width - margin(), height + 1.0)
    size = rules.size("proof")
    for words in wrap(content.reason, "regular", size, below.inner):
        below.text(below.left, below.line(size, rules.leading("other")), words, "regular", size)
    return Drawing(width, below.y, (_proof(width, height), *items, *below.items), notes, proof=True)


def _title_ems() -> float:
    return face("bold").width(rules.words("title"), 1.0) - sum(_TITLE_BEARINGS)


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
