"""A change as somebody writes it: ``heavy cream=+12%``, ``price[grocer]=7.49``, ``yield of duck fat=40%``.

A sign in front makes it relative: ``+12%`` is 1.12 times what the figure is now, also where the figure is a share
itself (an overrun of 28 % with ``+10%`` becomes 30.8 %). Without a sign the value is the new figure, in the words in
which the shop's files have it.

>>> parse("heavy cream=+12%").factor
1.12
>>> parse("price[grocer] = 7.49")
Change(target='price[grocer]', value='7.49', factor=None)
>>> parse("price[grocer]=7.49").bracket
('price', 'grocer')
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from costing.digits import UnreadableError, clean
from costing.findings import Finding, ShopError

if TYPE_CHECKING:
    from collections.abc import Iterable

WHERE: Final = "--if"
LONGEST: Final = 300
MOST_FACTOR: Final = 1000.0
MOST_CHANGES: Final = 100
_RELATIVE: Final = re.compile(r"([+-]) ?([0-9]+(?:\.[0-9]*)?|\.[0-9]+) ?%")
_BRACKET: Final = re.compile(r"([^\[\]]+?) ?\[ ?([^\[\]]+?) ?\]")
_EXAMPLES: Final = 'write it like "heavy cream=+12%", "overrun=35%" or "price[grocer]=7.49"'


@dataclass(frozen=True, slots=True)
class Change:
    """One change.

    Args:
        target: what is changed, as it was written.
        value: the new value, as it was written.
        factor: by what the figure is multiplied, above or at 0; None where ``value`` is the new figure itself.
    """

    target: str
    value: str
    factor: float | None = None

    @property
    def text(self) -> str:
        """As it is written."""
        return f"{self.target}={self.value}"

    @property
    def bracket(self) -> tuple[str, str] | None:
        """Kind and name of a target such as ``price[grocer]``; None for others."""
        found = _BRACKET.fullmatch(self.target)
        return (found[1], found[2]) if found else None


def parse(text: str) -> Change:
    """A change out of its text.

    Args:
        text: ``target=value``.

    Raises:
        ShopError: it cannot be read; says how it is written.
    """
    if len(text) > LONGEST:
        raise refused(f"a change of {len(text)} characters cannot be read", _EXAMPLES)
    target, equals, value = text.partition("=")
    try:
        target, value = clean(target), clean(value)
    except UnreadableError:
        raise refused(f"'{' '.join(text.split())}' is not a change", _EXAMPLES) from None
    if not equals:  # pragma: no cover - the value is empty then, and refused above
        raise refused(f"'{text}' is not a change", _EXAMPLES)
    if value[0] not in "+-":
        return Change(target, value)
    found = _RELATIVE.fullmatch(value)
    if found is None:
        mend = (
            f'with a sign in front it is a share of what it is now, "{target}=+12%"; without one it is the new figure'
        )
        raise refused(f"'{value}' for {target} is neither a change in per cent nor a new figure", mend)
    factor = round(1.0 + float(found[2]) / 100.0 * (1.0 if found[1] == "+" else -1.0), 12)
    if not math.isfinite(factor) or not 0.0 <= factor <= MOST_FACTOR:
        raise refused(f"{target} cannot change by {value}", "nothing falls by more than 100 %; check the number")
    return Change(target, value, factor)


def parse_all(texts: Iterable[str]) -> tuple[Change, ...]:
    """Several changes; everything that is wrong with them at once.

    Raises:
        ShopError: some cannot be read, or one thing is changed twice.
    """
    listed = tuple(texts)
    if len(listed) > MOST_CHANGES:
        raise refused(f"{len(listed)} changes at once are more than anybody follows", f"give at most {MOST_CHANGES}")
    found: list[Change] = []
    findings: list[Finding] = []
    seen: set[str] = set()
    for text in listed:
        try:
            change = parse(text)
        except ShopError as wrong:
            findings.extend(wrong.findings)
            continue
        if same(change.target) in seen:
            findings.append(Finding("error", WHERE, f"{change.target} is changed twice", "say once what it should be"))
        seen.add(same(change.target))
        found.append(change)
    if findings:
        raise ShopError(tuple(findings))
    return tuple(found)


def same(name: str) -> str:
    """A name without capitals and further spaces, to be compared.

    >>> same("Heavy  Cream")
    'heavy cream'
    """
    return " ".join(name.casefold().split())


def refused(what: str, mend: str = "") -> ShopError:
    """The error for one change."""
    return ShopError((Finding("error", WHERE, what, mend),))
