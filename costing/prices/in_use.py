"""How much of what is bought is left where a kitchen trims, renders or presses it: the yield in use.

A recipe says it step by step; here the shares of one thing are multiplied, from the weight bought to what goes on. What
a part trims is bought as it is; anything else is bought at its usable share. A yield written as a weight counts beside
the weight added. Where the same thing is used in several ways, they are averaged by the weights bought for a batch of
each recipe.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing import measures
from costing.amounts import Amount, Kind

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from costing.shop.models import Ingredient, Part, ShopModel
    from costing.shop.steps import Step

VERBS = ("trim", "render", "press")


@dataclass(frozen=True, slots=True)
class Use:
    """One way in which a thing is used.

    Args:
        recipe: key of the recipe.
        part: its part.
        verbs: what is done to it there, of :data:`VERBS`; empty where it is used as it is.
        share: weight that goes on, over weight bought.
        bought_g: bought for a batch, g; None where the recipe does not say it as a weight.
    """

    recipe: str
    part: str
    verbs: tuple[str, ...]
    share: float
    bought_g: float | None


def uses(model: ShopModel, usable: Mapping[str, float]) -> dict[str, tuple[Use, ...]]:
    """How every ingredient is used.

    Args:
        model: the shop.
        usable: ingredient to its usable share, 0 to 1.

    Returns:
        Ingredient to its uses; those whose yield cannot be told from the recipe are left out.
    """
    found: dict[str, list[Use]] = {}
    for recipe in model.recipes.values():
        for part in recipe.parts:
            for name, amount in _added(part):
                entry = model.ingredients.get(name)
                if entry is not None and not entry.comes_from:
                    one = _use(model, recipe.key, part, name, amount, usable.get(name, 1.0))
                    if one is not None:
                        found.setdefault(name, []).append(one)
    return {name: tuple(those) for name, those in found.items()}


def share(those: tuple[Use, ...]) -> float | None:
    """Weight in use over weight bought, of all uses together; None where nothing is done to it anywhere.

    >>> share((Use("a", "p", ("trim",), 0.6, 100.0), Use("b", "p", (), 1.0, 300.0)))
    0.9
    """
    if not any(one.verbs for one in those):
        return None
    weights = [one.bought_g for one in those]
    if any(one is None for one in weights):
        return sum(one.share for one in those) / len(those)
    total = sum(one for one in weights if one is not None)
    return sum(one.share * (one.bought_g or 0.0) for one in those) / total if total else None


def _added(part: Part) -> Iterator[tuple[str, Amount]]:
    for step in part.steps:
        if step.verb in ("add", "fold"):
            yield from step.things.items()


def _use(model: ShopModel, recipe: str, part: Part, name: str, amount: Amount, usable: float) -> Use | None:
    entry = model.ingredients[name]
    added = _grams(model, entry, amount)
    as_bought = any(step.verb == "trim" and name in step.things for step in part.steps)
    kept = 1.0 if as_bought else usable
    bought = None if added is None else added / kept
    verbs: list[str] = []
    for step in part.steps:
        left = _left(step, model, entry, None if bought is None else bought * kept)
        if left is None:
            return None
        if step.verb in VERBS and left != 1.0:
            verbs.append(step.verb)
        kept *= left
    return Use(recipe, part.name, tuple(verbs), kept, bought)


def _left(step: Step, model: ShopModel, entry: Ingredient, grams: float | None) -> float | None:
    """What a step leaves of a thing, as a share; None where that cannot be told."""
    if step.verb == "trim" and entry.name in step.things:  # type: ignore[attr-defined]
        written = step.things[entry.name]  # type: ignore[attr-defined]
        if written is not None:
            return float(written.mid)
        record = model.foods.get(entry.food)
        return 1.0 - record.refuse if record is not None and record.refuse is not None else None
    if step.verb in ("render", "press") and entry.name in step.of:  # type: ignore[attr-defined]
        yields: Amount = step.yields  # type: ignore[attr-defined]
        if yields.kind is Kind.SHARE:
            return yields.figure.mid
        # A weight is of all that is rendered or pressed together.
        alone = len(step.of) == 1  # type: ignore[attr-defined]
        return yields.figure.mid / grams if grams and alone else None
    return 1.0


def _grams(model: ShopModel, entry: Ingredient, amount: Amount) -> float | None:
    if amount.kind is Kind.WEIGHT:
        return amount.figure.mid
    record = model.foods.get(entry.food)
    if record is None or amount.kind not in (Kind.VOLUME, Kind.COUNT):
        return None
    try:
        return measures.weigh(amount, entry, record).mid
    except measures.MeasureError:
        return None
