"""What only the engine knows of a batch and formulas take as it is: weights, pieces, minutes, and where money goes.

The money that saved things carry is a fixed share of what each purchase cost, and a constant where the recipe says
what they are worth. The shares are found by making the batch once more with each price in turn moved; then three
batches with all prices moved must agree. Where they do not (a worth that is more than the pot's money), the figure
stays locked.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from costing.desk import Shop
from costing.kitchen.draws import Draws
from costing.kitchen.pot import MONEY
from costing.kitchen.run import run
from costing.purchases import Purchasing
from costing.selling import terms

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from costing.kitchen.brew import Brew
    from costing.prices.book import PriceBook, Priced
    from costing.results import RecipeAnswer
    from costing.shop.models import ShopModel

GUESS = 0.01
"""Money a gram of what has no price, while shares are looked for; they do not depend on it."""
CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class Stream:
    """One bought thing: what was bought of it, g, by how that follows from what went into pots.

    Args:
        name: the ingredient.
        whole_g: bought as it is used.
        net_g: went into pots of what is bought by its usable share; divide by that share.
        shared_g: bought for what comes out of it.
        usable: the usable share, 0 to 1; None where it does not matter.
    """

    name: str
    whole_g: float
    net_g: float
    shared_g: float
    usable: float | None

    @property
    def mixed(self) -> bool:
        """Whether it is bought in more than one of these ways at once."""
        return sum(grams > 0 for grams in (self.whole_g, self.net_g, self.shared_g)) > 1


@dataclass(frozen=True, slots=True)
class Credit:
    """What a saved thing carries.

    Args:
        name: of the saved thing.
        constant: money whatever the prices are.
        shares: ingredient to the share of its cost; None where the figure is locked.
    """

    name: str
    constant: float
    shares: Mapping[str, float] | None


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of container: how many, volume of one in mL, and its packaging (item, pieces in each)."""

    name: str
    count: float
    ml: float
    made_of: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Minutes:
    """A time of labour: what, whose, minutes for the batch."""

    what: str
    role: str
    minutes: float


@dataclass(frozen=True, slots=True)
class Facts:
    """What the engine says about one flavour."""

    recipe: str
    streams: tuple[Stream, ...]
    kinds: tuple[Kind, ...]
    minutes: tuple[Minutes, ...]
    credits: tuple[Credit, ...]
    servings: float
    units: Mapping[str, tuple[int, float]] = field(default_factory=dict)
    """channel to place of the kind that it sells, and units in one"""


def gather(model: ShopModel, day: date, answers: Sequence[RecipeAnswer]) -> dict[str, Facts]:
    """The facts of every flavour that has a cost.

    Args:
        model: the shop.
        day: the day of the prices.
        answers: everything about each recipe.

    Raises:
        ValueError: an answer is not what the shop's files say now (trials or changes stand in it).
    """
    shop = Shop(model, (), day)
    return {answer.recipe: _of(shop, answer) for answer in answers if answer.cost is not None}


def _of(shop: Shop, answer: RecipeAnswer) -> Facts:
    brew = shop.brew(answer.recipe, size=answer.size)
    assert answer.cost is not None
    purchasing = Purchasing(shop.pantry, shop.book)
    told = [one.bought_g or 0.0 for one in answer.cost.lines if one.kind == "ingredient"]
    told += [figure for one in answer.filled for figure in (one.count, one.fill_ml)]
    bought = purchasing.bought(brew.used)
    made = [float(one.bought_g[0]) for one in bought]
    made += [float(figure[0]) for one in brew.filled for figure in (one.count, one.ml)]
    if len(told) != len(made) or any(abs(a - b) > 1e-6 * max(1.0, b) for a, b in zip(told, made, strict=True)):
        raise ValueError(
            f"{answer.recipe}: a living workbook takes a recipe as it is written, without trials or changes"
        )
    first = next(iter(shop.model.wages), "")
    kinds = tuple(
        Kind(
            f.container.name,
            float(f.count[0]),
            float(f.ml[0]),
            tuple((item, amount.figure.mid) for item, amount in f.container.made_of.items()),
        )
        for f in brew.filled
    )
    names = [kind.name for kind in kinds]
    units = {}
    for name, channel in shop.model.channels.items():
        place = terms.place(channel, names)
        if place is not None:
            units[name] = (place, float(terms.units(channel, float(brew.filled[place].grams[0]))))
    one = brew.filled[0]
    return Facts(
        recipe=answer.recipe,
        streams=tuple(_stream(brew, purchasing, thing.name) for thing in bought),
        kinds=kinds,
        minutes=tuple(Minutes(use.what, use.role or first, float(use.seconds[0]) / 60) for use in brew.labour),
        credits=_credits(shop, brew, [thing.name for thing in bought]),
        servings=min(float(one.container.holds.mid), float(one.ml[0])) / shop._serving_ml(),
        units=units,
    )


def _stream(brew: Brew, purchasing: Purchasing, name: str) -> Stream:
    whole = net = shared = 0.0
    usable: float | None = None
    for purchase, used in brew.used.items():
        source, share = purchasing.source(purchase[0])
        if source != name:
            continue
        grams = float(used[0])
        if share is not None:
            shared = max(shared, grams / share)
        elif purchase[1]:
            whole += grams
        else:
            net += grams
            usable = purchasing.share(purchase)
    return Stream(name, whole, net, shared, usable)


class _Moved:
    """A price book with the price of a gram of each thing multiplied."""

    def __init__(self, book: PriceBook, factors: Mapping[str, float]) -> None:
        self._book = book
        self._factors = factors

    def per_gram(self, name: str) -> float:
        priced = self._book.ingredient(name)
        return (priced.per_gram or GUESS if priced else GUESS) * self._factors.get(name, 1.0)

    def ingredient(self, name: str) -> Priced:
        from costing.prices.book import Priced

        price = self.per_gram(name)
        priced = self._book.ingredient(name) or Priced(name, "", name, "", 1.0, price, "", None, "", price, price)
        return replace(priced, per_gram=price)


def _credits(shop: Shop, brew: Brew, names: Sequence[str]) -> tuple[Credit, ...]:
    if not brew.saved:
        return ()

    def carried(factors: Mapping[str, float]) -> list[float]:
        moved = Purchasing(shop.pantry, _Moved(shop.book, factors))  # type: ignore[arg-type]
        made = run(brew.recipe, shop.model, shop.pantry, moved.pricing, Draws(), size=brew.size)
        return [float(one.pot.ledger(MONEY)[0]) for one in made.saved]

    plain = _Moved(shop.book, {})
    costs = {
        one.name: float(one.bought_g[0]) * plain.per_gram(one.name)
        for one in Purchasing(shop.pantry, shop.book).bought(brew.used)
    }
    base = carried({})
    shares: list[dict[str, float]] = [{} for _ in base]
    for name in names:
        if costs[name] <= 0:
            continue
        for at, money in enumerate(carried({name: 1.5})):
            share = (money - base[at]) / (0.5 * costs[name])
            if abs(share) > 1e-13:
                shares[at][name] = share
    constants = [money - sum(s * costs[n] for n, s in shares[at].items()) for at, money in enumerate(base)]
    holds = [True] * len(base)
    dice = random.Random(brew.recipe.key)
    for _ in range(3):
        factors = {name: dice.uniform(0.5, 2.0) for name in names}
        for at, money in enumerate(carried(factors)):
            told = constants[at] + sum(s * costs[n] * factors[n] for n, s in shares[at].items())
            holds[at] = holds[at] and abs(told - money) <= CLOSE * max(1.0, abs(money))
    return tuple(
        Credit(one.name, constants[at] if holds[at] else base[at], shares[at] if holds[at] else None)
        for at, one in enumerate(brew.saved)
    )
