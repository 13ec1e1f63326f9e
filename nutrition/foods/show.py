"""A food record as the machine-readable answer of ``creamery foods show``.

>>> from nutrition.foods.record import water
>>> found = document(water())
>>> found["id"], found["per_100g"]["water"], found["measures"]
('water', 100.0, [])
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from nutrition.foods.record import FoodRecord


def document(record: FoodRecord) -> dict[str, Any]:
    """The document for one food.

    Args:
        record: the food.

    Returns:
        ``id``, ``name``, ``source``; ``per_100g``: amount by nutrient key in the nutrient's unit, None where
        unknown; ``measures``: each with ``measure`` and ``g``; ``estimated``: for each estimated nutrient the
        words that say from what, with its least and greatest amount in 100 g; ``doubts``: what of its figures does
        not agree, and ``problems``: what of its source could not be read; and where the source tells them
        ``release``, ``published`` and ``details``.
    """
    from nutrition.foods import sums

    composition = record.composition * (100.0 / float(record.composition.grams))
    estimated = {}
    for key, words in record.estimated.items():
        low, high = composition.bounds(key)
        estimated[key] = {"from": words, "low": low, "high": high}
    return {
        "id": record.id,
        "name": record.name,
        "source": record.source,
        "per_100g": composition.per_100g(),
        "measures": [{"measure": measure.text, "g": measure.grams} for measure in record.measures],
        "estimated": estimated,
        "doubts": [{"check": one.check, "what": one.what, "reason": one.reason} for one in sums.doubts(record)],
        "problems": list(record.problems),
        "release": record.release or None,
        "published": record.published or None,
        "details": dict(record.details),
    }
