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

from nutrition.law.us.nutrient_lines import printed
from nutrition.law.us.options import Options
from nutrition.law.us.tables import NANO, nano

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from nutrition.law.us.label import Label

    Floats = NDArray[np.float64]

T = TypeVar("T")
FARTHEST = 10**16
"""thousand-millionths beyond which no amount in a container can lie: ten million grams"""


def printing(label: Label, key: str) -> Callable[[float], tuple[str, int | None]]:
    """What a label prints for an amount of a nutrient, in either column: by its day and by what was chosen for it.

    Args:
        label: the label.
        key: nutrient key.

    Returns:
        From an amount in the nutrient's unit to the text and the per cent of the daily value.
    """
    chosen = label.options or Options()

    def prints(amount: float) -> tuple[str, int | None]:
        return printed(key, amount, chosen.dv_from, label.as_of, chosen.below_two, chosen.protein_quality)

    return prints


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
    text = prints(here / NANO)
    least = _first(lambda whole: prints(whole / NANO) == text, 0, here)
    return _step(prints, text, least, here, max(here, NANO), prints((least - 1) / NANO) if least else None)


def _step(prints: Callable[[float], T], text: T, least: int, here: int, reach: int, below: T | None) -> Step[T]:
    """The step that begins at ``least``; its end is looked for from ``here`` on, ``reach`` further and then further."""

    def other(whole: int) -> bool:
        return prints(whole / NANO) != text

    at = here
    while at < FARTHEST:
        far = at + reach
        if other(far):
            limit = _first(other, at + 1, far)
            return Step(text, least / NANO, limit / NANO, below, prints(limit / NANO))
        at, reach = far, 2 * reach
    return Step(text, least / NANO, None, below, None)


def _first(test: Callable[[int], bool], low: int, high: int) -> int:
    """The first whole number of ``low`` to ``high`` that passes; ``high`` does, and so does all above the first."""
    while low < high:
        middle = (low + high) // 2
        if test(middle):
            high = middle
        else:
            low = middle + 1
    return low


def between(prints: Callable[[float], T], low: float, high: float, most: int = 40) -> tuple[Step[T], ...]:
    """Every step in which an amount from ``low`` to ``high`` can lie, in their order.

    Args:
        prints: as for :func:`around`.
        low: the least amount, not below zero.
        high: the greatest.
        most: no more steps than these are looked for.

    >>> from nutrition.law.us.labelling import printed
    >>> [step.text for step in between(lambda amount: printed("trans_fat", amount, "unrounded", None)[0], 0.3, 1.3)]
    ['0g', '0.5g', '1g', '1.5g']
    """
    found = [around(prints, low)]
    while len(found) < most:
        last = found[-1]
        if last.limit is None or last.above is None or nano(last.limit) > nano(max(low, high)):
            break
        least = nano(last.limit)
        # The next step is often as wide as the one before.
        wide = max(1, least - nano(last.least))
        found.append(_step(prints, last.above, least, least, wide, last.text))
    return tuple(found)


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


def shares(steps: Sequence[Step[T]], amounts: Floats) -> tuple[float, ...]:
    """What share of some amounts lies in each of some steps that follow one another.

    Args:
        steps: from :func:`between`.
        amounts: one for each draw, ``(draws,)``.

    Returns:
        Shares from 0 to 1; they add up to 1 where every amount lies in one of the steps.
    """
    ordered = np.sort(np.round(np.asarray(amounts, dtype=np.float64), 9))
    ends = [ordered.size if s.limit is None else int(np.searchsorted(ordered, s.limit, side="left")) for s in steps]
    starts = [int(np.searchsorted(ordered, s.least, side="left")) for s in steps]
    return tuple((end - start) / ordered.size for start, end in zip(starts, ends, strict=True))
