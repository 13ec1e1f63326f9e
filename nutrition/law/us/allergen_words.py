"""Allergens that an ingredient's own names speak of, FD&C Act 403(w): a check on what the shop wrote down.

Nothing is declared by it: who writes "soy lecithin" among the sub-ingredients and no soy among the allergens is asked.

>>> spoken_of(["dark chocolate", "cocoa butter", "soy lecithin"])
{'soy': 'soy lecithin'}
>>> unsaid(["whey powder"], ["milk"]), unsaid(["almond milk"], [])
({}, {'tree nut: almond': 'almond milk'})

The milk of another animal than the cow names the animal (FDA guidance, edition 5):

>>> unsaid(["goat's milk"], ["milk"]), unsaid(["goat's milk"], ["goat milk"])
({'goat milk': "goat's milk"}, {})
"""

from __future__ import annotations

import functools
import re
from typing import TYPE_CHECKING

from nutrition.law.us import allergens
from nutrition.law.us.tables import rows

if TYPE_CHECKING:
    from collections.abc import Iterable

FREE = re.compile(r"\b(\w+)[ -]free\b")
MARK = "['\u2019]?"
"""an apostrophe, straight or curly, that may be left out"""


@functools.cache
def _phrases() -> tuple[tuple[re.Pattern[str], str], ...]:
    """Longer phrases first, so that what only sounds like an allergen is out of the way."""
    table = sorted(rows("allergen_words.csv"), key=lambda row: (-len(row["phrase"].split()), bool(row["allergen"])))
    return tuple((re.compile(rf"\b{re.escape(row['phrase'])}\b"), row["allergen"]) for row in table)


@functools.cache
def _of_animals() -> tuple[tuple[re.Pattern[str], str], ...]:
    """Milk and eggs of other animals than the cow and the hen, which name the animal."""
    goods = {"milk": "(?:milk|cream|butter|cheese|yogh?urt|kefir|whey)", "egg": "eggs?"}
    return tuple(
        (
            re.compile(rf"\b{re.escape(row['word'])}(?:{MARK}s{MARK})? {goods[row['what']]}\b"),
            f"{row['word']} {row['what']}",
        )
        for row in sorted(rows("allergen_animals.csv"), key=lambda row: -len(row["word"]))
        if row["what"] in goods
    )


def spoken_of(names: Iterable[str]) -> dict[str, str]:
    """The allergens that names speak of, each with the first name that does.

    Args:
        names: an ingredient's own name, its label, its sub-ingredients.
    """
    found: dict[str, str] = {}
    for name in names:
        rest = FREE.sub(" ", f" {' '.join(name.casefold().replace('-', ' ').split())} ")
        for phrase, allergen in (*_of_animals(), *_phrases()):
            rest, count = phrase.subn(" ", rest)
            if count and allergen:
                found.setdefault(allergen, name)
    return found


def unsaid(names: Iterable[str], said: Iterable[str]) -> dict[str, str]:
    """Allergens that names speak of and nobody declared, each with the name.

    Args:
        names: as for :func:`spoken_of`.
        said: the allergens as written in the shop; what cannot be read is passed over.
    """
    known = [allergens.parse(text) for text in said if allergens.problem(text) is None]
    majors = {one.major for one in known}
    declared = {str(one) for one in known}
    # Milk of another animal is milk; of a nut the kind matters.
    return {
        allergen: name
        for allergen, name in spoken_of(names).items()
        if allergen not in declared and not (":" not in allergen and allergen in majors)
    }
