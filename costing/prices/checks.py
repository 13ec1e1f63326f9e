"""What is wrong with a shop's prices on a day, by file and line, all at once.

Only what the shop uses can stop it: a row for something that no recipe and no container asks for is a
warning at most, and rows that a newer one has replaced are history. Lists are added and never edited,
so an old mistake is mended by a newer row.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from datetime import timedelta
from itertools import islice
from typing import TYPE_CHECKING

from costing.findings import Finding
from costing.prices.book import PriceBook, UnusableError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import date

    from costing.findings import Level
    from costing.shop.models import PriceRow, ShopModel

STALE = timedelta(days=90)
"""A price list older than this is worth a warning (common practice: suppliers write a new one each season)."""
LITTLE_USED = 0.7
"""Of what is bought at least so much is mostly used; a food record that says less has shells, stones or bones in it,
and these are often not bought at all."""
MOST_ROWS = 50
"""Rows of one price list that are named one by one; a list with more mistakes has one mistake in common."""


def findings(model: ShopModel, as_of: date) -> tuple[Finding, ...]:
    """Everything that is wrong with the prices that count on a day.

    Args:
        model: the shop.
        as_of: the day.

    Returns:
        Errors where a row of something used cannot be read or has a price that is none; warnings where something used
        has no price, or a row waits for a rate, a weight or a freight, for
        lists that are older than 90 days, names that the shop does not know, and two prices for one pack.
    """
    book = PriceBook(model, as_of)
    ingredients, packaging = wanted(model)
    first = min((row.date for row in model.prices), default=as_of)
    if first > as_of and (ingredients or packaging):
        # One mistake, however many prices wait for it.
        what = f"every price is of a day after {as_of.isoformat()}, the first of {first.isoformat()}"
        return (Finding("error", "prices", what, f"add an earlier list, or ask with --as-of {first.isoformat()}"),)
    out: list[Finding] = []
    spoilt: dict[str, Level] = {}
    for name in _known(model, packaging):
        level: Level = "error" if name in ingredients or name in packaging else "warning"
        for found in _rows(book, name, level, packaging=name in packaging and name not in model.ingredients):
            spoilt[name] = "error" if "error" in (found.level, spoilt.get(name)) else found.level
            out.append(found)
    out = list(_limited(_once(out)))
    out.extend(_missing(book, ingredients, packaging, spoilt))
    out.extend(_shells(book, ingredients))
    out.extend(_twice(book, (*ingredients, *packaging)))
    out.extend(_old_lists(book, ingredients, packaging))
    out.extend(_strangers(model, packaging))
    out.extend(_suppliers(model))
    return tuple(out)


def wanted(model: ShopModel) -> tuple[dict[str, str], dict[str, str]]:
    """What the recipes need to buy.

    Args:
        model: the shop.

    Returns:
        Ingredients that are bought, and pieces of packaging, each with file and line of where it is asked for.
        An ingredient that comes from another one is replaced by that one.
    """
    ingredients: dict[str, str] = {}
    packaging: dict[str, str] = {}
    for recipe in model.recipes.values():
        for part in recipe.parts:
            for step in part.steps:
                if step.verb in ("add", "fold"):
                    for name in step.things:
                        if name in model.ingredients:
                            _bought(model, name, ingredients)
                elif step.verb == "fill":
                    for filling in step.container:
                        container = model.containers.get(filling.container)
                        for item in container.made_of if container else ():
                            packaging.setdefault(item, container.where if container else "")
    for channel in model.channels.values():
        for item in channel.scoops.cone if channel.scoops else ():
            packaging.setdefault(item, channel.at("cone"))
    return ingredients, packaging


def _bought(model: ShopModel, name: str, out: dict[str, str]) -> None:
    pending, seen = [name], set()
    while pending:
        ingredient = model.ingredients.get(one := pending.pop())
        if ingredient is None or one in seen:
            continue  # the shop's reader tells of unknown names and circles
        seen.add(one)
        if ingredient.comes_from:
            pending.extend(ingredient.comes_from)
        else:
            out.setdefault(one, ingredient.where)


def _known(model: ShopModel, packaging: Iterable[str]) -> Iterator[str]:
    yield from model.ingredients
    for item in packaging:
        if item not in model.ingredients:
            yield item


def _rows(book: PriceBook, name: str, level: Level, *, packaging: bool) -> Iterator[Finding]:
    """Rows of a name that cannot be used."""
    for row in book.rows(name):
        try:
            if packaging:
                book.price_each(row)
            else:
                book.price_gram(row, book.model.ingredients[name])
        except UnusableError as problem:
            # Where only a rate, a weight or a freight is wanting, the row waits for it; nothing in it is wrong.
            found: Level = "warning" if problem.wanting else level
            yield Finding(found, row.where, str(problem), problem.mend)


def _once(found: Iterable[Finding]) -> Iterator[Finding]:
    """A rate or a freight that is missing is one mistake, however many rows need it."""
    seen: dict[str, None] = {}
    for one in found:
        if one.what.startswith(("the price is in ", "the freight of ")):
            if one.what in seen:
                continue
            seen[one.what] = None
        yield one


def _limited(found: Iterable[Finding]) -> Iterator[Finding]:
    by_file: dict[str, list[Finding]] = {}
    for one in found:
        by_file.setdefault(_file(one.where), []).append(one)
    for file, those in by_file.items():
        yield from islice(those, MOST_ROWS)
        if len(those) > MOST_ROWS:
            worst: Level = "error" if any(one.level == "error" for one in those) else "warning"
            yield Finding(worst, file, f"{len(those) - MOST_ROWS} more rows of this list cannot be used either")


def _missing(
    book: PriceBook, ingredients: dict[str, str], packaging: dict[str, str], spoilt: dict[str, Level]
) -> Iterator[Finding]:
    for name, where in ingredients.items():
        if book.ingredient(name) is None:
            yield _no_price(book, name, where, spoilt, "an ingredient that a recipe uses")
    for name, where in packaging.items():
        if book.item(name) is None:
            yield _no_price(book, name, where, spoilt, "packaging that a recipe fills")


def _no_price(book: PriceBook, name: str, where: str, spoilt: dict[str, Level], what: str) -> Finding:
    """Why a name has no price: what it goes into costs an unknown amount then, and all else can be answered."""
    day = book.as_of.isoformat()
    ingredient = book.model.ingredients.get(name)
    fixed = ingredient.supplier if ingredient else None
    later = [row for row in book.model.prices if row.ingredient == name and row.date > book.as_of]
    if fixed is not None and any(row.supplier != fixed for row in book.rows(name)):
        others = ", ".join(sorted({row.supplier for row in book.rows(name)} - {fixed}))
        return Finding(
            "warning",
            where,
            f"'{fixed}', the supplier fixed for '{name}', has no usable price for it on {day}",
            f"add one, or take 'supplier' out of its entry; {others} sells it too",
        )
    if name in spoilt:
        mend = "mend what is said here of its rows in the price lists"
        return Finding(spoilt[name], where, f"'{name}', {what}, has no price that can be used", mend)
    if later:
        first = min(row.date for row in later).isoformat()
        return Finding(
            "warning",
            where,
            f"'{name}', {what}, has only prices after {day}, the first on {first}",
            f"add an earlier list, or ask with --as-of {first}",
        )
    mend = f"add a row with '{name}' in the column 'ingredient' to a file in prices/"
    return Finding("warning", where, f"'{name}', {what}, has no price", mend)


def _shells(book: PriceBook, ingredients: dict[str, str]) -> Iterator[Finding]:
    """Things of which the food record alone says that little is used: bought in the shell, or shelled already?"""
    for name, where in ingredients.items():
        entry = book.model.ingredients.get(name)
        if entry is None or entry.usable is not None or book.usable(entry) >= LITTLE_USED:
            continue
        share = f"{100 * book.usable(entry):.3g} %"
        yield Finding(
            "warning",
            where,
            f"of '{name}' as bought only {share} is counted as used, by the refuse in its food record",
            f"write 'usable: 100 %' in its entry if it comes without shell, stone or peel, else 'usable: {share}'",
        )


def _twice(book: PriceBook, names: Iterable[str]) -> Iterator[Finding]:
    for name in names:
        first: dict[tuple[str, str, str], PriceRow] = {}
        for row in book.rows(name):
            other = first.setdefault((row.supplier, row.item, row.pack), row)
            if (other.price, other.currency) != (row.price, row.currency):
                yield Finding(
                    "warning",
                    row.where,
                    f"'{row.item}' from '{row.supplier}' has two prices on {row.date.isoformat()}, "
                    f"this one and the one at {other.where}; the lower one is used",
                    "add a newer row with the right one",
                )


def _old_lists(book: PriceBook, ingredients: Iterable[str], packaging: Iterable[str]) -> Iterator[Finding]:
    """Lists from which a price is used, whose newest used row is too old; one warning for each list."""
    newest: dict[str, date] = {}
    used = [book.ingredient(name) for name in ingredients]
    pieces = [book.item(name) for name in packaging]
    for offer in (*used, *pieces):
        if offer is not None and offer.date is not None:
            file = _file(offer.where)
            newest[file] = max(newest.get(file, offer.date), offer.date)
    for file, day in sorted(newest.items()):
        age = book.as_of - day
        if age > STALE:
            yield Finding(
                "warning",
                file,
                f"prices of {day.isoformat()} are used, {age.days} days before {book.as_of.isoformat()}",
                "ask the supplier for a newer list and add it to prices/",
            )
    codes = {offer.currency for offer in (*used, *pieces) if offer is not None and offer.currency}
    yield from _old_rates(book.model, book.as_of, codes)


def _old_rates(model: ShopModel, day: date, codes: Iterable[str]) -> Iterator[Finding]:
    """Dated rates that are used and too old; a rate without a date cannot grow old."""
    for code in sorted(codes):
        rate = model.rates.get(code)
        began = max((one for one in rate if one <= day), default=None) if isinstance(rate, Mapping) else None
        if began is not None and day - began > STALE:
            what = (
                f"the rate of {code} used is of {began.isoformat()}, {(day - began).days} days before {day.isoformat()}"
            )
            yield Finding("warning", "shop.yaml", what, "add a newer one to 'rates'")


def _strangers(model: ShopModel, packaging: dict[str, str]) -> Iterator[Finding]:
    """Names in the price lists that nothing in the shop bears: mostly a slip in one of the two."""
    known = model.ingredients.keys() | set(model.packaging()) | packaging.keys() | {"", "water"}
    strange: dict[str, str] = {}
    for row in model.prices:
        if row.ingredient not in known:
            strange.setdefault(row.ingredient, row.where)
    for name, where in islice(strange.items(), MOST_ROWS):
        near = difflib.get_close_matches(name[:80], known, n=1, cutoff=0.75)
        mend = (
            f"did you mean '{near[0]}'?"
            if near
            else "leave the column 'ingredient' empty for what the shop does not use"
        )
        yield Finding("warning", where, f"nothing in the shop is called '{name}'", mend)


def _suppliers(model: ShopModel) -> Iterator[Finding]:
    """What is odd about what suppliers ask."""
    selling = {row.supplier.casefold(): row.supplier for row in model.prices}
    folded: dict[str, str] = {}
    for name, one in model.suppliers.items():
        twin = folded.setdefault(name.casefold(), name)
        if twin != name:
            yield Finding("error", one.where, f"'{name}' and '{twin}' are one supplier", "keep one of them")
        if name.casefold() not in selling and selling:
            near = difflib.get_close_matches(name.casefold(), selling, n=1)
            mend = f"did you mean '{selling[near[0]]}'?" if near else "write the name as the price lists have it"
            yield Finding("warning", one.where, f"no price list is of a supplier called '{name}'", mend)
        least, usual = one.minimum_order, one.usual_order
        if least is not None and usual is not None and usual < least:
            what = f"the usual order of '{name}' ({usual:,.2f}) is below its minimum order ({least:,.2f})"
            yield Finding("warning", one.at("usual order"), what, "order more at once, or correct one of the two")
        if one.freight is not None and one.share is None and not model.count_freight:
            what = f"over which order the freight of '{name}' falls is not known, so no price can take its share"
            yield Finding("warning", one.at("freight"), what, "write its 'usual order', such as 'usual order: 240'")
    for entry in model.ingredients.values():
        if entry.supplier and entry.prefer:
            what = f"'{entry.name}' has a fixed supplier, so there is nothing to prefer"
            yield Finding("warning", entry.at("prefer"), what, "take 'supplier' or 'prefer' out")


def _file(where: str) -> str:
    file, _, line = where.rpartition(":")
    return file if line.isdigit() or "!" in line else where
