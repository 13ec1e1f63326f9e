"""How sure a label is: which texts could be printed, how likely each is, and what a laboratory may find.

Two kinds of doubt are kept apart. What the kitchen's ranges do is drawn: 4,096 batches, each as likely as the others.
So a text has a share of them. What nobody knows about a food is a width without a distribution: a text that only it
allows is *possible*, and no number says how likely.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from costing.evidence.amounts import BEST, HIGH, LOW, sampled
from costing.finished import product
from costing.kitchen.draws import Draws
from costing.kitchen.run import NOTHING
from nutrition.law.us import compliance, labelling, next_step, serving
from nutrition.law.us.options import Options

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from numpy.typing import NDArray

    from costing.desk import Asked, Shop
    from costing.kitchen.brew import Brew
    from costing.results import RecipeAnswer
    from nutrition.law.us.compliance import Band, Verdict
    from nutrition.law.us.label import Label, NutrientLine
    from nutrition.product import Product

    Floats = NDArray[np.float64]

DRAWS = 4096
WORDS = 64
"""draws whose whole label is made, for the texts that are no amounts: the statement, the name, the serving"""
MOST_TEXTS = 40
"""texts of one figure beyond which nothing is known worth listing"""
LEVELS = (5.0, 95.0)
"""per cents between which an amount is called likely"""
Printed = tuple[str, int | None]


@dataclass(frozen=True, slots=True)
class Could:
    """One text that a column could print.

    Args:
        text: the amount as printed.
        percent: the per cent of the daily value beside it, None where there is none.
        likely: share of the draws that print it, at the foods' best values, 0 to 1; None where a value is unknown.
        now: it is what the label prints.
    """

    text: str
    percent: int | None
    likely: float | None
    now: bool


@dataclass(frozen=True, slots=True)
class Sure:
    """How sure one printed figure is.

    Args:
        key: nutrient key.
        column: ``serving`` or ``container``.
        could: every text that could be printed, in the order of the amounts.
        likely: 5th and 95th percentile of the amount over the draws; None where a value is unknown.
        reach: least and greatest amount, over the draws and within what is known of the foods.
        band: what a laboratory may find for the printed figure; None where nothing is printed.
        verdict: whether the likely amounts stay in the band; of the reach where a value is unknown.
        widest: whether the whole reach stays in it.
        by_rounding: the likely amounts leave the band although all of them print what is printed now: rounding alone.
    """

    key: str
    column: str
    could: tuple[Could, ...]
    likely: tuple[float, float] | None
    reach: tuple[float, float]
    band: Band | None
    verdict: Verdict
    widest: Verdict
    by_rounding: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """The texts that one place of the label could print, each with its share of the draws looked at, 0 to 1."""

    place: str
    texts: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class HowSure:
    """How sure a whole label is.

    Args:
        recipe: key of the recipe.
        draws: how many draws a kitchen could do; 1 where nothing in the recipe is a range.
        looked: for how many of them the whole label was made.
        figures: one for each line and column.
        words: the statement, the name, the serving and its count.
    """

    recipe: str
    draws: int
    looked: int
    figures: tuple[Sure, ...]
    words: tuple[Words, ...]

    def of(self, key: str) -> tuple[Sure, ...]:
        """Those of one line, one for each column."""
        return tuple(one for one in self.figures if one.key == key)


def how_sure(shop: Shop, answer: RecipeAnswer, how: Asked, *, draws: int = DRAWS, words: int = WORDS) -> HowSure | None:
    """How sure the label of a recipe is.

    Args:
        shop: its shop.
        answer: its answer.
        how: how it was asked about.
        draws: how many draws are taken where the recipe has ranges; 1 for none.
        words: for how many of them the whole label is made.

    Returns:
        The answer; None for a recipe without a label, or one that no draw can make.
    """
    label, food = answer.label, answer.product
    if label is None or food is None:
        return None
    brew = _brew(shop, answer.recipe, how, draws)
    if not brew.draws.possible.any():
        return None
    chosen = label.options or Options()
    serving_ml = serving.reference_amount(chosen.category, label.as_of)[1]
    amounts = sampled(brew, shop.pantry, label, serving_ml)
    put_in = compliance.put_in(food, _record_names(shop, food))
    only = _only_sugars(food)
    figures = tuple(
        _figure(line, column, amounts.column(line.key, column), label, line.key in put_in, only)
        for line in label.nutrients
        for column in label.serving.columns
    )
    said, looked = _words(brew, shop, label, words)
    return HowSure(answer.recipe, int(brew.draws.possible.sum()), looked, figures, said)


def _brew(shop: Shop, key: str, how: Asked, count: int) -> Brew:
    if count > 1:
        few = Draws(2)
        shop.brew(key, few)
        if not how.trials and not few.assumptions:
            count = 1
    draws = Draws(count)
    measured = NOTHING
    if how.trials:
        from costing import trials

        measured = trials.measured(shop.model, draws if count > 1 else None)
    return shop.brew(key, draws, size=how.size, measured=measured)


def _record_names(shop: Shop, food: Product) -> Mapping[str, tuple[str, ...]]:
    foods = shop.model.foods
    return {c.ingredient: (foods[c.food].name,) for c in food.components if c.food in foods}


def _only_sugars(food: Product) -> bool:
    """Whether all sugars of the food are added, so that an analysis of sugars is one of added sugars, (g)(5)."""
    added, sugars = food.composition.amount("added_sugars"), food.composition.amount("total_sugars")
    return added is not None and sugars is not None and abs(sugars - added) <= compliance.ONLY * max(1.0, sugars)


def _figure(line: NutrientLine, column: str, amounts: Floats, label: Label, put_in: bool, only_sugars: bool) -> Sure:
    prints = next_step.printing(label, line.key)
    best = amounts[BEST]
    reach = max(0.0, float(amounts[LOW].min())), max(0.0, float(amounts[HIGH].max()))
    likely = None
    chances: dict[Printed, float | None]
    steps = next_step.between(prints, *reach, MOST_TEXTS)
    if np.isnan(best).any():
        chances = dict.fromkeys((step.text for step in steps), None)
    else:
        best = np.maximum(best, 0.0)
        low, high = np.percentile(best, LEVELS)
        likely = float(low), float(high)
        if len(steps) < MOST_TEXTS:
            chances = dict(zip((step.text for step in steps), next_step.shares(steps, best), strict=True))
        else:
            # So little is known of the foods that only what the draws print is worth a list.
            chances = {one.text: one.share for one in next_step.chances(prints, best)}
    now = line.declared.get(column, ""), line.dv_pct.get(column)
    could = tuple(Could(text, percent, share, (text, percent) == now) for (text, percent), share in chances.items())
    band = compliance.band(line.key, now[0], put_in=put_in, only_sugars=only_sugars, on=label.as_of)
    widest = compliance.judge(band, *reach)
    verdict = widest if likely is None else compliance.judge(band, *likely)
    ends = likely or reach
    alike = verdict not in ("in", "no band") and all(prints(end)[0] == now[0] for end in ends)
    return Sure(line.key, column, could, likely, reach, band, verdict, widest, alike)


def _words(brew: Brew, shop: Shop, label: Label, most: int) -> tuple[tuple[Words, ...], int]:
    """Texts that are no amounts, out of whole labels of some draws."""
    possible = np.flatnonzero(brew.draws.possible)
    # Draws come in random order, so any of them are a sample.
    looked = possible[: most if brew.draws.count > 1 else 1]
    found: dict[str, Counter[str]] = {}
    for draw in looked:
        food = product(brew, shop.pantry, int(draw))
        if food is not None:
            one = labelling.label(food, as_of=label.as_of, options=label.options or Options())
            for place, text in places(one):
                found.setdefault(place, Counter())[text] += 1
    words = tuple(
        Words(place, tuple((text, count / len(looked)) for text, count in texts.most_common()))
        for place, texts in found.items()
    )
    return words, len(looked)


def places(label: Label) -> Iterable[tuple[str, str]]:
    """The texts of a label that are no amounts, by the place where they stand."""
    yield "serving size", f"{label.serving.measure} ({label.serving.grams_text})"
    yield "servings per container", label.serving.per_container_text
    yield "ingredients", label.ingredients
    yield "contains", label.contains
    yield "name of the food", label.name.text
    yield "net quantity", label.net_quantity
    if label.not_significant:
        yield "not a significant source", label.not_significant
