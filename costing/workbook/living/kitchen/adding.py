"""``add`` and ``fold`` by formulas; as :mod:`costing.kitchen.adding`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.amounts import Figure, Kind
from costing.workbook.living.kitchen import pots
from costing.workbook.living.kitchen.pots import Loose, Pot
from costing.workbook.living.kitchen.work import SLACK, Outcome, Work, plain
from costing.workbook.living.terms import ONE, ZERO, Term, above, at_most, below, const, most, ratio, total

if TYPE_CHECKING:
    from collections.abc import Mapping

    from costing.amounts import Amount
    from costing.shop.steps import Add, Fold


def do(step: Add | Fold, pot: Pot, work: Work) -> Outcome:
    """Put things in; the order inside one step does not matter."""
    things = step.things
    grams: dict[str, Term] = {}
    shares: dict[str, Term] = {}
    open_shares: dict[str, Term] = {}
    top: tuple[str, Term] | None = None
    for name, amount in things.items():
        if amount.kind is Kind.OF_POT:
            open_shares[name] = work.ask(name, f"{name}, share of the finished pot", amount.figure, "part")
        elif amount.kind is Kind.UP_TO:
            top = (name, work.ask(name, f"{name} up to, g", amount.figure, "grams") * work.size)
        elif name in work.stocks:
            grams[name], shares[name] = _of_stock(name, amount, work)
        else:
            grams[name] = _weighed(name, amount, work)
    known = pot.grams() + total(list(grams.values()))
    parts = total(list(open_shares.values()))
    if not parts.fixed:
        work.require(below(parts, ONE), "shares of the finished pot come to 100 % or more")
    if open_shares or top is not None:
        finished = known / most(ONE - parts, SLACK) if top is None else top[1]
        finished = work.figure("weight of the finished pot", finished)
        for name, share in open_shares.items():
            grams[name] = work.figure(name, share * finished)
        if top is not None:
            missing = work.figure(f"{top[0]} that is missing", finished - known - parts * finished)
            work.require(at_most(ZERO - SLACK * finished, missing), "the pot holds more than that already")
            grams[top[0]] = work.figure(top[0], most(missing, ZERO))
    return _together(pot, {name: grams[name] for name in things}, shares, things, work)


def _together(
    pot: Pot, grams: Mapping[str, Term], shares: Mapping[str, Term], things: Mapping[str, Amount], work: Work
) -> Outcome:
    new: list[Loose] = []
    air = pot.air
    for name, weight in grams.items():
        if name not in work.stocks:
            new.append(_fresh(name, weight, work))
            continue
        stock = work.stocks[name]
        whole = stock.pot.grams()
        share = shares.get(name)
        if share is None:
            share = work.figure(f"share of {name}", ratio(weight, whole), "share")
            if not whole.fixed or whole.value <= 0:
                work.require(above(whole + ONE, ONE), f"there is no {plain(name)} left")
        lumps, its_air = work.take(stock, share, things[name].kind is Kind.ALL)
        new += lumps
        air = air + its_air
    put_g, put_money = total(list(grams.values())), total([one.money for one in new])
    together = pots.joined([*pot.lumps, *new], work.paper, work.what, work.lumped)
    made = Pot(together, work.figure("air (mL)", air), pot.mix_ml, pot.filled, pot.cooled, pot.browned)
    return Outcome(made, put_g, put_money)


def _weighed(name: str, amount: Amount, work: Work) -> Term:
    low, high = work.shared.pantry[name].weigh(amount)
    words = f"{name}, g" if amount.kind is Kind.WEIGHT else f"{name}, g ({amount.text})"
    return work.ask(name, words, Figure(low, high, amount.text), "grams") * work.size


def _of_stock(name: str, amount: Amount, work: Work) -> tuple[Term, Term]:
    """Weight, and share of all there is."""
    stock = work.stocks[name]
    whole = stock.pot.grams()
    if amount.kind is Kind.ALL:
        share = work.figure(f"share of {name} that is left", most(ONE - stock.used, ZERO), "share")
        return whole * share, share
    if amount.kind is Kind.SHARE:
        share = work.ask(name, f"{name}, share of it", amount.figure, "share")
        return whole * share, share
    if amount.kind is Kind.VOLUME:
        ml = work.ask(name, f"{name}, mL", amount.figure, "volume") * work.size
        of = work.figure(
            f"volume of {name} (mL)",
            pots.millilitres(stock.pot.sums(), work.paper, work.what) + stock.pot.air,
        )
        share = work.figure(f"share of {name}", ratio(ml, of), "share")
        return whole * share, share
    weight = work.ask(name, f"{name}, g", amount.figure, "grams") * work.size
    return weight, work.figure(f"share of {name}", ratio(weight, whole), "share")


def _fresh(name: str, weight: Term, work: Work) -> Loose:
    material = work.shared.pantry[name]
    purchase = (name, name in work.trimmed)
    weight = work.figure(f"{name} (g)", weight)
    work.used[purchase] = work.used.get(purchase, ZERO) + weight
    mass = [weight * const(float(part)) for part in material.fractions]
    tag = work.lumped(material.tag)
    return Loose(tag, material.tag, mass, weight, weight * work.prices[purchase])
