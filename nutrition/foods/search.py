"""Finds foods by words of their names, best first: in the embedded table and in the user's own food library.

A search understands cooks: names of the trade (``data/foods/kitchen_names.csv``), words in any order, plurals, slips of
the pen, and words that tell nothing ("organic", "chopped"). Plain foods come before processed ones, and those before
branded ones.

>>> search("heavy cream", 1)[0]
Hit(id='usda:01053', name='Cream, fluid, heavy whipping', source='USDA SR28 (2015), NDB 01053', note='')
>>> search("chopped hazlenuts", 1)[0].name
'Nuts, hazelnuts or filberts'
>>> search('") OR name:*')
[]
"""

from __future__ import annotations

import contextlib
import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition import resources
from nutrition.foods import index, kitchen, table
from nutrition.foods.fdc.kinds import KINDS
from nutrition.foods.fdc.store import Store
from nutrition.foods.hit import Hit
from nutrition.foods.kitchen import names as kitchen_names
from nutrition.foods.record import water
from nutrition.foods.words import words

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterable, Mapping

__all__ = ["Hit", "Understood", "kitchen_names", "search", "understood"]

CANDIDATES = 1000
"""Names of the embedded table, or of one kind of the library, that are put in order."""
FEWER = 250
"""Of names that hold some of the words only."""
WATER = frozenset({"water", "tap", "drinking", "filtered"})
EMBEDDED = "usda"
BRANDED = "branded"
WHERE = (EMBEDDED, *(kind.name for kind in KINDS))
"""Where can be searched."""
PLAIN_SHARE = 0.75
"""How much of a list plain foods may fill where there are branded ones too."""
EXACT, WITHIN = -100.0, -8.0
PLAIN = 6.0
"""A food whose name is nearer to the words than this is plain, and not something that is made with it."""
SOME, MORE = 6.0, 24.0
"""What a word beyond a kitchen name says against the food of that name."""


@dataclass(frozen=True, slots=True)
class Understood:
    """What a search takes a question for.

    Args:
        words: the words that are looked for, in singular, slips mended.
        mended: those that were mended, as they were written and as they were taken.
        name: the kitchen name that they are, None where they are none.
    """

    words: tuple[str, ...]
    mended: tuple[tuple[str, str], ...]
    name: kitchen.Name | None


@dataclass(frozen=True, slots=True)
class _Row:
    """A food that may be meant: id, name, words and kitchen names for scoring, food group, source, kind."""

    id: str
    name: str
    have: tuple[str, ...]
    kitchen: str
    group: str
    source: str
    kind: str
    ndb: str


def understood(text: str) -> Understood:
    """What a search takes a text for.

    >>> understood("vanila extrakt").words, understood("mascarpone").name.note
    (('vanilla', 'extract'), 'SR28 has no mascarpone; cream cheese is the nearest')
    """
    with contextlib.closing(index.opened()) as opened:
        return _understood(text, opened)


def search(text: str, limit: int = 20, where: Iterable[str] = WHERE) -> list[Hit]:
    """Foods whose names hold the words, best first.

    Args:
        text: words, in any order; beginnings of words, plurals and slips of the pen are found too. Signs mean nothing.
        limit: how many at most.
        where: which of :data:`WHERE` are searched.

    Returns:
        The foods; those that hold all words, or, where none does, those that hold most of them. A food that is only
        the nearest to what was asked for says so.

    Raises:
        LibraryError: the user's food library is damaged.

    >>> search("tart cherries", 1)[0].name
    'Cherries, sour, red, raw'
    """
    wanted = frozenset(where)
    if limit <= 0 or not words(text):
        return []
    with contextlib.closing(index.opened()) as opened:
        asked = _understood(text, opened)
        rows = _embedded(opened, asked) if EMBEDDED in wanted else []
    branded: list[Hit] = []
    if wanted - {EMBEDDED}:
        with Store.open() as store:
            rows += _library(store, asked, wanted)
            if BRANDED in wanted:
                branded = store.search(" ".join(asked.words), limit, (BRANDED,))
    notes = _notes(asked)
    beyond = _beyond(asked, rows)
    scored = sorted((_score(asked, row, notes, beyond), row.kind != EMBEDDED, row.name, row.id, row) for row in rows)
    hits = [Hit(row.id, row.name, row.source, _note(asked, row, notes)) for *_, row in scored]
    if WATER.issuperset(asked.words) and EMBEDDED in wanted:
        plain = water()
        hits.insert(0, Hit(plain.id, plain.name, plain.source))
    room = limit - min(len(branded), limit - int(limit * PLAIN_SHARE))
    plainest = hits[: max(room, limit - len(branded))]
    return (plainest + branded)[:limit]


def _understood(text: str, opened: sqlite3.Connection) -> Understood:
    given = kitchen.plain(words(text))
    name = kitchen.name(given)
    if name is not None:
        return Understood(tuple(given), (), name)
    joined = _joined(given)
    if joined is not None:
        return Understood(joined.words, (), joined)
    mended = kitchen.mended(given, index.vocabulary(opened)) if index.strange(opened, given) else given
    pairs = tuple((a, b) for a, b in zip(given, mended, strict=True) if a != b)
    mended = kitchen.plain(mended)
    return Understood(tuple(mended), pairs, kitchen.name(mended))


def _joined(given: list[str]) -> kitchen.Name | None:
    """The kitchen name that is there when two neighbours are written as one word, as in "apple sauce"."""
    for n in range(len(given) - 1):
        found = kitchen.name([*given[:n], given[n] + given[n + 1], *given[n + 2 :]])
        if found is not None:
            return found
    return None


def _notes(asked: Understood) -> Mapping[str, str]:
    """What is to be said of foods that stand for a kitchen name, by NDB number; every one has an entry."""
    if asked.name is not None:
        return {asked.name.ndb: asked.name.note}
    found: dict[str, str] = {}
    for one in kitchen.within(asked.words):
        found.setdefault(one.ndb, one.note)
    return found


def _note(asked: Understood, row: _Row, notes: Mapping[str, str]) -> str:
    """Why a food may not be what was asked for, empty where nothing speaks against it."""
    if row.kind != EMBEDDED or row.ndb not in notes or asked.name is not None:
        return notes.get(row.ndb, "")
    named = {word for one in kitchen.within(asked.words) if one.ndb == row.ndb for word in one.words}
    without = [word for word in asked.words if word in _turning() - named and word not in row.have]
    if not without:
        return notes[row.ndb]
    return "; ".join(filter(None, (notes[row.ndb], f"its name says nothing of {' and '.join(without)}")))


def _embedded(opened: sqlite3.Connection, asked: Understood) -> list[_Row]:
    if asked.name is not None and not asked.name.ndb:
        # A name of the trade that USDA SR28 has nothing for: whatever shares a word with it is something else.
        return []
    telling = [word for word in asked.words if kitchen.tells(word)] or list(asked.words)
    rows = index.matching(opened, telling, " AND ", CANDIDATES)
    inside = kitchen.within(asked.words)
    nothing = bool(inside) and not any(one.ndb for one in inside)
    # "matcha powder" is no powder of another kind.
    if not rows and len(telling) > 1 and not nothing:
        rows = index.matching(opened, telling, " OR ", FEWER)
    there = {row[0] for row in rows}
    missing = [ndb for ndb in _notes(asked) if ndb and ndb not in there]
    rows += index.numbered(opened, missing)
    return [_row(ndb, name, indexed, group) for ndb, name, indexed, group in rows]


def _row(ndb: str, name: str, indexed: str, group: str) -> _Row:
    have, names = indexed.split("|")
    source = f"{table.SOURCE}, NDB {ndb}"
    return _Row(f"usda:{ndb}", name, tuple(have.split()), names, group, source, EMBEDDED, ndb)


def _library(store: Store, asked: Understood, wanted: frozenset[str]) -> list[_Row]:
    """Plain foods of the library. Those of SR Legacy that the embedded table has too are left to it."""
    kinds = tuple(kind.name for kind in KINDS if kind.name in wanted and kind.name != BRANDED)
    telling = " ".join(word for word in asked.words if kitchen.tells(word)) or " ".join(asked.words)
    rows = []
    for one in store.candidates(telling, CANDIDATES, kinds):
        if one.kind == "sr-legacy" and EMBEDDED in wanted and one.ndb and index.has(one.ndb):
            continue
        rows.append(
            _Row(f"fdc:{one.id}", one.name, tuple(words(one.name)), "", one.group, one.source, one.kind, one.ndb)
        )
    return rows


@functools.cache
def _weights() -> tuple[Mapping[str, float], Mapping[str, float]]:
    rows = resources.table("foods", "search_weights.csv")
    word, group = ({row["key"]: float(row["weight"]) for row in rows if row["kind"] == k} for k in ("word", "group"))
    return word, group


@functools.cache
def _turning() -> frozenset[str]:
    """Words that make another food of the one before them."""
    return frozenset(row["key"] for row in resources.table("foods", "search_weights.csv") if row["kind"] == "turns")


def _beyond(asked: Understood, rows: list[_Row]) -> Mapping[str, float]:
    """What each word says against a food that stands for a kitchen name without it.

    Little, where no food has all the words in its own name. Otherwise much, if the word makes another food ("juice"),
    or if one of those foods is a plain one: root beer is no beer, and a duck's egg is none of a hen.
    """
    telling = [word for word in asked.words if kitchen.tells(word)]
    whole = [_by_words(asked, row) for row in rows if all(word in row.have for word in telling)]
    plain = min(whole, default=PLAIN) < PLAIN
    return {word: MORE if plain or (whole and word in _turning()) else SOME for word in asked.words}


def _score(asked: Understood, row: _Row, notes: Mapping[str, str], beyond: Mapping[str, float]) -> float:
    """How far a food is from what was wanted; less is better."""
    if row.kind == EMBEDDED and row.ndb in notes:
        return EXACT if asked.name is not None else WITHIN + _rest(asked, row, beyond)
    return _by_words(asked, row)


def _by_words(asked: Understood, row: _Row) -> float:
    """How far a food's own name is from the words, kitchen names apart."""
    by_word, by_group = _weights()
    first = row.name.lower().split(",")[0]
    score = 0.0
    for word in asked.words:
        if word in row.have:
            place = row.have.index(word)
            score += 0.0 if place == 0 else min(3.0, 0.5 * place)
        elif not kitchen.tells(word):
            score += 0.5
        elif word in row.kitchen.split():
            score += 1.5
        elif any(other.startswith(word) for other in row.have):
            score += 5.0
        else:
            score += 8.0 if word in row.kitchen else 12.0
    wanted = set(asked.words)
    score += sum(by_word.get(word, 0.0) for word in re.findall(r"[a-z-]+", row.name.lower()) if word not in wanted)
    score += by_group.get(row.group, 0.0)
    # Names of makers stand in capitals.
    score += 5.0 * min(2, len(re.findall(r"\b[A-Z]{3,}\b", row.name)))
    score += 0.35 * len(row.have)
    if set(words(first)) == wanted:
        score -= 4.0
    if row.kitchen:
        score -= 1.5
    return score


def _rest(asked: Understood, row: _Row, beyond: Mapping[str, float]) -> float:
    """What the words beyond a kitchen name say against it: nothing if the food's own name has them."""
    best = max((one for one in kitchen.within(asked.words) if one.ndb == row.ndb), key=lambda one: len(one.words))
    against = 0.0
    for word in asked.words:
        if word in best.words or not kitchen.tells(word):
            continue
        against += 0.0 if word in row.have else beyond[word]
    return against - len(best.words)
