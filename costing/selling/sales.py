"""What every flavour leaves in every way of selling: for a unit, a container, a batch and an hour of the machine.

A *unit* is what a customer pays for: a container, or a scoop. Prices are those that the maker gets; along a chain the
price on the shelf stands beside. Nothing is rounded here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite
from typing import TYPE_CHECKING

from costing.selling import break_even, chain, machine, ratios, stall, terms

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from costing.desk import Shop
    from costing.results import RecipeAnswer
    from costing.shop.models import Channel

SCOOP = "scoop"


@dataclass(frozen=True, slots=True)
class Leaves:
    """Money that is left: after everything (margin), and before the fee of a market's day (contribution)."""

    margin: float
    contribution: float


@dataclass(frozen=True, slots=True)
class Sale:
    """One flavour in one channel. Money is in the shop's currency, and of a unit that is paid for unless it says else.

    Args:
        recipe: its key.
        channel: the channel's name.
        container: the kind of container sold.
        unit: ``scoop``, or the container.
        units: how many units are in a container.
        paid_share: share of the containers going out that is paid for, 0 to 1.
        price: what the maker gets.
        shelf_price: what stands on the shelf at the end of a chain, None without a chain.
        deposit: comes on top of what the customer pays and goes back; no income.
        fee: share of the price and money a sale.
        extras: what goes out with it (a cone).
        day: its share of a market day's fee.
        unpaid: what it bears of the cost of returns and samples.
        cost: what making it costs.
        leaves: margin = price − fee − extras − day − unpaid − cost, and contribution = margin + day.
        margin_pct: of the price, 0 to 100.
        markup_pct: of the cost, 0 to 100 and beyond.
        target_pct: the channel's target, 0 to 100.
        price_for_target: what the maker must get to meet it, None where no price can.
        shelf_price_for_target: what then stands on the shelf.
        containers: how many of the kind a batch fills.
        container_ml: what one holds as filled, mL.
        per_container: what one container going out leaves.
        per_batch: what all of the batch's containers of the kind leave.
        machine_hours: hours that the machine churns for them, None where nobody knows.
        per_machine_hour: what an hour of it leaves.
        break_even: containers that must go out in a month to pay the fixed costs, if nothing else were sold; None
            where there are no fixed costs, or no number is enough.
        day_pays_from: units that pay a market day's fee; None without one, or where no number is enough.
        place: of the flavour within its channel, by contribution for an hour of the machine, from 1; where nobody
            knows any hours, by contribution of a container; None where that is not known.
    """

    recipe: str
    title: str
    channel: str
    container: str
    unit: str
    units: float
    paid_share: float
    price: float
    shelf_price: float | None
    deposit: float
    fee: float
    extras: float
    day: float
    unpaid: float
    cost: float
    leaves: Leaves
    margin_pct: float | None
    markup_pct: float | None
    target_pct: float | None
    price_for_target: float | None
    shelf_price_for_target: float | None
    containers: int
    container_ml: float
    per_container: Leaves
    per_batch: Leaves
    machine_hours: float | None
    per_machine_hour: Leaves | None
    break_even: float | None
    day_pays_from: float | None
    place: int | None = None


def all_sales(shop: Shop, answers: Iterable[RecipeAnswer]) -> tuple[Sale, ...]:
    """Every flavour in every channel that sells a container it fills: channel by channel, the best place first.

    Args:
        shop: the shop.
        answers: everything about its recipes; those that fill no container are left out.
    """
    found = list(answers)
    out: list[Sale] = []
    for channel in shop.model.channels.values():
        out += ranked([sold for answer in found if (sold := sale(shop, answer, channel)) is not None])
    return tuple(out)


def sale(shop: Shop, answer: RecipeAnswer, channel: Channel) -> Sale | None:
    """One flavour in one channel; None where it does not fill what the channel sells.

    Args:
        shop: the shop.
        answer: everything about the recipe.
        channel: one of the shop's channels.
    """
    if answer.cost is None:
        return None
    at = terms.place(channel, [one.container for one in answer.filled])
    if at is None or not answer.filled[at].count:
        return None
    model, filled = shop.model, answer.filled[at]
    own = terms.of(channel, shop.book.each)
    units = terms.units(channel, filled.fill_g)
    cost = (answer.cost.per_container if at == 0 else answer.cost.also[at - 1].cost).total / units
    price = own.price(model.recipes[answer.recipe].prices.get(channel.name, channel.price))
    fee = price * own.share + own.fixed
    margin = own.margin(price, cost)
    leaves = Leaves(margin, margin + own.day)
    target = channel.target_margin
    wanted = None if target is None else own.price_for_target(cost, target)
    wanted = 0.0 if wanted is not None and wanted < 0 else wanted  # max() would make an unknown one 0
    hands = terms.margins(channel)
    per_container = _times(leaves, units * own.paid)
    hours = _hours(shop, answer, at)
    per_batch = _times(per_container, filled.count)
    return Sale(
        recipe=answer.recipe,
        title=answer.title,
        channel=channel.name,
        container=filled.container,
        unit=SCOOP if channel.scoops else filled.container,
        units=units,
        paid_share=own.paid,
        price=price,
        shelf_price=chain.shelf_price(price, hands) if hands else None,
        deposit=channel.deposit,
        fee=fee,
        extras=own.extras,
        day=own.day,
        unpaid=own.fees(price, cost) - own.each - price * own.share if own.paid < 1.0 else 0.0,
        cost=cost,
        leaves=leaves,
        margin_pct=ratios.margin_pct(margin, price),
        markup_pct=ratios.markup_pct(margin, cost),
        target_pct=None if target is None else 100.0 * target,
        price_for_target=wanted,
        shelf_price_for_target=chain.shelf_price(wanted, hands) if hands and wanted is not None else None,
        containers=filled.count,
        container_ml=filled.fill_ml,
        per_container=per_container,
        per_batch=per_batch,
        machine_hours=hours,
        per_machine_hour=_times(per_batch, 1.0 / hours) if hours else None,
        break_even=break_even.volume(fixed_costs(shop), per_container.margin) if model.fixed_costs else None,
        day_pays_from=stall.pays_from(channel.stall.fee, leaves.contribution) if channel.stall else None,
    )


def fixed_costs(shop: Shop) -> float:
    """The fixed costs of a month."""
    return sum(shop.model.fixed_costs.values())


def ranked(sales: Sequence[Sale]) -> list[Sale]:
    """The sales of one channel, the best use of the machine first, each with its place; equals share theirs.

    A flavour whose hours or cost nobody knows comes last.
    """
    timed = any(one.per_machine_hour is not None for one in sales)

    def worth(one: Sale) -> float:
        leaves = one.per_machine_hour if timed else one.per_container
        money = leaves.contribution if leaves is not None else float("nan")
        return money if isfinite(money) else float("-inf")

    order = sorted(sales, key=lambda one: (-worth(one), one.recipe))
    values = [worth(one) for one in order]
    return [
        replace(one, place=values.index(value) + 1 if isfinite(value) else None)
        for one, value in zip(order, values, strict=True)
    ]


def _hours(shop: Shop, answer: RecipeAnswer, at: int) -> float | None:
    """Hours of the machine for the containers of one kind, by their share of the volume."""
    whole = machine.hours(answer, shop.model.recipes, shop.model.machines)
    volumes = [one.count * one.fill_ml for one in answer.filled]
    return None if whole is None or sum(volumes) <= 0 else whole * volumes[at] / sum(volumes) or None


def _times(leaves: Leaves, factor: float) -> Leaves:
    return Leaves(leaves.margin * factor, leaves.contribution * factor)
