"""Text that is safe in a cell, in a tab, and in a footer.

Names come from files that anybody may have written. A cell gets text and never a formula; what the
file format cannot hold is replaced where everyone can see it.

>>> clean("cream" + chr(7))
'cream\ufffd'
>>> sheet_name("Peach/Basil: [new]?", set())
'Peach-Basil- -new--'
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection

LONGEST_CELL = 32_767
LONGEST_TAB = 31

# XML 1.0, production 2: what may not stand in a document at all; the C1 controls may, but show nothing.
_FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")
# ECMA-376, part 1, 22.9.2.19: readers turn _xHHHH_ in a text into that character.
_ESCAPE = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
_RISKY = ("=", "+", "-", "@", "\t", "\r")
_NOT_IN_TABS = re.compile(r"[\[\]:*?/\\]")


def clean(text: str) -> str:
    """Text as a cell can hold it.

    Args:
        text: any text.

    Returns:
        The text; each character that the format forbids is a replacement character, line ends are plain,
        and what is too long for a cell ends in words that say so.

    >>> clean("a\\r\\nb")
    'a\\nb'
    >>> clean("_x0041_")
    '_x005F_x0041_'
    """
    if text.isascii() and text.isprintable() and "_x" not in text and len(text) <= LONGEST_CELL:
        return text
    text = _FORBIDDEN.sub("\ufffd", text.replace("\r\n", "\n").replace("\r", "\n"))
    text = _ESCAPE.sub("_x005F_", text)
    if len(text) > LONGEST_CELL:
        tail = " … (cut here)"
        text = text[: LONGEST_CELL - len(tail)] + tail
    return text


def is_risky(text: str) -> bool:
    """Whether a spreadsheet might take the text for a formula when somebody edits or exports it.

    >>> is_risky("=1+1"), is_risky("cream")
    (True, False)
    """
    return text.startswith(_RISKY)


def units16(text: str) -> int:
    """The length of a text as spreadsheets count it: in UTF-16 units.

    >>> units16("a🍑")
    3
    """
    return len(text) + sum(1 for c in text if ord(c) > 0xFFFF)


def sheet_name(title: str, taken: Collection[str]) -> str:
    """A name for a tab.

    Args:
        title: what it should say.
        taken: the names that the workbook has already.

    Returns:
        The title without what tabs forbid, at most 31 UTF-16 units, unlike every taken name whatever the case.

    >>> sheet_name("Peach", {"peach"})
    'Peach (2)'
    >>> sheet_name("'quoted'", set())
    'quoted'
    """
    plain = _NOT_IN_TABS.sub("-", _FORBIDDEN.sub("\ufffd", title))
    plain = " ".join(plain.split()).strip("' ") or "Flavour"
    used = {name.casefold() for name in taken} | {"history"}  # Excel keeps that name for itself
    name = _cut(plain, LONGEST_TAB)
    count = 1
    while name.casefold() in used:
        count += 1
        tail = f" ({count})"
        name = _cut(plain, LONGEST_TAB - len(tail)) + tail
    return name


def _cut(text: str, most: int) -> str:
    """At most so many UTF-16 units, at the end of a word where one is near."""
    if units16(text) <= most:
        return text
    while units16(text) > most - 1:
        text = text[:-1]
    word = text.rfind(" ")
    if word >= len(text) - 8 and word > 0:
        text = text[:word]
    return text.rstrip("' -\u200d\ufe0f") + "…"


def place(sheet: str, cell: str = "A1") -> str:
    """Where a link inside the workbook goes.

    >>> place("Chef's own", "B2")
    "'Chef''s own'!B2"
    """
    return "'" + sheet.replace("'", "''") + "'!" + cell


def footer(text: str) -> str:
    """Text for a header or footer, where ``&`` begins a command.

    >>> footer("Salt & Smoke")
    'Salt && Smoke'
    """
    short = _FORBIDDEN.sub("\ufffd", " ".join(text.split()))[:80]
    return short.replace("&", "&&")


def capital(text: str) -> str:
    """The text with a capital first letter.

    >>> capital("scoop shop")
    'Scoop shop'
    """
    return text[:1].upper() + text[1:]


def plural(count: float, thing: str) -> str:
    """A count with its thing.

    >>> plural(1, "pint"), plural(3, "box")
    ('1 pint', '3 boxes')
    """
    if count == 1:
        return f"1 {thing}"
    if thing.endswith(("s", "x", "ch", "sh")):
        return f"{count:g} {thing}es"
    return f"{count:g} {thing}s"
