"""Serving size, servings in a container and the columns of the panel, 21 CFR 101.9(b) and 101.12(b).

The reference amount of frozen desserts is 2/3 cup, and a label's cup is 240 mL, so a serving is 160 mL of the food as
sold, air included; its grams follow from the weight and the volume of what is in the container.

>>> pint = serving(declared_ml=473.176473, net_ml=473.176473, net_g=281.0)
>>> pint.measure, pint.grams_text, pint.per_container_text, pint.columns
('2/3 cup', '95g', 'about 3', ('serving', 'container'))
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

from nutrition.law.us import rounding
from nutrition.law.us.label import Serving
from nutrition.law.us.tables import held, nano, rows

if TYPE_CHECKING:
    from datetime import date


def reference_amount(category: str, on: date | None = None) -> tuple[str, float, str]:
    """The household measure, its label millilitres and the paragraph for a category of food.

    For a day before the rules held here (:func:`~nutrition.law.us.tables.held`) it gives today's.

    Raises:
        KeyError: the category is not in the table.

    >>> reference_amount("ice cream")
    ('2/3 cup', 160.0, '21 CFR 101.12(b)')
    """
    found = rows("reference_amounts.csv", held(on))
    for row in found:
        if row["category"] == category:
            return row["measure"], float(row["ml"]), row["reference"]
    raise KeyError(f"no reference amount for {category!r}; there are {', '.join(r['category'] for r in found)}")


def household(ml: float) -> str:
    """The household measure nearest to a volume, in the steps that a label may count, 101.9(b)(5)(i) (from memory).

    Args:
        ml: volume, mL.

    Raises:
        ValueError: it is not above zero.

    >>> household(160), household(120), household(22), household(5), household(400)
    ('2/3 cup', '1/2 cup', '1 1/2 tbsp', '1 tsp', '1 2/3 cups')
    """
    if not (math.isfinite(ml) and ml > 0):
        raise ValueError(f"a measure must be above zero, not {ml}")
    sizes = {row["unit"]: float(row["amount"]) for row in rows("label_measures.csv")}
    row = next(row for row in rows("household_steps.csv") if ml >= float(row["from_ml"]))
    unit = row["unit"]
    count = Fraction(nano(ml), nano(sizes[unit]))
    whole, parts = divmod(count, 1) if "whole" in row["steps"] else (0, count)
    steps = [sum(map(Fraction, step.split())) for step in row["steps"].split(";") if step != "whole"]
    if "whole" in row["steps"]:
        steps += [Fraction(1)] if not whole else [Fraction(0), Fraction(1)]
    # Exact halves between two steps go up.
    nearest = min(steps, key=lambda step: (abs(step - parts), -step))
    return f"{_mixed(Fraction(whole) + nearest)} {_UNITS[unit]}{'s' if unit == 'cup' and whole + nearest > 1 else ''}"


_UNITS = {"cup": "cup", "tablespoon": "tbsp", "teaspoon": "tsp"}


def _mixed(number: Fraction) -> str:
    whole, part = divmod(number, 1)
    return " ".join(str(one) for one in (whole, part) if one) or "0"


def columns(percent: float, on: date | None = None) -> tuple[tuple[str, ...], str]:
    """The columns of the panel and the paragraph, by the contents as a per cent of the reference amount.

    >>> columns(200.0)
    (('serving', 'container'), '21 CFR 101.9(b)(12)(i)')
    >>> columns(199.9)[0], columns(300.1)[0]
    (('container',), ('serving',))
    """
    exact = nano(percent)
    for row in rows("columns.csv", on):
        limit = nano(float(row["limit_pct"])) if row["limit_pct"] else None
        if limit is None or exact < limit or (exact == limit and row["limit_included"] == "yes"):
            return tuple(row["columns"].split(";")), row["reference"]
    raise KeyError("no rule for the columns is in force then")


def serving(
    *, declared_ml: float, net_ml: float, net_g: float, category: str = "frozen dessert", on: date | None = None
) -> Serving:
    """The serving of a packaged food.

    Args:
        declared_ml: net quantity on the label, mL; the servings are counted from it.
        net_ml: volume of the food in the container, air included, mL.
        net_g: weight of that food, g.
        category: row of ``reference_amounts.csv``.
        on: the day whose rules apply.

    Returns:
        The serving. Below 200 % of the reference amount the container is one serving; up to 300 % the
        panel has two columns; beyond that one.

    Raises:
        KeyError: unknown category.
        ValueError: a weight or volume that is not above zero.

    >>> serving(declared_ml=100, net_ml=100, net_g=60).per_container_text
    '1'
    >>> serving(declared_ml=946.352946, net_ml=946.352946, net_g=570).per_container_text
    'about 6'
    """
    for name, figure in (("declared volume", declared_ml), ("volume", net_ml), ("weight", net_g)):
        if not (math.isfinite(figure) and figure > 0):
            raise ValueError(f"the {name} of a container must be above zero, not {figure}")
    measure, reference_ml, reference = reference_amount(category, on)
    shown, rule = columns(declared_ml / reference_ml * 100, on)
    if shown == ("container",):
        grams, count, counted, measure = net_g, 1.0, "1", "1 container"
    else:
        grams = net_g / net_ml * reference_ml
        count = declared_ml / reference_ml
        counted = rounding.to_nearest("servings", count, on=on)
        if nano(count) != nano(float(counted)):
            counted = f"about {counted}"
    grams_text = rounding.to_nearest("serving weight", grams, on=on) + "g"
    return Serving(measure, grams, grams_text, count, counted, shown, f"{reference}; {rule}")
