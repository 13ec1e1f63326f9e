"""Allergens of what else runs on the same machine, and the advisory that a maker may print for them.

An advisory is voluntary, stands apart from the "Contains" statement, and is no excuse for poor cleaning: FDA guidance
on food allergen labelling, edition 5, January 2025. What the food itself holds is not repeated in it.

>>> from nutrition.law.us.around import Neighbour
>>> others = [Neighbour("batch freezer", "Custard", frozenset({"milk", "egg"}))]
>>> advisory(["milk"], others)
'Made on equipment that also processes egg.'
>>> advisory(["milk", "egg"], others)
''
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from nutrition.law.us import allergens, cautions

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from datetime import date

    from nutrition.law.us.allergens import Allergen
    from nutrition.law.us.around import Neighbour
    from nutrition.law.us.label import Note


SHOWN: Final = 3
"""Flavours that are named for an allergen; the others are counted."""


def others(own: Iterable[str], neighbours: Iterable[Neighbour]) -> tuple[Allergen, ...]:
    """Major allergens of the neighbours that the food itself does not have, in the order of the act.

    Args:
        own: allergens of the food, as written in the shop; what is no major allergen is passed over.
        neighbours: what else runs on its machines.
    """
    mine = set(allergens.ordered(_good(own)))
    those = allergens.ordered(_good(one for neighbour in neighbours for one in neighbour.allergens))
    return tuple(one for one in those if one not in mine)


def _good(written: Iterable[str]) -> list[str]:
    return [text for text in written if allergens.problem(text) is None]


def advisory(own: Iterable[str], neighbours: Iterable[Neighbour]) -> str:
    """The advisory, empty where nothing else runs on the machines that the food has not itself."""
    found = others(own, neighbours)
    return f"Made on equipment that also processes {', '.join(_words(found))}." if found else ""


def _words(found: Sequence[Allergen]) -> list[str]:
    """Allergens in a sentence: kinds of one group in brackets behind it."""
    words: list[str] = []
    for major in dict.fromkeys(one.major for one in found):
        those = [one for one in found if one.major == major]
        if ":" in str(those[0]):
            plural = {"tree nut": "tree nuts"}.get(major, major)
            words.append(f"{plural} ({', '.join(one.kind for one in those)})")
        else:
            words += [{"peanut": "peanuts"}.get(str(one), str(one)) for one in those]
    return words


def _listed(titles: Sequence[str]) -> str:
    more = len(titles) - SHOWN
    return ", ".join(titles[:SHOWN]) + (f" and {more} more" if more > 0 else "")


def notes(own: Iterable[str], neighbours: Sequence[Neighbour], on: date | None = None) -> Iterator[Note]:
    """Which flavours bring which allergens to which machine; a general note where nobody said what else runs."""
    mine = list(own)
    text = advisory(mine, neighbours)
    if not neighbours:
        yield cautions.note("shared equipment", on)
        return
    if not text:
        machines = ", ".join(dict.fromkeys(one.machine for one in neighbours))
        yield cautions.note("shared equipment clean", on, machines=machines)
        return
    bring = {one.title: set(allergens.ordered(_good(one.allergens))) for one in neighbours}
    brought = [
        f"{_words([allergen])[0]}, in {_listed([title for title, those in bring.items() if allergen in those])}"
        for allergen in others(mine, neighbours)
    ]
    machines = ", ".join(dict.fromkeys(one.machine for one in neighbours))
    yield cautions.note("shared equipment named", on, machines=machines, brought="; ".join(brought), text=text)
