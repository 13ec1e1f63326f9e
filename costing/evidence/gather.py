"""Everything behind one label, in one value: figures, shares, food records, losses on the way, steps, doubts.

>>> from costing import Shop
>>> from nutrition.resources import tree
>>> shop = Shop.open(str(tree("examples") / "quillfeather"))
>>> found = gather(shop, shop.answer("plum"))
>>> [share.ingredient for share in found.lines["total_sugars"].origin.shares][:2]
['red plums', 'sugar']
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing.desk import PLAIN
from costing.evidence import losses
from costing.kitchen.run import NOTHING
from nutrition.law.us import added_sugars_record, allergens, evidence, next_step
from nutrition.law.us.evidence import Amount

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from costing.desk import Asked, Shop
    from costing.evidence.losses import Journey
    from costing.evidence.sure import HowSure
    from costing.results import RecipeAnswer
    from nutrition.law.us.added_sugars_record import Record
    from nutrition.law.us.evidence import Origin
    from nutrition.law.us.ingredient_statement import Entry
    from nutrition.law.us.label import Label, NutrientLine
    from nutrition.law.us.next_step import Step
    from nutrition.product import Product


@dataclass(frozen=True, slots=True)
class Figure:
    """One printed figure.

    Args:
        column: ``serving`` or ``container``.
        amount: least, best and greatest, in the line's unit.
        text: as printed; empty where it cannot be.
        percent: of the daily value as printed, None where there is none.
        step: the amounts that print the same text; None where the best amount is unknown.
        percent_step: the amounts that print the same per cent; None too where the law has none.
    """

    column: str
    amount: Amount
    text: str
    percent: int | None
    step: Step[str] | None
    percent_step: Step[int | None] | None


@dataclass(frozen=True, slots=True)
class Line:
    """One line, with where it comes from and its figures in every column; and whether the panel leaves it out."""

    line: NutrientLine
    origin: Origin
    figures: tuple[Figure, ...]
    left_out: bool = False


@dataclass(frozen=True, slots=True)
class Source:
    """A food record behind an ingredient: its id, its own name, and where it comes from."""

    ingredient: str
    food: str
    name: str
    source: str


@dataclass(frozen=True, slots=True)
class Name:
    """One name of the ingredient statement.

    Args:
        entry: the name with its weight as added in a container.
        sources: the records of the ingredients behind it.
        sub: the names in its brackets.
    """

    entry: Entry
    sources: tuple[Source, ...]
    sub: tuple[Name, ...]


@dataclass(frozen=True, slots=True)
class Brought:
    """One allergen: its text, the ingredients that bring it, and those of them of which nothing is left in the food."""

    text: str
    by: tuple[str, ...]
    taken_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Evidence:
    """Everything behind one label.

    Args:
        answer: the recipe's answer.
        label: its label.
        product: the food in one container.
        lines: nutrient key to its line.
        names: the ingredient statement.
        allergens: who brings what.
        record: of added sugars, 101.9(g)(10).
        journeys: ingredient to where it went, for one container.
        sure: how sure it is, where that was worked out.
    """

    answer: RecipeAnswer
    label: Label
    product: Product
    lines: Mapping[str, Line]
    names: tuple[Name, ...]
    allergens: tuple[Brought, ...]
    record: Record
    journeys: Mapping[str, Journey]
    sure: HowSure | None = None


def gather(shop: Shop, answer: RecipeAnswer, how: Asked = PLAIN, sure: HowSure | None = None) -> Evidence:
    """Everything behind the label of a recipe.

    Args:
        shop: its shop.
        answer: its answer, with a label.
        how: how it was asked about.
        sure: how sure the label is (:func:`costing.evidence.sure.how_sure`), if that is wanted.

    Raises:
        ValueError: the recipe has no label.
    """
    label, product = answer.label, answer.product
    if label is None or product is None:
        raise ValueError(f"{answer.recipe} fills no container, so nothing stands behind its label")
    measured = NOTHING
    if how.trials:
        from costing import trials

        measured = trials.measured(shop.model, None)
    brew = shop.brew(answer.recipe, size=how.size, measured=measured)
    origins = evidence.origins(product, label)
    journeys = losses.journeys(brew, shop.pantry, product.net_g)
    sources = {
        name: Source(name, record.id, record.name, record.source)
        for name in journeys
        for record in (shop.pantry[name].record,)
    }
    return Evidence(
        answer=answer,
        label=label,
        product=product,
        lines={
            line.key: Line(line, origins[line.key], _figures(line, label), line.key in label.left_out)
            for line in label.nutrients
        },
        names=tuple(_name(entry, sources) for entry in label.statement),
        allergens=tuple(_brought(label.allergens, shop, journeys)),
        record=added_sugars_record.record(product, label),
        journeys=journeys,
        sure=sure,
    )


def _figures(line: NutrientLine, label: Label) -> tuple[Figure, ...]:
    prints = next_step.printing(label, line.key)
    whole = Amount(line.per_container_low, line.per_container, line.per_container_high)
    one = Amount(line.per_serving_low, line.per_serving, line.per_serving_high)
    out = []
    for column in label.serving.columns:
        amount = one if column == "serving" else whole
        step = percent_step = None
        if amount.value is not None:
            best = max(0.0, amount.value)
            step = next_step.around(lambda at: prints(at)[0], best)
            if line.dv_pct:
                percent_step = next_step.around(lambda at: prints(at)[1], best)
        text, percent = line.declared.get(column, ""), line.dv_pct.get(column)
        out.append(Figure(column, amount, text, percent, step, percent_step))
    return tuple(out)


def _name(entry: Entry, sources: Mapping[str, Source]) -> Name:
    found = tuple(sources[name] for name in entry.ingredients if name in sources)
    return Name(entry, found, tuple(_name(sub, sources) for sub in entry.sub))


def _brought(texts: Iterable[str], shop: Shop, journeys: Mapping[str, Journey]) -> Iterable[Brought]:
    by: dict[str, list[str]] = {}
    for name in journeys:
        for written in shop.pantry[name].allergens:
            if allergens.problem(written) is None:
                for one in allergens.ordered([written]):
                    by.setdefault(str(one), []).append(name)
    for text in texts:
        names = by.get(text, [])
        yield Brought(text, tuple(names), tuple(name for name in names if journeys[name].there.grams <= 0))
