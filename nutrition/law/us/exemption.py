"""Who need not print a nutrition panel, 21 CFR 101.9(j)(1), (j)(2) and (j)(18).

Either exemption ends with any nutrition claim or other nutrition information on the label or in advertising. An exempt
package still needs its name, net quantity, ingredients, allergens and the business name and place.

>>> exempt(total_sales_usd=300_000, food_sales_usd=280_000, direct=True, people=3, units=4_000).rules
('21 CFR 101.9(j)(1)', '21 CFR 101.9(j)(18)')
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from nutrition.law.us.tables import rows

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from nutrition.law.us.around import Around

STILL = "it still needs name, net quantity, ingredients, allergens and the business name and place"


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


def verdict(around: Around, *, claims: bool = False, on: date | None = None) -> Exemption:
    """Whether a product needs its panel, as far as the shop says what the law asks.

    What nobody said is not taken for small: the panel stays until somebody says it.

    Args:
        around: the maker's figures, and how the product is sold.
        claims: a nutrition claim is made on the label or in advertising.
        on: the day whose figures apply.

    >>> from nutrition.law.us.around import Around, Maker
    >>> verdict(Around(Maker(people=4), units=3000, direct=False)).rules
    ('21 CFR 101.9(j)(18)',)
    >>> verdict(Around(Maker(people=4), direct=False)).reasons
    ('nobody said: units a year',)
    """
    maker, unknown = around.maker, float("inf")
    if around.only_scoops and not claims:
        return Exemption(True, ("21 CFR 101.9(j)(2)",), False, ("it is served in scoops to be eaten at once", STILL))
    found = exempt(
        total_sales_usd=unknown if maker.total_sales_usd is None else maker.total_sales_usd,
        food_sales_usd=unknown if maker.food_sales_usd is None else maker.food_sales_usd,
        direct=bool(around.direct),
        people=unknown if maker.people is None else maker.people,
        units=unknown if around.units is None else around.units,
        claims=claims,
        notice=maker.notice,
        on=on,
    )
    if found.exempt:
        return replace(found, reasons=(*found.reasons, STILL))
    missing = [
        words
        for words, figure in (
            ("total or food sales a year", maker.total_sales_usd if maker.food_sales_usd is None else 0.0),
            ("people", maker.people),
            ("units a year", around.units),
            ("how it is sold", around.direct),
        )
        if figure is None and not (words.startswith("total") and around.direct is False)
    ]
    if around.direct and not claims:
        on_site = "(j)(3) may exempt what is made ready to eat mainly on site and sold only there; no figure tells it"
        found = replace(found, reasons=(*found.reasons, on_site))
    if missing and not claims:
        return Exemption(False, (), found.notice_needed, (f"nobody said: {', '.join(missing)}",))
    return found
