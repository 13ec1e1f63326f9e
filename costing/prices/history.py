"""What things have cost over time, on all lists: every price by date, and what the shop would have paid.

The price of a row is that of a kilogram (of packaging: of a piece) as bought, without freight; in the shop's money it
is by the rate of the row's own day. A change is against the same supplier's item on its list before: the same pack if
it had that, else its cheapest. What the shop would have paid follows the rules of :mod:`costing.prices.book`, day by
day.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from costing import terminal
from costing.findings import place
from costing.money import percent
from costing.money import show as shown
from costing.prices import rates, show
from costing.prices.book import PriceBook, UnusableError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.shop.models import PriceRow, ShopModel

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Entry:
    """One price on one list.

    Args:
        date: from when it holds.
        supplier: who sells it.
        item: the supplier's name for it.
        pack: as the list has it.
        price: of the pack, in ``currency``.
        currency: of the list.
        where: file and line.
        per: of a kilogram or a piece, in ``currency``; None where the pack cannot be turned into either.
        home: the same in the shop's currency; None without a rate on its day.
        change: against the price before, as a share of it; None for the first.
    """

    date: date
    supplier: str
    item: str
    pack: str
    price: float
    currency: str
    where: str
    per: float | None
    home: float | None
    change: float | None


@dataclass(frozen=True, slots=True)
class Paid:
    """What the shop would have paid from a day on.

    Args:
        date: the day.
        supplier: whose price counts.
        home: for a kilogram or a piece as bought, in the shop's currency, as costs have it; None where there is none.
        change: against the day before, as a share.
        since_first: against the first price, as a share.
    """

    date: date
    supplier: str
    home: float | None
    change: float | None
    since_first: float | None


@dataclass(frozen=True, slots=True)
class History:
    """The history of one thing.

    Args:
        name: the thing.
        kind: ``ingredient`` or ``packaging``.
        entries: every price on every list.
        paid: what the shop would have paid.
        rated: prices that hold on when a rate of their currency begins, as they are from that day on in the shop's
            currency; no list brought these.
    """

    name: str
    kind: str
    entries: tuple[Entry, ...]
    paid: tuple[Paid, ...]
    rated: tuple[Entry, ...] = ()

    @property
    def unit(self) -> str:
        """What the prices are for."""
        return "kg" if self.kind == "ingredient" else "piece"


def of(model: ShopModel, day: date, names: Sequence[str], since: date | None = None) -> list[History]:
    """The history of some things.

    Args:
        model: the shop.
        day: the last day that is looked at.
        names: the things; none means all that the shop buys.
        since: the first day that is told of, with what held on it already; None: from the first list on.

    Raises:
        ShopError: the shop knows no such thing.
    """
    known = show.entries(model, day, names)
    rows: dict[str, list[PriceRow]] = {}
    for row in model.prices:
        if row.date <= day:
            rows.setdefault(row.ingredient, []).append(row)
    found = []
    for entry in known:
        name = entry["name"]
        if entry.get("from") or (name not in rows and not names):
            continue
        own = sorted(rows.get(name, ()), key=lambda r: (r.date, r.supplier.casefold(), r.item, r.price))
        small = replace(model, prices=tuple(own))
        entries = _entries(small, own)
        rated = _rated(model, entries, day)
        if since is not None:
            held = {(one.supplier, one.item): one.date for one in entries if one.date <= since}
            entries, rated = (
                [one for one in those if one.date >= held.get((one.supplier, one.item), since)]
                for those in (entries, rated)
            )
        found.append(History(name, entry["kind"], tuple(entries), _paid(small, own, name, day, since), tuple(rated)))
    return found


def _rated(model: ShopModel, entries: Sequence[Entry], day: date) -> list[Entry]:
    """Prices in other currencies on the days on which a rate begins, each of the newest list of its item by then."""
    items: dict[tuple[str, str], list[Entry]] = {}
    for one in entries:
        items.setdefault((one.supplier, one.item), []).append(one)
    found: list[Entry] = []
    for those in items.values():
        lists = sorted({one.date for one in those})
        for began in sorted({began for one in those for began in _began(model, one.currency) if began <= day}):
            newest = max((one for one in lists if one <= began), default=None)
            if newest is None or newest == began:
                continue
            for one in those:
                if one.date == newest and one.per is not None and began in _began(model, one.currency):
                    home = rates.converted(model, one.per, one.currency, began)
                    found.append(replace(one, date=began, home=home, change=None))
    return found


def _began(model: ShopModel, code: str) -> frozenset[date]:
    """The days on which a rate of a currency begins; none for the shop's own, and where rates have no date."""
    rate = model.rates.get(code)
    return frozenset() if code == model.currency or isinstance(rate, float | None) else frozenset(rate)


def _entries(model: ShopModel, rows: Sequence[PriceRow]) -> list[Entry]:
    before: dict[tuple[str, str], list[tuple[PriceRow, float]]] = {}
    found: list[Entry] = []
    pending: dict[tuple[str, str], list[tuple[PriceRow, float]]] = {}
    at: date | None = None
    for row in rows:
        if row.date != at:
            before |= pending
            pending, at = {}, row.date
        key = (row.supplier, row.item)
        per = _per(model, row)
        change = None
        if per is not None:
            pending.setdefault(key, []).append((row, per))
            change = _change(row, per, before.get(key, ()))
        home = None if per is None else rates.converted(model, per, row.currency, row.date)
        found.append(
            Entry(row.date, row.supplier, row.item, row.pack, row.price, row.currency, row.where, per, home, change)
        )
    return found


def _change(row: PriceRow, per: float, before: Sequence[tuple[PriceRow, float]]) -> float | None:
    alike = [was for other, was in before if other.currency == row.currency and other.pack == row.pack]
    alike = alike or [was for other, was in before if other.currency == row.currency]
    return per / min(alike) - 1.0 if alike else None


def _per(model: ShopModel, row: PriceRow) -> float | None:
    """What a kilogram or a piece costs in the list's own currency, without freight."""
    bare = replace(model, currency=row.currency, count_freight=False, prices=())
    book = PriceBook(bare, row.date)
    entry = model.ingredients.get(row.ingredient)
    try:
        if entry is None:
            return book.price_each(row).per_each
        return 1000.0 * book.price_gram(row, entry).per_gram
    except UnusableError:
        return None


def _paid(model: ShopModel, rows: Sequence[PriceRow], name: str, day: date, since: date | None) -> tuple[Paid, ...]:
    """What would have been paid on every day on which a list or a rate began to hold."""
    days = {row.date for row in rows}
    codes = {row.currency for row in rows} - {model.currency}
    for code in codes:
        days |= {one for one in _began(model, code) if min(days) <= one <= day}
    found: list[Paid] = []
    first: float | None = None
    last: float | None = None
    for one in sorted(days):
        book = PriceBook(model, one)
        offer = book.ingredient(name) if name in model.ingredients else book.item(name)
        money = None if offer is None else _home(offer)
        supplier = offer.supplier if offer else ""
        first = money if first is None else first
        change = money / last - 1.0 if money is not None and last else None
        total = money / first - 1.0 if money is not None and first else None
        if not found or (supplier, money) != (found[-1].supplier, found[-1].home):
            found.append(Paid(one, supplier, money, change, total))
        last = money if money is not None else last
    began = max((one.date for one in found if since is not None and one.date <= since), default=since)
    return tuple(one for one in found if began is None or one.date >= began)


def _home(offer: Any) -> float:
    return 1000.0 * offer.per_gram if hasattr(offer, "per_gram") else float(offer.per_each)


def document(found: History) -> Json:
    """A history for other programs."""
    return {
        "name": found.name,
        "kind": found.kind,
        "unit": found.unit,
        "prices": [
            {
                "date": one.date, "supplier": one.supplier, "item": one.item, "pack": one.pack, "price": one.price,
                "currency": one.currency, "per_unit": one.per, "per_unit_home": one.home, "change": one.change,
                "where": one.where,
            }
            for one in found.entries
        ],
        "paid": [
            {
                "date": one.date, "supplier": one.supplier, "per_unit_home": one.home, "change": one.change,
                "change_since_first": one.since_first,
            }
            for one in found.paid
        ],
    }  # fmt: skip


def text(found: History, model: ShopModel) -> tuple[str, ...]:
    """A history as tables for people."""
    name = terminal.clean(found.name)
    if not found.entries:
        return (f"{name}: no list has a price for it in this time.",)
    digits = None if found.unit == "kg" else 4
    heads = ("from", "supplier", "pack", "price", f"a {found.unit}", "change", "list and line")
    rows = [
        (
            one.date.isoformat(),
            f"{one.supplier}: {one.item}",
            one.pack,
            shown(one.price, one.currency, model.locale),
            "not known" if one.per is None else shown(one.per, one.currency, model.locale, digits),
            changed(one.change, model.locale),
            place(one.where),
        )
        for one in found.entries
    ]
    paid = [
        (
            one.date.isoformat(),
            one.supplier or "nobody",
            "not known" if one.home is None else shown(one.home, model.currency, model.locale, digits),
            changed(one.change, model.locale),
            changed(one.since_first, model.locale),
        )
        for one in found.paid
    ]
    freight = ", with freight" if model.count_freight else ""
    used = ("counts from", "supplier", f"a {found.unit}{freight}", "change", "since the first")
    return (
        f"{name}\n\n{terminal.table(heads, rows, right=(3, 4, 5))}",
        terminal.table(used, paid, right=(2, 3, 4)),
    )


def changed(share: float | None, locale: str) -> str:
    """A change in per cent, with its sign; empty where there is none to tell.

    >>> changed(0.0714, "en_US"), changed(-0.25, "de_DE"), changed(0.0, "en_US"), changed(None, "en_US")
    ('+7.1%', '−25,0\\xa0%', '0.0%', '')
    """
    if share is None:
        return ""
    said = percent(100 * abs(share), locale)
    return said if round(abs(share), 9) == 0 else f"{'+' if share > 0 else '−'}{said}"
