"""What is odd about a list: on its own, beside what the shop knows, and beside the supplier's list before it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Final

from costing import money
from costing.findings import Finding, cell_place, place
from costing.prices import packs, rates
from costing.prices.book import PriceBook, UnusableError
from nutrition import resources

if TYPE_CHECKING:
    from costing.shop.models import Ingredient, PriceRow, ShopModel

JUMP: Final = 0.25
"""A price that moved by more than this share is worth a look."""
_NO_LIST: Final = "prices/prices.csv"
"""What rows of a workbook stand for that name no list."""
SAME_PRICE: Final = 0.005
"""Prices within this share are the same price."""
_OUNCE: Final = re.compile(r"(\d)\s*-?\s*oz\b\.?", re.IGNORECASE)
_WATERY: Final = 50.0
"""g of water in 100 g from which a liquid may be sold by the fluid ounce"""
MOST_TOLD: Final = 40
"""Findings of one kind that are told one by one."""


@dataclass(frozen=True, slots=True)
class Earlier:
    """The newest earlier list of a supplier.

    Args:
        file: its name in the shop folder, or its first row in a workbook.
        day: the newest day on it.
        rows: what stands on it.
    """

    file: str
    day: date
    rows: tuple[PriceRow, ...]


def earlier(model: ShopModel, supplier: str, day: date) -> Earlier | None:
    """The newest list of a supplier before a day, or of that day.

    Args:
        model: the shop, as it was before the new list.
        supplier: its name.
        day: of the new list.
    """
    files: dict[str, list[PriceRow]] = {}
    for row in model.prices:
        if row.supplier.casefold() == supplier.casefold() and row.date <= day:
            files.setdefault(_list_of(row), []).append(row)
    if not files:
        return None
    newest = max(max(row.date for row in rows) for rows in files.values())
    # A list that came in two parts on one day is one list.
    names = sorted(name for name, rows in files.items() if max(row.date for row in rows) == newest)
    rows = _once(row for name in names for row in files[name])
    return Earlier(rows[0].where if cell_place(rows[0].where) else " and ".join(names), newest, rows)


def _once(rows: Iterable[PriceRow]) -> tuple[PriceRow, ...]:
    """Rows, those that stand on two parts of a list only once: a list is added again when more of it is known."""
    kept: dict[tuple[str, str, float, str, date], PriceRow] = {}
    for row in rows:
        key = (row.item, row.pack, row.price, row.currency, row.date)
        if key not in kept or (row.ingredient and not kept[key].ingredient):
            kept[key] = row
    return tuple(kept.values())


def _list_of(row: PriceRow) -> str:
    """The list that a row came with; rows of a workbook that name none came with those of their day."""
    file = row.where.rpartition(":")[0]
    return f"{file} {row.date}" if file == _NO_LIST and cell_place(row.where) else file


def fitting(rows: Sequence[PriceRow], model: ShopModel, day: date) -> Iterator[Finding]:
    """Rows of things the shop buys that it cannot use: a unit that does not fit, a currency without a rate."""
    # Freight that nobody has stated is no fault of the list.
    book = PriceBook(replace(model, count_freight=False), day)
    told: set[str] = set()
    for row in rows:
        if not row.ingredient:
            continue
        ingredient = model.ingredients.get(row.ingredient)
        try:
            if ingredient is None:
                book.price_each(row)
            else:
                book.price_gram(row, ingredient)
        except UnusableError as problem:
            what = str(problem)
            if what.startswith("the price is in "):
                if row.currency in told:
                    continue
                told.add(row.currency)
            yield Finding("warning", row.where, what, problem.mend)


def ounces(rows: Sequence[PriceRow], model: ShopModel, mapping: str) -> Iterator[Finding]:
    """Liquids in packs of plain ounces, which are taken as a weight, the first time that an item comes in such a pack.

    Args:
        rows: of the new list.
        model: the shop, with what was on earlier lists.
        mapping: file in which the owner may say what a pack means.
    """
    seen = {(row.supplier.casefold(), row.item) for row in model.prices if _OUNCE.search(row.pack)}
    day = max((row.date for row in rows), default=date.min)
    book = PriceBook(replace(model, count_freight=False), day)
    for row in rows:
        ingredient = model.ingredients.get(row.ingredient)
        fluid = _OUNCE.sub(r"\1 fl oz", row.pack)
        if ingredient is None or fluid == row.pack or (row.supplier.casefold(), row.item) in seen:
            continue
        if not _liquid(ingredient, model):
            continue
        try:
            cheaper = 1.0 - book.price_gram(row.model_copy(update={"pack": fluid}), ingredient).per_gram / (
                book.price_gram(row, ingredient).per_gram
            )
        except UnusableError:
            continue  # that it cannot be used is told elsewhere
        less = money.percent(100.0 * abs(cheaper), model.locale)
        what = (
            f"'{row.pack}' of '{row.item}' is taken as ounces of weight; if they are fluid ounces, a kilogram costs "
            f"{less} {'less' if cheaper > 0 else 'more'}"
        )
        mend = f'then write "{row.pack}": {fluid} under "packs" in {mapping}, take the new list away and add it again'
        yield Finding("note", row.where, what, mend)


def _liquid(ingredient: Ingredient, model: ShopModel) -> bool:
    """Whether it is poured: mostly water, and no solid thing."""
    record = model.foods.get(ingredient.food)
    states = {row["class"]: row["state"] for row in resources.table("kitchen", "states.csv")}
    state = ingredient.state or states[ingredient.kind]
    return record is not None and state == "liquid" and (record.composition.amount("water") or 0.0) >= _WATERY


def twice(rows: Sequence[PriceRow]) -> Iterator[Finding]:
    """An item that stands on the list twice in one pack with two prices."""
    first: dict[tuple[str, str], PriceRow] = {}
    for row in rows:
        other = first.setdefault((row.item, row.pack), row)
        if other is not row and (other.price, other.currency) != (row.price, row.currency):
            prices = f"{row.price:,.2f} here and {other.price:,.2f} at {place(other.where)}"
            what = f"'{row.item}' has two prices for one pack, {prices}"
            yield Finding("warning", row.where, what, "ask the supplier which one holds; the lower one would be used")


def freight(supplier: str, model: ShopModel) -> Iterator[Finding]:
    """A supplier whose prices must wait, because the shop counts freight and nobody has stated this one's."""
    known = {name.casefold(): one for name, one in model.suppliers.items()}.get(supplier.casefold())
    if model.count_freight and (known is None or known.share is None):
        what = f"the shop counts freight, and that of '{supplier}' is not known: its prices are kept and not taken yet"
        mend = "write it under 'suppliers' in shop.yaml, such as 'freight: 18 per order, usual order: 240' or 'none'"
        where = model.at("suppliers") if cell_place(model.at("suppliers")) else "shop.yaml"
        yield Finding("warning", where, what, mend)


def mixed(rows: Sequence[PriceRow]) -> Iterator[Finding]:
    """A list in two currencies or more, whether the shop has rates for them or not."""
    currencies: dict[str, PriceRow] = {}
    for row in rows:
        currencies.setdefault(row.currency, row)
    if len(currencies) > 1:
        counted = {code: sum(row.currency == code for row in rows) for code in currencies}
        usual = max(counted, key=lambda code: counted[code])
        sizes = {code: f"{n} row{'' if n == 1 else 's'} in {code}" for code, n in counted.items()}
        others = ", ".join(words for code, words in sizes.items() if code != usual)
        odd = next(row for row in rows if row.currency != usual)
        what = f"the list has two currencies or more: {sizes[usual]}, {others}"
        yield Finding("warning", odd.where, what, "each row keeps its own; check that the marks are right")


def against(before: Earlier, rows: Sequence[PriceRow], model: ShopModel, without_price: Iterable[str]) -> list[Finding]:
    """What changed since the list before.

    Args:
        before: the earlier list.
        rows: the new one.
        model: the shop.
        without_price: items that are on the new list, but cannot be used.
    """
    old, new = _by_item(before.rows), _by_item(rows)
    used = {row.item for row in (*before.rows, *rows) if row.ingredient}
    there = set(without_price)
    out: list[Finding] = []
    for item, now in new.items():
        if item in old and item in used:
            out.extend(_changed(old[item], now, before, model))
    gone = [item for item in old if item not in new and item not in there]
    fresh = [item for item in new if item not in old]
    for item in gone:
        if item in used:
            name = old[item][0].ingredient
            what = f"'{item}' ({name}) stood on the list of {before.day.isoformat()} and is gone"
            mend = f"its last price goes on counting; find another supplier for {name}, or ask for it"
            out.append(Finding("warning", old[item][0].where, what, mend))
    for item in fresh:
        if item in used:
            what = f"'{item}' ({new[item][0].ingredient}) is new since {before.day.isoformat()}"
            out.append(Finding("note", new[item][0].where, what))
    others = (sum(item not in used for item in gone), sum(item not in used for item in fresh))
    if any(others):
        what = f"of what the shop does not use, {others[0]} items are gone and {others[1]} are new"
        out.append(Finding("note", before.file, what))
    return out


def _by_item(rows: Iterable[PriceRow]) -> dict[str, list[PriceRow]]:
    found: dict[str, list[PriceRow]] = {}
    for row in rows:
        found.setdefault(row.item, []).append(row)
    return found


def _changed(old: Sequence[PriceRow], new: Sequence[PriceRow], before: Earlier, model: ShopModel) -> Iterator[Finding]:
    """What changed about one item, pack by pack; a pack that is left alone on both sides is the same one, changed."""
    pairs: list[tuple[PriceRow, PriceRow]] = []
    rest = list(old)
    alone = []
    for row in new:
        match = next((one for one in rest if _same_pack(one, row)), None)
        if match is None:
            alone.append(row)
        else:
            rest.remove(match)
            pairs.append((match, row))
    if len(rest) == 1 and len(alone) == 1:
        pairs.append((rest[0], alone[0]))
    for was, now in pairs:
        yield from _pair(was, now, before, model)


def _pair(was: PriceRow, now: PriceRow, before: Earlier, model: ShopModel) -> Iterator[Finding]:
    day = before.day.isoformat()
    name = f"'{now.item}'"
    if was.ingredient and now.ingredient and was.ingredient != now.ingredient:
        what = (
            f"{name} was {was.ingredient} on the list of {day}, and is {now.ingredient} now: one item, two ingredients"
        )
        yield Finding("warning", now.where, what, f"correct the supplier's mapping, or the row at {place(was.where)}")
    if was.currency != now.currency:
        yield Finding("warning", now.where, f"{name} was priced in {was.currency} and is in {now.currency} now")
    paid, asked = was.price, now.price
    if was.currency != now.currency:
        # By one day's rate, so that a jump is the supplier's and not the currency's.
        ours = [rates.converted(model, row.price, row.currency, now.date) for row in (was, now)]
        if ours[0] is None or ours[1] is None:
            return
        paid, asked = ours[0], ours[1]
    told = False
    size_was, size_now = _size(was), _size(now)
    if size_was is not None and size_now is not None:
        (kind, size), (other_kind, other_size) = size_was, size_now
        if kind == other_kind and abs(other_size / size - 1) > 1e-9:
            change = _percent(other_size / size - 1, model)
            told = abs(asked / paid - 1) <= SAME_PRICE
            if told:
                what = f"the pack of {name} changed from {was.pack} to {now.pack} ({change}) at the same price"
                yield Finding("warning", now.where, what, "its cost per weight changed by as much; check the list")
            else:
                yield Finding("note", now.where, f"the pack of {name} changed from {was.pack} to {now.pack} ({change})")
        elif kind != other_kind:
            what = f"the pack of {name} changed from {was.pack} to {now.pack}, another kind of measure"
            yield Finding("warning", now.where, what, "check the list")
            return
        paid, asked = paid / size, asked / other_size
    elif was.pack != now.pack:
        return
    # Nine decimals, so that a rise of exactly a quarter is none above it.
    if abs(round(asked / paid - 1, 9)) > JUMP and not told:
        what = (
            f"the price of {name} jumped by {_percent(asked / paid - 1, model)} since {day}: "
            f"{was.price:,.2f} {was.currency} for {was.pack}, now {now.price:,.2f} {now.currency} for {now.pack}"
        )
        yield Finding("warning", now.where, what, "check pack and price; if they are right, nothing is to be done")


def _same_pack(one: PriceRow, other: PriceRow) -> bool:
    if one.pack == other.pack:
        return True
    sizes = _size(one), _size(other)
    if sizes[0] is None or sizes[1] is None or sizes[0][0] != sizes[1][0]:
        return False
    return abs(sizes[0][1] / sizes[1][1] - 1) <= 1e-9


def _size(row: PriceRow) -> tuple[str, float] | None:
    try:
        pack = packs.parse(row.pack)
    except ValueError:
        return None
    return pack.kind, pack.amount


def _percent(share: float, model: ShopModel) -> str:
    sign = "+" if share > 0 else "−"
    return f"{sign}{money.percent(100 * abs(share), model.locale, 0)}"


def limited(found: Iterable[Finding]) -> list[Finding]:
    """Findings, of each kind only so many; the rest is counted."""
    kept: list[Finding] = []
    counts: dict[tuple[str, str], int] = {}
    for one in found:
        kind = (one.level, one.mend)
        counts[kind] = counts.get(kind, 0) + 1
        if counts[kind] <= MOST_TOLD:
            kept.append(one)
    for (level, mend), count in counts.items():
        if count > MOST_TOLD:
            where = kept[0].where.rpartition(":")[0]
            what = f"{count - MOST_TOLD} more rows like these"
            kept.append(Finding(level, where, what, mend))  # type: ignore[arg-type]  # a level that a finding had
    return kept
