"""The goods of a list: item, pack and price of each row, by the columns that a mapping names.

Everything is done a column at a time, because lists are long; only rows in which something is odd are looked at one
by one. A row that is no goods (a title, a section, a total, the heads once more) is left out; goods that cannot be used
are told of.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from itertools import compress, islice, zip_longest
from typing import TYPE_CHECKING, Final

from costing.digits import UnreadableError
from costing.prices.intake import day_cells, heads, money_cells, pack_cells, price_shapes
from costing.prices.intake.csv_columns import Across
from costing.prices.intake.mapping import IN_ITEM
from costing.prices.intake.sheets import LONGEST_CELL, Cell, Sheet, harmless, text, tidy
from nutrition import resources

if TYPE_CHECKING:
    from costing.prices.intake.heads import Head
    from costing.prices.intake.mapping import Mapped

_FORMULA_SIGNS: Final = "=+-@"
_NUMBER: Final = re.compile(r"\d+(?:[.,]\d+)?")
_ABOUT: Final = re.compile(r"\b(?:avg|average|approx|rw|random|catch|ca)\b|~", re.IGNORECASE)
_FEW_UNITS: Final = 8
_SPACES: Final = re.compile(" {2,}")
_MUST_ASK: Final = "ask the supplier; the last price known goes on counting"


@dataclass(frozen=True, slots=True)
class Unusable:
    """Goods that cannot be used: where, which, and why."""

    where: str
    item: str
    what: str
    mend: str


@dataclass(slots=True)
class Lines:
    """The goods of one sheet, a list for each column, all of one length.

    Args:
        sheet: where they stand.
        rows: number of each row in the file.
        items: as the supplier calls them.
        codes: the supplier's numbers, empty where there are none.
        packs: as written, or put together from several columns.
        prices: money.
        currencies: ISO code, empty where neither row nor mapping says.
        days: from when each price holds, None where the list does not say by row.
        unusable: goods without a price or a pack.
        left_out: how many rows are no goods.
        carried: rows without an item that were taken for another pack of the one above.
        bare: items without the brand that was put to them; only where the list has brands.
    """

    sheet: Sheet
    rows: Sequence[int] = field(default_factory=list)
    items: list[str] = field(default_factory=list)
    codes: list[str] = field(default_factory=list)
    packs: list[str] = field(default_factory=list)
    prices: list[float] = field(default_factory=list)
    currencies: list[str] = field(default_factory=list)
    days: list[date | None] = field(default_factory=list)
    unusable: list[Unusable] = field(default_factory=list)
    left_out: int = 0
    carried: list[int] = field(default_factory=list)
    bare: dict[str, str] = field(default_factory=dict)


def locate(sheets: Sequence[Sheet], mapped: Mapped) -> list[tuple[Sheet, Head]]:
    """The sheets that a mapping can read, each with its heads.

    Args:
        sheets: of the received list.
        mapped: the supplier's mapping.
    """
    found = []
    for sheet in sheets:
        head = _head(sheet, mapped)
        if head is not None:
            found.append((sheet, head))
    return found


def _head(sheet: Sheet, mapped: Mapped) -> Head | None:
    for at, cells in enumerate(sheet.rows[: heads.LOOKED_AT]):
        for head in heads.candidates(sheet.rows, at) if heads.may_be_head(cells) else ():
            if mapped.fits(head.names):
                return head
    return None


def take(sheet: Sheet, head: Head, mapped: Mapped, home: str) -> Lines:
    """The goods of a sheet.

    Args:
        sheet: of the received list.
        head: its heads.
        mapped: which heading is which column.
        home: the shop's currency.

    Returns:
        Every row with an item, a pack and a price; and what else was there.
    """
    return _Taking(sheet, head, mapped, home).lines()


class _Taking:
    """One sheet, while its goods are taken."""

    def __init__(self, sheet: Sheet, head: Head, mapped: Mapped, home: str) -> None:
        self.sheet, self.mapped, self.home = sheet, mapped, home
        start = head.at + head.depth
        self.numbers = sheet.numbers[start:]
        self.count = len(self.numbers)
        columns = _columns(sheet, start)
        columns.extend([(None,) * self.count] * (len(head.names) - len(columns)))
        places = {heads.same(name): at for at, name in enumerate(head.names) if name}
        self.columns = {
            name: columns[places[heads.same(heading)]]
            for name, heading in mapped.columns.items()
            if heads.same(heading) in places
        }
        self.headings = mapped.columns
        self.opened: set[str] = set()
        self.bare: dict[str, str] = {}
        # Of cells that were cut out of one text, much can be told from that text.
        rows = sheet.rows
        cut = rows.text if isinstance(rows, Across) and start >= len(rows.top) else None
        untidy = cut.untidy(len(rows.columns)) if cut is not None and isinstance(rows, Across) else None
        self.tidy = {
            name
            for name in self.columns
            if untidy is not None and places[heads.same(mapped.columns[name])] not in untidy
        }
        # Made tidy, a cell may begin with another letter than it did.
        self.formulas = cut is None or bool(untidy) or cut.begins_with(_FORMULA_SIGNS)
        # Items and packs may be put together from several cells.
        self.long = cut is None or cut.longest > LONGEST_CELL // 8

    def texts(self, name: str) -> list[str]:
        """A column as tidy texts, not to be changed; empty ones where there is no such column."""
        cells = self.columns.get(name)
        if cells is None:
            return [""] * self.count
        # Columns that a head has to spare are no lists, and hold no texts.
        return cells if name in self.tidy and isinstance(cells, list) else _tidied(cells)

    def lines(self) -> Lines:
        out = Lines(self.sheet)
        if not self.count:
            return out
        items = self._items()
        out.bare = self.bare
        money = money_cells.read(self.columns.get("price", (None,) * self.count), self.mapped.decimals, self.home)
        packs = self._packs(items, money)
        self._by_weight(money, packs)
        currencies = self._currencies(money)
        days = [day_cells.read(cell, self.mapped.dates) for cell in self.columns.get("date", ())] or [None] * self.count
        codes = self.texts("code")
        left: set[int] = set()
        if not (all(items) and all(packs) and (money.whole or None not in money.values)):
            items = [*items]
            left = self._left_out(items, packs, money, out)
        if self.long:
            items, packs = _shortened(items), _shortened(packs)
        if not left:
            out.rows, out.items, out.codes, out.packs = self.numbers, items, codes, packs
            out.prices, out.currencies, out.days = money.values, currencies, days  # type: ignore[assignment]
            return out
        kept = bytearray(b"\1") * self.count
        for at in left:
            kept[at] = 0
        out.rows = list(compress(self.numbers, kept))
        out.items = list(compress(items, kept))
        out.codes = list(compress(codes, kept))
        out.packs = list(compress(packs, kept))
        out.prices = list(compress(money.values, kept))  # type: ignore[arg-type]  # those that are kept have a price
        out.currencies = list(compress(currencies, kept))
        out.days = list(compress(days, kept))
        return out

    def _items(self) -> list[str]:
        items = self.texts("item")
        if "brand" in self.columns:
            brands = self.texts("brand")
            folded = {brand: brand.casefold() for brand in set(brands)}
            plain = "\n".join(items).casefold().split("\n")
            whole = [
                f"{item}, {brand}" if item and brand and folded[brand] not in small else item
                for item, brand, small in zip(items, brands, plain, strict=True)
            ]
            self.bare = dict(zip(whole, items, strict=True))
            items = whole
        if self.formulas and _like_formulas(items):
            items = [harmless(item) for item in items]
        return items

    def _packs(self, items: Sequence[str], money: money_cells.Column) -> list[str]:
        count, size, unit = self.texts("count"), self.texts("size"), self.texts("unit")
        pack = self.texts("pack")
        if self.headings.get("pack") == IN_ITEM:
            pack = [pack_cells.inside(item, self.mapped.decimals) for item in items]
        elif "pack" in self.columns and "size" in self.columns and "count" not in self.columns:
            # "Pack" beside "Size" is mostly how many: 12 and 32 OZ.
            count, pack = pack, [""] * self.count
        sized = "size" in self.columns and any(size)
        # Beside "CS" and "BG", "EA" is a case that was opened; where all is sold by "EA", it says nothing.
        kinds = {one.casefold().strip(" .") for one in set(unit)} - {""}
        self.opened = kinds & price_shapes.EACHES if kinds - price_shapes.EACHES else set()
        of_size = _mostly_numbers(size if sized else pack if any(pack) else count)
        if len(set(unit)) == 1 and not sized and not any(count):
            alike = {one: self._made(one, "", "", unit[0], of_size) for one in set(pack)}
            same = all(made == one for one, made in alike.items())
            packs = list(map(alike.__getitem__, pack)) if not same or self._moves(money) else pack
        elif not (sized or any(count)) and len(units := set(unit)) <= _FEW_UNITS:
            by_unit = {of: {one: self._made(one, "", "", of, of_size) for one in set(pack)} for of in units}
            packs = [by_unit[of][one] for one, of in zip(pack, unit, strict=True)]
        else:
            key = (pack, count, size, unit)
            made = {one: self._made(*one, of_size) for one in set(zip(*key, strict=True))}
            packs = [made[one] for one in zip(*key, strict=True)]
        whole = heads.price_for(self.headings.get("price", ""))
        if whole:
            packs = [one if price is None else whole for one, price in zip(packs, money.values, strict=True)]
        for at, per in money.per.items():
            packs[at] = per if per != price_shapes.EACH else self._each(packs[at])
        if self.formulas and _like_formulas(packs):
            packs = [harmless(one) for one in packs]
        return packs

    def _moves(self, money: money_cells.Column) -> bool:
        """Whether prices may put other packs in the place of those that are written."""
        return bool(money.per) or "price by weight" in self.columns

    def _each(self, pack: str) -> str:
        """The pack of a price for "each": that of the row where it is one thing, and else for the owner to say."""
        if not pack:
            return "1 each"
        each = f"{pack} each"
        if each in self.mapped.packs:
            return self.mapped.packs[each]
        return each if pack_cells.several(pack, self.mapped.decimals) else pack

    def _made(self, pack: str, count: str, size: str, unit: str, of_size: bool) -> str:
        if unit and not of_size:
            weight = pack_cells.priced_by(unit, self.mapped.decimals)
            if weight:
                return weight  # sold by the pound: the price is for one, whatever is in the case
            if (pack or size) and unit.casefold().strip(" .") in self.opened:
                return self._each(self._made(pack, count, size, "", of_size))
            unit = unit if not (pack or size) else ""
        if count and unit and of_size and not (pack or size or any(c.isdigit() for c in unit)):
            count, size = "", count  # "50" beside "LB": how much, not how many
        whole = pack_cells.joined(count, size or pack, unit, self.mapped.decimals)
        if count and whole == count and count.isdigit():
            whole = f"{count} ct"
        return self.mapped.packs.get(whole, whole)

    def _by_weight(self, money: money_cells.Column, packs: list[str]) -> None:
        """Catch weights: where a row has no price for the pack, or its pack is only about so much, the pound counts."""
        cells = self.columns.get("price by weight")
        if cells is None:
            return
        column = money_cells.read(cells, self.mapped.decimals, self.home)
        plain = heads.key(self.headings["price by weight"]).split()
        one = "1 kg" if {"kg", "kilo", "kilopreis"} & set(plain) else "1 lb"
        one = heads.price_for(self.headings["price by weight"]) or one
        for at, value in enumerate(column.values):
            if value is None:
                continue
            if money.values[at] is None or _ABOUT.search(packs[at]):
                money.values[at] = value
                money.currencies[at] = column.currencies[at] or money.currencies[at]
                packs[at] = column.per.get(at, one)
        problems = {at: wrong for at, wrong in money.problems.items() if money.values[at] is None}
        problems |= {at: wrong for at, wrong in column.problems.items() if money.values[at] is None}
        self.weight_problems = problems

    def _currencies(self, money: money_cells.Column) -> list[str]:
        default = self.mapped.currency
        if "currency" in self.columns:
            cells = self.texts("currency")
            codes = {cell: price_shapes.currency(cell, self.home) for cell in set(cells)}
            return [codes[cell] or mark or default for cell, mark in zip(cells, money.currencies, strict=True)]
        if all(money.currencies):
            return money.currencies
        return [mark or default for mark in money.currencies]

    def _left_out(self, items: list[str], packs: Sequence[str], money: money_cells.Column, out: Lines) -> set[int]:
        """The rows that are no goods with pack and price, and what is to be said of them."""
        problems: Mapping[int, UnreadableError] = getattr(self, "weight_problems", money.problems)
        no_pack_column = not ({"pack", "size", "count", "unit"} & self.columns.keys())
        heading = heads.same(self.headings["item"])
        prices = {name: self.columns[name] for name in ("price", "price by weight") if name in self.columns}
        left: set[int] = set()
        for at in sorted({*_places(items, ""), *_places(packs, ""), *_places(money.values, None)}):
            item, pack, price, wrong = items[at], packs[at], money.values[at], problems.get(at)
            if not item and pack and price is not None and self._follows_goods(at, left):
                items[at] = items[at - 1]
                out.carried.append(self.numbers[at])
                continue
            left.add(at)
            again = any(
                heads.same(text(cells[at])) == heads.same(self.headings[name]) for name, cells in prices.items()
            )
            if again or heads.same(item) == heading or _foot(item) or (price is None and wrong is None and not pack):
                out.left_out += any((item, pack))
            elif not item:
                out.left_out += 1
            elif wrong is not None and not pack and not no_pack_column:
                out.left_out += 1  # words that run across: "Dairy", "prices hold until ..."
            elif price is None:
                what, mend = (wrong.what, wrong.mend) if wrong else ("there is no price", _MUST_ASK)
                out.unusable.append(Unusable(self.sheet.where(self.numbers[at]), item, what, mend))
            else:
                mend = "name the column that says how much is in a pack, or ask the supplier"
                where = self.sheet.where(self.numbers[at])
                out.unusable.append(Unusable(where, item, "nothing says how much is in the pack", mend))
        return left

    def _follows_goods(self, at: int, left: set[int]) -> bool:
        """Whether a row stands right below goods, as another pack of them does."""
        return at > 0 and at - 1 not in left and self.numbers[at] == self.numbers[at - 1] + 1


def _places(those: Sequence[object], what: object) -> Iterator[int]:
    """Where something stands in a long list that seldom has it."""
    at = -1
    with suppress(ValueError):
        while True:
            at = those.index(what, at + 1)
            yield at


def _shortened(texts: list[str]) -> list[str]:
    """Texts, those that are longer than a cell may be cut."""
    if max(map(len, texts)) <= LONGEST_CELL:
        return texts
    return [one if len(one) <= LONGEST_CELL else f"{one[: LONGEST_CELL - 1]}…" for one in texts]


def _columns(sheet: Sheet, start: int) -> list[Sequence[Cell]]:
    """The cells below the heads, column by column, each as long as the others."""
    rows = sheet.rows
    if isinstance(rows, Across):
        quick = rows.below(start)
        if quick is not None:
            return list(quick)
    below = rows[start:]
    even = len(set(map(len, below))) == 1
    return list(zip(*below, strict=True)) if even else list(zip_longest(*below))


def _tidied(cells: Sequence[Cell]) -> list[str]:
    """Cells as tidy texts."""
    try:
        joined = "\n".join(cells)  # type: ignore[arg-type]  # a cell that is no text ends the attempt
    except TypeError:
        return [text(cell) for cell in cells]
    texts: list[str] = list(cells)  # type: ignore[arg-type]
    plain = joined.replace("\n", "").isprintable() and (joined.isascii() or unicodedata.is_normalized("NFC", joined))
    if not plain or joined.count("\n") != len(texts) - 1:
        made = {one: tidy(one) for one in set(texts)}
        return [made[one] for one in texts]
    # The only white space in what can be printed is the space itself, and mostly all of a column is written well.
    if " \n" in joined or "\n " in joined or joined.startswith(" ") or joined.endswith(" "):
        texts = list(map(str.strip, texts))
        joined = "\n".join(texts)
    return _SPACES.sub(" ", joined).split("\n") if "  " in joined else texts


def _like_formulas(texts: Sequence[str]) -> bool:
    """Whether any of the texts begins like a formula."""
    joined = "\n" + "\n".join(texts)
    # Looking for one sign is much quicker than for two, and mostly there is none.
    return any(sign in joined and f"\n{sign}" in joined for sign in _FORMULA_SIGNS)


def _mostly_numbers(cells: Sequence[str]) -> bool:
    """Whether a column of sizes is without units, so that another column must have them."""
    filled = list(islice(filter(None, cells), 200))
    return bool(filled) and sum(_NUMBER.fullmatch(cell) is not None for cell in filled) > len(filled) / 2


def _foot(item: str) -> bool:
    """Whether a row is a total or the number of a page."""
    plain = item.casefold().strip(" :.")
    words = {row["words"] for row in resources.table("prices", "foot_words.csv")}
    return plain in words or (plain.split(" ")[0] in ("page", "seite") and bool(re.search(r"\d", plain)))
