"""What a label preparer must know besides the panel: alcohol, animal tissue, pasteurisation, sulphites and more.

The sentences lie in ``data/law/us/cautions.csv``, each with its rule; here is only when each of them applies.
"""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING

from nutrition.law.us import added_sugars, ingredient_statement, solids
from nutrition.law.us.label import Note
from nutrition.law.us.tables import nano, rows

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from datetime import date

    from nutrition.law.us.alcohol import Shares
    from nutrition.product import Component, Product


@functools.cache
def _table(on: date | None) -> Mapping[str, Mapping[str, str]]:
    return {row["key"]: row for row in rows("cautions.csv", on)}


@functools.cache
def _sulphites() -> Mapping[str, tuple[Mapping[str, str], ...]]:
    table = rows("sulphites.csv")
    return {what: tuple(r for r in table if r["what"] == what) for what in ("limit", "word", "often")}


def note(key: str, on: date | None = None, **words: object) -> Note:
    """One caution of the table with its words filled in.

    Raises:
        KeyError: there is none of that key.

    >>> note("alcohol line", most="0.8").rule
    'state law; New York from 0.5 to 5 % by volume'
    """
    row = _table(on)[key]
    words = {"limit": row["limit"], **words}
    return Note(row["level"], row["what"].format(**words), row["mend"].format(**words), row["rule"], row["about"])


def limit(key: str, on: date | None = None) -> float:
    """The figure that a caution turns on."""
    return float(_table(on)[key]["limit"])


def names(components: Iterable[Component]) -> str:
    """The names of components, once each."""
    return ", ".join(dict.fromkeys(c.name for c in components))


def cautions(product: Product, alcohol: Shares, statement: str, on: date | None = None) -> tuple[Note, ...]:
    """Every caution that applies to a product.

    Args:
        product: the food.
        alcohol: its alcohol in per cent.
        statement: its ingredient statement, in which sulphites must stand.
        on: the day whose rules apply.
    """
    return (
        *_net_quantity(product, on),
        *_alcohol(product, alcohol, on),
        *_meat(product, on),
        *_sulphite(product, statement, on),
        *_others(product, on),
    )


def _net_quantity(product: Product, on: date | None) -> Iterator[Note]:
    # Conversions between units may be off by a thousand-millionth.
    if nano(product.net_ml * (1 + 1e-9)) < nano(product.declared_ml):
        yield note("below declared", on, net=f"{product.net_ml:.1f}", declared=f"{product.declared_ml:.1f}")


def _alcohol(product: Product, alcohol: Shares, on: date | None) -> Iterator[Note]:
    # A trace that prints as nothing is no news.
    if round(alcohol.most_volume_pct, 2) <= limit("alcohol", on):
        return
    most = f"{alcohol.most_volume_pct:.2f}"
    yield note("alcohol", on, volume=f"{alcohol.volume_pct:.2f}", weight=f"{alcohol.weight_pct:.2f}", most=most)
    if alcohol.most_volume_pct >= limit("alcohol line", on):
        yield note("alcohol line", on, most=most)
    boozy = [c for c in product.components if c.composition.bounds("alcohol")[1] > 0]
    together = {label for c in boozy for label in c.groups}
    # Alcohol of the mix around a piece does not make the piece a confectionery with alcohol.
    sweets = [
        c for c in product.components if c.bulky in {"chocolate", "other"} and (c in boozy or together & set(c.groups))
    ]
    if sweets and alcohol.most_volume_pct >= limit("alcohol in candy", on):
        yield note("alcohol in candy", on, names=names(sweets))


def _meat(product: Product, on: date | None) -> Iterator[Note]:
    # A rendered fat that is bought as such has class "fat"; its tissue stayed with whoever rendered it.
    meat = [c for c in product.components if c.kind == "meat"]
    if not meat:
        return
    fat = sum(c.composition.bounds("total_fat")[1] for c in meat)
    sure = sum(c.composition.bounds("total_fat")[0] for c in meat)
    tissue = max(0.0, sum(c.present_g for c in meat) - sure) / product.net_g * 100
    fat_pct = fat / product.net_g * 100
    yield note("meat", on, names=names(meat), tissue=f"{tissue:.2f}", fat=f"{fat_pct:.2f}")
    if tissue >= limit("meat tissue", on):
        yield note("meat tissue", on, tissue=f"{tissue:.2f}")
    if fat_pct > limit("meat fat", on):
        yield note("meat fat", on, fat=f"{fat_pct:.2f}")


def _sulphite(product: Product, statement: str, on: date | None) -> Iterator[Note]:
    ppm = ingredient_statement.sulphites_ppm(product.components, product.net_g)
    if nano(ppm) >= nano(limit("sulphites", on)):
        declared = any(row["text"] in statement.casefold() for row in _sulphites()["word"])
        yield note("sulphites named" if declared else "sulphites", on, ppm=f"{ppm:.0f}")
    often = {row["text"] for row in _sulphites()["often"]}
    silent = [c for c in product.components if c.sulphites_ppm is None and {c.kind, c.bulky} & often]
    if silent:
        yield note("sulphites unknown", on, names=names(silent))


def _others(product: Product, on: date | None) -> Iterator[Note]:
    parts = product.components
    whole = {c.ingredient for c in parts if not c.given_only}
    given = [c for c in parts if c.given_only and c.ingredient not in whole]
    if given:
        yield note("given only", on, names=names(given))
    no_brix = [c for c in parts if c.concentrated and added_sugars.brix_of(c) is None]
    if no_brix:
        yield note("brix", on, names=names(no_brix))
    kinds = {c.kind for c in parts}
    if kinds & {"dairy", "egg", "egg yolk"}:
        yield note("pasteurised", on)
    if any(solids.egg_yolk_solids(c).high > 0 or c.kind == "egg" for c in parts):
        yield note("eggs", on)
    yield note("calculated", on)
