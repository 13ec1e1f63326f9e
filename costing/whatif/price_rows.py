"""Changes of what is paid: for an ingredient by weight, volume or piece, for packaging by the piece.

A relative change moves every row of the thing, whoever sells it, so that the same supplier stays the one that is used.
A new price stands in place of all of them.
"""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING, Final

from costing.digits import UnreadableError
from costing.prices.book import PriceBook, UnusableError
from costing.shop import words
from costing.shop.models import PriceRow
from costing.whatif.changes import WHERE, Change, refused

if TYPE_CHECKING:
    from costing.shop.models import ShopModel

_PER: Final = re.compile(r"(.+?) ?(?:/| per | an? | (?=each$|ea$))(.*)", re.IGNORECASE)
_MONEY: Final = re.compile(r"(?:([A-Za-z]{3}) ?)?([0-9][0-9.,]*|\.[0-9]+)(?: ?([A-Za-z]{3}))?")


def changed(model: ShopModel, name: str, change: Change, day: date) -> tuple[PriceRow, ...]:
    """The rows of all price lists with one price changed.

    Args:
        model: the shop.
        name: an ingredient or a piece of packaging.
        change: what it should cost.
        day: whose prices count.

    Raises:
        ShopError: it has no price of its own, or the new one cannot be.
    """
    entry = model.ingredients.get(name)
    if entry is not None and entry.comes_from:
        source = next(iter(entry.comes_from))
        raise refused(f"{name} has no price of its own, it comes out of {source}", f'change that: "{source}=…"')
    if change.factor is None:
        new = _row(model, name, change, day)
        return (*(row for row in model.prices if row.ingredient != name), new)
    if change.factor <= 0:
        raise refused(f"{name} cannot cost nothing", "a price is above zero")
    if not any(row.ingredient == name for row in model.prices):
        raise refused(f"{name} has no price that could change by {change.value}", f'say what it costs: "{name}=…"')
    factor = change.factor
    return tuple(
        row.model_copy(update={"price": row.price * factor}) if row.ingredient == name else row for row in model.prices
    )


def _row(model: ShopModel, name: str, change: Change, day: date) -> PriceRow:
    entry = model.ingredients.get(name)
    example = f'"{name}=5.90 {model.currency}/kg"' if entry else f'"{name}=0.22 {model.currency} each"'
    found = _PER.fullmatch(change.value)
    if found is None and entry is not None:
        raise refused(f"'{change.value}' does not say per what {name} is sold", f"write it like {example}")
    money, unit = (found[1], found[2]) if found else (change.value, "each")
    written = _MONEY.fullmatch(money.strip())
    if written is None or (written[1] and written[3]):
        raise refused(f"'{change.value}' is no price of {name}", f"write it like {example}")
    try:
        price = words.money(written[2])
    except UnreadableError as wrong:
        raise refused(f"{name}: {wrong.what}", wrong.mend) from None
    book = PriceBook(model, day)
    used = book.ingredient(name) if entry else book.item(name)
    supplier = (entry.supplier if entry else None) or (used.supplier if used else "") or "what if"
    row = PriceRow(
        where=WHERE,
        supplier=supplier,
        item=name,
        ingredient=name,
        pack=unit.strip() or "each",
        price=price,
        currency=(written[1] or written[3] or model.currency).upper(),
        date=day,
    )
    try:
        if entry is not None:
            book.price_gram(row, entry)
        else:
            book.price_each(row)
    except UnusableError as wrong:
        raise refused(f"{change.text}: {wrong}", wrong.mend or f"write it like {example}") from None
    return row
