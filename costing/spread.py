"""What ranges do to the answer: how far every main figure moves, and which assumption moves it.

The method: 4,096 draws in one pass through the steps (:mod:`costing.kitchen.draws`), the same formulas as for the plain
answer on all of them at once; a range is the 5th and the 95th percentile. The share of an assumption in the spread of a
container's cost is its first-order index: the variance of the mean cost within strips of that assumption, over the
variance of all (variance-based sensitivity after Saltelli, from memory). Shares need not add up to 100 %: what is left
comes of assumptions together, and of whole containers, which jump. Assumptions are taken as independent of one another
and uniform over what was written; that is the limit of the method.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from costing import figures
from costing.evidence.amounts import BEST, sampled
from costing.kitchen.pot import ALCOHOL
from costing.results import Driver
from costing.selling import terms

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from costing.amounts import Figure
    from costing.kitchen.brew import Brew
    from costing.kitchen.materials import Pantry
    from costing.prices.book import PriceBook
    from costing.purchases import Purchasing
    from costing.results import Pair
    from costing.shop.models import Recipe, ShopModel
    from nutrition.law.us.label import Label

    Floats = NDArray[np.float64]

NOWHERE: Mapping[tuple[str, str, int], str] = MappingProxyType({})
DRAWS = 4096
STRIPS = 64
"""strips of an assumption for its share in the spread: 64 draws in each"""


def ranges(
    brew: Brew, shop: ShopModel, purchasing: Purchasing, label: Label | None, serving_ml: float
) -> dict[str, Pair]:
    """Ranges of the main figures.

    Args:
        brew: a sampled batch that fills containers.
        shop: its shop.
        purchasing: prices of ingredients.
        label: the plain label, for its lines.
        serving_ml: volume of a serving, mL.

    Returns:
        Dotted path of a figure in the answers to its (5th, 95th) percentile over the draws that can be; a figure
        that does not vary is left out.
    """
    found: dict[str, Floats] = {}
    whole = figures.batch(brew, shop, purchasing.bought(brew.used), purchasing.book)
    every = figures.per_container(whole, brew, purchasing.book)
    each = every[0]
    for kind in ("ingredients", "packaging", "labour", "overhead", "saved", "total"):
        found[f"cost.{kind}"] = getattr(whole, kind)
        found[f"per_container.{kind}"] = getattr(each, kind)
    found |= _batch(brew)
    found |= _channels([one.total for one in every], brew, shop, purchasing.book)
    found |= _parts(brew)
    shown = {path: values[brew.draws.possible] for path, values in found.items()}
    if label is not None:
        shown |= _label(brew, purchasing.pantry, label, serving_ml)
    return {path: pair for path, values in shown.items() if (pair := _pair(values)) is not None}


def cost_per_container(brew: Brew, shop: ShopModel, purchasing: Purchasing) -> Floats:
    """What one container of the first kind costs in every draw, ``(draws,)``."""
    whole = figures.batch(brew, shop, purchasing.bought(brew.used), purchasing.book)
    return figures.per_container(whole, brew, purchasing.book)[0].total


def drivers(
    cost: Floats,
    brew: Brew,
    recipes: Iterable[Recipe],
    trials: Mapping[tuple[str, str, int], Floats],
    places: Mapping[tuple[str, str, int], str] = NOWHERE,
) -> tuple[Driver, ...]:
    """Which assumption the spread of a container's cost comes from, the largest first.

    Args:
        cost: of a container in every draw, ``(draws,)``.
        brew: the sampled batch.
        recipes: the recipes in which the assumptions stand.
        trials: sampled ratios of measured steps.
        places: file and line of these trials.
    """
    possible = brew.draws.possible
    named = _named(recipes)
    found = []
    for identity, (figure, place) in brew.draws.assumptions.items():
        what, where = named.get(identity, (figure.text, ""))
        found.append(Driver(what, where, 100.0 * _share(cost[possible], place[possible])))
    for key, ratio in trials.items():
        if ratio.size > 1:
            order = np.argsort(np.argsort(ratio)) / ratio.size
            share = 100.0 * _share(cost[possible], order[possible])
            recipe, part, number = key
            found.append(Driver(f"{part}, step {number}: what trials measured", places.get(key, recipe), share))
    return tuple(sorted(found, key=lambda driver: (-driver.share_pct, driver.where, driver.what)))


def _share(values: Floats, place: Floats) -> float:
    """First-order index of an assumption: variance of the strips' means over the variance of all, noise taken off."""
    variance = float(values.var())
    if values.size < 2 * STRIPS or variance <= 1e-18 * max(1.0, float(values.mean()) ** 2):
        return 0.0
    strip = np.minimum((place * STRIPS).astype(int), STRIPS - 1)
    counts = np.bincount(strip, minlength=STRIPS)
    full = counts > 1
    means = np.bincount(strip, values, STRIPS)[full] / counts[full]
    squares = np.bincount(strip, values**2, STRIPS)[full] / counts[full]
    within = np.maximum(squares - means**2, 0.0) * counts[full] / (counts[full] - 1)
    between = np.average((means - values.mean()) ** 2, weights=counts[full])
    noise = np.average(within / counts[full], weights=counts[full])
    return float(np.clip((between - noise) / variance, 0.0, 1.0))


def _pair(values: Floats) -> Pair | None:
    if values.size == 0 or not np.isfinite(values).all():
        return None
    low, high = np.percentile(values, [5.0, 95.0])
    return None if high - low <= 1e-12 * max(1.0, abs(high)) else (float(low), float(high))


def _batch(brew: Brew) -> dict[str, Floats]:
    steps = [step for part in brew.parts for step in part.steps]
    none = brew.draws.full(0.0)
    first = brew.filled[0]
    last = next(step for step in reversed(steps) if step.verb == "fill")
    return {
        "batch.in_g": sum(brew.used.values(), none),
        "batch.out_g": brew.pot.grams(),
        "batch.vapour_g": sum((step.vapour_g for step in steps), none),
        "batch.discarded_g": sum((step.discarded_g for step in steps), none),
        "batch.saved_g": sum((one.pot.grams() for one in brew.saved), none),
        "batch.containers": sum((one.count for one in brew.filled), none),
        "batch.rest_g": last.discarded_g + last.saved_g,
        "batch.fill_g": first.grams,
        "batch.fill_ml": first.ml,
        "alcohol.by_weight_pct": 100.0 * brew.pot.mass[:, :, ALCOHOL].sum(axis=0) / np.maximum(brew.pot.grams(), 1e-12),
    }


def _channels(costs: Sequence[Floats], brew: Brew, shop: ShopModel, book: PriceBook) -> dict[str, Floats]:
    out: dict[str, Floats] = {}
    kinds = [filled.container.name for filled in brew.filled]
    for name, channel in shop.channels.items():
        place = terms.place(channel, kinds)
        if place is None:
            continue
        own = terms.of(channel, book.each)
        cost = costs[place] / terms.units(channel, brew.filled[place].grams)
        price = own.price(brew.recipe.prices.get(name, channel.price))
        left = own.margin(price, cost)
        out[f"channels.{name}.margin"] = left
        out[f"channels.{name}.margin_pct"] = 100.0 * left / price
        wanted = None if channel.target_margin is None else own.price_for_target(cost, channel.target_margin)
        if wanted is not None:
            out[f"channels.{name}.price_for_target"] = wanted
    return out


def _parts(brew: Brew) -> dict[str, Floats]:
    out: dict[str, Floats] = {}
    for place, part in enumerate(brew.parts):
        out[f"parts.{place}.out.g"] = part.pot.grams()
        for step in part.steps:
            for key in ("in_g", "out_g", "vapour_g", "discarded_g", "saved_g", "money_in", "money_out"):
                out[f"parts.{place}.steps.{step.number - 1}.{key}"] = getattr(step, key)
    return out


def _label(brew: Brew, pantry: Pantry, label: Label, serving_ml: float) -> dict[str, Floats]:
    """Every line of the label per 100 g, serving and container, in every draw that can be."""
    drawn = sampled(brew, pantry, label, serving_ml)
    out: dict[str, Floats] = {"serving.g": drawn.grams * drawn.serving}
    for key, amounts in drawn.container.items():
        best = amounts[BEST]
        out[f"nutrients.{key}.per_container"] = best
        out[f"nutrients.{key}.per_serving"] = drawn.column(key, "serving")[BEST]
        out[f"nutrients.{key}.per_100g"] = 100.0 * best / drawn.grams[: best.size]
    return out


def _named(recipes: Iterable[Recipe]) -> dict[int, tuple[str, str]]:
    """Every figure of some recipes by its identity: what it says, and where."""
    out: dict[int, tuple[str, str]] = {}
    for recipe in recipes:
        for part in recipe.parts:
            for step in part.steps:
                for key, figure in _figures(step):
                    verb: str = step.verb
                    out[id(figure)] = (f"{part.name}, {verb}: {key} {figure.text}".replace("_", " "), step.where)
    return out


def _figures(step: object) -> Sequence[tuple[str, Figure]]:
    """Every figure in a step, with the key under which it stands."""
    from costing.amounts import Amount, Figure, Labour

    found: list[tuple[str, Figure]] = []

    def look(key: str, value: object) -> None:
        if isinstance(value, Figure):
            found.append((key, value))
        elif isinstance(value, Amount):
            found.append((key, value.figure))
        elif isinstance(value, Labour):
            found.append((key, value.time))
        elif isinstance(value, dict):
            for name, inner in value.items():
                look(str(name), inner)
        elif isinstance(value, tuple):
            for inner in value:
                share = getattr(inner, "share", None)
                if share is not None:
                    look(key, share)

    for key, value in step:  # type: ignore[attr-defined]
        look("" if key in ("amount", "things") else key, value)
    return found
