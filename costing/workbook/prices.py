"""Every row of every price list, and which of them was used, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing import money
from costing.workbook.ingredients import used_lines
from costing.workbook.values import Column, Value

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from costing.results import CostLine, RecipeAnswer
    from costing.shop.models import PriceRow, ShopModel
    from costing.workbook.grid import Sheet

NAME = "Prices"
WIDTHS = (20, 26, 22, 14, 11, 10, 13, 26, 30)


def write(sheet: Sheet, answers: Sequence[RecipeAnswer], model: ShopModel, day: date) -> None:
    """Write the sheet.

    Args:
        sheet: a new sheet with :data:`WIDTHS`.
        answers: everything about every recipe.
        model: the shop.
        day: the day of the prices.
    """
    sheet.title("Prices", f"Every price received, and which of them count on {sheet.formats.day(day)}.")
    sheet.gap(6)
    table: tuple[Column, ...] = (
        Column("For", 1, wrap=True),
        Column("Item in the list", 2),
        Column("Supplier", 3),
        Column("Pack", 4, wrap=True),
        Column("Price", 5, sheet.formats.money),
        Column("Currency", 6),
        Column("Date", 7, sheet.formats.date),
        Column("Used", 8),
        Column("List and line", 9),
    )
    head = sheet.heads(table)
    lines = used_lines(answers)
    newest = _newest(model.prices, day)
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
            words,
            row.where,
        ]
        sheet.line(own, values, "picked" if words == USED else "body")
    sheet.filter(head, len(table))
    sheet.freeze(f"B{head + 1}")
    sheet.print_setup(foot=(model.name, f"Prices as of {sheet.formats.day(day)}"), repeat=(head, head))


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
