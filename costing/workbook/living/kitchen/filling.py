"""``lose``, ``churn`` and ``fill`` by formulas; as the modules of :mod:`costing.kitchen` of these names."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from costing.amounts import Figure, Kind
from costing.kitchen.fill import REST
from costing.workbook.living.kitchen import pots
from costing.workbook.living.kitchen.pots import Pot
from costing.workbook.living.kitchen.work import SLACK, Outcome, Work, plain
from costing.workbook.living.terms import (
    ONE,
    ZERO,
    Term,
    above,
    at_most,
    below,
    clip,
    const,
    down,
    least,
    most,
    ratio,
    up,
    whole,
)

if TYPE_CHECKING:
    from costing.shop.models import Container
    from costing.shop.steps import Churn, Fill, Lose
    from costing.workbook.living.kitchen.paper import Lump


def lose(step: Lose, pot: Pot, work: Work, scale: Term | None) -> Outcome:
    """Some of everything sticks to the pot."""
    everything = work.figure("weight before", pot.grams())
    free = None
    if scale is not None:
        work.require(at_most(scale, everything + SLACK * scale), "it weighs more than before")
        share = ONE - ratio(scale, everything)
        free = ("loses, from the scale", share)
    elif step.amount.kind is Kind.SHARE:
        share = work.ask("amount", "loses, share", step.amount.figure, "part")
    else:
        sticks = work.ask("amount", "loses, g", step.amount.figure, "grams") * most(work.runs, ONE)
        share = ratio(sticks, everything)
    after, gone = _lost(pot, share, everything, work)
    return Outcome(after, gone_g=gone, free=free)


def _lost(pot: Pot, share: Term, everything: Term, work: Work) -> tuple[Pot, Term]:
    share = work.figure("share that is lost", share, "share")
    if share.is_(0.0):
        return pot, ZERO
    work.require(below(share, ONE), "nothing would be left")
    stays = work.figure("share that stays", ONE - share, "share")
    rests = []
    for lump in pot.lumps:
        rest = pots.share(lump, stays)
        rest.money = lump.money
        rests.append(rest)
    after = replace(
        pot,
        lumps=pots.joined(rests, work.paper, work.what, work.lumped),
        air=work.figure("air (mL)", pot.air * stays),
        mix_ml=None if pot.mix_ml is None else work.figure("mix (mL)", pot.mix_ml * stays),
    )
    return after, everything * share


def churn(step: Churn, pot: Pot, work: Work, scale: Term | None) -> Outcome:
    """Air goes in; something stays in the machine at each run."""
    machine = work.shared.model.machines[step.machine] if step.machine else None
    everything = work.figure("weight before", pot.grams())
    mix = work.figure("volume of the mix (mL)", pots.millilitres(pot.sums(), work.paper, work.what))
    runs: Term = ONE
    if machine is not None:
        words = f"{machine.name}, capacity, mL"
        capacity = work.ask_shop("machine", machine.name, "capacity", words, machine.capacity, "volume")
        runs = work.figure("machine runs", most(up(most(mix / capacity - SLACK, ZERO)), ONE), "count")
    free = None
    if scale is not None:
        work.require(at_most(scale, everything + SLACK * scale), "it weighs more than before")
        work.require(above(scale), "that is no weight")
        stays = everything - scale
        free = ("leaves a run, from the scale, g", ratio(stays, runs))
    elif step.leaves is not None:
        stays = work.ask("leaves", "left in the machine a run, g", step.leaves, "grams") * runs
    elif machine is not None:
        words = f"{machine.name}, leaves a run, g"
        stays = work.ask_shop("machine", machine.name, "leaves", words, machine.leaves, "grams") * runs
    else:
        stays = ZERO
    after, gone = _lost(pot, ratio(stays, everything), everything, work)
    rest = work.figure("volume of the mix that comes out (mL)", pots.millilitres(after.sums(), work.paper, work.what))
    if step.filled is not None:
        filled = work.ask("filled", "a full container, g", step.filled, "grams")
        after = replace(after, filled=filled, mix_ml=rest)
    else:
        assert step.overrun is not None
        overrun = work.ask("overrun", "overrun, share", step.overrun, "air")
        after = replace(after, air=work.figure("air (mL)", rest * overrun), mix_ml=rest)
    return Outcome(after, gone_g=gone, runs=runs, free=free)


def fill(step: Fill, pot: Pot, work: Work) -> Outcome:
    """Whole containers; what fills none is thrown away unless saved."""
    containers = work.shared.model.containers
    solid = work.figure("volume without air (mL)", pots.millilitres(pot.sums(), work.paper, work.what))
    pot = _with_air(pot, containers[step.container[0].container], solid, work)
    grams = work.figure("weight before", pot.grams())
    ml = work.figure("volume with air (mL)", solid + pot.air)
    work.require(above(ml, SLACK), "nothing is left to fill")
    density = work.figure("density (g/mL)", ratio(grams, ml))
    left = ml
    filled: list[tuple[str, Term, Term, Term]] = []
    for place, filling in enumerate(step.container, start=1):
        container = containers[filling.container]
        unit = work.figure(f"volume of one {container.name} (mL)", _unit(step, container, density, work))
        if filling.count is not None:
            count = _count(place, filling.container, filling.count, work)
            work.require(
                at_most(count * unit, left * (ONE + SLACK)), f"there is not so much for {plain(container.name)}"
            )
        else:
            room = left
            if filling.share is not None:
                share = work.ask(f"share {place}", f"{container.name}, share of it all", filling.share, "share")
                room = least(share * ml, left)
            count = down(most(room / unit + SLACK, ZERO))
        count = work.figure(f"{container.name}, whole", count, "count")
        left = work.figure("volume left (mL)", left - count * unit)
        filled.append((container.name, count, work.figure("weight of one (g)", unit * density), unit))
    full = work.figure("share that is filled", clip(ONE - left / ml), "share")
    work.require(above(full), "nothing fills a whole container")
    after = replace(
        pot,
        lumps=_shared(pot, full, step.rest == "discard", work.what, work),
        air=work.figure("air (mL)", pot.air * full),
        mix_ml=None if pot.mix_ml is None else work.figure("mix (mL)", pot.mix_ml * full),
    )
    if step.rest == "save":
        rest = work.figure("share that fills none", ONE - full, "share")
        saved = Pot(_shared(pot, rest, False, f"{work.what}: {REST}", work), work.figure("air (mL)", pot.air * rest))
        return Outcome(after, saved={REST: (saved, None)}, filled=tuple(filled))
    return Outcome(after, gone_g=grams * (ONE - full), filled=tuple(filled))


def _count(place: int, name: str, count: int, work: Work) -> Term:
    size = work.size.value
    figure = Figure(float(count), float(count))
    if size != 1.0:
        return const(float(round(count * size)))
    return whole(work.ask(f"count {place}", f"{name}, how many", figure, "many"))


def _shared(pot: Pot, of: Term, all_money: bool, what: str, work: Work) -> tuple[Lump, ...]:
    out = []
    for lump in pot.lumps:
        part = pots.share(lump, of)
        if all_money:
            part.money = lump.money
        out.append(part)
    return pots.joined(out, work.paper, what, work.lumped)


def _holds(container: Container, work: Work) -> Term:
    words = f"{container.name}, holds, mL"
    return work.ask_shop("container", container.name, "holds", words, container.holds, "volume")


def _unit(step: Fill, container: Container, density: Term, work: Work) -> Term:
    holds = _holds(container, work)
    if step.net is None:
        words = f"{container.name}, giveaway, share"
        giveaway = work.ask_shop("container", container.name, "giveaway", words, container.giveaway, "share")
        return holds * (ONE + giveaway)
    rule, words = ("grams", "net, g") if step.net.kind is Kind.WEIGHT else ("volume", "net, mL")
    key = "net"
    net = work.ask(key, words, step.net.figure, rule)
    unit = net / density if step.net.kind is Kind.WEIGHT else net
    work.require(at_most(unit, holds * const(1.1)), f"{plain(container.name)} does not hold that")
    return unit


def _with_air(pot: Pot, container: Container, solid: Term, work: Work) -> Pot:
    """Work the air out of the weight of a full container, where the recipe gives that."""
    if pot.filled is None:
        return pot
    air = pot.grams() * _holds(container, work) / most(pot.filled, SLACK) - solid
    air = work.figure("air by the weight of a full one (mL)", air)
    work.require(at_most(ZERO - SLACK * solid, air), "a full container would be denser than the mix")
    air = work.figure("air (mL)", most(air, ZERO))
    mix = pot.mix_ml if pot.mix_ml is not None else solid
    work.require(at_most(air, const(2.0) * mix), "that is more than 200 % of air")
    return replace(pot, air=air, filled=None)
