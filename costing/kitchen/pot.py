"""A pot: a set of pieces, each of one ingredient and one history.

A piece is five fractions by weight (water, alcohol, fat, solubles, insolubles), four ledgers, and the share of
each vitamin that it has kept. All pieces of a pot lie in arrays: ``mass`` has the shape ``(pieces, draws, 5)``,
``ledgers`` ``(pieces, draws, 4)``, ``kept`` ``(pieces, draws, vitamins)``. A pot never changes; a step makes a new one.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from nutrition.foods.fractions import INSTEAD as STAND_INS
from nutrition.foods.fractions import NAMES
from nutrition.nutrients import nutrient

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

WATER, ALCOHOL, FAT, SOLUBLES, INSOLUBLES = range(5)
DRY = (FAT, SOLUBLES, INSOLUBLES)

ADDED, MONEY, VALUE, BOILED = range(4)
"""The ledgers: weight as added (g), carried money and as-bought value (the shop's currency), water boiled off (g)."""


@dataclass(frozen=True, slots=True)
class Tag:
    """What a piece is.

    Args:
        ingredient: the shop's name of the ingredient.
        names: every name by which a step can call it in this pot.
        state: ``liquid``, ``dissolves``, ``melts`` or ``solid``.
        label: a common name of its own, once it is no longer what it was (``duck fat``), else None.
        groups: own labels of the parts it went through, innermost first.
        marks: its history: ``given`` (solubles left behind), ``held`` (liquid held by a solid), ``browned``,
            ``concentrated``, ``folded``.
    """

    ingredient: str
    names: frozenset[str]
    state: str
    label: str | None = None
    groups: tuple[str, ...] = ()
    marks: frozenset[str] = frozenset()

    @property
    def loose(self) -> bool:
        """Whether it flows with the liquid of the pot."""
        return self.state != "solid"

    def marked(self, mark: str) -> Tag:
        """The same with one more mark."""
        return self if mark in self.marks else replace(self, marks=self.marks | {mark})


@dataclass(frozen=True, slots=True, eq=False)
class Pot:
    """Pieces together.

    Args:
        tags: what each piece is.
        mass: grams, ``(pieces, draws, 5)``.
        ledgers: ``(pieces, draws, 4)``.
        kept: share of each vitamin kept, ``(pieces, draws, vitamins)``.
        air: air churned in, mL, ``(draws,)``.
        folded: volume of what was folded in, mL, ``(draws,)``.
        touched: allergens of everything that anything in this pot ever touched.
        steeped: (ingredient, own labels) of what was steeped here and taken out whole.
        cooled: it has been cooled, so that fat is firm.
        browned: it has been browned, so that there are solids to strain out.
        filled: the weight of a full container that the overrun is to be worked out from, g, else None.
        mix_ml: volume of the mix as it was churned, mL, else None.
    """

    tags: tuple[Tag, ...]
    mass: Floats
    ledgers: Floats
    kept: Floats
    air: Floats
    folded: Floats
    touched: frozenset[str] = frozenset()
    steeped: frozenset[tuple[str, tuple[str, ...]]] = frozenset()
    cooled: bool = False
    browned: bool = False
    filled: Floats | None = field(default=None)
    mix_ml: Floats | None = field(default=None)

    @classmethod
    def empty(cls, draws: int, vitamins: int) -> Pot:
        """A clean pot."""
        return cls(
            (),
            np.zeros((0, draws, 5)),
            np.zeros((0, draws, 4)),
            np.ones((0, draws, vitamins)),
            np.zeros(draws),
            np.zeros(draws),
        )

    # What is in it -------------------------------------------------------------------------------------------------

    def weights(self) -> Floats:
        """Weight of each piece, g, ``(pieces, draws)``."""
        return _over_fractions(self.mass)

    def grams(self) -> Floats:
        """Weight of everything, g, ``(draws,)``."""
        return _over_fractions(self.mass.sum(axis=0))

    def ledger(self, which: int) -> Floats:
        """The sum of a ledger over all pieces, ``(draws,)``."""
        total: Floats = self.ledgers[:, :, which].sum(axis=0)
        return total

    def where(self, test: Callable[[Tag], bool]) -> Floats:
        """1 for each piece that passes the test and 0 for the others, ``(pieces, 1)``."""
        return np.array([[1.0 if test(tag) else 0.0] for tag in self.tags]).reshape(len(self.tags), 1)

    def called(self, names: Iterable[str]) -> Floats:
        """1 for each piece that answers to one of the names, ``(pieces, 1)``."""
        wanted = frozenset(names)
        return self.where(lambda tag: not wanted.isdisjoint(tag.names))

    # What can happen to it -----------------------------------------------------------------------------------------

    def retagged(self, change: Callable[[Tag], Tag]) -> Pot:
        """The same pieces under other tags."""
        return replace(self, tags=tuple(change(tag) for tag in self.tags))

    def share(self, share: Floats) -> Pot:
        """A share of everything, air included; ``share`` is 0 to 1 with shape ``(draws,)``."""
        column = share[None, :, None]
        return replace(
            self,
            mass=self.mass * column,
            ledgers=self.ledgers * column,
            air=self.air * share,
            folded=self.folded * share,
            mix_ml=None if self.mix_ml is None else self.mix_ml * share,
        )

    def at(self, draw: int) -> Pot:
        """The same pot in one draw alone."""
        one = slice(draw, draw + 1)
        return replace(
            self,
            mass=self.mass[:, one],
            ledgers=self.ledgers[:, one],
            kept=self.kept[:, one],
            air=self.air[one],
            folded=self.folded[one],
            filled=None if self.filled is None else self.filled[one],
            mix_ml=None if self.mix_ml is None else self.mix_ml[one],
        )

    def split(self, share: Floats) -> tuple[Pot, Pot]:
        """Divide each piece as it is.

        Args:
            share: what is taken of each piece, 0 to 1, shape ``(pieces, draws)`` or ``(pieces, 1)``.

        Returns:
            What stays (with the air), what is taken; piece by piece in the same order.
        """
        column = np.broadcast_to(share, self.mass.shape[:2])[:, :, None]
        taken = replace(
            self,
            mass=self.mass * column,
            ledgers=_part(self.ledgers, column),
            air=np.zeros_like(self.air),
            folded=np.zeros_like(self.folded),
            filled=None,
            mix_ml=None,
        )
        return replace(self, mass=self.mass - taken.mass, ledgers=_rest(self.ledgers, taken.ledgers, column)), taken

    def split_fractions(self, share: Floats) -> tuple[Pot, Pot]:
        """Divide each piece fraction by fraction.

        Money and as-bought value divide by weight, the weight as added by dry matter (by weight where there is none).

        Args:
            share: what is taken of each fraction, 0 to 1, shape ``(pieces, draws, 5)``, broadcast.

        Returns:
            What stays, what is taken; piece by piece in the same order.
        """
        mass = self.mass * share
        by_weight = _ratio(_over_fractions(mass), self.weights())
        dry = _over_dry(self.mass)
        by_dry = np.where(dry > 0, _ratio(_over_dry(mass), dry), by_weight)
        shares = np.stack([by_dry, by_weight, by_weight, by_dry], axis=2)
        taken = replace(
            self,
            mass=mass,
            ledgers=_part(self.ledgers, shares),
            air=np.zeros_like(self.air),
            folded=np.zeros_like(self.folded),
            filled=None,
            mix_ml=None,
        )
        return replace(self, mass=self.mass - mass, ledgers=_rest(self.ledgers, taken.ledgers, shares)), taken

    def joined(self, other: Pot) -> Pot:
        """Both together; pieces of one ingredient and one history become one piece."""
        return replace(
            _merged(
                (*self.tags, *other.tags),
                np.concatenate([self.mass, other.mass]),
                np.concatenate([self.ledgers, other.ledgers]),
                np.concatenate([self.kept, other.kept]),
                self,
            ),
            air=self.air + other.air,
            folded=self.folded + other.folded,
            touched=self.touched | other.touched,
            steeped=self.steeped | other.steeped,
            browned=self.browned or other.browned,
        )

    def tidied(self) -> Pot:
        """Without empty pieces, and with equal ones merged."""
        some = [i for i in range(len(self.tags)) if self.mass[i].any() or self.ledgers[i, :, MONEY : VALUE + 1].any()]
        if len(some) == len(self.tags) == len(set(self.tags)):
            return self
        return _merged(tuple(self.tags[i] for i in some), self.mass[some], self.ledgers[some], self.kept[some], self)


_ONES = np.ones(5)
_IS_DRY = np.array([1.0 if i in DRY else 0.0 for i in range(5)])


def _over_fractions(mass: Floats) -> Floats:
    """The sum over the five fractions; as a product it takes a tenth of the time of a sum over so short an axis."""
    total: Floats = mass @ _ONES
    return total


def _over_dry(mass: Floats) -> Floats:
    """The sum over fat, solubles and insolubles."""
    total: Floats = mass @ _IS_DRY
    return total


def _carrying(mass: Floats) -> Floats:
    """Weight of what carries each vitamin in pieces of one ingredient, g, ``(pieces, draws, vitamins)``.

    It is the vitamin's own fraction, or where there is none of it the one that stands in for it.
    """
    out: Floats = mass[:, :, carriers()]
    there = mass.sum(axis=0) > 0
    for stand_in in STAND_INS:
        missing = out.sum(axis=0) <= 0
        if not missing.any():
            break
        taken = missing & there[:, None, stand_in]
        out = np.where(taken, mass[:, :, stand_in, None], out)
    return out


@functools.cache
def carriers() -> tuple[int, ...]:
    """The fraction that carries each vitamin, in the order of :func:`costing.kitchen.vitamins.vitamins`."""
    from costing.kitchen.vitamins import vitamins

    return tuple(NAMES.index(nutrient(key).rides) for key in vitamins())


def _part(ledgers: Floats, share: Floats) -> Floats:
    """A share of some ledgers. No share of money that nobody knows is no money, and is known."""
    part: Floats = ledgers * share
    return np.where(share == 0, 0.0, part) if np.isnan(part.sum()) else part


def _rest(ledgers: Floats, part: Floats, share: Floats) -> Floats:
    """What is left of ledgers; nothing where all was taken, even of what nobody knows."""
    rest: Floats = ledgers - part
    return np.where(share == 1, 0.0, rest) if np.isnan(rest.sum()) else rest


def _ratio(part: Floats, whole: Floats) -> Floats:
    """Part over whole, 0 where there is no whole."""
    out: Floats = np.divide(part, whole, out=np.zeros(np.broadcast(part, whole).shape), where=whole > 0)
    return out


def _merged(tags: tuple[Tag, ...], mass: Floats, ledgers: Floats, kept: Floats, like: Pot) -> Pot:
    """A pot of these pieces, equal tags added up; vitamins kept are weighted by what carries them."""
    if len(set(tags)) == len(tags):
        return replace(like, tags=tags, mass=mass, ledgers=ledgers, kept=kept)
    order: dict[Tag, list[int]] = {}
    for i, tag in enumerate(tags):
        order.setdefault(tag, []).append(i)
    firsts = [places[0] for places in order.values()]
    new_mass, new_ledgers, new_kept = mass[firsts], ledgers[firsts], kept[firsts]
    for i, places in enumerate(order.values()):
        if len(places) > 1:
            new_mass[i] = mass[places].sum(axis=0)
            new_ledgers[i] = ledgers[places].sum(axis=0)
            if (kept[places] != kept[places[0]]).any():
                weights = _carrying(mass[places])
                total = weights.sum(axis=0)
                new_kept[i] = np.where(total > 0, _ratio((kept[places] * weights).sum(axis=0), total), new_kept[i])
    return replace(like, tags=tuple(order), mass=new_mass, ledgers=new_ledgers, kept=new_kept)
