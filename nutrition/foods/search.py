"""Finds foods by words of their names, best first.

The names lie in an SQLite full-text index that is built once into the user's cache folder; where that folder
cannot be written the index is built in memory. Names that kitchens use (``data/foods/kitchen_names.csv``)
lead to the USDA's own.

>>> search("heavy cream", 1)[0]
Hit(id='usda:01053', name='Cream, fluid, heavy whipping', source='USDA SR28 (2015), NDB 01053')
>>> search('") OR name:*')
[]
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import os
import re
import sqlite3
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from nutrition import cache, resources
from nutrition.foods import table
from nutrition.foods.hit import Hit
from nutrition.foods.record import water
from nutrition.foods.words import words

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

FORM = "1"
"""Changes when the index is laid out in another way."""
CANDIDATES = 3000
WATER = frozenset({"water", "tap", "drinking", "filtered"})


def search(text: str, limit: int = 20) -> list[Hit]:
    """Foods whose names hold the words, best first.

    Args:
        text: words, in any order; beginnings of words and simple plurals are found too. Signs mean nothing.
        limit: how many at most.

    Returns:
        The foods; those that hold all words, or, where none does, those that hold most of them.

    >>> search("tart cherries", 1)[0].name
    'Cherries, sour, red, raw'
    """
    wanted = words(text)
    if not wanted or limit <= 0:
        return []
    exact = kitchen_names().get(" ".join(wanted))
    with contextlib.closing(_open()) as index:
        rows = _matching(index, wanted, " AND ")
        if not rows and len(wanted) > 1:
            rows = _matching(index, wanted, " OR ")
    scored = sorted((_score(wanted, row, exact), row) for row in rows)
    hits = [Hit(f"usda:{ndb}", name, f"{table.SOURCE}, NDB {ndb}") for _, (ndb, name, *_) in scored]
    if WATER.issuperset(wanted):
        plain = water()
        hits.insert(0, Hit(plain.id, plain.name, plain.source))
    return hits[:limit]


@functools.cache
def kitchen_names() -> Mapping[str, str]:
    """Kitchen names, in singular search words, with their NDB numbers."""
    return {" ".join(words(row["name"])): row["ndb"] for row in resources.table("foods", "kitchen_names.csv")}


def _matching(index: sqlite3.Connection, wanted: Sequence[str], joint: str) -> list[tuple[str, str, str, str]]:
    # Each word stands in quotes of its own and holds letters and digits only: nothing of it is query syntax.
    query = joint.join(f'"{word}"*' for word in wanted)
    found = index.execute(
        "SELECT ndb, name, words, food_group FROM foods WHERE foods MATCH ? ORDER BY rank LIMIT ?", (query, CANDIDATES)
    )
    return [(str(a), str(b), str(c), str(d)) for a, b, c, d in found]


@functools.cache
def _weights() -> tuple[Mapping[str, float], Mapping[str, float]]:
    rows = resources.table("foods", "search_weights.csv")
    word, group = ({row["key"]: float(row["weight"]) for row in rows if row["kind"] == k} for k in ("word", "group"))
    return word, group


def _score(wanted: Sequence[str], row: tuple[str, str, str, str], exact: str | None) -> float:
    """How far a food is from what was wanted; less is better."""
    ndb, name, indexed, group = row
    if ndb == exact:
        return -100.0
    parts, kitchen = indexed.split("|")
    have = parts.split()
    first = name.lower().split(",")[0]
    score = 0.0
    for word in wanted:
        if word in have:
            place = have.index(word)
            score += 0.0 if place == 0 else min(3.0, 0.5 * place)
        elif word in kitchen.split():
            score += 1.5
        elif any(other.startswith(word) for other in have):
            score += 5.0
        else:
            score += 8.0 if word in kitchen else 12.0
    by_word, by_group = _weights()
    asked = set(wanted)
    score += sum(by_word.get(word, 0.0) for word in re.findall(r"[a-z-]+", name.lower()) if word not in asked)
    score += by_group.get(group, 0.0)
    # Names of makers stand in capitals.
    score += 5.0 * min(2, len(re.findall(r"\b[A-Z]{3,}\b", name)))
    score += 0.35 * len(have)
    if set(words(first)) == asked:
        score -= 4.0
    if kitchen:
        score -= 1.5
    return score


@functools.cache
def _stamp() -> str:
    """Changes with the table, with the kitchen names and with the form of the index."""
    digest = hashlib.sha256(FORM.encode())
    for name in ("sr28.csv", "kitchen_names.csv"):
        digest.update(resources.data("foods", name).read_bytes())
    return digest.hexdigest()[:16]


def _open() -> sqlite3.Connection:
    """The index: from the cache folder, built there if need be, else in memory."""
    path = cache.folder() / f"foods-{_stamp()}.sqlite"
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
        (stamp,) = index.execute("SELECT stamp FROM about").fetchone()
        (count,) = index.execute("SELECT count(*) FROM foods_content").fetchone()
        if stamp == _stamp() and count > 0:
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
    with index:
        index.executemany("INSERT INTO foods VALUES (?, ?, ?, ?)", _entries())
        index.execute("INSERT INTO about VALUES (?)", (_stamp(),))


def _entries() -> Iterator[tuple[str, str, str, str]]:
    kitchen: dict[str, list[str]] = {}
    for name, ndb in kitchen_names().items():
        kitchen.setdefault(ndb, []).append(name)
    for row in table.raw_rows():
        ndb, name, group = row[0], row[1], row[2]
        yield ndb, name, f"{' '.join(words(name))}|{' '.join(kitchen.get(ndb, ()))}", group
