"""Which of a supplier's items is which ingredient or packaging of the shop: proposed with a score and a reason.

Words are compared, not letters in a row: a supplier writes "CREAM HVY 36% UHT" for heavy cream. The score is how many
of the words of the shop's name the item has, and how many of the item's own words the name has, 65 to 35. Words that
were seen beside an ingredient on an earlier list count nearly like the shop's own name for it.
"""

from __future__ import annotations

import functools
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from costing.unit_names import singular
from nutrition import resources

if TYPE_CHECKING:
    from costing.shop.models import ShopModel

LEAST: Final = 70
"""Score from which a match is proposed."""
SURE: Final = 84
"""Score from which ``--yes`` takes it."""
CLOSE: Final = 3
"""A second ingredient within so many points makes a match doubtful."""
_LIKE: Final = 84
"""Likeness (0 to 100) from which two words are the same word, misspelt or cut short."""
_NAME, _LISTED, _RECORD = 1.0, 0.96, 0.92
"""What a match with the shop's own name is worth, with an item of an earlier list, with the name of the food record."""


@dataclass(frozen=True, slots=True)
class Match:
    """What an item seems to be.

    Args:
        ingredient: the shop's name for it.
        score: 0 to 100.
        why: in a few words.
        rivals: other ingredients that fit as well.
    """

    ingredient: str
    score: int
    why: str
    rivals: tuple[str, ...] = ()

    @property
    def sure(self) -> bool:
        """Whether ``--yes`` takes it."""
        return self.score >= SURE and not self.rivals


@dataclass(frozen=True, slots=True)
class _Target:
    ingredient: str
    words: frozenset[str]
    called: str
    worth: float


@functools.cache
def _short() -> Mapping[str, tuple[str, ...]]:
    return {row["word"]: tuple(row["means"].split()) for row in resources.table("prices", "item_words.csv")}


@functools.lru_cache(maxsize=65536)
def words(name: str) -> frozenset[str]:
    """The words of a name that say what a thing is: spelt out, one of each, singular.

    >>> sorted(words("CREAM, HVY 36% UHT 12/32 OZ"))
    ['cream', 'heavy']
    """
    plain = unicodedata.normalize("NFKD", name).casefold()
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    found: list[str] = []
    for word in re.findall(r"[^\W\d_]{2,}", plain):
        means = _short().get(word)
        found.extend(_one(w) for w in ((word,) if means is None else means))
    return frozenset(found)


@functools.lru_cache(maxsize=65536)
def _one(word: str) -> str:
    return singular(word)


def names(model: ShopModel) -> dict[str, str]:
    """What the shop buys.

    Args:
        model: the shop.

    Returns:
        The names of its ingredients that are bought and of its packaging, each with ``ingredient`` or ``packaging``.
    """
    found = {
        name: "ingredient" for name, one in model.ingredients.items() if not one.comes_from and one.food != "water"
    }
    for item in model.packaging():
        found.setdefault(item, "packaging")
    return found


def match(items: Iterable[str], model: ShopModel) -> dict[str, Match]:
    """What items seem to be.

    Args:
        items: as the supplier calls them.
        model: the shop, whose earlier price lists help.

    Returns:
        A match for each item that looks like something the shop buys; nothing for the others.
    """
    asked = list(dict.fromkeys(items))
    exact, targets = _targets(model)
    likes = _alike({w for item in asked for w in words(item)}, {w for one in targets for w in one.words})
    holding: dict[str, list[int]] = {}
    for at, one in enumerate(targets):
        for word in one.words:
            holding.setdefault(word, []).append(at)
    found: dict[str, Match] = {}
    for item in asked:
        best = exact.get(item.casefold()) or _best(item, targets, likes, holding)
        if best is not None:
            found[item] = best
    return found


def _targets(model: ShopModel) -> tuple[dict[str, Match], list[_Target]]:
    wanted = names(model)
    found = [_Target(name, words(name), "", _NAME) for name in wanted]
    for name in wanted:
        ingredient = model.ingredients.get(name)
        record = model.foods.get(ingredient.food) if ingredient else None
        if record is not None:
            # The longer the name of a record, the more it says of laboratories and the less of goods.
            first = ", ".join(record.name.split(",")[:3])
            found.append(_Target(name, words(first), f"its food record, '{first}'", _RECORD))
    seen: dict[str, set[str]] = {}
    for row in model.prices:
        if row.ingredient in wanted:
            seen.setdefault(row.item.casefold(), set()).add(row.ingredient)
    exact: dict[str, Match] = {}
    for item, those in seen.items():
        first, *others = sorted(those)
        exact[item] = Match(first, 100, "so on an earlier list", tuple(others))
        if not others:
            found.append(_Target(first, words(item), f"'{item}' on an earlier list", _LISTED))
    return exact, [one for one in found if one.words]


def _alike(ours: set[str], theirs: set[str]) -> Mapping[str, Mapping[str, float]]:
    """For each word of the items, the words of the shop that it may be, each with its likeness from 0 to 1."""
    from rapidfuzz import fuzz, process

    choices = sorted(theirs)
    found: dict[str, dict[str, float]] = {}
    for word in ours:
        near = {word: 1.0} if word in theirs else {}
        if not near and len(word) > 3:
            for other, score, _ in process.extract(word, choices, scorer=fuzz.ratio, score_cutoff=_LIKE, limit=4):
                near[other] = score / 100
            if len(word) > 4 and not near:
                # Lists cut words short: "pistach".
                near = {other: 0.9 for other in choices if other.startswith(word)}
        if near:
            found[word] = near
    return found


def _best(
    item: str,
    targets: Sequence[_Target],
    likes: Mapping[str, Mapping[str, float]],
    holding: Mapping[str, Sequence[int]],
) -> Match | None:
    own = words(item)
    if not own:
        return None
    hits: dict[int, dict[str, tuple[float, str]]] = {}
    for word in own:
        for other, like in likes.get(word, {}).items():
            for at in holding.get(other, ()):
                kept = hits.setdefault(at, {}).get(other)
                if kept is None or like > kept[0]:
                    hits[at][other] = (like, word)
    best: dict[str, tuple[float, _Target, dict[str, tuple[float, str]]]] = {}
    for at, met in hits.items():
        target = targets[at]
        total = sum(like for like, _ in met.values())
        used = sum({word: like for like, word in met.values()}.values())
        score = 100 * target.worth * (0.65 * total / len(target.words) + 0.35 * used / len(own))
        if score >= LEAST and (target.ingredient not in best or score > best[target.ingredient][0]):
            best[target.ingredient] = (score, target, met)
    if not best:
        return None
    ranked = sorted(best.values(), key=lambda one: (-one[0], one[1].ingredient))
    score, target, met = ranked[0]
    rivals = tuple(one[1].ingredient for one in ranked[1:] if score - one[0] <= CLOSE)
    return Match(target.ingredient, round(score), _why(own, target, met), rivals)


def _why(own: frozenset[str], target: _Target, met: Mapping[str, tuple[float, str]]) -> str:
    called = f" of {target.called}" if target.called else ""
    spelt = [f"'{word}' read as '{other}'" for other, (like, word) in sorted(met.items()) if like < 1]
    share = "all words" if len(met) == len(target.words) else f"{len(met)} of {len(target.words)} words"
    more = len(own) - len({word for _, word in met.values()})
    extra = f", {more} more in the item" if more else ""
    return f"{share}{called}{extra}{'; ' + ', '.join(spelt) if spelt else ''}"
