"""What a batch sheet says, before anyone has chosen paper: plain, immutable values.

:func:`costing.batch_sheet.writing.sheet` makes them out of a recipe, its batch and its answer;
:mod:`costing.batch_sheet.layout` sets them on pages.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


class Run(NamedTuple):
    """Words in one strength; what must be read from afar is strong."""

    text: str
    strong: bool = False


Words = tuple[Run, ...]


def text_of(words: Words) -> str:
    """The words without their strength.

    >>> text_of((Run("Heat to "), Run("175 °F", True)))
    'Heat to 175 °F'
    """
    return "".join(run.text for run in words)


@dataclass(frozen=True, slots=True)
class Weigh:
    """One thing to weigh.

    Args:
        name: the ingredient or part.
        grams: how much, unrounded.
        shown: the same, rounded for a kitchen scale.
        measure: the same in the cook's own measure, empty where that is grams.
        allergens: what it holds, in words.
        remark: ``as bought``, or where it comes from.
    """

    name: str
    grams: float
    shown: str
    measure: str = ""
    allergens: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True)
class StepLines:
    """One step.

    Args:
        number: its number in the part, the one that trials name.
        verb: its verb in the recipe.
        words: what to do, its name first if it has one.
        weighs: what goes in.
        after_g: expected weight afterwards, unrounded, None where there is none to expect.
        after: the same, rounded for a kitchen scale; empty for None.
        what: what is put on the scale where it is not the whole pot.
        measured: there is a box for the measured weight.
        time: who works how long.
        notes: the recipe's own words.
        warnings: what the kitchen was told about this step.
    """

    number: int
    verb: str
    words: Words
    weighs: tuple[Weigh, ...] = ()
    after_g: float | None = None
    after: str = ""
    what: str = ""
    measured: bool = False
    time: str = ""
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Section:
    """One part: its steps in order.

    Args:
        name: the part.
        title: what stands over it: of a house base what it makes.
        recipe: key of the recipe that it belongs to.
        lead: what there is to know before it begins.
        base: the house base that begins with it; a box asks for its lot. Empty for none.
        steps: its steps.
    """

    name: str
    title: str
    recipe: str
    lead: tuple[str, ...]
    base: str
    steps: tuple[StepLines, ...]


@dataclass(frozen=True, slots=True)
class Check:
    """A temperature to measure and to sign for.

    Args:
        where: part and step.
        what: what is asked.
        limit: how long or how soon.
    """

    where: str
    what: str
    limit: str


@dataclass(frozen=True, slots=True)
class Count:
    """Something to count or to weigh at the end, with a box for what there was.

    Args:
        what: containers, the rest, or something saved.
        expected: how much of it.
        remark: what each holds, or what to do with it.
    """

    what: str
    expected: str
    remark: str = ""


@dataclass(frozen=True, slots=True)
class BatchSheet:
    """A whole sheet.

    Args:
        shop: the shop's name.
        recipe: key of the recipe.
        title: of the recipe.
        size: how much is made, in words.
        locale: of the shop.
        letter: the paper is US Letter, else A4.
        heads: what is written in on top, one box each.
        allergens: every allergen that anything in the batch ever touched, in words.
        beside: those of them that only a part has which does not go into the containers.
        note: the recipe's own words.
        cautions: what to mind, one sentence each.
        sections: the parts in the order of making.
        counts: what comes out, to be counted and weighed.
        checks: temperatures.
        signs: what is signed at the end, one box each.
        foot: what these figures are.
    """

    shop: str
    recipe: str
    title: str
    size: str
    locale: str
    letter: bool
    heads: tuple[str, ...]
    allergens: tuple[str, ...]
    beside: tuple[str, ...]
    note: str
    cautions: tuple[str, ...]
    sections: tuple[Section, ...]
    counts: tuple[Count, ...]
    checks: tuple[Check, ...]
    signs: tuple[str, ...]
    foot: str

    @property
    def weighs(self) -> tuple[Weigh, ...]:
        """Everything to weigh in, in order."""
        return tuple(weigh for part in self.sections for step in part.steps for weigh in step.weighs)

    @property
    def ticks(self) -> int:
        """How many boxes there are to tick: one for each step and for each thing that is weighed in."""
        return len(self.weighs) + sum(len(part.steps) for part in self.sections)

    @property
    def blanks(self) -> int:
        """How many boxes there are to write into."""
        return (
            len(self.heads)
            + sum(1 for part in self.sections if part.base)
            + sum(1 for part in self.sections for step in part.steps if step.measured)
            + len(self.counts)
            + CHECK_BOXES * len(self.checks)
            + len(self.signs)
        )


CHECK_BOXES = 4
"""For each temperature check: temperature, from, to, initials."""
