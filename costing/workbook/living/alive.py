"""Brings a workbook to life: its inputs, and what writes formulas in place of figures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.prices.book import PriceBook
from costing.workbook import look
from costing.workbook.cost import KINDS
from costing.workbook.living import inputs as inputs_sheet
from costing.workbook.living import selling
from costing.workbook.living.cost import Section, Written
from costing.workbook.living.facts import Facts, gather
from costing.workbook.living.inputs import Inputs

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date

    from openpyxl.workbook.workbook import Workbook

    from costing.results import ChannelResult, CostAnswer, RecipeAnswer
    from costing.shop.models import ShopModel
    from costing.workbook.grid import Sheet
    from costing.workbook.values import Value


class Alive:
    """A workbook that is coming to life.

    Args:
        inputs: its inputs.
        facts: recipe to what the engine says about it.
    """

    def __init__(self, inputs: Inputs, facts: dict[str, Facts]) -> None:
        self._inputs = inputs
        self._facts = facts
        self._written: dict[str, Written] = {}
        self._sheets = [inputs.sheet]

    def costs(self, answer: RecipeAnswer) -> Callable[[Sheet], int] | None:
        """What writes the section Cost of a flavour; None where it has no cost."""
        cost = answer.cost
        if cost is None:
            return None

        def write(sheet: Sheet) -> int:
            section = Section(sheet, cost, self._facts[answer.recipe], self._inputs)
            start = section.write(answer.filled)
            self._written[answer.recipe] = section.done
            self._sheets.append(sheet)
            return start

        return write

    def opening(self, cost: CostAnswer, first: str) -> list[Value]:
        """A flavour's money on the opening sheet."""
        kinds = tuple(name for _, name, _ in KINDS)
        return selling.on_opening(self._written[cost.recipe], cost, first, kinds)

    def margins(self, answer: RecipeAnswer, channel: ChannelResult) -> list[Value]:
        """A channel's row on Margins."""
        return selling.on_margins(self._written[answer.recipe], channel)

    def finish(self) -> None:
        """Guard what is not to be changed."""
        for sheet in self._sheets:
            inputs_sheet.protect(sheet)


def begin(
    workbook: Workbook,
    sheet: Callable[[str, Sequence[float], str], Sheet],
    model: ShopModel,
    day: date,
    answers: Sequence[RecipeAnswer],
) -> Alive:
    """Write the inputs, so that formulas can call them.

    Args:
        workbook: the workbook.
        sheet: makes a sheet by its name, widths and colour.
        model: the shop.
        day: the day of the prices.
        answers: everything about each recipe.

    Raises:
        ValueError: the answers are not those of the recipes as they are written.
    """
    facts = gather(model, day, answers)
    inputs = Inputs(workbook, sheet(inputs_sheet.NAME, inputs_sheet.WIDTHS, look.RUST))
    inputs_sheet.write(inputs, model, PriceBook(model, day), answers, facts)
    made = inputs.sheet
    made.print_setup(foot=(model.name, f"Inputs · {made.formats.day(day)}"), repeat=(1, 1))
    # Programs that keep no figures of their own work everything out when the file is opened.
    workbook.calculation.fullCalcOnLoad = True
    return Alive(inputs, facts)
