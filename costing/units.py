"""Amounts as cooks write them: text in, a value in base units out.

Every parser takes the text of one entry and gives a :class:`~costing.amounts.Figure` or an
:class:`~costing.amounts.Amount`; what it cannot read it refuses with :class:`~costing.digits.UnreadableError`, which
says what is wrong and how to write it instead. Weights come back in g, volumes in mL, times in s, temperatures in
degrees C, shares from 0 to 1.

>>> amount("2 lb 4 oz").figure.mid
1020.5828325
>>> amount("1 1/2 cups").figure.mid
354.88235475
>>> round(share("38 % to 46 %").mid, 9)
0.42
>>> weight("350")
Traceback (most recent call last):
costing.digits.UnreadableError: '350' has no unit; write 350 g, not 350

The definitions lie in ``data/kitchen/units.txt`` and are read, exactly, by the ``pint`` library when the first amount
is parsed (source: NIST Handbook 44, Appendix C).
"""

from __future__ import annotations

import difflib
import re
from fractions import Fraction
from typing import Final

from costing.amounts import Amount, Figure, Kind
from costing.digits import BARE, NUMBER, UnreadableError, clean, no_comma, value_of
from costing.unit_names import names, scales, singular, unit

MOST: Final = 1e9
"""No kitchen holds more: a thousand tonnes in g, a million litres in mL."""
MOST_COUNTED: Final = 1e6
YEAR: Final = 365 * 86400.0

_EXAMPLE: Final = "write a number with its unit, such as 350 g or 2 cups"
_TERM: Final = re.compile(rf"\s*({NUMBER})\s*([^0-9]*)")
_HYPHEN_RANGE: Final = re.compile(rf"({NUMBER}) ?- ?({NUMBER}) ?([^0-9]+)")
_NAME: Final = re.compile(r"[^\W\d_][\w '\u2019-]*")
_BRIX: Final = re.compile(r"(?:°\s*)?(?:brix|bx)", re.IGNORECASE)
_TO_BRIX: Final = re.compile(r"(.*?)\s*(?:°\s*)?(?:brix|bx)", re.IGNORECASE)
_OF_POT: Final = re.compile(r"(.*%) of (?:the )?(?:finished )?pot", re.IGNORECASE)


def _terms(text: str, whole: str) -> list[tuple[Fraction, str]]:
    """Numbers with what follows each: ``2 lb 4 oz`` gives two."""
    found: list[tuple[Fraction, str]] = []
    at = 0
    while at < len(text):
        match = _TERM.match(text, at)
        if match is None:
            raise _refusal(whole)
        found.append((value_of(match[1]), match[2].strip()))
        at = match.end()
    return found


def _refusal(whole: str) -> UnreadableError:
    if whole.lstrip().startswith("-"):
        return UnreadableError(f"'{whole}' is below zero", "write an amount of 0 or more")
    return UnreadableError(f"'{whole}' is not an amount", _EXAMPLE)


def _range(text: str) -> tuple[str, str] | None:
    """The two ends of a range, None for a single amount; a lone low number takes the unit of the high end."""
    left, to, right = text.partition(" to ")
    if not to:
        # "1-1/2 cups" is one and a half, so what can be read as one number is one.
        hyphen = None if _TERM.fullmatch(text) else _HYPHEN_RANGE.fullmatch(text)
        if hyphen is None:
            return None
        left, right = hyphen[1], f"{hyphen[2]} {hyphen[3]}"
    left, right = left.strip(), right.strip()
    if BARE.fullmatch(left):
        term = _TERM.fullmatch(right)
        if term is None:
            raise UnreadableError(
                f"'{text}' is not a range", "write both ends with their unit, such as 1.1 kg to 1.3 kg"
            )
        left = f"{left} {term[2]}"
    return left, right


def _measured(text: str, whole: str, usual: str) -> tuple[str, Fraction, str]:
    """One quantity, all its terms added up: kind of unit (or ``share``, ``named``), base units, unit as written."""
    total = Fraction(0)
    kind = label = ""
    for value, written in _terms(text, whole):
        if not written:
            mend = f"write {whole} {usual}, not {whole}" if BARE.fullmatch(whole) else _EXAMPLE
            if usual == "%" and BARE.fullmatch(whole) and 0 < value <= 1:
                # A spreadsheet has 3 % as 0.03; nobody but the writer knows which of them is meant.
                mend = (
                    f"write {float(value * 100):g} % if that share of the whole is meant, or {whole} % if so little is"
                )
            raise UnreadableError(f"'{whole}' has no unit", mend)
        this, factor, name = _unit_of(written, whole)
        if kind and (this != kind or this in ("share", "named")):
            raise UnreadableError(
                f"'{whole}' mixes things that cannot be added", "write one amount in one kind of unit"
            )
        kind, label = this, label or name
        total += value * factor
    if total > (MOST_COUNTED if kind in ("count", "named") else MOST):
        raise UnreadableError(f"'{whole}' is more than any kitchen holds", "check the number and its unit")
    return kind, total, label


def _unit_of(written: str, whole: str) -> tuple[str, Fraction, str]:
    if written == "%":
        return "share", Fraction(1, 100), "%"
    known = unit(written)
    if known is not None:
        label = written if known.kind == "volume" else "each" if known.kind == "count" else known.name
        return known.kind, known.factor, label
    first, _, rest = written.strip().partition(" ")
    measure = unit(first)
    if measure is None and rest:
        second, _, more = rest.strip().partition(" ")
        measure, rest = unit(f"{first} {second}"), more
    if measure is not None and measure.kind == "volume" and rest.strip():
        # "1 cup chopped": the words choose among the food's own measures.
        return "volume", measure.factor, f"{measure.name}, {rest.strip()}"
    if measure is not None or not _NAME.fullmatch(written) or len(written) < 3:
        near = difflib.get_close_matches(written.casefold(), names(), 1, 0.5)
        mend = f"did you mean {near[0]}?" if near else _EXAMPLE
        raise UnreadableError(f"'{whole}' has no unit that can be read ('{written}')", mend)
    return "named", Fraction(1), singular(written)


def _quantity(text: str, usual: str = "g") -> tuple[str, Figure, str]:
    """Kind, figure in base units, and unit of an amount or a range of them."""
    plain = clean(text)
    no_comma(plain)
    left, right = _range(plain) or (plain, "")
    kind, low, label = _measured(left, plain, usual)
    high = low
    if right:
        other, high, other_label = _measured(right, plain, usual)
        if kind != other or (kind == "named" and label != other_label):
            raise UnreadableError(
                f"'{plain}' runs between different kinds of unit", "write both ends in one kind of unit"
            )
        if high < low:
            raise UnreadableError(f"'{plain}' runs backwards", "write the smaller end first")
    return kind, Figure(float(low), float(high), text.strip()), label


def _of_kind(
    text: object, kinds: tuple[str, ...], what: str, example: str, usual: str = "g"
) -> tuple[str, Figure, str]:
    kind, figure, label = _quantity(text if isinstance(text, str) else clean(text), usual)
    if kind not in kinds:
        raise UnreadableError(f"'{figure.text}' is not {what}", f"write it as {example}")
    return kind, figure, label


_KINDS: Final = {
    "mass": Kind.WEIGHT,
    "volume": Kind.VOLUME,
    "count": Kind.COUNT,
    "named": Kind.COUNT,
    "share": Kind.SHARE,
}


def _as_amount(kind: str, figure: Figure, label: str) -> Amount:
    if kind == "share":
        _at_most_whole(figure)
    return Amount(_KINDS[kind], figure, label if kind in ("volume", "count", "named") else "")


def _at_most_whole(figure: Figure, most: float = 1.0) -> Figure:
    if figure.high > most:
        raise UnreadableError(
            f"'{figure.text}' is more than {most * 100:g} %", f"write a share from 0 % to {most * 100:g} %"
        )
    return figure


def amount(text: object) -> Amount:
    """Anything that may go into a pot: a weight, a measure, a count, a share of a part, ``all``, a share of the pot.

    Args:
        text: ``350 g``, ``1 1/2 cups``, ``8 fl oz``, ``3 each``, ``12 leaves``, ``50 %``, ``all``, ``0.3 % of pot``,
            ``up to 2 kg``; weights, measures, counts and shares may be ranges.

    Returns:
        The amount in base units of its kind.

    Raises:
        UnreadableError: it is none of these.

    >>> amount("12 leaves").unit, amount("0.3 % of pot").kind, amount("up to 2 kg").figure.mid
    ('leaf', <Kind.OF_POT: 'of pot'>, 2000.0)
    """
    if isinstance(text, Amount):
        return text
    plain = clean(text)
    low = plain.casefold()
    written = str(text).strip()
    if low == "all":
        return Amount(Kind.ALL, Figure(1.0, 1.0, written))
    if low.startswith("up to "):
        _, figure, _ = _of_kind(plain[6:], ("mass",), "a weight", "up to 2 kg")
        return Amount(Kind.UP_TO, Figure(figure.low, figure.high, written))
    if found := _OF_POT.fullmatch(plain):
        figure = share(found[1])
        if figure.high >= 1:
            raise UnreadableError(f"'{plain}' leaves no room for anything else", "write less than 100 % of pot")
        return Amount(Kind.OF_POT, Figure(figure.low, figure.high, written))
    kind, figure, label = _quantity(str(text))
    if kind not in _KINDS:
        raise UnreadableError(f"'{plain}' is not an amount of a thing", _EXAMPLE)
    return _as_amount(kind, figure, label)


def weight(text: object) -> Figure:
    """A weight, in g.

    >>> weight("1.1 to 1.3 kg").high
    1300.0
    """
    if isinstance(text, Figure):
        return text
    return _of_kind(text, ("mass",), "a weight", "350 g, 1.2 kg or 2 lb 4 oz")[1]


def volume(text: object) -> Figure:
    """A volume, in mL.

    >>> volume("1 pint").mid
    473.176473
    """
    if isinstance(text, Figure):
        return text
    return _of_kind(text, ("volume",), "a volume", "1 pint, 8 fl oz or 3 L", "mL")[1]


def share(text: object) -> Figure:
    """A share, 0 to 1, written in percent.

    >>> share("12 %").mid
    0.12
    """
    if isinstance(text, Figure):
        return text
    return _at_most_whole(_of_kind(text, ("share",), "a share", "50 %", "%")[1])


def ratio(text: object) -> Figure:
    """A share that may pass the whole, up to 1000 %: overrun, uptake, liquid held, overhead on labour.

    >>> ratio("120 %").mid
    1.2
    """
    if isinstance(text, Figure):
        return text
    return _at_most_whole(_of_kind(text, ("share",), "a share", "30 %", "%")[1], 10.0)


def share_or_weight(text: object) -> Amount:
    """A share (0 to 1) or a weight (g).

    >>> share_or_weight("2 %").kind
    <Kind.SHARE: 'share'>
    """
    if isinstance(text, Amount):
        return text
    return _as_amount(*_of_kind(text, ("share", "mass"), "a share or a weight", "12 % or 350 g", "%"))


def weight_or_volume(text: object) -> Amount:
    """A weight (g) or a volume (mL).

    >>> weight_or_volume("473 mL").figure.mid
    473.0
    """
    if isinstance(text, Amount):
        return text
    return _as_amount(*_of_kind(text, ("mass", "volume"), "a weight or a volume", "350 g or 473 mL"))


def target(text: object) -> Amount:
    """How far something is cooked down: a share, a share by volume, a weight, or a Brix.

    >>> target("50 % by volume").kind, target("65 Brix").figure.mid
    (<Kind.VOLUME_SHARE: 'volume share'>, 65.0)
    """
    if isinstance(text, Amount):
        return text
    plain = clean(text)
    written = str(text).strip()
    if plain.casefold().endswith(" by volume"):
        figure = share(plain[: -len(" by volume")])
        kind = Kind.VOLUME_SHARE
    elif found := _TO_BRIX.fullmatch(plain):
        # A Brix is grams in 100 g, so it can be read as a percentage.
        if not found[1].strip()[:1].isdigit():
            raise UnreadableError(f"'{plain}' is not a Brix", "write it as 65 Brix")
        figure = share(_BRIX.sub("%", found[1]) + " %")
        if figure.high >= 1:
            raise UnreadableError(f"'{plain}' leaves no water at all", "write a Brix below 100, such as 65 Brix")
        kind, figure = Kind.BRIX, Figure(figure.low * 100, figure.high * 100)
    else:
        example = "50 %, 50 % by volume, 900 g or 65 Brix"
        return _as_amount(*_of_kind(text, ("share", "mass"), "a point to cook down to", example, "%"))
    return Amount(kind, Figure(figure.low, figure.high, written))


def duration(text: object) -> Figure:
    """A time, in s.

    >>> duration("1 h 30 min").mid
    5400.0
    """
    if isinstance(text, Figure):
        return text
    figure = _of_kind(text, ("time",), "a time", "25 s, 12 min or 1 h 30 min", "min")[1]
    if figure.high > YEAR:
        raise UnreadableError(f"'{figure.text}' is longer than a year", "check the number and its unit")
    return figure


def temperature(text: object) -> Figure:
    """A temperature, in degrees C; it may be below zero.

    >>> temperature("212 F").mid
    100.0
    """
    if isinstance(text, Figure):
        return text
    plain = clean(text)
    no_comma(plain)
    left, to, right = plain.partition(" to ")
    ends = []
    for end in (left, right) if to else (left,):
        found = re.fullmatch(rf"(-?) ?({NUMBER}) ?(\D*)", end.strip())
        if found is None:
            raise UnreadableError(f"'{plain}' is not a temperature", "write it as 175 F or 80 C")
        written = found[3] or (right.lstrip("-0123456789./ ") if to else "")
        if not written:
            raise UnreadableError(f"'{plain}' has no unit", f"write {plain} F or {plain} C")
        known = unit(written)
        scale = scales().get(known.name) if known else None
        if scale is None:
            raise UnreadableError(f"'{plain}' is not a temperature", "write it as 175 F or 80 C")
        value = -value_of(found[2]) if found[1] else value_of(found[2])
        ends.append(float(scale[0] + value * (scale[1] - scale[0])))
    low, high = ends[0], ends[-1]
    if high < low:
        raise UnreadableError(f"'{plain}' runs backwards", "write the colder end first")
    if low < -200 or high > 500:
        raise UnreadableError(f"'{plain}' is a temperature that no kitchen reaches", "check the number and its unit")
    return Figure(low, high, str(text).strip())
