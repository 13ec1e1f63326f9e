"""What other prices do to every flavour: cost before and after, which purchase did it, which target is missed now.

Every recipe is made once (:mod:`costing.whatif.tally`); prices of two days or two lists are laid over that. What each
purchase adds is its change in price times what a container needs of it, so these add up to the difference. Where a
saved part carries what somebody said it is worth, cost is no straight line; prices are then changed one after the
other, once in order and once backwards, and a purchase adds the mean of both, which adds up as well.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from costing import endings, margin
from costing.findings import Finding, ShopError
from costing.kitchen.bench import KitchenError
from costing.prices.book import PriceBook
from costing.selling import terms
from costing.shop.building import nearest
from costing.whatif import tally as tallies
from costing.whatif.tally import Prices, Tally

if TYPE_CHECKING:
    from collections.abc import Sequence
    from decimal import Decimal

    from numpy.typing import NDArray

    from costing.desk import Shop
    from costing.shop.models import Channel, PriceRow, Recipe, ShopModel

    Floats = NDArray[np.float64]

SMALL = 1e-12
"""money below which a difference is float noise"""


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one purchase adds to the cost of a container.

    Args:
        name: the ingredient or piece of packaging.
        kind: ``ingredient`` or ``packaging``.
        adds: money a container; below zero it takes off.
        before: price of a kilogram or a piece, in the shop's currency.
        after: the same now.
        supplier_before: who sold it.
        supplier: who sells it now.
    """

    name: str
    kind: str
    adds: float
    before: float
    after: float
    supplier_before: str
    supplier: str


@dataclass(frozen=True, slots=True)
class Target:
    """What a channel's target margin says before and after.

    Args:
        channel: its name.
        price: as it is written in the shop's files.
        target_pct: the margin wanted, 0 to 100 of the price.
        before_pct: the margin before; None where it is not known.
        after_pct: the margin now.
        falls_below: it was met before and is not now.
        price_for_target: what must be written so that it is met, unrounded; None where no price is high enough.
        new_price: the next price up that has one of the shop's price endings.
    """

    channel: str
    price: float
    target_pct: float
    before_pct: float | None
    after_pct: float | None
    falls_below: bool
    price_for_target: float | None
    new_price: Decimal | None

    @property
    def met(self) -> bool:
        """Whether the target is met now."""
        return reached(self.after_pct, self.target_pct)


@dataclass(frozen=True, slots=True)
class Effect:
    """What other prices do to one flavour.

    Args:
        recipe: its key.
        title: its title.
        container: what the costs are of.
        before: cost of a container before; None where a price is missing.
        after: the same now.
        contributions: purchases whose price changed, the largest effect first.
        targets: every channel that has a target.
    """

    recipe: str
    title: str
    container: str
    before: float | None
    after: float | None
    contributions: tuple[Contribution, ...]
    targets: tuple[Target, ...]

    @property
    def difference(self) -> float | None:
        """What a container costs more now."""
        return None if self.before is None or self.after is None else self.after - self.before


def reached(margin_pct: float | None, target_pct: float) -> bool:
    """Whether a margin meets a target; float noise does not decide.

    >>> reached(55.0 - 1e-12, 55.0), reached(54.9, 55.0), reached(None, 55.0)
    (True, False, False)
    """
    return margin_pct is not None and round(margin_pct, 9) >= round(target_pct, 9)


def effects(
    shop: Shop, before: PriceBook, after: PriceBook | None = None, keys: Sequence[str] = ()
) -> tuple[tuple[Effect, ...], tuple[Finding, ...]]:
    """What other prices do to flavours.

    Args:
        shop: the shop.
        before: the prices before (:func:`book_on`, :func:`books_of`).
        after: the prices now; None: the shop's.
        keys: recipes; none means all.

    Returns:
        The flavours that fill containers, and findings: prices that are missing, recipes that cannot be made.
    """
    after = after or shop.book
    findings: list[Finding] = []
    made: list[Tally] = []
    for key in keys or shop.model.recipes:
        try:
            one = tallies.tally(shop, key)
        except KitchenError as problem:
            findings.append(problem.finding)
            continue
        if one is not None:
            made.append(one)
        elif keys:
            what = f"{key} fills no container, so its price shows only in the flavours that use it"
            findings.append(Finding("note", shop.model.recipes[key].where, what))
    old, new = tallies.paid(before, made), tallies.paid(after, made)
    cones = [item for one in shop.model.channels.values() if one.scoops and made for item in one.scoops.cone]
    missing: dict[str, list[str]] = {}
    for prices, book, which in ((old, before, "before"), (new, after, "now")):
        known = (*prices.gram.items(), *prices.piece.items(), *((name, book.each(name)) for name in cones))
        for name in dict.fromkeys(name for name, price in known if math.isnan(price)):
            missing.setdefault(name, []).append(which)
    for name, when in missing.items():
        what = f"{name} has no usable price {' or '.join(when)}"
        findings.append(Finding("warning", "prices", what, "what it goes into is not known; add a price of that time"))
    return tuple(effect(shop, one, before, after, old, new) for one in made), tuple(findings)


def effect(shop: Shop, one: Tally, before: PriceBook, after: PriceBook, old: Prices, new: Prices) -> Effect:
    """What other prices do to one flavour.

    Args:
        shop: the shop.
        one: the flavour's tally.
        before: the prices before.
        after: the prices now.
        old: what is paid before, from ``before``.
        new: what is paid now, from ``after``.
    """
    recipe = shop.model.recipes[one.recipe]
    was, now, adds = _costs(shop, one, old, new)
    contributions = [_contribution(name, money, one, before, after) for name, money in adds.items()]
    contributions.sort(key=lambda each: (-abs(each.adds), each.name))
    targets = [
        target
        for channel in shop.model.channels.values()
        if (target := _target(shop.model, channel, recipe, one, (was, now), (before, after))) is not None
    ]
    return Effect(
        recipe=one.recipe,
        title=recipe.title,
        container=one.kinds[0].container,
        before=_known(was[0]),
        after=_known(now[0]),
        contributions=tuple(contributions),
        targets=tuple(targets),
    )


def _costs(shop: Shop, one: Tally, old: Prices, new: Prices) -> tuple[list[float], list[float], dict[str, float]]:
    """Cost of one of every kind of container before and after, and what each purchase adds to one of the first."""
    kinds = range(len(one.kinds))
    was, now = ([one.cost(prices, shop.model, kind) for kind in kinds] for prices in (old, new))
    moves = {name: new.gram[name] - old.gram[name] for name in one.grams}
    pieces = {name: many * (new.piece[name] - old.piece[name]) for name, many in one.kinds[0].pieces.items()}
    adds = dict(pieces)
    for name, move in moves.items():
        # The same thing may be eaten and packed in.
        adds[name] = one.slope(name) * move + adds.get(name, 0.0)
    known = all(math.isfinite(prices.gram[name]) for prices in (old, new) for name in one.grams)
    if not known or (one.follows(old) and one.follows(new)):
        return was, now, {name: money for name, money in adds.items() if abs(money) > SMALL}
    changed = [name for name in one.grams if moves[name] != 0]
    path = _walked(shop, one, old, new, changed)
    n = len(changed)
    was = [one.cost(old, shop.model, kind, float(path[0])) for kind in kinds]
    now = [one.cost(new, shop.model, kind, float(path[n])) for kind in kinds]
    share = one.kinds[0].share
    for i, name in enumerate(changed):
        forwards = path[i + 1] - path[i]
        backwards = path[n + 1 + i] - path[n + 2 + i]
        adds[name] = float(share * (forwards + backwards) / 2) + pieces.get(name, 0.0)
    return was, now, {name: money for name, money in adds.items() if abs(money) > SMALL}


def _walked(shop: Shop, one: Tally, old: Prices, new: Prices, changed: list[str]) -> Floats:
    """Money of the batch while prices change one after the other: in order, then the same from behind.

    The first n + 1 figures have the first 0, 1 ... n of the changed prices, the other n + 1 all but these.
    """
    n = len(changed)
    prices = {name: np.full(2 * n + 2, old.gram[name]) for name in one.grams}
    for i, name in enumerate(changed):
        prices[name][i + 1 : n + 1] = new.gram[name]
        prices[name][n + 1 : n + 2 + i] = new.gram[name]
    return tallies.costs_at(shop, one, prices, 2 * n + 2)


def _contribution(name: str, adds: float, one: Tally, before: PriceBook, after: PriceBook) -> Contribution:
    if name in one.grams:
        was, now = before.ingredient(name), after.ingredient(name)
        assert was is not None
        assert now is not None
        prices = (1000.0 * was.per_gram, 1000.0 * now.per_gram)
        return Contribution(name, "ingredient", adds, *prices, was.supplier, now.supplier)
    old, new = before.item(name), after.item(name)
    assert old is not None
    assert new is not None
    return Contribution(name, "packaging", adds, old.per_each, new.per_each, old.supplier, new.supplier)


def _target(
    model: ShopModel,
    channel: Channel,
    recipe: Recipe,
    one: Tally,
    costs: tuple[list[float], list[float]],
    books: tuple[PriceBook, PriceBook],
) -> Target | None:
    place = terms.place(channel, [kind.container for kind in one.kinds])
    if place is None or channel.target_margin is None:
        return None
    kind = one.kinds[place]
    units = terms.units(channel, kind.grams)
    own = recipe.prices.get(channel.name)
    results = [
        margin.channel(channel, cost[place], round(kind.count), own, terms.of(channel, book.each), units)
        for cost, book in zip(costs, books, strict=True)
    ]
    was, now = (_known(one.margin_pct) for one in results)
    target_pct = 100.0 * channel.target_margin
    wanted = written(channel, results[1].price_for_target, books[1])
    return Target(
        channel=channel.name,
        price=channel.price if own is None else own,
        target_pct=target_pct,
        before_pct=was,
        after_pct=now,
        falls_below=reached(was, target_pct) and now is not None and not reached(now, target_pct),
        price_for_target=wanted,
        new_price=None if wanted is None else endings.up(wanted, model.price_endings, model.currency),
    )


def written(channel: Channel, price: float | None, book: PriceBook) -> float | None:
    """The price as the owner writes it (on the shelf, say) for what the maker must get.

    Args:
        channel: the channel.
        price: what the maker must get; None where none is high enough.
        book: for what goes out with a scoop.
    """
    price = _known(price)
    kept = terms.of(channel, book.each).kept
    return None if price is None or kept <= 0 else price / kept


def _known(value: float | None) -> float | None:
    return None if value is None or not np.isfinite(value) else float(value)


# Two days, two lists ----------------------------------------------------------------------------------------------


def book_on(shop: Shop, day: date) -> PriceBook:
    """The prices of another day.

    Args:
        shop: the shop.
        day: on or before the shop's day.

    Raises:
        ShopError: the day lies after the shop's, or no list is that old.
    """
    if day > shop.day:
        mend = f"give an earlier day, or ask with --as-of {day.isoformat()}"
        raise ShopError((Finding("error", "--since", f"{day} lies after {shop.day}, the day asked about", mend),))
    first = min((row.date for row in shop.model.prices), default=None)
    if first is not None and first > day:
        what = f"no price list is as old as {day.isoformat()}; the first is of {first.isoformat()}"
        raise ShopError((Finding("error", "--since", what, f"write --since {first.isoformat()}"),))
    return PriceBook(shop.model, day)


def books_of(shop: Shop, first: str, second: str) -> tuple[PriceBook, PriceBook]:
    """The prices with one list, and with another in its place.

    Each list counts as if it had come today. All other lists stay, but the first list's suppliers no longer sell what
    the second list has. Before, the second list is not there, but for what no other list has.

    Args:
        shop: the shop.
        first: the list before, by its file name in ``prices``.
        second: the list after.

    Returns:
        Prices before and after, on the shop's day.

    Raises:
        ShopError: there is no such list.
    """
    names = _lists(shop.model)
    one, two = (_list(names, name) for name in (first, second))
    if one == two:
        raise ShopError((Finding("error", "--between", f"both lists are {one}", "name two of them"),))
    rows = shop.model.prices
    of_one, of_two = (tuple(row for row in rows if _file(row) == name) for name in (one, two))
    # What nobody else ever listed cannot have had another price before.
    others = {row.ingredient for row in rows if _file(row) != two and row.date <= shop.day}
    rest = [row for row in rows if _file(row) != two or row.ingredient not in others]
    before = _in_force(rest, of_one, of_one, shop.day)
    after = _in_force(list(rows), of_two, (*of_one, *of_two), shop.day)
    return (
        PriceBook(replace(shop.model, prices=before), shop.day),
        PriceBook(replace(shop.model, prices=after), shop.day),
    )


def _in_force(
    rows: list[PriceRow], listed: tuple[PriceRow, ...], gone: tuple[PriceRow, ...], day: date
) -> tuple[PriceRow, ...]:
    """All rows with those of a list as today's; the suppliers in ``gone`` sell what it has in no other way."""
    suppliers = {row.supplier for row in gone}
    things = {row.ingredient for row in listed}
    rest = [row for row in rows if not (row.supplier in suppliers and row.ingredient in things)]
    return (*rest, *(row.model_copy(update={"date": day}) for row in listed))


def _file(row: PriceRow) -> str:
    return row.where.rpartition(":")[0].rpartition("/")[2]


def _lists(model: ShopModel) -> tuple[str, ...]:
    return tuple(dict.fromkeys(_file(row) for row in model.prices))


def _list(names: Sequence[str], name: str) -> str:
    bare = name.replace("\\", "/").rpartition("/")[2]
    for one in names:
        if bare in (one, one.rpartition(".")[0]):
            return one
    mend = nearest(bare, names, f"there is: {', '.join(names[-6:])}" if names else "the shop has none")
    raise ShopError((Finding("error", "--between", f"there is no price list called '{bare}'", mend),))
