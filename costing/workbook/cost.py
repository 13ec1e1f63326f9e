"""The cost of a flavour: what was bought and paid for, line by line, and what each channel leaves.

The lines of every kind add up to its subtotal, and the subtotals to the total: a batch, a container, a serving.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from costing.workbook.formats import number
from costing.workbook.text import capital, plural
from costing.workbook.values import NA, NONE, Column, Value

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from costing.results import ChannelResult, Cost, CostAnswer, CostLine, Filled
    from costing.workbook.grid import Sheet

KINDS = (
    ("ingredient", "ingredients", "Ingredients"),
    ("packaging", "packaging", "Packaging"),
    ("labour", "labour", "Labour"),
    ("overhead", "overhead", "Overhead"),
    ("saved", "saved", "Saved for later (credit)"),
)
"""Kind of a line, the field of :class:`~costing.results.Cost` that it counts in, and its name."""


def write(sheet: Sheet, cost: CostAnswer, filled: tuple[Filled, ...], packed_in: Collection[str]) -> int:
    """Write the section.

    Args:
        sheet: a flavour's sheet, at the row where the section begins.
        cost: the answer.
        filled: the containers that a batch fills.
        packed_in: what the first of them is made of, by name.

    Returns:
        The row of its heading.
    """
    at = sheet.section("Cost")
    _figures(sheet, cost, filled)
    if len(filled) > 1:
        _containers(sheet, cost, filled)
    _lines(sheet, cost, filled, packed_in)
    if cost.channels:
        _channels(sheet, cost)
    return at


def container_of(cost: CostAnswer) -> str:
    """What the flavour is sold in; where a batch fills several kinds, the first, whose cost and margins are told."""
    return cost.batch.container or "container"


def filled_words(cost: CostAnswer, filled: Sequence[Filled]) -> str:
    """What a batch fills, in words."""
    if not filled:
        return plural(cost.batch.containers, container_of(cost))
    return " and ".join(plural(f.count, f.container) for f in filled)


def _figures(sheet: Sheet, cost: CostAnswer, filled: Sequence[Filled]) -> None:
    money, batch = sheet.formats.money, cost.batch
    thing = container_of(cost)
    sheet.strip(
        [
            ("A batch makes", filled_words(cost, filled), ""),
            ("Prices as of", cost.as_of, sheet.formats.date),
            ("Cost of a batch", cost.cost.total, money),
            (f"Cost of a {thing}", cost.per_container.total, money),
            ("Cost of a serving", cost.per_serving.total, money),
            *([(f"Freight in a {thing}", cost.freight[1], money)] if cost.freight else []),
            (f"Weight of a {thing} (g)", batch.fill_g, number(0)),
            (f"Volume of a {thing} (mL)", batch.fill_ml, number(0)),
            ("Overrun", NA if batch.overrun is None else batch.overrun, sheet.formats.percent),
            ("Machine runs", batch.runs or NA, number(0)),
            ("Mix density (g/mL)", NA if batch.mix_density is None else batch.mix_density, number(3)),
            (
                "Weight of a gallon (lb)",
                NA if batch.weight_per_gallon_lb is None else batch.weight_per_gallon_lb,
                number(2),
            ),
        ]
    )


def _containers(sheet: Sheet, cost: CostAnswer, filled: Sequence[Filled]) -> None:
    sheet.heading("Containers")
    table = (
        Column("Container", 1),
        Column("Filled (whole)", 2, number(0), align="left"),
        Column("Weight of one (g)", 3, number(1)),
        Column("Volume of one (mL)", 4, number(1)),
        Column("Declared on one (mL)", 5, number(1)),
        Column("Cost of one", 6, sheet.formats.money),
    )
    sheet.heads(table)
    others = {other.container: other.cost.total for other in cost.also}
    for f in filled:
        each = cost.per_container.total if f.container == cost.batch.container else others.get(f.container)
        sheet.line(table, [f.container, f.count, f.fill_g, f.fill_ml, f.declared_ml, each])
    sheet.paragraph(
        f"Everything below that is told for one container is told for one {container_of(cost)}; the margin of a batch "
        f"counts those only. Ingredients, labour and overhead are shared out by volume, packaging is each one's own."
    )


def _lines(sheet: Sheet, cost: CostAnswer, filled: Sequence[Filled], packed_in: Collection[str]) -> None:
    formats, thing = sheet.formats, container_of(cost)
    sheet.heading("What it costs")
    table = (
        Column("Item", 1, wrap=True),
        Column("Amount", 2, wrap=True),
        Column("Bought (g)", 3, number(1)),
        Column("Used (g)", 4, number(1)),
        Column("Price of a kg, with freight" if cost.freight else "Price of a kg", 5, formats.money),
        Column("Cost, batch", 6, formats.money),
        Column(f"Cost, {thing}", 7, formats.fine_money),
        Column("Cost, serving", 8, formats.fine_money),
        Column("Share of cost", 9, formats.percent),
        Column("Pack", 10, wrap=True),
        Column("Price of pack", 11, formats.money),
        Column("Price dated", 12, formats.date),
        Column("Supplier", 13, over=1),
    )
    sheet.heads(table)
    total = cost.cost.total
    for kind, name, title in KINDS:
        lines = [line for line in cost.lines if line.kind == kind]
        whole = getattr(cost.cost, name)
        if not lines and not whole:
            continue
        counted = _own(lines, packed_in) if kind == "packaging" and len(filled) > 1 else lines
        # What a line is of a container follows from its kind as a whole, so that the columns add up as they stand.
        basis = sum(line.cost for line in counted)
        each = _rate(cost.per_container, name, basis)
        serving = _rate(cost.per_serving, name, basis)
        for line in lines:
            rates = (each, serving) if line in counted else (None, None)
            money: list[Value] = [
                line.cost,
                _times(line.cost, rates[0]),
                _times(line.cost, rates[1]),
                share_of(line.cost, total),
            ]
            sheet.line(table, [*_bought(line), *money, *_source(line)])
        subtotal: list[Value] = [whole, getattr(cost.per_container, name), getattr(cost.per_serving, name)]
        blank: list[Value] = [NONE] * 4
        sheet.line(table, [title, *blank, *subtotal, share_of(whole, total), *blank], "sub")
    totals: list[Value] = [total, cost.per_container.total, cost.per_serving.total, share_of(total, total)]
    sheet.line(table, ["Total", NONE, NONE, NONE, NONE, *totals, NONE, NONE, NONE, NONE], "total")


def _own(lines: Sequence[CostLine], packed_in: Collection[str]) -> list[CostLine]:
    """Of all packaging the lines of the first container, which stand first."""
    found: dict[str, CostLine] = {}
    for line in lines:
        if line.item in packed_in:
            found.setdefault(line.item, line)
    return list(found.values())


def _bought(line: CostLine) -> list[Value]:
    if line.kind != "ingredient":
        weight: Value = NA if line.bought_g is None else line.bought_g
        return [line.item, line.amount or NA, weight, NA if line.used_g is None else line.used_g, _or_na(line.per_kg)]
    return [line.item, line.amount or NA, _or_na(line.bought_g), line.used_g, _or_na(line.per_kg)]


def _source(line: CostLine) -> list[Value]:
    return [line.pack or NA, _or_na(line.price), line.price_date or NA, line.supplier or NA]


def _or_na(value: float | None) -> Value:
    return NA if value is None else value


def _rate(cost: Cost, name: str, whole: float) -> float:
    part: float = getattr(cost, name)
    return part / whole if whole else 0.0


def _times(value: float, rate: float | None) -> Value:
    return NA if rate is None else value * rate


def share_of(value: float, total: float) -> Value:
    """A share, 0 to 1, or a mark where it cannot be said."""
    if math.isnan(value) or math.isnan(total):
        return None
    return value / total if total > 0 else NA


def _channels(sheet: Sheet, cost: CostAnswer) -> None:
    thing = container_of(cost)
    sheet.heading(f"What each way of selling leaves, for a {thing}")
    table = channel_table(sheet, thing)
    sheet.heads(table)
    for channel in cost.channels:
        tone = "body" if channel.margin >= 0 else "warn"
        sheet.line(table, [capital(channel.name), verdict(sheet, channel), *channel_values(channel)], tone)


def channel_table(sheet: Sheet, thing: str) -> tuple[Column, ...]:
    """The columns that tell what a channel leaves."""
    money, percent = sheet.formats.money, sheet.formats.percent
    return (
        Column("Channel", 1, wrap=True),
        Column("In words", 2, wrap=True),
        Column("Price", 3, money),
        Column("Fees", 4, money),
        Column(f"Cost of a {thing}", 5, money),
        Column("Margin", 6, money),
        Column("Margin % of price", 7, percent),
        Column("Markup % on cost", 8, percent),
        Column("Target margin %", 9, percent),
        Column("Price that meets the target", 10, money),
        Column("Margin of a batch", 11, money),
    )


def channel_values(channel: ChannelResult) -> list[Value]:
    """The figures of a channel, from its price on, in the order of :func:`channel_table`."""
    return [
        channel.price,
        channel.fees,
        channel.cost,
        channel.margin,
        NA if channel.margin_pct is None else channel.margin_pct / 100,
        NA if channel.markup_pct is None else channel.markup_pct / 100,
        NA if channel.target_pct is None else channel.target_pct / 100,
        _target(channel),
        channel.batch_margin,
    ]


def _target(channel: ChannelResult) -> Value:
    if channel.target_pct is None:
        return NA
    return "no price can" if channel.price_for_target is None else channel.price_for_target


def verdict(sheet: Sheet, channel: ChannelResult) -> str:
    """What the figures of a channel come to, in words."""
    if not math.isfinite(channel.margin):
        return "unknown"
    if channel.margin < 0:
        return "sells at a loss"
    if channel.target_pct is None:
        return "no target set"
    if channel.price_for_target is None:
        return "no price meets the target"
    # A price is right when it is right to the cent, as it is printed.
    short = channel.price_for_target - channel.price
    if round(short, 2) <= 0:
        return "meets its target"
    return f"{sheet.formats.cash(short)} below target"
