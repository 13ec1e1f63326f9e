"""``trim``, ``soak`` and ``strain`` by formulas; as :mod:`costing.kitchen.strain` and its neighbours."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from costing.amounts import Figure
from costing.kitchen.pot import FAT, INSOLUBLES, SOLUBLES
from costing.kitchen.strain import BROWNED_SOLIDS, FAT_LAYER
from costing.workbook.living.kitchen import pots
from costing.workbook.living.kitchen.pots import Loose, Pot
from costing.workbook.living.kitchen.work import SLACK, Outcome, Work, plain
from costing.workbook.living.terms import ONE, ZERO, Term, above, at_most, const, least, most, ratio, total

if TYPE_CHECKING:
    from costing.shop.steps import Soak, Strain, Trim
    from costing.workbook.living.kitchen.paper import Lump


def trim(step: Trim, pot: Pot, work: Work) -> Outcome:
    """Take off what is not eaten; its money stays with the rest."""
    kept: dict[int, Term] = {}
    for name, share in step.things.items():
        written = share
        if written is None:
            refuse = work.shared.pantry[name].record.refuse or 0.0
            written = Figure(1.0 - refuse, 1.0 - refuse)
        figure = work.ask(name, f"{name}, share kept", written, "kept")
        for i, lump in enumerate(pot.lumps):
            if name in lump.tag.names:
                kept[i] = figure
    out: list[Lump | Loose] = []
    for i, lump in enumerate(pot.lumps):
        if i in kept:
            rest = pots.share(lump, kept[i])
            rest.money = lump.money
            out.append(rest)
        else:
            out.append(lump)
    return _without(pot, out, work)


def _without(pot: Pot, lumps: list[Lump | Loose], work: Work) -> Outcome:
    after = replace(pot, lumps=pots.joined(lumps, work.paper, work.what, work.lumped))
    return Outcome(after, gone_g=pot.grams() - after.grams())


def soak(step: Soak, pot: Pot, work: Work, scale: Term | None) -> Outcome:
    """Solids take up liquid, which goes where they go."""
    solids = [lump for lump in pot.called(step.of) if not lump.tag.loose]
    liquids = [lump for lump in pot.lumps if lump.tag.loose and lump.tag.names.isdisjoint(step.of)]
    weight = work.figure("weight of what soaks", total([lump.weight for lump in solids]))
    liquid = work.figure("weight of the liquid", total([lump.weight for lump in liquids]))
    free = None
    if scale is not None:
        uptake = scale - weight
        work.require(at_most(ZERO - SLACK * scale, uptake), "it weighs less than before")
        free = ("uptake, from the scale", ratio(uptake, weight))
    else:
        uptake = work.ask("uptake", "uptake, share of its weight", step.uptake, "times") * weight
    uptake = work.figure("liquid taken up", uptake)
    work.require(above(weight), "there is nothing to soak")
    work.require(at_most(uptake, liquid + liquid * SLACK), "there is not so much liquid")
    share = work.figure("share of the liquid taken up", ratio(uptake, liquid), "share")
    names = frozenset(step.of)
    out: list[Lump | Loose] = []
    held: list[Loose] = []
    for lump in pot.lumps:
        if not any(lump is one for one in liquids):
            out.append(lump)
            continue
        took = pots.share(lump, share)
        out.append(pots.share(lump, ONE - share))
        took.tag = replace(took.tag, names=names, state="solid").marked("held")
        took.like = replace(took.like, names=names, state="solid").marked("held")
        held.append(took)
    lumps = pots.joined([*out, *held], work.paper, work.what, work.lumped)
    return Outcome(replace(pot, lumps=lumps), free=free)


def strain(step: Strain, pot: Pot, work: Work, scale: Term | None) -> Outcome:
    """Take things out with the liquid they hold; what they gave stays."""
    added = {lump.tag: lump.added for lump in pot.lumps}
    pot = _give(step, pot, work)
    shares: list[list[Term]] = [[ZERO] * 5 for _ in pot.lumps]
    solid: list[Term] = [ZERO] * len(pot.lumps)
    names = {name for lump in pot.lumps for name in lump.tag.names}
    for name, figure in step.out.items():
        wanted = ONE if figure is None else work.ask(f"out {name}", f"{name}, share taken out", figure, "share")
        layer = name in (FAT_LAYER, BROWNED_SOLIDS) and name not in names
        for i, lump in enumerate(pot.lumps):
            if layer and lump.tag.loose:
                for k in (FAT,) if name == FAT_LAYER else (SOLUBLES, INSOLUBLES):
                    shares[i][k] = most(shares[i][k], wanted)
            elif not layer and not lump.tag.loose and name in lump.tag.names:
                shares[i] = [most(one, wanted) for one in shares[i]]
                solid[i] = most(solid[i], wanted)
    things = total([m * s for i, lump in enumerate(pot.lumps) for m, s in zip(lump.mass, shares[i], strict=True)])
    flowing = [
        m * (ONE - s)
        for i, lump in enumerate(pot.lumps)
        if lump.tag.loose
        for m, s in zip(lump.mass, shares[i], strict=True)
    ]
    liquid = work.figure("liquid to hold from", total(flowing))
    as_added = {
        i: added[lump.tag] * solid[i] for i, lump in enumerate(pot.lumps) if not lump.tag.loose and lump.tag in added
    }
    holds, free = _holds(step, pot, things, as_added, scale, work)
    holds = work.figure("liquid that goes along", holds)
    work.require(at_most(holds, liquid + SLACK * (ONE + liquid)), "there is not so much liquid to hold")
    goes = work.figure("share of the liquid that goes along", ratio(least(holds, liquid), liquid), "share")
    shares = [
        [most(one, goes) for one in shares[i]] if lump.tag.loose else shares[i] for i, lump in enumerate(pot.lumps)
    ]
    outcome = _parted(step, pot, shares, work)
    outcome.free = free
    return outcome


def _parted(step: Strain, pot: Pot, shares: list[list[Term]], work: Work) -> Outcome:
    touched = [i for i, one in enumerate(shares) if not all(s.is_(0.0) for s in one)]
    taken = [pots.fractions(pot.lumps[i], shares[i]) for i in touched]
    rests = [pots.less(pot.lumps[i], took) for i, took in zip(touched, taken, strict=True)]
    others = [pots.loosened(pot.lumps[i]) for i in range(len(pot.lumps)) if i not in touched]
    saved: dict[str, tuple[Pot, str | None]] = {}
    if step.save:
        if step.worth is not None:
            per_kg = work.ask("worth", f"{step.save}, worth of a kg", _worth(step.worth), "worth")
            pots.worth(taken, [*rests, *others], per_kg, work.paper, work.what)
        lumps = pots.joined(taken, work.paper, f"{work.what}: {step.save}", work.lumped)
        saved[step.save] = (Pot(lumps), step.label)
    else:
        pots.pass_on(rests, [one.money for one in taken], others, work.paper, work.what)
    kept = pots.joined([*rests, *others], work.paper, work.what, work.lumped)
    after = replace(pot, lumps=kept)
    work.require(above(after.grams(), SLACK), "nothing is left in the pot")
    return Outcome(after, gone_g=ZERO if step.save else pot.grams() - after.grams(), saved=saved)


def _worth(per_kg: float) -> Figure:
    return Figure(per_kg, per_kg)


def _give(step: Strain, pot: Pot, work: Work) -> Pot:
    """Solubles pass from what is strained out into the liquid."""
    extracts: Term | None = None
    out: list[Lump | Loose] = []
    given: list[Loose] = []
    for lump in pot.lumps:
        if lump.tag.loose or lump.tag.names.isdisjoint(step.out) or "held" in lump.tag.marks:
            out.append(lump)
            continue
        if step.extracts is not None:
            if extracts is None:
                extracts = work.ask("extracts", "extracts, share of the solubles", step.extracts, "share")
            gives = extracts
        else:
            common = work.shared.pantry[lump.tag.ingredient].strained
            gives = const(common.extracts if common else 0.0)
        if gives.is_(0.0) or lump.mass[SOLUBLES].is_(0.0):
            out.append(lump)
            continue
        shares = [gives if k == SOLUBLES else ZERO for k in range(5)]
        gave = pots.fractions(lump, shares)
        out.append(pots.less(lump, gave))
        gave.like = replace(lump.like, state="liquid", names=frozenset()).marked("given")
        gave.tag = work.lumped(replace(lump.tag, state="liquid", names=frozenset()).marked("given"))
        given.append(gave)
    if not given:
        return pot
    return replace(pot, lumps=pots.joined([*out, *given], work.paper, f"{work.what}: gives", work.lumped))


def _holds(
    step: Strain, pot: Pot, things: Term, as_added: dict[int, Term], scale: Term | None, work: Work
) -> tuple[Term, tuple[str, Term] | None]:
    weight = work.figure("weight as added of what comes out", total(list(as_added.values())))
    if scale is not None:
        holds = pot.grams() - things - scale
        work.require(at_most(ZERO - SLACK * scale, holds), "that is more than there can be after straining")
        work.require(above(scale), "that is no weight")
        return most(holds, ZERO), ("holding, from the scale", ratio(holds, weight))
    if step.caught is not None:
        caught = work.ask("caught", "caught, g", step.caught, "grams") * work.size
        work.require(at_most(things * (ONE - SLACK), caught), plain("what is caught weighs less than the things alone"))
        return most(caught - things, ZERO), None
    if step.holding is not None:
        return work.ask("holding", "holding, share of weight as added", step.holding, "times") * weight, None
    holds = ZERO
    for i, lump in enumerate(pot.lumps):
        if i not in as_added or "held" in lump.tag.marks:
            continue
        common = work.shared.pantry[lump.tag.ingredient].strained
        if common is not None:
            holds = holds + as_added[i] * const(common.holding)
    return holds, None
