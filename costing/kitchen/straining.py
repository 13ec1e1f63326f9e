"""What a thing holds and gives when it is strained out, by its form (``data/kitchen/straining.csv``, sources there).

The form is told by a word of the ingredient's name in the shop, else of its label, else of its food record's name, and
where no word tells it, by its class.

>>> default("spice", ("mint", "mint", "Spearmint, fresh"))
Default(form='herb', holding=0.8, extracts=0.25)
>>> default("fruit", ("lemon peel",)).form, default("fruit", ("quince",)).form
('peel', 'fruit')
>>> default("sweetener", ("sugar",)) is None
True
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition import resources

if TYPE_CHECKING:
    from collections.abc import Iterable


@dataclass(frozen=True, slots=True)
class Default:
    """What is common for a form.

    Args:
        form: its name (``leaf``, ``peel``, ``pod`` …).
        holding: liquid held, as a share of the thing's weight as added.
        extracts: share of the thing's solubles that passes into the liquid, 0 to 1.
    """

    form: str
    holding: float
    extracts: float


@dataclass(frozen=True, slots=True)
class _Row:
    words: tuple[frozenset[str], ...]
    classes: frozenset[str]
    default: Default

    def fits(self, kind: str, words: frozenset[str]) -> bool:
        """Whether it is for things of this class that are called so."""
        return (not self.classes or kind in self.classes) and any(alternative <= words for alternative in self.words)


@functools.cache
def _rows() -> tuple[_Row, ...]:
    return tuple(
        _Row(
            tuple(_words(one) for one in row["words"].split("|") if one),
            frozenset(one for one in row["classes"].split("|") if one),
            Default(row["form"], float(row["holding_pct"]) / 100, float(row["extracts_pct"]) / 100),
        )
        for row in resources.table("kitchen", "straining.csv")
    )


def _words(text: str) -> frozenset[str]:
    """Words in small letters, each beside its singular."""
    found = set(re.findall(r"[^\W\d_]+", text.casefold().replace("leaves", "leaf")))
    return frozenset(found | {word[:-1] for word in found if word.endswith("s") and len(word) > 3})


def default(kind: str, names: Iterable[str]) -> Default | None:
    """What is common for a thing.

    Args:
        kind: the class of the ingredient.
        names: what it is called, the telling name first.

    Returns:
        What it holds and gives; None where nobody knows.
    """
    for name in names:
        words = _words(name)
        for row in _rows():
            if row.words and row.fits(kind, words):
                return row.default
    return next((row.default for row in _rows() if not row.words and kind in row.classes), None)
