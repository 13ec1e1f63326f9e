"""The section Yield by formulas: every step with the figures that may be changed, and what follows from them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.workbook import look
from costing.workbook import yields as plain
from costing.workbook.formats import number, weight
from costing.workbook.living import cells
from costing.workbook.living.cells import at
from costing.workbook.living.kitchen.work import RULES
from costing.workbook.living.terms import ONE, ZERO, Term, most, total
from costing.workbook.text import capital
from costing.workbook.values import NA, NONE, Column, Formula, Value

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from costing.results import RecipeAnswer
    from costing.workbook.grid import Sheet
    from costing.workbook.living.facts import Facts
    from costing.workbook.living.inputs import Inputs
    from costing.workbook.living.kitchen.cooking import Made, Step
    from costing.workbook.living.kitchen.paper import Input
    from costing.workbook.living.kitchen.work import Shared, Stock

    Key = tuple[str, ...]

FIGURE, WRITTEN, LAST = 3, 4, 14


class Section:
    """Writes the section of one recipe.

    Args:
        sheet: its sheet.
        answer: everything about it.
        facts: its kitchen by formulas.
        by_step: the inputs of the kitchen by recipe, part and step; those of the shop under the empty key.
        inputs: where cells get their names and rules.
    """

    def __init__(
        self,
        sheet: Sheet,
        answer: RecipeAnswer,
        facts: Facts,
        by_step: Mapping[Key, Sequence[Input]],
        inputs: Inputs,
    ) -> None:
        self.sheet = sheet
        self.answer = answer
        self.facts = facts
        self.inputs = inputs
        self.by_step = by_step
        bases = [made for _, made, _ in _kitchens(facts.made, ONE) if made is not facts.made]
        at = [
            (made.recipe.key, part, str(step.number))
            for made in bases
            for part in made.parts
            for step in made.parts[part]
        ]
        told = [one for key in dict.fromkeys(at) for one in by_step.get(key, ())]
        self.elsewhere = [one for one in (*by_step.get((), ()), *told) if one.name]
        self.why: dict[str, str] = {}
        """why something is locked, to the last step where it is"""
        self.count = ""

    def write(self) -> int:
        """Write it; returns the row of its heading."""
        sheet = self.sheet
        start = sheet.section("Yield", new_page=self.answer.cost is not None)
        sheet.paragraph(
            "Framed cells are inputs: type another figure and all else follows. “As written” keeps what the recipe "
            "says. What says “locked” stays as the engine worked it out, and says why."
        )
        if self.answer.size != 1.0:
            sheet.paragraph(
                f"This is a batch of {self.answer.size:g} times the recipe. Amounts to change are those of the recipe; "
                "all that follows is of the batch."
            )
        table = self._table()
        counted = sheet.row
        sheet.row += 1
        sheet.heads(table)
        first = sheet.row
        for name, made, share in _kitchens(self.facts.made, ONE):
            own = made is self.facts.made
            for part, steps in made.parts.items():
                sheet.block()
                source = "" if own else f" (from {name}; its figures are on its own sheet)"
                sheet.line(table, [f"{part}{source}", *[NONE] * 13], "group")
                for step in steps:
                    self._step(table, made, part, step, share, own)
                stock = made.stocks.get(part)
                if stock is not None and stock.rest == "discard" and stock.taken and not stock.used.is_(1.0):
                    self._rest(table, stock, made, share)
        self._counted(counted, first, sheet.row - 1)
        for why, where in self.why.items():
            sheet.paragraph(
                f"Locked, with all that leads to it: {where}. {capital(why)}: no formula finds it. Change it in the "
                "recipe, and make the workbook again."
            )
        if self.answer.cost is not None:
            self._batch(first, sheet.row - 1)
        sheet.gap()
        sheet.paragraph("What came out of each part, below, is that of the recipe as it is written.")
        plain._parts(sheet, self.answer)
        return start

    def _table(self) -> tuple[Column, ...]:
        money = self.sheet.formats.money
        return (
            Column("Step", 1, wrap=True),
            Column("Input", 2, wrap=True),
            Column("Figure", FIGURE, number(2)),
            Column("As written", WRITTEN, number(2)),
            Column("In (g)", 5, number(1)),
            Column("Out (g)", 6, number(1)),
            Column("Vapour (g)", 7, weight(1)),
            Column("Discarded (g)", 8, weight(1)),
            Column("Saved (g)", 9, weight(1)),
            Column("Money in", 10, money),
            Column("Money out", 11, money),
            Column("Out (mL)", 12, number(0)),
            Column("Machine runs", 13, number(0)),
            Column("Can it be done?", LAST, wrap=True),
        )

    def _step(self, table: tuple[Column, ...], made: Made, part: str, step: Step, share: Term, own: bool) -> None:
        asked = self.by_step.get((made.recipe.key, part, str(step.number)), []) if own else []
        told = self._told(made.recipe.key, part, step)
        if len(asked) > 1 and step.step.verb in ("add", "fold"):
            # Its things have a row each; those that are taken as they are stay in its words.
            things = [
                f"{name} {amount.text}"
                for name, amount in step.step.things.items()
                if name not in {o.key[3] for o in asked}
            ]
            told = f"{told.partition(':')[0]}: {', '.join(things)}" if things else told.partition(":")[0]
        figures = [
            step.in_g,
            step.out_g,
            step.vapour_g,
            step.gone_g,
            step.saved_g,
            step.money_in,
            step.money_out,
            step.ml,
        ]
        values: list[Value] = [self._figure(step.ok, one * share) for one in figures]
        runs: Value = NA if step.runs is None else self._figure(step.ok, step.runs * share)
        ok: Value = Formula(cells.there(Term(step.ok, 0.0)), "ok") if step.ok else "ok"
        single = asked[0] if len(asked) == 1 else None
        words: Value = single.words if single else NONE
        if single and not single.name:
            words = self._locked(single)
        self.sheet.line(table, [told, words, NONE, NONE, *values, runs, ok])
        if single:
            self._input(single, self.sheet.row - 1)
        for one in asked if not single else ():
            words = one.words if one.name else self._locked(one)
            self.sheet.line(table, [NONE, words, *[NONE] * 12])
            self._input(one, self.sheet.row - 1)
        if step.free is not None and own:
            name, term = step.free
            self.sheet.line(table, [NONE, f"{name} (follows)", *[NONE] * 12])
            self._beside(WRITTEN - 1, self._figure(step.ok, term), number(4))

    def _locked(self, one: Input) -> str:
        self.why[one.why] = f"{one.key[1]}, step {one.key[2]}"
        return f"{one.words} (locked)"

    def _told(self, recipe: str, part: str, step: Step) -> str:
        for one in self.answer.parts:
            if one.name == part and one.recipe in ("", recipe):
                for result in one.steps:
                    if result.step == step.number:
                        return plain._said(result)
        return f"{step.number}  {step.step.verb}"

    def _figure(self, ok: str, term: Term) -> Value:
        if term.fixed:
            return term.value
        text = cells.there(term)
        if ok:
            text = f'IF({cells.there(Term(ok, 0.0))}="ok",{text},{cells.UNKNOWN})'
        return Formula(f"IFERROR({text},{cells.UNKNOWN})", term.value)

    def _input(self, one: Input, row: int) -> None:
        sheet = self.sheet
        percent = RULES[one.rule][2] == "share"
        fmt = "0.00%" if percent else number(0) if RULES[one.rule][2] == "count" else number(2)
        after, sheet.row = sheet.row, row
        wear = look.TONES["body"].but(align="right")
        if one.name:
            self.inputs.named(sheet, FIGURE, one.value, fmt, f"kitchen {one.rule}", one.name)
        else:
            sheet.put(FIGURE, one.value, wear, fmt)
        sheet.put(WRITTEN, one.value, wear.but(colour=look.QUIET), fmt)
        sheet.row = after

    def _beside(self, column: int, value: Value, fmt: str) -> None:
        """Put something into the row just written."""
        self.sheet.put(column, value, look.TONES["body"].but(align="right"), fmt, row=self.sheet.row - 1)

    def _rest(self, table: tuple[Column, ...], stock: Stock, made: Made, share: Term) -> None:
        whole, used = stock.pot.grams(), ONE - most(ONE - stock.used, ZERO)
        money = stock.pot.money()
        ml: list[Value] = [NA, NA]
        figures = [whole, whole * used, ZERO, whole * (ONE - used), ZERO, money, money]
        values = [self._figure(made.ok, one * share) for one in figures]
        self.sheet.line(table, ["rest: what no step used is thrown away", NONE, NONE, NONE, *values, *ml, NONE])

    def _counted(self, row: int, first: int, last: int) -> None:
        """How many figures are not as they were written."""
        figures, written = f"{at(FIGURE, first)}:{at(FIGURE, last)}", f"{at(WRITTEN, first)}:{at(WRITTEN, last)}"
        # A figure that follows has nothing written beside it.
        text = f'SUMPRODUCT(({written}<>"")*({figures}<>{written}))'
        for one in self.elsewhere:
            text += f"+({one.name}<>{cells.number(one.value)})*1"
        sheet, after = self.sheet, self.sheet.row
        sheet.row = row
        sheet.put(1, "Figures changed here, in a base, in containers and machines", look.PLAIN)
        sheet.put(FIGURE, Formula(text, 0.0), look.PLAIN.but(align="right"), number(0))
        self.count = at(FIGURE, row)
        sheet.row = after

    def _batch(self, first: int, last: int) -> None:
        assert self.answer.cost is not None
        sheet, made, batch = self.sheet, self.facts.made, self.answer.cost.batch
        sheet.heading("The whole batch")
        table = (
            Column("Batch", 1),
            Column("In words", 2, wrap=True),
            Column("Difference (g)", FIGURE, number(6)),
            Column("", WRITTEN),
            Column("In (g)", 5, number(1)),
            Column("Out (g)", 6, number(1)),
            Column("Vapour (g)", 7, number(1)),
            Column("Discarded (g)", 8, number(1)),
            Column("Saved (g)", 9, number(1)),
        )
        sheet.heads(table)
        row = sheet.row

        def column(k: int, shown: float) -> Formula:
            text = f"SUM({at(k, first)}:{at(k, last)})"
            if made.ok:
                text = f'IF({cells.there(Term(made.ok, 0.0))}="ok",{text},{cells.UNKNOWN})'
            return Formula(text, shown)

        saved = total([one.grams for one in self.facts.credits])
        difference = f"ROUND({at(5, row)}-{at(6, row)}-{at(7, row)}-{at(8, row)}-{at(9, row)},6)"
        words = f'IF(ISNUMBER({at(FIGURE, row)}),IF({at(FIGURE, row)}=0,"balances","does not balance"),{cells.UNKNOWN})'
        sheet.line(
            table,
            [
                "Ingredients to whole containers",
                Formula(words, "balances"),
                cells.follows(difference, 0.0),
                NONE,
                self._figure(made.ok, total(list(made.used.values()))),
                self._figure(made.ok, made.pot.grams()),
                column(7, batch.vapour_g),
                column(8, batch.discarded_g),
                self._figure(made.ok, saved),
            ],
            "total",
        )


def by_step(shared: Shared) -> dict[Key, list[Input]]:
    """The inputs of the kitchen by recipe, part and step; those of the shop under the empty key."""
    out: dict[Key, list[Input]] = {}
    for one in shared.inputs.values():
        out.setdefault(one.key[:3] if len(one.key) == 4 else (), []).append(one)
    return out


def _kitchens(made: Made, share: Term) -> Iterator[tuple[str, Made, Term]]:
    """A recipe after its bases, each with what the batch takes of it."""
    for name, base in made.bases.items():
        for key, below, part in _kitchens(base, made.stocks[name].used):
            yield key, below, part * share
    yield made.recipe.key, made, share
