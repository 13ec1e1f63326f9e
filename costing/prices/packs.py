"""Packs as suppliers write them: how much is in one.

``4/1 GAL``, ``12/32 fl oz``, ``case of 6 x 500 mL``, ``50#``, ``500 ct``, ``1 dz``. The words are in
``data/prices/pack_words.csv``, the sizes of the units in :mod:`costing.units`.

A slash is a puzzle of the trade: ``4/1 gal`` is four jugs of a gallon, and ``1/2 gal`` may be half a gallon
or one jug of two. Where both readings make sense the pack is refused, with the two ways to write it clearly;
a wrong guess would put every cost that follows out by a factor of four.

>>> parse("12/32 fl oz")
Pack(kind='volume', amount=11356.235352, text='12/32 fl oz')
>>> parse("50#").amount
22679.6185
>>> parse("1/2 gal")
Traceback (most recent call last):
...
ValueError: '1/2 gal' can be read in two ways; write '0.5 gal' or '1 x 2 gal'
"""

from __future__ import annotations

import functools
import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from math import gcd
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal

from nutrition import resources

if TYPE_CHECKING:
    from collections.abc import Mapping

PackKind = Literal["weight", "volume", "count"]

LONGEST = 80
"""Characters in a pack's text; a longer one is no pack."""
MOST = Fraction(10**9)
"""Grams, millilitres or pieces in a pack; more is a slip of the pen."""

_VULGAR = "½⅓⅔¼¾⅛⅜⅝⅞"
_NUMBER = rf"(?:\d+ \d+/\d+|\d+ ?[{_VULGAR}]|[{_VULGAR}]|\d+(?:\.\d+)?|\.\d+)"
_TIMES = re.compile(r"(?<![a-z.])\s*[x*@]\s*(?![a-z])")
_MEASURE = re.compile(rf"({_NUMBER})\s*-?\s*(fl oz|fluid ounces?|[a-z]+|#)\s*")
_CHAIN = re.compile(rf"^((?:\d+\s*/\s*)*)({_NUMBER})$")
_COOKS = frozenset({2, 3, 4, 8})
"""Parts that cooks write as fractions."""


@dataclass(frozen=True, slots=True)
class Pack:
    """What is in one pack.

    Args:
        kind: ``weight``, ``volume`` or ``count``.
        amount: grams, millilitres or pieces.
        text: as the supplier wrote it.
    """

    kind: PackKind
    amount: float
    text: str


@dataclass(frozen=True, slots=True)
class _Word:
    kind: str
    unit: str
    each: int


@functools.cache
def _words() -> Mapping[str, _Word]:
    rows = resources.table("prices", "pack_words.csv")
    return MappingProxyType({row["word"]: _Word(row["kind"], row["unit"], int(row["each"] or 0)) for row in rows})


def _base(word: str) -> Fraction:
    """Grams or millilitres in one unit, exactly."""
    # The units library is heavy, and a shop that counts only containers never needs it.
    from costing.unit_names import unit

    known = unit(word)
    if known is None:  # pragma: no cover - the table names only units that there are; a test holds it to that
        raise ValueError(f"'{word}' is not a unit")
    return known.factor


@functools.lru_cache(maxsize=4096)
def parse(text: str) -> Pack:
    """What is in a pack.

    Args:
        text: the pack as the supplier writes it. A plain ``oz`` is a weight.

    Returns:
        Its kind and its amount in grams, millilitres or pieces.

    Raises:
        ValueError: it cannot be read, or in two ways; the message says how to write it.

    >>> parse("1 dz").amount, parse("6 x 750 ml").amount, parse("case of 500").kind
    (12.0, 4500.0, 'count')
    """
    if len(text) > LONGEST:
        raise ValueError(f"a pack of {len(text)} characters cannot be read; {_EXAMPLES}")
    kind, amount = _read(text)
    if amount <= 0:
        raise ValueError(f"'{text}' has nothing in it; write how much is in the pack")
    if amount > MOST:
        raise ValueError(f"'{text}' is more than a pack can hold; check the number and the unit")
    return Pack(kind, float(amount), text)


_EXAMPLES = "write it like '50 lb', '4 x 1 gal', '12/32 fl oz' or '500 ct'"


def _read(text: str) -> tuple[PackKind, Fraction]:
    plain = _tidy(text)
    body, bare_count = _unwrap(plain)
    if re.search(r"#\s*\d", body):
        raise ValueError(f"'{text}' names a can size; write the net weight that is in it, such as '6 x 6 lb 10 oz'")
    if body.startswith("-"):
        raise ValueError(f"'{text}' is below nothing; {_EXAMPLES}")
    body = _thousands(text, body)
    *outer, last = _TIMES.split(body)
    count = Fraction(1)
    for group in outer:
        count *= _whole(text, group)
    measures_from = re.search(r"[a-z#]", last)
    if measures_from is None:
        if not bare_count:
            raise ValueError(f"'{text}' does not say how much of what is in it; {_EXAMPLES}")
        return "count", count * _number(text, last, bool(outer), "ct")
    if measures_from.start() == 0:
        last = f"1 {last}"  # suppliers who sell by weight write no more than "LB"
    return _measure(text, last, count, bool(outer))


def _tidy(text: str) -> str:
    plain = text.strip().lower().replace("×", "x").replace("\u2044", "/").replace("\u00a0", " ")
    plain = re.sub(r"(?<=[a-z])\.", "", plain)  # lb. and fl. oz.
    plain = re.sub(r"\s+", " ", plain).removeprefix("per ")
    return re.sub(r"\bfl ?oz\b|(?<=\d)fl ?oz\b", "fl oz", plain)


def _unwrap(plain: str) -> tuple[str, bool]:
    """Take off the name of the outer pack; whether what is left may be a bare count."""
    bare = False
    first, _, rest = plain.partition(" ")
    if rest and _kind(first) == "wrap":
        bare = rest.startswith("of ")
        plain = rest.removeprefix("of ")
    found = re.fullmatch(r"(.*[^\s/])(\s*/\s*| per | )([a-z]+)", plain)
    if found and _kind(found[3]) == "wrap" and not (found[2] == " " and re.fullmatch(r"[\d.]+", found[1])):
        return found[1], True
    return plain, bare


def _kind(word: str) -> str:
    found = _words().get(word)
    return found.kind if found else ""


def _thousands(text: str, body: str) -> str:
    if "," not in body:
        return body
    joined = re.sub(r"(?<![\d,.])\d{1,3}(?:,\d{3})+(?![\d,.])", lambda m: m[0].replace(",", ""), body)
    found = re.search(r"([a-z]+)$", joined)
    # "2,500 kg" is two and a half kilograms in half of the world, so only pieces may be written so.
    if "," in joined or (found and _kind(found[1]) != "count"):
        raise ValueError(f"'{text}' has a comma; write the number without it, with a point for decimals")
    return joined


def _whole(text: str, group: str) -> Fraction:
    product = Fraction(1)
    for one in group.split("/"):
        if not re.fullmatch(r"\s*\d{1,9}\s*", one):
            raise ValueError(f"'{text}' cannot be read as a pack; {_EXAMPLES}")
        product *= int(one)
    return product


def _number(text: str, written: str, after_times: bool, unit: str) -> Fraction:
    """The product of a chain such as ``12/32`` or ``6/1 1/2``, or a fraction where only that makes sense."""
    found = _CHAIN.match(written.strip())
    if not found:
        raise ValueError(f"'{text}' cannot be read as a pack; {_EXAMPLES}")
    outer = [int(one) for one in found[1].replace(" ", "").split("/") if one]
    size = found[2]
    if outer and re.fullmatch(r"\d+", size) and _is_cooks(outer[-1], int(size)):
        above, below = outer[-1], int(size)
        if len(outer) > 1 or not after_times:
            before = f"{outer[0]} x " if len(outer) > 1 else ""
            half = float(Fraction(above, below))
            ways = f"'{before}{half:g} {unit}' or '{before}{above} x {below} {unit}'"
            raise ValueError(f"'{text}' can be read in two ways; write {ways}")
        return Fraction(above, below)
    product = _plain(text, size)
    for one in outer:
        product *= one
    return product


def _is_cooks(above: int, below: int) -> bool:
    return below in _COOKS and 0 < above < below and gcd(above, below) == 1


def _plain(text: str, written: str) -> Fraction:
    whole, _, part = written.partition(" ")
    if "/" in part:
        above, below = (int(one) for one in part.split("/"))
        if below == 0:
            raise ValueError(f"'{text}' divides by zero; {_EXAMPLES}")
        return int(whole) + Fraction(above, below)
    written = written.replace(" ", "")
    if written[-1] in _VULGAR:
        return Fraction(written[:-1] or "0") + Fraction(unicodedata.numeric(written[-1])).limit_denominator(8)
    return Fraction(written)


def _measure(text: str, last: str, count: Fraction, after_times: bool) -> tuple[PackKind, Fraction]:
    """``32 fl oz``, or several measures of one kind in a row (``2 lb 4 oz``)."""
    start = re.match(rf"(?:\d+\s*/\s*)*{_NUMBER}\s*-?\s*(fl oz|fluid ounces?|[a-z]+|#)\s*", last)
    if not start:
        raise ValueError(f"'{text}' cannot be read as a pack; {_EXAMPLES}")
    unit = start[1]
    number = re.sub(rf"\s*-?\s*{re.escape(unit)}\s*$", "", start[0])
    kind, one = _unit(text, unit)
    chain = _CHAIN.match(number.strip())
    amount = _number(text, number, after_times, unit) * one
    position = start.end()
    while position < len(last):
        more = _MEASURE.match(last, position)
        if not more:
            raise ValueError(f"'{text}' cannot be read as a pack; {_EXAMPLES}")
        more_kind, more_one = _unit(text, more[2])
        if more_kind != kind or more_one >= one:
            raise ValueError(f"'{text}' cannot be read as a pack; {_EXAMPLES}")
        # In "6/2 lb 4 oz" the six counts the ounces too.
        times = 1
        for outer in (chain[1] if chain else "").replace(" ", "").split("/"):
            times *= int(outer or 1)
        amount += _plain(text, more[1]) * more_one * times
        position = more.end()
    return kind, count * amount


def _unit(text: str, written: str) -> tuple[PackKind, Fraction]:
    word = _words().get(written)
    if word is None or word.kind == "wrap":
        known = "it does not say how much is in one" if word else f"'{written}' is not a unit of packs"
        raise ValueError(f"'{text}': {known}; {_EXAMPLES}")
    if word.kind == "count":
        return "count", Fraction(word.each)
    return ("weight" if word.kind == "weight" else "volume"), _base(word.unit)
