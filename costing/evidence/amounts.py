"""Amounts of every line of a label in every draw of a sampled batch, at their best values and at both bounds.

The same steps as for one food (:mod:`nutrition.law.us.nutrient_lines`), on all draws at once: nutrients ride on
fractions, so a line is one matrix product; what the law does to the whole food comes after.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from costing.finished import liquor, product
from costing.kitchen.vitamins import vitamins
from nutrition.law.us import added_sugars, calories
from nutrition.law.us.options import Options
from nutrition.nutrients import index

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from costing.kitchen.brew import Brew
    from costing.kitchen.materials import Pantry
    from costing.kitchen.pot import Pot
    from nutrition.law.us.label import Label

    Floats = NDArray[np.float64]

LOW, BEST, HIGH = range(3)
JUICE_DRAWS = 64
"""draws on which concentrated juice is judged one by one, for the law looks at each finished food"""
FOODS = 256
"""draws on which lines are worked out food by food, where their rule looks at each ingredient"""
PARTS = ("protein", "total_fat", "total_carbohydrate", "alcohol", "total_sugars", "added_sugars")


@dataclass(frozen=True, slots=True, eq=False)
class Sampled:
    """Amounts in every draw that can be.

    Args:
        container: nutrient key to amounts in a container, ``(3, draws)``: low, best (``nan`` where unknown), high.
        serving: share of a container that a serving is, ``(draws,)``.
        grams: weight of the food in a container, g, ``(draws,)``.
        fewer: lines that were worked out food by food, on the first of the draws only.
    """

    container: Mapping[str, Floats]
    serving: Floats
    grams: Floats
    fewer: frozenset[str] = frozenset()

    def column(self, key: str, column: str) -> Floats:
        """Amounts of a line in one column of the panel, ``(3, draws)``."""
        whole = self.container[key]
        return whole * self.serving[: whole.shape[1]] if column == "serving" else whole


def sampled(brew: Brew, pantry: Pantry, label: Label, serving_ml: float) -> Sampled:
    """Amounts of every line of a label in every draw that a kitchen can do.

    Args:
        brew: a sampled batch that fills containers.
        pantry: ingredient to material.
        label: the plain label, for its lines, columns and choices.
        serving_ml: volume of a serving, mL.
    """
    possible = brew.draws.possible
    first = brew.filled[0]
    held = np.minimum(brew.draws.of(first.container.holds), first.ml)
    grams = first.grams / first.ml * held
    share = grams / np.maximum(brew.pot.grams(), 1e-12)
    keys = tuple(dict.fromkeys((*(line.key for line in label.nutrients), *PARTS)))
    chosen = label.options or Options()
    alone = {"sugar_alcohol"} & set(keys)
    if label.calorie_key != "B" or any(pantry[tag.ingredient].entry.allulose is not None for tag in brew.pot.tags):
        alone |= {"energy"} & set(keys)
    own = [key for key in keys if key not in alone and key != "energy"]
    found = dict(zip(own, np.moveaxis(_totals(brew.pot, pantry, own) * share[None, :, None], 2, 0), strict=True))
    if "energy" in keys and "energy" not in alone:
        found["energy"] = energy(found, grams)
    found["added_sugars"] = _bounded(found["added_sugars"] + _juice(brew, pantry, chosen), found["total_sugars"])
    for key in ("total_sugars", "added_sugars"):
        found[key] = _within(found[key], found["total_carbohydrate"])
    serving = np.ones_like(held) if label.serving.columns == ("container",) else serving_ml / held
    shown = {key: found[key][:, possible] for key in keys if key not in alone}
    return Sampled(
        shown | _food_by_food(brew, pantry, label, alone), serving[possible], grams[possible], frozenset(alone)
    )


def _totals(pot: Pot, pantry: Pantry, keys: Sequence[str]) -> Floats:
    """Low, best and high of some nutrients in a whole pot, ``(3, draws, keys)``."""
    places = [index(key) for key in keys]
    tables = np.stack([pantry[tag.ingredient].nutrients[:, :, places] for tag in pot.tags], axis=1)
    mass = np.moveaxis(pot.mass, 0, 1)
    flat = mass.reshape(mass.shape[0], -1)
    tables = tables.reshape(3, -1, len(places))
    unknown = np.isnan(tables[BEST])
    tables = np.nan_to_num(tables)
    total: Floats = flat[None] @ tables
    for column, key in enumerate(keys):
        if key in vitamins():
            kept = np.moveaxis(pot.kept[:, :, vitamins().index(key)], 0, 1)
            still = (mass * kept[:, :, None]).reshape(mass.shape[0], -1)
            total[:, :, column] = np.moveaxis(still @ tables[:, :, column].T, 0, 1)
    total[BEST][((flat > 0) @ unknown.astype(np.float64)) > 0] = np.nan
    return total


def energy(found: Mapping[str, Floats], grams: Floats) -> Floats:
    """Calories by method B in every draw, ``(3, draws)``; as :func:`nutrition.law.us.calories.of` for one food.

    Args:
        found: nutrient key to amounts, ``(3, draws)``, in g.
        grams: weight of the food, ``(draws,)``.
    """
    use, custom = calories.factors("B"), calories.factors("custom")
    out = (
        use["protein"] * found["protein"]
        + use["total_carbohydrate"] * found["total_carbohydrate"]
        + use["total_fat"] * found["total_fat"]
        + custom["alcohol"] * found["alcohol"]
    )
    ceiling = np.maximum(use["total_fat"] * grams, out[LOW])
    return np.stack([out[LOW], out[BEST], np.minimum(out[HIGH], ceiling)])


def _food_by_food(brew: Brew, pantry: Pantry, label: Label, keys: Iterable[str]) -> dict[str, Floats]:
    """Lines whose amounts look at each ingredient, out of whole foods of the first draws that can be."""
    wanted = tuple(keys)
    rows: dict[str, list[tuple[float, float, float]]] = {key: [] for key in wanted}
    if not wanted:
        return {}
    for draw in np.flatnonzero(brew.draws.possible)[:FOODS]:
        food = product(brew, pantry, int(draw))
        if food is None:
            continue
        for key in wanted:
            if key == "energy":
                one = calories.of_product(food, label.calorie_key)
                rows[key].append((one.low, np.nan if one.value is None else one.value, one.high))
            else:
                stated = sum(sum(c.sugar_alcohols.values()) for c in food.components)
                rows[key].append((stated, stated, stated))
    return {key: np.array(found).T for key, found in rows.items()}


def _bounded(added: Floats, sugars: Floats) -> Floats:
    """Added sugars within all sugars, as :func:`nutrition.law.us.added_sugars.of` has them."""
    high = np.minimum(added[HIGH], sugars[HIGH])
    low = np.minimum(added[LOW], high)
    return np.stack([low, np.clip(added[BEST], low, high), high])


def _within(sugars: Floats, carbohydrate: Floats) -> Floats:
    known = ~np.isnan(sugars[BEST]) & ~np.isnan(carbohydrate[BEST])
    low = np.minimum(sugars[LOW], np.where(known, carbohydrate[LOW], carbohydrate[HIGH]))
    best = np.where(known, np.minimum(sugars[BEST], carbohydrate[BEST]), sugars[BEST])
    return np.stack([low, best, np.minimum(sugars[HIGH], carbohydrate[HIGH])])


def _juice(brew: Brew, pantry: Pantry, chosen: Options) -> Floats:
    """What concentrating makes of a juice's sugars, g in a container, ``(3, draws)``.

    Judged on some of the draws; the others take the nearest of these in their share of water.
    """
    nothing = np.zeros((3, brew.draws.count))
    if not any(liquor(tag, pantry) for tag in brew.pot.tags):
        return nothing
    water = brew.pot.mass[:, :, 0].sum(axis=0) / np.maximum(brew.pot.grams(), 1e-12)
    order = np.argsort(water)
    looked = order[np.unique(np.linspace(0, order.size - 1, JUICE_DRAWS).astype(int))]
    excess = []
    for draw in looked:
        food = product(brew, pantry, int(draw))
        if food is None:
            return nothing
        judged, own = added_sugars.of(food, chosen.juice), food.composition
        low, high = own.bounds("added_sugars")
        best, before = judged.value, own.amount("added_sugars")
        known = best is not None and before is not None
        excess.append((judged.low - low, (best or 0.0) - (before or 0.0) if known else np.nan, judged.high - high))
    return np.stack([np.interp(water, water[looked], one) for one in np.array(excess).T])
