"""Numbers as people write them: fractions, mixed numbers, odd spaces; and the error for what cannot be read.

>>> float(number("1½"))
1.5
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

LONGEST_TEXT: Final = 200

_VULGAR: Final = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
    "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_CLEANER: Final = str.maketrans(
    {sign: f" {plain}" for sign, plain in _VULGAR.items()}
    | dict.fromkeys("\u00a0\u2007\u2008\u2009\u200a\u202f\t\n\r", " ")
    | {"\u2044": "/", "\u2212": "-", "\u2010": "-", "\u2011": "-", "\u2013": " to ", "\u2014": " to ", "\uff05": "%"}
)
NUMBER: Final = r"[0-9]+(?: ?- ?| )[0-9]+ ?/ ?[0-9]+|[0-9]+ ?/ ?[0-9]+|[0-9]+\.[0-9]*|\.[0-9]+|[0-9]+"
"""The pattern of a number, for patterns that hold one."""
BARE: Final = re.compile(rf"(?:{NUMBER})")
_THOUSANDS: Final = re.compile(r"[0-9],[0-9]{3}(?![0-9])")
_COMMA: Final = re.compile(r"[0-9],[0-9]|,[0-9]+ *[a-zA-Z%]")


class UnreadableError(ValueError):
    """A text that gives no value.

    Args:
        what: what is wrong with it.
        mend: how to write it instead.
    """

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(f"{what}; {mend}")
        self.what = what
        self.mend = mend


def clean(text: object) -> str:
    """The text with ordinary spaces, hyphens and fractions.

    Raises:
        UnreadableError: it is no text, it is empty, or it is far too long.

    >>> clean("1½ cups")
    '1 1/2 cups'
    """
    if not isinstance(text, str):
        raise UnreadableError(f"{_shown(text)} is not an amount", "write a number with its unit, such as 350 g")
    plain = " ".join(text[: LONGEST_TEXT + 1].translate(_CLEANER).split())
    if not plain:
        raise UnreadableError("there is no value", "write one, or take the line out")
    if len(plain) > LONGEST_TEXT:
        raise UnreadableError(
            f"'{plain[:40]}…' is too long for an amount", "write a number with its unit, such as 350 g"
        )
    return plain


def _shown(value: object) -> str:
    if isinstance(value, dict):
        return "a group of entries"
    if isinstance(value, (list, tuple)):
        return "a list"
    return f"'{value}'"


def number(text: str) -> Fraction:
    """A plain number: ``3``, ``0.5``, ``1/2``, ``1 1/2``.

    Raises:
        UnreadableError: it is none, or it is below zero, or written with a comma.

    >>> float(number("1 1/2"))
    1.5
    """
    plain = clean(text)
    no_comma(plain)
    if not BARE.fullmatch(plain):
        if plain.startswith("-") and BARE.fullmatch(plain[1:].strip()):
            raise UnreadableError(f"'{plain}' is below zero", "write 0 or more")
        raise UnreadableError(f"'{plain}' is not a number", "write digits, with a point for decimals, such as 1.5")
    return value_of(plain)


def value_of(digits: str) -> Fraction:
    """The value of what the number pattern found."""
    if "/" not in digits:
        return Fraction(digits.rstrip(".") if digits.endswith(".") else digits)
    front, _, below = digits.replace(" /", "/").replace("/ ", "/").rpartition("/")
    whole, _, above = front.replace("-", " ").rpartition(" ")
    if int(below) == 0 or (whole and int(above) >= int(below)):
        raise UnreadableError(f"'{digits}' is not a fraction", "write it as 1 1/2, or with a point: 1.5")
    return int(whole or 0) + Fraction(int(above), int(below))


def no_comma(plain: str) -> None:
    """Refuse a comma inside a number, which means a point in some countries and nothing in others.

    Raises:
        UnreadableError: there is one.
    """
    if _COMMA.search(plain):
        raise UnreadableError(f"'{plain}' has a comma in its number", comma_mend(plain))


def comma_mend(plain: str) -> str:
    """How to write a number that has a comma.

    >>> comma_mend("1,5 kg")
    'write 1.5 kg with a point'
    """
    point = plain.replace(",", ".", 1)
    if _THOUSANDS.search(plain):
        return f"write {plain.replace(',', '', 1)} without the comma, or {point} if a decimal point was meant"
    return f"write {point} with a point"
