"""Lengths, sizes and areas of labels as a printer or a shop writes them: text in, inches out.

Inches, because that is what 21 CFR 101.1 and 101.7 count in. What cannot be read is refused with
:class:`~costing.digits.UnreadableError`, which says what is wrong and how to write it instead.

>>> size("11.4 in x 3.3 in").width_in, round(size("290 x 84 mm").height_in, 4)
(11.4, 3.3071)
>>> length('3 5/8"').inches
3.625
>>> length("3.6")
Traceback (most recent call last):
costing.digits.UnreadableError: '3.6' has no unit; write 3.6 in or 3.6 cm

An inch is 2.54 cm (NIST Handbook 44, appendix C), out of ``data/kitchen/units.txt``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from costing.digits import NUMBER, UnreadableError, clean, no_comma, value_of
from costing.unit_names import length_unit

LEAST_IN: Final = 0.1
MOST_IN: Final = 60.0
"""No label of a food container is smaller or larger, in inches."""

_ONE: Final = re.compile(rf"({NUMBER}) ?([^0-9]*)")
_TIMES: Final = re.compile(r" ?[x×X*] ?| by ")
_MARKS: Final = str.maketrans({"″": '"', "”": '"'})
_AREA: Final = re.compile(r"(?:sq|square) (.+)|(.+?) ?(?:²|\^?2|sq|squared)")


@dataclass(frozen=True, slots=True)
class Length:
    """A length as written: inches, and the text."""

    inches: float
    text: str


@dataclass(frozen=True, slots=True)
class Size:
    """Width and height as written: inches, and the text."""

    width_in: float
    height_in: float
    text: str


@dataclass(frozen=True, slots=True)
class Area:
    """An area as written: square inches, and the text."""

    sq_in: float
    text: str


def length(text: object) -> Length:
    """One length.

    Args:
        text: ``3.6 in``, ``3 5/8"``, ``92 mm``, ``9.2 cm``.

    Raises:
        UnreadableError: it is no length, has no unit, or no label is that small or large.

    >>> length("2.54 cm").inches
    1.0
    """
    if isinstance(text, Length):
        return text
    plain = _clean(text, "3.6 in")
    value, unit = _split(plain, plain, "3.6 in or 92 mm")
    return Length(_bounded(value, unit, plain), str(text).strip())


def size(text: object) -> Size:
    """Width and height, the width first; where only the last has a unit, it is the unit of both.

    Args:
        text: ``11.4 in x 3.3 in``, ``290 x 84 mm``.

    Raises:
        UnreadableError: it is none.

    >>> size('11 1/2" × 3 1/4"').width_in
    11.5
    """
    if isinstance(text, Size):
        return text
    plain = _clean(text, "11.4 in x 3.3 in")
    ends = [one.strip() for one in _TIMES.split(plain)]
    if len(ends) != 2 or not all(ends):
        raise UnreadableError(f"'{plain}' is not a width and a height", "write it as 11.4 in x 3.3 in")
    example = "11.4 in x 3.3 in"
    high, unit = _split(ends[1], plain, example)
    wide, own = _split(ends[0], plain, example, unit)
    return Size(_bounded(wide, own, plain), _bounded(high, unit, plain), str(text).strip())


def area(text: object) -> Area:
    """An area.

    Args:
        text: ``12 sq in``, ``77 cm2``, ``77 sq cm``.

    Raises:
        UnreadableError: it is none, or no label is that small or large.

    >>> round(area("77 cm²").sq_in, 3)
    11.935
    """
    if isinstance(text, Area):
        return text
    plain = _clean(text, "12 sq in")
    found = _ONE.fullmatch(plain)
    # The exponent of "cm2" is no digit of the number, so it is looked for behind the first blank or letter.
    number = re.match(rf"({NUMBER}) ?(.*)", plain)
    squared = _AREA.fullmatch(number[2].strip().replace(".", "")) if number else None
    unit = None if squared is None else length_unit(squared[1] or squared[2])
    if number is None or unit is None:
        example = f"{found[1]} sq in" if found and not found[2] else "12 sq in"
        raise UnreadableError(f"'{plain}' is not an area", f"write it as {example}")
    inch = _inch()
    value = float(value_of(number[1]) * (unit.factor / inch) ** 2)
    if not LEAST_IN**2 <= value <= MOST_IN**2:
        raise UnreadableError(f"'{plain}' is no area of a label", "check the number and its unit")
    return Area(value, str(text).strip())


def _clean(text: object, example: str) -> str:
    if not isinstance(text, str):
        raise UnreadableError("this must be a plain text", f"write it as {example}")
    plain = clean(text.translate(_MARKS))
    no_comma(plain)
    return plain


def _split(one: str, whole: str, example: str, usual: str = "") -> tuple[Fraction, str]:
    found = _ONE.fullmatch(one.strip())
    if found is None:
        raise UnreadableError(f"'{whole}' is not a length", f"write it as {example}")
    unit = found[2].strip() or usual
    if not unit:
        raise UnreadableError(f"'{whole}' has no unit", f"write {found[1]} in or {found[1]} cm")
    return value_of(found[1]), unit


def _bounded(value: Fraction, written: str, whole: str) -> float:
    known = length_unit("in" if written == '"' else written)
    if known is None:
        raise UnreadableError(f"'{whole}' is not in a unit of length ('{written}')", "write in, cm or mm")
    inches = float(value * known.factor / _inch())
    if not LEAST_IN <= inches <= MOST_IN:
        raise UnreadableError(f"'{whole}' is no size of a label", "check the number and its unit")
    return inches


def _inch() -> Fraction:
    inch = length_unit("inch")
    assert inch is not None
    return inch.factor
