"""A whole recipe by formulas: its parts and steps in order, what was bought for it, what it fills, what is saved.

As :mod:`costing.kitchen.run`, twice where money hangs on weights that are known only at the end.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from costing.kitchen.fill import REST
from costing.shop.steps import Weigh
from costing.workbook.living.kitchen import adding, boiling, filling, melting, straining
from costing.workbook.living.kitchen.paper import Paper, Row
from costing.workbook.living.kitchen.pots import Pot, millilitres
from costing.workbook.living.kitchen.work import SLACK, Outcome, Stock, Work
from costing.workbook.living.terms import ONE, ZERO, Term, above, either, most, ratio, total

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from costing.kitchen.bench import Purchase
    from costing.purchases import Purchasing
    from costing.shop.models import Part, Recipe
    from costing.shop.steps import AnyStep
    from costing.workbook.living.kitchen.work import Shared


@dataclass(slots=True)
class Step:
    """What a step comes to, with the keys of its inputs."""

    number: int
    step: AnyStep
    inputs: tuple[str, ...]
    ok: str
    in_g: Term
    out_g: Term
    vapour_g: Term
    gone_g: Term
    saved_g: Term
    money_in: Term
    money_out: Term
    ml: Term
    runs: Term | None = None
    free: tuple[str, Term] | None = None


@dataclass(slots=True)
class Labour:
    """A time of labour: whose, what, minutes each time, and how often."""

    role: str | None
    what: str
    key: tuple[str, ...]
    minutes: float
    per: str
    times: Term


@dataclass(slots=True)
class Saved:
    """What may be left for later, with its money."""

    name: str
    grams: Term
    money: Term


@dataclass(slots=True)
class Made:
    """A recipe by formulas.

    Args:
        recipe: the recipe.
        ok: the cell that says whether all of it can be done; empty where nothing can go wrong.
        parts: name of each of its own parts to its steps.
        pot: what is in containers, or the finished base.
        used: purchase to weight that went into pots, g.
        filled: containers: name, count, weight and volume of one.
        labour: times.
        saved: what may be left.
        runs: runs of the machine.
        stocks: what was made, to the share of it that was used.
        whole: of the base, what it is in all.
    """

    recipe: Recipe
    ok: str = ""
    parts: dict[str, list[Step]] = field(default_factory=dict)
    pot: Pot = field(default_factory=Pot)
    used: dict[Purchase, Term] = field(default_factory=dict)
    filled: tuple[tuple[str, Term, Term, Term], ...] = ()
    labour: list[Labour] = field(default_factory=list)
    saved: list[Saved] = field(default_factory=list)
    runs: Term = ZERO
    stocks: dict[str, Stock] = field(default_factory=dict)
    bases: dict[str, Made] = field(default_factory=dict)

    def guarded(self, term: Term) -> Term:
        """A figure that is unknown where the recipe cannot be done."""
        if not self.ok:
            return term
        return Term(f'IF({self.ok}="ok",{term.text},"unknown")', term.value, term.needs)


class Cook:
    """Turns recipes into formulas.

    Args:
        shared: what all recipes share.
        purchasing: what goes into pots and what is bought for it.
        per_gram: bought thing to what a gram of it costs.
        usable: ingredient, and whether it goes in as bought, to the share of what is bought that goes into pots.
    """

    def __init__(
        self, shared: Shared, purchasing: Purchasing, per_gram: Mapping[str, Term], usable: Mapping[Purchase, Term]
    ) -> None:
        self.shared = shared
        self.purchasing = purchasing
        self.per_gram = per_gram
        self.usable = usable

    def cook(self, recipe: Recipe, size: float, paper: Paper, fine: bool, bases: Mapping[str, Made]) -> Made:
        """Make a recipe.

        Args:
            recipe: the recipe.
            size: by what its amounts are multiplied.
            paper: where its figures are written down.
            fine: every piece is followed on its own.
            bases: key of a house base to what has been made of it already.
        """
        before = paper.next
        made = self._pass(recipe, size, paper, fine, bases, {}, {})
        together = self._together(made)
        scales = {
            (stock.recipe, stock.name): 1.0 / max(stock.used.value, 1e-9)
            for one in (made, *made.bases.values())
            for stock in one.stocks.values()
            if stock.scale_row is not None and stock.used.value < 1 - 1e-9
        }
        if together or scales:
            del paper.rows[before - paper.start :]
            made = self._pass(recipe, size, paper, fine, {} if together else bases, scales, together)
        return made

    # Prices -----------------------------------------------------------------------------------------------------------

    def _together(self, made: Made) -> dict[str, float]:
        """Bought things of which several ingredients come, to what a gram of these carries."""
        sources: dict[str, dict[Purchase, Term]] = {}
        for purchase, grams in made.used.items():
            name, share = self.purchasing.source(purchase[0])
            if share is not None:
                sources.setdefault(name, {})[purchase] = grams
        out = {}
        for name, uses in sources.items():
            if len(uses) > 1:
                need = max(grams.value / self.usable[purchase].value for purchase, grams in uses.items())
                whole = sum(grams.value for grams in uses.values())
                out[name] = self.per_gram[name].value * need / whole if whole > 0 else 0.0
        return out

    # One pass ---------------------------------------------------------------------------------------------------------

    def _pass(
        self,
        recipe: Recipe,
        size: float,
        paper: Paper,
        fine: bool,
        bases: Mapping[str, Made],
        scales: Mapping[tuple[str, str], float],
        together: Mapping[str, float],
    ) -> Made:
        prices = _Prices(self)
        later = {}
        for name, value in together.items():
            term, row = paper.later(recipe.title, f"{name}: money that a gram out of it carries", value, "g")
            later[name] = row
            prices.together[name] = term
        made = self._made(recipe, size, paper, fine, bases, scales, prices)
        for name, row in later.items():
            uses = {p: g for p, g in made.used.items() if self.purchasing.source(p[0])[0] == name}
            uses = {p: g for p, g in uses.items() if self.purchasing.source(p[0])[1] is not None}
            row.cells[3] = self.per_gram[name] * ratio(self.shared_need(uses), total(list(uses.values())))
        for one in (made, *made.bases.values()):
            for stock in one.stocks.values():
                if stock.scale_row is not None and not stock.scale_row.cells:
                    used = stock.used
                    found = either(above(ONE - SLACK, used), ONE / most(used, SLACK), ONE)
                    stock.scale_row.cells[3] = found
        return made

    def shared_need(self, uses: Mapping[Purchase, Term]) -> Term:
        """What to buy so that all of these can come out of it: the larger need."""
        need = ZERO
        for purchase, grams in uses.items():
            need = most(need, grams / self.usable[purchase])
        return need

    def _made(
        self,
        recipe: Recipe,
        size: float,
        paper: Paper,
        fine: bool,
        bases: Mapping[str, Made],
        scales: Mapping[tuple[str, str], float],
        prices: _Prices,
    ) -> Made:
        from costing.kitchen.run import _bases

        made = Made(recipe)
        work = Work(self.shared, paper, recipe, size, prices, scales, fine)
        for name, base in _bases(recipe, self.shared.model).items():
            below = bases.get(base.key) or self._made(base, 1.0, paper, fine, bases, scales, prices)
            made.bases[name] = below
            work.stocks[name] = Stock(name, base.key, below.pot, base.parts[-1].label, False, "save")
            if below.ok:
                work.ok = _also(work.ok, below.ok, recipe.title, paper)
        paper.heading(recipe.title)
        for part in recipe.parts:
            self._part(part, made, work)
        self._finished(made, work)
        return made

    def _part(self, part: Part, made: Made, work: Work) -> None:
        work.part = part
        work.trimmed = frozenset(name for step in part.steps if step.verb == "trim" for name in step.things)
        pot = Pot()
        steps = made.parts[part.name] = []
        for number, step in enumerate(part.steps, start=1):
            work.step, work.number, work.asked = step, number, []
            before = pot
            outcome = _do(step, number, part, pot, work)
            ok = work.settled()
            steps.append(_told(step, number, before, outcome, ok, work))
            for name, (saved, label) in outcome.saved.items():
                shelf = f"{REST} of {part.name}" if step.verb == "fill" else name
                work.stocks[shelf] = Stock(shelf, made.recipe.key, saved, label, True, "save", part=part.name)
            pot = outcome.pot
            if outcome.filled:
                made.filled = outcome.filled
            if outcome.runs is not None:
                work.runs = work.figure("machine runs so far", work.runs + outcome.runs, "count")
        if part is made.recipe.parts[-1]:
            made.pot = pot
        else:
            work.stocks[part.name] = Stock(part.name, made.recipe.key, pot, part.label, True, part.rest, part=part.name)

    def _finished(self, made: Made, work: Work) -> None:
        paper, title = work.paper, made.recipe.title
        made.runs = work.runs
        made.stocks = work.stocks
        made.used = dict(work.used)
        for name, base in made.bases.items():
            share = work.stocks[name].used
            for purchase, grams in base.used.items():
                made.used[purchase] = made.used.get(purchase, ZERO) + grams * share
            made.saved += [Saved(one.name, one.grams * share, one.money * share) for one in base.saved]
            for one in base.labour:
                made.labour.append(Labour(one.role, one.what, one.key, one.minutes, one.per, one.times * share))
        made.used = {
            purchase: paper.figure(title, f"{purchase[0]}, in all (g)", grams) for purchase, grams in made.used.items()
        }
        count = total([one[1] for one in made.filled])
        for part in made.recipe.parts:
            for number, step in enumerate(part.steps, start=1):
                if step.labour is not None:
                    times = {"batch": ONE, "run": work.runs, "container": count}[step.labour.per]
                    key = (made.recipe.key, part.name, str(number), "labour")
                    what = step.name or f"{part.name}: {step.verb}"
                    minutes = step.labour.time.mid / 60
                    made.labour.append(Labour(step.by, what, key, minutes, step.labour.per, times))
        for stock in work.stocks.values():
            if not stock.limited or stock.used.is_(1.0):
                continue
            if stock.rest == "discard":
                if not stock.taken:
                    continue
                work.tests.append((above(stock.used), "a part is made and thrown away unused"))
                continue
            left = either(above(SLACK, ONE - stock.used), ZERO, ONE - stock.used)
            left = paper.figure(title, f"share of {stock.name} that is left", left, "share")
            grams = paper.figure(title, f"{stock.name} that is left (g)", stock.pot.grams() * left)
            money = paper.figure(title, f"money that {stock.name} keeps", stock.pot.money() * left)
            made.saved.append(Saved(stock.name, grams, money))
        work.ok = paper.check(title, work.ok, work.tests, [])
        made.ok = work.ok


def _also(ok: str, other: str, title: str, paper: Paper) -> str:
    """A cell that says ok where both do."""
    if not ok:
        return other
    at = f"§C{paper.next}"
    text = f'IF({ok}="ok",{other},{ok})'
    paper.rows.append(Row(title, "can its bases be made?", {3: text}, "check"))
    return at


class _Prices(dict["Purchase", Term]):
    """Purchase to what a gram in the pot carries."""

    def __init__(self, cook: Cook) -> None:
        super().__init__()
        self._cook = cook
        self.together: dict[str, Term] = {}

    def __missing__(self, purchase: Purchase) -> Term:
        name, share = self._cook.purchasing.source(purchase[0])
        if share is not None and name in self.together:
            return self.together[name]
        return self._cook.per_gram[name] / self._cook.usable[purchase]


def _do(step: AnyStep, number: int, part: Part, pot: Pot, work: Work) -> Outcome:
    if step.verb in PLAIN:
        return PLAIN[step.verb](step, pot, work)
    scale = _scale(number, part, work)
    if step.verb in ("cook", "reduce"):
        return boiling.do(step, pot, work, scale)
    return WEIGHED[step.verb](step, pot, work, None if scale is None else scale[0])


PLAIN: Mapping[str, Callable[[Any, Pot, Work], Outcome]] = {
    "note": lambda _, pot, __: Outcome(pot),
    "weigh": lambda _, pot, __: Outcome(pot),
    "cool": lambda _, pot, __: Outcome(replace(pot, cooled=True)),
    "add": adding.do,
    "fold": adding.do,
    "trim": straining.trim,
    "fill": filling.fill,
}
WEIGHED: Mapping[str, Callable[[Any, Pot, Work, Term | None], Outcome]] = {
    "render": melting.render,
    "press": melting.press,
    "soak": straining.soak,
    "strain": straining.strain,
    "lose": filling.lose,
    "churn": filling.churn,
}
"""Verbs whose free figure a scale may settle."""


def _scale(number: int, part: Part, work: Work) -> tuple[Term, Weigh] | None:
    """What the scale says after this step, where the next thing done is to weigh."""
    after: Sequence[AnyStep] = part.steps[number:]
    for offset, step in enumerate(after, start=1):
        if step.verb == "note":
            continue
        if not isinstance(step, Weigh):
            return None
        own = work.number
        work.number = own + offset
        weight = work.ask("weight", "weighed, g", step.weight, "grams") * work.size
        work.number = own
        return work.figure("what the scale says", weight), step
    return None


def _told(step: AnyStep, number: int, before: Pot, outcome: Outcome, ok: str, work: Work) -> Step:
    saved_g = total([pot.grams() for pot, _ in outcome.saved.values()])
    in_g = before.grams() + outcome.put_g
    out_g = outcome.pot.grams()
    vapour = ZERO
    if step.verb in ("cook", "reduce", "render"):
        vapour = in_g - out_g - outcome.gone_g - saved_g
    solid = millilitres(outcome.pot.sums(), work.paper, work.what) if outcome.pot.lumps else ZERO
    return Step(
        number,
        step,
        tuple(dict.fromkeys(work.asked)),
        ok,
        in_g,
        out_g,
        vapour,
        outcome.gone_g,
        saved_g,
        before.money() + outcome.put_money,
        outcome.pot.money(),
        solid + outcome.pot.air,
        outcome.runs,
        outcome.free,
    )
