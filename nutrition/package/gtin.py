"""The number under a bar code: GTIN-8, GTIN-12 (UPC-A), GTIN-13 (EAN-13) and GTIN-14, with their check digit.

GS1 General Specifications, section 7.9 (standard check digit): from the right, the digits before the check digit are
weighed by 3 and 1 in turn; the check digit brings the sum to a multiple of ten.

>>> check_digit("03600029145"), check_digit("629104150021")
('2', '3')
>>> read("0 36000 29145 2").kind
'GTIN-12'
>>> read("036000291453")
Traceback (most recent call last):
nutrition.package.gtin.GtinError: 036000291453 ends in 3, and its check digit is 2; write 036000291452, or look for the
wrong digit before it
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from typing import Final

from nutrition import resources

KINDS: Final = {8: "GTIN-8", 12: "GTIN-12", 13: "GTIN-13", 14: "GTIN-14"}
_SEPARATORS: Final = re.compile(r"[ \u00a0\u202f-]+")
_LOOKS_LIKE: Final = {"O": "0", "o": "0", "l": "1", "I": "1", "S": "5", "B": "8"}


class GtinError(ValueError):
    """A text that is no GTIN.

    Args:
        what: what is wrong with it.
        mend: what to do about it.
    """

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(f"{what}; {mend}")
        self.what = what
        self.mend = mend


@dataclass(frozen=True, slots=True)
class Gtin:
    """A GTIN whose check digit is right.

    Args:
        digits: 8, 12, 13 or 14 of them.
        text: as somebody wrote it.
    """

    digits: str
    text: str = ""

    @property
    def kind(self) -> str:
        """``GTIN-12`` and the like; thirteen digits that begin with 0 are a GTIN-12 (or GTIN-8) written out.

        >>> Gtin("0036000291452").kind
        'GTIN-12'
        """
        return KINDS[len(self.shortest)]

    @property
    def shortest(self) -> str:
        """Its digits without the zeros that only fill up a longer field.

        >>> Gtin("00036000291452").shortest
        '036000291452'
        """
        full = self.digits.zfill(14)
        if len(self.digits) == 8 or full.startswith("000000"):
            return full[-8:]
        return full[-12:] if full.startswith("00") else full[-13:] if full.startswith("0") else full

    @property
    def full(self) -> str:
        """Fourteen digits, by which two are the same number.

        >>> Gtin("036000291452").full == Gtin("0036000291452").full
        True
        """
        return self.digits.zfill(14)

    @property
    def symbol(self) -> str:
        """``UPC-A``, ``EAN-13``, or nothing for a number that neither can carry."""
        return {"GTIN-12": "UPC-A", "GTIN-13": "EAN-13"}.get(self.kind, "")


def check_digit(body: str) -> str:
    """The check digit of the digits before it.

    Args:
        body: 7, 11, 12, 13 or any other number of digits.

    Raises:
        ValueError: it holds anything but digits, or nothing.

    >>> check_digit("0000000")
    '0'
    """
    if not re.fullmatch("[0-9]+", body):
        raise ValueError(f"{body!r} is no row of digits")
    weighed = sum(int(digit) * (3 if i % 2 == 0 else 1) for i, digit in enumerate(reversed(body)))
    return str(-weighed % 10)


def read(text: str) -> Gtin:
    """A GTIN out of what somebody wrote; blanks and hyphens between its digits do not matter.

    Args:
        text: 8, 12, 13 or 14 digits, the check digit last.

    Raises:
        GtinError: letters, a wrong length, or a check digit that is not the one of its digits, which is named.
    """
    written = text.strip()
    digits = _SEPARATORS.sub("", written)
    if len(digits) > 40:
        raise GtinError(f"'{written[:20]}…' is far too long for a GTIN", "it has 12 or 13 digits")
    strange = [one for one in dict.fromkeys(digits) if one not in "0123456789"]
    if strange:
        raise GtinError(f"'{written}' has more than digits in it ({', '.join(strange)})", _mend_letters(digits))
    if len(digits) not in KINDS:
        raise GtinError(f"'{written}' has {len(digits)} digits", _mend_length(digits))
    if not digits.strip("0"):
        raise GtinError(f"'{written}' is nothing but zeros", "write the number that GS1 gave you")
    right = check_digit(digits[:-1])
    if digits[-1] != right:
        what = f"{digits} ends in {digits[-1]}, and its check digit is {right}"
        raise GtinError(what, f"write {digits[:-1]}{right}, or look for the wrong digit before it")
    return Gtin(digits, text)


def _mend_letters(digits: str) -> str:
    meant = "".join(_LOOKS_LIKE.get(one, one) for one in digits)
    if re.fullmatch("[0-9]+", meant):
        return f"did you mean {meant}?"
    return "write the 12 or 13 digits that stand under the bars"


def _mend_length(digits: str) -> str:
    mend = "a pint has a GTIN of 12 digits (UPC-A) or 13 (EAN-13)"
    if len(digits) in (7, 11):
        filled = f"0{digits}"
        if len(filled) in KINDS and check_digit(filled[:-1]) == filled[-1]:
            return f"{mend}; did a spreadsheet drop its first 0? then it is {filled}"
    if len(digits) in (7, 11):
        return f"{mend}; if its check digit is missing, it is {digits}{check_digit(digits)}"
    return mend


@dataclass(frozen=True, slots=True)
class Verdict:
    """What there is to know about a GTIN on a container that is sold over a counter: one sentence, and what to do."""

    level: str
    what: str
    mend: str


def verdict(found: Gtin) -> Verdict | None:
    """Whether a GTIN can stand on a pint.

    Args:
        found: the number.

    Returns:
        An error for a number whose symbol no checkout or this drawing knows, a warning for a range that is no number
        for goods, else None.

    >>> verdict(read("10036000291459")).mend
    'the pint inside it is 036000291452'
    >>> verdict(read("036000291452")) is None
    True
    """
    digits = found.shortest
    if found.kind == "GTIN-14":
        what = f"{digits} is a GTIN-14, the number of a case, which no checkout reads"
        if digits.startswith("9"):
            return Verdict("error", what, "write the number of the pint, 12 or 13 digits")
        inside = Gtin(digits[1:13] + check_digit(digits[1:13])).shortest
        return Verdict("error", what, f"the pint inside it is {inside}")
    if found.kind == "GTIN-8":
        what = f"{digits} is a GTIN-8, for packages too small for a UPC-A or EAN-13, and its EAN-8 is not drawn here"
        return Verdict("error", what, "give the container a GTIN-12 or GTIN-13")
    thirteen = digits.zfill(13)
    for first, last, what, mend in _prefixes():
        if first <= thirteen[: len(first)] <= last:
            return Verdict("warning", f"{digits} lies in {what}", mend)
    return None


@functools.cache
def _prefixes() -> tuple[tuple[str, str, str, str], ...]:
    rows = resources.table("gs1", "prefixes.csv")
    return tuple((row["from"], row["to"], row["what"], row["mend"]) for row in rows)
