"""Changes of the law with their days: what is in force, what will be, and what is only proposed.

>>> [p.key for p in in_force(date(2022, 12, 31)) if p.key == "sesame"]
[]
>>> [p.key for p in in_force(date(2023, 1, 1)) if p.key == "sesame"]
['sesame']
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from datetime import date

from nutrition import resources


@dataclass(frozen=True, slots=True)
class Provision:
    """One change of the law.

    Args:
        key: its short name.
        title: in words.
        status: ``in force``, ``dated`` or ``proposed``; a proposal binds nobody.
        begins: first day, None where there is none.
        ends: first day no longer in force, None where there is none.
        rule: the source.
        mark: ``read`` or ``from memory``.
        what: what it changes.
    """

    key: str
    title: str
    status: str
    begins: date | None
    ends: date | None
    rule: str
    mark: str
    what: str


def _day(text: str) -> date | None:
    return date.fromisoformat(text) if text else None


@functools.cache
def provisions() -> tuple[Provision, ...]:
    """All of them, in the order of the table."""
    return tuple(
        Provision(r["key"], r["title"], r["status"], _day(r["from"]), _day(r["until"]), r["rule"], r["mark"], r["what"])
        for r in resources.table("law", "us", "provisions.csv")
    )


def in_force(on: date) -> tuple[Provision, ...]:
    """Those that bind on that day."""
    return tuple(
        p
        for p in provisions()
        if p.status != "proposed" and (p.begins is None or p.begins <= on) and (p.ends is None or on < p.ends)
    )


def to_watch(on: date) -> tuple[Provision, ...]:
    """Those that are proposed, or that begin after that day.

    >>> "standards revocation" in [p.key for p in to_watch(date(2026, 3, 2))]
    True
    """
    return tuple(p for p in provisions() if p.status == "proposed" or (p.begins is not None and p.begins > on))
