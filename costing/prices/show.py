"""The prices that a shop uses on a day, each beside its rivals, for the command line."""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING, Any

from costing import money, terminal
from costing.findings import Finding, ShopError
from costing.prices.book import PriceBook

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from costing.prices.book import Priced, PricedEach
    from costing.shop.models import ShopModel

Json = dict[str, Any]


def entries(model: ShopModel, day: date, names: Sequence[str] = ()) -> list[Json]:
    """The price used for each ingredient and piece of packaging.

    Args:
        model: the shop.
        day: whose prices count.
        names: the things asked for; none means all of them.

    Returns:
        One document each: ``name``, ``kind``, ``used`` (None where nothing is), ``rivals``, and for what comes out
        of another bought thing ``from``. Prices are in the shop's currency, ``per_kg`` as bought; ``freight_counted``
        is the share for freight that is in them, ``freight_share`` all that there is (None where nobody knows).

    Raises:
        ShopError: the shop knows no such thing.
    """
    book = PriceBook(model, day)
    known = [*model.ingredients, *(item for item in model.packaging() if item not in model.ingredients)]
    missing = [name for name in names if name not in known]
    if missing:
        raise ShopError(tuple(_unknown(name, known) for name in missing))
    return [_entry(book, name) for name in (names or known)]


def _unknown(name: str, known: Sequence[str]) -> Finding:
    near = difflib.get_close_matches(name, known, n=1)
    mend = (
        f"did you mean '{near[0]}'?"
        if near
        else "the names are those in ingredients.yaml, of the containers and of cones"
    )
    return Finding("error", "ingredients.yaml", f"nothing is called '{name}'", mend)


def _entry(book: PriceBook, name: str) -> Json:
    ingredient = book.model.ingredients.get(name)
    if ingredient is None:
        pieces = [_each(one) for one in book.item_offers(name)]
        return {"name": name, "kind": "packaging", "used": pieces[0] if pieces else None, "rivals": pieces[1:]}
    grams = [_gram(one) for one in book.offers(name)]
    out: Json = {"name": name, "kind": "ingredient", "used": grams[0] if grams else None, "rivals": grams[1:]}
    if ingredient.comes_from:
        out["from"] = {source: share.mid for source, share in ingredient.comes_from.items()}
    return out


def _gram(offer: Priced) -> Json:
    return _offer(offer, offer.item) | {
        "per_kg": 1000.0 * offer.per_gram,
        "per_usable_kg": 1000.0 * offer.per_usable_gram,
        "pack_g": offer.pack_g,
    }


def _each(offer: PricedEach) -> Json:
    return _offer(offer, offer.name) | {"per_each": offer.per_each, "pieces": offer.pieces}


def _offer(offer: Priced | PricedEach, item: str) -> Json:
    return {
        "supplier": offer.supplier,
        "item": item,
        "pack": offer.pack,
        "price": offer.price,
        "currency": offer.currency,
        "price_date": offer.date,
        "where": offer.where,
        "freight_share": offer.freight,
        "freight_counted": offer.counted,
    }


def text(results: Sequence[Json], model: ShopModel) -> str:
    """The same as a table for people."""
    rows: list[tuple[str, ...]] = []
    for entry in results:
        if entry.get("from"):
            sources = ", ".join(f"{money.percent(100 * s, model.locale)} of {n}" for n, s in entry["from"].items())
            rows.append((entry["name"], f"comes from: {sources}", "", "", "", "", ""))
            continue
        if entry["used"] is None:
            rows.append((entry["name"], "no price", "", "", "", "", ""))
            continue
        rows.append((entry["name"], *_cells(entry["used"], model)))
        rows.extend(("  or", *_cells(rival, model)) for rival in entry["rivals"])
    heads = ("thing", "supplier", "pack", "price", "since", "a kg or piece", "a usable kg")
    shown = terminal.table(heads, rows, right=(3, 5, 6))
    return f"{shown}\n\nA kg or piece is with freight, as costs count it." if model.count_freight else shown


def _cells(offer: Json, model: ShopModel) -> tuple[str, ...]:
    if not offer["supplier"]:
        return ("free", "", "", "", "", "")
    pieces = "per_each" in offer
    one = offer["per_each"] if pieces else offer["per_kg"]
    usable = "" if pieces else money.show(offer["per_usable_kg"], model.currency, model.locale)
    return (
        f"{offer['supplier']}: {offer['item']}",
        offer["pack"],
        money.show(offer["price"], offer["currency"], model.locale),
        offer["price_date"].isoformat(),
        money.show(one, model.currency, model.locale, digits=4 if pieces else None),
        usable,
    )
