"""The index of the embedded table's names: built once into the user's cache folder, or in memory where it cannot be.

>>> with contextlib.closing(opened()) as index:
...     index.execute("SELECT count(*) FROM vocabulary WHERE word = 'hazelnut'").fetchone()
(1,)
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import os
import sqlite3
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from nutrition import cache, resources
from nutrition.foods import kitchen, table
from nutrition.foods.words import words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

FORM = "2"
"""Changes when the index is laid out in another way."""


Row = tuple[str, str, str, str]
"""NDB number, name, its words and its kitchen names with a stroke between, food group."""


def matching(index: sqlite3.Connection, wanted: Sequence[str], joint: str, most: int) -> list[Row]:
    """Foods whose names or kitchen names hold words, or begin with them.

    Args:
        index: the opened index.
        wanted: words of letters and digits.
        joint: ``" AND "`` or ``" OR "``.
        most: how many at most.
    """
    # Each word stands in quotes of its own and holds letters and digits only: nothing of it is query syntax.
    query = joint.join(f'"{word}"*' for word in wanted)
    found = index.execute(
        "SELECT ndb, name, words, food_group FROM foods WHERE foods MATCH ? ORDER BY rank LIMIT ?", (query, most)
    )
    return [(str(a), str(b), str(c), str(d)) for a, b, c, d in found]


def numbered(index: sqlite3.Connection, numbers: Sequence[str]) -> list[Row]:
    """Foods by their NDB numbers."""
    found = []
    for ndb in numbers:
        row = index.execute(
            "SELECT ndb, name, words, food_group FROM foods WHERE rowid = (SELECT at FROM place WHERE ndb = ?)", (ndb,)
        ).fetchone()
        if row is not None:
            found.append((str(row[0]), str(row[1]), str(row[2]), str(row[3])))
    return found


def strange(index: sqlite3.Connection, wanted: Sequence[str]) -> bool:
    """Whether some word is none that a name or a kitchen name has."""
    known = kitchen.vocabulary()
    return any(
        word not in known and index.execute("SELECT 1 FROM vocabulary WHERE word = ?", (word,)).fetchone() is None
        for word in wanted
    )


def vocabulary(index: sqlite3.Connection) -> frozenset[str]:
    """Every word of a name in the embedded table."""
    return frozenset(str(row[0]) for row in index.execute("SELECT word FROM vocabulary"))


@functools.lru_cache(maxsize=1)
def _numbers() -> frozenset[str]:
    return frozenset(row[0] for row in table.raw_rows())


def has(ndb: str) -> bool:
    """Whether the embedded table has a food of that NDB number."""
    return ndb in _numbers()


@functools.cache
def stamp() -> str:
    """Changes with the table, with the kitchen names and with the form of the index."""
    digest = hashlib.sha256(FORM.encode())
    for name in ("sr28.csv", "kitchen_names.csv", "search_words.csv"):
        digest.update(resources.data("foods", name).read_bytes())
    return digest.hexdigest()[:16]


def opened() -> sqlite3.Connection:
    """The index: from the cache folder, built there if need be, else in memory."""
    path = cache.folder() / f"foods-{stamp()}.sqlite"
    found = _read(path)
    if found is not None:
        return found
    try:
        _build_file(path)
    except (OSError, sqlite3.Error):
        return _in_memory()
    return _read(path) or _in_memory()


def _read(path: Path) -> sqlite3.Connection | None:
    """A finished index, None where there is none or it is damaged."""
    if not path.is_file():
        return None
    index: sqlite3.Connection | None = None
    try:
        index = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)
        (made_for,) = index.execute("SELECT stamp FROM about").fetchone()
        (count,) = index.execute("SELECT count(*) FROM foods_content").fetchone()
        if made_for == stamp() and count > 0:
            return index
    except (sqlite3.Error, TypeError):
        pass
    if index is not None:
        index.close()
    return None


def _build_file(path: Path) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, part = tempfile.mkstemp(prefix="foods-", suffix=".part", dir=path.parent)
    os.close(handle)
    try:
        with contextlib.closing(sqlite3.connect(part)) as index:
            _fill(index)
        os.replace(part, path)  # noqa: PTH105 - the one call that moves into place on every system
    except BaseException:
        with contextlib.suppress(OSError):
            Path(part).unlink()
        raise


def _in_memory() -> sqlite3.Connection:
    # The image is kept, not the connection: a caller closes what it was given.
    index = sqlite3.connect(":memory:")
    index.deserialize(_image())
    return index


@functools.cache
def _image() -> bytes:
    with contextlib.closing(sqlite3.connect(":memory:")) as index:
        _fill(index)
        return index.serialize()


def _fill(index: sqlite3.Connection) -> None:
    index.execute("PRAGMA journal_mode = OFF")
    index.execute(
        "CREATE VIRTUAL TABLE foods USING fts5(ndb UNINDEXED, name UNINDEXED, words, food_group UNINDEXED, "
        "tokenize = 'unicode61 remove_diacritics 2', prefix = '2 3')"
    )
    index.execute("CREATE TABLE about (stamp TEXT)")
    index.execute("CREATE TABLE vocabulary (word TEXT PRIMARY KEY) WITHOUT ROWID")
    with index:
        entries = list(_entries())
        index.executemany("INSERT INTO foods VALUES (?, ?, ?, ?)", entries)
        # Each word of a name once, to tell slips of the pen from words.
        every = {word for _, _, text, _ in entries for word in text.partition("|")[0].split()}
        index.executemany("INSERT INTO vocabulary VALUES (?)", ((word,) for word in sorted(every)))
        index.execute("CREATE TABLE place (ndb TEXT PRIMARY KEY, at INTEGER NOT NULL) WITHOUT ROWID")
        index.execute("INSERT INTO place SELECT ndb, rowid FROM foods")
        index.execute("INSERT INTO about VALUES (?)", (stamp(),))


def _entries() -> Iterator[tuple[str, str, str, str]]:
    called: dict[str, list[str]] = {}
    for name, ndb in kitchen.names().items():
        called.setdefault(ndb, []).append(name)
    for row in table.raw_rows():
        ndb, name, group = row[0], row[1], row[2]
        yield ndb, name, f"{' '.join(kitchen.plain(words(name)))}|{' '.join(called.get(ndb, ()))}", group
