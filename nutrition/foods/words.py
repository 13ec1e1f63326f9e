"""The words of a name or of a question, alike however they are written.

>>> words("Crème fraîche & Cherries")
['creme', 'fraiche', 'cherry']
"""

from __future__ import annotations

import re
import unicodedata

MOST_WORDS = 12
LONGEST = 200
IGNORED = frozenset({"of", "the", "a", "an", "and", "with", "in", "or", "for"})


def words(text: str) -> list[str]:
    """The words of a text in small letters without accents, plurals made singular.

    Args:
        text: any text; at most the first 200 characters and 12 words of it count.

    >>> words("Confectioner's sugar")
    ['confectioner', 'sugar']
    """
    flat = text[:LONGEST].lower()
    if not flat.isascii():
        flat = "".join(c for c in unicodedata.normalize("NFKD", flat) if not unicodedata.combining(c))
    flat = flat.replace("'s", "")
    found = [word for word in re.findall(r"[^\W_]+", flat) if word not in IGNORED]
    return [singular(word) for word in found[:MOST_WORDS]]


def singular(word: str) -> str:
    """A word without a simple plural ending.

    >>> [singular(w) for w in ("cherries", "peaches", "leaves", "almonds", "molasses", "oats")]
    ['cherry', 'peach', 'leaf', 'almond', 'molasses', 'oat']
    """
    if len(word) < 4 or word.endswith(("ss", "us", "is")) or word in {"molasses"}:
        return word
    for ending, instead in (("ies", "y"), ("ches", "ch"), ("shes", "sh"), ("oes", "o"), ("leaves", "leaf"), ("s", "")):
        if word.endswith(ending):
            return word.removesuffix(ending) + instead
    return word
