"""Before and after, side by side: what a container costs and what each channel leaves, as it is and as it might be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing import cost, desk, endings
from costing.findings import Finding, ShopError
from costing.kitchen.bench import KitchenError
from costing.purchases import Purchasing
from costing.whatif import chance, changing
from costing.whatif.changes import parse_all
from costing.whatif.effect import written
from nutrition.law.us import serving

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from decimal import Decimal

    from costing.results import ChannelResult, CostAnswer
    from costing.shop.models import ShopModel
    from costing.whatif.chance import Chance
    from costing.whatif.changes import Change


@dataclass(frozen=True, slots=True)
class Side:
    """One side: the cost, and for each channel with a target the price that meets it and the chance that it is met.

    Args:
        cost: what a batch and a container cost, and what each channel leaves.
        written: channel to the price as it stands in the shop's files: on the shelf, of a scoop, of a container.
        new_price: channel to the least such price with one of the shop's endings that meets its target.
        chance: channel to its chance.
    """

    cost: CostAnswer
    written: dict[str, float]
    new_price: dict[str, Decimal]
    chance: dict[str, Chance]

    def channel(self, name: str) -> ChannelResult | None:
        """What a channel leaves; None where it does not sell this."""
        return next((one for one in self.cost.channels if one.name == name), None)


@dataclass(frozen=True, slots=True)
class Alone:
    """What one of several changes does by itself; None where that cannot be made."""

    change: str
    per_container: float | None
    difference: float | None


@dataclass(frozen=True, slots=True)
class Sides:
    """A recipe as it is and as it might be.

    Args:
        recipe: its key.
        title: its title.
        changes: what was changed, as written.
        before: as it is.
        after: with all changes.
        alone: each change by itself, where there are several. They need not add up: changes act on one another.
    """

    recipe: str
    title: str
    changes: tuple[str, ...]
    before: Side
    after: Side
    alone: tuple[Alone, ...]


def with_changes(shop: desk.Shop, changes: Iterable[str | Change], recipes: Sequence[str] = ()) -> desk.Shop:
    """The shop as it might be; the one that came in stays as it is.

    Args:
        shop: the shop.
        changes: what to change (:mod:`costing.whatif.changes`).
        recipes: in which recipes figures of steps are looked for; none: in all.

    Raises:
        ShopError: a change that cannot be.
    """
    model = changing.changed(shop.model, changes, recipes=recipes, day=shop.day)
    return opened(shop, model)


def opened(shop: desk.Shop, model: ShopModel) -> desk.Shop:
    """A changed model at the desk, on the same day, with the findings of the shop as it is."""
    new = desk.Shop(model, shop.findings, shop.day)
    if model.ingredients is shop.model.ingredients:
        # What ingredients are to the kitchen is worked out once.
        new.pantry = shop.pantry
    return new


def costs(shop: desk.Shop, key: str) -> CostAnswer:
    """What a recipe costs, without its label.

    Raises:
        ShopError: it cannot be made, or fills no container.
    """
    try:
        brew = shop.brew(key)
    except KitchenError as problem:
        raise ShopError((problem.finding,)) from None
    if not brew.filled:
        what = f"{key} fills no container, so it has no cost of its own"
        raise ShopError((Finding("error", brew.recipe.where, what, "ask about a flavour that uses it"),))
    ml = serving.reference_amount("frozen dessert", shop.day)[1]
    return cost.cost(brew, shop.model, Purchasing(shop.pantry, shop.book), shop.day, ml)


def side(shop: desk.Shop, key: str, *, chances: bool = True) -> Side:
    """One side.

    Args:
        shop: the shop, changed or not.
        key: the recipe.
        chances: whether to draw from ranges for the chance to meet a target.

    Raises:
        ShopError: the recipe cannot be made, or fills no container.
    """
    found = costs(shop, key)
    own = shop.model.recipes[key].prices
    prices = {}
    for one in found.channels:
        wanted = written(shop.model.channels[one.name], one.price_for_target, shop.book)
        if wanted is not None:
            prices[one.name] = endings.up(wanted, shop.model.price_endings, shop.model.currency)
    likely = {one.channel: one for one in chance.chances(shop, key)} if chances else {}
    stand = {one.name: own.get(one.name, shop.model.channels[one.name].price) for one in found.channels}
    return Side(found, stand, prices, likely)


def compare(shop: desk.Shop, key: str, changes: Sequence[str], *, chances: bool = True) -> Sides:
    """A recipe as it is beside what it might be.

    Args:
        shop: the shop.
        key: the recipe.
        changes: what to change.
        chances: whether to draw from ranges for the chance to meet a target.

    Raises:
        ShopError: a change that cannot be, or a recipe that cannot be made as it is or with the changes.
    """
    read = parse_all(changes)
    before = side(shop, key, chances=chances)
    changed = with_changes(shop, read, (key,))
    after = side(changed, key, chances=chances)
    alone = tuple(_alone(shop, key, one, before) for one in read) if len(read) > 1 else ()
    return Sides(
        recipe=key,
        title=shop.model.recipes[key].title,
        changes=tuple(one.text for one in read),
        before=before,
        after=after,
        alone=alone,
    )


def _alone(shop: desk.Shop, key: str, change: Change, before: Side) -> Alone:
    try:
        found = costs(with_changes(shop, (change,), (key,)), key).per_container.total
    except ShopError:
        return Alone(change.text, None, None)
    return Alone(change.text, found, found - before.cost.per_container.total)
