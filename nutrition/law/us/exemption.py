"""Who need not print a nutrition panel, 21 CFR 101.9(j)(1) and (j)(18).

Either exemption ends with any nutrition claim or other nutrition information on the label or in advertising. An exempt
package still needs its name, net quantity, ingredients, allergens and the business name and place.

>>> exempt(total_sales_usd=300_000, food_sales_usd=280_000, direct=True, people=3, units=4_000).rules
('21 CFR 101.9(j)(1)', '21 CFR 101.9(j)(18)')
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.law.us.tables import rows

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date


@dataclass(frozen=True, slots=True)
class Exemption:
    """Whether a panel may be left off.

    Args:
        exempt: it may.
        rules: the paragraphs that allow it.
        notice_needed: only if a notice is filed with FDA every year.
        reasons: why, in words.
    """

    exempt: bool
    rules: tuple[str, ...]
    notice_needed: bool
    reasons: tuple[str, ...]


@functools.cache
def _figures(on: date | None) -> Mapping[str, float]:
    return {row["what"]: float(row["amount"]) for row in rows("exemption.csv", on)}


def exempt(
    *,
    total_sales_usd: float,
    food_sales_usd: float,
    direct: bool,
    people: float,
    units: float,
    claims: bool = False,
    notice: bool = False,
    on: date | None = None,
) -> Exemption:
    """Whether a small business may leave the panel off a product.

    Args:
        total_sales_usd: sales of everything to consumers in a year, USD.
        food_sales_usd: sales of food to consumers in a year, USD.
        direct: the business itself sells the product to consumers; wholesale pints need (j)(18).
        people: full-time people or their equivalent.
        units: units of this product sold in the United States in a year.
        claims: the label or advertising makes a nutrition claim or gives other nutrition information.
        notice: a yearly notice is filed with FDA.
        on: the day whose figures apply.

    Raises:
        ValueError: a negative figure.

    >>> exempt(total_sales_usd=900_000, food_sales_usd=900_000, direct=False, people=20, units=50_000).notice_needed
    True
    """
    # Written this way round so that what is no number is refused too.
    if not all(figure >= 0 for figure in (total_sales_usd, food_sales_usd, people, units)):
        raise ValueError("sales, people and units are numbers and cannot be negative")
    if claims:
        why = "a nutrition claim or other nutrition information ends every small-business exemption"
        return Exemption(False, (), False, (why,))
    figure = _figures(on)
    rules, reasons = [], []
    by_sales = direct and (
        total_sales_usd <= figure["retailer total sales"] or food_sales_usd <= figure["retailer food sales"]
    )
    if by_sales:
        rules.append("21 CFR 101.9(j)(1)")
        reasons.append("a retailer with sales within the limit that sells to consumers itself")
    small = people < figure["low volume people"] and units < figure["low volume units"]
    tiny = people < figure["no notice people"] and units < figure["no notice units"]
    if small and (tiny or notice):
        rules.append("21 CFR 101.9(j)(18)")
        reasons.append("a low-volume product" + ("; no notice needed" if tiny else "; keep the yearly notice filed"))
    needs = small and not tiny and not by_sales
    if needs and not notice:
        reasons.append("a low-volume product could be exempt once a yearly notice is filed with FDA")
    if not reasons:
        reasons.append("sales, people or units pass the limits, or the product is sold wholesale")
    return Exemption(bool(rules), tuple(rules), needs, tuple(reasons))
