"""``cook`` and ``reduce`` by formulas; as :mod:`costing.kitchen.vapour` and :mod:`costing.kitchen.boiling`.

Where water alone leaves, all targets have a closed form: a weight, a Brix, a share of the volume. With alcohol and a
time the retention table leaves straight pieces. With alcohol and no time a x + b x^p = c has to be solved, x being the
share of the water that is left: Newton's method from x = 1 comes down to it without ever passing it, for the left side
is convex and grows with x (a textbook property), and sixteen rows of it are more than boiling ever needs. Volume with
alcohol and sugar that browns are left to the engine; these steps stay as it has them, with all inputs that lead to
them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from costing.amounts import Kind
from costing.kitchen.bench import Bench
from costing.kitchen.constants import constant
from costing.kitchen.density import _densities
from costing.kitchen.draws import Draws
from costing.kitchen.pot import ALCOHOL, FAT, INSOLUBLES, SOLUBLES, WATER
from costing.kitchen.pot import Pot as EnginePot
from costing.kitchen.vapour import alcohol_kept
from costing.kitchen.verbs import VERBS
from costing.kitchen.vitamins import vitamins
from costing.kitchen.weigh import settle
from costing.workbook.living.kitchen import pots
from costing.workbook.living.kitchen.pots import FRACTIONS, Loose, Pot
from costing.workbook.living.kitchen.work import SLACK, NeedsEngineError, Outcome, Work
from costing.workbook.living.terms import (
    ONE,
    ZERO,
    Term,
    above,
    at_most,
    below,
    clip,
    const,
    either,
    least,
    most,
    power,
    ratio,
    total,
)

if TYPE_CHECKING:
    from costing.amounts import Amount
    from costing.shop.steps import Cook, Reduce, Weigh


TURNS = 16
"""Rows of Newton's method; what they leave over is checked."""


def do(step: Cook | Reduce, pot: Pot, work: Work, scale: tuple[Term, Weigh] | None) -> Outcome:
    """Boil a pot.

    Args:
        step: the step.
        pot: the pot before.
        work: the recipe.
        scale: what it weighs afterwards, where a scale says so.
    """
    how = step.how if step.verb == "cook" else None
    hold = None if step.hold is None else step.hold.mid
    whole = work.figure("weight before", pot.grams())
    sums = [work.figure(f"all {name}", term) for name, term in zip(FRACTIONS, pot.sums(), strict=True)]
    loses = step.loses if step.verb == "cook" else None
    if scale is None and loses is None and step.to is None:
        return Outcome(replace(pot, cooled=False, browned=pot.browned or how == "brown"))
    target: Term | None = None
    aim: Amount | None = None
    if scale is not None:
        target = scale[0]
    elif loses is not None:
        rule, words = ("share", "loses, share") if loses.kind is Kind.SHARE else ("grams", "loses, g")
        figure = work.ask("loses", words, loses.figure, rule)
        target = whole * (ONE - figure) if loses.kind is Kind.SHARE else whole - figure * work.size
    elif step.to is not None:
        aim = step.to
        rule, words = {
            Kind.WEIGHT: ("grams", "comes to, g"),
            Kind.BRIX: ("brix", "comes to, Brix"),
            Kind.VOLUME_SHARE: ("kept", "comes to, share of the volume"),
        }.get(aim.kind, ("kept", "comes to, share"))
        figure = work.ask("to", words, aim.figure, rule)
        if aim.kind is Kind.WEIGHT:
            target = figure * work.size
        elif aim.kind in (Kind.SHARE, Kind.ALL):
            target = figure * whole
        else:
            target = None
    why = _why(aim, target, sums, how, pot, work)
    if why:
        outcome = _by_engine(step, pot, work, scale, why, sums + ([target] if target else [figure]))
    elif target is not None:
        target = work.figure("weight after", target)
        outcome = _to_weight(target, whole, sums, hold, how, pot, work)
    elif aim is not None and aim.kind is Kind.BRIX:
        outcome = _to_brix(figure, hold, pot, work)
    else:
        outcome = _to_volume(figure, sums, pot, work)
    after = replace(outcome, cooled=False, browned=pot.browned or how == "brown")
    free = (f"{'keeps' if step.verb == 'reduce' else 'loses'}, from the scale", _lost(after, whole, step.verb))
    return Outcome(after, free=free if scale is not None else None)


def _lost(after: Pot, whole: Term, verb: str) -> Term:
    kept = ratio(after.grams(), whole)
    return kept if verb == "reduce" else ONE - kept


def _why(aim: Amount | None, target: Term | None, sums: list[Term], how: str | None, pot: Pot, work: Work) -> str:
    """What no formula follows here; empty where one does."""
    if how == "brown" and any(
        lump.like.ingredient and work.shared.pantry[lump.like.ingredient].entry.kind == "sweetener"
        for lump in pot.lumps
        if not lump.mass[SOLUBLES].is_(0.0)
    ):
        return "browning sugar"
    if sums[ALCOHOL].is_(0.0):
        return ""
    return "volume with alcohol" if target is None and aim is not None and aim.kind is not Kind.BRIX else ""


# Water alone, or a time on the heat ---------------------------------------------------------------------------------


def _to_weight(
    target: Term, whole: Term, sums: list[Term], hold: float | None, how: str | None, pot: Pot, work: Work
) -> Pot:
    water, alcohol = sums[WATER], sums[ALCOHOL]
    goes = work.figure("vapour", whole - target)
    work.require(at_most(target, whole + SLACK * whole), "boiling adds no weight")
    if alcohol.is_(0.0):
        left = ONE - _over(goes, water, const(1e300))
        left = work.figure("share of the water that is left", left, "share")
        work.require(at_most(ZERO - SLACK, left), "there is not so much water")
        return _at(clip(left), None, pot, how, work)
    if hold is None:
        work.require(at_most(goes, water + alcohol + SLACK), "there is not so much water and alcohol")
        dry = sums[FAT] + sums[SOLUBLES] + sums[INSOLUBLES]
        left, kept = _searched(water, alcohol, work.figure("water and alcohol that stay", target - dry), work)
        return _at(left, kept, pot, how, work)
    table = const(alcohol_kept(hold))
    first = work.figure("alcohol that goes first", least(alcohol * (ONE - table), most(goes, ZERO)))
    left = work.figure("share of the water left, by the table", ONE - _over(goes - first, water, const(1e300)), "share")
    alike = ONE - _over(goes, water + alcohol, const(1e300))
    left = work.figure("share of the water that is left", either(below(left, table), alike, left), "share")
    work.require(at_most(ZERO - SLACK, left), "there is not so much water and alcohol")
    left = work.figure("share of the water that is left", clip(left), "share")
    kept = most(least(table, left), ONE - _over(most(goes, ZERO), alcohol, const(1e300)))
    return _at(left, work.figure("share of the alcohol that is left", kept, "share"), pot, how, work)


def _over(part: Term, whole: Term, none: Term) -> Term:
    """Part over whole; where there is none of it, nothing if nothing is asked for, else more than there can be."""
    if part.is_(0.0):
        return ZERO
    return either(above(whole), part / whole, either(above(part), none, ZERO))


def _searched(water: Term, alcohol: Term, stays: Term, work: Work) -> tuple[Term, Term]:
    """What share of the water and of the alcohol is left where so much stays of both, by Newton's method."""
    steep = constant("relative volatility of ethanol")
    left = ONE
    for turn in range(1, TURNS + 1):
        over = water * left + alcohol * power(left, steep) - stays
        slope = water + alcohol * const(steep) * power(left, steep - 1.0)
        left = work.figure(f"share of the water that is left, try {turn}", most(left - over / slope, ZERO), "share")
    off = work.figure("what the last try is off by", water * left + alcohol * power(left, steep) - stays)
    near = SLACK * (water + alcohol) + SLACK
    work.require(at_most(off, near), "this has to be searched for: ask the engine")
    work.require(at_most(ZERO - near, off), "this has to be searched for: ask the engine")
    left = work.figure("share of the water that is left", clip(left), "share")
    return left, work.figure("share of the alcohol that is left", power(left, steep), "share")


def _to_brix(brix: Term, hold: float | None, pot: Pot, work: Work) -> Pot:
    liquid = pot.sums(loose=True)
    water = work.figure("water that flows", liquid[WATER])
    stays = work.figure("water at that Brix", liquid[SOLUBLES] * (const(100.0) / brix - ONE))
    now = const(100.0) * ratio(liquid[SOLUBLES], liquid[SOLUBLES] + water)
    if not liquid[ALCOHOL].is_(0.0):
        serum = liquid[SOLUBLES] + water + liquid[ALCOHOL]
        now = const(100.0) * ratio(liquid[SOLUBLES], serum)
    work.require(above(water, SLACK), "there is no liquid yet")
    work.require(at_most(work.figure("Brix before", now), brix + SLACK), "boiling only raises the Brix")
    work.require(above(liquid[SOLUBLES]), "nothing is dissolved in it")
    if not liquid[ALCOHOL].is_(0.0):
        return _to_brix_with_alcohol(stays, water, liquid[ALCOHOL], hold, pot, work)
    goes = work.figure("vapour", most(water - stays, ZERO))
    return _evaporated(goes, pot, work)


def _to_brix_with_alcohol(stays: Term, water: Term, alcohol: Term, hold: float | None, pot: Pot, work: Work) -> Pot:
    """As the engine finds it: so much water and alcohol of the liquid stay that its solubles have that Brix."""
    everything = work.figure("all water", pot.sums()[WATER])
    inside = everything - water
    if hold is None:
        left, kept = _searched(everything, alcohol, work.figure("to come to", stays + inside), work)
    else:
        table = const(alcohol_kept(hold))
        by_table = work.figure("share left, by the table", (stays + inside - alcohol * table) / everything, "share")
        alike = work.figure("share left, both alike", (stays + inside) / (everything + alcohol), "share")
        left = work.figure("share of the water that is left", either(below(by_table, table), alike, by_table), "share")
        work.require(at_most(left, ONE + SLACK), "boiling only raises the Brix")
        left = work.figure("share of the water that is left", clip(left), "share")
        kept = work.figure("share of the alcohol that is left", least(table, left), "share")
    goes = everything * (ONE - left)
    work.require(at_most(goes, water + SLACK * (ONE + water)), "this has to be searched for: ask the engine")
    return _at(left, kept, pot, None, work)


def _to_volume(share: Term, sums: list[Term], pot: Pot, work: Work) -> Pot:
    density = {name: const(value) for name, value in _densities().items()}
    dry = sums[FAT] / density["fat"] + sums[SOLUBLES] / density["solubles"] + sums[INSOLUBLES] / density["insolubles"]
    dry = work.figure("volume without water (mL)", dry)
    now = work.figure("volume before (mL)", dry + sums[WATER] / density["water"])
    stays = work.figure("water that stays", (share * now - dry) * density["water"])
    work.require(at_most(ZERO - SLACK, stays), "what is left without water takes more volume than that")
    return _evaporated(work.figure("vapour", most(sums[WATER] - most(stays, ZERO), ZERO)), pot, work)


def _evaporated(goes: Term, pot: Pot, work: Work) -> Pot:
    left = work.figure("share of the water that is left", ONE - ratio(goes, pot.sums()[WATER]), "share")
    return _at(clip(left), None, pot, None, work)


def _at(left: Term, alcohol: Term | None, pot: Pot, how: str | None, work: Work) -> Pot:
    """The pot when a share of all its water is left: liquid first, solids only when that is dry, or all alike."""
    loose = firm = left
    solid = [lump for lump in pot.lumps if not lump.tag.loose]
    if solid and how not in ("bake", "toast", "brown"):
        everything, flows = pot.sums()[WATER], pot.sums(loose=True)[WATER]
        in_solids = total([lump.mass[WATER] for lump in solid])
        goes = work.figure("water that goes", everything * (ONE - left))
        from_loose = work.figure("of it from the liquid", least(goes, flows))
        loose = work.figure("share of the liquid's water that is left", ONE - ratio(from_loose, flows), "share")
        firm = ONE - least(ratio(goes - from_loose, in_solids), ONE)
        firm = work.figure("share of the solids' water that is left", firm, "share")
    out = []
    for lump in pot.lumps:
        mass = list(lump.mass)
        mass[WATER] = mass[WATER] * (loose if lump.tag.loose else firm)
        if alcohol is not None:
            mass[ALCOHOL] = mass[ALCOHOL] * alcohol
        out.append(Loose(lump.tag, lump.like, mass, lump.added, lump.money))
    return replace(pot, lumps=pots.joined(out, work.paper, work.what, work.lumped))


# What the engine searches for ---------------------------------------------------------------------------------------


def _by_engine(
    step: Cook | Reduce, pot: Pot, work: Work, scale: tuple[Term, Weigh] | None, why: str, terms: list[Term]
) -> Pot:
    needs = frozenset().union(
        *(term.needs for term in terms), *(m.needs for lump in pot.lumps for m in lump.mass), work.size.needs
    )
    if needs:
        raise NeedsEngineError(needs, f"{why} needs the engine")
    mass = np.array([[[m.value for m in lump.mass]] for lump in pot.lumps])
    draws, shape = Draws(), (len(pot.lumps), 1)
    engine = EnginePot(
        tuple(lump.like for lump in pot.lumps),
        mass,
        np.zeros((*shape, 4)),
        np.ones((*shape, len(vitamins()))),
        np.zeros(1),
        np.zeros(1),
    )
    shop = work.shared.model
    bench = Bench(draws, work.shared.pantry, {}, shop.machines, shop.containers, work.size.value)
    bench.step = step
    if scale is None:
        after = VERBS[step.verb](step, engine, bench).pot
    else:
        bench.step = scale[1]
        after = settle(np.array([scale[0].value]), step, engine, bench)[0].pot
    out = [
        Loose(lump.tag, lump.like, [const(float(m)) for m in after.mass[i, 0]], lump.added, lump.money)
        for i, lump in enumerate(pot.lumps)
    ]
    return replace(pot, lumps=pots.joined(out, work.paper, work.what, work.lumped))
