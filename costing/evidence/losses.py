"""Where the nutrients of every ingredient went: what went into pots is in the container, kept for later, or lost.

For each ingredient and nutrient, in the whole batch and so in a container's share of it,

    put in = in the container + kept for later + thrown away + lost to heat or as vapour,

step by step. What heat takes (vitamins by ``data/kitchen/vitamin_retention.csv``) and what leaves as vapour (water and
alcohol) is what a step's pots lack afterwards: mass is checked by the kitchen, so nothing else can be missing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from costing.contents import by_piece
from costing.finished import soluble_fiber
from costing.flow.graph import LOSSES
from costing.kitchen.pot import SOLUBLES
from nutrition.composition import Composition
from nutrition.law.us import calories
from nutrition.nutrients import index, keys
from nutrition.product import Component

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from numpy.typing import NDArray

    from costing.kitchen.brew import Brew, PartRecord, StepRecord
    from costing.kitchen.materials import Material
    from costing.kitchen.pot import Pot

    Floats = NDArray[np.float64]

HEAT = "heat or vapour"
NOISE = 1e-9
"""of what was put in: below it, what a step's pots lack is the noise of sums"""


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """An amount of one ingredient: its weight and what it holds.

    Args:
        material: the ingredient.
        grams: g.
        solubles: of it, what is dissolved, g; sugar alcohols and allulose stay with it.
        amounts: low, value, high of every nutrient, ``(3, nutrients)``; the value is ``nan`` where unknown.
    """

    material: Material
    grams: float
    solubles: float
    amounts: Floats

    def of(self, key: str, method: str = "B") -> tuple[float, float | None, float]:
        """Low, value and high of one nutrient; calories by the method of the label, not by the food's own energy.

        Args:
            key: nutrient key.
            method: of the calories, by its letter.
        """
        low, value, high = self.amounts
        if key == "sugar_alcohol":
            stated = math.fsum(self._dissolved().values())
            return stated, stated, stated
        if key == "energy":
            energy = calories.of_component(self._component(), method)
            return energy.low, energy.value, energy.high
        i = index(key)
        best = float(value[i])
        return float(low[i]), None if np.isnan(best) else best, float(high[i])

    def _dissolved(self) -> dict[str, float]:
        return {name: share.mid * self._whole() for name, share in self.material.entry.sugar_alcohols.items()}

    def _whole(self) -> float:
        """Weight of the ingredient that would hold these solubles."""
        share = float(self.material.fractions[SOLUBLES])
        return self.solubles / share if share > 0 else self.grams

    def _component(self) -> Component:
        entry, record = self.material.entry, self.material.record
        # What a step took can be the noise of sums below nothing, which no composition is.
        whole = Composition(max(0.0, self.grams), *(np.maximum(one, 0.0) for one in self.amounts))
        return Component(
            entry.name,
            entry.label,
            str(entry.kind),
            record.id,
            record.source,
            self.grams,
            self.grams,
            whole,
            factors={**record.factors, **entry.calorie_factors},
            sugar_alcohols=self._dissolved(),
            allulose_g=0.0 if entry.allulose is None else entry.allulose.mid * self._whole(),
            soluble_fiber_g=soluble_fiber(self.material, whole),
        )

    def __add__(self, other: Held) -> Held:
        return Held(
            self.material, self.grams + other.grams, self.solubles + other.solubles, self.amounts + other.amounts
        )

    def times(self, factor: float) -> Held:
        """So many times this."""
        return Held(self.material, self.grams * factor, self.solubles * factor, self.amounts * factor)


def nothing(material: Material) -> Held:
    """None of an ingredient."""
    return Held(material, 0.0, 0.0, np.zeros((3, len(keys()))))


@dataclass(frozen=True, slots=True, eq=False)
class Away:
    """What one step took of an ingredient.

    Args:
        recipe: key of the recipe whose step it is.
        part: its part.
        step: its number in the part, from 1.
        verb: its verb.
        name: its own name, if it has one.
        where: file and line.
        how: ``heat or vapour``, or what became of it in words (``strained out``).
        held: how much.
    """

    recipe: str
    part: str
    step: int
    verb: str
    name: str
    where: str
    how: str
    held: Held


@dataclass(frozen=True, slots=True, eq=False)
class Journey:
    """Where one ingredient went; every amount is for one container.

    Args:
        ingredient: the shop's name for it.
        put_in: what went into pots.
        away: what each step took, in their order.
        kept: name of what was kept for later to how much is in it.
        there: what is in the container.
    """

    ingredient: str
    put_in: Held
    away: tuple[Away, ...]
    kept: Mapping[str, Held]
    there: Held


def journeys(brew: Brew, materials: Mapping[str, Material], net_g: float) -> dict[str, Journey]:
    """Where every ingredient of a batch went, for one container of it.

    Args:
        brew: the batch, of the plain answer.
        materials: ingredient to material.
        net_g: what one container holds, g.

    Returns:
        Ingredient to its journey, in the order in which the batch took them.

    Raises:
        ValueError: the batch was sampled, so that the pots of its steps were not kept.
    """
    whole = float(brew.pot.grams()[0])
    share = net_g / whole if whole > 0 else 0.0
    put: dict[str, Held] = {}
    for use in brew.uses:
        if not use.recipe:
            grams = float(use.grams[0])
            fresh = _fresh(materials[use.source], grams)
            put[use.source] = put[use.source] + fresh if use.source in put else fresh
    away: dict[str, list[Away]] = {name: [] for name in put}
    for part in brew.parts:
        for step in part.steps:
            for ingredient, how, held in _taken(step, materials, put):
                away[ingredient].append(_away(part, step, how, held.times(share)))
    kept: dict[str, dict[str, Held]] = {name: {} for name in put}
    for saved in brew.saved:
        for ingredient, held in contents(saved.pot, materials).items():
            before = kept[ingredient].get(saved.name)
            here = held.times(share)
            kept[ingredient][saved.name] = here if before is None else before + here
    there = contents(brew.pot, materials)
    return {
        name: Journey(
            name, held.times(share), tuple(away[name]), kept[name], there.get(name, nothing(held.material)).times(share)
        )
        for name, held in put.items()
    }


def contents(pot: Pot, materials: Mapping[str, Material]) -> dict[str, Held]:
    """What a pot holds of each ingredient."""
    amounts = by_piece(pot, materials)[:, :, 0, :]
    grams = pot.weights()[:, 0]
    found: dict[str, Held] = {}
    for i, tag in enumerate(pot.tags):
        solubles = float(pot.mass[i, 0, SOLUBLES])
        piece = Held(materials[tag.ingredient], float(grams[i]), solubles, amounts[:, i, :])
        found[tag.ingredient] = found[tag.ingredient] + piece if tag.ingredient in found else piece
    return found


def _fresh(material: Material, grams: float) -> Held:
    mass = (material.fractions * grams)[None, :, None]
    amounts: Floats = np.where(mass > 0, mass * material.nutrients, 0.0).sum(axis=1)
    return Held(material, grams, float(mass[0, SOLUBLES, 0]), amounts)


def _taken(step: StepRecord, materials: Mapping[str, Material], put: Iterable[str]) -> Iterable[tuple[str, str, Held]]:
    """What a step took of every ingredient: ingredient, how, how much."""
    pots = step.pots
    if pots is None:
        raise ValueError("the pots of a sample are not kept; make the batch without draws")
    scale = float(np.atleast_1d(pots.scale)[0])
    into = _sum([pots.before, pots.put_in], materials)
    gone = {} if pots.gone is None else contents(pots.gone, materials)
    out = _sum([pots.after, pots.gone, *pots.saved], materials)
    words = LOSSES.get(step.verb, "thrown away")
    for ingredient in put:
        if ingredient in gone and gone[ingredient].grams > 0:
            yield ingredient, words, gone[ingredient].times(scale)
        if ingredient in into:
            lacks = _less(into[ingredient], out.get(ingredient, nothing(materials[ingredient])))
            if lacks is not None:
                yield ingredient, HEAT, lacks.times(scale)


def _sum(pots: Iterable[Pot | None], materials: Mapping[str, Material]) -> dict[str, Held]:
    found: dict[str, Held] = {}
    for pot in pots:
        if pot is not None:
            for name, held in contents(pot, materials).items():
                found[name] = found[name] + held if name in found else held
    return found


def _less(into: Held, out: Held) -> Held | None:
    """What is missing, None where nothing is; noise of sums is nothing, and an unknown amount of nothing is none."""
    lost = into.amounts - out.amounts
    bound = NOISE * np.maximum(1e-6, np.maximum(np.abs(into.amounts), np.abs(out.amounts)))
    lost = np.where(np.abs(lost) <= bound, 0.0, lost)
    # Where a nutrient is unknown, what is lost of it is unknown only if its most was lost.
    lost[1] = np.where(np.isnan(lost[1]) & (lost[2] == 0.0), 0.0, lost[1])
    grams = into.grams - out.grams
    grams = 0.0 if abs(grams) <= NOISE * max(1e-6, into.grams) else grams
    if grams == 0.0 and not np.nan_to_num(lost, nan=1.0).any():
        return None
    return Held(into.material, grams, into.solubles - out.solubles, lost)


def _away(part: PartRecord, step: StepRecord, how: str, held: Held) -> Away:
    return Away(part.recipe, part.name, step.number, step.verb, step.name, step.where, how, held)
