"""Which recipe is made of which, and what has to be told apart in their pots."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from costing.shop.models import ShopModel
    from costing.shop.steps import AnyStep


class Family:
    """Which recipe is made of which.

    Args:
        model: the shop.
    """

    def __init__(self, model: ShopModel) -> None:
        made = {recipe.makes: recipe.key for recipe in model.recipes.values() if recipe.makes}
        self._below: dict[str, list[str]] = {}
        self._alone: set[str] = set()
        for recipe in model.recipes.values():
            own = {part.name for part in recipe.parts}
            steps = [step for part in recipe.parts for step in part.steps]
            things = dict.fromkeys(n for step in steps if step.verb in ("add", "fold") for n in step.things)
            self._below[recipe.key] = [
                made[name] for name in things if name in made and name not in own and made[name] != recipe.key
            ]
            if any(_parts_fractions(step) for step in steps):
                self._alone.add(recipe.key)
        self._above: dict[str, list[str]] = {}
        for key, below in self._below.items():
            for base in below:
                self._above.setdefault(base, []).append(key)
        self._fine: dict[str, bool] = {}

    def below(self, key: str) -> list[str]:
        """Every base that a recipe is made of, and that these are made of."""
        found = dict.fromkeys(self._below[key])
        for base in self._below[key]:
            found |= dict.fromkeys(self.below(base))
        return list(found)

    def depth(self, key: str) -> int:
        """How many bases stand below one another under a recipe."""
        return max((1 + self.depth(base) for base in self._below[key]), default=0)

    def fine(self, key: str) -> bool:
        """Whether a step takes one fraction of what flows and leaves another, here or in what is made of it."""
        if key not in self._fine:
            self._fine[key] = key in self._alone or any(self.fine(other) for other in self._above.get(key, ()))
        return self._fine[key]


def _parts_fractions(step: AnyStep) -> bool:
    return (
        step.verb in ("render", "press")
        or (step.verb == "cook" and step.how == "brown")
        or (step.verb == "strain" and not {"fat", "solids"}.isdisjoint(step.out))
    )


def mentioned(model: ShopModel) -> frozenset[str]:
    """Every name by which a step tells things apart."""
    out: set[str] = set()
    for recipe in model.recipes.values():
        for part in recipe.parts:
            for step in part.steps:
                if step.verb == "trim":
                    out |= set(step.things)
                elif step.verb == "strain":
                    out |= set(step.out)
                elif step.verb in ("press", "render", "soak"):
                    out |= set(step.of)
    return frozenset(out)
