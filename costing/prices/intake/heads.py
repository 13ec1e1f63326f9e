"""Which row names the columns of a list, and what each column holds: proposed from the words, never decided."""

from __future__ import annotations

import functools
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from costing.prices import packs
from costing.prices.intake import price_shapes
from costing.prices.intake.sheets import Cell, Sheet, text
from nutrition import resources

COLUMNS: Final = (
    "item", "code", "brand", "pack", "count", "size", "unit", "price", "price by weight", "currency", "date",
    "supplier",
)  # fmt: skip
"""What a column may hold, in the words of the mapping files."""
LOOKED_AT: Final = 100
"""Rows from the top among which the heads are looked for."""
NEAR: Final = 86
"""Likeness (0 to 100) from which a heading counts as one of the known words."""

_SAYS: Final = {"now": "the new one", "before": "the one until now", "shelf": "what customers of a shop pay"}
_PRICES: Final = ("price", "preis", "prix", "precio", "prezzo", "prijs", "preco", "cost", "tarif", "kilopreis")
_MONEY_SIGNS: Final = re.compile(r"[$€£]|\b(?:usd|eur|gbp|cad)\b")


@dataclass(frozen=True, slots=True)
class Head:
    """The heads of a sheet.

    Args:
        at: place of the row in the sheet's rows (from 0).
        depth: rows that they take, 1 or 2.
        names: the heading of each column; a second one of the same name is called ``Price (2)``.
        twice: headings that stand there more than once.
    """

    at: int
    depth: int
    names: tuple[str, ...]
    twice: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Guess:
    """What a column seems to hold.

    Args:
        heading: of the column.
        score: how sure, 0 to 100.
        why: in a few words.
    """

    heading: str
    score: int
    why: str


def key(heading: str) -> str:
    """A heading without what makes no difference: capitals, accents, signs, marks of currency.

    >>> key("Price/LB ($)"), key("Währung"), key("Pack \\n Size"), key("$/lb")
    ('price lb', 'wahrung', 'pack size', 'price lb')
    >>> key("Item #"), key("#"), key("Price/#"), key("$/#")
    ('item no', 'no', 'price', 'price')
    """
    plain = unicodedata.normalize("NFKD", heading).casefold()
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    # "$/lb" is a price; in "Preis (€)" the sign adds nothing.
    says_so = any(word.startswith(_PRICES) for word in re.findall(r"[^\W_]+", plain))
    if not says_so and not _MONEY_SIGNS.search(plain):
        plain = plain.replace("#", " no ")  # beside a price it is a pound
    words = re.findall(r"[^\W_]+", _MONEY_SIGNS.sub(" " if says_so else " price ", plain))
    return " ".join(w for at, w in enumerate(words) if w not in words[:at])


def same(heading: str) -> str:
    """A heading as it is compared with that of an earlier list: capitals and spaces make no difference."""
    return " ".join(heading.split()).casefold()


@functools.cache
def _known() -> Mapping[str, tuple[tuple[str, int], ...]]:
    """Words to what they head, each with its rank."""
    found: dict[str, list[tuple[str, int]]] = {}
    for row in resources.table("prices", "head_words.csv"):
        found.setdefault(row["words"], []).append((row["column"], int(row["rank"])))
    return {words: tuple(those) for words, those in found.items()}


def named(cells: Sequence[Cell], at: int, depth: int = 1) -> Head:
    """Heads out of a row of cells."""
    names: list[str] = []
    twice: list[str] = []
    seen: dict[str, int] = {}
    for cell in cells:
        name = text(cell)[:100]
        count = seen[same(name)] = seen.get(same(name), 0) + 1
        if name and count > 1:
            if name not in twice:
                twice.append(name)
            name = f"{name} ({count})"
        names.append(name)
    while names and not names[-1]:
        names.pop()
    return Head(at, depth, tuple(names), tuple(twice))


def find(sheet: Sheet) -> tuple[Head, Mapping[str, tuple[Guess, ...]]] | None:
    """The row that names the columns, and what they seem to hold.

    Args:
        sheet: of a received list.

    Returns:
        The heads, and by column (``item``, ``price`` ...) the headings that would do, the best first; None where no row
        names at least an item and a price.
    """
    best: tuple[float, Head, Mapping[str, tuple[Guess, ...]]] | None = None
    rows = sheet.rows
    for at in range(min(len(rows), LOOKED_AT)):
        cells = rows[at]
        if not may_be_head(cells):
            continue
        for head in candidates(rows, at):
            guesses = guess(head.names)
            if "item" not in guesses or not ({"price", "price by weight"} & guesses.keys()):
                continue
            worth = sum(those[0].score for those in guesses.values()) - 10 * (head.depth - 1)
            # A list says its heads again on every page: the first of equals counts.
            if best is None or worth > best[0] + 5:
                best = (worth, head, guesses)
    return None if best is None else (best[1], best[2])


def may_be_head(cells: Sequence[Cell]) -> bool:
    """Whether a row could name columns: several cells, all of them text."""
    filled = [cell for cell in cells if cell not in (None, "")]
    return len(filled) > 1 and all(isinstance(cell, str) for cell in filled)


def candidates(rows: Sequence[Sequence[Cell]], at: int) -> list[Head]:
    """The row alone, and together with the one below it where heads are set in two lines."""
    found = [named(rows[at], at)]
    if at + 1 < len(rows) and may_be_head(rows[at + 1]):
        upper, lower = rows[at], rows[at + 1]
        wide = max(len(upper), len(lower))
        both = [
            f"{text(upper[i]) if i < len(upper) else ''} {text(lower[i]) if i < len(lower) else ''}".strip()
            for i in range(wide)
        ]
        found.append(named(both, at, 2))
    return found


def guess(names: Sequence[str]) -> Mapping[str, tuple[Guess, ...]]:
    """What columns seem to hold, by their headings.

    Args:
        names: the headings.

    Returns:
        By column the headings that would do, the best first. A heading is given to one column only.
    """
    claims: list[tuple[int, str, Guess]] = []
    for name in names:
        if name:
            claims.extend((one.score, column, one) for column, one in _claims(name))
    claims.sort(key=lambda claim: -claim[0])
    taken: set[str] = set()
    found: dict[str, list[Guess]] = {}
    for _, column, one in claims:
        if one.heading not in taken:
            taken.add(one.heading)
            found.setdefault(column, []).append(one)
    return {column: tuple(those) for column, those in found.items()}


@functools.lru_cache(maxsize=4096)
def _claims(name: str) -> tuple[tuple[str, Guess], ...]:
    plain = key(re.sub(r" \(\d+\)$", "", name))
    if not plain or len(plain) > 60:
        return ()
    if plain == "price unit" and re.search(r"/|\bper\b", name, re.IGNORECASE):
        return (("price", Guess(name, 75, "'price unit' heads such columns")),)
    exact = _known().get(plain)
    if not exact and (marked := _marked(name, plain)):
        return marked
    if exact:
        return tuple((column, Guess(name, rank, f"'{plain}' heads such columns")) for column, rank in exact)
    # Only a heading that nobody thought of is compared with all that somebody did.
    from rapidfuzz import fuzz, process

    best: dict[str, Guess] = {}
    for words, score, _ in process.extract(plain, _known().keys(), scorer=fuzz.ratio, score_cutoff=NEAR, limit=5):
        if _units(words) != _units(plain):
            continue  # "price l" is like "price lb", and another thing
        for column, rank in _known()[words]:
            _better(best, column, Guess(name, int(rank * score / 100), f"like '{words}', {score:.0f} of 100"))
    for words, those in _known().items():
        if len(words) > 3 and f" {words} " in f" {plain} ":
            for column, rank in those:
                share = len(words) / len(plain)
                _better(best, column, Guess(name, int(rank * (0.55 + 0.35 * share)), f"'{words}' is in it"))
    return tuple(best.items())


@functools.cache
def _marks() -> Mapping[str, tuple[str, int]]:
    return {
        row["word"]: (_SAYS[row["says"]], int(row["worth"])) for row in resources.table("prices", "price_marks.csv")
    }


def _marked(name: str, plain: str) -> tuple[tuple[str, Guess], ...]:
    """What a heading is without words such as new and old, where it is a price: the new one counts."""
    words = plain.split()
    marks = [word for word in words if word in _marks()]
    rest = " ".join(word for word in words if word not in marks)
    if not marks or not rest:
        return ()
    said, worth = min((_marks()[word] for word in marks), key=lambda mark: mark[1])
    return tuple(
        (column, Guess(name, max(1, min(100, one.score + worth)), f"{one.why}, {said}"))
        for column, one in _claims(rest)
        if column.startswith("price")
    )


def _units(plain: str) -> set[str]:
    """The short words of a heading, among which its units are."""
    return {word for word in plain.split() if len(word) <= 3}


_FOR: Final = re.compile(
    r"(?:[$€£]|[^\W\d_]*(?:price|preis|prix|precio|prezzo|prijs|preco|cost)\b)[^/]{0,12}?"
    r"(?:/|\b(?:per|je|pro|par|por|al|au)\b)\s*(?P<many>\d{1,4})?\s*(?P<of>[^\W\d_]{1,9})?",
    re.IGNORECASE,
)
_THOUSAND: Final = ("m", "thousand", "mille", "tausend")


@functools.lru_cache(maxsize=1024)
def price_for(heading: str) -> str:
    """The pack that all prices of a column are for, where its heading says so; empty where they are for the pack.

    >>> price_for("Price per 100 g"), price_for("$/L"), price_for("Price/M"), price_for("Preis je 100 Stk")
    ('100 g', '1 l', '1000 ct', '100 stk')
    >>> price_for("Price per case"), price_for("Price"), price_for("Price/Unit"), price_for("Price 10+")
    ('', '', '', '')
    """
    found = _FOR.search(heading)
    if found is None:
        return ""
    many, of = found["many"] or "", (found["of"] or "").casefold()
    if of in _THOUSAND and not many:
        return "1000 ct"
    if many and (not of or heading[found.end("many") :].strip(" .)]") == ""):
        return f"{many} ct" if many in ("100", "1000") else ""
    if not of or (not many and of in price_shapes.EACHES):
        return ""
    pack = f"{many or 1} {of}"
    try:
        packs.parse(pack)
    except ValueError:
        return ""
    return pack


def _better(best: dict[str, Guess], column: str, one: Guess) -> None:
    if column not in best or one.score > best[column].score:
        best[column] = one
