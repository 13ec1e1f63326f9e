"""Name and place of business, 21 CFR 101.5 (from memory).

The street may be left off when it stands in a current city or telephone directory; city, state and ZIP may not.

>>> check("Quillfeather Creamery", ["12 Ropewalk", "Port Ellery, ME 04999"])
()
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from nutrition.law.us.label import Note
from nutrition.law.us.tables import rows

if TYPE_CHECKING:
    from collections.abc import Iterable

_ZIP = re.compile(r"\b\d{5}(?:-\d{4})?\s*$")
_STATE = re.compile(r"\b([A-Z]{2})\b\.?\s*(?:\d{5}(?:-\d{4})?\s*)?$")
RULE = "21 CFR 101.5"


def check(name: str, address: Iterable[str]) -> tuple[Note, ...]:
    """What is missing from the business name and place.

    Args:
        name: the corporate name.
        address: lines of the address.

    Returns:
        Warnings, none where nothing is missing.

    >>> [note.what for note in check("Quillfeather Creamery", ["12 Ropewalk", "Port Ellery"])]
    ['the address has no state', 'the address has no ZIP code']
    """
    lines = [line.strip() for line in address if line.strip()]
    text = ", ".join(lines)
    notes = []
    if not name.strip():
        notes.append(_missing("the label has no business name", "give the corporate name"))
    if not lines:
        return (*notes, _missing("the label has no place of business", "give street, city, state and ZIP code"))
    state = _STATE.search(text)
    if state is None or state[1] not in {row["code"] for row in rows("states.csv")}:
        notes.append(_missing("the address has no state", "add its two letters, such as ME"))
    if not _ZIP.search(text):
        notes.append(_missing("the address has no ZIP code", "add it after the state"))
    if len(lines) == 1 and lines[0].count(",") < 2 and not any(c.isdigit() for c in lines[0].split(",")[0]):
        what = "the address has no street"
        notes.append(_missing(what, "it may be left off only if it stands in a current directory", "note"))
    return tuple(notes)


def _missing(what: str, mend: str, level: str = "warning") -> Note:
    return Note(level, what, mend, RULE, "business")
