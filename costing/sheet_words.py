"""The words of a finding for a shop in a workbook, which has sheets and cells, but no files and no brackets."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable

_KEYS: Final = "allergens|made of|measures|prices|gtin|label"
"""What has a column of its own, in which things stand with ; between them."""
_SHEETS: Final = "machines|containers|channels|suppliers"


def _sheet(found: re.Match[str]) -> str:
    return f"{found[1]} the sheet {found[2].capitalize()}"


def _listed(found: re.Match[str]) -> str:
    return f"write {found[2].replace(', ', '; ')} under '{found[1]}'"


_WORDS: Final[tuple[tuple[re.Pattern[str], str | Callable[[re.Match[str]], str]], ...]] = (
    (
        re.compile(r"\badd (wages|overhead|fixed costs|rates): \{([^{}:]+): ([^{}]+)\} to shop\.yaml"),
        r"add a row to the sheet Wages & costs: \1 | \2 | \3",
    ),
    (re.compile(rf"\b(to) shop\.yaml under ({_SHEETS})\b"), _sheet),
    (re.compile(rf"\badd ()it under ({_SHEETS})\b"), lambda found: f"add it to the sheet {found[2].capitalize()}"),
    (
        re.compile(rf"\b(?:write|give the ingredient) '?({_KEYS}): [\[{{]([^\[\]{{}}]*)[\]}}]'?"),
        _listed,
    ),
    (
        re.compile(r"'usable: ([^']+)' in its entry (.*), else 'usable: ([^']+)'"),
        r"\1 under 'usable' \2, else \3",
    ),
    (re.compile(r"\b[Aa] recipe needs 'parts'"), "no row of the sheet Recipes is of this recipe"),
    (
        re.compile(r"\bwrite parts: with the name of each part below it.*"),
        "write a row for each step there, with its short name under 'recipe'",
    ),
    (
        re.compile(r"\bend the last part with '- fill: .*', or write 'makes: house base' at the top"),
        "end its last part with a row that has fill under 'verb' and the container under 'what', "
        "or write what it makes on the sheet Flavours",
    ),
    (
        re.compile(r"\bas \[\{distributor: 25 %\}, \{grocer: 35 %\}\]"),
        "such as distributor: 25 %; grocer: 35 %",
    ),
    (re.compile(r"\bingredients\.yaml\b"), "the sheet Ingredients"),
    (re.compile(r"\ba file in prices/(?!\w)"), "the sheet Prices"),
    (re.compile(r"\b(?:to|under) shop\.yaml\b"), "to the sheets about the shop"),
    (re.compile(r"\bshop\.yaml\b"), "the shop"),
)
"""What is said of the files of a folder, and what stands for it."""


def in_cells(text: str) -> str:
    """What is said of files and entries, said of sheets and cells.

    Args:
        text: what is wrong, or how to mend it.

    >>> in_cells("add it to ingredients.yaml")
    'add it to the sheet Ingredients'
    >>> in_cells("add wages: {kitchen: 21.50 per hour} to shop.yaml")
    'add a row to the sheet Wages & costs: wages | kitchen | 21.50 per hour'
    >>> in_cells("write prices: {name: value, other: value}")
    "write name: value; other: value under 'prices'"
    """
    for words, said in _WORDS:
        text = words.sub(said, text)
    return text
