"""All foods, read once for the whole run."""

from __future__ import annotations

import functools

from nutrition.foods import table
from nutrition.foods.record import FoodRecord


@functools.cache
def all_foods() -> tuple[FoodRecord, ...]:
    return tuple(table.foods())
