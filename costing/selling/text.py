"""The answer of ``creamery margins`` for people: flavours by what an hour of the machine leaves, and the month."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from costing import money
from costing.selling import break_even, chain, terms
from costing.terminal import clean, table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.results import CostAnswer
    from costing.selling.month import Month, Row
    from costing.selling.sales import Sale
    from costing.shop.models import Channel, ShopModel

NEVER = "never"
NOTHING = "–"


def blocks(sales: Sequence[Sale], found: Month, model: ShopModel) -> list[str]:
    """Blocks of text, to be set apart by empty lines.

    Args:
        sales: flavours in their channels, in order.
        found: the month that breaks even.
        model: the shop.
    """
    out = []
    for name, channel in model.channels.items():
        those = [one for one in sales if one.channel == name]
        if those:
            out.append(f"{clean(name)}: {_terms(channel, those, model)}\n\n{_ranking(those, model)}")
    out.append(_month(found, model) if model.fixed_costs else _NO_MONTH)
    return out


_NO_MONTH = (
    "No fixed costs are written, so there is no month to break even in; "
    "to see it, add fixed costs: {rent: 1400 per month} to shop.yaml."
)


def remarks(found: CostAnswer, model: ShopModel) -> str:
    """What prices of a cost are for, where it is not what the recipe fills first, or not what a customer pays.

    Args:
        found: the cost, with its channels.
        model: the shop.
    """
    said = []
    for result in found.channels:
        channel = model.channels[result.name]
        if channel.scoops:
            said.append(f"{clean(result.name)} for a scoop")
        elif channel.container not in (None, found.batch.container):
            said.append(f"{clean(result.name)} for a {clean(str(channel.container))}")
        if channel.at_shelf and not channel.scoops:
            shelf = chain.shelf_price(result.price, terms.margins(channel))
            shown = money.show(shelf, model.currency, model.locale)
            said.append(f"{clean(result.name)} what you get of {shown} on the shelf")
    return f"Prices are for a {clean(found.batch.container)}; {'; '.join(said)}." if said else ""


def _mixed(sales: Sequence[Sale]) -> bool:
    """Whether a channel sells several kinds of containers."""
    return len({one.container for one in sales}) > 1


def _terms(channel: Channel, sales: Sequence[Sale], model: ShopModel) -> str:
    """What is particular about a channel, in words."""

    def cash(value: float) -> str:
        return money.show(value, model.currency, model.locale)

    def part(value: float) -> str:
        return money.percent(100 * value, model.locale)

    first = sales[0]
    said = [f"for each {'container' if _mixed(sales) else clean(first.unit)} that is paid for"]
    if first.unit != first.container:
        # Tubs may be of different weights by flavour; then there is no one number.
        said.append(f"about {money.number(first.units, model.locale, 1)} of them in a {clean(first.container)}")
    if channel.chain:
        keep = ", ".join(f"{clean(link.name)} {part(link.margin)}" for link in channel.chain)
        said.append(f"price is what you get; margins on the way to the shelf: {keep}")
    if channel.stall:
        said.append(f"a day costs {cash(channel.stall.fee)}")
    if math.isnan(first.extras):
        said.append("what goes out with each has no price")
    elif first.extras:
        said.append(f"{cash(first.extras)} goes out with each")
    said += [f"{part(share)} {what}" for share, what in _unpaid(channel) if share]
    if channel.deposit:
        said.append(f"the customer pays {cash(channel.deposit)} of deposit besides, and gets it back")
    return "; ".join(said) + "."


def _unpaid(channel: Channel) -> tuple[tuple[float, str], ...]:
    return ((channel.returns, "come back"), (channel.samples, "are given away"))


def _ranking(sales: Sequence[Sale], model: ShopModel) -> str:
    def cash(value: float | None) -> str:
        return NOTHING if value is None else money.show(value, model.currency, model.locale)

    def pct(value: float | None) -> str:
        return NOTHING if value is None else money.percent(value, model.locale)

    def beside(one: Sale) -> str:
        return money.percent_below(one.margin_pct, one.target_pct, model.locale)

    chained = any(one.shelf_price is not None for one in sales)
    aimed = any(one.target_pct is not None for one in sales)
    stalled = any(one.day for one in sales)
    mixed = _mixed(sales)
    heads = [
        "",
        "flavour",
        *(("container",) if mixed else ()),
        *(("shelf",) if chained else ()),
        "price",
        "margin",
        "margin %",
        "markup %",
    ]
    heads += [*(("target", "price for it") if aimed else ()), *(("shelf for it",) if chained and aimed else ())]
    heads += ["contribution", "a batch", "machine", "a machine hour"]
    heads += [*(("a day pays from",) if stalled else ())]
    rows = []
    for one in sales:
        row = ["" if one.place is None else str(one.place), one.title, *((one.container,) if mixed else ())]
        if chained:
            row.append(cash(one.shelf_price))
        row += [cash(one.price), cash(one.leaves.margin), beside(one), pct(one.markup_pct)]
        if aimed:
            row += [pct(one.target_pct), cash(one.price_for_target)]
        if chained and aimed:
            row.append(cash(one.shelf_price_for_target))
        hours = one.machine_hours
        row += [cash(one.leaves.contribution), cash(one.per_batch.contribution)]
        row.append("unknown" if hours is None else f"{money.number(hours, model.locale, 2)} h")
        row.append(cash(one.per_machine_hour.contribution if one.per_machine_hour else None))
        if stalled:
            row.append(_many(one.day_pays_from, one.leaves.contribution, model))
        rows.append(row)
    return table(heads, rows, right=(0, *range(3 if mixed else 2, len(heads))))


def _month(found: Month, model: ShopModel) -> str:
    fixed = money.show(found.fixed_costs, model.currency, model.locale)
    listed = ", ".join(f"{clean(name)}" for name in model.fixed_costs)
    said = f"To pay the fixed costs of {fixed} a month ({listed}), with every flavour in equal volumes:"
    rows = [_row(one, model, "sold alone") for one in found.alone]
    rows += [_row(one, model, f"{money.percent(100 * one.share, model.locale)} of a mix") for one in found.mix]
    rows += [_row(found.whole, model, "in all")] if found.whole else []
    heads = ("channel", "how", "container", "a litre leaves", "containers a month", "machine hours")
    return f"{said}\n\n{table(heads, rows, right=(3, 4, 5))}"


def _row(one: Row, model: ShopModel, how: str) -> tuple[str, ...]:
    return (
        one.channel,
        how,
        one.container,
        money.show(one.margin_per_litre, model.currency, model.locale),
        _many(one.containers, one.margin_per_litre, model),
        _hours(one, model),
    )


def _hours(one: Row, model: ShopModel) -> str:
    """Hours of the machine; a dash where no number of containers is enough."""
    if one.machine_hours is None:
        return NOTHING if one.containers is None and not math.isnan(one.margin_per_litre) else "unknown"
    return money.number(one.machine_hours, model.locale, 1)


def _many(number: float | None, leaves: float, model: ShopModel) -> str:
    """How many are enough; where none are, whether that is known."""
    if number is None:
        return "unknown" if math.isnan(leaves) else NEVER
    return _count(number, model)


def _count(number: float, model: ShopModel) -> str:
    return money.number(break_even.whole(number), model.locale)
