"""Which lines of a label print otherwise within the kitchen's ranges: said beneath every label, without asking why.

>>> from costing.desk import Asked, Shop
>>> from nutrition.resources import tree
>>> shop = Shop.open(str(tree("examples") / "quillfeather"))
>>> print(otherwise(shop.answer("quince", Asked(ranges=True))) or "nothing")
nothing
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.terminal import clean
from nutrition.law.us import next_step

if TYPE_CHECKING:
    from collections.abc import Iterable

    from costing.results import RecipeAnswer
    from nutrition.law.us.label import Label

MANY = 3
"""texts from which only the ends are named"""


def otherwise(answer: RecipeAnswer) -> str:
    """The lines whose amount prints another text between its 5th and its 95th percentile; empty where there are none.

    Args:
        answer: with a label, and with ranges where draws were taken.
    """
    label = answer.label
    if label is None or not answer.ranges:
        return ""
    said = list(_lines(answer, label))
    if not said:
        return ""
    return "\n".join(
        ("Within what was measured these could print otherwise; --why KEY says how likely each is:", *said)
    )


def _lines(answer: RecipeAnswer, label: Label) -> Iterable[str]:
    for line in label.nutrients:
        if line.key in label.left_out:
            continue
        for column in label.serving.columns:
            pair = answer.ranges.get(f"nutrients.{line.key}.per_{column}")
            if pair is None:
                continue
            texts = _texts(label, line.key, *pair)
            if len(texts) > 1:
                now = line.declared.get(column) or "?"
                others = [text for text in texts if text != now]
                shown = " or ".join(others) if len(others) <= MANY else f"{texts[0]} to {texts[-1]}"
                name = "Added Sugars" if line.key == "added_sugars" else clean(line.name)
                yield f"    {name} per {column}: {now}, or {shown}"


def _texts(label: Label, key: str, low: float, high: float) -> list[str]:
    """What amounts between two print, the per cent left aside."""
    prints = next_step.printing(label, key)
    steps = next_step.between(lambda amount: prints(amount)[0], max(0.0, low), max(0.0, high))
    return [step.text for step in steps]
