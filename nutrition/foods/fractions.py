"""A food as five fractions by weight, each nutrient riding on one of them.

Cooking, straining and rendering move water, alcohol, fat, solubles and insolubles; nutrients go where their
fraction goes. The matrices say how much of each nutrient one gram of each fraction carries, so that fractions
times matrix gives back the amounts of the food record.

>>> from nutrition.foods.table import food
>>> cream = fractions(food("01053"))
>>> dict(zip(NAMES, (round(float(x), 4) for x in cream.shares)))
{'water': 0.5781, 'alcohol': 0.0, 'fat': 0.3608, 'solubles': 0.0611, 'insolubles': 0.0}
>>> round(float((cream.shares @ cream.value)[index("calcium")]) * 100, 6)
66.0

Which nutrient rides on which fraction stands in ``data/nutrients.csv``; what of carbohydrate and protein is
dissolved stands by USDA food group in ``data/foods/solubility.csv`` (common practice).
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from nutrition import resources
from nutrition.foods.names import Pattern
from nutrition.nutrients import index, nutrients

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutrition.foods.record import FoodRecord

    Floats = NDArray[np.float64]

NAMES = ("water", "alcohol", "fat", "solubles", "insolubles")
WATER, ALCOHOL, FAT, SOLUBLES, INSOLUBLES = range(5)
INSTEAD = (INSOLUBLES, SOLUBLES, WATER, FAT, ALCOHOL)
"""Who carries a nutrient whose own fraction the food has none of."""

DUST = 1e-12

KCAL = {"protein": 4.0, "carbohydrate": 4.0, "fat": 9.0, "alcohol": 7.0, "fiber": 2.0, "acid": 3.5}
"""kcal/g for dividing a food's energy among its fractions (Atwater; fibre as in Regulation (EU) 1169/2011, annex XIV;
acetic acid, common practice). The food's own energy is what is divided."""


@dataclass(frozen=True, slots=True, eq=False)
class Fractions:
    """The fractions of a food and what they carry.

    Args:
        shares: by weight in the order of :data:`NAMES`, shape ``(5,)``; they add up to exactly 1.
        low: least amount of each nutrient in one gram of each fraction, shape ``(5, nutrients)``.
        value: best amount, ``nan`` where unknown.
        high: greatest amount.
        notes: what had to be assumed, in words.
    """

    shares: Floats
    low: Floats
    value: Floats
    high: Floats
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Solubility:
    fits: Pattern
    other_carbohydrate: bool
    protein: bool
    remainder: int
    sugars_if_unknown: float


_known: dict[str, tuple[FoodRecord, Fractions]] = {}


def fractions(record: FoodRecord) -> Fractions:
    """The five fractions of a food.

    Args:
        record: the food; where its water or its fat is unknown, it is what the other values leave.

    Returns:
        Its fractions; the same object again for the same record.
    """
    found = _known.get(record.id)
    # The id alone is not enough: two shops may have a spec of one name.
    if found is None or found[0] is not record:
        found = _known[record.id] = (record, _divide(record))
    return found[1]


@functools.cache
def _table() -> tuple[_Solubility, ...]:
    return tuple(
        _Solubility(
            Pattern.of(row),
            row["other_carbohydrate"] == "yes",
            row["protein"] == "yes",
            NAMES.index(row["remainder"]),
            float(row["sugars_if_unknown"]),
        )
        for row in resources.table("foods", "solubility.csv")
    )


@functools.cache
def _rides() -> Floats:
    """For each nutrient the place of its fraction; -1 where it is divided by the food."""
    return np.array([NAMES.index(n.rides) if n.rides in NAMES else -1 for n in nutrients()])


def _divide(record: FoodRecord) -> Fractions:
    name = record.name.lower()
    soluble = next(row for row in _table() if row.fits(name, record.group))
    grams = float(record.composition.grams)
    values = record.composition.value
    notes: list[str] = []

    def share(key: str) -> float:
        """g in a gram; 0 where unknown."""
        found = float(values[index(key)]) / grams
        return 0.0 if math.isnan(found) else found

    carbohydrate = share("total_carbohydrate")
    fiber = min(share("dietary_fiber"), carbohydrate)
    digestible = carbohydrate - fiber
    if soluble.other_carbohydrate:
        dissolved = digestible
    elif math.isnan(values[index("total_sugars")]):
        dissolved = soluble.sugars_if_unknown * digestible
    else:
        dissolved = min(share("total_sugars"), digestible)
    protein = share("protein")
    mass = np.zeros(5)
    mass[ALCOHOL], mass[FAT] = share("alcohol"), share("total_fat")
    mass[SOLUBLES] = share("ash") + dissolved + (protein if soluble.protein else 0.0)
    solid = carbohydrate - dissolved + (0.0 if soluble.protein else protein)
    if math.isnan(values[index("total_fat")]):
        mass[FAT], said = _fat(record, max(0.0, 1.0 - float(mass.sum()) - solid))
        notes.append(said)
    rest = max(0.0, 1.0 - float(mass.sum()) - solid - share("water"))
    acid = 0.0
    if math.isnan(values[index("water")]):
        notes.append("water taken as what the other values leave")
        mass[WATER] = rest
    else:
        mass[WATER] = share("water")
        if soluble.remainder == SOLUBLES:
            acid = rest
            mass[SOLUBLES] += acid
    parts = _whole(mass)

    shares = np.zeros((5, len(values)))
    columns = np.arange(len(values))
    rides = _rides()
    plain = rides >= 0
    shares[rides[plain], columns[plain]] = 1.0
    if carbohydrate:
        shares[SOLUBLES, index("total_carbohydrate")] = dissolved / carbohydrate
    shares[INSOLUBLES, index("total_carbohydrate")] = 1.0 - shares[SOLUBLES, index("total_carbohydrate")]
    shares[SOLUBLES if soluble.protein else INSOLUBLES, index("protein")] = 1.0
    kcal = np.array(
        [
            0.0,
            KCAL["alcohol"] * mass[ALCOHOL],
            KCAL["fat"] * mass[FAT],
            KCAL["carbohydrate"] * dissolved
            + KCAL["acid"] * acid
            + (KCAL["protein"] * protein if soluble.protein else 0.0),
            KCAL["carbohydrate"] * (digestible - dissolved)
            + KCAL["fiber"] * fiber
            + (0.0 if soluble.protein else KCAL["protein"] * protein),
        ]
    )
    shares[:, index("energy")] = kcal / kcal.sum() if kcal.sum() > 0 else (0, 0, 0, 0, 1)
    _move(shares, parts)
    return Fractions(parts, *_matrices(record, shares, parts), notes=tuple(notes))


def _fat(record: FoodRecord, room: float) -> tuple[float, str]:
    """The fat of a food whose record does not say it, g in a gram, and where it is taken from, in words.

    Args:
        record: the food.
        room: what protein, carbohydrate, ash and alcohol leave for water and fat, g in a gram.
    """
    grams = float(record.composition.grams)
    water, energy, protein, carbohydrate, alcohol = (
        float(record.composition.value[index(key)]) / grams
        for key in ("water", "energy", "protein", "total_carbohydrate", "alcohol")
    )
    if not math.isnan(water + protein + carbohydrate):
        fat, whence = min(max(0.0, room - water), room), "what the other values leave"
    elif not math.isnan(energy + protein + carbohydrate):
        sober = 0.0 if math.isnan(alcohol) else alcohol
        kcal = energy - KCAL["protein"] * protein - KCAL["carbohydrate"] * carbohydrate - KCAL["alcohol"] * sober
        fat, whence = min(max(0.0, kcal / KCAL["fat"]), room), "what the energy leaves"
    else:
        return 0.0, "fat is unknown and taken as none"
    return fat, f"fat taken as {whence}: {100 * fat:.1f} g in 100 g"


def _whole(mass: Floats) -> Floats:
    """Shares that add up to exactly 1: insolubles take what the others leave, down to none."""
    parts = mass.copy()
    others = parts[:INSOLUBLES]
    if others.sum() > 1.0:
        others /= others.sum()
    parts[INSOLUBLES] = max(0.0, 1.0 - float(others.sum()))
    # A fraction of rounding dust would carry its riders at absurd amounts per gram.
    parts[parts < DUST] = 0.0
    # The last one takes what is missing of 1: a + (1 - a) is exactly 1 for every a up to 1.
    last = int(np.flatnonzero(parts)[-1])
    parts[last] = 1.0 - float(parts[:last].sum())
    parts.setflags(write=False)
    return parts


def _move(shares: Floats, parts: Floats) -> None:
    """Whatever rides on a fraction that the food has none of rides on another, in place."""
    carrier = next(i for i in INSTEAD if parts[i] > 0)
    for i in np.flatnonzero(parts == 0):
        shares[carrier] += shares[i]
        shares[i] = 0.0


def _matrices(record: FoodRecord, shares: Floats, parts: Floats) -> tuple[Floats, Floats, Floats]:
    composition = record.composition
    grams = float(composition.grams)
    part = np.where(parts > 0, parts, 1.0)[:, np.newaxis]
    made = []
    for amounts in (composition.low, composition.value, composition.high):
        # Where nothing rides, nothing is there: an unknown amount must not spoil the other fractions.
        matrix = np.where(shares > 0, shares * (amounts / grams) / part, 0.0)
        matrix.setflags(write=False)
        made.append(matrix)
    low, value, high = made
    return low, value, high
