"""The verbs: each a module of its own with one function ``do``, and the name of its free figure where it has one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from costing.kitchen import add, churn, cook, cool, fill, fold, lose, note, press, reduce, render, soak, strain, trim

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from costing.kitchen.bench import Bench, Outcome
    from costing.kitchen.pot import Pot

VERBS: Mapping[str, Callable[[Any, Pot, Bench], Outcome]] = {
    "add": add.do,
    "trim": trim.do,
    "cook": cook.do,
    "reduce": reduce.do,
    "render": render.do,
    "press": press.do,
    "soak": soak.do,
    "strain": strain.do,
    "lose": lose.do,
    "cool": cool.do,
    "churn": churn.do,
    "fold": fold.do,
    "fill": fill.do,
    "note": note.do,
}

FREE: Mapping[str, str] = {
    "cook": cook.FREE,
    "reduce": reduce.FREE,
    "render": render.FREE,
    "press": press.FREE,
    "soak": soak.FREE,
    "strain": strain.FREE,
    "lose": lose.FREE,
    "churn": churn.FREE,
}
"""Verb to the figure that ``weigh`` after it works out."""
