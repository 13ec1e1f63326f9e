"""How far an amount is from printing another text: the way to the next rounding step, 21 CFR 101.9(c), (d)(7)(ii).

Whatever the rule, what is printed goes up with the amount in steps. So the ends of a step are found by halving, on
whole thousand-millionths, which is what the tables of the law compare: no rule is written down a second time here.

>>> from nutrition.law.us.labelling import printed
>>> fat = lambda amount: printed("total_fat", amount, "unrounded", None)
>>> step = around(lambda amount: fat(amount)[0], 17.2)
>>> step.least, step.limit, step.below, step.above
(16.5, 17.5, '16g', '18g')
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeVar

import numpy as np

from nutrition.law.us.tables import NANO, nano

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

T = TypeVar("T")
FARTHEST = 10**16
"""thousand-millionths beyond which no amount in a container can lie: ten million grams"""


@dataclass(frozen=True, slots=True)
class Step(Generic[T]):
    """The amounts that print alike.

    Args:
        text: what they print.
        least: the least of them.
        limit: every one of them stays below it; None where nothing larger prints otherwise.
        below: what the next smaller amount prints; None where nothing does.
        above: what the limit itself prints.
    """

    text: T
    least: float
    limit: float | None
    below: T | None
    above: T | None

    def down(self, amount: float) -> float | None:
        """By how much an amount may fall before it prints otherwise; None where it cannot."""
        return None if self.below is None else amount - self.least

    def up(self, amount: float) -> float | None:
        """By how much an amount may rise before it prints otherwise; None where it cannot."""
        return None if self.limit is None else self.limit - amount


def around(prints: Callable[[float], T], amount: float) -> Step[T]:
    """The step in which an amount lies.

    Args:
        prints: from an amount to what is printed; it must never come back to a text that it has left.
        amount: the amount, not below zero.

    Returns:
        The step, to a thousand-millionth.

    Raises:
        ValueError: the amount is negative or no number.
    """
    here = nano(amount)

    def at(whole: int) -> T:
        return prints(whole / NANO)

    text = at(here)
    least = _first(lambda whole: at(whole) == text, 0, here)
    limit: int | None = None
    far = max(here, NANO)
    while far < FARTHEST:
        far *= 2
        if at(far) != text:
            limit = _first(lambda whole: at(whole) != text, here, far)
            break
    return Step(
        text,
        least / NANO,
        None if limit is None else limit / NANO,
        at(least - 1) if least else None,
        None if limit is None else at(limit),
    )


def _first(test: Callable[[int], bool], low: int, high: int) -> int:
    """The first whole number of ``low`` to ``high`` that passes; ``high`` does, and so does all above the first."""
    while low < high:
        middle = (low + high) // 2
        if test(middle):
            high = middle
        else:
            low = middle + 1
    return low


@dataclass(frozen=True, slots=True)
class Chance(Generic[T]):
    """One text that could be printed, and the share of the amounts that print it, 0 to 1."""

    text: T
    share: float


def chances(prints: Callable[[float], T], amounts: Floats) -> tuple[Chance[T], ...]:
    """Every text that some amounts print, with its share, in the order of the amounts.

    Args:
        prints: as for :func:`around`.
        amounts: one for each draw, ``(draws,)``.

    Returns:
        The texts; none where there are no amounts.

    Raises:
        ValueError: an amount is negative or no number.

    >>> from nutrition.law.us.labelling import printed
    >>> some = np.array([16.2, 16.6, 17.0, 17.5])
    >>> chances(lambda amount: printed("total_fat", amount, "unrounded", None)[0], some)
    (Chance(text='16g', share=0.25), Chance(text='17g', share=0.5), Chance(text='18g', share=0.25))
    """
    # Compared as the tables compare: to nine decimals.
    ordered = np.sort(np.round(np.asarray(amounts, dtype=np.float64), 9))
    found: list[Chance[T]] = []
    place = 0
    while place < ordered.size:
        step = around(prints, float(ordered[place]))
        end = ordered.size if step.limit is None else int(np.searchsorted(ordered, step.limit, side="left"))
        end = max(end, place + 1)
        found.append(Chance(step.text, (end - place) / ordered.size))
        place = end
    return tuple(found)


def between(prints: Callable[[float], T], low: float, high: float) -> tuple[T, ...]:
    """Every text that an amount from ``low`` to ``high`` can print, in their order.

    Args:
        prints: as for :func:`around`.
        low: the least amount.
        high: the greatest.

    >>> from nutrition.law.us.labelling import printed
    >>> between(lambda amount: printed("trans_fat", amount, "unrounded", None)[0], 0.3, 1.3)
    ('0g', '0.5g', '1g', '1.5g')
    """
    found: list[T] = []
    at = low
    while True:
        step = around(prints, at)
        found.append(step.text)
        if step.limit is None or step.limit > high or len(found) >= MOST_TEXTS:
            return tuple(found)
        at = step.limit


MOST_TEXTS = 40
"""Beyond so many texts nothing is known worth listing."""
