"""Goods that would cost many times what the shop knows for the same thing: mostly a pack or a column misread.

A price for a case that is taken for a pound, or one for a piece that is taken for the case, is out by the number in
it: four at least. Suppliers of one thing seldom differ by as much.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from costing import money
from costing.findings import Finding
from costing.prices.book import PriceBook, UnusableError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from costing.shop.models import PriceRow, ShopModel

FAR: Final = 3.0
"""How many times what others ask is worth a question: less than the smallest case, of four."""


@dataclass(frozen=True, slots=True)
class Afar:
    """Goods that are far from what is known.

    Args:
        row: of the new list.
        words: what they would cost, and what others ask.
    """

    row: PriceRow
    words: str


@dataclass(frozen=True, slots=True)
class _Offer:
    row: PriceRow
    each: float
    kind: str


def afar(rows: Sequence[PriceRow], model: ShopModel, day: date) -> list[Afar]:
    """What would cost more than three times what every other offer asks, or less than a third of it.

    Args:
        rows: of a new list; goods that an earlier list of the supplier has are measured against that, not here.
        model: the shop, as it was before.
        day: of the new list.

    Returns:
        Those goods; money in the words is that of the shop, for a kg or a piece as bought.
    """
    quiet = replace(model, count_freight=False)
    book = PriceBook(quiet, day)
    seen = {(row.supplier.casefold(), row.item) for row in model.prices}
    by_name: dict[str, list[_Offer]] = {}
    for row in rows:
        if row.ingredient and (offer := _offer(row, book)) is not None:
            by_name.setdefault(row.ingredient, []).append(offer)
    found: list[Afar] = []
    for name, mine in by_name.items():
        suppliers = {one.row.supplier.casefold() for one in mine}
        known = [
            offer
            for row in book.rows(name)
            if row.supplier.casefold() not in suppliers and (offer := _offer(row, book)) is not None
        ]
        for one in mine:
            if (one.row.supplier.casefold(), one.row.item) in seen:
                continue
            # Those of the same list are a measure where there is no other.
            others = known or [other for other in mine if other is not one]
            words = _words(one, others, model)
            if words:
                found.append(Afar(one.row, words))
    return found


def findings(rows: Sequence[PriceRow], model: ShopModel, day: date) -> Iterator[Finding]:
    """The same as warnings, each in the row of the list that it is about.

    Args:
        rows: of a new list.
        model: the shop, as it was before.
        day: of the new list.
    """
    for one in afar(rows, model, day):
        mend = "check price, pack and unit on the list; if they are right, nothing is to be done"
        yield Finding("warning", one.row.where, one.words, mend)


def _offer(row: PriceRow, book: PriceBook) -> _Offer | None:
    ingredient = book.model.ingredients.get(row.ingredient)
    try:
        if ingredient is None:
            return _Offer(row, book.price_each(row).per_each, "a piece")
        return _Offer(row, 1000.0 * book.price_gram(row, ingredient).per_gram, "a kg")
    except UnusableError:
        return None  # that it cannot be used is told elsewhere


def _words(one: _Offer, others: Sequence[_Offer], model: ShopModel) -> str:
    dear = [other for other in others if one.each > FAR * other.each]
    cheap = [other for other in others if one.each < other.each / FAR]
    if not others or len(others) not in (len(dear), len(cheap)):
        return ""
    near = max(dear, key=lambda other: other.each) if dear else min(cheap, key=lambda other: other.each)
    times = one.each / near.each if dear else near.each / one.each
    how = "times" if dear else "times less than"
    many = money.number(times, model.locale, 0 if times >= 10 else 1)
    costs = f"'{one.row.item}' ({one.row.ingredient}) in packs of {one.row.pack} costs {_show(one, model)} {one.kind}"
    whose = f"of {near.row.supplier}" if near.row.supplier != one.row.supplier else f"of {near.row.pack} here"
    return f"{costs}, {many} {how} that {whose}, {_show(near, model)}"


def _show(one: _Offer, model: ShopModel) -> str:
    digits = 2 if one.each >= 1 else 4
    return money.show(one.each, model.currency, model.locale, digits)
