"""Brings a workbook to life: its inputs, and what writes formulas in place of figures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.workbook import look
from costing.workbook.cost import KINDS
from costing.workbook.living import cells, facts, selling, tables, workings, yields
from costing.workbook.living import inputs as inputs_sheet
from costing.workbook.living.cost import Section, Written
from costing.workbook.living.inputs import Inputs
from costing.workbook.living.terms import const, ratio

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from openpyxl.workbook.workbook import Workbook

    from costing.desk import Shop
    from costing.results import ChannelResult, CostAnswer, RecipeAnswer
    from costing.workbook.grid import Sheet
    from costing.workbook.living.facts import Facts
    from costing.workbook.living.kitchen.paper import Paper
    from costing.workbook.living.kitchen.work import Shared
    from costing.workbook.values import Value


class Alive:
    """A workbook that is coming to life.

    Args:
        inputs: its inputs.
        facts: recipe to what formulas say about it.
        shared: the inputs of the kitchen.
        paper: how the kitchen is worked out.
    """

    def __init__(self, inputs: Inputs, facts: dict[str, Facts], shared: Shared, paper: Paper) -> None:
        self._inputs = inputs
        self._facts = facts
        self._shared = shared
        self._paper = paper
        self._written: dict[str, Written] = {}
        self._sheets = [inputs.sheet]
        self._by_step = yields.by_step(shared)

    def costs(self, answer: RecipeAnswer) -> Callable[[Sheet], int] | None:
        """What writes the section Cost of a flavour; None where it has no cost."""
        cost = answer.cost
        if cost is None:
            return None

        def write(sheet: Sheet) -> int:
            section = Section(sheet, cost, self._facts[answer.recipe], self._inputs)
            start = section.write(answer.filled)
            self._written[answer.recipe] = section.done
            return start

        return write

    def yields(self, answer: RecipeAnswer) -> Callable[[Sheet], int] | None:
        """What writes the section Yield of a recipe; None where it has none."""
        if not answer.parts:
            return None

        def write(sheet: Sheet) -> int:
            section = yields.Section(sheet, answer, self._facts[answer.recipe], self._by_step, self._inputs)
            start = section.write()
            if answer.recipe in self._written:
                self._written[answer.recipe].changed(sheet, section.count)
            self._sheets.append(sheet)
            return start

        return write

    def opening(self, cost: CostAnswer, first: str) -> list[Value]:
        """A flavour's containers and money on the opening sheet."""
        kinds = tuple(name for _, name, _ in KINDS)
        return selling.on_opening(self._written[cost.recipe], cost, first, kinds)

    def base(self, answer: RecipeAnswer) -> list[Value]:
        """What is made of a house base, what it costs, and a kg of it, on the opening sheet."""
        made = self._facts[answer.recipe].made
        grams, money = made.guarded(made.pot.grams()), made.guarded(made.pot.money())
        each = made.guarded(ratio(made.pot.money(), made.pot.grams()) * const(1000.0))
        return [cells.kitchen(one) for one in (grams, money, each)]

    def label(self, recipe: str, told: list[Value]) -> list[Value]:
        """What is said of a flavour's label on the opening sheet, as long as its recipe is as it is written."""
        return selling.label_on_opening(self._written[recipe], told)

    def margins(self, answer: RecipeAnswer, channel: ChannelResult) -> list[Value]:
        """A channel's row on Margins."""
        return selling.on_margins(self._written[answer.recipe], channel)

    def finish(self, sheet: Sheet, foot: tuple[str, str]) -> None:
        """Write down the workings, and guard what is not to be changed.

        Args:
            sheet: a new sheet for the workings.
            foot: text at the left and at the right of the foot of its pages.
        """
        workings.write(sheet, self._paper)
        sheet.print_setup(foot=foot, repeat=(self._paper.start - 1, self._paper.start - 1))
        for one in (*self._sheets, sheet):
            inputs_sheet.protect(one)


def begin(
    workbook: Workbook,
    sheet: Callable[[str, Sequence[float], str], Sheet],
    shop: Shop,
    answers: Sequence[RecipeAnswer],
) -> Alive:
    """Write the inputs, so that formulas can call them.

    Args:
        workbook: the workbook.
        sheet: makes a sheet by its name, widths and colour.
        shop: the shop.
        answers: everything about each recipe.

    Raises:
        ValueError: the answers are not those of the recipes as they are written.
    """
    kitchen, model = facts.begin(shop, answers), shop.model
    inputs = Inputs(workbook, sheet(inputs_sheet.NAME, inputs_sheet.WIDTHS, look.RUST))
    tables.bought(inputs, model, kitchen.shop.book, kitchen)
    found, paper, shared = facts.follow(kitchen, inputs)
    tables.others(inputs, model, found, shared, kitchen)
    made = inputs.sheet
    made.print_setup(foot=(model.name, f"Inputs · {made.formats.day(shop.day)}"), repeat=(1, 1))
    # Programs that keep no figures of their own work everything out when the file is opened.
    workbook.calculation.fullCalcOnLoad = True
    return Alive(inputs, found, shared, paper)
