"""What stands around a product in its shop: the maker, the ways of selling, what else runs on the same machines.

What a flavour touches is told from its recipe, without making it: every ingredient of every step, house bases included,
strained out or not.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.shop.steps import Add, Churn, Fill, Fold
from nutrition.law.us import business
from nutrition.law.us.around import Around, Maker, Neighbour

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from costing.kitchen.materials import Material
    from costing.shop.models import Channel, Recipe, ShopModel
    from nutrition.law.us.label import Note


def around(
    recipe: Recipe, model: ShopModel, materials: Mapping[str, Material], known: dict[str, frozenset[str]] | None = None
) -> Around:
    """What stands around one recipe.

    Args:
        recipe: the recipe.
        model: its shop.
        materials: ingredient to material.
        known: recipe key to the allergens that it touches, filled as they are told; for a shop of many flavours.
    """
    ways = [channel for channel in model.channels.values() if _sells(channel, recipe)]
    wholesale = model.business.wholesale if model.business else ()
    return Around(
        maker=maker(model),
        units=recipe.units,
        direct=None if not ways else not any(way.name in wholesale or way.chain for way in ways),
        scoops=any(way.scoops is not None for way in ways),
        only_scoops=bool(ways) and all(way.scoops is not None for way in ways),
        neighbours=tuple(_neighbours(recipe, model, materials, {} if known is None else known)),
    )


def maker(model: ShopModel) -> Maker:
    """The business of a shop; money of another currency than dollars is not compared with limits in dollars."""
    said = model.business
    if said is None:
        return Maker(model.name, model.address)
    dollars = model.currency == "USD"
    return Maker(
        name=model.name,
        address=model.address,
        line=said.line,
        street_in_directory=said.street_in_directory,
        total_sales_usd=said.total_sales if dollars else None,
        food_sales_usd=said.food_sales if dollars else None,
        people=said.people,
        notice=said.notice_filed,
    )


def address(model: ShopModel) -> tuple[Note, ...]:
    """What is missing from the name and place of business of a shop."""
    street = model.business is not None and model.business.street_in_directory
    return business.check(model.name, model.address, street_in_directory=street)


def _sells(channel: Channel, recipe: Recipe) -> bool:
    filled = {one.container for step in _steps(recipe) if isinstance(step, Fill) for one in step.container}
    return bool(filled) and (channel.container is None or channel.container in filled)


def _steps(recipe: Recipe) -> Iterator[object]:
    for part in recipe.parts:
        yield from part.steps


def _machines(recipe: Recipe) -> frozenset[str]:
    return frozenset(step.machine for step in _steps(recipe) if isinstance(step, Churn) and step.machine)


def touched(recipe: Recipe, model: ShopModel, materials: Mapping[str, Material]) -> frozenset[str]:
    """Allergens of everything that a recipe puts into pots, its house bases included.

    Args:
        recipe: the recipe.
        model: its shop.
        materials: ingredient to material.
    """
    bases = {one.makes: one for one in model.recipes.values() if one.makes}
    found: set[str] = set()
    seen: set[str] = set()
    pending = [recipe]
    while pending:
        one = pending.pop()
        if one.key in seen:
            continue
        seen.add(one.key)
        for name in _put_in(one):
            if name in bases:
                pending.append(bases[name])
            elif name in materials:
                found |= materials[name].allergens
    return frozenset(found)


def _put_in(recipe: Recipe) -> Iterable[str]:
    return (name for step in _steps(recipe) if isinstance(step, (Add, Fold)) for name in step.things)


def _neighbours(
    recipe: Recipe, model: ShopModel, materials: Mapping[str, Material], known: dict[str, frozenset[str]]
) -> Iterator[Neighbour]:
    own = _machines(recipe)
    for other in model.recipes.values():
        if other.key == recipe.key:
            continue
        shared = sorted(own & _machines(other))
        if shared:
            if other.key not in known:
                known[other.key] = touched(other, model, materials)
            yield Neighbour(shared[0], other.title, known[other.key])
