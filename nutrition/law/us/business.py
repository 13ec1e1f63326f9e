"""Name and place of business, 21 CFR 101.5 (from memory).

The street may be left off when it stands in a current city or telephone directory; city, state and ZIP may not. A
business that is not the maker says what it is: "Manufactured for" or "Distributed by".

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

    from nutrition.law.us.around import Maker

_ZIP = re.compile(r"\b\d{5}(?:-\d{4})?\s*$")
_STATE = re.compile(r"\b([A-Z]{2})\b\.?\s*(?:\d{5}(?:-\d{4})?\s*)?$")
RULE = "21 CFR 101.5"


def lines(maker: Maker) -> tuple[str, ...]:
    """The name and place as they are printed; the street only where no directory has it.

    >>> from nutrition.law.us.around import Maker
    >>> lines(Maker("Quillfeather Creamery", ("12 Ropewalk", "Port Ellery, ME 04999"), line="distributed by"))
    ('Distributed by Quillfeather Creamery', '12 Ropewalk', 'Port Ellery, ME 04999')
    >>> lines(Maker("Quillfeather Creamery", ("12 Ropewalk", "Port Ellery, ME 04999"), street_in_directory=True))
    ('Quillfeather Creamery', 'Port Ellery, ME 04999')
    """
    name = maker.name.strip()
    who = name if maker.line == "made by" or not name else f"{maker.line.capitalize()} {name}"
    address = [line.strip() for line in maker.address if line.strip()]
    if maker.street_in_directory and len(address) > 1:
        address = address[1:]
    return tuple(line for line in (who, *address) if line)


def check(name: str, address: Iterable[str], *, street_in_directory: bool = False) -> tuple[Note, ...]:
    """What is missing from the business name and place.

    Args:
        name: the corporate name.
        address: lines of the address.
        street_in_directory: the street stands in a current directory and may be left off.

    Returns:
        Warnings, none where nothing is missing.

    >>> [note.what for note in check("Quillfeather Creamery", ["12 Ropewalk", "Port Ellery"])]
    ['the address has no state', 'the address has no ZIP code']
    """
    given = [line.strip() for line in address if line.strip()]
    text = ", ".join(given)
    notes = []
    if not name.strip():
        notes.append(_missing("the label has no business name", "give the corporate name"))
    if not given:
        return (*notes, _missing("the label has no place of business", "give street, city, state and ZIP code"))
    state = _STATE.search(text)
    if state is None or state[1] not in {row["code"] for row in rows("states.csv")}:
        notes.append(_missing("the address has no state", "add its two letters, such as ME"))
    if not _ZIP.search(text):
        notes.append(_missing("the address has no ZIP code", "add it after the state"))
    if (
        not street_in_directory
        and len(given) == 1
        and given[0].count(",") < 2
        and not any(c.isdigit() for c in given[0].split(",")[0])
    ):
        what = "the address has no street"
        notes.append(_missing(what, "it may be left off only if it stands in a current directory", "note"))
    return tuple(notes)


def _missing(what: str, mend: str, level: str = "warning") -> Note:
    return Note(level, what, mend, RULE, "business")
