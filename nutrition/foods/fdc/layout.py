"""How the library of imported foods lies on disk.

A folder with one small file, ``library.json``, which names the finished parts, one for each kind of food; and two
SQLite files for each part: *names* (what a search needs) and *values* (what a record needs). An import builds its
files beside the others and then replaces ``library.json``, which is the one moment in which anything changes: an
import that is killed before leaves the old library, and one that comes after it clears its pieces away.

>>> one = Part("survey", "a-names.sqlite", "a-values.sqlite", release="2024-10-31", foods=5432)
>>> parse(render((one,))) == (one,)
True
"""

from __future__ import annotations

import json
import os
import re
import sqlite3
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from nutrition.foods.fdc.kinds import NAMES

if TYPE_CHECKING:
    from collections.abc import Iterable

FORM = 3
"""Changes when the files are laid out in another way."""
MANIFEST = "library.json"
LOCK = "lock.sqlite"
LONGEST = 100_000

MARK = "\x1f"
"""Stands between texts that lie in one column. Few columns are much quicker to write, and nobody searches by these."""

NAMES_SCHEMA = """
CREATE TABLE food (place INTEGER PRIMARY KEY, id INTEGER NOT NULL, called TEXT NOT NULL, more TEXT NOT NULL);
CREATE TABLE ndb (ndb TEXT NOT NULL, id INTEGER NOT NULL, PRIMARY KEY (ndb, id)) WITHOUT ROWID;
CREATE VIRTUAL TABLE words USING fts5(
    text, content = '', detail = column, columnsize = 0, tokenize = 'porter unicode61 remove_diacritics 2'
);
"""
"""Foods stand in the order in which a search shows them, so that a search need rank nothing; with ``detail = column``
beginnings of words are found four times as fast as with ``none`` (measured). ``called`` is the name and
the brand's owner; ``more`` the NDB number, the USDA food group and the date."""

NAMES_INDEX = "CREATE UNIQUE INDEX food_id ON food (id)"

VALUES_SCHEMA = """
CREATE TABLE nutrient (
    code INTEGER PRIMARY KEY, id TEXT NOT NULL, number TEXT NOT NULL, name TEXT NOT NULL, unit TEXT NOT NULL
);
CREATE TABLE amounts (id INTEGER PRIMARY KEY, held BLOB NOT NULL);
CREATE TABLE measure (
    id INTEGER NOT NULL, seq INTEGER NOT NULL, text TEXT NOT NULL, grams REAL NOT NULL, PRIMARY KEY (id, seq)
) WITHOUT ROWID;
CREATE TABLE brand (id INTEGER PRIMARY KEY, facts TEXT NOT NULL);
"""
"""``held`` is a row of nine-byte pieces: the nutrient's code (a byte) and its amount in 100 g (float64, little end).
``facts`` are the texts of :data:`BRAND`."""

BRAND = (
    *("brand_owner", "brand_name", "gtin_upc", "ingredients", "serving_size", "serving_size_unit"),
    *("household_serving_fulltext", "branded_food_category"),
)
"""What is kept of a branded food, named as USDA names its columns."""


class LibraryError(Exception):
    """The library cannot be read or written; its one argument says why, for people to read."""


@dataclass(frozen=True, slots=True)
class Part:
    """One imported kind of foods.

    Args:
        kind: its name.
        names: the file of names.
        values: the file of values.
        release: the release that it was read from, an ISO date where it has one.
        foods: how many foods it has.
        imported: the day on which it was read, ISO date.
        origin: name of the file or folder that it was read from.
    """

    kind: str
    names: str
    values: str
    release: str
    foods: int
    imported: str = ""
    origin: str = ""


def render(parts: Iterable[Part]) -> str:
    """The text of ``library.json``."""
    return json.dumps({"form": FORM, "parts": [asdict(part) for part in parts]}, indent=2) + "\n"


def parse(text: str) -> tuple[Part, ...]:
    """The parts that ``library.json`` names.

    Raises:
        LibraryError: it is damaged, or of another form.
    """
    mend = "import the download again"
    try:
        raw = json.loads(text)
        form = raw["form"]
        parts = tuple(Part(**one) for one in raw["parts"])
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        raise LibraryError(f"the food library's {MANIFEST} is damaged; {mend}") from error
    if form != FORM:
        raise LibraryError(f"the food library was made by another version of creamery; {mend}")
    for part in parts:
        # The files lie in the library's own folder and nowhere else.
        if part.kind not in NAMES or not all(re.fullmatch(r"[\w-]+\.sqlite", f) for f in (part.names, part.values)):
            raise LibraryError(f"the food library's {MANIFEST} is damaged; {mend}")
    return parts


def parts(folder: Path) -> tuple[Part, ...]:
    """The finished parts of a library; none where nothing was imported.

    Raises:
        LibraryError: the library is damaged, or of another form.
    """
    try:
        with (folder / MANIFEST).open(encoding="utf-8") as file:
            return parse(file.read(LONGEST))
    except FileNotFoundError:
        return ()
    except (OSError, UnicodeDecodeError) as error:
        raise LibraryError(f"the food library in {folder} cannot be read") from error


def replace(folder: Path, parts: Iterable[Part]) -> None:
    """Name other parts as the finished ones: the moment in which an import takes place.

    Raises:
        OSError: the folder cannot be written.
    """
    beside = folder / f"{MANIFEST}.part"
    with beside.open("w", encoding="utf-8") as out:
        out.write(render(parts))
        out.flush()
        os.fsync(out.fileno())
    os.replace(beside, folder / MANIFEST)  # noqa: PTH105 - the one call that moves into place on every system


def reading(path: Path) -> sqlite3.Connection:
    """A finished file, to be read only.

    Raises:
        LibraryError: it is not there or no SQLite file.
    """
    try:
        found = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True, check_same_thread=False)
        found.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    except sqlite3.Error as error:
        raise LibraryError(
            f"{path.name} of the food library is missing or damaged; import the download again"
        ) from error
    return found
