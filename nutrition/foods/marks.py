"""Which foods that a search found are doubtful (:mod:`nutrition.foods.sums`).

>>> from nutrition.foods.search import search
>>> doubtful(search("coffee cream", 1))
{'usda:01050': 'total sugars against carbohydrate: 3.67 g in 100 g, and at most 2.82 g were expected'}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutrition.foods import sums, table
from nutrition.foods.fdc.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterable

    from nutrition.foods.hit import Hit


def doubtful(hits: Iterable[Hit]) -> dict[str, str]:
    """The first doubt about each food that is doubtful, by its id.

    Args:
        hits: foods of the embedded table and of the user's library; others are left out.

    Raises:
        LibraryError: the user's food library is damaged.
    """
    found: dict[str, str] = {}
    with Store.open() as store:
        for hit in hits:
            kind, _, number = hit.id.partition(":")
            record = table.food(number) if kind == "usda" else store.food(number) if kind == "fdc" else None
            doubts = sums.doubts(record) if record is not None else ()
            if doubts:
                found[hit.id] = doubts[0].what
    return found
