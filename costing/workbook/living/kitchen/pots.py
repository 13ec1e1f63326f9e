"""A pot by formulas: its lumps, and how they divide, join, and pass money on; as :mod:`costing.kitchen.pot` does."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from costing.kitchen.density import _densities, _ethanol
from costing.kitchen.pot import ALCOHOL, FAT, INSOLUBLES, SOLUBLES, WATER, Tag
from costing.workbook.living.terms import ONE, ZERO, Term, above, const, digits, either, least, most, ratio, total

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from costing.workbook.living.kitchen.paper import Lump, Paper

FRACTIONS = ("water", "alcohol", "fat", "solubles", "insolubles")
DRY = (FAT, SOLUBLES, INSOLUBLES)


@dataclass(frozen=True, slots=True)
class Pot:
    """Lumps together, with the air churned into them.

    Args:
        lumps: what is in it.
        air: mL.
        mix_ml: volume of the mix as it was churned.
        filled: weight of a full container, g, from which the air is still to be worked out.
        cooled: fat is firm.
        browned: there are browned solids.
    """

    lumps: tuple[Lump, ...] = ()
    air: Term = ZERO
    mix_ml: Term | None = None
    filled: Term | None = None
    cooled: bool = False
    browned: bool = False

    def grams(self) -> Term:
        """Weight of everything."""
        return total([lump.weight for lump in self.lumps])

    def money(self) -> Term:
        """What everything carries."""
        return total([lump.money for lump in self.lumps])

    def sums(self, loose: bool = False) -> list[Term]:
        """The five fractions of everything, or of all that flows."""
        chosen = [lump for lump in self.lumps if lump.tag.loose or not loose]
        return [total([lump.mass[k] for lump in chosen]) for k in range(5)]

    def called(self, names: Sequence[str]) -> list[Lump]:
        """The lumps that answer to one of the names."""
        return [lump for lump in self.lumps if not lump.tag.names.isdisjoint(names)]


@dataclass(slots=True)
class Loose:
    """A lump that is not written down yet."""

    tag: Tag
    like: Tag
    mass: list[Term]
    added: Term
    money: Term

    @property
    def weight(self) -> Term:
        """Its weight."""
        return total(self.mass)


def loosened(lump: Lump) -> Loose:
    """A lump to go on with."""
    return Loose(lump.tag, lump.like, list(lump.mass), lump.added, lump.money)


def share(lump: Lump | Loose, of: Term) -> Loose:
    """A share of everything in it."""
    return Loose(lump.tag, lump.like, [m * of for m in lump.mass], lump.added * of, _of(lump.money, of))


def _of(money: Term, share: Term) -> Term:
    """A share of some money; nothing of what is unknown is unknown too."""
    return ZERO if money.is_(0.0) or share.is_(0.0) else money * share


def fractions(lump: Lump, shares: Sequence[Term]) -> Loose:
    """A share of each fraction: money by weight, weight as added by dry matter."""
    if all(one.text == shares[0].text for one in shares):
        return share(lump, shares[0])
    taken = [m * s for m, s in zip(lump.mass, shares, strict=True)]
    by_weight = ratio(total(taken), lump.weight)
    dry = total([lump.mass[k] for k in DRY])
    by_dry = either(above(dry), total([taken[k] for k in DRY]) / dry, by_weight)
    return Loose(lump.tag, lump.like, taken, lump.added * by_dry, _of(lump.money, by_weight))


def less(lump: Lump, taken: Loose | Lump) -> Loose:
    """What stays when something is taken."""
    mass = [_minus(m, t) for m, t in zip(lump.mass, taken.mass, strict=True)]
    return Loose(lump.tag, lump.like, mass, _minus(lump.added, taken.added), _minus(lump.money, taken.money))


def _minus(one: Term, other: Term) -> Term:
    return ZERO if one.text == other.text else one - other


def pass_on(rests: Sequence[Loose], moneys: Sequence[Term], also: Sequence[Loose], paper: Paper, what: str) -> None:
    """Let money of what is thrown away pass to the rest of its own lump, else to all that is kept, by weight.

    Args:
        rests: what stays of each lump; they get the money.
        moneys: what was thrown away of each carried.
        also: what else is kept.
        paper: where figures are written down.
        what: the step.
    """
    pool = ZERO
    for rest, money in zip(rests, moneys, strict=True):
        if money.is_(0.0):
            continue
        weight = rest.weight
        if weight.is_(0.0):
            pool = pool + money
        else:
            rest.money = rest.money + either(above(weight), money, ZERO)
            pool = pool + either(above(weight), ZERO, money)
    if pool.is_(0.0):
        return
    kept = [*rests, *also]
    each = ratio(paper.figure(what, "money of what goes whole", pool), total([one.weight for one in kept]))
    each = paper.figure(what, "that money, for a gram of what stays", each)
    for one in kept:
        one.money = one.money + one.weight * each


def worth(saved: list[Loose], rest: list[Loose], per_kg: Term, paper: Paper, what: str) -> None:
    """Let what is saved carry what it is worth; as :func:`costing.kitchen.money.worth`.

    ``rest`` stands in the order of ``saved``, where lumps without a counterpart follow.
    """
    figure = paper.figure
    has = figure(what, "money of the saved part by weight", total([one.money for one in saved]))
    there = has + total([one.money for one in rest])
    weight = figure(what, "weight of the saved part", total([one.weight for one in saved]))
    wanted = figure(what, "what it is to carry", least(weight / const(1000.0) * per_kg, there))
    less_by = figure(what, "its share of that", least(ratio(wanted, has), ONE), "share")
    moneys = [one.money - one.money * less_by for one in saved]
    for one in saved:
        one.money = one.money * less_by
    pass_on(rest[: len(saved)], moneys, rest[len(saved) :], paper, what)
    more = most(wanted - total([one.money for one in saved]), ZERO)
    left = figure(what, "money of what stays", total([one.money for one in rest]))
    give = figure(what, "share of it that moves over", ratio(figure(what, "money to move over", more), left), "share")
    moved = figure(what, "that money, for a gram saved", ratio(give * left, weight))
    for one in rest:
        one.money = one.money * (ONE - give)
    for one in saved:
        one.money = one.money + one.weight * moved


def joined(lumps: Sequence[Lump | Loose], paper: Paper, what: str, key: Callable[[Tag], Tag]) -> tuple[Lump, ...]:
    """Lumps together: those that nothing tells apart become one, and new ones are written down.

    Args:
        lumps: written ones stay as they are where nothing joins them.
        paper: where they are written.
        what: the step.
        key: by what lumps are told apart.
    """
    from costing.workbook.living.kitchen.paper import Lump as Written

    groups: dict[Tag, list[Lump | Loose]] = {}
    for lump in lumps:
        groups.setdefault(key(lump.tag), []).append(lump)
    out: list[Lump] = []
    for tag, members in groups.items():
        first = members[0]
        if len(members) == 1 and isinstance(first, Written):
            out.append(replace(first, tag=tag))
            continue
        mass = [total([one.mass[k] for one in members]) for k in range(5)]
        added, money = total([one.added for one in members]), total([one.money for one in members])
        if all(one.is_(0.0) for one in mass) and money.is_(0.0):
            continue
        out.append(paper.lump(what, tag, first.like, mass, added, money))
    return tuple(out)


def millilitres(mass: Sequence[Term], paper: Paper, what: str) -> Term:
    """Volume without air, as :func:`costing.kitchen.density.volume`; with alcohol by the table of its strength."""
    density = {name: const(value) for name, value in _densities().items()}
    solid = mass[FAT] / density["fat"] + mass[SOLUBLES] / density["solubles"] + mass[INSOLUBLES] / density["insolubles"]
    if mass[ALCOHOL].is_(0.0):
        return solid + mass[WATER] / density["water"]
    liquid = paper.figure(what, "water and alcohol (g)", mass[WATER] + mass[ALCOHOL])
    strength = paper.figure(what, "share of alcohol in it", ratio(mass[ALCOHOL], liquid), "share")
    return solid + liquid / paper.figure(
        what, "density of it (g/mL)", between(strength, *(one.tolist() for one in _ethanol()))
    )


def between(at: Term, places: Sequence[float], values: Sequence[float]) -> Term:
    """Straight lines between the rows of a table, and its ends beyond them."""
    import numpy as np

    found = float(np.interp(at.value, places, values))
    if at.fixed:
        return const(found)
    text = digits(values[-1])
    for k in range(len(places) - 2, -1, -1):
        x, y = float(places[k]), float(values[k])
        slope = (float(values[k + 1]) - y) / (float(places[k + 1]) - x)
        text = f"IF({at.text}<{digits(places[k + 1])},{digits(y)}+{digits(slope)}*({at.text}-{digits(x)}),{text})"
    return Term(text, found, at.needs)
