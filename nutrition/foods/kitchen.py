"""What a cook means: kitchen names, words that say the same, words that tell nothing, and slips of the pen.

``data/foods/kitchen_names.csv`` leads the trade's names to USDA's records and says where the record is only the nearest
one, or where there is none; ``data/foods/search_words.csv`` holds single words.

>>> name("skim milk powder").ndb, name("mascarpone").note
('01091', 'SR28 has no mascarpone; cream cheese is the nearest')
>>> [one.words for one in within(["chopped", "pecan"])]
[('pecan',)]
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from nutrition import resources
from nutrition.foods.words import words

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

LIKENESS: Final = 80.0
"""How like a word must be to another to be taken for a slip of it, 0 to 100 (share of letters in common order)."""
SHORTEST: Final = 4
"""A shorter word is too like too many others."""


@dataclass(frozen=True, slots=True)
class Name:
    """A kitchen name.

    Args:
        words: its words, in singular.
        ndb: the food's NDB number; empty where USDA SR28 has none that would be honest.
        note: why the food is only the nearest, or that there is none; empty where it is the thing itself.
    """

    words: tuple[str, ...]
    ndb: str
    note: str


@functools.cache
def _rows() -> tuple[Name, ...]:
    rows = resources.table("foods", "kitchen_names.csv")
    return tuple(Name(tuple(plain(words(row["name"]))), row["ndb"], row["note"] or "") for row in rows)


@functools.cache
def _by_words() -> Mapping[frozenset[str], Name]:
    found: dict[frozenset[str], Name] = {}
    for one in _rows():
        found.setdefault(frozenset(one.words), one)
    return MappingProxyType(found)


@functools.cache
def names() -> Mapping[str, str]:
    """Kitchen names, in singular search words, with their NDB numbers; those without a food are left out."""
    rows = resources.table("foods", "kitchen_names.csv")
    return MappingProxyType({" ".join(words(row["name"])): row["ndb"] for row in rows if row["ndb"]})


@functools.cache
def vocabulary() -> frozenset[str]:
    """Every word of a kitchen name."""
    return frozenset(word for one in _rows() for word in one.words)


@functools.cache
def _words() -> tuple[Mapping[str, str], frozenset[str]]:
    rows = resources.table("foods", "search_words.csv")
    same = {row["word"]: row["means"] for row in rows if row["means"]}
    return MappingProxyType(same), frozenset(row["word"] for row in rows if not row["means"])


def plain(found: Sequence[str]) -> list[str]:
    """Words as the tables use them: those that say the same as others replaced.

    >>> plain(["skimmed", "milk", "powdered"])
    ['skim', 'milk', 'powder']
    """
    same, _ = _words()
    return [same.get(word, word) for word in found]


def tells(word: str) -> bool:
    """Whether a word says anything about which food is meant ("organic" and "chopped" do not)."""
    return word not in _words()[1]


def name(text: str | Sequence[str]) -> Name | None:
    """The kitchen name that a text is, words in any order, words that tell nothing left out; None where it is none.

    >>> name("powder of skimmed milk").ndb, name("organic heavy cream").ndb, name("quinces of portugal") is None
    ('01091', '01053', True)
    """
    found = plain(words(text)) if isinstance(text, str) else list(text)
    by_words = _by_words()
    whole = by_words.get(frozenset(found))
    return whole or by_words.get(frozenset(word for word in found if tells(word)))


def within(found: Collection[str]) -> list[Name]:
    """Kitchen names all of whose words are there, those with most words first; names inside a longer one left out."""
    there = frozenset(found)
    inside = [one for key, one in _by_words().items() if key <= there]
    inside.sort(key=lambda one: (-len(one.words), -sum(map(len, one.words))))
    kept: list[Name] = []
    for one in inside:
        if not any(set(one.words) < set(other.words) for other in kept):
            kept.append(one)
    return kept


def mended(found: Sequence[str], known: Collection[str]) -> list[str]:
    """Words with slips of the pen set right.

    Args:
        found: the words that were asked for.
        known: further words that are none, such as those of USDA's names.

    Returns:
        The words; one that is nowhere, and begins nothing, is replaced by the one most like it, if any is.

    >>> mended(["hazlenut", "vanila", "butter", "strawb", "yuzu"], ())
    ['hazelnut', 'vanilla', 'butter', 'strawb', 'yuzu']
    """
    return [_mended(word, known) for word in found]


def _mended(word: str, known: Collection[str]) -> str:
    ours = vocabulary()
    if len(word) < SHORTEST or word.isdigit() or not tells(word) or word in ours or word in known:
        return word
    if any(other.startswith(word) for other in ours) or any(other.startswith(word) for other in known):
        return word
    from rapidfuzz import fuzz, process

    for pool in (ours, known):
        near = process.extract(word, pool, scorer=fuzz.ratio, score_cutoff=LIKENESS, limit=3)
        # Of equals the first letter decides, then the alphabet, so that the answer is always the same.
        best = min(near, key=lambda one: (-one[1], one[0][0] != word[0], one[0]), default=None)
        if best is not None:
            return str(best[0])
    return word
