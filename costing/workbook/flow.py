"""What waste costs: what each step lost, in grams and in the money that it cost when it was bought; and the picture.

The value here stays with each gram as it was bought: lost, in containers and saved add up to bought. It is told beside
the cost and never added to it. The table needs the answer only; the pictures need the batch, and are drawn only where
somebody hands them over.
"""

from __future__ import annotations

import io
import math
from typing import TYPE_CHECKING

from costing.flow.graph import LOSSES
from costing.money import percent
from costing.workbook.cost import container_of, filled_words, share_of
from costing.workbook.formats import weight
from costing.workbook.grid import DIGIT_IN, NOTHING
from costing.workbook.values import NA, NONE, Column, Value

if TYPE_CHECKING:
    from collections.abc import Iterator

    from costing.flow import Flow
    from costing.results import CostAnswer, LossLine, RecipeAnswer
    from costing.workbook.grid import Sheet

DOTS = 120.0
"""pixels to the inch of the pictures"""
TALLEST_ROW = 200.0
"""points; a picture stands over as many rows as it needs"""
SOME = 0.05
"""g of steam that is worth a word"""
WORST = 3
"""losses that the sentence above the table names"""


def write(sheet: Sheet, answer: RecipeAnswer, flow: Flow | None = None) -> int:
    """Write the section.

    Args:
        sheet: a flavour's sheet, at the row where the section begins.
        answer: everything about the recipe; without a cost there is no table.
        flow: the flow of its batch, whose pictures are drawn; None for the table alone.

    Returns:
        The row of its heading.
    """
    at = sheet.section("What waste costs")
    if answer.cost is not None:
        _summary(sheet, answer, answer.cost)
        _table(sheet, answer, answer.cost)
    if flow is not None:
        for one in (flow, flow.weighed) if flow.drawn_by == "value" else (flow,):
            _picture(sheet, one)
    return at


def _summary(sheet: Sheet, answer: RecipeAnswer, cost: CostAnswer) -> None:
    """The table in a sentence: how much of what was bought is lost, and where most of it."""
    if not (math.isfinite(cost.bought_value) and math.isfinite(cost.lost_value)) or cost.bought_value <= 0:
        return
    cash = sheet.formats.cash
    share = percent(100 * cost.lost_value / cost.bought_value, sheet.formats.locale)
    each = _per_container(answer, cost)
    of_each = "" if each is None else f", {cash(cost.lost_value * each)} in every {container_of(cost)}"
    words = f"Of {cash(cost.bought_value)} spent on ingredients, {cash(cost.lost_value)} ({share}) is lost{of_each}."
    worst = sorted(_lines(cost), key=lambda line: -line.value)[:WORST]
    named = [f"{_what(line)}, {_where(line)} ({cash(line.value)})" for line in worst if line.value > 0]
    sheet.paragraph(f"{words} Most of it: {'; '.join(named)}." if named else words)


def _table(sheet: Sheet, answer: RecipeAnswer, cost: CostAnswer) -> None:
    formats = sheet.formats
    each = _per_container(answer, cost)
    table = (
        Column("Part", 1, wrap=True),
        Column("Step", 2, wrap=True),
        Column("Vapour (g)", 3, weight(1)),
        Column("Weight (g)", 4, weight(1)),
        Column("Worth as bought", 5, formats.money),
        Column("Share of bought", 6, formats.percent),
        Column(f"Worth, {container_of(cost)}", 7, formats.fine_money),
        Column("In words", 8, over=6),
    )

    def money(value: float) -> list[Value]:
        return [value, share_of(value, cost.bought_value), NA if each is None else value * each]

    sheet.heads(table)
    for line in _lines(cost):
        # Steam takes no money, which is not the same as a loss that was worth nothing.
        amounts = money(line.value) if line.discarded_g > NOTHING else [NA, NA, NA]
        step = {"buy": "not usable as bought", "fill": "filled no container"}.get(line.verb, line.verb)
        place = f"{line.step} {step}" if line.step > 0 else step
        grams: list[Value] = [line.vapour_g, line.discarded_g]
        sheet.line(table, [_where(line), place, *grams, *amounts, _what(line)])
    vapour = math.fsum(line.vapour_g for line in cost.lost)
    gone = math.fsum(line.discarded_g for line in cost.lost)
    batch = cost.batch
    kept = ", ".join(f"{line.item} {line.amount}".strip() for line in cost.lines if line.kind == "saved")
    rest: list[tuple[str, float, float, str, str]] = [
        ("Lost in all", gone, cost.lost_value, "", "sub"),
        ("In containers", batch.out_g, cost.in_containers_value, filled_words(cost, answer.filled), "body"),
        ("Saved", batch.saved_g, cost.saved_value, kept, "body"),
    ]
    for name, grams_of, value, what, tone in rest:
        steam: Value = vapour if name == "Lost in all" else NONE
        sheet.line(table, [name, NONE, steam, grams_of, *money(value), what or NONE], tone)
    bought_g = batch.out_g + batch.saved_g + gone + vapour
    sheet.line(table, ["Ingredients bought", NONE, NONE, bought_g, *money(cost.bought_value), NONE], "total")
    sheet.paragraph(
        "Worth here stays with each gram as it was bought: lost, in containers and saved add up to bought, and with "
        "the vapour so does the weight. It is told beside the cost above and never added to it; vapour takes none."
    )


def _lines(cost: CostAnswer) -> Iterator[LossLine]:
    """What was lost, the unusable share of each purchase on a line of its own."""
    from costing.results import LossLine

    unused: list[LossLine] = []
    for one in cost.lines:
        if one.kind == "ingredient" and None not in (one.bought_g, one.used_g, one.per_kg):
            unusable = (one.bought_g or 0.0) - (one.used_g or 0.0)
            if unusable > NOTHING:
                unused.append(LossLine(one.item, 0, "buy", 0.0, unusable, unusable * (one.per_kg or 0.0) / 1000))
    for line in cost.lost:
        whole = math.fsum(one.discarded_g for one in unused)
        if line.verb == "buy" and abs(whole - line.discarded_g) <= 1e-6 * max(1.0, whole):
            yield from unused
        else:
            yield line


def _what(line: LossLine) -> str:
    """What a loss was, in words."""
    if line.discarded_g > NOTHING:
        words = LOSSES.get(line.verb, "thrown away")
        return f"{words}, and steam" if line.vapour_g >= SOME else words
    return "boiled off"


def _where(line: LossLine) -> str:
    """The part or the purchase that lost it."""
    return "bought goods" if line.part in ("", "bought") else line.part


def _per_container(answer: RecipeAnswer, cost: CostAnswer) -> float | None:
    """What share of a batch one container of the first kind holds, by volume; None where none is filled."""
    volume = math.fsum(filled.count * filled.fill_ml for filled in answer.filled)
    if volume > 0:
        return answer.filled[0].fill_ml / volume
    return 1.0 / cost.batch.containers if cost.batch.containers else None


def _picture(sheet: Sheet, flow: Flow) -> None:
    """A picture over the whole width of the sheet, and under it the room that it takes."""
    from openpyxl.drawing.image import Image

    sheet.gap(10)
    sheet.block()
    drawn = flow.picture
    room = sum(sheet.widths) * DIGIT_IN * 72.0
    scale = min(1.0, room / drawn.width)
    # Spreadsheets measure pictures in pixels of 1/96 inch.
    image = Image(io.BytesIO(flow.png(DOTS)))
    image.width, image.height = round(drawn.width * scale * 96 / 72), round(drawn.height * scale * 96 / 72)
    sheet.sheet.add_image(image, f"A{sheet.row}")
    high = drawn.height * scale
    rows = math.ceil(high / TALLEST_ROW)
    for _ in range(rows):
        sheet.gap(high / rows)
