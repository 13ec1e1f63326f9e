"""The sheet Inputs: every figure that formulas stand on and an owner may change, marked, named and checked.

A cell to change wears a frame and a ground of its own, and the word *input* stands in its row; what stays as the engine
has it says *locked*. Each has a name (``price_heavy_cream``), by which the formulas call it.
"""

from __future__ import annotations

import math
import re
import unicodedata
from copy import copy
from typing import TYPE_CHECKING, Any

from openpyxl.styles import Protection
from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation

from costing import money as coins
from costing.prices import rates as currencies
from costing.selling import terms
from costing.workbook import look
from costing.workbook.formats import number
from costing.workbook.text import capital, place
from costing.workbook.values import NA, NONE, Column, Value

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from openpyxl.workbook.workbook import Workbook

    from costing.prices.book import PriceBook, Priced, PricedEach
    from costing.results import RecipeAnswer
    from costing.shop.models import ShopModel
    from costing.workbook.grid import Sheet
    from costing.workbook.living.facts import Facts

NAME = "Inputs"
WIDTHS = (34, 48, 16, 13, 13, 13, 13, 13, 13, 48)
INPUT = look.Look(fill=look.CREAM, above="thin", below="thin", line=look.RUST, align="right")
RULES = {
    "money": ("greaterThanOrEqual", "0", None, "money, 0 or more"),
    "above": ("greaterThan", "0", None, "a number above 0"),
    "usable": ("between", "0.000001", "1", "a share above 0 % and up to 100 %"),
    "share": ("between", "0", "0.999999", "a share from 0 % to below 100 %"),
    "ratio": ("between", "0", "10", "a share, 0 % or more"),
}
"""What a cell takes: operator, bounds, and words for who types something else."""


class Names:
    """Names for cells, safe in every spreadsheet program, no two alike.

    >>> names = Names()
    >>> names.fresh("price", "Crème fraîche"), names.fresh("price", "creme fraiche")
    ('price_creme_fraiche', 'price_creme_fraiche_2')
    """

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def fresh(self, kind: str, *of: str) -> str:
        """A new name for a figure of something."""
        plain = unicodedata.normalize("NFKD", " ".join(of)).encode("ascii", "ignore").decode().lower()
        base = f"{kind}_{re.sub('[^a-z0-9]+', '_', plain).strip('_')[:80] or 'x'}"
        name, count = base, 1
        while name in self._taken:
            count += 1
            name = f"{base}_{count}"
        self._taken.add(name)
        return name


class Inputs:
    """The inputs of a workbook: names of their cells, written on their sheet.

    Args:
        workbook: whose they are.
        sheet: a new sheet with :data:`WIDTHS`.
    """

    def __init__(self, workbook: Workbook, sheet: Sheet) -> None:
        self.workbook = workbook
        self.sheet = sheet
        self.price: dict[str, str] = {}
        """bought thing or packaging to the expression of what its pack costs in the shop's money"""
        self.pack: dict[str, str] = {}
        self.usable: dict[str, str] = {}
        """only of things whose usable share may be changed"""
        self.rates: dict[str, str] = {}
        self.freight: dict[str, str] = {}
        """supplier to the share that freight adds to its prices, where the shop counts it"""
        self.wage: dict[str, str] = {}
        self.cones: dict[str, dict[str, float]] = {}
        """channel to the packaging that goes out with each scoop"""
        self.overhead: dict[str, str] = {}
        self.channel: dict[str, dict[str, str]] = {}
        self.own: dict[tuple[str, str], str] = {}
        self.minutes: dict[tuple[str, int], str] = {}
        self._names = Names()
        self._rules: dict[str, DataValidation] = {}
        self._open: dict[int, Any] = {}

    def cell(self, at: int, value: float | None, fmt: str, rule: str, kind: str, *of: str) -> str:
        """Write one input into the row at hand; an unknown one stays empty.

        Returns:
            Its name.
        """
        sheet = self.sheet
        known = value is not None and math.isfinite(value)
        sheet.put(at, float(value) if known and value is not None else NONE, INPUT, fmt)
        cell: Any = sheet.sheet.cell(sheet.row, at)
        # One style for all that look alike: openpyxl and our writer know them by identity.
        key = id(cell._style)
        if key not in self._open:
            style = copy(cell._style)
            style.protectionId = self.workbook._protections.add(Protection(locked=False))  # type: ignore[attr-defined]
            self._open[key] = (style, cell._style)
        cell._style = self._open[key][0]
        self._rule(rule).add(cell.coordinate)
        name = self._names.fresh(kind, *of)
        where = place(sheet.name, f"${get_column_letter(at)}${sheet.row}")
        self.workbook.defined_names[name] = DefinedName(name, attr_text=where)
        return name

    def _rule(self, rule: str) -> DataValidation:
        if rule not in self._rules:
            operator, low, high, words = RULES[rule]
            made = DataValidation("decimal", low, high, operator=operator, allow_blank=True)  # type: ignore[arg-type]
            made.errorTitle, made.error = "Not a figure for this cell", f"Type {words}."
            made.promptTitle, made.prompt = "input", f"You may change this: {words}. Empty means unknown."
            made.showErrorMessage = made.showInputMessage = True
            self.sheet.sheet.add_data_validation(made)
            self._rules[rule] = made
        return self._rules[rule]

    def rest(self, table: Sequence[Column], values: Mapping[int, Value]) -> None:
        """Fill what the row at hand has beside its inputs, and go on to the next row."""
        wear = look.TONES["body"]
        for column in table:
            if column.at in values:
                self.sheet.put(column.at, values[column.at], wear.but(align=column.side, wrap=column.wrap), column.fmt)
        self.sheet.row += 1


def write(
    inputs: Inputs, model: ShopModel, book: PriceBook, answers: Sequence[RecipeAnswer], facts: Mapping[str, Facts]
) -> None:
    """Write the sheet, and name what stands on it.

    Args:
        inputs: the inputs, empty so far.
        model: the shop.
        book: its prices on the day.
        answers: everything about each recipe.
        facts: what the engine says about those with a cost.
    """
    sheet = inputs.sheet
    sheet.title("Inputs", f"What you may change. Money in {model.currency} unless a row says otherwise.")
    sheet.paragraph(
        "Framed cells in rows that say “input” may be changed; costs, margins, the opening summary and its picture "
        "follow. "
        "What says “locked” is as Creamery's engine worked it out: weights used, containers filled, volumes. Waste, "
        "yields, labels, Ingredients, Prices and Findings stay as they were written. An empty input is "
        "unknown, not zero. "
        "Each thing keeps its supplier, even where a change makes another one cheaper. "
        "Sheets are protected without a password."
    )
    _bought(inputs, model, book, facts)
    _packaging(inputs, model, book, facts)
    _work(inputs, model, answers, facts)
    _channels(inputs, model)
    _own_prices(inputs, answers, model, facts)
    sheet.freeze("B3")


def protect(sheet: Sheet) -> None:
    """Guard formulas and locked figures against a slip of the hand; there is no password."""
    guard = sheet.sheet.protection
    guard.sheet = True
    guard.formatColumns = guard.formatRows = guard.autoFilter = guard.sort = False


def _rates(inputs: Inputs, model: ShopModel, used: set[str], day: date) -> dict[str, str]:
    found: dict[str, str] = {}
    for code in model.rates:
        rate = currencies.worth(model.rates, code, day)
        if rate is not None and code in used and code != model.currency:
            table = (Column("Currency", 1), Column("", 2), Column(f"One costs ({model.currency})", 3), Column("", 10))
            if not found:
                inputs.sheet.heading("Rates of other currencies")
                inputs.sheet.heads(table)
            found[code] = inputs.cell(3, rate, number(4), "above", "rate", code)
            inputs.rest(table, {1: code, 10: "input"})
    return found


def _freight(inputs: Inputs, bought: Sequence[Priced | PricedEach]) -> None:
    table = (
        Column("Supplier", 1),
        Column("", 2),
        Column("Freight, share of the price", 3, inputs.sheet.formats.percent),
        Column("", 10),
    )
    inputs.sheet.heading("Freight")
    inputs.sheet.heads(table)
    for name, share in sorted({one.supplier: one.freight for one in bought if one.supplier}.items()):
        inputs.freight[name] = inputs.cell(3, share, inputs.sheet.formats.percent, "ratio", "freight", name)
        inputs.rest(table, {1: name, 2: "freight of a usual order over its value", 10: "input"})


def _paid(inputs: Inputs, price: str, priced: Priced | PricedEach | None) -> str:
    """What a pack costs in the shop's money, freight and all, as an expression."""
    if priced is None:
        return price
    rate = f"*{inputs.rates[priced.currency]}" if priced.currency in inputs.rates else ""
    freight = f"*(1+{inputs.freight[priced.supplier]})" if priced.supplier in inputs.freight else ""
    return f"{price}{rate}{freight}"


def _format(inputs: Inputs, priced: Priced | PricedEach | None) -> str:
    formats = inputs.sheet.formats
    abroad = priced is not None and priced.currency in inputs.rates
    return coins.cell_format(priced.currency, formats.locale) if priced and abroad else formats.money


def _bought(inputs: Inputs, model: ShopModel, book: PriceBook, facts: Mapping[str, Facts]) -> None:
    streams: dict[str, float | None] = {}
    fixed: set[str] = set()
    for fact in facts.values():
        carrying = {name for one in fact.credits for name in (one.shares or {})}
        for stream in fact.streams:
            if stream.usable is not None or stream.name not in streams:
                streams[stream.name] = stream.usable
            # Bought in two ways at once, its share of what saved things carry would move with the usable share.
            if stream.mixed and stream.name in carrying:
                fixed.add(stream.name)
    packing = {item for fact in facts.values() for kind in fact.kinds for item, _ in kind.made_of}
    packing |= {item for one in model.channels.values() if one.scoops for item in one.scoops.cone}
    rows = [book.ingredient(name) for name in streams]
    bought = [one for one in (*rows, *map(book.item, sorted(packing))) if one]
    inputs.rates = _rates(inputs, model, {one.currency for one in bought}, book.as_of)
    if model.count_freight:
        _freight(inputs, bought)
    inputs.sheet.heading("Bought things")
    formats = inputs.sheet.formats
    table = (
        Column("Thing", 1),
        Column("Supplier, pack as it was written", 2),
        Column("Price of the pack", 3, formats.money),
        Column("Grams in the pack", 4, number(1)),
        Column("Usable share", 5, formats.percent),
        Column("", 10),
    )
    inputs.sheet.heads(table)
    for (name, usable), priced in sorted(zip(streams.items(), rows, strict=True), key=lambda one: one[0][0].casefold()):
        fmt = _format(inputs, priced)
        price = inputs.cell(3, priced.price if priced else None, fmt, "money", "price", name)
        inputs.price[name] = _paid(inputs, price, priced)
        inputs.pack[name] = inputs.cell(4, priced.pack_g if priced else None, number(1), "above", "pack", name)
        source = ", ".join(filter(None, (priced.supplier, priced.pack))) if priced else "no price"
        row: dict[int, Value] = {1: name, 2: source or NA, 5: NA, 10: "input: price, pack"}
        if usable is not None and name in fixed:
            row |= {5: usable, 10: "input: price, pack; locked: usable share, it decides what saved things carry"}
        elif usable is not None:
            inputs.usable[name] = inputs.cell(5, usable, formats.percent, "usable", "usable", name)
            del row[5]
            row[10] = "input: price, pack, usable share"
        inputs.rest(table, row)


def _packaging(inputs: Inputs, model: ShopModel, book: PriceBook, facts: Mapping[str, Facts]) -> None:
    items = dict.fromkeys(item for fact in facts.values() for kind in fact.kinds for item, _ in kind.made_of)
    items |= dict.fromkeys(
        item for channel in model.channels.values() if channel.scoops for item in channel.scoops.cone
    )
    if not items:
        return
    formats = inputs.sheet.formats
    inputs.sheet.heading("Packaging")
    table = (
        Column("Thing", 1),
        Column("Supplier, pack as it was written", 2),
        Column("Price of the pack", 3, formats.money),
        Column("Pieces in the pack", 4, number(0)),
        Column("", 10),
    )
    inputs.sheet.heads(table)
    for name in items:
        priced = book.item(name)
        fmt = _format(inputs, priced)
        # Packaging and an ingredient may share a name, so packaging is known by another key.
        price = inputs.cell(3, priced.price if priced else None, fmt, "money", "packaging_price", name)
        inputs.price[f"each {name}"] = _paid(inputs, price, priced)
        inputs.pack[f"each {name}"] = inputs.cell(
            4, priced.pieces if priced else None, number(0), "above", "packaging_pieces", name
        )
        inputs.rest(table, {1: name, 2: f"{priced.supplier}, {priced.pack}" if priced else "no price", 10: "input"})


def _work(inputs: Inputs, model: ShopModel, answers: Sequence[RecipeAnswer], facts: Mapping[str, Facts]) -> None:
    formats = inputs.sheet.formats
    inputs.sheet.heading("Wages and overhead")
    table = (Column("What", 1), Column("Per", 2), Column("Money or share", 3, formats.money), Column("", 10))
    inputs.sheet.heads(table)
    roles = dict.fromkeys((*model.wages, *(one.role for fact in facts.values() for one in fact.minutes)))
    for role in roles:
        inputs.wage[role] = inputs.cell(3, model.wages.get(role), formats.money, "money", "wage", role)
        inputs.rest(table, {1: f"Wage: {role}" if role else "Wage", 2: "hour", 10: "input"})
    inputs.overhead["per batch"] = inputs.cell(
        3, model.overhead.per_batch, formats.money, "money", "overhead", "per batch"
    )
    inputs.rest(table, {1: "Overhead", 2: "batch", 10: "input"})
    inputs.overhead["of labour"] = inputs.cell(
        3, model.overhead.of_labour.mid, formats.percent, "ratio", "overhead", "of labour"
    )
    inputs.rest(table, {1: "Overhead", 2: "labour, as a share", 10: "input"})
    if not any(fact.minutes for fact in facts.values()):
        return
    inputs.sheet.heading("Minutes of work, for a batch")
    columns = (
        Column("Flavour", 1),
        Column("Work", 2),
        Column("Minutes", 3, number(1)),
        Column("Who", 4),
        Column("", 10),
    )
    inputs.sheet.heads(columns)
    for answer in answers:
        for at, one in enumerate(facts[answer.recipe].minutes if answer.recipe in facts else ()):
            inputs.minutes[answer.recipe, at] = inputs.cell(
                3, one.minutes, number(1), "money", "minutes", answer.recipe, str(at + 1), one.what
            )
            inputs.rest(columns, {1: answer.title, 2: one.what, 4: one.role or NA, 10: "input"})


def _channels(inputs: Inputs, model: ShopModel) -> None:
    if not model.channels:
        return
    formats = inputs.sheet.formats
    money, percent = formats.money, formats.percent
    inputs.sheet.heading("Ways of selling")
    table = (
        Column("Channel", 1),
        Column("Sells", 2),
        Column("Price as written", 3, money),
        Column("Fees, share of price", 4, percent),
        Column("Fixed fee", 5, money),
        Column("Target margin", 6, percent),
        Column("Reaches the maker", 7, percent),
        Column("Paid for", 8, percent),
        Column("Further money a unit", 9, money),
        Column("", 10),
    )
    inputs.sheet.heads(table)
    for name, channel in model.channels.items():
        # Cones are priced on this sheet; what else a unit takes is a figure.
        own = terms.of(channel, lambda _: 0.0)
        inputs.cones[name] = dict(channel.scoops.cone) if channel.scoops else {}
        inputs.channel[name] = {
            "price": inputs.cell(3, channel.price, money, "money", "channel_price", name),
            "share": inputs.cell(4, channel.fee_share, percent, "share", "fee_share", name),
            "fixed": inputs.cell(5, channel.fee_fixed, money, "money", "fee_fixed", name),
            "target": inputs.cell(6, channel.target_margin, percent, "share", "target", name),
        }
        for at, key, value in ((7, "kept", own.kept), (8, "paid", own.paid), (9, "further", own.extras + own.day)):
            inputs.channel[name][key] = place(NAME, f"${get_column_letter(at)}${inputs.sheet.row}")
            inputs.sheet.put(at, value, look.TONES["body"].but(align="right"), money if at == 9 else percent)
        inputs.rest(
            table,
            {
                1: capital(name),
                2: "scoops" if channel.scoops else channel.container or "first container",
                10: "input: price, fees, target; locked: the other three",
            },
        )


def _own_prices(inputs: Inputs, answers: Sequence[RecipeAnswer], model: ShopModel, facts: Mapping[str, Facts]) -> None:
    if not any(fact.units for fact in facts.values()):
        return
    formats = inputs.sheet.formats
    inputs.sheet.heading("A flavour's own price in a channel (empty: the channel's)")
    table = (Column("Flavour", 1), Column("Channel", 2), Column("Own price", 3, formats.money), Column("", 10))
    inputs.sheet.heads(table)
    for answer in answers:
        for channel in facts[answer.recipe].units if answer.recipe in facts else ():
            own = model.recipes[answer.recipe].prices.get(channel)
            inputs.own[answer.recipe, channel] = inputs.cell(
                3, own, formats.money, "money", "own_price", answer.recipe, channel
            )
            inputs.rest(table, {1: answer.title, 2: capital(channel), 10: "input"})
