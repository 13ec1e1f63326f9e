"""The numbers under a recipe's bar codes: ``gtin: 036000291452``, or one for each container.

A plain number is that of the first container that the recipe fills, which is the one that its label is for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Final

from costing.digits import UnreadableError
from costing.findings import Finding
from costing.shop.building import nearest
from costing.shop.steps import Fill
from nutrition.package import gtin
from nutrition.package.gtin import Gtin, GtinError

if TYPE_CHECKING:
    from costing.shop.models import Recipe, ShopModel

FIRST: Final = ""
"""Stands for the first container that a recipe fills."""


def read(value: object) -> dict[str, Gtin]:
    """Container to number.

    Args:
        value: a number, or containers with their numbers.

    Raises:
        UnreadableError: something in it is no GTIN.

    >>> read("0 36000 29145 2")[FIRST].digits
    '036000291452'
    """
    if isinstance(value, str):
        return {FIRST: _one(value)}
    if isinstance(value, Mapping) and value:
        return {str(name): one if isinstance(one, Gtin) else _one(one, f"{name}: ") for name, one in value.items()}
    raise UnreadableError("this must be a number or containers with numbers", "write gtin: {pint: 036000291452}")


def _one(text: object, name: str = "") -> Gtin:
    if not isinstance(text, str) or not text.strip():
        raise UnreadableError(
            f"{name}there is no number", "write the 12 or 13 digits that GS1 gave you, or take it out"
        )
    try:
        return gtin.read(text)
    except GtinError as refused:
        raise UnreadableError(f"{name}{refused.what}", refused.mend) from None


def of(recipe: Recipe, container: str) -> Gtin | None:
    """The number of a recipe in a container, None where it has none.

    Args:
        recipe: the recipe.
        container: name of the container.
    """
    filled = _filled(recipe)
    first = recipe.gtin.get(FIRST) if filled and container == filled[0] else None
    return recipe.gtin.get(container, first)


def findings(model: ShopModel) -> Iterator[Finding]:
    """What is wrong with the numbers of a shop: containers that are not filled, numbers used twice, odd ranges."""
    seen: dict[str, str] = {}
    for recipe in model.recipes.values():
        filled = _filled(recipe)
        for name, number in recipe.gtin.items():
            where = recipe.at(name) if name in recipe.lines else recipe.at("gtin")
            if not filled:
                yield Finding("error", where, "a recipe that fills no container has no GTIN", "take the line out")
            elif name and name not in filled:
                mend = nearest(name, filled, f"it fills: {', '.join(filled)}")
                yield Finding("error", where, f"the recipe does not fill '{name}'", mend)
            said = gtin.verdict(number)
            if said is not None:
                yield Finding(said.level, where, said.what, said.mend)  # type: ignore[arg-type]
            if number.full in seen:
                what = f"{number.shortest} is the GTIN of {seen[number.full]} already"
                yield Finding("error", where, what, "each flavour in each size has a number of its own")
            seen.setdefault(number.full, f"{recipe.key}{f' ({name})' if name else ''}")


def _filled(recipe: Recipe) -> list[str]:
    return [
        one.container
        for part in recipe.parts
        for step in part.steps
        if isinstance(step, Fill)
        for one in step.container
    ]
