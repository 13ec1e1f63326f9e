"""What a container costs as a straight line in prices: one batch in the kitchen, any number of price lists.

Weights never depend on prices, so a recipe is made once and its purchases, packaging, labour and shares are kept. What
is saved for later takes money along, and how much of each purchase that is has to be asked in the kitchen: the batch is
made with one column for each purchase, in which that one costs something and all others nothing. Every verb moves money
in proportion to what is there, so the columns add up.

One thing is not a straight line: a saved part that carries what somebody said it is worth, but never more than there
is. What goes into the pot of such a part is *bent*: while its prices stay as they were, cost is a straight line in all
others; when one of them changes, the recipe is made again (:func:`costs_at`).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, cast

import numpy as np

from costing.kitchen.draws import Draws
from costing.kitchen.pot import MONEY
from costing.kitchen.run import run
from costing.prices.book import PriceBook, Priced
from costing.purchases import Purchasing
from costing.whatif import figures

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from costing.desk import Shop
    from costing.kitchen.brew import Brew
    from costing.shop.models import ShopModel

    Floats = NDArray[np.float64]

UNIT = 1e-3
"""What a gram costs in the column of its own; of the size of real prices, for the kitchen's check of its balance."""


class Columns(Draws):
    """Plain answers side by side, which differ in nothing but prices."""

    @property
    def plain(self) -> bool:
        """Ranges stand at their middle, and what cannot be is an error."""
        return True


class _Book(PriceBook):
    """Prices with a column for each answer."""

    def __init__(self, model: ShopModel, book: PriceBook, prices: Mapping[str, Floats]) -> None:
        super().__init__(replace(model, prices=()), book.as_of)
        self._prices = prices

    def ingredient(self, name: str) -> Priced | None:
        """The price of a gram in every column; free where nobody asked for it."""
        per_gram = self._prices.get(name)
        # The kitchen multiplies with it, and an array of columns multiplies as well as a number.
        price = cast("float", 0.0 if per_gram is None else per_gram)
        return Priced(name, "", name, "", 1.0, 0.0, "", None, "", price, price)


@dataclass(frozen=True, slots=True)
class Prices:
    """What is paid on a day, in the shop's currency.

    Args:
        gram: bought ingredient to the price of a gram; ``nan`` where there is none.
        piece: packaging to the price of a piece; ``nan`` where there is none.
    """

    gram: Mapping[str, float]
    piece: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of container that a batch fills.

    Args:
        container: its name.
        count: how many.
        grams: what one takes, g.
        share: of what all containers share, the part that falls on one of these.
        pieces: packaging to pieces for one.
    """

    container: str
    count: float
    grams: float
    share: float
    pieces: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Tally:
    """What goes into a batch, and how it falls on containers.

    Args:
        recipe: its key.
        kinds: containers, the first kind first.
        grams: bought ingredient to weight bought, g.
        kept: bought ingredient to the weight (g) whose money what is saved takes along.
        hours: role to working time, h; the empty name is the shop's first role.
        bent: bought ingredients in whose prices cost is no straight line.
        anchor: bought ingredient to the price of a gram from which ``kept`` counts.
        anchored: money that what is saved takes along at these prices.
    """

    recipe: str
    kinds: tuple[Kind, ...]
    grams: Mapping[str, float]
    kept: Mapping[str, float]
    hours: Mapping[str, float]
    bent: frozenset[str]
    anchor: Mapping[str, float]
    anchored: float

    def follows(self, prices: Prices) -> bool:
        """Whether the straight line goes through these prices."""
        return all(prices.gram[name] == self.anchor[name] for name in self.bent)

    def left(self, prices: Prices) -> float:
        """Money of a batch for what is bought, less what is saved of it, where :meth:`follows`."""
        saved = sum(grams * (prices.gram[name] - self.anchor[name]) for name, grams in self.kept.items())
        return sum(grams * prices.gram[name] for name, grams in self.grams.items()) - saved - self.anchored

    def slope(self, name: str, kind: int = 0) -> float:
        """What a container costs more when a gram of something costs one unit of money more.

        Args:
            name: a bought ingredient that is not bent.
            kind: which container, by place.
        """
        one = self.kinds[kind]
        return one.share * (self.grams.get(name, 0.0) - self.kept.get(name, 0.0))

    def labour(self, model: ShopModel) -> float:
        """Wages of a batch."""
        first = next(iter(model.wages), "")
        return sum(hours * model.wages.get(role or first, float("nan")) for role, hours in self.hours.items())

    def cost(self, prices: Prices, model: ShopModel, kind: int = 0, left: float | None = None) -> float:
        """What a container costs.

        Args:
            prices: what is paid.
            model: wages and overhead.
            kind: which container, by place.
            left: money of a batch for what is bought, less what is saved of it; None: as :meth:`left` has it.

        Returns:
            Money in the shop's currency; ``nan`` where a price is missing.
        """
        one = self.kinds[kind]
        labour = self.labour(model)
        overhead = model.overhead.per_batch + model.overhead.of_labour.mid * labour
        shared = (self.left(prices) if left is None else left) + labour + overhead
        return one.share * shared + sum(prices.piece[name] * many for name, many in one.pieces.items())


def tally(shop: Shop, key: str) -> Tally | None:
    """Make a recipe once and keep what its cost depends on.

    Args:
        shop: the shop.
        key: the recipe.

    Returns:
        Its tally; None for a house base, which fills no container.

    Raises:
        KitchenError: the recipe cannot be made.
    """
    names = sources(shop, key)
    crooked = bent(shop, key)
    anchor = {name: per_gram(shop.book, name) if crooked else 0.0 for name in names}
    # A column for each purchase alone, and the last with all of them at what they cost.
    columns = {name: np.zeros(len(names) + 1) for name in names}
    for i, name in enumerate(names):
        columns[name][i] = UNIT
        columns[name][-1] = anchor[name]
    brew, bought = made_at(shop, key, columns, len(names) + 1)
    if not brew.filled:
        return None
    saved = sum((one.pot.ledger(MONEY) for one in brew.saved), np.zeros(len(names) + 1))
    hours: dict[str, float] = {}
    for use in brew.labour:
        hours[use.role or ""] = hours.get(use.role or "", 0.0) + float(use.seconds[0]) / 3600.0
    return Tally(
        recipe=key,
        kinds=_kinds(brew),
        grams=bought,
        kept={name: float(saved[i]) / UNIT for i, name in enumerate(names) if name not in crooked},
        hours=hours,
        bent=crooked,
        anchor=anchor,
        anchored=float(saved[-1]),
    )


def made_at(shop: Shop, key: str, prices: Mapping[str, Floats], columns: int) -> tuple[Brew, dict[str, float]]:
    """Make a recipe at several prices at once.

    Args:
        shop: the shop.
        key: the recipe.
        prices: bought ingredient to the price of a gram in each column; others are free.
        columns: how many.

    Returns:
        The batch, and bought ingredient to weight bought, g.

    Raises:
        KitchenError: the recipe cannot be made.
    """
    book = _Book(shop.model, shop.book, prices)
    purchasing = Purchasing(shop.pantry, book)
    brew = run(shop.model.recipes[key], shop.model, shop.pantry, purchasing.pricing, Columns(columns))
    bought = {one.name: float(one.bought_g[0]) for one in purchasing.bought(brew.used)}
    return brew, bought


def costs_at(shop: Shop, one: Tally, prices: Mapping[str, Floats], columns: int) -> Floats:
    """What is bought for a batch less what is saved of it, in every column, made in the kitchen again.

    Args:
        shop: the shop.
        one: the recipe's tally.
        prices: bought ingredient to the price of a gram in each column.
        columns: how many.

    Returns:
        Money of the batch, ``(columns,)``.
    """
    brew, _ = made_at(shop, one.recipe, prices, columns)
    saved = sum((kept.pot.ledger(MONEY) for kept in brew.saved), np.zeros(columns))
    bought = sum((prices[name] * grams for name, grams in one.grams.items()), np.zeros(columns))
    return bought - saved


def sources(shop: Shop, key: str) -> tuple[str, ...]:
    """Everything that is bought for a recipe and its house bases."""
    purchasing = Purchasing(shop.pantry, shop.book)
    found: dict[str, None] = {}
    for recipe in figures.family(shop.model, key):
        for part in recipe.parts:
            for step in part.steps:
                if step.verb in ("add", "fold"):
                    found |= {purchasing.source(name)[0]: None for name in step.things if name in shop.pantry}
    return tuple(found)


def paid(book: PriceBook, tallies: list[Tally]) -> Prices:
    """What is paid for everything that some recipes need.

    Args:
        book: the prices of a day.
        tallies: of the recipes.
    """
    grams = dict.fromkeys(name for one in tallies for name in one.grams)
    pieces = dict.fromkeys(name for one in tallies for kind in one.kinds for name in kind.pieces)
    return Prices({name: per_gram(book, name) for name in grams}, {name: book.each(name) for name in pieces})


def per_gram(book: PriceBook, name: str) -> float:
    """Money for a bought gram; ``nan`` where there is no usable price."""
    price = book.ingredient(name)
    return price.per_gram if price else float("nan")


def _kinds(brew: Brew) -> tuple[Kind, ...]:
    volumes = [float(one.count[0] * one.ml[0]) for one in brew.filled]
    whole = sum(volumes)
    found = []
    for one, ml in zip(brew.filled, volumes, strict=True):
        count = float(one.count[0])
        pieces = {name: amount.figure.mid for name, amount in one.container.made_of.items()} if count else {}
        share = ml / whole / count if count and whole else math.nan
        found.append(Kind(one.container.name, count, float(one.grams[0]), share, pieces))
    return tuple(found)


def bent(shop: Shop, key: str) -> frozenset[str]:
    """What is bought for the pots out of which something is saved at what it is said to be worth.

    A saved part that is worth nothing at all is a straight line too.
    """
    purchasing = Purchasing(shop.pantry, shop.book)
    found: frozenset[str] = frozenset()
    inside: dict[str, frozenset[str]] = {}
    family = figures.family(shop.model, key)
    # A base may be used by another base that was found before it; after as many rounds as recipes all is told.
    for recipe in reversed(family * len(family)):
        for part in recipe.parts:
            names = {name for step in part.steps for name in (getattr(step, "things", None) or ())}
            made = [inside[name] for name in names if name in inside]
            own = [name for name in names if name not in inside and name in shop.pantry]
            holds = frozenset(purchasing.source(name)[0] for name in own).union(*made)
            inside[part.name] = holds
            kept: list[str] = [name for step in part.steps if (name := getattr(step, "save", None))]
            inside |= dict.fromkeys(kept, holds)
            if any((getattr(step, "worth", None) or 0.0) > 0.0 for step in part.steps):
                found |= holds
        if recipe.makes:
            inside[recipe.makes] = inside[recipe.parts[-1].name]
    return found
