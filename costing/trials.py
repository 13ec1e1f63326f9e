"""What trials say: for each step that was weighed before and after, the measured share beside the assumed one.

A trial gives one number, the weight after the step over the weight before it (after ``soak``: of the soaked thing).
Every trial counts the same, whatever the size of its batch. A step with trials has their mean and range, and from two
trials on their standard deviation s. From three trials on it has the 95 % interval of the mean by Student's t ("The
probable error of a mean", Biometrika 6, 1908): mean ± t(0.975, n − 1) · s / √n, cut off at what is possible. A step
that adds nothing leaves at most the whole, and what is soaked loses nothing.

What sampling takes from this (:func:`measured` with draws) is how sure we are of the *mean*, not how much one batch
differs from the next: a single trial is taken as it is, two as anything between them with the same chance, three or
more as the mean with its error by Student's t, within what is possible. So a range of cost that comes of trials is one
of the average over many batches, and narrows with every trial. A single batch varies by s, which stands beside it.

Limits: Student's t takes trials for independent of one another and about normal; trials of several steps are drawn as
unrelated; a trial of another season, pan or cook counts as much as yesterday's; where what is possible cuts much of the
distribution off, the draws' mean moves inwards.

>>> from costing.trials import summary
>>> boiled = summary((0.875, 0.880, 0.886))
>>> round(boiled.mean, 4), boiled.count
(0.8803, 3)
>>> tuple(round(end, 4) for end in boiled.interval)
(0.8667, 0.894)
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from costing.desk import Shop
    from costing.findings import Finding
    from costing.kitchen.draws import Draws
    from costing.results import PartResult, RecipeAnswer, StepResult
    from costing.shop.models import ShopModel, Trial
    from costing.shop.steps import Step

    Floats = NDArray[np.float64]
    Key = tuple[str, str, int]
    Pair = tuple[float, float]

CONFIDENCE: Final = 0.95
ENOUGH: Final = 3
"""Trials from which on Student's t says something."""
SHARES: Final = (0.0, 1.0)
"""What a step that adds nothing may leave."""
SOAKED: Final = (1.0, math.inf)
"""What a soaked thing may weigh, over what it weighed dry."""


@dataclass(frozen=True, slots=True)
class Summary:
    """Statistics of some ratios; ``deviation`` from two on, ``interval`` (95 %, of the mean) from three on."""

    count: int
    mean: float
    low: float
    high: float
    deviation: float | None
    interval: Pair | None
    possible: Pair = SHARES

    @property
    def spreads(self) -> bool:
        """Whether sampling can draw more than one value."""
        return self.low != self.high


@dataclass(frozen=True, slots=True)
class Measurement:
    """A step that was weighed: its recipe, part and number, and what its trials say."""

    recipe: str
    part: str
    step: int
    verb: str
    name: str
    where: str
    trials: tuple[Trial, ...]
    summary: Summary

    @property
    def key(self) -> Key:
        """How the kitchen knows the step."""
        return (self.recipe, self.part, self.step)


def summary(ratios: Sequence[float], possible: Pair = SHARES) -> Summary:
    """Statistics of the ratios of one step.

    Args:
        ratios: weight after over weight before, one for each trial, at least one.
        possible: between what such a ratio must lie.

    Raises:
        ValueError: no ratio.
    """
    if not ratios:
        raise ValueError("statistics need at least one trial")
    n = len(ratios)
    mean = math.fsum(ratios) / n
    deviation = math.sqrt(math.fsum((one - mean) ** 2 for one in ratios) / (n - 1)) if n > 1 else None
    interval = None
    if n >= ENOUGH and deviation is not None:
        half = student(n - 1, (1 + CONFIDENCE) / 2) * deviation / math.sqrt(n)
        interval = (max(possible[0], mean - half), min(possible[1], mean + half))
    return Summary(n, mean, min(ratios), max(ratios), deviation, interval, possible)


def student(freedom: float, share: float) -> float:
    """The quantile of Student's t.

    Args:
        freedom: degrees of freedom, above 0.
        share: of the distribution that lies below it, between 0 and 1.

    >>> round(student(2, 0.975), 3), round(student(10, 0.975), 3)
    (4.303, 2.228)
    """
    # scipy takes a third of a second to load, and few shops ask.
    from scipy.special import stdtrit

    return float(stdtrit(freedom, share))


def measurements(model: ShopModel) -> tuple[Measurement, ...]:
    """Every step of a shop that has trials, in the order of recipes, parts and steps."""
    rows: dict[Key, list[Trial]] = {}
    for one in model.trials:
        rows.setdefault((one.recipe, one.part, one.step), []).append(one)
    found = []
    for recipe in model.recipes.values():
        for part in recipe.parts:
            for number, step in enumerate(part.steps, 1):
                trials = rows.get((recipe.key, part.name, number))
                if trials:
                    trials = sorted(trials, key=lambda one: one.date)
                    verb: str = step.verb
                    possible = SOAKED if verb == "soak" else SHARES
                    said = summary([one.ratio for one in trials], possible)
                    found.append(
                        Measurement(
                            recipe.key, part.name, number, verb, step.name or "", step.where, tuple(trials), said
                        )
                    )
    return tuple(found)


def measured(model: ShopModel, draws: Draws | None = None) -> Mapping[Key, Floats]:
    """What the kitchen takes in place of what recipes assume (:func:`costing.kitchen.run.run`).

    Args:
        model: the shop.
        draws: of a sample; None: the plain answer.

    Returns:
        (Recipe, part, number of the step) to the ratio of weights: the mean, shape ``(1,)``; with draws and where
        trials differ, one for each draw, shape ``(draws,)``. The module tells how they are drawn and what that means.
    """
    return {one.key: ratios(one.summary, draws) for one in measurements(model)}


def ratios(said: Summary, draws: Draws | None = None) -> Floats:
    """Ratios of one step to calculate with.

    Args:
        said: what its trials say.
        draws: of a sample; None: the plain answer.
    """
    if draws is None or draws.plain or not said.spreads:
        return np.full(1, said.mean)
    place = draws.strips()
    if said.count < ENOUGH or said.deviation is None:
        return said.low + (said.high - said.low) * place
    from scipy.special import stdtr, stdtrit

    error = said.deviation / math.sqrt(said.count)
    freedom = said.count - 1
    below, above = (float(stdtr(freedom, (end - said.mean) / error)) for end in said.possible)
    # Only the possible part of the distribution is drawn from, rather than what passes an end put on that end.
    inside = np.clip(below + (above - below) * place, 1e-15, 1.0 - 1e-15)
    drawn: Floats = np.clip(said.mean + error * stdtrit(freedom, inside), *said.possible)
    return drawn


# Beside what is assumed -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Comparison:
    """Assumed beside measured, and what the difference costs.

    Args:
        measurement: the step and its trials.
        assumed: the ratio of the plain answer.
        unit: what ``cost`` is of: the name of a container, or ``kg`` of a house base.
        cost: of one of them as assumed, in the shop's currency.
        cost_measured: with the mean of this step's trials in place of what is assumed, all else as before; None where
            that cannot be made.
        problem: why it cannot.
    """

    measurement: Measurement
    assumed: float | None
    unit: str
    cost: float | None
    cost_measured: float | None
    problem: Finding | None = None

    @property
    def difference(self) -> float | None:
        """What one costs more than assumed, in the shop's currency."""
        if self.cost is None or self.cost_measured is None:
            return None
        return self.cost_measured - self.cost


def compare(shop: Shop, key: str) -> tuple[Comparison, ...]:
    """Assumed beside measured for every step with trials that a recipe goes through, house bases included.

    Args:
        shop: the shop.
        key: the recipe.
    """
    if not shop.model.trials:
        return ()
    plain = shop.answer(key)
    steps = {(part.recipe, part.name, step.step): step for part in plain.parts for step in part.steps}
    unit, cost = _cost(plain)
    found = []
    for one in measurements(shop.model):
        if one.key not in steps:
            continue
        step = _step(shop.model, one.key)
        again = shop.answer_measured(key, {one.key: ratios(one.summary)})
        # A recipe that cannot be made has no parts; errors of its label are another matter.
        problem = None if again.parts else next((f for f in again.findings if f.level == "error"), None)
        found.append(
            Comparison(one, assumed(steps[one.key], step), unit, cost, _cost(again)[1], problem and _told(problem, one))
        )
    return tuple(found)


def _told(problem: Finding, one: Measurement) -> Finding:
    from costing.findings import Finding

    what = f"the measured mean of {one.part}, step {one.step}, cannot be: {problem.what}"
    return Finding(
        "warning", one.trials[-1].where, what, "weigh again, or look at what the recipe says before that step"
    )


def _step(model: ShopModel, key: Key) -> Step:
    recipe, part, number = key
    return next(one for one in model.recipes[recipe].parts if one.name == part).steps[number - 1]


def assumed(result: StepResult, step: Step) -> float | None:
    """The ratio of weights that the plain answer has for a step; None where nothing was in the pot.

    Args:
        result: what the step did.
        step: as the recipe has it.
    """
    if step.verb == "soak":  # type: ignore[attr-defined]
        # The pot weighs as before; what a trial weighs is the soaked thing alone.
        weighed = re.search(r"uptake ([0-9.,]+) %", result.free_figure)
        if weighed:
            return 1.0 + float(weighed[1].replace(",", "")) / 100.0
        uptake: float = step.uptake.mid  # type: ignore[attr-defined]
        return 1.0 + uptake
    return result.out_g / result.in_g if result.in_g > 0 else None


def _cost(answer: RecipeAnswer) -> tuple[str, float | None]:
    """Of what, and how much: a container of the first kind, or a kilogram of a house base."""
    if answer.cost is not None:
        return answer.cost.batch.container, answer.cost.per_container.total
    last = _last(answer.parts)
    if last is None or last.out_g <= 0:
        return "kg", None
    return "kg", 1000.0 * last.cost / last.out_g


def _last(parts: Iterable[PartResult]) -> PartResult | None:
    return next(iter(reversed(tuple(parts))), None)
