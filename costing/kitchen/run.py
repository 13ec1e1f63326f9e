"""Runs a recipe through the kitchen, step by step, and checks the balance after every one.

Weights never depend on money, but money can depend on weights that are known only at the end: what two ingredients out
of one purchase need of it, and what is used of a part whose rest is thrown away. Such a recipe runs twice.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from costing.findings import Finding
from costing.kitchen.balance import record
from costing.kitchen.bench import SLACK, Bench, GramPrice, KitchenError, Outcome, Stock
from costing.kitchen.brew import Brew, LabourUse, PartRecord, Saved, StepPots, StepRecord
from costing.kitchen.constants import constant
from costing.kitchen.density import millilitres
from costing.kitchen.fill import REST
from costing.kitchen.money import discard
from costing.kitchen.pot import MONEY, VALUE
from costing.kitchen.verbs import FREE, VERBS
from costing.kitchen.weigh import check_weighable, settle
from costing.shop.steps import Weigh

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from numpy.typing import NDArray

    from costing.kitchen.bench import FilledPots, Purchase, Use
    from costing.kitchen.draws import Draws
    from costing.kitchen.materials import Material
    from costing.kitchen.pot import Pot
    from costing.shop.models import Part, Recipe, ShopModel
    from costing.shop.steps import AnyStep, Step

    Floats = NDArray[np.float64]
    Scales = Mapping[tuple[str, str], Floats]
    Measured = Mapping[tuple[str, str, int], Floats]
    Pricing = Callable[[Mapping[Purchase, Floats]], Mapping[Purchase, GramPrice]]

NOTHING: Measured = MappingProxyType({})
"""No trials."""


@dataclass(slots=True)
class _Kitchen:
    """Everything that one pass needs to know."""

    shop: ShopModel
    materials: Mapping[str, Material]
    prices: Mapping[Purchase, GramPrice]
    draws: Draws
    scales: Scales
    size: float
    measured: Measured


@dataclass(slots=True)
class _Pass:
    """One recipe, once through its steps."""

    recipe: Recipe
    bench: Bench
    records: dict[str, list[StepRecord]] = field(default_factory=dict)
    pots: dict[str, Pot] = field(default_factory=dict)
    saved_in: dict[str, str] = field(default_factory=dict)
    labour: list[tuple[Step, str]] = field(default_factory=list)
    filled: tuple[FilledPots, ...] = ()
    runs: Floats | None = None
    bases: dict[str, _Pass] = field(default_factory=dict)

    @property
    def last(self) -> Part:
        return self.recipe.parts[-1]


def run(
    recipe: Recipe,
    shop: ShopModel,
    materials: Mapping[str, Material],
    pricing: Pricing,
    draws: Draws,
    *,
    size: float = 1.0,
    measured: Measured = NOTHING,
) -> Brew:
    """Make a batch of a recipe.

    Args:
        recipe: the recipe.
        shop: its shop.
        materials: ingredient to material.
        pricing: from the weights used of each purchase (empty: not known yet) to what a gram of each brings along.
        draws: the draws.
        size: by what every written weight, volume and count is multiplied.
        measured: (recipe, part, number of the step) to the weight after over the weight before it, ``(draws,)``, that
            trials found; it stands in for the figure that the recipe assumes.

    Returns:
        The batch.

    Raises:
        KitchenError: a step that cannot be done.
    """
    first = _pass(recipe, _Kitchen(shop, materials, pricing({}), draws, {}, size, measured))
    used = _purchases(first)
    prices, before = pricing(used), pricing({})
    scales = {key: 1.0 / np.maximum(used, SLACK) for key, used in _thrown(first).items()}
    if not scales and all(np.array_equal(prices[key].carried, before[key].carried, equal_nan=True) for key in used):
        return _brew(first)
    return _brew(_pass(recipe, _Kitchen(shop, materials, prices, draws, scales, size, measured)))


def _thrown(done: _Pass) -> dict[tuple[str, str], Floats]:
    """The used share of every part whose rest is thrown away and whose money its users must take over."""
    out = {
        (done.recipe.key, stock.name): stock.used
        for stock in done.bench.stocks.values()
        if stock.rest == "discard" and stock.limited and (stock.used < 1 - SLACK).any()
    }
    for base in done.bases.values():
        out |= _thrown(base)
    return out


def _purchases(done: _Pass) -> dict[Purchase, Floats]:
    used = dict(done.bench.used)
    for name, base in done.bases.items():
        share = done.bench.stocks[name].used
        for purchase, grams in _purchases(base).items():
            used[purchase] = used.get(purchase, 0.0) + grams * share
    return used


# One pass ----------------------------------------------------------------------------------------------------------


def _pass(recipe: Recipe, kitchen: _Kitchen, *, nested: bool = False) -> _Pass:
    shop = kitchen.shop
    # A house base is made at its own size; a larger batch takes more of it.
    size = 1.0 if nested else kitchen.size
    bench = Bench(kitchen.draws, kitchen.materials, kitchen.prices, shop.machines, shop.containers, size)
    done = _Pass(recipe, bench)
    for name, base in _bases(recipe, shop).items():
        below = _pass(base, kitchen, nested=True)
        bench.findings.extend(below.bench.findings)
        done.bases[name] = below
        bench.stocks[name] = Stock(
            name,
            base.key,
            below.pots[below.last.name],
            below.last.label,
            False,
            "save",
            kitchen.draws.full(0.0),
            base.where,
        )
    for part in recipe.parts:
        _part(part, done, kitchen)
    return done


def _bases(recipe: Recipe, shop: ShopModel) -> dict[str, Recipe]:
    """House bases that the recipe names, by the name of what they make."""
    made = {other.makes: other for other in shop.recipes.values() if other.makes and other.key != recipe.key}
    own = {part.name for part in recipe.parts}
    wanted: dict[str, Recipe] = {}
    for part in recipe.parts:
        for step in part.steps:
            if step.verb in ("add", "fold"):
                wanted |= {name: made[name] for name in step.things if name in made and name not in own}
    return wanted


def _part(part: Part, done: _Pass, kitchen: _Kitchen) -> None:
    bench = done.bench
    bench.part = part.name
    bench.trimmed = frozenset(name for step in part.steps if step.verb == "trim" for name in step.things)
    pot = bench.empty()
    records = done.records[part.name] = []
    for number, step in enumerate(part.steps, start=1):
        bench.step = step
        if step.labour is not None:
            done.labour.append((step, part.name))
        outcome, words = _done(step, number, part, pot, done, kitchen)
        records.append(record(number, step, pot, outcome, bench, words))
        _shelve(outcome, step, done)
        pot = outcome.pot
        if outcome.filled:
            done.filled = outcome.filled
        if outcome.runs is not None:
            bench.runs = bench.runs + outcome.runs
    bench.step = None
    done.runs = sum((r.runs for rs in done.records.values() for r in rs if r.runs is not None), bench.draws.full(0.0))
    done.pots[part.name] = pot
    if part is not done.last:
        _keep(part.name, pot, part.label, part.rest, part.where, done, kitchen)


def _done(step: AnyStep, number: int, part: Part, pot: Pot, done: _Pass, kitchen: _Kitchen) -> tuple[Outcome, str]:
    """Do a step; what is weighed after it, or was in trials, settles its free figure at once."""
    bench = done.bench
    if step.verb == "weigh":
        check_weighable(_neighbour(part.steps[: number - 1][::-1]), bench)
        return Outcome(pot), ""
    scale = _neighbour(part.steps[number:])
    if step.verb in FREE and isinstance(scale, Weigh):
        bench.step = scale
        return settle(bench.sized(scale.weight), step, pot, bench)
    ratio = kitchen.measured.get((done.recipe.key, part.name, number))
    if ratio is not None:
        return settle(ratio * _weight_before(step, pot), step, pot, bench)
    return VERBS[step.verb](step, pot, bench), ""


def _neighbour(steps: Sequence[AnyStep]) -> AnyStep | None:
    """The first of some steps that does anything."""
    return next((step for step in steps if step.verb != "note"), None)


def _shelve(outcome: Outcome, step: Step, done: _Pass) -> None:
    """Put what a step saved on the shelf, where later steps find it by its name."""
    bench = done.bench
    for name, (pot, label) in outcome.saved.items():
        shelf = f"{REST} of {bench.part}" if step.verb == "fill" else name  # type: ignore[attr-defined]
        done.saved_in[shelf] = bench.part
        bench.stocks[shelf] = Stock(
            shelf,
            done.recipe.key,
            replace(pot, cooled=False),
            label,
            True,
            "save",
            bench.draws.full(0.0),
            step.where,
        )


def _keep(name: str, pot: Pot, label: str | None, rest: str, where: str, done: _Pass, kitchen: _Kitchen) -> None:
    scale = kitchen.scales.get((done.recipe.key, name), 1.0)
    done.bench.stocks[name] = Stock(
        name, done.recipe.key, pot, label, True, rest, done.bench.draws.full(0.0), where, scale
    )


def _weight_before(step: Step, pot: Pot) -> Floats:
    """What a trial weighs before a step: the pot, or what is soaked."""
    if step.verb != "soak":  # type: ignore[attr-defined]
        return pot.grams()
    soaked = pot.called(step.of)  # type: ignore[attr-defined]
    weight: Floats = (pot.weights() * soaked).sum(axis=0)
    return weight


# What it comes to --------------------------------------------------------------------------------------------------


def _brew(done: _Pass) -> Brew:
    bench = done.bench
    final = done.pots[done.last.name]
    saved = _leftovers(done)
    parts: list[PartRecord] = []
    labour: list[LabourUse] = []
    uses: list[Use] = []
    for name, base in done.bases.items():
        below = _brew(base)
        share = bench.stocks[name].used
        saved += [replace(one, pot=one.pot.share(share)) for one in below.saved]
        for part in below.parts:
            steps = tuple(step.times(share) for step in part.steps)
            parts.append(PartRecord(part.name, part.recipe, steps, part.pot.share(share), part.used))
        labour += [replace(use, seconds=use.seconds * share) for use in below.labour]
        uses += [replace(u, grams=u.grams * share, money=u.money * share, value=u.value * share) for u in below.uses]
    for made in done.recipe.parts:
        stock = bench.stocks.get(made.name)
        used = bench.draws.full(1.0) if stock is None else stock.used
        steps = tuple(done.records[made.name])
        parts.append(PartRecord(made.name, done.recipe.key, steps, done.pots[made.name], used))
    count = sum((f.count for f in done.filled), bench.draws.full(0.0))
    runs = done.runs if done.runs is not None else bench.draws.full(0.0)
    for step, part_name in done.labour:
        assert step.labour is not None
        times = {"batch": bench.draws.full(1.0), "run": runs, "container": count}[step.labour.per]
        what = step.name or f"{part_name}: {step.verb}"  # type: ignore[attr-defined]
        labour.append(LabourUse(step.by, what, step.where, bench.draws.of(step.labour.time) * times))
    return Brew(
        done.recipe,
        tuple(parts),
        done.filled,
        final,
        tuple(saved),
        _purchases(done),
        tuple(labour),
        runs,
        (*uses, *bench.uses),
        bench.size,
        tuple(bench.findings),
        bench.draws,
    )


def _leftovers(done: _Pass) -> list[Saved]:
    """What no step used: saved at cost, or thrown away where the part says so; warn where it is much."""
    bench = done.bench
    whole = sum((grams for grams in _purchases(done).values()), bench.draws.full(0.0))
    saved: list[Saved] = []
    for name, stock in bench.stocks.items():
        if not stock.limited:
            continue
        left = np.maximum(1.0 - stock.used, 0.0)
        # A share within float noise of all is all.
        left = np.where(left < SLACK, 0.0, left)
        rest = stock.pot.share(left)
        if not (rest.grams() > 0).any():
            continue
        if stock.rest == "discard":
            if not stock.used.any():
                raise KitchenError(
                    Finding("error", stock.where, f"{name} is made and thrown away unused", "use it, or take it out")
                )
            _throw(name, stock, rest, done)
            continue
        saved.append(Saved(name, done.saved_in.get(name, name), stock.where, rest))
        share = float((rest.grams() / whole).mean())
        if name not in done.saved_in and share > constant("unused share that is a warning"):
            bench.note(
                "warning",
                f"{rest.grams()[0]:,.0f} g of {name} ({100 * left[0]:.0f} % of it) is not used, and saved at its cost",
                "use it, make less, or say rest: discard",
                stock.where,
            )
    return saved


def _throw(name: str, stock: Stock, rest: Pot, done: _Pass) -> None:
    """Write the rest of a part down as thrown away; its users have taken its money over already."""
    used = stock.pot.share(1.0 - np.maximum(1.0 - stock.used, 0.0))
    (used,), gone = discard(rest, [used])
    records = done.records[name]
    records.append(
        StepRecord(
            len(records) + 1,
            "rest",
            "",
            stock.where,
            "what no step used is thrown away",
            stock.pot.grams(),
            used.grams(),
            gone.grams() * 0,
            gone.grams(),
            gone.grams() * 0,
            stock.pot.ledger(MONEY),
            used.ledger(MONEY),
            gone.grams() * 0,
            gone.ledger(VALUE),
            millilitres(used) + used.air,
            pots=StepPots(stock.pot, None, used, gone, ()) if done.bench.draws.plain else None,
        )
    )
