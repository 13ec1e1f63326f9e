"""Takes a supplier's list into a shop: opens it, understands it, compares it, and puts it in its place."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal

from costing import days
from costing.findings import Finding, ShopError, place
from costing.prices import rates
from costing.prices.intake import afar, compare, day_cells, lines, mapping, opened, put, settle
from costing.prices.intake.home import WHAT, Home
from costing.prices.intake.settle import Ask
from costing.prices.intake.sheets import Book, harmless, refuse, text, tidy
from costing.shop.models import PriceRow

if TYPE_CHECKING:
    from costing.prices.intake.heads import Head
    from costing.prices.intake.lines import Lines
    from costing.prices.intake.mapping import Mapped
    from costing.prices.intake.sheets import Sheet
    from costing.shop.models import ShopModel

AHEAD: Final = timedelta(days=366)
"""A list that is to hold later than this has a slip in its date."""


@dataclass(frozen=True, slots=True)
class Added:
    """What became of a list.

    Args:
        state: ``added``; ``known`` where it was there already; ``proposed`` where a mapping waits to be confirmed.
        supplier: who sent it.
        day: from when its prices hold; None where nothing was added.
        day_from: how that day was found.
        how: how the file was read.
        name: of the dated list.
        list_file: where that stands: its file, relative to the shop, or the cells of a workbook.
        original: where the original is kept, relative to the shop's folder or to the workbook's.
        mapping_file: the supplier's mapping, likewise.
        goods: rows with an item, a pack and a price.
        used: those of things the shop buys.
        not_goods: rows that are titles, totals and the like.
        findings: what is to be known.
        items: the items proposed or new, for a look.
    """

    state: Literal["added", "known", "proposed"]
    supplier: str
    mapping_file: str
    findings: tuple[Finding, ...]
    day: date | None = None
    day_from: str = ""
    how: str = ""
    name: str = ""
    list_file: str = ""
    original: str = ""
    goods: int = 0
    used: int = 0
    not_goods: int = 0
    proposal: Mapped | None = None
    samples: tuple[str, ...] = ()


def add(
    shop: Path,
    file: Path,
    *,
    supplier: str = "",
    day: date | None = None,
    yes: bool = False,
    only_propose: bool = False,
    ask: Ask | None = None,
    show: Callable[[Mapped, Sequence[str]], None] | None = None,
    today: date | None = None,
) -> Added:
    """Take a list in.

    Args:
        shop: the shop, a folder or a workbook.
        file: the list as it was received, CSV or XLSX.
        supplier: who sent it; if empty, it is known by its headings or by a column of its own.
        day: from when its prices hold; if None, as the list says, else today.
        yes: confirm what is not doubtful about a proposal.
        only_propose: write the proposal, and add nothing.
        ask: asks a person at a terminal; None where there is nobody.
        show: shows a person a proposal before asking.
        today: the day it is.

    Returns:
        What became of it.

    Raises:
        ShopError: the list or the shop cannot be read; nothing has been changed but what a mapping confirms.
    """
    home = Home(shop)
    model = home.shop()
    new = home.workbook is not None and not home.there(home.prices)
    done = _added(home, file, model, supplier, day, today or days.today(), yes, only_propose, ask, show)
    if new and home.there(home.prices):
        what = (
            f"the folder {home.prices} beside {shop.name} is new: it keeps how lists are read, and lists as they came"
        )
        note = Finding("note", home.prices, what, "let the two stay beside each other")
        done = replace(done, findings=(*done.findings, note))
    return done


def _added(
    home: Home,
    file: Path,
    model: ShopModel,
    supplier: str,
    day: date | None,
    today: date,
    yes: bool,
    only_propose: bool,
    ask: Ask | None,
    show: Callable[[Mapped, Sequence[str]], None] | None,
) -> Added:
    book = opened.read(file)
    name = harmless(tidy(supplier))[: settle.LONGEST_NAME]
    one = settle.recognised(home, book, name)
    findings: list[Finding] = list(book.findings)
    samples: tuple[str, ...] = ()
    if one is None:
        one, samples = settle.proposed(home, book, model, name)
    elif not one.confirmed:
        one, samples = settle.explained(one, book, model)
    if only_propose:
        home.keep()
        return _waiting(one, samples, book, findings, only_propose=True)
    if home.workbook is not None and (yes or ask is not None or one.confirmed):
        home.workbook.refuse_in_use(WHAT)  # before anybody answers a question
    try:
        one = settle.confirmed(home, one, samples, yes=yes, ask=ask, show=show)
        if not one.confirmed:
            home.keep()
            return _waiting(one, samples, book, findings)
        settle.check_names(home, one, model)
        done, fresh = _take(home, book, one, model, findings, day, today, yes=yes, ask=ask)
    except ShopError:
        home.keep()  # what was confirmed stays, and what is wrong is often mended in it
        raise
    if not fresh or done.day is None:
        home.keep()
        return done
    written = put.put(home, book, one.supplier, done.day, fresh, done.original)
    return replace(done, name=written.name, list_file=written.list_file, original=written.original)


def _waiting(
    one: Mapped, samples: Sequence[str], book: Book, findings: list[Finding], *, only_propose: bool = False
) -> Added:
    """What is said while a mapping waits."""
    found = [Finding("warning", one.file, doubt, "settle it, and take it out of 'doubts'") for doubt in one.doubts]
    for name, item in one.items.items():
        if item.rivals and not item.confirmed:
            what = f"the item '{name}' fits two names or more: {', '.join((item.ingredient, *item.rivals))}"
            found.append(Finding("warning", f"{one.file}:{item.line}", what, "keep the right one, and confirm it"))
    if not one.confirmed:
        mend = "look it through, write 'confirmed: yes' where it is right, then add the list again; or add --yes"
        if one.doubts:
            mend = "settle the doubts in it, write 'confirmed: yes', then add the list again"
        what = f"how the lists of {one.supplier} are read is not confirmed yet; nothing was added"
        found.append(Finding("note" if only_propose else "error", one.file, what, mend))
    kept = tuple(compare.limited([*findings, *found]))
    return Added("proposed", one.supplier, one.file, kept, how=book.how, proposal=one, samples=tuple(samples))


def _take(
    home: Home,
    book: Book,
    one: Mapped,
    model: ShopModel,
    findings: list[Finding],
    day: date | None,
    today: date,
    *,
    yes: bool,
    ask: Ask | None,
) -> tuple[Added, list[PriceRow]]:
    """What becomes of a list, and the rows of it that are to be written; nothing is yet."""
    located = lines.locate(book.sheets, one)
    if not located:
        raise ShopError((_missing_heads(book, one),))
    findings.extend(_other_sheets(book, located, one))
    taken = [lines.take(sheet, head, one, model.currency) for sheet, head in located]
    again = put.before(home, book, one.supplier)
    list_day, day_from = _day(book, located, taken, one, day, today)
    if again is not None and day is None:
        list_day, day_from = again[1], "as when it was received first"
    elif again is not None and list_day != again[1]:
        again = None  # the owner says that the same prices hold from another day
    if list_day > today + AHEAD:
        what = f"the list is for {list_day.isoformat()}, more than a year ahead"
        raise refuse(book.file, what, "give the right day with --date")
    one = settle.new_items(home, one, taken, model, findings, yes=yes, ask=ask)
    rows = _rows(taken, one, model, list_day, findings, fixed_day=day is not None)
    goods = sum(len(those.rows) for those in taken)
    common = {
        "supplier": one.supplier, "mapping_file": one.file, "day": list_day, "day_from": day_from, "how": book.how,
        "goods": goods, "used": sum(bool(row.ingredient) for row in rows),
        "not_goods": sum(those.left_out for those in taken),
    }  # fmt: skip
    fresh = put.unheard(rows, model.prices, one.supplier)
    if rows and not fresh:
        where = again[0] if again else book.file
        said = "this very list was received already" if again else "every price of this list is known already"
        kept = again[0] if again else ""
        note = Finding("note", where, f"{said}; nothing was added")
        return Added("known", findings=(note, *compare.limited(findings)), original=kept, **common), []  # type: ignore[arg-type]
    if not rows:
        what = f"none of the {goods} goods of this list can be used; nothing was added"
        raise ShopError((*compare.limited(findings), Finding("error", book.file, what, "see what stands against each")))
    _refuse_clash(rows, model, one.supplier, list_day)
    _compare(rows, taken, one, model, list_day, findings)
    findings.extend(afar.findings(rows, model, list_day))
    findings.extend(compare.ounces(rows, model, one.file))
    findings.extend(compare.freight(one.supplier, model))
    told = tuple(compare.limited(findings))
    return Added("added", findings=told, original=again[0] if again else "", **common), fresh  # type: ignore[arg-type]


def _compare(
    rows: Sequence[PriceRow],
    taken: Sequence[Lines],
    one: Mapped,
    model: ShopModel,
    day: date,
    findings: list[Finding],
) -> None:
    findings.extend(compare.twice(rows))
    before = compare.earlier(model, one.supplier, day)
    if before is not None:
        listed = {
            *(item for those in taken for item in those.items),
            *(u.item for those in taken for u in those.unusable),
        }
        findings.extend(compare.against(before, rows, model, listed))


def _refuse_clash(rows: Sequence[PriceRow], model: ShopModel, supplier: str, day: date) -> None:
    clash = put.clashing(rows, model.prices, supplier)
    if clash:
        row, other = clash[0]
        more = f", and {len(clash) - 1} more rows" if len(clash) > 1 else ""
        what = (
            f"another list of {supplier} for {day.isoformat()} says otherwise: '{row.item}' costs {row.price:,.2f} "
            f"here and {other.price:,.2f} at {place(other.where)}{more}"
        )
        raise refuse(
            row.where, what, "give the day from which the new prices hold with --date; no list is ever changed"
        )


def _missing_heads(book: Book, one: Mapped) -> Finding:
    from costing.prices.intake import heads

    best: set[str] = set()
    names: tuple[str, ...] = ()
    wanted = {heads.same(h): h for h in one.columns.values() if h != mapping.IN_ITEM}
    for sheet in book.sheets:
        for at in range(min(len(sheet.rows), heads.LOOKED_AT)):
            found = heads.named(sheet.rows[at], at)
            met = {heads.same(name) for name in found.names} & wanted.keys()
            if len(met) > len(best) or not names:
                best, names = met, tuple(name for name in found.names if name)
    gone = ", ".join(f"'{wanted[key]}'" for key in wanted if key not in best)
    what = f"no row of the list has the headings that {one.file} names; {gone} cannot be found"
    mend = f"if the supplier changed them, correct 'columns' there; the list has: {', '.join(names)[:200]}"
    return Finding("error", book.file, what, mend)


def _other_sheets(book: Book, located: Sequence[tuple[Sheet, Head]], one: Mapped) -> list[Finding]:
    read = {sheet.name for sheet, _ in located}
    return [
        Finding("note", f"{sheet.file}[{sheet.name}]", f"this sheet lacks the headings of {one.file} and was not read")
        for sheet in book.sheets
        if sheet.name not in read
    ]


def _day(
    book: Book,
    located: Sequence[tuple[Sheet, Head]],
    taken: Sequence[Lines],
    one: Mapped,
    day: date | None,
    today: date,
) -> tuple[date, str]:
    """The day of a list, and how it was found."""
    if day is not None:
        return day, "as given"
    days = [found for those in taken for found in those.days if found is not None]
    if days:
        return max(days), f"the newest under '{one.columns['date']}'"
    for sheet, head in located:
        for at, row in enumerate(sheet.rows[: head.at]):
            for cell in row:
                found = day_cells.read(cell, one.dates) or (
                    day_cells.inside(text(cell)[:200], one.dates) if isinstance(cell, str) else None
                )
                if found is not None:
                    return found, f"row {sheet.numbers[at]} of the list says so"
    in_name = day_cells.inside(Path(book.file).stem, one.dates)
    if in_name is not None:
        return in_name, "the name of the file says so"
    return today, "today, because the list says no day"


def _rows(
    taken: Sequence[Lines],
    one: Mapped,
    model: ShopModel,
    day: date,
    findings: list[Finding],
    *,
    fixed_day: bool,
) -> list[PriceRow]:
    """The rows of the dated list; what cannot be used is told of and left out."""
    from costing.prices.intake.rows import Naming, rows_of

    naming = Naming(one)
    made: list[PriceRow] = []
    for those in taken:
        made.extend(rows_of(those, one, naming, day, findings, fixed_day=fixed_day))
    findings.extend(compare.mixed(made))
    left_out = list(compare.fitting(made, model, day))
    spoilt = {finding.where for finding in left_out}
    missing = {row.currency for row in made if row.ingredient and row.where in spoilt}
    findings.extend(replace(found, what=f"{found.what}; the row was left out") for found in left_out)
    no_rate = {code for code in missing if code != model.currency and rates.worth(model.rates, code, day) is None}
    return [row for row in made if not (row.ingredient and (row.where in spoilt or row.currency in no_rate))]
