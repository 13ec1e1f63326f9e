"""The desk: opens a shop and answers questions about its recipes, each worked out once.

>>> from nutrition.resources import tree
>>> shop = Shop.open(str(tree("examples") / "quillfeather"))
>>> shop["quince"].cost().title
'Duck fat caramel & brandied quince'
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from costing import around, days, finished, safety
from costing.contents import composition
from costing.cost import cost
from costing.findings import Finding, ShopError
from costing.kitchen.bench import KitchenError
from costing.kitchen.draws import Draws
from costing.kitchen.materials import Pantry
from costing.kitchen.pot import MONEY
from costing.kitchen.run import NOTHING, run
from costing.prices.book import PriceBook
from costing.purchases import Purchasing
from costing.results import Filled, PartResult, RecipeAnswer, StepResult
from costing.shop import label_choices
from costing.shop.reader import read
from nutrition.law.us import labelling, serving

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    import pandas as pd

    from costing.kitchen.brew import Brew, PartRecord, StepRecord
    from costing.kitchen.run import Measured
    from costing.results import CostAnswer
    from costing.shop.models import Recipe, ShopModel
    from nutrition.law.us.label import Label, Note
    from nutrition.law.us.options import Options
    from nutrition.product import Product


LARGEST = 4096.0
"""batches of a recipe at once; beyond, nobody means it"""


@dataclass(frozen=True, slots=True)
class Asked:
    """How a question is asked.

    Args:
        size: by what every written weight, volume and count of the recipe is multiplied.
        ranges: whether measured ranges are drawn from.
        trials: whether what trials measured stands in for what the recipe assumes.
    """

    size: float = 1.0
    ranges: bool = False
    trials: bool = False


PLAIN = Asked()


class Shop:
    """A shop that has been read and checked.

    Args:
        model: the checked shop.
        findings: what there is to know about it; none is an error.
        as_of: the day for prices; None: the shop's own day, or today.
    """

    def __init__(self, model: ShopModel, findings: Sequence[Finding] = (), as_of: date | None = None) -> None:
        self.model = model
        self.findings = tuple(findings)
        self.day = as_of or model.as_of or days.today()
        self.pantry = Pantry(model.ingredients, model.foods)
        self.book = PriceBook(model, self.day)
        self.checks = safety.Checks(model)
        self._touched: dict[str, frozenset[str]] = {}
        self._answers: dict[tuple[str, Asked], RecipeAnswer] = {}
        self._brews: dict[tuple[str, float], Brew] = {}
        self._packed = ""

    @classmethod
    def open(cls, folder: str | Path, as_of: date | None = None) -> Shop:
        """Read a shop folder.

        Args:
            folder: where it lies.
            as_of: the day for prices; None: the shop's own day, or today.

        Returns:
            The shop.

        Raises:
            ShopError: something in it must be mended first; carries every finding.
        """
        model, findings = read(Path(folder), as_of=as_of)
        if model is None or any(finding.level == "error" for finding in findings):
            raise ShopError(findings)
        return cls(model, findings, as_of)

    def __getitem__(self, key: str) -> ShopRecipe:
        if key not in self.model.recipes:
            raise KeyError(f"there is no recipe '{key}'; there are {', '.join(self.model.recipes)}")
        return ShopRecipe(self, key)

    def __iter__(self) -> object:
        return iter(self.model.recipes)

    def costs(self, recipes: Sequence[str] = ()) -> pd.DataFrame:
        """What a container of each flavour costs, as a pandas frame by recipe; see :func:`costing.frames.costs`."""
        from costing import frames

        return frames.costs(self, recipes)

    def margins(self, recipes: Sequence[str] = ()) -> pd.DataFrame:
        """What each way of selling leaves, as a frame by recipe and channel; see :func:`costing.frames.margins`."""
        from costing import frames

        return frames.margins(self, recipes)

    def labels(self, recipes: Sequence[str] = ()) -> pd.DataFrame:
        """Every line of every label, as a frame by recipe and nutrient; see :func:`costing.frames.labels`."""
        from costing import frames

        return frames.labels(self, recipes)

    def answers(self, keys: Sequence[str] = (), how: Asked = PLAIN) -> list[RecipeAnswer]:
        """Everything about some recipes, all of them if none is named.

        Raises:
            KeyError: no such recipe.
        """
        return [self[key].answer(how) for key in (keys or self.model.recipes)]

    def answer(self, key: str, how: Asked = PLAIN) -> RecipeAnswer:
        """Everything about one recipe, worked out once; a recipe that cannot be made says why in its findings."""
        if (key, how) not in self._answers:
            self._answers[key, how] = self._answer(key, how)
        return self._answers[key, how]

    def answer_measured(self, key: str, measured: Measured) -> RecipeAnswer:
        """Everything about one recipe with some steps as they were measured (:func:`costing.kitchen.run.run`)."""
        return self._answer(key, PLAIN, measured)

    def size_for(self, key: str, count: int, container: str = "", *, measured: Measured = NOTHING) -> float:
        """The smallest size of a batch that fills so many containers, within a thousandth.

        Args:
            key: the recipe.
            count: how many, above zero.
            container: of which kind; the first that the recipe fills if empty.
            measured: what trials found, in place of what the recipe assumes.

        Returns:
            By what to multiply the recipe's amounts.

        Raises:
            ShopError: the recipe fills no such container, or never so many.
        """
        found = [f.container.name for f in self.brew(key).filled]
        wanted = container or (found[0] if found else "")
        if wanted not in found or count < 1:
            mend = f"it fills: {', '.join(found)}" if found else "it fills no container"
            what = f"{key} cannot be sized for {count} x {wanted or 'anything'}"
            raise ShopError((Finding("error", self.model.recipes[key].where, what, mend),))

        def enough(size: float) -> bool:
            try:
                filled = self.brew(key, size=size, measured=measured).filled
            except KitchenError:
                return False
            return next(float(f.count[0]) for f in filled if f.container.name == wanted) >= count

        high = 1.0
        while not enough(high):
            high *= 2.0
            if high > LARGEST:
                what = f"{key} never fills {count} x {wanted}, at any size up to {LARGEST:g} batches"
                raise ShopError((Finding("error", self.model.recipes[key].where, what, "look at its fill step"),))
        low = 0.0
        while high - low > 1e-4 * high:
            middle = (low + high) / 2
            low, high = (low, middle) if enough(middle) else (middle, high)
        return high

    def brew(self, key: str, draws: Draws | None = None, *, size: float = 1.0, measured: Measured = NOTHING) -> Brew:
        """Make a batch of a recipe; a plain one, of which nothing was drawn or measured, is made once.

        Args:
            key: the recipe.
            draws: the draws; None: the plain answer.
            size: by what every written weight, volume and count is multiplied.
            measured: what trials found, in place of what the recipe assumes (:func:`costing.kitchen.run.run`).

        Raises:
            KitchenError: a step that cannot be done.
        """
        if draws is None and not measured:
            if (key, size) not in self._brews:
                self._brews[key, size] = self._brew(key, Draws(), size, measured)
            return self._brews[key, size]
        return self._brew(key, draws or Draws(), size, measured)

    def _brew(self, key: str, draws: Draws, size: float, measured: Measured) -> Brew:
        purchasing = Purchasing(self.pantry, self.book)
        recipe = self.model.recipes[key]
        brew = run(recipe, self.model, self.pantry, purchasing.pricing, draws, size=size, measured=measured)
        if not self._packed:
            return brew
        return replace(brew, filled=tuple(sorted(brew.filled, key=lambda one: one.container.name != self._packed)))

    def _answer(self, key: str, how: Asked, measured: Measured = NOTHING) -> RecipeAnswer:
        recipe = self.model.recipes[key]
        if how.trials:
            measured = _measured(self.model, None)
        try:
            brew = self.brew(key, size=how.size, measured=measured)
        except KitchenError as problem:
            findings = (problem.finding, *self.checks.of_recipe(recipe))
            return RecipeAnswer(key, recipe.title, (), (), None, None, findings, size=how.size)
        product = finished.product(brew, self.pantry)
        label = None if product is None else self._label(product, recipe)
        found = None
        if brew.filled:
            found = cost(brew, self.model, Purchasing(self.pantry, self.book), self.day, self._serving_ml())
        answer = RecipeAnswer(
            recipe=key,
            title=recipe.title,
            parts=tuple(_part(part, self.pantry) for part in brew.parts),
            filled=tuple(
                Filled(
                    f.container.name,
                    round(float(f.count[0])),
                    float(f.grams[0]),
                    float(f.ml[0]),
                    float(f.container.holds.mid),
                )
                for f in brew.filled
            ),
            cost=found,
            label=label,
            findings=(
                *brew.findings,
                *self.checks.of_recipe(recipe),
                *_of_label(label, recipe.where, self.model),
            ),
            size=how.size,
            product=product,
        )
        return self._with_ranges(answer, how) if how.ranges and brew.filled else answer

    def _label(self, product: Product, recipe: Recipe) -> Label:
        surroundings = around.around(recipe, self.model, self.pantry, self._touched)
        return labelling.label(product, as_of=self.day, options=self.choices(recipe), around=surroundings)

    def choosing(self, choices: Sequence[str]) -> Shop:
        """The same shop with other choices for its labels, before what it says itself.

        Args:
            choices: such as ``lines=shortened``.

        Raises:
            ValueError: no such choice.
        """
        top = label_choices.said(choices)
        recipes = {
            key: one if one.label is None else one.model_copy(update={"label": label_choices.over(one.label, top)})
            for key, one in self.model.recipes.items()
        }
        model = replace(self.model, label=label_choices.over(self.model.label, top), recipes=recipes)
        return Shop(model, self.findings, self.day)

    def packing(self, container: str) -> Shop:
        """The same shop, where one kind of container comes first in every recipe that fills it: labels are for that.

        Args:
            container: its name in ``shop.yaml``.
        """
        other = Shop(self.model, self.findings, self.day)
        other._packed = container
        return other

    def choices(self, recipe: Recipe) -> Options:
        """What the label preparer chose for a recipe's label."""
        return label_choices.options(self.model.label, recipe.label)

    def _serving_ml(self) -> float:
        return serving.reference_amount("frozen dessert", self.day)[1]

    def _with_ranges(self, answer: RecipeAnswer, how: Asked) -> RecipeAnswer:
        """The same with the ranges of its figures, out of a sample."""
        from costing import spread

        draws = Draws(spread.DRAWS)
        measured, places = (_measured(self.model, draws), _places(self.model)) if how.trials else (NOTHING, {})
        few = Draws(2)
        self.brew(answer.recipe, few)
        if not measured and not few.assumptions:
            return answer
        brew = self.brew(answer.recipe, draws, size=how.size, measured=measured)
        if not draws.possible.any():
            what = "no draw of its ranges can be made in a kitchen"
            finding = Finding("warning", self.model.recipes[answer.recipe].where, what, "look at the ranges")
            return replace(answer, findings=(*answer.findings, finding), impossible_share=1.0)
        purchasing = Purchasing(self.pantry, self.book)
        per_container = spread.cost_per_container(brew, self.model, purchasing)
        return replace(
            answer,
            ranges=spread.ranges(brew, self.model, purchasing, answer.label, self._serving_ml()),
            drivers=spread.drivers(per_container, brew, self.model.recipes.values(), measured, places),
            impossible_share=1.0 - float(draws.possible.mean()),
        )


def _places(model: ShopModel) -> dict[tuple[str, str, int], str]:
    from costing import trials

    return {one.key: one.where for one in trials.measurements(model)}


def _measured(model: ShopModel, draws: Draws | None) -> Measured:
    from costing import trials

    return trials.measured(model, draws)


class ShopRecipe:
    """One recipe of a shop.

    Args:
        shop: the shop.
        key: the recipe's file name without its ending.
    """

    def __init__(self, shop: Shop, key: str) -> None:
        self.shop = shop
        self.key = key

    def answer(self, how: Asked = PLAIN) -> RecipeAnswer:
        """Everything about the recipe."""
        return self.shop.answer(self.key, how)

    def cost(self) -> CostAnswer:
        """What a batch and a container cost, and what selling leaves.

        Raises:
            ShopError: the recipe cannot be made, or fills no container; carries the findings.
        """
        found = self._able().cost
        if found is None:
            raise ShopError((Finding("error", self.key, "it fills no container, so it has no cost of its own"),))
        return found

    def yields(self) -> tuple[PartResult, ...]:
        """Every part, step by step.

        Raises:
            ShopError: the recipe cannot be made; carries the findings.
        """
        return self._able().parts

    def label(self) -> Label:
        """What the label says.

        Raises:
            ShopError: the recipe cannot be made, or fills no container; carries the findings.
        """
        found = self._able().label
        if found is None:
            raise ShopError((Finding("error", self.key, "it fills no container, so it has no label"),))
        return found

    def _able(self) -> RecipeAnswer:
        answer = self.answer()
        if any(finding.level == "error" for finding in answer.findings):
            raise ShopError(answer.findings)
        return answer


def _of_label(label: Label | None, where: str, model: ShopModel) -> tuple[Finding, ...]:
    """What somebody must mend or decide about a label, as findings about the recipe and the shop's address."""
    if label is None:
        return ()
    return (*_of_notes(label.notes, where), *_of_notes(around.address(model), model.at("address")))


def _of_notes(notes: Iterable[Note], where: str) -> tuple[Finding, ...]:
    return tuple(
        Finding(note.level, where, note.what, note.mend)  # type: ignore[arg-type]
        for note in notes
        if note.level in ("error", "warning")
    )


def _part(part: PartRecord, pantry: Pantry) -> PartResult:
    last = part.steps[-1] if part.steps else None
    return PartResult(
        name=part.name,
        recipe=part.recipe,
        steps=tuple(_step(part.name, step) for step in part.steps),
        out_g=float(part.pot.grams()[0]),
        out_ml=float(last.out_ml[0]) if last else 0.0,
        composition=composition(part.pot, pantry),
        cost=float(part.pot.ledger(MONEY)[0]),
        used_share=float(part.used[0]),
    )


def _step(part: str, step: StepRecord) -> StepResult:
    return StepResult(
        part=part,
        step=step.number,
        verb=step.verb,
        name=step.name,
        where=step.where,
        text=step.text,
        in_g=float(step.in_g[0]),
        out_g=float(step.out_g[0]),
        vapour_g=float(step.vapour_g[0]),
        discarded_g=float(step.discarded_g[0]),
        saved_g=float(step.saved_g[0]),
        money_in=float(step.money_in[0]),
        money_out=float(step.money_out[0]),
        lost_value=float(step.lost_value[0]),
        out_ml=float(step.out_ml[0]),
        runs=0 if step.runs is None else round(float(step.runs[0])),
        free_figure=step.free_figure,
    )
