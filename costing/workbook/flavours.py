"""The opening sheet: all flavours side by side, what a container costs by kind, what selling it leaves, its label."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING

from costing.workbook import chart, labels, look
from costing.workbook.cost import KINDS, container_of
from costing.workbook.formats import number
from costing.workbook.measure import wide
from costing.workbook.text import capital, place, plural
from costing.workbook.values import NA, NONE, Column, Link, Value

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date

    from costing.results import ChannelResult, CostAnswer, RecipeAnswer
    from costing.shop.models import ShopModel
    from costing.workbook.grid import Sheet

NAME = "Flavours"
WIDTHS = (30, 9, 10, 10.5, 9.5, 9.5, 9.5, 9.5, 9.5, 9.5, 9.5, 9.5, 14, 9, 9, 17, 28)
FIRST_KIND = 4


def write(
    sheet: Sheet,
    answers: Sequence[RecipeAnswer],
    model: ShopModel,
    day: date,
    links: Mapping[str, Mapping[str, str]],
    findings: int,
    figures: Callable[[CostAnswer, str], list[Value]] | None = None,
    made: Callable[[RecipeAnswer], list[Value]] | None = None,
    labelled: Callable[[str, list[Value]], list[Value]] | None = None,
) -> None:
    """Write the sheet.

    Args:
        sheet: a new sheet with :data:`WIDTHS`.
        answers: everything about every recipe.
        model: the shop.
        day: the day of the prices.
        links: for each recipe where the sections of its sheet begin.
        findings: how many there are.
        figures: gives a flavour's containers and money, for the channel named, in place of what the engine says.
        made: gives weight, cost and cost of a kg of a house base, in place of what the engine says.
        labelled: gives what is said of a flavour's label, in place of what holds for the recipe as it is written.
    """
    sold = [a for a in answers if a.cost is not None and a.cost.batch.containers > 0]
    bases = [a for a in answers if a not in sold]
    sheet.title(
        capital(model.name),
        f"{capital(plural(len(sold), 'flavour'))} · prices as of {sheet.formats.day(day)} · money in {model.currency}",
    )
    if findings:
        sheet.put(1, Link(f"{plural(findings, 'finding')}: read them first", place("Findings")), look.GO)
        sheet.row += 1
    sheet.gap(6)
    if sold:
        first = next(iter(model.channels), "") or _first(sold)
        head = _table(sheet, sold, first, links, figures, labelled)
        sheet.freeze(f"B{head + 1}")
        _picture(sheet, head, [answer.title for answer in sold], model.currency)
        repeat = (head, head)
    else:
        sheet.paragraph("No flavour fills a container yet.")
        repeat = (1, 1)
    if bases:
        _bases(sheet, bases, links, made)
    sheet.gap()
    sheet.paragraph(
        "Figures are calculated from the recipes, the price lists and published food data; they are not measured. "
        "“unknown” means that nobody has said; a dash means that it does not apply."
    )
    sheet.print_setup(foot=(model.name, f"Prices as of {sheet.formats.day(day)}"), repeat=repeat)


def _first(sold: Sequence[RecipeAnswer]) -> str:
    return next((c.name for a in sold if a.cost for c in a.cost.channels), "")


def _table(
    sheet: Sheet,
    sold: Sequence[RecipeAnswer],
    first: str,
    links: Mapping[str, Mapping[str, str]],
    figures: Callable[[CostAnswer, str], list[Value]] | None,
    labelled: Callable[[str, list[Value]], list[Value]] | None,
) -> int:
    money, percent = sheet.formats.money, sheet.formats.percent
    table = (
        Column("Flavour", 1),
        Column("Sold in", 2, wrap=True),
        Column("Containers a batch", 3, number(0)),
        *(Column(title.partition(" (")[0], FIRST_KIND + i, money) for i, (_, _, title) in enumerate(KINDS)),
        Column("Cost of a container", 9, money),
        Column(f"Price, {first}" if first else "Price", 10, money),
        Column("Margin", 11, money),
        Column("Margin % of price", 12, percent),
        Column("Best way to sell", 13, wrap=True),
        Column("Its margin", 14, percent),
        Column("Calories a serving", 15, align="right"),
        Column("Allergens", 16, wrap=True),
        Column("Label", 17, wrap=True),
    )
    sheet.put(4, "Cost of a container, by kind", look.HEADING)
    sheet.put(10, "What selling it leaves", look.HEADING)
    sheet.put(15, "On the label", look.HEADING)
    sheet.row += 1
    head = sheet.heads(table)
    for answer in sold:
        assert answer.cost is not None
        to = links.get(answer.recipe, {})
        name: Value = Link(answer.title, to["Cost"]) if "Cost" in to else answer.title
        sheet.line(
            table,
            [
                name,
                ", ".join(f.container for f in answer.filled) or container_of(answer.cost),
                *(figures(answer.cost, first) if figures else _money(answer.cost, first)),
                *(labelled(answer.recipe, _label(answer)) if labelled else _label(answer)),
            ],
        )
    return head


def _money(cost: CostAnswer, first: str) -> list[Value]:
    each = cost.per_container
    return [cost.batch.containers, *(getattr(each, field) for _, field, _ in KINDS), each.total, *_selling(cost, first)]


def _selling(cost: CostAnswer, first: str) -> list[Value]:
    by_name = {channel.name: channel for channel in cost.channels}
    main = by_name.get(first)
    best = best_channel(cost.channels)
    most: list[Value] = [NA, NA] if best is None else [best.name, (best.margin_pct or 0.0) / 100]
    if main is None:
        return [NA, NA, NA, *most]
    return [main.price, main.margin, NA if main.margin_pct is None else main.margin_pct / 100, *most]


def best_channel(channels: Sequence[ChannelResult]) -> ChannelResult | None:
    """The channel that leaves the greatest share of its price; the first of equals, None where there is none."""
    counted = [channel for channel in channels if channel.margin_pct is not None and isfinite(channel.margin_pct)]
    return max(counted, key=lambda channel: channel.margin_pct or 0.0, default=None)


def _label(answer: RecipeAnswer) -> list[Value]:
    label = answer.label
    if label is None:
        return [None, None, "not calculated"]
    calories = next((line for line in label.nutrients if line.key == "energy"), None)
    printed = (calories.declared.get("serving") or calories.declared.get("container")) if calories else None
    return [printed or None, ", ".join(label.allergens) or "none", labels.state(label)]


def _picture(sheet: Sheet, head: int, titles: Sequence[str], currency: str) -> None:
    sheet.gap(14)
    sheet.put(1, "What a container costs, by kind", look.HEADING)
    sheet.row += 1
    tall = chart.add(
        sheet.sheet,
        at=f"A{sheet.row}",
        names=1,
        kinds=(FIRST_KIND, FIRST_KIND + len(KINDS) - 1),
        rows=(head, head + 1, head + len(titles)),
        axis=f"Cost of a container ({currency})",
        fmt=sheet.formats.money,
        wide_cm=sum(sheet.widths) * 7 / 96 * 2.54,
        longest=max(map(wide, titles)),
    )
    sheet.row += round(tall / 2.54 * 72 / 15) + 1


def _bases(
    sheet: Sheet,
    bases: Sequence[RecipeAnswer],
    links: Mapping[str, Mapping[str, str]],
    figures: Callable[[RecipeAnswer], list[Value]] | None,
) -> None:
    sheet.put(1, "House bases, and what is not filled", look.HEADING)
    sheet.row += 1
    table = (
        Column("Recipe", 1, wrap=True),
        Column("Made (g)", 3, number(0)),
        Column("Cost", 4, sheet.formats.money),
        Column("Cost of a kg", 5, sheet.formats.money),
    )
    sheet.heads(table)
    for answer in bases:
        to = links.get(answer.recipe, {})
        name: Value = Link(answer.title, next(iter(to.values()))) if to else answer.title
        if not answer.parts:
            sheet.line(table, [name, NONE, "not calculated", NONE], "warn")
            continue
        if figures:
            sheet.line(table, [name, *figures(answer)])
            continue
        made = answer.parts[-1]
        each: Value = made.cost / made.out_g * 1000 if made.out_g > 0 else NA
        sheet.line(table, [name, made.out_g, made.cost, each])
