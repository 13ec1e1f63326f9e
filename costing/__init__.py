"""Recipes, what happens to them in the kitchen, what they cost, and the sheets that say so.

>>> from costing import Shop
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from costing.desk import Shop

__all__ = ["Shop"]


def __getattr__(name: str) -> Any:
    # The command line must start at once, so the engine is imported only when somebody asks for it.
    if name == "Shop":
        from costing.desk import Shop

        return Shop
    raise AttributeError(f"module 'costing' has no attribute {name!r}")
