"""Settles how a supplier's lists are read: knows the supplier again, proposes, has it confirmed, and writes it down."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from costing.findings import Finding, ShopError
from costing.prices.intake import lines, mapping, mapping_text, matching, propose
from costing.prices.intake.sheets import Book, harmless, refuse
from costing.shop.building import nearest

if TYPE_CHECKING:
    from costing.prices.intake.home import Home
    from costing.prices.intake.lines import Lines
    from costing.prices.intake.mapping import Item, Mapped
    from costing.shop.models import ShopModel

LONGEST_NAME = 100
"""Characters of a supplier's name."""
Ask = Callable[[str], bool]
"""Puts a question to a person: yes or no."""


def recognised(home: Home, book: Book, supplier: str) -> Mapped | None:
    """The mapping of a list's sender.

    Args:
        home: where the shop keeps mappings.
        book: the received list.
        supplier: who sent it; if empty, the sender is known by the headings.

    Returns:
        The mapping; None where there is none yet.

    Raises:
        ShopError: several would do, or the one that may be meant cannot be read.
    """
    known, findings = mapping.load_all(home)
    wrong = tuple(one for one in findings if one.level == "error")
    if supplier:
        wanted = mapping.slug(supplier)
        found = [one for one in known if one.supplier.casefold() == supplier.casefold()]
        found = found or [one for one in known if mapping.slug(one.supplier) == wanted]
        if not found and wrong:
            raise ShopError(wrong)
        if len(found) > 1:
            raise refuse(found[1].file, f"'{found[1].supplier}' has two mappings, this and {found[0].file}", "keep one")
        return found[0] if found else None
    found = [one for one in known if any(one.is_of(head.names) for _, head in lines.locate(book.sheets, one))]
    if len(found) > 1:
        names = " or ".join(f"'{one.supplier}'" for one in found)
        raise refuse(book.file, f"by its headings the list could be from {names}", "say which with --supplier")
    if not found and wrong:
        raise ShopError(wrong)
    return found[0] if found else None


def proposed(home: Home, book: Book, model: ShopModel, supplier: str) -> tuple[Mapped, tuple[str, ...]]:
    """A proposal, to be written down for people to look at.

    Args:
        home: where the shop keeps mappings.
        book: the received list.
        model: the shop.
        supplier: who sent it; if empty, as a column of the list says.

    Returns:
        The mapping as it was written, and a few lines of the list as they would be read.

    Raises:
        ShopError: nothing names the columns, or nobody knows the sender.
    """
    made = propose.propose(book, model, supplier)
    if not supplier:
        supplier = harmless(made.supplier)[:LONGEST_NAME]
        if not supplier:
            known = sorted({row.supplier for row in model.prices})
            mend = f"add --supplier with its name{f', such as {known[0]}' if known else ''}"
            raise refuse(
                book.file, "nobody knows who sent this list: its headings are new, and no column says it", mend
            )
        known_one = recognised(home, book, supplier)
        if known_one is not None:
            return known_one, ()
    one = replace(made.mapped, supplier=supplier, file=_free(home, supplier))
    content = mapping_text.write(one, book.file, made.samples, matching.SURE, made.left, made.wanting)
    again, findings = mapping.load(content, one.file)
    if again is None:  # pragma: no cover - what is written here is read here; a test holds it to that
        raise ShopError(findings)
    home.write(one.file, content)
    return replace(again, reasons=one.reasons, items=_with_reasons(again.items, one.items)), made.samples


def explained(one: Mapped, book: Book, model: ShopModel) -> tuple[Mapped, tuple[str, ...]]:
    """A mapping that still waits, with the reasons for what stands in it as it was proposed.

    Args:
        one: the mapping, as its file has it now.
        book: the received list.
        model: the shop.

    Returns:
        The mapping, and a few lines of the list as they would be read; none where the columns were changed by hand.
    """
    try:
        made = propose.propose(book, model, one.supplier)
    except ShopError:
        return one, ()
    was = made.mapped
    said = {"decimals": was.decimals == one.decimals, "dates": was.dates == one.dates}
    said |= {name: was.columns.get(name) == heading for name, heading in one.columns.items()}
    reasons = {name: why for name, why in was.reasons.items() if said.get(name)}
    items = {
        name: replace(item, why=was.items[name].why)
        if name in was.items and was.items[name].ingredient == item.ingredient
        else item
        for name, item in one.items.items()
    }
    alike = all(said.values()) and one.currency == was.currency and one.packs == was.packs
    return replace(one, reasons=reasons, items=items), made.samples if alike else ()


def _with_reasons(read: object, made: object) -> dict[str, Item]:
    assert isinstance(read, dict)
    assert isinstance(made, dict)
    return {name: replace(item, why=made[name].why) if name in made else item for name, item in read.items()}


def _free(home: Home, supplier: str) -> str:
    stem = mapping.slug(supplier)
    for number in range(1, 100):
        file = f"{home.mappings}/{stem if number == 1 else f'{stem}-{number}'}.yaml"
        if not home.there(file):
            return file
    raise refuse(home.mappings, f"there are too many mappings called {stem}", "take old ones away")


def confirmed(
    home: Home,
    one: Mapped,
    samples: Sequence[str],
    *,
    yes: bool,
    ask: Ask | None,
    show: Callable[[Mapped, Sequence[str]], None] | None,
) -> Mapped:
    """The mapping, confirmed as far as anybody confirms it now; what is confirmed is written down.

    Args:
        home: where the shop keeps mappings.
        one: the mapping.
        samples: a few lines of the list, for whoever is asked.
        yes: whether all that is not doubtful is confirmed without asking.
        ask: asks a person, None where there is nobody.
        show: shows a proposal to a person.

    Raises:
        ShopError: the file was laid out anew by hand, so that it must be confirmed by hand.
    """
    sure = [name for name, item in one.items.items() if not item.confirmed and _sure(item)]
    take_all = yes
    if not one.confirmed and ask is not None and not yes:
        if show is not None:
            show(one, samples)
        if one.doubts or not ask("Is this how the list is to be read?"):
            return one
        take_all = not sure or ask(f"Are the {len(sure)} items right that have {matching.SURE} points and more?")
    if one.doubts or not (yes or (take_all and not one.confirmed) or ask is not None):
        return one
    if one.confirmed and not yes:
        return one
    made = mapping.confirm(one, matching.SURE) if take_all else replace(one, confirmed=True)
    changed = [item.line for name, item in made.items.items() if item.confirmed and not one.items[name].confirmed]
    if not changed and one.confirmed:
        return one
    old = home.text(one.file)
    top = 0 if one.confirmed else _top_line(old)
    content = mapping_text.confirmed(old, changed, top)
    again, findings = mapping.load(content, one.file)
    if (
        again is None
        or not again.confirmed
        or {n: i.confirmed for n, i in again.items.items()} != {n: i.confirmed for n, i in made.items.items()}
    ):
        what = "the mapping is not laid out as it was written, and cannot be confirmed from here"
        raise ShopError((*findings, Finding("error", one.file, what, "write 'confirmed: yes' in it by hand")))
    home.write(one.file, content)
    return again


def _sure(item: Item) -> bool:
    return item.score >= matching.SURE and not item.rivals and bool(item.ingredient)


def _top_line(content: str) -> int:
    rows = content.split("\n")
    return next((at for at, row in enumerate(rows, 1) if row.startswith("confirmed:")), 0)


def check_names(home: Home, one: Mapped, model: ShopModel) -> None:
    """Look for names in a mapping that nothing in the shop bears.

    Raises:
        ShopError: there are some.
    """
    known = [*matching.names(model), *(name for name in model.ingredients)]
    wrong = []
    for name, item in one.items.items():
        if item.confirmed and item.ingredient and item.ingredient not in known:
            what = f"nothing in the shop is called '{item.ingredient}', which '{name}' should be"
            mend = nearest(item.ingredient, known, f"the names are those {home.names}")
            wrong.append(Finding("error", f"{one.file}:{item.line}", what, mend))
    if wrong:
        raise ShopError(tuple(wrong))


def new_items(
    home: Home,
    one: Mapped,
    taken: Sequence[Lines],
    model: ShopModel,
    findings: list[Finding],
    *,
    yes: bool,
    ask: Ask | None,
) -> Mapped:
    """Items that the mapping does not know and that look like something the shop buys: added to it, to be confirmed."""
    known = dict(one.items) | {name.casefold(): item for name, item in one.items.items()}
    codes = {item.code for item in one.items.values() if item.code}
    fresh = {
        name: item
        for name, item in propose.items(taken, model, known).items()
        if name.casefold() not in known and item.code not in codes
    }
    for name, item in one.items.items():
        if not item.confirmed and item.ingredient:
            what = f"'{name}' may be {' or '.join((item.ingredient, *item.rivals))}, and nobody has confirmed it"
            mend = "confirm it or empty its ingredient there, then add the list again"
            findings.append(Finding("warning", f"{one.file}:{item.line}", what, mend))
    if not fresh:
        return one
    made: dict[str, Item] = {}
    for name, item in fresh.items():
        agreed = _sure(item) and (
            yes or (ask is not None and ask(f"'{name}' is new. Is it {item.ingredient} ({item.score} points)?"))
        )
        made[name] = replace(item, confirmed=agreed)
        if not agreed:
            fits = " or ".join((item.ingredient, *item.rivals))
            what = f"'{name}' is new and may be {fits} ({item.score} of 100); it is not used yet"
            mend = f"to use it, confirm its line in {one.file} and add the list again"
            findings.append(Finding("warning" if item.rivals else "note", one.file, what, mend))
    content = mapping_text.appended(home.text(one.file), made)
    again, _ = mapping.load(content, one.file)
    if again is None or again.items.keys() != one.items.keys() | made.keys():
        what = "'items' does not stand last in this file, so new items could not be written below it"
        findings.append(Finding("note", one.file, what, "move 'items' to the end"))
        return replace(one, items={**one.items, **made})
    home.write(one.file, content)
    return again
