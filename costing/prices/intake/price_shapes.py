"""What the shape of a price means: the text of a cell in which every digit is a zero.

>>> one = shape("$ 0,000.00", "point")
>>> one.decimal, one.codes[0], one.per
('.', 'USD', '')
>>> shape("0.00/LB", "point").per
'1 lb'
>>> shape("call", "point") is None
True
"""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from costing.digits import UnreadableError
from costing.prices.intake.sheets import tidy
from nutrition import resources

Decimals = Literal["point", "comma", ""]

_ZEROS: Final = str.maketrans("123456789", "000000000")
_SHAPE: Final = re.compile(
    r"(?P<before>[^0]*?)(?P<number>[.,]?0(?:[0.,'\u2019 ]*0)?)(?P<dash>[.,] ?[-\u2013\u2014]+)?(?P<after>[^0]*)"
)
_TOKEN: Final = re.compile(r"[^\W\d_]*\$|[^\W\d_]+|[^\w\s]", re.UNICODE)
_GROUPED: Final = re.compile(r"0{1,3}(?:([.,'\u2019 ])000(?:(?:\1)000)*)?|0{1,2}(?:,00)+,000")
"""By thousands, or as in India: 12,34,567."""
_NOTES: Final = frozenset("*†‡.:~")
"""Signs beside a price that say nothing of it: marks of footnotes, the point of an abbreviation."""
_PER: Final = re.compile(r"(?:/|\bper\b|\bpro\b|\bpar\b|\bje\b|\ba\b)", re.IGNORECASE)
_PIECES: Final = frozenset({"", "cs", "case", "pack", "pk", "bag", "box"})
"""What a price may be for without being a weight: the pack itself."""
EACH: Final = "each"
"""What a price is for that may be for the pack or for one piece of it."""
EACHES: Final = frozenset(
    {"ea", "each", "ct", "count", "unit", "units", "un", "pc", "pcs", "pce", "piece", "stk", "stuck"}
)
"""Words for one piece, or for one pack: common practice of wholesale lists, from memory."""
OTHERS: Final = {
    "l": "1 l", "lt": "1 l", "ltr": "1 l", "liter": "1 l", "litre": "1 l", "gal": "1 gal", "gallon": "1 gal",
    "qt": "1 qt", "dz": "1 dz", "doz": "1 dz", "dozen": "1 dz", "m": "1000 ct",
}  # fmt: skip
"""What else a price may be for."""
WEIGHTS: Final = {
    "lb": "1 lb", "lbs": "1 lb", "pound": "1 lb", "pounds": "1 lb", "#": "1 lb", "kg": "1 kg", "kilo": "1 kg",
    "kgs": "1 kg", "oz": "1 oz", "100 g": "100 g", "g": "1 g", "cwt": "100 lb",
}  # fmt: skip
"""What is sold by weight, as a pack."""
LONGEST: Final = 60
"""Characters of a price; what is longer is none."""


@dataclass(frozen=True, slots=True)
class Shape:
    """What a shape means.

    Args:
        decimal: the sign before the decimals, empty where there is none.
        unclear: a single sign before three digits; it was taken for thousands or decimals as the list does elsewhere.
        start: characters before the number.
        end: characters after it.
        codes: currencies that its mark may stand for; empty without a mark.
        per: the pack that the price is for (``1 lb``), empty for the pack of the row.
    """

    decimal: str
    unclear: bool
    start: int
    end: int
    codes: tuple[str, ...]
    per: str


def of(written: str) -> str:
    """The shape of a text.

    >>> of("$1,250.75 / lb")
    '$0,000.00 / lb'
    """
    return written.translate(_ZEROS)


def decimal_shown(written: str) -> str:
    """The decimal sign that a tidy text shows; empty without one or where it is no price, ``?`` where it is unclear."""
    found = _SHAPE.fullmatch(of(written))
    return "" if found is None else decimal_sign(found["number"])


def decimal_sign(number: str) -> str:
    """The decimal sign that a number shows; empty without one, ``?`` where it could be thousands as well."""
    signs = [c for c in number if c in ".,"]
    if not signs:
        return ""
    last = signs[-1]
    after = len(number) - number.rfind(last) - 1
    if len(set(signs)) == 2:
        return last
    if len(signs) > 1:
        return {".": ",", ",": "."}[last] if after == 3 else "!"
    if after == 3 and re.fullmatch(r"0{1,3}", number[: number.rfind(last)]):
        return "?"
    return last


@functools.lru_cache(maxsize=4096)
def shape(written: str, decimals: str) -> Shape | None:
    """What a shape means; None where it is no price.

    Raises:
        UnreadableError: it is a number below zero.
    """
    found = _SHAPE.fullmatch(written)
    if found is None:
        return None
    before, number, after = found["before"].strip(), found["number"], found["after"].strip()
    start = found.start("number")
    if number[0] in ".," and before[-1:].isalpha():
        number, start = number[1:], start + 1  # "Fr.12"
    if before.startswith(("-", "\u2212", "(")) or before.endswith(("-", "\u2212")) or after.startswith("-"):
        raise UnreadableError("the price is below zero", "a credit is no price; take the row out")
    said = decimal_sign(number)
    unclear = said == "?"
    sign = next((c for c in number if c in ".,"), "")
    if unclear:
        said = sign if decimals == ("comma" if sign == "," else "point") else ""
    if said == "!":
        return None
    if said and number.count(said) > 1:
        said = ""
    whole, _, part = number.partition(said) if said and said in number else (number, "", "")
    if (whole and not (_GROUPED.fullmatch(whole) or whole.isdigit())) or (part and not part.isdigit()):
        return None
    marks, _, unit = _parted(after)
    codes = _codes(f"{before} {marks}")
    per = _per(unit)
    if codes is None or per is None:
        return None
    decimal = said if said in number else ""
    return Shape(decimal, unclear, start, len(written) - start - len(number), codes, per)


def _parted(after: str) -> tuple[str, str, str]:
    """Currency, and what the price is for, of what stands behind the number."""
    found = _PER.search(after)
    if found:
        return after[: found.start()], found[0], after[found.end() :]
    if after.strip(" .").casefold() in WEIGHTS.keys() | EACHES:
        return "", "", after
    return after, "", ""


def _per(unit: str) -> str | None:
    plain = unit.strip(" .").casefold()
    if plain in _PIECES:
        return ""
    if plain in EACHES:
        return EACH
    return WEIGHTS.get(plain) or OTHERS.get(plain)


@functools.cache
def _marks() -> Mapping[str, tuple[str, ...]]:
    return {row["mark"]: tuple(row["codes"].split()) for row in resources.table("prices", "currency_marks.csv")}


@functools.lru_cache(maxsize=1024)
def _codes(marks: str) -> tuple[str, ...] | None:
    """The currencies that marks may stand for; None where something else stands there, or two that differ."""
    found: tuple[str, ...] | None = None
    for token in _TOKEN.findall(marks.replace("\u200f", "").replace("\u200e", "")):
        if token in _NOTES:
            continue
        codes = _marks().get(token.casefold()) or _iso(token)
        if codes is None:
            return None
        both = codes if found is None else tuple(c for c in found if c in codes)
        if not both:
            return None
        found = both
    return found or ()


def _iso(token: str) -> tuple[str, ...] | None:
    from costing import money

    code = token.upper()
    return (code,) if len(code) == 3 and code.isascii() and code.isalpha() and money.known(code) else None


def currency(written: str, home: str) -> str:
    """The currency that a cell names; empty where it names none.

    >>> currency("eur", "USD"), currency("$", "CAD"), currency("each", "USD")
    ('EUR', 'CAD', '')
    """
    return code(_codes(tidy(written)) or (), home) if len(written) <= 20 else ""


def code(codes: tuple[str, ...], home: str) -> str:
    """The currency that is meant by a mark: the shop's own where the mark may stand for it.

    Args:
        codes: those that it may stand for, the usual one first.
        home: the shop's currency.

    >>> code(("USD", "CAD"), "CAD"), code(("GBP",), "USD"), code((), "USD")
    ('CAD', 'GBP', '')
    """
    return "" if not codes else home if home in codes else codes[0]
