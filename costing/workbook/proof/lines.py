"""Evidence: for every line of every label what each ingredient brings, what was lost of it, and its food record."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from costing.evidence.losses import HEAT
from costing.evidence.writer import digits
from costing.workbook.formats import number
from costing.workbook.values import NA, NONE, Column, Value

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from costing.evidence.gather import Evidence, Line
    from costing.evidence.losses import Held, Journey
    from costing.workbook.grid import Sheet
    from nutrition.law.us.evidence import Amount, Share

NAME = "Evidence"
WIDTHS = (26, 20, 5, 19, 9, 9, 9, 9, 9, 10, 9, 9, 8, 9, 10, 10, 17, 40, 40, 30)
MOST_STEPS = 4
"""steps that are named of what was lost on the way"""


def write(sheet: Sheet, proofs: Sequence[Evidence]) -> int:
    """Write the sheet.

    Args:
        sheet: a new sheet with :data:`WIDTHS`.
        proofs: the evidence of each label.

    Returns:
        The row of its heads.
    """
    sheet.title(NAME, "What every ingredient brings to every line of a label, for one container, before any rounding.")
    sheet.paragraph(
        "Put in = lost + kept for later + in the container. The shares of a line add up to its unrounded amount, "
        "which stands in the row Together with what is printed for it. A filter stands on the heads."
    )
    heads = (
        ("Flavour", ""), ("Line", ""), ("Unit", ""), ("Ingredient", ""), ("Grams in it", number(2)),
        ("Put in", "#"), ("Heat, vapour", "#"), ("Thrown away", "#"), ("Kept for later", "#"), ("In the pack", "#"),
        ("at least", "#"), ("at most", "#"), ("Share", "0.0%"), ("In a serving", "#"), ("Printed, serving", ""),
        ("Printed, container", ""), ("Food record", ""), ("Lost on the way", ""), ("Source of the record", ""),
        ("Estimated from", ""),
    )  # fmt: skip
    tables = {
        places: tuple(
            Column(head, at, number(places) if fmt == "#" else fmt, align="right" if head.startswith("Printed") else "")
            for at, (head, fmt) in enumerate(heads, start=1)
        )
        for places in (1, 2)
    }
    head = sheet.heads(tables[2])
    for proof in proofs:
        for line in proof.lines.values():
            places = digits(line.origin.unit, line.origin.total.high)
            _line(sheet, tables[places], proof, line)
    sheet.filter(head, len(heads))
    return head


def _line(sheet: Sheet, table: Sequence[Column], proof: Evidence, line: Line) -> None:
    origin = line.origin
    serving = proof.label.serving.grams / proof.product.net_g
    name = "Added Sugars" if origin.key == "added_sugars" else line.line.name
    start: list[Value] = [proof.label.title, name, origin.unit]
    for share in origin.shares:
        journey = proof.journeys.get(share.ingredient)
        if share.amount.high > 0 or (journey is not None and _of(journey.put_in, proof, line)[1] > 0):
            sheet.line(table, [*start, *_share(share, journey, proof, line, serving)])
    for one in origin.corrections:
        what: list[Value] = [one.what, NONE, NONE, NONE, NONE, NONE, *_amounts(one.amount), NONE, NONE, NONE, NONE]
        sheet.line(table, [*start, *what, one.rule, NONE, NONE, NONE])
    printed = {figure.column: figure for figure in line.figures}
    texts: list[Value] = []
    for column in ("serving", "container"):
        figure = printed.get(column)
        texts.append(NA if figure is None or line.left_out else _text(figure.text, figure.percent))
    total: list[Value] = ["Together", proof.product.net_g, NONE, NONE, NONE, NONE, *_amounts(origin.total)]
    each = origin.total.times(serving).value
    sheet.line(table, [*start, *total, NONE, each, *texts, line.line.rule, NONE, NONE, NONE], "sub")


def _share(share: Share, journey: Journey | None, proof: Evidence, line: Line, serving: float) -> list[Value]:
    whole = line.origin.total.value
    of_all: Value = NA if share.amount.value is None or not whole else share.amount.value / whole
    ways: list[Value] = [NA] * 4
    words: Value = NONE
    if journey is not None:
        heat = [one.held for one in journey.away if one.how == HEAT]
        gone = [one.held for one in journey.away if one.how != HEAT]
        ways = [_sum(held, proof, line) for held in ([journey.put_in], heat, gone, journey.kept.values())]
        words = _steps(journey, proof, line) or NONE
    return [
        share.ingredient,
        share.grams,
        *ways,
        *_amounts(share.amount),
        of_all,
        share.amount.times(serving).value,
        NONE,
        NONE,
        share.food,
        words,
        share.source,
        share.estimated or NONE,
    ]


def _amounts(amount: Amount) -> list[Value]:
    return [amount.value, amount.low, amount.high]


def _text(text: str, percent: int | None) -> Value:
    return None if not text else text if percent is None else f"{text} ({percent}%)"


def _of(held: Held, proof: Evidence, line: Line) -> tuple[float | None, float]:
    _, best, high = held.of(line.origin.key, proof.label.calorie_key)
    return best, high


def _sum(held: Iterable[Held], proof: Evidence, line: Line) -> Value:
    values = [_of(one, proof, line)[0] for one in held]
    return None if any(value is None for value in values) else math.fsum(value or 0.0 for value in values)


def _steps(journey: Journey, proof: Evidence, line: Line) -> str:
    """The steps that took most of it, in words."""
    places = digits(line.origin.unit, line.origin.total.high)
    taken = [(one, value) for one in journey.away if (value := _of(one.held, proof, line)[0])]
    taken = [(one, value) for one, value in taken if round(value, places) > 0]
    taken.sort(key=lambda pair: -pair[1])
    said = [f"{one.part} {one.step} {one.name or one.verb} {value:.{places}f}" for one, value in taken[:MOST_STEPS]]
    return "; ".join(said) + ("; …" if len(taken) > MOST_STEPS else "")
