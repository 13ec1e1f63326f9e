"""All flavours in all channels, in one list that can be filtered: what each way of selling leaves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.workbook.cost import channel_table, channel_values, verdict
from costing.workbook.text import capital
from costing.workbook.values import Column, Link, Value

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date

    from costing.results import ChannelResult, RecipeAnswer
    from costing.shop.models import ShopModel
    from costing.workbook.grid import Sheet

NAME = "Margins"
WIDTHS = (30, 20, 24, 10.5, 10.5, 11, 10.5, 11, 11, 11, 15, 12)


def write(
    sheet: Sheet,
    answers: Sequence[RecipeAnswer],
    model: ShopModel,
    day: date,
    links: Mapping[str, Mapping[str, str]],
    figures: Callable[[RecipeAnswer, ChannelResult], list[Value]] | None = None,
) -> None:
    """Write the sheet.

    Args:
        sheet: a new sheet with :data:`WIDTHS`.
        answers: everything about every recipe; those that sell nothing are left out.
        model: the shop.
        day: the day of the prices.
        links: for each recipe where the sections of its sheet begin.
        figures: gives the row of a channel from the words on, in place of what the engine says.
    """
    sheet.title("Margins", "Every flavour in every way of selling, for one container. Prices are without sales tax.")
    sheet.gap(6)
    own = channel_table(sheet, "container")
    table = (Column("Flavour", 1), *(Column(c.head, c.at + 1, c.fmt, c.wrap, c.align) for c in own))
    head = sheet.heads(table)
    for answer in answers:
        if answer.cost is None:
            continue
        to = links.get(answer.recipe, {})
        name: Value = Link(answer.title, to["Cost"]) if "Cost" in to else answer.title
        for channel in answer.cost.channels:
            tone = "body" if channel.margin >= 0 else "warn"
            if figures:
                sheet.line(table, [name, capital(channel.name), *figures(answer, channel)])
                continue
            words = [capital(channel.name), verdict(sheet, channel)]
            sheet.line(table, [name, *words, *channel_values(channel)], tone)
    sheet.filter(head, len(table))
    sheet.freeze(f"B{head + 1}")
    sheet.print_setup(foot=(model.name, f"Prices as of {sheet.formats.day(day)}"), repeat=(head, head))
