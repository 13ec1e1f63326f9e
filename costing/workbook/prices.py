"""Every row of every price list, and which of them was used, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing import money
from costing.findings import place
from costing.prices import compare, history
from costing.workbook.ingredients import used_lines
from costing.workbook.values import NA, Column, Value

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from costing.prices.compare import Json
    from costing.prices.history import Entry
    from costing.results import CostLine, RecipeAnswer
    from costing.shop.models import PriceRow, ShopModel
    from costing.workbook.grid import Sheet

NAME = "Prices"
WIDTHS = (20, 26, 22, 14, 11, 10, 13, 12, 10, 9, 12, 26, 30)


def write(sheet: Sheet, answers: Sequence[RecipeAnswer], model: ShopModel, day: date) -> None:
    """Write the sheet.

    Args:
        sheet: a new sheet with :data:`WIDTHS`.
        answers: everything about every recipe.
        model: the shop.
        day: the day of the prices.
    """
    sheet.title(
        "Prices",
        f"Every price received, and which of them count on {sheet.formats.day(day)}. Freight is spread by value over a "
        "usual order" + ("; costs count it." if model.count_freight else "; costs leave it out."),
    )
    sheet.gap(6)
    table: tuple[Column, ...] = (
        Column("For", 1, wrap=True),
        Column("Item in the list", 2),
        Column("Supplier", 3),
        Column("Pack", 4, wrap=True),
        Column("Price", 5, sheet.formats.money),
        Column("Currency", 6),
        Column("Date", 7, sheet.formats.date),
        Column("A kg or piece bought", 8, sheet.formats.fine_money),
        Column("Change", 9, sheet.formats.percent),
        Column("Freight", 10, sheet.formats.percent),
        Column("Usable kg or piece, with freight", 11, sheet.formats.fine_money),
        Column("Used", 12),
        Column("List and line", 13),
    )
    head = sheet.heads(table)
    lines = used_lines(answers)
    newest = _newest(model.prices, day)
    known = {*model.ingredients, *model.packaging()}
    told = {
        (one.where, one.pack, one.price): one
        for thing in history.of(model, day, [])
        for one in thing.entries
        if thing.name in known
    }
    offers = {
        (offer["where"], offer["pack"], offer["price"]): offer
        for thing in compare.things(model, day)
        for offer in thing["offers"]
    }
    for row in sorted(model.prices, key=lambda r: (r.ingredient.casefold(), r.supplier.casefold(), r.item, r.date)):
        own = table
        if row.currency != model.currency:
            fmt = money.cell_format(row.currency, sheet.formats.locale)
            own = tuple(Column(c.head, c.at, fmt) if c.at == 5 else c for c in table)
        words = standing(row, day, newest, lines.get(row.ingredient))
        values: list[Value] = [
            row.ingredient,
            row.item,
            row.supplier,
            row.pack,
            row.price,
            row.currency,
            row.date,
            *_unit(row, told, offers),
            words,
            place(row.where),
        ]
        sheet.line(own, values, "picked" if words == USED else "body")
    sheet.filter(head, len(table))
    sheet.freeze(f"B{head + 1}")
    sheet.print_setup(foot=(model.name, f"Prices as of {sheet.formats.day(day)}"), repeat=(head, head))


def _unit(
    row: PriceRow, told: Mapping[tuple[str, str, float], Entry], offers: Mapping[tuple[str, str, float], Json]
) -> list[Value]:
    """What a kilogram or piece costs by a row: as bought, against the list before, and usable with freight."""
    key = (row.where, row.pack, row.price)
    entry, offer = told.get(key), offers.get(key)
    bought: list[Value] = [NA, NA] if entry is None else [entry.home, NA if entry.change is None else entry.change]
    return [*bought, *([NA, NA] if offer is None else [offer["freight_share"], compare.landed(offer)])]


USED = "used"


def standing(row: PriceRow, day: date, newest: Mapping[tuple[str, str, str], date], line: CostLine | None) -> str:
    """What became of a price, in words.

    Args:
        row: the price.
        day: the day of the prices.
        newest: supplier, item and ingredient to the newest date that counts.
        line: the cost line of that ingredient, None where no flavour uses it.
    """
    if row.date > day:
        return "not yet: after the day"
    if newest.get((row.supplier, row.item, row.ingredient)) != row.date:
        return "no longer: a newer one is here"
    if line is None:
        return "in no flavour of this book"
    if line.where and line.where == row.where:
        return USED
    same = (line.supplier, line.price_date) == (row.supplier, row.date)
    if same and line.pack in {row.pack, ""} and (line.price is None or line.price == row.price):
        return USED
    return "no: another one was used"


def _newest(prices: Sequence[PriceRow], day: date) -> dict[tuple[str, str, str], date]:
    found: dict[tuple[str, str, str], date] = {}
    for row in prices:
        key = (row.supplier, row.item, row.ingredient)
        if row.date <= day and (key not in found or row.date > found[key]):
            found[key] = row.date
    return found
