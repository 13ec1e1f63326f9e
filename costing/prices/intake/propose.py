"""Proposes how a supplier's lists are read: columns, decimals, days, currency, items, with reasons and doubts."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TYPE_CHECKING, Final

from costing.digits import UnreadableError
from costing.prices.intake import afar, day_cells, heads, lines, matching, money_cells, pack_cells, price_shapes
from costing.prices.intake.mapping import IN_ITEM, Item, Mapped
from costing.prices.intake.sheets import Cell, Sheet, refuse, text

if TYPE_CHECKING:
    from costing.prices.intake.heads import Guess, Head
    from costing.prices.intake.lines import Lines
    from costing.prices.intake.price_shapes import Decimals
    from costing.prices.intake.sheets import Book
    from costing.shop.models import ShopModel

MOST_ITEMS: Final = 3000
"""Items of one mapping; no person looks through more."""
_LOOKED_AT: Final = 400
"""Rows below the heads that are looked at."""
_EACH: Final = ("each", "unit", "ea", "einzelpreis", "unitaire")
_HARDLY: Final = 50
"""Score up to which the heading of a price is doubtful: last week's, or what a shop asks of its customers."""
_IN_IT: Final = "is in it"
_ORDERED: Final = ("qty", "quantity", "count", "menge", "anzahl")
"""What a column may be called that says how many are in a case, and one that says how many were ordered."""
_CENTS: Final = re.compile(r"\bcents?\b|\bpence\b|\bcentimes\b|\u00a2", re.IGNORECASE)
_CASE: Final = frozenset({"case", "carton", "ctn", "gross", "shipping", "ship", "total"})
_SAMPLES: Final = 4
_FEW_FAR: Final = 2
"""Goods far from what the shop pays, from which on it is more likely the columns than the goods."""
_LEFT: Final = 60
"""Goods that look like nothing the shop buys are listed, to be taken up, where there are no more of them."""
_MONTH_FIRST: Final = ("US", "PH", "FM", "GU")
"""Territories that write the month first (Unicode CLDR, short dates; from memory)."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A proposal.

    Args:
        mapped: the mapping, nothing of it confirmed.
        samples: a few lines of the list as they would be read.
        supplier: what the list itself says of its sender, empty where it says nothing.
        left: goods of the list that look like nothing the shop buys, each with its number; none of a long list.
        wanting: what the shop buys and has neither a price for nor a proposal here.
    """

    mapped: Mapped
    samples: tuple[str, ...]
    supplier: str
    left: Mapping[str, str] = field(default_factory=dict)
    wanting: tuple[str, ...] = ()


def propose(book: Book, model: ShopModel, supplier: str) -> Proposal:
    """How a list would be read.

    Args:
        book: the received list.
        model: the shop.
        supplier: who sent it.

    Returns:
        The proposal.

    Raises:
        ShopError: no row names columns for an item and a price.
    """
    sheet, head, guesses = _best(book)
    below = [tuple(row) for row in sheet.rows[head.at + head.depth : head.at + head.depth + _LOOKED_AT]]
    columns = {name: _cells(head, below, name) for name in head.names if name}
    chosen, reasons, doubts = _columns(guesses, columns)
    _pack(chosen, reasons, doubts, columns)
    used = set(chosen.values())
    doubts += [f"the heading '{name}' stands there twice; the first is taken" for name in head.twice if name in used]
    prices = [cell for name in ("price", "price by weight") if name in chosen for cell in columns[chosen[name]]]
    decimals, why = _decimals(prices, model.locale, doubts)
    reasons["decimals"] = why
    days = [*columns.get(chosen.get("date", ""), ()), *(cell for row in sheet.rows[: head.at] for cell in row)]
    order = day_cells.order(days)
    reasons["dates"] = "shown by the list" if order else "as in the shop's locale"
    order = order or ("month first" if model.locale.rpartition("_")[2] in _MONTH_FIRST else "day first")
    said = _currency(chosen, prices, decimals, model.currency)
    currency = said or model.currency
    if not said and "currency" not in chosen and decimals == "comma" and _usual(model.locale) == "point":
        doubts.append(
            "nothing says in which currency this is, and decimals are not written as here; "
            f"{currency} is taken: settle 'currency'"
        )
    mapped = Mapped(
        supplier=supplier,
        confirmed=False,
        columns=chosen,
        heads=tuple(name for name in head.names if name),
        currency=currency,
        decimals=decimals,
        dates=order,
        doubts=tuple(doubts),
        reasons=reasons,
    )
    taken = [lines.take(one, top, mapped, model.currency) for one, top in lines.locate(book.sheets, mapped)]
    mapped = _doubting(replace(mapped, items=items(taken, model)), taken, model)
    codes = _codes(taken)
    left = {item: code for item, code in codes.items() if item not in mapped.items}
    found = {row.ingredient for row in model.prices} | {item.ingredient for item in mapped.items.values()}
    return Proposal(
        mapped,
        _samples(taken, mapped),
        _sender(chosen, columns),
        left if len(left) <= _LEFT else {},
        tuple(name for name in matching.names(model) if name not in found),
    )


def _doubting(mapped: Mapped, taken: Sequence[Lines], model: ShopModel) -> Mapped:
    """The mapping with doubts about goods that would cost many times what the shop pays for the same thing.

    One of them is for a person to confirm; where it is most of those that can be told, the columns are misread.
    """
    from costing.prices.intake.rows import Naming, rows_of

    likely = {name: replace(item, confirmed=not item.rivals) for name, item in mapped.items.items()}
    naming = Naming(replace(mapped, items=likely))
    rows = [row for one in taken for row in rows_of(one, mapped, naming, date.max, [], fixed_day=True)]
    told = {one.row.item: one.words for one in afar.afar([row for row in rows if row.ingredient], model, date.max)}
    if not told:
        return mapped
    sure = {row.item for row in rows if row.ingredient and mapped.items[row.item].score >= matching.SURE}
    odd = len(told.keys() & sure)
    if odd >= _FEW_FAR and 2 * odd >= len(sure):
        first = next(words for name, words in told.items() if name in sure)
        others = f"{odd - 1} more item{'' if odd == 2 else 's'}"
        what = f"{first}, and so it is with {others}; are price, pack and unit read rightly?"
        return replace(mapped, doubts=(*mapped.doubts, what))
    items = {
        name: replace(item, score=min(item.score, matching.SURE - 1), why=told[name]) if name in told else item
        for name, item in mapped.items.items()
    }
    return replace(mapped, items=items)


def _codes(taken: Sequence[Lines]) -> dict[str, str]:
    """Every item of a list, with its number."""
    codes = {item: code for one in taken for item, code in zip(one.items, one.codes, strict=True)}
    return codes | {one.item: "" for those in taken for one in those.unusable if one.item not in codes}


def items(taken: Sequence[Lines], model: ShopModel, known: Mapping[str, Item] | None = None) -> dict[str, Item]:
    """Items of a list that look like something the shop buys.

    Args:
        taken: the goods of the list.
        model: the shop.
        known: items that need no proposal.

    Returns:
        By item, ingredient by ingredient; of very many the best, as many as a mapping may hold.
    """
    codes = _codes(taken)
    wanted = [item for item in codes if not known or item not in known]
    # A brand says nothing of what a thing is.
    bare = {item: plain for one in taken for item, plain in one.bare.items()}
    by_name = matching.match([*wanted, *(bare[item] for item in wanted if item in bare)], model)
    found = {}
    for item in wanted:
        those = [by_name[name] for name in (item, bare.get(item, item)) if name in by_name]
        if those:
            found[item] = max(those, key=lambda match: match.score)
    best = sorted(found.items(), key=lambda pair: (-pair[1].score, pair[0]))[: max(MOST_ITEMS - len(known or ()), 0)]
    best.sort(key=lambda pair: (pair[1].ingredient, -pair[1].score, pair[0]))
    return {
        item: Item(one.ingredient, False, one.score, codes[item], one.rivals, why=_reason(one)) for item, one in best
    }


def _reason(one: matching.Match) -> str:
    if one.rivals:
        return f"fits {len(one.rivals) + 1} names alike; keep one of them"
    return one.why


def _best(book: Book) -> tuple[Sheet, Head, Mapping[str, tuple[Guess, ...]]]:
    best: tuple[float, Sheet, Head, Mapping[str, tuple[Guess, ...]]] | None = None
    for sheet in book.sheets:
        found = heads.find(sheet)
        if found is not None:
            head, guesses = found
            # Of two sheets with good heads the one with the goods on it.
            worth = sum(those[0].score for those in guesses.values()) * min(len(sheet.rows) - head.at, 50)
            if best is None or worth > best[0]:
                best = (worth, sheet, head, guesses)
    if best is None:
        what = "no row names the columns: an item and a price at least"
        mend = "put a row with headings such as Item, Pack and Price above the goods, and add the list again"
        raise refuse(book.file, what, mend)
    return best[1:]


def _cells(head: Head, below: Sequence[Sequence[Cell]], name: str) -> tuple[Cell, ...]:
    at = head.names.index(name)
    return tuple(row[at] if at < len(row) else None for row in below)


def _columns(
    guesses: Mapping[str, tuple[Guess, ...]], columns: Mapping[str, tuple[Cell, ...]]
) -> tuple[dict[str, str], dict[str, str], list[str]]:
    chosen: dict[str, str] = {}
    reasons: dict[str, str] = {}
    doubts: list[str] = []
    for name in heads.COLUMNS:
        those = [one for one in guesses.get(name, ()) if _holds(name, columns[one.heading])]
        if not those:
            continue
        first = those[0]
        chosen[name] = first.heading
        reasons[name] = f"{first.why}, {first.score} of 100"
        if name.startswith("price") and (pack := heads.price_for(first.heading)):
            reasons[name] += f"; for {pack}"
        # Of headings that nobody knows for what they are, none is much better than the others.
        near = 15 if _IN_IT in first.why and first.score > _HARDLY else 3
        close = [one.heading for one in those[1:] if first.score - one.score <= near]
        if name.startswith("price") and first.score <= _HARDLY:
            doubts.append(f"'{first.heading}' is taken for the {name}, and may be another one: {first.why}")
        if name.startswith("price") and _CENTS.search(first.heading):
            doubts.append(f"'{first.heading}' seems to be in hundredths of the currency, and is read in whole ones")
        if name == "price" and close:
            doubts.append(
                f"{' and '.join([first.heading, *close])} could each be the price; '{first.heading}' is taken"
            )
    if "item" not in chosen and guesses.get("item"):
        chosen["item"], reasons["item"] = guesses["item"][0].heading, guesses["item"][0].why
    if "price" not in chosen and "price by weight" not in chosen:
        name = "price" if guesses.get("price") else "price by weight"
        chosen[name] = guesses[name][0].heading
        doubts.append(f"hardly a cell below '{chosen[name]}' is a price")
    return {name: chosen[name] for name in heads.COLUMNS if name in chosen}, reasons, doubts


def _holds(name: str, cells: Sequence[Cell]) -> bool:
    """Whether a column's cells are what its heading promises, as far as that can be told."""
    filled = [cell for cell in cells if text(cell)]
    if name in ("price", "price by weight"):
        good = sum(value is not None for value in money_cells.read(filled, "point", "").values)
        return bool(filled) and good >= (0.3 if name == "price" else 0.2) * len(filled)
    if name == "item":
        return any(any(c.isalpha() for c in text(cell)) for cell in filled)
    if name == "date":
        return sum(day_cells.read(cell, "day first") is not None for cell in filled) > len(filled) / 2
    return bool(filled)


def _pack(
    chosen: dict[str, str], reasons: dict[str, str], doubts: list[str], columns: Mapping[str, tuple[Cell, ...]]
) -> None:
    """Settle which columns make the pack."""
    each = set(heads.key(chosen.get("price", "")).split()) & set(_EACH)
    if each and {"count", "size", "pack"} & chosen.keys():
        doubts.append(
            f"'{chosen['price']}' may be for one piece, not for the whole pack; if so, take the column of the count out"
        )
    if "count" in chosen and _CASE & set(heads.key(chosen.get("size", "")).split()):
        del chosen["size"]  # what a whole case weighs, box and all
        reasons.pop("size", None)
    _ordered(chosen, doubts, columns)
    if {"pack", "size"} & chosen.keys():
        _unit(chosen, doubts, columns)
        return
    if heads.price_for(chosen.get("price", "")) or "count" in chosen:
        return
    unit = {text(cell).casefold() for cell in columns.get(chosen.get("unit", ""), ())} - {""}
    if unit and unit <= price_shapes.WEIGHTS.keys():
        return
    names = [text(cell) for cell in columns.get(chosen.get("item", ""), ()) if text(cell)]
    if names and 2 * sum(bool(pack_cells.inside(name, "point")) for name in names) >= len(names):
        chosen["pack"] = IN_ITEM
        reasons["pack"] = "no column says it, and most items have a pack in their names"
    elif "price by weight" not in chosen and not unit:
        doubts.append("no column says how much is in a pack; name it under columns, as pack")


def _ordered(chosen: Mapping[str, str], doubts: list[str], columns: Mapping[str, tuple[Cell, ...]]) -> None:
    """Doubt a count that may be of what was ordered, beside packs that say all by themselves."""
    heading = chosen.get("count", "")
    packs = next((chosen[name] for name in ("size", "pack", "unit") if name in chosen), "")
    if heads.key(heading) in _ORDERED and any(c.isdigit() for cell in columns.get(packs, ()) for c in text(cell)):
        doubts.append(
            f"'{heading}' is taken for how many are in a case; if it is how many were ordered, take 'count' out"
        )


def _unit(chosen: Mapping[str, str], doubts: list[str], columns: Mapping[str, tuple[Cell, ...]]) -> None:
    """Doubt a column of nothing but weights beside packs of more: prices may be for the one or for the other."""
    heading = chosen.get("unit", "")
    units = [text(cell).casefold().strip(" .") for cell in columns.get(heading, ())]
    kinds = set(units) - {""}
    if not kinds or not kinds <= price_shapes.WEIGHTS.keys() | price_shapes.OTHERS.keys():
        return
    sizes = columns[chosen.get("size", chosen.get("pack", ""))] if chosen.get("pack") != IN_ITEM else ()
    odd = [
        (text(size), unit)
        for size, unit in zip(sizes, units, strict=False)
        if unit and any(c.isdigit() for c in text(size)) and any(c.isalpha() or c == "#" for c in text(size))
    ]
    if odd:
        size, unit = next((pair for pair in odd if pair[1] in price_shapes.WEIGHTS), odd[0])
        weighed = unit in price_shapes.WEIGHTS
        taken = f"one {unit}" if weighed else "the whole pack"
        mend = (
            "if they are for the whole pack, take 'unit' out of the columns"
            if weighed
            else f"if they are for one {unit}, say that heading as pack"
        )
        doubts.append(f"'{heading}' says {unit} beside packs such as {size}: prices are taken for {taken}; {mend}")


def _decimals(cells: Sequence[Cell], locale: str, doubts: list[str]) -> tuple[Decimals, str]:
    votes = money_cells.style(cells)
    numbers = sum(isinstance(cell, (int, float)) for cell in cells)
    usual = _usual(locale)
    if votes["point"] or votes["comma"]:
        decimals: Decimals = "point" if votes["point"] >= votes["comma"] else "comma"
        why = f"{max(votes['point'], votes['comma'])} prices show it"
        if votes["point"] and votes["comma"] and votes["either"]:
            doubts.append(f"decimals stand behind points and behind commas; {votes['either']} prices could be either")
        return decimals, why
    if votes["either"]:
        doubts.append("prices such as 1,234 could be thousands or have three decimals; settle 'decimals'")
        return usual, "a guess by the shop's locale"
    return usual, "numbers of the workbook" if numbers else "as in the shop's locale"


def _usual(locale: str) -> Decimals:
    """The sign before decimals that is usual where a shop is."""
    return "point" if locale.startswith("en") or locale.rpartition("_")[2] in ("US", "MX", "CH") else "comma"


def _currency(chosen: Mapping[str, str], prices: Sequence[Cell], decimals: Decimals, home: str) -> str:
    heading = chosen.get("price", chosen.get("price by weight", ""))
    for word in (
        heading.replace("(", " ").replace(")", " ").replace("/", " ").replace("[", " ").replace("]", " ").split()
    ):
        code = price_shapes.currency(word, home) if not word.isalpha() or word.isupper() else ""
        if code and word.casefold() not in ("kg", "fr"):
            return code
    read = money_cells.read(prices, decimals, home)
    marks = Counter(code for code, value in zip(read.currencies, read.values, strict=True) if value is not None)
    # One euro sign among bare numbers says nothing of the others.
    return marks.most_common(1)[0][0] if marks else ""


def _samples(taken: Sequence[Lines], mapped: Mapped) -> tuple[str, ...]:
    found = []
    for one in taken:
        for at in range(min(len(one.rows), _SAMPLES)):
            try:
                pack = pack_cells.plain(one.packs[at], mapped.decimals)
            except UnreadableError:
                pack = f"{one.packs[at]} (cannot be read)"
            price = f"{one.prices[at]:,.2f} {one.currencies[at]}"
            found.append(f"row {one.rows[at]}: {one.items[at]} | {pack} | {price}")
    return tuple(found[:_SAMPLES])


def _sender(chosen: Mapping[str, str], columns: Mapping[str, tuple[Cell, ...]]) -> str:
    names = {text(cell) for cell in columns.get(chosen.get("supplier", ""), ())} - {""}
    return names.pop() if len(names) == 1 else ""
