"""What a flavour comes to by formulas: bought, filled, worked and saved; found once and held against the engine.

The kitchen is followed by :mod:`costing.workbook.living.kitchen`. Where a step has no formula, the inputs that lead to
it are locked, and the kitchen is followed once more without them. What it says must then be what the engine says;
else there is no living workbook.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from costing.kitchen.pot import MONEY
from costing.purchases import Purchasing
from costing.selling import terms as selling
from costing.workbook.living.kitchen.cooking import Cook, Made
from costing.workbook.living.kitchen.family import Family, mentioned
from costing.workbook.living.kitchen.paper import Paper
from costing.workbook.living.kitchen.work import NeedsEngineError, Shared
from costing.workbook.living.terms import ONE, ZERO, Term, const, least, most, ratio, total

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from costing.desk import Shop
    from costing.kitchen.bench import Purchase
    from costing.kitchen.brew import Brew
    from costing.results import RecipeAnswer
    from costing.shop.models import Recipe
    from costing.workbook.living.inputs import Inputs

CLOSE = 1e-7
"""What figures of the engine and of the formulas may differ by, times the larger of 1 and the figure."""
FIRST_ROW = 6
"""of the sheet Workings, below its title and heads"""


@dataclass(frozen=True, slots=True)
class Stream:
    """One bought thing of a flavour: bought and used, g."""

    name: str
    bought: Term
    used: Term


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of container: how many, weight (g) and volume (mL) of one, its packaging (item, pieces in each)."""

    name: str
    count: Term
    grams: Term
    ml: Term
    made_of: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Minutes:
    """A time of labour: what, whose, the key of its input, and how often it is taken."""

    what: str
    role: str
    key: tuple[str, ...]
    each: float
    per: str
    times: Term


@dataclass(frozen=True, slots=True)
class Credit:
    """What may be saved: its weight (g), and the money that it takes along."""

    name: str
    grams: Term
    money: Term


@dataclass(frozen=True, slots=True)
class Facts:
    """What formulas say about one recipe; a house base has its yield alone.

    Args:
        recipe: its key.
        made: its steps.
        servings: servings in a container of the first kind.
        units: channel to place of the kind that it sells, and units in one.
        strip: overrun, machine runs, density of the mix; as far as there are any.
    """

    recipe: str
    made: Made
    streams: tuple[Stream, ...] = ()
    kinds: tuple[Kind, ...] = ()
    minutes: tuple[Minutes, ...] = ()
    credits: tuple[Credit, ...] = ()
    servings: Term = ONE
    units: Mapping[str, tuple[int, Term]] = field(default_factory=dict)
    overrun: Term | None = None
    mix_density: Term | None = None


@dataclass(slots=True)
class Kitchen:
    """The kitchen of a workbook before anything of it is written down.

    Args:
        shop: the shop.
        brews: recipe to its batch, of those that are in the workbook.
        answers: recipe to everything about it.
    """

    shop: Shop
    brews: dict[str, Brew]
    answers: dict[str, RecipeAnswer]

    @property
    def purchasing(self) -> Purchasing:
        """What is bought for what goes into pots."""
        return Purchasing(self.shop.pantry, self.shop.book)


def begin(shop: Shop, answers: Sequence[RecipeAnswer]) -> Kitchen:
    """Make every recipe that has an answer.

    Raises:
        ValueError: an answer is not what the shop's files say now (trials or changes stand in it).
    """
    kitchen = Kitchen(shop, {}, {answer.recipe: answer for answer in answers if answer.parts})
    for key, answer in kitchen.answers.items():
        brew = shop.brew(key, size=answer.size)
        kitchen.brews[key] = brew
        told = [step.out_g for part in answer.parts for step in part.steps]
        told += [figure for one in answer.filled for figure in (one.count, one.fill_ml)]
        made = [float(step.out_g[0]) for part in brew.parts for step in part.steps]
        made += [float(figure[0]) for one in brew.filled for figure in (one.count, one.ml)]
        if len(told) != len(made) or any(abs(a - b) > 1e-6 * max(1.0, b) for a, b in zip(told, made, strict=True)):
            raise ValueError(f"{key}: a living workbook takes a recipe as it is written, without trials or changes")
    return kitchen


def follow(kitchen: Kitchen, inputs: Inputs) -> tuple[dict[str, Facts], Paper, Shared]:
    """Follow every recipe by formulas.

    Args:
        kitchen: the recipes.
        inputs: the inputs written so far: prices, packs, usable shares.

    Returns:
        Recipe to facts; the rows of the sheet Workings; the inputs of the kitchen.

    Raises:
        ValueError: what the formulas come to is not what the engine says.
    """
    model = kitchen.shop.model
    away = "its recipe has no sheet here"
    locked: dict[str, str] = {}
    named: dict[str, str] = {}
    while True:
        shared = Shared(model, kitchen.shop.pantry, inputs.names, locked, mentioned(model), frozenset(kitchen.brews))
        shared.named, shared.away = named, away
        paper = Paper(FIRST_ROW)
        try:
            found = _follow(kitchen, inputs, shared, paper)
        except NeedsEngineError as refused:
            locked |= dict.fromkeys(refused.needs, refused.why)
            continue
        return found, paper, shared


def _follow(kitchen: Kitchen, inputs: Inputs, shared: Shared, paper: Paper) -> dict[str, Facts]:
    cook = Cook(shared, kitchen.purchasing, *_prices(kitchen, inputs, paper))
    model = kitchen.shop.model
    family = Family(model)
    made: dict[str, Made] = {}
    for key in sorted(kitchen.brews, key=family.depth):
        size = kitchen.answers[key].size
        # A batch of a base of another size is none that flavours are made of.
        own = family.below(key)
        bases = {name: made[name] for name in own if name in made and kitchen.answers[name].size == 1.0}
        made[key] = _locked_alone(cook, model.recipes[key], size, paper, family.fine(key), bases)
        _same(made[key], kitchen.brews[key])
    return {key: _facts(kitchen, cook, made[key], paper) for key in kitchen.brews}


def _locked_alone(cook: Cook, recipe: Recipe, size: float, paper: Paper, fine: bool, bases: Mapping[str, Made]) -> Made:
    """Follow a recipe; where only its own inputs need the engine, nothing else has to be followed again."""
    shared, rows = cook.shared, len(paper.rows)
    while True:
        asked = len(shared.inputs)
        try:
            return cook.cook(recipe, size, paper, fine, bases)
        except NeedsEngineError as refused:
            if any(shared.inputs[at].key[0] != recipe.key or len(shared.inputs[at].key) != 4 for at in refused.needs):
                raise
            shared.locked |= dict.fromkeys(refused.needs, refused.why)
            del paper.rows[rows:]
            for at in list(shared.inputs)[asked:]:
                del shared.inputs[at]


# Prices ------------------------------------------------------------------------------------------------------------


def _prices(kitchen: Kitchen, inputs: Inputs, paper: Paper) -> tuple[dict[str, Term], dict[Purchase, Term]]:
    """What a gram of each bought thing costs, and what share of it goes into pots."""
    purchasing, book = kitchen.purchasing, kitchen.shop.book
    per_gram: dict[str, Term] = {}
    usable: dict[Purchase, Term] = {}
    paper.heading("What a gram costs, and what share of it goes into pots")
    for brew in kitchen.brews.values():
        for purchase in brew.used:
            name, share = purchasing.source(purchase[0])
            if name not in per_gram:
                price, pack = inputs.price[name], inputs.pack[name]
                names = [*price.split("*"), pack]
                priced = book.ingredient(name)
                value = priced.per_gram if priced else float("nan")
                text = f'IF(COUNT({",".join(names)})={len(names)},{price}/{pack},"unknown")'
                per_gram[name] = paper.figure(name, "money for a gram as bought", Term(text, value), "money")
            if purchase not in usable:
                known = const(purchasing.share(purchase))
                cell = inputs.usable.get(purchase[0]) if share is None else inputs.share_of.get(purchase[0])
                if (purchase[1] and share is None) or cell is None:
                    usable[purchase] = known
                    continue
                words = "share that goes into pots" if share is None else f"share of {name}"
                text = f'IF(COUNT({cell})=1,IF(AND({cell}>0,{cell}<=1),{cell},"unknown"),"unknown")'
                usable[purchase] = paper.figure(purchase[0], words, Term(text, known.value), "share")
    return per_gram, usable


# What it comes to --------------------------------------------------------------------------------------------------


def _facts(kitchen: Kitchen, cook: Cook, made: Made, paper: Paper) -> Facts:
    key = made.recipe.key
    model, brew, answer = kitchen.shop.model, kitchen.brews[key], kitchen.answers[key]
    if answer.cost is None:
        return Facts(key, made)
    title = made.recipe.title
    paper.heading(f"{title}: what it comes to")

    def kept(thing: str, term: Term, fmt: str = "g") -> Term:
        return term if term.fixed else paper.figure(title, thing, made.guarded(term), fmt)

    kinds = tuple(
        Kind(
            name,
            kept(f"{name}, whole", count, "count"),
            kept(f"{name}, weight of one (g)", grams),
            kept(f"{name}, volume of one (mL)", ml),
            tuple((item, amount.figure.mid) for item, amount in filled.container.made_of.items()),
        )
        for (name, count, grams, ml), filled in zip(made.filled, brew.filled, strict=True)
    )
    first = next(iter(model.wages), "")
    names = [kind.name for kind in kinds]
    units = {}
    for name, channel in model.channels.items():
        place = selling.place(channel, names)
        if place is not None:
            units[name] = (place, _units(channel, kinds[place]))
    holds = cook.shared.input(("container", names[0], "holds"), "", brew.filled[0].container.holds.mid, "volume")
    holds = paper.figure(title, f"{names[0]}, declared (mL)", holds)
    servings = least(holds, kinds[0].ml) / const(kitchen.shop._serving_ml())
    final = made.pot
    return Facts(
        recipe=key,
        made=made,
        streams=tuple(
            Stream(name, kept(f"{name}, bought (g)", bought), kept(f"{name}, used (g)", used))
            for name, bought, used in _streams(cook, made)
        ),
        kinds=kinds,
        minutes=tuple(
            Minutes(
                one.what,
                one.role or first,
                one.key,
                one.minutes,
                one.per,
                kept(f"{one.what}, times", one.times, "count"),
            )
            for one in made.labour
        ),
        credits=tuple(
            Credit(one.name, kept(f"{one.name}, saved (g)", one.grams), kept(f"{one.name}, money", one.money))
            for one in made.saved
        ),
        servings=kept("servings in the first container", servings, "count"),
        units=units,
        overrun=None if final.mix_ml is None else kept("overrun", ratio(final.air, final.mix_ml), "share"),
        mix_density=_density(made, kept),
    )  # fmt: skip


def _streams(cook: Cook, made: Made) -> list[tuple[str, Term, Term]]:
    """Each bought thing: bought and used, g; as :meth:`costing.purchases.Purchasing.bought`."""
    by_source: dict[str, dict[Purchase, Term]] = {}
    for purchase, grams in made.used.items():
        by_source.setdefault(cook.purchasing.source(purchase[0])[0], {})[purchase] = grams
    out = []
    for name, uses in by_source.items():
        alone, shared = ZERO, ZERO
        for purchase, grams in uses.items():
            need = grams / cook.usable[purchase]
            if cook.purchasing.source(purchase[0])[1] is None:
                alone = alone + need
            else:
                shared = most(shared, need)
        out.append((name, alone + shared, total(list(uses.values()))))
    return out


def _units(channel: object, kind: Kind) -> Term:
    """How many units a channel sells out of a container."""
    sold = channel.scoops  # type: ignore[attr-defined]
    if sold is None:
        return ONE
    # A straight line through nothing, by the definition of a scoop's share.
    return kind.grams * const(selling.units(channel, 1.0))  # type: ignore[arg-type]


def _density(made: Made, kept: object) -> Term | None:
    for steps in reversed(list(made.parts.values())):
        churned = [i for i, one in enumerate(steps) if one.step.verb == "churn"]
        if churned and churned[0] > 0:
            before = steps[churned[0] - 1]
            return kept("density of the mix (g/mL)", ratio(before.out_g, before.ml))  # type: ignore[no-any-return, operator]
    return None


# Against the engine ------------------------------------------------------------------------------------------------


def _same(made: Made, brew: Brew) -> None:
    """Insist that the formulas come to what the engine says."""
    pairs: list[tuple[str, float, float]] = []
    for part in brew.parts:
        for one, record in zip(made.parts.get(part.name, ()), part.steps, strict=False):
            if part.recipe != made.recipe.key or record.verb != one.step.verb:
                continue
            at = f"{part.name} {one.number} {record.verb}"
            pairs += [
                (at, one.in_g.value, float(record.in_g[0])),
                (at, one.out_g.value, float(record.out_g[0])),
                (at, one.gone_g.value, float(record.discarded_g[0])),
                (at, one.saved_g.value, float(record.saved_g[0])),
                (at, one.money_out.value, float(record.money_out[0])),
                (at, one.ml.value, float(record.out_ml[0])),
            ]
    pairs += [(purchase[0], made.used[purchase].value, float(grams[0])) for purchase, grams in brew.used.items()]
    for (name, count, grams, ml), filled in zip(made.filled, brew.filled, strict=True):
        pairs += [
            (name, count.value, float(filled.count[0])),
            (name, grams.value, float(filled.grams[0])),
            (name, ml.value, float(filled.ml[0])),
        ]
    told = {one.name: one for one in made.saved}
    for kept in brew.saved:
        pairs += [
            (kept.name, told[kept.name].grams.value, float(kept.pot.grams()[0])),
            (kept.name, told[kept.name].money.value, float(kept.pot.ledger(MONEY)[0])),
        ]
    pairs += [
        (mine.what, mine.minutes * mine.times.value, float(use.seconds[0]) / 60)
        for mine, use in zip(made.labour, brew.labour, strict=True)
    ]
    for what, mine, engine in pairs:
        if mine != mine and engine != engine:  # noqa: PLR0124  both unknown
            continue
        if not abs(mine - engine) <= CLOSE * max(1.0, abs(engine)):
            raise ValueError(
                f"{made.recipe.key}: the formulas say {mine!r} for {what} and the engine {engine!r}; "
                "a workbook without --living has the engine's figures"
            )
