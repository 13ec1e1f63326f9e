"""What a household measure of an ingredient weighs: cups, spoons, and pieces that are counted.

The shop's own ``measures:`` come first, then those of the food record; a measure of volume is scaled to any other
volume. A weight that nobody gave is never guessed.

>>> from nutrition.foods.record import water
>>> from costing.shop.models import Ingredient
>>> tap = Ingredient(name="water", where="ingredients.yaml:1", food="water", label="water")
>>> round(weigh(units.amount("1 L"), tap, water()).mid, 6)
998.2
"""

from __future__ import annotations

import difflib
import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, NamedTuple

from costing import units
from costing.amounts import Amount, Figure, Kind
from costing.digits import UnreadableError
from costing.unit_names import names, singular, unit
from nutrition import resources

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from costing.shop.models import Ingredient
    from nutrition.foods.record import FoodRecord

CLOSE: Final = 0.02
"""Measures of a food that differ by no more than this share say the same."""

_BRACKETS: Final = re.compile(r"\([^()]*\)|\([^()]*$")
_PLAIN: Final = frozenset({"", "fluid", "liquid", "whole", "plain"})
"""What may stand behind a measure without making it another one."""


class MeasureError(ValueError):
    """A measure that the food does not have.

    Args:
        what: what is missing.
        mend: how to mend it.
    """

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(f"{what}; {mend}")
        self.what = what
        self.mend = mend


class Grams(NamedTuple):
    """Least and greatest weight of an amount, g."""

    low: float
    high: float

    @property
    def mid(self) -> float:
        """The middle, which gives the plain answer, g."""
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class _Known:
    """One measure that a food has: so many base units (mL or pieces) weigh so much."""

    text: str
    volume: bool
    amount: float
    name: str
    words: str
    grams: Figure


def weigh(amount: Amount, ingredient: Ingredient, record: FoodRecord) -> Grams:
    """What an amount of an ingredient weighs.

    Args:
        amount: a weight, a measure of volume, or a count.
        ingredient: the ingredient, whose own measures come first.
        record: its food record.

    Returns:
        Least and greatest weight, g; equal for a plain amount.

    Raises:
        MeasureError: neither the ingredient nor its food record says what the measure weighs, they disagree, or the
            amount is a share, which only the pot can tell.
    """
    if amount.kind is Kind.WEIGHT:
        return Grams(amount.figure.low, amount.figure.high)
    if amount.kind is Kind.VOLUME:
        best = _by_volume(amount, ingredient, record)
    elif amount.kind is Kind.COUNT:
        best = _by_count(amount, ingredient, record)
    else:
        raise MeasureError(
            f"'{amount.text}' of {ingredient.name} has no weight of its own", "write a weight, such as 350 g"
        )
    # The division first: a cup of what is measured by the cup weighs exactly what was written.
    return Grams(amount.figure.low / best.amount * best.grams.low, amount.figure.high / best.amount * best.grams.high)


@functools.cache
def water_density() -> float:
    """Density of water at 20 degrees C, g/mL (``data/kitchen/densities.csv``)."""
    (row,) = [row for row in resources.table("kitchen", "densities.csv") if row["fraction"] == "water"]
    return float(row["density"])


def _by_volume(amount: Amount, ingredient: Ingredient, record: FoodRecord) -> _Known:
    """The measure that says what a volume weighs."""
    written, _, words = amount.unit.partition(", ")
    wanted = unit(written)
    for known in (_own(ingredient), _of_record(record)):
        volumes = [one for one in known if one.volume and (not words or _same_words(words, one.words))]
        if not volumes:
            continue
        if not words:
            plain = [one for one in volumes if one.words in _PLAIN]
            volumes = plain or volumes
        # The measure nearest in size is the surest: a spoon of powder says little about a quart of it.
        one_unit = float(wanted.factor) if wanted else 1.0
        volumes.sort(key=lambda one: max(one.amount / one_unit, one_unit / one.amount))
        best = volumes[0]
        rivals = [one for one in volumes if one.words != best.words and _differ(one, best)]
        if rivals and best.words not in _PLAIN and not words:
            choices = ", ".join(f"'{one.text}' ({one.grams.mid:g} g)" for one in (best, *rivals))
            raise MeasureError(
                f"'{amount.text}' of {ingredient.name} can mean more than one thing: the food has {choices}",
                f"write '{amount.text} {best.words.split(' or ')[0]}', or a weight, "
                f"or give the ingredient measures: {{1 {written}: … g}}",
            )
        return best
    if record.id == "water":
        return _Known("1 mL", True, 1.0, "mL", "", Figure(water_density(), water_density()))
    raise _missing(amount, ingredient, record, f"1 {wanted.name if wanted else written}")


def _differ(one: _Known, other: _Known) -> bool:
    return abs(one.grams.mid / one.amount * other.amount / other.grams.mid - 1) > CLOSE


def _by_count(amount: Amount, ingredient: Ingredient, record: FoodRecord) -> _Known:
    """The measure that says what a piece weighs."""
    wanted = singular(amount.unit)
    for known in (_own(ingredient), _of_record(record)):
        counts = [one for one in known if not one.volume]
        exact = [one for one in counts if one.name == wanted]
        near = [one for one in counts if f"{one.name} {one.words}".strip().startswith(f"{wanted} ")]
        for one in exact or near:
            return one
    raise _missing(amount, ingredient, record, f"1 {wanted}")


def _missing(amount: Amount, ingredient: Ingredient, record: FoodRecord, wanted: str) -> MeasureError:
    has = [*_own(ingredient), *_of_record(record)]
    add = f"give the ingredient measures: {{{wanted}: … g}}"
    near = difflib.get_close_matches(singular(amount.unit), names(), 1, 0.8) if amount.kind is Kind.COUNT else []
    meant = unit(near[0]) if near else None
    hint = f"did you mean {meant.name}? if not, " if meant and meant.kind != "count" else ""
    what = f"nobody says what '{amount.text}' of {ingredient.name} weighs; its food has "
    if not has:
        return MeasureError(f"{what}no measures", f"{hint}write a weight, or {add}")
    listed = ", ".join(f"'{one.text}' ({one.grams.mid:g} g)" for one in has)
    same = [one for one in has if one.volume == (amount.kind is Kind.VOLUME)]
    instead = f"write {amount.figure.mid:g} {same[0].name}, or " if same and amount.kind is Kind.COUNT else ""
    return MeasureError(f"{what}{listed}", f"{hint}{instead}{add}")


def _own(ingredient: Ingredient) -> list[_Known]:
    return list(_read((text, grams) for text, grams in ingredient.measures.items()))


def _of_record(record: FoodRecord) -> Sequence[_Known]:
    return list(_read((one.text, Figure(one.grams, one.grams)) for one in record.measures if one.grams > 0))


def _read(measures: Iterable[tuple[str, Figure]]) -> Iterable[_Known]:
    for text, grams in measures:
        head, words = _split(text)
        try:
            amount = units.amount(head)
        except UnreadableError:
            continue  # "6 inch, sub" and the like: nothing that a cook would measure with
        if amount.kind not in (Kind.VOLUME, Kind.COUNT) or amount.figure.low <= 0:
            continue
        name, _, more = amount.unit.partition(", ")
        joined = " ".join(bit for bit in (more, words) if bit)
        yield _Known(text, amount.kind is Kind.VOLUME, amount.figure.mid, singular(name), joined, grams)


def _split(text: str) -> tuple[str, str]:
    """The amount of a measure and the words behind it: ``1 cup, chopped`` gives both, brackets are left out."""
    bare = " ".join(_BRACKETS.sub(" ", text).split())
    head, _, words = bare.partition(",")
    return head.strip(), words.strip(" ,").casefold()


def _same_words(wanted: str, words: str) -> bool:
    have = {singular(word) for word in re.findall(r"\w+", words)}
    return all(singular(word) in have for word in re.findall(r"\w+", wanted.casefold()))
