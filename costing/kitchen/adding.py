"""What goes into a pot: ingredients by weight or measure, shares of what was made; for ``add`` and ``fold``.

Amounts that depend on the finished pot are solved last, so that the order inside one step does not matter: with
known weights K and shares s of the finished pot it ends at K / (1 - sum of s), or at P where one thing tops it up to P.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from costing.amounts import Kind
from costing.kitchen.bench import SLACK, Stock, Use
from costing.kitchen.density import millilitres
from costing.kitchen.pot import ADDED, MONEY, VALUE, Tag
from costing.measures import MeasureError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from costing.amounts import Amount
    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot

    Floats = NDArray[np.float64]


def incoming(things: Mapping[str, Amount], pot: Pot, bench: Bench) -> Pot:
    """Fetch what a step puts in.

    Args:
        things: name to amount.
        pot: what is in the pot already.
        bench: the bench; its stocks and its list of what was used are kept up to date.

    Returns:
        What comes in.

    Raises:
        KitchenError: an amount that cannot be had.
    """
    grams: dict[str, Floats] = {}
    open_shares: dict[str, Floats] = {}
    top: tuple[str, Floats] | None = None
    for name, amount in things.items():
        if amount.kind is Kind.OF_POT:
            open_shares[name] = bench.draws.of(amount.figure)
        elif amount.kind is Kind.UP_TO:
            if top is not None:
                raise bench.error("two things top the same pot up", "let one of them say how much it is")
            top = (name, bench.sized(amount.figure))
        else:
            grams[name] = _grams(name, amount, bench)
    known = pot.grams() + sum(grams.values(), bench.draws.full(0.0))
    parts = sum(open_shares.values(), bench.draws.full(0.0))
    bench.require(parts < 1.0, "shares of the finished pot come to 100 % or more", "they must leave room for the rest")
    finished = known / np.maximum(1.0 - parts, SLACK) if top is None else top[1]
    for name, share in open_shares.items():
        grams[name] = share * finished
    if top is not None:
        missing = finished - known - parts * finished
        bench.require(
            missing >= -SLACK * finished,
            f"the pot holds {bench.shown(finished - missing)} g already, more than the {bench.shown(finished)} g that "
            f"{top[0]} should top it up to",
            "raise the weight after 'up to', or add less before",
        )
        grams[top[0]] = np.maximum(missing, 0.0)
    return _fetch({name: grams[name] for name in things}, bench)


def take(stock: Stock, share: Floats, bench: Bench) -> Pot:
    """Take a share of something made earlier, under its own name and label.

    Args:
        stock: what was made.
        share: share of its finished weight, ``(draws,)``.
        bench: the bench.
    """
    stock.used = stock.used + share
    stock.uses += 1
    if stock.limited:
        bench.require(
            stock.used <= 1.0 + 1e-6,
            f"{stock.name} is used to {bench.shown(stock.used * 100, 1)} % of what there is "
            f"({bench.shown(stock.pot.grams())} g)",
            "use less of it, or make more",
        )
    pot = stock.pot.share(share)
    ledgers = pot.ledgers.copy()
    ledgers[:, :, MONEY] *= stock.money_scale if isinstance(stock.money_scale, float) else stock.money_scale[None, :]

    def rename(tag: Tag) -> Tag:
        groups = (*tag.groups, stock.label) if stock.label else tag.groups
        return replace(tag, names=tag.names | {stock.name}, groups=groups)

    taken = replace(pot.retagged(rename), ledgers=ledgers, cooled=False)
    bench.took(stock.name, stock.recipe, taken)
    return taken


def _grams(name: str, amount: Amount, bench: Bench) -> Floats:
    stock = bench.stocks.get(name)
    if stock is None:
        if name not in bench.materials:
            raise bench.error(f"there is nothing called '{name}' here yet", "make it in an earlier part or step")
        if amount.kind in (Kind.SHARE, Kind.ALL):
            raise bench.error(
                f"'{amount.text}' of {name} is a share of nothing: it is an ingredient, not a part",
                f"write a weight or a measure of {name}",
            )
        try:
            low, high = bench.materials[name].weigh(amount)
        except MeasureError as problem:
            raise bench.error(str(problem)) from problem
        return bench.draws.between(amount.figure, low, high) * bench.size
    whole = stock.pot.grams()
    if amount.kind is Kind.ALL:
        return whole * np.maximum(1.0 - stock.used, 0.0)
    if amount.kind is Kind.SHARE:
        return whole * bench.draws.of(amount.figure)
    figure = bench.sized(amount.figure)
    if amount.kind is Kind.VOLUME:
        ml = millilitres(stock.pot) + stock.pot.air
        return whole * np.divide(figure, ml, out=np.zeros_like(ml), where=ml > 0)
    if amount.kind is Kind.WEIGHT:
        return figure
    raise bench.error(f"'{amount.text}' does not measure {name}", "write a weight, a volume, a share or 'all'")


def _fetch(grams: Mapping[str, Floats], bench: Bench) -> Pot:
    names = [name for name in grams if name not in bench.stocks]
    pot = bench.empty()
    if names:
        materials = [bench.materials[name] for name in names]
        weights = np.stack([grams[name] for name in names])
        ledgers = np.zeros((*weights.shape, 4))
        ledgers[:, :, ADDED] = weights
        for i, name in enumerate(names):
            purchase = (name, name in bench.trimmed)
            price = bench.prices[purchase]
            ledgers[i, :, MONEY] = weights[i] * price.carried
            ledgers[i, :, VALUE] = weights[i] * price.value
            if not bench.trial:
                bench.used[purchase] = bench.used.get(purchase, 0.0) + weights[i]
                money, value = ledgers[i, :, MONEY], ledgers[i, :, VALUE]
                bench.uses.append(Use(name, "", bench.part, weights[i], money, value))
        pot = replace(
            pot,
            tags=tuple(material.tag for material in materials),
            mass=weights[:, :, None] * np.stack([material.fractions for material in materials])[:, None, :],
            ledgers=ledgers,
            kept=np.ones((len(names), bench.draws.count, pot.kept.shape[2])),
            touched=frozenset().union(*(material.allergens for material in materials)),
        )
    for name, weight in grams.items():
        if name in bench.stocks:
            stock = bench.stocks[name]
            whole = stock.pot.grams()
            share = np.divide(weight, whole, out=np.zeros_like(whole), where=whole > 0)
            bench.require(
                (whole > 0) | (weight <= 0), f"there is no {name} left to take {bench.shown(weight)} g of", "make some"
            )
            pot = pot.joined(take(stock, share, bench))
    return pot
