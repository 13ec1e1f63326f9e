"""``render`` and ``press`` by formulas; as :mod:`costing.kitchen.render` and :mod:`costing.kitchen.press`."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from costing.amounts import Figure, Kind
from costing.kitchen.constants import constant
from costing.kitchen.pot import ALCOHOL, FAT, INSOLUBLES, SOLUBLES, WATER, Tag
from costing.workbook.living.kitchen import pots
from costing.workbook.living.kitchen.pots import FRACTIONS, Loose, Pot
from costing.workbook.living.kitchen.work import SLACK, Outcome, Work
from costing.workbook.living.terms import ONE, ZERO, Term, at_most, clip, const, least, most, ratio, total

if TYPE_CHECKING:
    from costing.amounts import Amount
    from costing.shop.steps import Press, Render
    from costing.workbook.living.kitchen.paper import Lump


def render(step: Render, pot: Pot, work: Work, scale: Term | None) -> Outcome:
    """Melt fat out of tissue."""
    tissue = pot.called(step.of)
    others = [lump for lump in pot.lumps if not any(lump is one for one in tissue)]
    sums = Pot(tuple(tissue)).sums()
    held = [work.figure(f"{name} of the tissue", term) for name, term in zip(FRACTIONS, sums, strict=True)]
    weight = work.figure("weight of the tissue", total([lump.weight for lump in tissue]))
    wanted, free = _wanted(step.yields, weight, others, scale, work)
    pure = ONE if step.purity is None else work.ask("purity", "purity, share that is fat", step.purity, "share")
    melts = work.figure("fat that melts out", wanted * pure)
    along = work.figure("water and solubles along with it", wanted * (ONE - pure))
    serum = held[WATER] + held[SOLUBLES]
    work.require(at_most(melts, held[FAT] + SLACK * weight), "there is not so much fat")
    work.require(at_most(along, serum + SLACK * weight), "there is not so much water and solubles")
    melted_share = work.figure("share of the fat that melts out", _share(melts, held[FAT]), "share")
    along_share = work.figure("share of water and solubles along with it", _share(along, serum), "share")
    moist = constant("moisture left in cracklings")
    dry = held[FAT] - melts + held[SOLUBLES] * (ONE - along_share) + held[INSOLUBLES]
    goes = work.figure("water along with the fat", held[WATER] * along_share)
    stays = least(held[WATER] - goes, most(dry, ZERO) * const(moist / (1.0 - moist)))
    stays = work.figure("moisture of the cracklings", stays)
    left = work.figure("share of the water that is left", _share(goes + stays, held[WATER]), "share")
    water_share = work.figure("share of that along with the fat", _share(goes, goes + stays), "share")
    dried = []
    for lump in tissue:
        mass = list(lump.mass)
        mass[WATER], mass[ALCOHOL] = mass[WATER] * left, ZERO
        dried.append(work.paper.lump(f"{work.what}: dried", lump.tag, lump.like, mass, lump.added, lump.money))
    shares = [ZERO] * 5
    shares[FAT], shares[SOLUBLES], shares[WATER] = melted_share, along_share, water_share
    outcome = _parted(step, pot, dried, others, shares, "melts", work)
    outcome.free = free
    return outcome


def press(step: Press, pot: Pot, work: Work, scale: Term | None) -> Outcome:
    """Squeeze liquid out."""
    fruit = pot.called(step.of)
    others = [lump for lump in pot.lumps if not any(lump is one for one in fruit)]
    weight = work.figure("weight of what is pressed", total([lump.weight for lump in fruit]))
    wanted, free = _wanted(step.yields, weight, others, scale, work)
    mass = Pot(tuple(fruit)).sums()
    fat = ZERO if step.fat is None else work.ask("fat", "share of the fat that goes along", step.fat, "share")
    fibre = ZERO if step.fibre is None else work.ask("fibre", "share of the fibre that goes along", step.fibre, "share")
    along = work.figure("fat and fibre along", fat * mass[FAT] + fibre * mass[INSOLUBLES])
    liquid = work.figure("liquid in it", mass[WATER] + mass[ALCOHOL] + mass[SOLUBLES])
    work.require(at_most(wanted, liquid + along + SLACK * weight), "there is not so much liquid")
    work.require(at_most(along - SLACK * weight, wanted), "that is less than the fat and fibre that go along")
    flows = work.figure("share of the liquid that comes out", clip(ratio(wanted - along, liquid)), "share")
    shares = [flows, flows, fat, flows, fibre]
    outcome = _parted(step, pot, fruit, others, shares, "liquid", work)
    outcome.free = free
    return outcome


def _wanted(
    yields: Amount, weight: Term, others: list[Lump], scale: Term | None, work: Work
) -> tuple[Term, tuple[str, Term] | None]:
    if scale is not None:
        wanted = scale - total([lump.weight for lump in others])
        work.require(at_most(ZERO - SLACK * scale, wanted), "what else is in the pot weighs more than that")
        wanted = work.figure("what comes out", most(wanted, ZERO))
        return wanted, ("yields, from the scale", ratio(wanted, weight))
    if yields.kind is Kind.SHARE:
        return work.figure("what comes out", work.ask("yields", "yields, share", yields.figure, "share") * weight), None
    figure = Figure(yields.figure.low, yields.figure.high, yields.text)
    return work.ask("yields", "yields, g", figure, "grams") * work.size, None


def _parted(
    step: Render | Press, pot: Pot, chosen: list[Lump], others: list[Lump], shares: list[Term], state: str, work: Work
) -> Outcome:
    """Part what was chosen into what is kept and what stays behind, and see to the money."""

    def rename(tag: Tag) -> Tag:
        names = tag.names | {step.label} if step.label else tag.names
        return replace(tag, names=names, state=state, label=step.label or tag.label)

    taken = [pots.fractions(lump, shares) for lump in chosen]
    rests = [pots.less(lump, took) for lump, took in zip(chosen, taken, strict=True)]
    kept: list[Loose] = [pots.loosened(lump) for lump in others]
    saved: dict[str, tuple[Pot, str | None]] = {}
    gone = ZERO
    if step.save:
        lumps = pots.joined(rests, work.paper, f"{work.what}: {step.save}", work.lumped)
        saved[step.save] = (Pot(lumps), None)
    else:
        gone = total([rest.weight for rest in rests])
        # What stays behind passes its money to what came out of it.
        pots.pass_on(taken, [rest.money for rest in rests], kept, work.paper, work.what)
    for took in taken:
        took.tag, took.like = work.lumped(rename(took.tag)), rename(took.like)
    after = replace(pot, lumps=pots.joined([*kept, *taken], work.paper, work.what, work.lumped))
    return Outcome(after, gone_g=gone, saved=saved)


def _share(part: Term, whole: Term) -> Term:
    return ratio(least(part, whole), whole)
