"""Finds the food record behind the id that a shop writes.

>>> resolve("usda:1053", {}).name
'Cream, fluid, heavy whipping'
>>> resolve("water", {}).id
'water'
"""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING

from nutrition.foods import record, table

if TYPE_CHECKING:
    from collections.abc import Mapping

    from nutrition.foods.record import FoodRecord

KINDS = "usda:NDB number, spec:file or water"


class UnknownFoodError(KeyError):
    """No food has that id; its one argument says what was wrong, for people to read."""

    def __str__(self) -> str:
        return str(self.args[0])


def resolve(food_id: str, specs: Mapping[str, FoodRecord]) -> FoodRecord:
    """The record of a food.

    Args:
        food_id: ``usda:01053``, ``spec:duck-skin`` or ``water``; blanks and missing zeros are forgiven.
        specs: the shop's own spec sheets by name, without ``spec:``.

    Returns:
        The record.

    Raises:
        UnknownFoodError: no such food, or an id of another kind.

    >>> resolve("spec:duck", {})
    Traceback (most recent call last):
        ...
    nutrition.foods.library.UnknownFoodError: the shop has no spec sheet called 'duck'
    """
    kind, colon, rest = (part.strip() for part in food_id.strip().partition(":"))
    kind = kind.lower()
    if kind == "water" and not colon:
        return record.water()
    if kind == "usda" and rest:
        try:
            return table.food(rest)
        except KeyError as error:
            raise UnknownFoodError(str(error.args[0])) from None
    if kind == "spec" and rest:
        return _spec(rest, specs)
    if kind == "fdc" and rest:
        raise UnknownFoodError(
            f"'{food_id}' cannot be read yet: records of FoodData Central come with its download and web service, "
            "which are not part of the food library so far, and an FDC id alone does not tell the NDB number of the "
            "same food; search the library by name and use its usda: number, or write a spec sheet"
        )
    raise UnknownFoodError(f"'{food_id}' is no food id; write {KINDS}")


def _spec(name: str, specs: Mapping[str, FoodRecord]) -> FoodRecord:
    found = specs.get(name) or specs.get(name.removesuffix(".yml").removesuffix(".yaml"))
    if found is not None:
        return found
    near = difflib.get_close_matches(name, specs, n=1)
    hint = f"; did you mean spec:{near[0]}?" if near else ""
    raise UnknownFoodError(f"the shop has no spec sheet called '{name}'{hint}")
