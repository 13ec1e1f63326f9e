"""Pasteurising and cooling: what a recipe's written temperatures and times say of the milk and egg in it.

A mix that holds milk or egg (by class or allergens, through parts, saved things and house bases) is held against 21 CFR
135.3 (155 F for 30 minutes or 175 F for 25 seconds, or an equal; 7 CFR 58.635 says the same) and against the cooling
limits of FDA's Food Code, 3-501.14. Everything is read off the checked recipe; nothing is cooked for it.

What is an error, a warning or a note is laid down in :mod:`costing.safety.tell`. No finding vouches for a food.

>>> from costing import Shop
>>> from nutrition.resources import tree
>>> model = Shop.open(str(tree("examples") / "quillfeather")).model
>>> [(check.part, check.step, check.qualifies) for check in heats(model.recipes["quince"], model)]
[('base', 2, True)]
>>> [one.level for one in findings(model) if one.level != "note"]
[]
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.safety.cooling import Limit
from costing.safety.cooling import limits as cooling_limits
from costing.safety.heat import rule_words
from costing.safety.tell import of_recipe as _of_recipe
from costing.safety.walk import HeatCheck, Kitchen

if TYPE_CHECKING:
    from costing.findings import Finding
    from costing.shop.models import Recipe, ShopModel

__all__ = ["Checks", "HeatCheck", "Limit", "cooling_limits", "findings", "heats", "of_recipe", "rule_words"]


class Checks:
    """A shop's recipes, each walked through once; the functions below make one for a single question.

    Args:
        model: the checked shop.
    """

    def __init__(self, model: ShopModel) -> None:
        self._kitchen = Kitchen(model)

    def of_recipe(self, recipe: Recipe) -> tuple[Finding, ...]:
        """What is to be said of a recipe, its house bases included; errors first."""
        return _of_recipe(recipe, self._kitchen)

    def heats(self, recipe: Recipe) -> tuple[HeatCheck, ...]:
        """Every heat of milk or egg that a recipe goes through, those of its house bases first."""
        return tuple(dict.fromkeys(_heats(recipe, self._kitchen)))

    def findings(self) -> tuple[Finding, ...]:
        """What is to be said of all recipes, each finding once."""
        found = (one for recipe in self._kitchen.model.recipes.values() for one in self.of_recipe(recipe))
        return tuple(dict.fromkeys(found))


def findings(model: ShopModel) -> tuple[Finding, ...]:
    """What is to be said of the pasteurising and cooling of every recipe.

    Args:
        model: the checked shop.

    Returns:
        The findings, each once; the place of each is a step of a recipe.
    """
    return Checks(model).findings()


def of_recipe(recipe: Recipe, model: ShopModel) -> tuple[Finding, ...]:
    """What is to be said of one recipe, its house bases included.

    Args:
        recipe: the recipe.
        model: its shop.

    Returns:
        The findings, errors first. A house base is judged by the flavours that are made of it.
    """
    return Checks(model).of_recipe(recipe)


def heats(recipe: Recipe, model: ShopModel) -> tuple[HeatCheck, ...]:
    """Every heat of milk or egg that a recipe goes through, for its batch sheet.

    Args:
        recipe: the recipe.
        model: its shop.

    Returns:
        In the order of cooking, those of house bases first; ``recipe`` of each says in whose recipe it stands.
    """
    return Checks(model).heats(recipe)


def _heats(recipe: Recipe, kitchen: Kitchen) -> list[HeatCheck]:
    from costing.safety.tell import all_of

    return [check for one in reversed(all_of(kitchen.walk(recipe))) for check in one.checks]
