"""Rows of the shop's own price list out of the goods of a received one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing import money
from costing.digits import UnreadableError
from costing.findings import Finding
from costing.prices.intake import matching, pack_cells
from costing.shop.models import PriceRow

if TYPE_CHECKING:
    from datetime import date

    from costing.prices.intake.lines import Lines
    from costing.prices.intake.mapping import Mapped


class Naming:
    """What the shop calls a supplier's items.

    Args:
        mapped: the supplier's mapping, of which only what is confirmed counts.
    """

    def __init__(self, mapped: Mapped) -> None:
        self.file = mapped.file
        self._exact = {name: item.ingredient for name, item in mapped.items.items() if item.confirmed}
        self._folded = {name.casefold(): name for name in self._exact}
        self._codes = {item.code: name for name, item in mapped.items.items() if item.confirmed and item.code}

    def find(self, item: str, code: str) -> tuple[str, str, str]:
        """An item's name as it is known, its ingredient, and what is to be said about it.

        Args:
            item: as the list calls it.
            code: the supplier's number, may be empty.

        Returns:
            Name, ingredient (empty for what the shop does not use), and ``""``, ``renamed`` or ``other``: the number
            stood for something else before.
        """
        name = item if item in self._exact else self._folded.get(item.casefold(), "")
        if name:
            return name, self._exact[name], ""
        known = self._codes.get(code) if code else None
        if known is None or not self._exact[known]:
            return item, "", ""
        if matching.words(item) & matching.words(known):
            return known, self._exact[known], "renamed"
        return item, "", "other"


def rows_of(
    those: Lines,
    mapped: Mapped,
    naming: Naming,
    day: date,
    findings: list[Finding],
    *,
    fixed_day: bool,
) -> list[PriceRow]:
    """Rows of the dated list.

    Args:
        those: the goods of one sheet.
        mapped: the supplier's mapping.
        naming: the names of its items.
        day: of the list.
        findings: takes what is wrong with goods that the shop buys; what is wrong with the others is counted.
        fixed_day: whether the owner gave the day, so that those of the rows do not count.
    """
    out: list[PriceRow] = []
    quiet = 0
    for one in those.unusable:
        if naming.find(one.item, "")[1]:
            findings.append(Finding("warning", one.where, f"'{one.item}': {one.what}; the row was left out", one.mend))
        else:
            quiet += 1
    if quiet:
        what = (
            f"{quiet} row{'' if quiet == 1 else 's'} of what the shop does not use left out, without a price or a pack"
        )
        first = next(one for one in those.unusable if not naming.find(one.item, "")[1])
        findings.append(Finding("note", first.where, f"{what}; the first is '{first.item}': {first.what}"))
    if those.carried:
        rows = ", ".join(map(str, those.carried[:10]))
        what = f"rows without an item were taken for another pack of the item above: {rows}"
        findings.append(Finding("note", those.sheet.where(those.carried[0]), what, "check them on the list"))
    known: dict[str, bool] = {}
    for row, item, code, pack, price, currency, own_day in zip(
        those.rows, those.items, those.codes, those.packs, those.prices, those.currencies, those.days, strict=True
    ):
        name, ingredient, said = naming.find(item, code)
        if said:
            findings.append(_told(those.sheet.where(row), item, name, code, said, naming.file))
        try:
            plain = pack_cells.plain(pack, mapped.decimals)
        except UnreadableError as refused:
            plain = pack
            if ingredient:
                mend = f"{refused.mend}; or say what it means under 'packs' in {mapped.file}, and add the list again"
                what = f"'{name}': {refused.what}; the row was left out"
                findings.append(Finding("warning", those.sheet.where(row), what, mend))
                continue
        if known.setdefault(currency, _is_currency(currency)) is False:
            if ingredient:
                what = f"'{name}': nothing says in which currency it is; the row was left out"
                findings.append(Finding("warning", those.sheet.where(row), what, f"write 'currency' in {mapped.file}"))
            continue
        out.append(
            PriceRow.model_construct(
                where=those.sheet.where(row),
                supplier=mapped.supplier,
                item=name,
                ingredient=ingredient,
                pack=plain,
                price=round(price, 9),
                currency=currency,
                date=day if fixed_day or own_day is None else own_day,
            )
        )
    return out


def _is_currency(code: str) -> bool:
    return len(code) == 3 and code.isupper() and money.known(code)


def _told(where: str, item: str, name: str, code: str, said: str, file: str) -> Finding:
    if said == "renamed":
        return Finding("note", where, f"'{item}' has the number {code} of '{name}' and was taken for it")
    what = f"number {code} stood for something else before, and is '{item}' now; it is not used"
    return Finding("warning", where, what, f"add a line for it to {file} if the shop buys it")
