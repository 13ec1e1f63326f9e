"""What a batch and a container cost: every line, what each loss cost, and where the bought value went.

Only ingredients put money into pots; labour, packaging and overhead fall on what is sold; what is saved for later keeps
its cost and is taken off. Lines add up to the total, and lost + in containers + saved = bought.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

from costing import figures, margin
from costing.finished import mix_density, overrun, weight_per_gallon_lb
from costing.kitchen.pot import MONEY, VALUE
from costing.results import Batch, ChannelResult, Cost, CostAnswer, CostLine, LossLine, OtherContainer
from costing.selling import terms

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from costing.kitchen.bench import FilledPots
    from costing.kitchen.brew import Brew
    from costing.prices.book import PriceBook, Priced, PricedEach
    from costing.purchases import Bought, Purchasing
    from costing.shop.models import ShopModel


def cost(brew: Brew, shop: ShopModel, purchasing: Purchasing, day: date, serving_ml: float) -> CostAnswer:
    """Cost of a batch that fills containers.

    Args:
        brew: the batch.
        shop: its shop.
        purchasing: prices of ingredients on the day.
        day: the day.
        serving_ml: volume of a serving, mL, for the cost of one.

    Returns:
        The cost. A figure is ``nan`` where a price is missing.
    """
    bought = purchasing.bought(brew.used)
    lines = [
        *(_ingredient(one) for one in bought),
        *(line for filled in brew.filled for line in _packaging(filled, purchasing.book)),
        *_labour(brew, shop),
    ]
    lines += _overhead(shop, sum(line.cost for line in lines if line.kind == "labour"))
    lines += _saved(brew)
    batch = _batch(brew)
    whole = figures.batch(brew, shop, bought, purchasing.book)
    each = [_plain(money) for money in figures.per_container(whole, brew, purchasing.book)]
    first = brew.filled[0]
    servings = min(float(first.container.holds.mid), float(first.ml[0])) / serving_ml
    lost = _lost(brew, bought)
    return CostAnswer(
        recipe=brew.recipe.key,
        title=brew.recipe.title,
        currency=shop.currency,
        as_of=day,
        batch=batch,
        cost=_plain(whole),
        per_container=each[0],
        per_serving=Cost(**{kind: money / servings for kind, money in asdict(each[0]).items()}),
        lines=tuple(lines),
        lost=lost,
        channels=_channels(brew, shop, [one.total for one in each], purchasing.book),
        bought_value=sum(float(one.cost[0]) for one in bought),
        lost_value=sum(line.value for line in lost),
        in_containers_value=float(brew.pot.ledger(VALUE)[0]),
        saved_value=sum(float(one.pot.ledger(VALUE)[0]) for one in brew.saved),
        also=tuple(
            OtherContainer(f.container.name, round(float(f.count[0])), float(f.grams[0]), float(f.ml[0]), one)
            for f, one in list(zip(brew.filled, each, strict=True))[1:]
        ),
        freight=_freight(lines, whole, each[0], brew, purchasing.book) if shop.count_freight else None,
    )


def _freight(
    lines: Sequence[CostLine], whole: figures.Money, each: Cost, brew: Brew, book: PriceBook
) -> tuple[float, float]:
    """How much of what a batch and a container cost is freight; what is saved takes its freight along."""
    ingredients = sum(line.freight for line in lines if line.kind == "ingredient")
    total, first = float(whole.ingredients[0]), brew.filled[0]
    share = each.ingredients / total if total else 0.0
    packing = sum(line.freight for line in _packaging(first, book)) / max(float(first.count[0]), 1.0)
    return sum(line.freight for line in lines), ingredients * share + packing


def _ingredient(one: Bought) -> CostLine:
    price = one.price
    grams, used = float(one.bought_g[0]), float(one.used_g[0])
    came = [use for use in one.uses if use != one.name]
    return CostLine(
        item=one.name,
        kind="ingredient",
        cost=float(one.cost[0]),
        amount=f"for {', '.join(came)}" if came else "",
        bought_g=grams,
        used_g=used,
        per_kg=price.per_gram * 1000 if price else None,
        supplier=price.supplier if price else "",
        pack=price.pack if price else "",
        price=price.price if price else None,
        price_date=price.date if price else None,
        where=price.where if price else "",
        freight=float(one.cost[0]) * _part(price),
    )


def _part(price: Priced | PricedEach | None) -> float:
    """The part of what something costs that is freight."""
    return price.counted / (1.0 + price.counted) if price else 0.0


def _packaging(filled: FilledPots, book: PriceBook) -> list[CostLine]:
    lines = []
    for name, amount in filled.container.made_of.items():
        price = book.item(name)
        pieces = amount.figure.mid * float(filled.count[0])
        lines.append(
            CostLine(
                item=name,
                kind="packaging",
                cost=pieces * (price.per_each if price else float("nan")),
                amount=f"{pieces:g} each",
                supplier=price.supplier if price else "",
                pack=price.pack if price else "",
                price=price.price if price else None,
                price_date=price.date if price else None,
                where=price.where if price else "",
                freight=pieces * (price.per_each if price else 0.0) * _part(price),
            )
        )
    return lines


def _labour(brew: Brew, shop: ShopModel) -> list[CostLine]:
    lines = []
    for use in brew.labour:
        role = use.role or next(iter(shop.wages), "")
        minutes = float(use.seconds[0]) / 60
        wage = shop.wages.get(role, float("nan"))
        lines.append(
            CostLine(
                item=use.what,
                kind="labour",
                cost=minutes / 60 * wage,
                amount=f"{minutes:,.0f} min, {role}" if minutes >= 999.5 else f"{minutes:.3g} min, {role}",
                where=use.where,
            )
        )
    return lines


def _overhead(shop: ShopModel, labour: float) -> list[CostLine]:
    overhead = shop.overhead
    batches = CostLine("overhead per batch", "overhead", overhead.per_batch, amount="1 batch")
    share = overhead.of_labour.mid
    of_labour = CostLine("overhead on labour", "overhead", labour * share, amount=f"{share * 100:g} % of labour")
    return [line for line in (batches, of_labour) if line.cost != 0]


def _saved(brew: Brew) -> list[CostLine]:
    return [
        CostLine(
            item=one.name,
            kind="saved",
            cost=0.0 - float(one.pot.ledger(MONEY)[0]),
            amount=f"{float(one.pot.grams()[0]):,.0f} g kept",
            used_g=float(one.pot.grams()[0]),
            where=one.where,
        )
        for one in brew.saved
    ]


def _plain(money: figures.Money) -> Cost:
    """The plain answer's money."""
    return Cost(
        ingredients=float(money.ingredients[0]),
        packaging=float(money.packaging[0]),
        labour=float(money.labour[0]),
        overhead=float(money.overhead[0]),
        saved=float(money.saved[0]),
        total=float(money.total[0]),
    )


def _batch(brew: Brew) -> Batch:
    steps = [step for part in brew.parts for step in part.steps]
    first = brew.filled[0]
    last = next(step for step in reversed(steps) if step.verb == "fill")
    grams, ml = float(first.grams[0]), float(first.ml[0])
    return Batch(
        in_g=sum(float(grams[0]) for grams in brew.used.values()),
        out_g=float(brew.pot.grams()[0]),
        vapour_g=sum(float(step.vapour_g[0]) for step in steps),
        discarded_g=sum(float(step.discarded_g[0]) for step in steps),
        saved_g=sum(float(one.pot.grams()[0]) for one in brew.saved),
        containers=round(sum(float(f.count[0]) for f in brew.filled)),
        rest_g=float(last.discarded_g[0] + last.saved_g[0]),
        container=first.container.name,
        fill_g=grams,
        fill_ml=ml,
        runs=round(float(brew.runs[0])),
        overrun=overrun(brew),
        mix_density=mix_density(brew),
        weight_per_gallon_lb=weight_per_gallon_lb(grams, ml),
    )


def _lost(brew: Brew, bought: tuple[Bought, ...]) -> tuple[LossLine, ...]:
    unused_g = sum(float(one.bought_g[0] - one.used_g[0]) for one in bought)
    unused = sum(float(one.cost[0] - one.value_used[0]) for one in bought)
    lines = [LossLine("bought", 0, "buy", 0.0, unused_g, unused)] if unused_g > 0 else []
    for part in brew.parts:
        for step in part.steps:
            vapour, discarded = float(step.vapour_g[0]), float(step.discarded_g[0])
            if vapour > 1e-9 or discarded > 1e-9:
                lines.append(LossLine(part.name, step.number, step.verb, vapour, discarded, float(step.lost_value[0])))
    return tuple(lines)


def _channels(
    brew: Brew, shop: ShopModel, per_container: Sequence[float], book: PriceBook
) -> tuple[ChannelResult, ...]:
    """What every channel leaves that sells a container which the batch fills."""
    kinds = [filled.container.name for filled in brew.filled]
    found = []
    for name, channel in shop.channels.items():
        place = terms.place(channel, kinds)
        if place is None:
            continue
        filled = brew.filled[place]
        found.append(
            margin.channel(
                channel,
                per_container[place],
                round(float(filled.count[0])),
                brew.recipe.prices.get(name),
                terms.of(channel, book.each),
                terms.units(channel, float(filled.grams[0])),
            )
        )
    return tuple(found)
