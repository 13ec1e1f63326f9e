"""Puts a list into a workbook: its goods as rows of the sheet Prices, everything else in the file as it was."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from openpyxl.utils import get_column_letter

from costing.findings import Finding, ShopError, cell_place
from costing.prices.intake.home import WHAT
from costing.shop import pricelists
from costing.shop.sheets import plan, turning, xlsx_append
from costing.shop.sheets.xlsx_parts import SurgeryError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.shop.models import PriceRow, ShopModel
    from costing.shop.sheets.changing import Heads, Opened
    from costing.shop.sheets.xlsx_append import Appended

LIST = "list"
"""The column that names the list a row came with."""


def rows(book: Opened, name: str, rows: Sequence[PriceRow]) -> tuple[bytes, str]:
    """The workbook with the goods of a list; nothing is written yet.

    Args:
        book: the workbook.
        name: of the list.
        rows: its goods.

    Returns:
        The workbook, and the range of its new cells (``Prices!A52:H58``).

    Raises:
        ShopError: the sheet lacks what is needed, or something else would be lost.
    """
    heads = _heads(book)
    values = [{**{key: getattr(row, key) for key in pricelists.COLUMNS}, LIST: name} for row in rows]
    try:
        done = xlsx_append.append(book.raw, plan.PRICES, heads.row, heads.last, heads.columns, values)
    except SurgeryError as wrong:
        raise book.cannot(WHAT, wrong) from None
    book.refuse_loss(done.raw, WHAT, ("prices",), lambda old, new: _apart(old, new, done, rows))
    wide = [at for head, at in heads.columns.items() if head in values[0]]
    corners = (get_column_letter(at) for at in (min(wide), max(wide)))
    first, last = (f"{letter}{row}" for letter, row in zip(corners, (done.first, done.last), strict=True))
    return done.raw, f"{plan.PRICES}!{first}:{last}"


def _heads(book: Opened) -> Heads:
    heads = book.heads(plan.PRICES)
    if not heads.there:
        what = f"the workbook has no sheet '{plan.PRICES}', so the list has no place"
        mend = f"call the sheet of prices so, or take one from: creamery new --workbook; its headings are: {_all()}"
        raise ShopError((Finding("error", book.name.name, what, mend),))
    missing = [head for head in pricelists.COLUMNS if head not in heads.columns]
    if missing:
        what = f"the sheet {plan.PRICES} has no column {', '.join(repr(one) for one in missing)}; nothing was added"
        told = Finding("error", f"{book.name.name}[{plan.PRICES}]", what, f"its headings are: {_all()}")
        raise ShopError((*heads.findings, told))
    return heads


def _all() -> str:
    return ", ".join(column.head for column in plan.plans()[plan.PRICES].columns)


def _apart(old: ShopModel, new: ShopModel, done: Appended, rows: Sequence[PriceRow]) -> str:
    """How the prices would not be those that were there and those of the list."""
    mine: list[PriceRow] = []
    others: list[PriceRow] = []
    for row in new.prices:
        found = cell_place(row.where)
        number = int(re.sub(r".*![A-Z]+", "", row.where)) if found else 0
        (mine if done.first <= number <= done.last else others).append(row)
    return turning.difference(turning.content(old.prices), turning.content(others), "the prices") or turning.difference(
        turning.content(rows), turning.content(mine), "the new rows"
    )
