"""Hours of a churning machine: in a small shop churning is the bottleneck, so its hour is what a flavour must earn.

Hours of a batch = runs × the time of a run. Where a batch fills several kinds of containers, each kind takes the hours
by its volume, as it takes what the batch costs. The ranking by contribution for an hour of the scarce machine is
that of contribution per unit of a limiting factor (managerial accounting, from memory).

>>> per_hour(60.0, 0.75)
80.0
"""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from costing.results import RecipeAnswer
    from costing.shop.models import Machine, Recipe

SECONDS = 3600.0


def hours(answer: RecipeAnswer, recipes: Mapping[str, Recipe], machines: Mapping[str, Machine]) -> float | None:
    """How long machines churn for a batch, h.

    Args:
        answer: everything about the recipe.
        recipes: every recipe of the shop, by key.
        machines: its machines.

    Returns:
        Hours; None where nothing is churned, or nobody says in which machine, or how long a run of it takes.
    """
    churned = [(part, step) for part in answer.parts for step in part.steps if step.runs > 0]
    whole = sum(
        _run(part.recipe, part.name, step.step, recipes, machines) * step.runs / SECONDS for part, step in churned
    )
    return whole if churned and isfinite(whole) else None


def _run(recipe: str, part: str, number: int, recipes: Mapping[str, Recipe], machines: Mapping[str, Machine]) -> float:
    """Seconds of a run of the machine that a step churns in; ``nan`` where nobody says."""
    steps = next(one.steps for one in recipes[recipe].parts if one.name == part)
    name = getattr(steps[number - 1], "machine", None)
    machine = machines.get(name) if name else None
    return float("nan") if machine is None or machine.run is None else machine.run.mid


def per_hour(money: float, hours_taken: float | None) -> float | None:
    """Money for an hour; None where nobody knows how many there are.

    Args:
        money: what something leaves.
        hours_taken: hours of the machine that it took.
    """
    return None if hours_taken is None or hours_taken <= 0 else money / hours_taken
