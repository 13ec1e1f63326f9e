"""Constants of the kitchen, out of ``data/kitchen/heat.csv``, each with its source there.

>>> constant("moisture left in cracklings")
0.05
"""

from __future__ import annotations

import functools

from nutrition import resources


@functools.cache
def _constants() -> dict[str, float]:
    return {row["key"]: float(row["value"]) for row in resources.table("kitchen", "heat.csv")}


def constant(key: str) -> float:
    """One constant, in the unit that the table gives.

    Raises:
        KeyError: there is none of that name.
    """
    return _constants()[key]
