"""What moves the margin most: every price, kitchen figure, wage and overhead moved by the same share, down and up.

One figure moves at a time and all others stay, so the bars say nothing of figures that move together. Whole containers
make steps: a figure that brings one more pint out of a batch shows a jump, and one that does not shows nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from costing.amounts import Amount, Kind, Labour
from costing.findings import Finding, ShopError
from costing.kitchen.bench import KitchenError
from costing.shop.building import nearest
from costing.whatif import figures, sides
from costing.whatif.changes import Change
from costing.whatif.tally import tally

if TYPE_CHECKING:
    from costing.desk import Shop
    from costing.whatif.figures import Place
    from costing.whatif.tally import Tally

SHARE: Final = 0.10
MOST_SHARE: Final = 0.90
QUIET: Final = frozenset({"temperature", "hold", "within"})
"""Figures of heat and time, which cost nothing here."""
SMALL: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Moved:
    """A figure that is moved.

    Args:
        what: in words, with its value.
        kind: ``selling price``, ``price``, ``kitchen``, ``labour``, ``overhead`` or ``fees``.
        target: how ``--if`` names it.
    """

    what: str
    kind: str
    target: str


@dataclass(frozen=True, slots=True)
class Bar:
    """What moving one figure does to the margin of a container.

    Args:
        figure: the figure.
        down: money that the margin gains when the figure falls; None where that cannot be made.
        up: the same when it rises.
    """

    figure: Moved
    down: float | None
    up: float | None

    @property
    def size(self) -> float:
        """The larger of both effects, without its sign."""
        return max(abs(self.down or 0.0), abs(self.up or 0.0))


@dataclass(frozen=True, slots=True)
class Tornado:
    """The bars of a recipe in one channel, the longest first.

    Args:
        recipe: its key.
        title: its title.
        channel: whose margin it is.
        by: the share by which each figure moved, 0 to 1.
        margin: as it is, money a container.
        bars: one for each figure.
    """

    recipe: str
    title: str
    channel: str
    by: float
    margin: float
    bars: tuple[Bar, ...]


def tornado(shop: Shop, key: str, by: float = SHARE, channel: str = "") -> Tornado:
    """Move everything that a recipe's margin depends on, one after the other.

    Args:
        shop: the shop.
        key: the recipe.
        by: the share, above 0 and at most 0.9.
        channel: whose margin; the first that sells the recipe if empty.

    Raises:
        ShopError: the recipe cannot be made, no such channel sells it, or its margin is not known.
        ValueError: no such share.
    """
    if not 0.0 < by <= MOST_SHARE:
        raise ValueError(f"figures cannot move by {by * 100:g} %; write a share above 0 and at most 90 %")
    name = selling(shop, key, channel)
    base = margin(shop, key, name)
    assert base is not None
    if not math.isfinite(base):
        what = f"the margin of {key} in {name} is not known, so nothing can be seen to move it"
        mend = "a price is missing, or none of its containers is filled: creamery check says which"
        raise ShopError((Finding("error", "--tornado", what, mend),))
    bars = []
    for moved in movable(shop, key, name):
        down, up = (
            _effect(shop, key, name, Change(moved.target, f"{sign}{by * 100:g}%", factor), base)
            for sign, factor in (("-", 1.0 - by), ("+", 1.0 + by))
        )
        bars.append(Bar(moved, down, up))
    bars.sort(key=lambda bar: (-bar.size, bar.figure.what))
    return Tornado(key, shop.model.recipes[key].title, name, by, base, tuple(bars))


def selling(shop: Shop, key: str, channel: str = "") -> str:
    """The channel that is meant.

    Args:
        shop: the shop.
        key: the recipe.
        channel: as somebody wrote it; the first that sells the recipe if empty.

    Raises:
        ShopError: there is none.
    """
    sold = [one.name for one in sides.costs(shop, key).channels]
    if not channel and sold:
        return sold[0]
    for one in sold:
        if one.casefold() == channel.casefold():
            return one
    what = f"no channel called '{channel}' sells {key}" if channel else f"no channel sells {key}"
    mend = nearest(channel, sold, f"there is: {', '.join(sold)}" if sold else "add channels to shop.yaml")
    raise ShopError((Finding("error", "--channel", what, mend),))


def margin(shop: Shop, key: str, channel: str) -> float | None:
    """What a container leaves in a channel; None where the channel sells none."""
    return next((one.margin for one in sides.costs(shop, key).channels if one.name == channel), None)


def _effect(shop: Shop, key: str, channel: str, change: Change, base: float) -> float | None:
    try:
        found = margin(sides.with_changes(shop, (change,), (key,)), key, channel)
    except ShopError:
        return None
    return None if found is None else found - base


def movable(shop: Shop, key: str, channel: str) -> tuple[Moved, ...]:
    """Everything that is moved for a recipe.

    Args:
        shop: the shop.
        key: the recipe.
        channel: whose selling price and fees.

    Raises:
        ShopError: the recipe cannot be made.
    """
    try:
        one = tally(shop, key)
    except KitchenError as problem:  # pragma: no cover - the channel was asked for first, which made it
        raise ShopError((problem.finding,)) from None
    assert one is not None
    return (*_money(shop, one, channel), *_kitchen(shop, key, one))


def _money(shop: Shop, one: Tally, channel: str) -> Iterator[Moved]:
    model = shop.model
    selling = model.channels[channel]
    yield Moved(f"selling price, {channel}", "selling price", f"price[{channel}]")
    if selling.fee_share or selling.fee_fixed:
        yield Moved(f"fees, {channel}", "fees", f"fees[{channel}]")
    for name in one.grams:
        price = shop.book.ingredient(name)
        if price is not None and price.per_gram > 0:
            yield Moved(name, "price", name)
    pieces = dict.fromkeys(name for kind in one.kinds for name in kind.pieces)
    pieces |= dict.fromkeys(selling.scoops.cone if selling.scoops else ())
    for name in pieces:
        if shop.book.item(name) is not None:
            yield Moved(name, "price", name)
    first = next(iter(model.wages), "")
    for role in dict.fromkeys(role or first for role in one.hours):
        if model.wages.get(role):
            yield Moved(f"wage, {role}", "labour", f"wage[{role}]")
    if model.overhead.per_batch > 0:
        yield Moved("overhead per batch", "overhead", "overhead per batch")
    if model.overhead.of_labour.mid > 0 and one.hours:
        yield Moved("overhead of labour", "overhead", "overhead of labour")


def _kitchen(shop: Shop, key: str, one: Tally) -> Iterator[Moved]:
    model = shop.model
    machines: dict[str, None] = {}
    for recipe in figures.family(model, key):
        for place in figures.places(recipe):
            if _moves(place):
                yield Moved(_said(place, key), "labour" if place.field == "labour" else "kitchen", place.named)
            if place.field == "leaves" and place.value is None and getattr(place.step, "machine", None):
                machines[place.step.machine] = None  # type: ignore[attr-defined]
    for name in machines:
        leaves = model.machines[name].leaves
        if leaves.mid > 0:
            yield Moved(f"{name}: leaves {leaves.text}", "kitchen", f"leaves[{name}]")
    for kind in one.kinds:
        giveaway = model.containers[kind.container].giveaway
        if giveaway.mid > 0:
            yield Moved(f"{kind.container}: giveaway {giveaway.text}", "kitchen", f"giveaway[{kind.container}]")
    for name in one.grams:
        usable = model.ingredients[name].usable if name in model.ingredients else None
        if usable is not None and usable.mid < 1.0:
            yield Moved(f"{name}: usable {usable.text}", "kitchen", f"usable[{name}]")


def _moves(place: Place) -> bool:
    """Whether a figure is one that a tornado moves: not heat, not time, not how much of what goes in."""
    value = place.value
    if value is None or place.settled or place.field in QUIET or place.verb in ("add", "fold", "cool"):
        return False
    return not (isinstance(value, Amount) and value.kind is Kind.ALL)


def _said(place: Place, key: str) -> str:
    value = place.value
    text = value.time.text if isinstance(value, Labour) else getattr(value, "text", "") or f"{value:g}"
    part = place.part if place.recipe == key else f"{place.part} ({place.recipe})"
    return f"{part}, {place.verb}: {place.words[0]} {text}".replace(f"{place.verb}: {place.verb} ", f"{place.verb} ")
