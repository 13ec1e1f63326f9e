"""Packs as suppliers write them, turned into words that the shop's own price lists use.

What :func:`costing.prices.packs.parse` reads is left as it stands. What it refuses, because out of its list a comma
could mean anything, is settled here by what the list does elsewhere.

>>> plain("2,5 kg", "comma"), plain("CS 12x32oz", "point"), plain("2/10# AVG", "point")
('2.5 kg', 'CS 12x32oz', '2/10#')
>>> joined("12", "32 OZ", "", "point")
'12 x 32 OZ'
"""

from __future__ import annotations

import functools
import re
from typing import Final

from costing.digits import UnreadableError
from costing.prices import packs
from costing.prices.intake import price_shapes

_LARGE: Final = frozenset({"kg", "kgs", "kilo", "l", "lt", "ltr", "liter", "litre", "lb", "lbs", "#", "gal", "qt"})
"""Units of which nobody packs thousands: "2,500 kg" is more likely two and a half."""
_ABOUT: Final = re.compile(
    r"\b(?:avg|av|average|approx|approximately|about|ca|circa|rw|random weight|catch ?weight|net wt|net)\b\.?|~|\u00b1",
    re.IGNORECASE,
)
_COMMA: Final = re.compile(r"(?<![\d.,])(\d+)([.,])(\d+)(?![\d.,])")
_UNIT_BEHIND: Final = re.compile(r"\s*([a-z#]+)", re.I)
_INSIDE: Final = re.compile(
    r"(?<![\w./,])((?:\d+\s*(?:/|x|\u00d7|\*)\s*)*\d+(?:[.,]\d+)?\s*-?\s*(?:fl\.? ?oz|[a-z]{1,7}\.?|#))(?![\w%])", re.I
)
_PRICED_BY: Final = re.compile(r"(?P<per>per|je|pro|par|/)?\s*(?P<many>\d{1,4}|1[.,]000)?\s*(?P<of>[^\W\d_]{1,9}|#)\.?")
_PLAIN_NUMBER: Final = re.compile(r"\d+(?:[.,]\d+)?")


@functools.lru_cache(maxsize=8192)
def plain(written: str, decimals: str) -> str:
    """A pack in words that the shop's price lists use.

    Args:
        written: as it stands on the list.
        decimals: the sign before decimals on this list: ``point``, ``comma``, or empty where nobody knows.

    Returns:
        The text, which :func:`costing.prices.packs.parse` reads.

    Raises:
        UnreadableError: it cannot be read, or in two ways.
    """
    bare = " ".join(_ABOUT.sub(" ", written).split())
    settled = _COMMA.sub(lambda m: _settled(m, decimals), bare)
    # Where commas are for decimals, "1.000 g" must not be read as one gram.
    tried = dict.fromkeys((settled,) if decimals == "comma" else (written, bare, settled))
    first: ValueError | None = None
    for text in tried:
        try:
            packs.parse(text)
        except ValueError as wrong:
            first = first or wrong
        else:
            return text
    if written.endswith(" each"):
        what = f"'{written}' may be the whole pack or one piece of it"
        raise UnreadableError(what, f"write the one that is meant, such as '{written.removesuffix(' each')}'")
    what, _, mend = str(first).partition("; ")
    raise UnreadableError(f"pack {what}", mend)


def _settled(found: re.Match[str], decimals: str) -> str:
    """A number with one sign in it, with a point for decimals and nothing for thousands."""
    whole, sign, part = found[1], found[2], found[3]
    if len(part) != 3 or len(whole) > 3 or whole == "0":
        return f"{whole}.{part}"  # no thousands look like that
    if decimals == ("comma" if sign == "," else "point"):
        return f"{whole}.{part}"
    unit = _UNIT_BEHIND.match(found.string, found.end())
    if not decimals or (unit and unit[1].casefold() in _LARGE):
        return found[0].replace(".", ",")  # left so that it is refused
    return f"{whole}{part}"


def joined(count: str, size: str, unit: str, decimals: str) -> str:
    """A pack out of several columns.

    Args:
        count: how many are in it (``12``), may be empty.
        size: how large one is (``32 OZ``, or ``32`` where the unit has a column).
        unit: the unit of the size, may be empty.
        decimals: as for :func:`plain`.

    Returns:
        The pack, not yet tried.
    """
    if size and unit and _PLAIN_NUMBER.fullmatch(size):
        size = f"{size} {unit}"
    elif not size and unit:
        size = unit
    if not count or not size:
        return size or count
    if not any(c.isdigit() for c in size) and _PLAIN_NUMBER.fullmatch(count):
        return f"{count} {size}"  # "15" beside "DZ"
    if not count.isdigit():
        whole = re.fullmatch(r"(\d+)(?:[.,]0+)?(?:\s*[a-z]+\.?)?", count, re.IGNORECASE)
        if whole is None:
            return f"{count} x {size}"
        count = whole[1]
    if count == "1":
        return size
    # "12 x 1/2 gal" is what both columns say together.
    return f"{count} x {plain_size(size, decimals)}"


@functools.lru_cache(maxsize=4096)
def several(pack: str, decimals: str) -> bool:
    """Whether a pack holds several pieces, so that a price for "each" may be for one of them.

    >>> several("12/3 lb", "point"), several("500 ct", "point"), several("1/50#", "point"), several("50 lb", "point")
    (True, True, False, False)
    """
    try:
        kind = packs.parse(plain(pack, decimals))
    except (UnreadableError, ValueError):
        return False
    outer = re.match(r"(?:[a-z]+\s+)?(?:of\s+)?(\d+)\s*(?:/|x|\u00d7|\*)", pack, re.IGNORECASE)
    return (kind.kind == "count" and kind.amount > 1) or (outer is not None and outer[1] != "1")


def plain_size(size: str, decimals: str) -> str:
    """A size with its comma settled, where it has one."""
    return _COMMA.sub(lambda m: _settled(m, decimals), size) if "," in size else size


@functools.lru_cache(maxsize=1024)
def priced_by(unit: str, decimals: str) -> str:
    """What a price is for, where its unit is no pack: a weight, or so much of something; else empty.

    Args:
        unit: as it stands beside the pack: ``LB``, ``100 kg``, ``per 1000 ct``; ``CS`` and ``5 L`` speak of the pack.
        decimals: as for :func:`plain`.

    >>> priced_by("LB", "point"), priced_by("je 100 kg", "comma"), priced_by("CS", "point")
    ('1 lb', '100 kg', '')
    """
    bare = unit.casefold().strip(" ./")
    weight = price_shapes.WEIGHTS.get(bare)
    if weight is not None:
        return weight
    found = _PRICED_BY.fullmatch(bare)
    if found is None:
        return ""
    number, of = found["many"] or "1", found["of"]
    many = re.sub(r"[.,](?=000$)", "", number)
    weight = price_shapes.WEIGHTS.get(of)
    if weight is not None and many == "1":
        return weight
    if not found["per"] and many not in ("100", "1000"):
        return ""
    try:
        return plain(f"{many} {of}", decimals)
    except UnreadableError:
        return ""


@functools.lru_cache(maxsize=8192)
def inside(item: str, decimals: str) -> str:
    """The pack that stands in the name of an item, the last that can be read; empty where there is none.

    >>> inside("Heavy cream 36% 12/32 oz UHT", "point")
    '12/32 oz'
    """
    for found in reversed(_INSIDE.findall(item)):
        try:
            return plain(" ".join(found.split()), decimals)
        except UnreadableError:
            continue
    return ""
