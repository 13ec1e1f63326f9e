"""What stands on the sheet Inputs: prices and packs, wages and times, machines and containers, ways of selling."""

from __future__ import annotations

from typing import TYPE_CHECKING

from openpyxl.utils import get_column_letter

from costing import money as coins
from costing.prices import rates as currencies
from costing.selling import terms
from costing.workbook import look
from costing.workbook.formats import number
from costing.workbook.living.inputs import NAME
from costing.workbook.text import capital, place
from costing.workbook.values import NA, Column, Value

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from costing.prices.book import PriceBook, Priced, PricedEach
    from costing.shop.models import ShopModel
    from costing.workbook.living.facts import Facts, Kitchen
    from costing.workbook.living.inputs import Inputs
    from costing.workbook.living.kitchen.work import Shared


def bought(inputs: Inputs, model: ShopModel, book: PriceBook, kitchen: Kitchen) -> None:
    """Everything that is bought: what formulas of the kitchen stand on.

    Args:
        inputs: the inputs, empty so far.
        model: the shop.
        book: its prices on the day.
        kitchen: the recipes.
    """
    sheet = inputs.sheet
    sheet.title("Inputs", f"What you may change. Money in {model.currency} unless a row says otherwise.")
    sheet.paragraph(
        "Framed cells in rows that say “input” may be changed, here and in the section Yield of each flavour; weights, "
        "containers, costs, margins, the opening summary and its picture follow. What says “locked” stays as the "
        "engine worked it out, and says why. What waste costs, labels, Ingredients, Prices and Findings stay as they "
        "were written: make the workbook again after a change in the kitchen. An empty input is unknown, not zero. "
        "Each thing keeps its supplier, even where a change makes another one cheaper. "
        "Sheets are protected without a password."
    )
    _things(inputs, model, book, kitchen)
    _packaging(inputs, model, book, kitchen)


def others(inputs: Inputs, model: ShopModel, facts: Mapping[str, Facts], shared: Shared, kitchen: Kitchen) -> None:
    """All other inputs of the shop."""
    _equipment(inputs, shared)
    _work(inputs, model, facts)
    _channels(inputs, model)
    _own_prices(inputs, model, facts, kitchen)
    inputs.sheet.freeze("B3")


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


def _things(inputs: Inputs, model: ShopModel, book: PriceBook, kitchen: Kitchen) -> None:
    purchasing = kitchen.purchasing
    usable: dict[str, float | None] = {}
    from_others: dict[str, tuple[str, float]] = {}
    for brew in kitchen.brews.values():
        for purchase in brew.used:
            name, share = purchasing.source(purchase[0])
            usable.setdefault(name, None)
            if share is not None:
                from_others[purchase[0]] = (name, share)
            elif not purchase[1]:
                usable[name] = purchasing.share(purchase)
    rows = [book.ingredient(name) for name in usable]
    packing = [book.item(item) for item in _packing(model, kitchen)]
    found = [one for one in (*rows, *packing) if one]
    inputs.rates = _rates(inputs, model, {one.currency for one in found}, book.as_of)
    if model.count_freight:
        _freight(inputs, found)
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
    for (name, share), priced in sorted(zip(usable.items(), rows, strict=True), key=lambda one: one[0][0].casefold()):
        fmt = _format(inputs, priced)
        price = inputs.cell(3, priced.price if priced else None, fmt, "money", "price", name)
        inputs.price[name] = _paid(inputs, price, priced)
        inputs.pack[name] = inputs.cell(4, priced.pack_g if priced else None, number(1), "above", "pack", name)
        source = ", ".join(filter(None, (priced.supplier, priced.pack))) if priced else "no price"
        row: dict[int, Value] = {1: name, 2: source or NA, 5: NA, 10: "input: price, pack"}
        if share is not None:
            inputs.usable[name] = inputs.cell(5, share, formats.percent, "usable", "usable", name)
            del row[5]
            row[10] = "input: price, pack, usable share"
        inputs.rest(table, row)
    if not from_others:
        return
    inputs.sheet.heading("What comes out of a bought thing")
    second = (Column("Thing", 1), Column("Comes out of", 2), Column("Share of it", 3, formats.percent), Column("", 10))
    inputs.sheet.heads(second)
    for name, (source, part) in sorted(from_others.items()):
        inputs.share_of[name] = inputs.cell(3, part, formats.percent, "usable", "comes_from", name)
        inputs.rest(second, {1: name, 2: source, 10: "input"})


def _packing(model: ShopModel, kitchen: Kitchen) -> list[str]:
    """Packaging of what is filled, and what goes out with scoops."""
    filled = (one.container for brew in kitchen.brews.values() for one in brew.filled)
    items = dict.fromkeys(item for container in filled for item in container.made_of)
    for channel in model.channels.values():
        if channel.scoops:
            items |= dict.fromkeys(channel.scoops.cone)
    return list(items)


def _equipment(inputs: Inputs, shared: Shared) -> None:
    """Machines and containers, as far as a recipe here needs them."""
    told = [one for one in shared.inputs.values() if len(one.key) == 3]
    if not told:
        return
    formats = inputs.sheet.formats
    inputs.sheet.heading("Containers and machines")
    table = (Column("What", 1), Column("Measured in", 2), Column("Figure", 3, number(1)), Column("", 10))
    inputs.sheet.heads(table)
    for one in sorted(told, key=lambda one: (one.key[0], one.key[1])):
        _, of, what = one.key
        unit = {"holds": "mL", "capacity": "mL", "leaves": "g a run", "giveaway": "share"}[what]
        fmt = formats.percent if unit == "share" else number(2)
        words = f"{capital(of)}: {what}"
        if one.name:
            inputs.named(inputs.sheet, 3, one.value, fmt, f"kitchen {one.rule}", one.name)
            inputs.rest(table, {1: words, 2: unit, 10: "input"})
        else:
            inputs.sheet.put(3, one.value, look.TONES["body"].but(align="right"), fmt)
            inputs.rest(table, {1: words, 2: unit, 10: f"locked: {one.why}"})


def _packaging(inputs: Inputs, model: ShopModel, book: PriceBook, kitchen: Kitchen) -> None:
    items = _packing(model, kitchen)
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
        inputs.each[name] = priced.per_each if priced and priced.per_each is not None else float("nan")
        # Packaging and an ingredient may share a name, so packaging is known by another key.
        price = inputs.cell(3, priced.price if priced else None, fmt, "money", "packaging_price", name)
        inputs.price[f"each {name}"] = _paid(inputs, price, priced)
        inputs.pack[f"each {name}"] = inputs.cell(
            4, priced.pieces if priced else None, number(0), "above", "packaging_pieces", name
        )
        inputs.rest(table, {1: name, 2: f"{priced.supplier}, {priced.pack}" if priced else "no price", 10: "input"})


def _work(inputs: Inputs, model: ShopModel, facts: Mapping[str, Facts]) -> None:
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
    times = {one.key: one for fact in facts.values() for one in fact.minutes}
    if not times:
        return
    inputs.sheet.heading("Minutes of work")
    columns = (
        Column("Recipe", 1),
        Column("Work", 2),
        Column("Minutes", 3, number(2)),
        Column("For each", 4),
        Column("Who", 5),
        Column("", 10),
    )
    inputs.sheet.heads(columns)
    for key, one in sorted(times.items(), key=lambda pair: (model.recipes[pair[0][0]].title, pair[0][1:])):
        inputs.minutes[key] = inputs.cell(3, one.each, number(2), "money", "minutes", *key)
        title = model.recipes[key[0]].title
        inputs.rest(columns, {1: title, 2: one.what, 4: one.per, 5: one.role or NA, 10: "input"})


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


def _own_prices(inputs: Inputs, model: ShopModel, facts: Mapping[str, Facts], kitchen: Kitchen) -> None:
    if not any(fact.units for fact in facts.values()):
        return
    formats = inputs.sheet.formats
    inputs.sheet.heading("A flavour's own price in a channel (empty: the channel's)")
    table = (Column("Flavour", 1), Column("Channel", 2), Column("Own price", 3, formats.money), Column("", 10))
    inputs.sheet.heads(table)
    for answer in kitchen.answers.values():
        for channel in facts[answer.recipe].units:
            own = model.recipes[answer.recipe].prices.get(channel)
            inputs.own[answer.recipe, channel] = inputs.cell(
                3, own, formats.money, "money", "own_price", answer.recipe, channel
            )
            inputs.rest(table, {1: answer.title, 2: capital(channel), 10: "input"})
