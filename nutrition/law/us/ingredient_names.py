"""Names in the ingredient statement: class names, flavors, spices, colors, English; 21 CFR 101.4, 101.22, 101.15.

Nothing is renamed: the label preparer is told what may, must or cannot stand.

>>> [note.mend for note in notes_on("flavoring")]
['write natural flavor or artificial flavor']
>>> suggestion("Organic skim milk powder")
('skim milk', '21 CFR 101.4(b)(3)')
"""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Final

from nutrition.law.us.label import Note
from nutrition.law.us.statement_items import can_be_opened, is_compound
from nutrition.law.us.tables import rows, words

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import date

    from nutrition.law.us.options import Options
    from nutrition.product import Component

ABOUT = "ingredients"
_MARKS: Final = re.compile(r"[^\w&]+")


def suggestion(name: str) -> tuple[str, str] | None:
    """A common or usual name that 101.4(b) gives for what somebody wrote, with its paragraph; None if none is known.

    >>> suggestion("cream") is None
    True
    """
    text = f" {' '.join(name.casefold().replace('-', ' ').replace(',', ' ').split())} "
    for row in rows("class_names.csv"):
        if f" {row['phrase']} " in text:
            return None if text.strip() == row["suggested"] else (row["suggested"], row["reference"])
    return None


def notes_on(name: str) -> tuple[Note, ...]:
    """What one name must not be, or only with care.

    >>> [note.what for note in notes_on("ванилин")]
    ['"ванилин" is not in English']
    """
    plain = " ".join(name.casefold().split())
    found = [
        Note(row["level"], f'"{name}": {row["note"]}', row["mend"], row["reference"], ABOUT)
        for row in rows("name_words.csv")
        if row["what"] == "whole" and row["text"] == plain
    ]
    if _foreign(name):
        mend = "add its name in English; another language may stand beside it"
        found.append(Note("warning", f'"{name}" is not in English', mend, "21 CFR 101.15(c)", ABOUT))
    return tuple(found)


def _foreign(name: str) -> bool:
    """Whether it has letters, and none of them is Latin."""
    letters = [sign for sign in name if sign.isalpha()]
    return bool(letters) and not any(unicodedata.name(sign, "").startswith("LATIN") for sign in letters)


def notes(components: Iterable[Component], statement: str, options: Options, on: date | None = None) -> Iterator[Note]:
    """What the label preparer must know about the names of a statement.

    Args:
        components: of one container.
        statement: its ingredient statement.
        options: what was chosen.
        on: the day whose rules apply.
    """
    those = list(components)
    for name in dict.fromkeys(one for c in those for one in (c.name, *(sub for sub, _ in c.made_of))):
        yield from notes_on(name)
    for name in dict.fromkeys(c.name for c in those):
        better = suggestion(name)
        if better is not None:
            yield Note("note", f'"{name}" may stand as "{better[0]}"', "change its label", better[1], ABOUT)
    yield from _artificial(those)
    yield from _colors(those, statement, on)
    yield from _unopened(those, options)
    yield from _whole(those)


def _artificial(components: Iterable[Component]) -> Iterator[Note]:
    for name in dict.fromkeys(c.name for c in components if c.artificial and "artificial" not in c.name.casefold()):
        what = f'"{name}" is artificial and does not say so'
        yield Note(
            "warning", what, 'write "artificial flavor", or its name with "artificial"', "21 CFR 101.22(h)", ABOUT
        )


def _colors(components: Iterable[Component], statement: str, on: date | None) -> Iterator[Note]:
    said = _plain(statement)
    names = [
        (c.ingredient, _plain(" ".join((c.ingredient, c.name, *(sub for sub, _ in c.made_of))))) for c in components
    ]
    for row in rows("colors.csv", on):
        phrases = [_plain(phrase) for phrase in row["words"].split(";")]
        those = [name for name, text in names if any(f" {phrase.strip()} " in text for phrase in phrases)]
        printed = [_plain(name).strip() for name in row["printed"].split(";") if name]
        if those and not any(f" {name} " in said for name in printed):
            what = f"{row['note']}: {', '.join(dict.fromkeys(those))}"
            mend = f'write "{row["color"]}" into the list' if printed else "leave it out"
            yield Note(row["level"], what, mend, row["reference"], ABOUT)


def _plain(text: str) -> str:
    bare = _MARKS.sub(" ", text.casefold()).replace(" no ", " ").split()
    return f" {' '.join(bare)} "


def _whole(components: Iterable[Component]) -> Iterator[Note]:
    """Ingredients that are surely made of others, and do not say of what."""
    told: set[str] = set()
    for one in components:
        if one.made_of or one.name in told:
            continue
        for row in rows("compound_names.csv"):
            if row["word"] in words(one.name) and row["class"] in ("", one.kind):
                told.add(one.name)
                what = f'"{one.name}" is made of others, which must stand behind it, such as: {row["example"]}'
                yield Note("note", what, "say made of on the ingredient", row["reference"], ABOUT)
                break


def _unopened(components: Iterable[Component], options: Options) -> Iterator[Note]:
    """Compounds that were to be opened, and whose ingredients have no shares."""
    names = dict.fromkeys(
        c.name
        for c in components
        if is_compound(c)
        and not can_be_opened(c)
        and (options.compounds == "opened" or c.name.strip().casefold() in options.opened)
    )
    if names:
        what = f"{', '.join(names)} stays in brackets: not every ingredient of it has a share to rank it by"
        mend = "ask the supplier for shares, and write them in made of"
        yield Note("note", what, mend, "21 CFR 101.4(b)(2)", ABOUT)
