"""Parsers for the entries of a shop that are no amounts: money, fees, labour, names, yes and no.

Each takes what the YAML reader gives (text, lists, mappings of text) and gives a value, or refuses with
:class:`~costing.digits.UnreadableError`.

>>> money("21.50 USD", "USD")
21.5
>>> fees("2.9 % + 0.30")
(0.029, 0.3)
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, Final, Literal

from costing import units
from costing.amounts import Amount, Figure, Kind, Labour, SubIngredient
from costing.digits import UnreadableError, clean, number

MOST_MONEY: Final = 1e9
UNDECIDED: Final = "?"
"""Stands for a food record that is yet to be chosen."""

_CODE: Final = r"([A-Za-z]{3})"
_MONEY: Final = re.compile(rf"(?:{_CODE} ?)?(-? ?[0-9.,/ ]+?) ?(?:{_CODE})?")
_PER: Final = re.compile(r"(.*?)(?: ?/ ?| (?:per|an?) )(hour|hr?|month|mo|kg|kilo|kilogram)", re.IGNORECASE)
_LABOUR: Final = re.compile(r"(.*?) (?:per|an?|each) (batch|run|container)", re.IGNORECASE)
_YES: Final = {"yes": True, "true": True, "y": True, "on": True, "no": False, "false": False, "n": False, "off": False}


def money(text: object, currency: str = "") -> float:
    """An amount of money in the shop's currency.

    Args:
        text: ``11.00``, ``11.00 USD``.
        currency: the shop's currency; another one in the text is refused. Empty: any code is taken.

    Returns:
        The amount, with all its decimals.

    Raises:
        UnreadableError: it is no amount of money, it is below zero, absurd, or in another currency.

    >>> money("6.40")
    6.4
    """
    if isinstance(text, (int, float)) and not isinstance(text, bool):
        return _bounded(float(text), str(text))
    plain = clean(text)
    bare = re.sub(r"[$€£¥₹₩₽₺₴₪฿₫₱]", "", plain)
    if bare != plain:
        raise UnreadableError(
            f"'{plain}' has a currency sign", f"write {bare.strip()}; money is in the shop's currency"
        )
    found = _MONEY.fullmatch(plain)
    if found is None or (found[1] and found[3]):
        raise UnreadableError(f"'{plain}' is not an amount of money", "write a number, such as 11.00")
    code = (found[1] or found[3] or "").upper()
    if code and currency and code != currency:
        raise UnreadableError(f"'{plain}' is not in {currency}, the shop's currency", f"write it in {currency}")
    return _bounded(float(number(found[2].strip())), plain)


def _bounded(value: float, text: str) -> float:
    if not 0 <= value <= MOST_MONEY:
        what = "below zero" if value < 0 else "more than any shop turns over"
        raise UnreadableError(f"'{text}' is {what}", "write 0 or more; check the number")
    return value


def _money_per(text: object, currency: str, wanted: tuple[str, ...], example: str) -> float:
    if isinstance(text, (int, float)) and not isinstance(text, bool):
        return _bounded(float(text), str(text))
    plain = clean(text)
    found = _PER.fullmatch(plain)
    if found is None:
        try:
            value = money(plain, currency)
        except UnreadableError as refused:
            raise UnreadableError(refused.what, f"write it as {example}") from None
        if value == 0:
            return 0.0
        raise UnreadableError(f"'{plain}' does not say per what", f"write it as {example}")
    if found[2].casefold() not in wanted:
        raise UnreadableError(f"'{plain}' is per {found[2]}", f"write it as {example}")
    return money(found[1], currency)


def money_per_hour(text: object, currency: str = "") -> float:
    """Money per hour.

    >>> money_per_hour("21.50 per hour")
    21.5
    """
    return _money_per(text, currency, ("hour", "hr", "h"), "21.50 per hour")


def money_per_month(text: object, currency: str = "") -> float:
    """Money per month.

    >>> money_per_month("1400 per month")
    1400.0
    """
    return _money_per(text, currency, ("month", "mo"), "1400 per month")


def money_per_kg(text: object, currency: str = "") -> float:
    """Money per kilogram; a plain 0 needs no unit.

    >>> money_per_kg("3 USD/kg"), money_per_kg("0")
    (3.0, 0.0)
    """
    return _money_per(text, currency, ("kg", "kilo", "kilogram"), f"3 {currency or 'USD'}/kg")


def fees(text: object, currency: str = "") -> tuple[float, float]:
    """What a channel keeps: a share of the price (0 to 1), and money for each sale.

    Args:
        text: ``2.9 % + 0.30``, ``2.9 %`` or ``0.30``.
        currency: the shop's currency.

    Raises:
        UnreadableError: it is none of these.

    >>> fees("30 %")
    (0.3, 0.0)
    """
    plain = clean(text)
    share, fixed = 0.0, 0.0
    bits = [bit.strip() for bit in plain.split("+")]
    if len(bits) > 2 or sum(bit.endswith("%") for bit in bits) > 1 or (len(bits) == 2 and "%" not in plain):
        raise UnreadableError(f"'{plain}' is not a fee", "write it as 2.9 % + 0.30")
    for bit in bits:
        if bit.endswith("%"):
            figure = units.share(bit)
            share = figure.mid
            if figure.is_range or share >= 1:
                raise UnreadableError(f"'{plain}' leaves nothing of the price", "write one share below 100 %")
        else:
            fixed = money(bit, currency)
    return share, fixed


def plain_share(text: object) -> float:
    """A share that is no measurement and so no range, 0 to below 1: a target margin.

    >>> plain_share("65 %")
    0.65
    """
    if isinstance(text, float):
        return text
    figure = units.share(text)
    if figure.is_range or figure.high >= 1:
        raise UnreadableError(f"'{figure.text}' is not a share below 100 %", "write one figure, such as 65 %")
    return figure.mid


def positive(figure: Figure) -> Figure:
    """The figure, if it is above zero.

    Raises:
        UnreadableError: it is not.
    """
    if figure.low <= 0:
        raise UnreadableError(f"'{figure.text}' must be above zero", "write what it really is, or take the line out")
    return figure


def labour(text: object) -> Labour:
    """The time that a step takes of somebody, for each batch, run or container.

    >>> labour("20 s per container").per
    'container'
    """
    if isinstance(text, Labour):
        return text
    plain = clean(text)
    found = _LABOUR.fullmatch(plain)
    per: Literal["batch", "run", "container"] = "batch"
    if found is not None:
        plain = found[1]
        word = found[2].casefold()
        per = "run" if word == "run" else "container" if word == "container" else "batch"
    elif " per " in plain:
        raise UnreadableError(f"'{plain}' is not a time of labour", "write 12 min, 6 min per run or 20 s per container")
    time = units.duration(plain)
    return Labour(Figure(time.low, time.high, str(text).strip()), per)


def words(value: object) -> str:
    """A text of one line that is not empty.

    >>> words("  pear   brandy ")
    'pear brandy'
    """
    if not isinstance(value, str):
        raise UnreadableError("this must be plain words", "write one text, no list and no further entries")
    plain = " ".join(value.split())
    if not plain:
        raise UnreadableError("there is no value", "write one, or take the line out")
    return plain


def names(value: object) -> tuple[str, ...]:
    """One name or a list of names.

    >>> names("duck skin"), names(["quince", "peel"])
    (('duck skin',), ('quince', 'peel'))
    """
    if isinstance(value, str):
        return (words(value),)
    if isinstance(value, Sequence) and value:
        found = tuple(words(one) for one in value)
        _no_twins(found)
        return found
    raise UnreadableError("this must be a name or a list of names", "write it as [quince, peel]")


def _no_twins(found: tuple[str, ...]) -> None:
    for name in found:
        if found.count(name) > 1:
            raise UnreadableError(f"'{name}' stands here twice", "write it once")


def counted(value: object) -> dict[str, Amount]:
    """Packaging items with how many of each; a list means one of each, a plain whole number is a count.

    >>> counted(["pint tub", "pint lid"])["pint lid"].figure.mid
    1.0
    """
    if isinstance(value, Mapping):
        found = {}
        for name, many in value.items():
            plain = clean(many) if not isinstance(many, Amount) else ""
            amount = units.amount(f"{plain} each" if plain.isdigit() else many)
            if amount.kind not in (Kind.COUNT, Kind.WEIGHT):
                raise UnreadableError(f"'{amount.text}' of {name} is not a count", "write it as 2 each")
            found[words(name)] = amount
        return found
    return {name: Amount(Kind.COUNT, Figure(1.0, 1.0, "1 each"), "each") for name in names(value)}


def food(value: object) -> str:
    """The id of a food record as it is written; nothing, or a question mark, where none has been chosen.

    >>> food("usda:01053"), food("")
    ('usda:01053', '?')
    """
    if value is None or (isinstance(value, str) and value.strip() in ("", UNDECIDED)):
        return UNDECIDED
    return words(value)


def sub_ingredients(value: object) -> tuple[SubIngredient, ...]:
    """What an ingredient is made of, in order: names, or names with shares.

    >>> sub_ingredients({"cream": "99.9 %", "gellan gum": "0.1 %"})[1].share.mid
    0.001
    """
    if isinstance(value, str):
        value = [value]
    entries: list[tuple[object, object]] = []
    if isinstance(value, Mapping):
        entries.extend(value.items())
    elif isinstance(value, Sequence):
        for one in value:
            if isinstance(one, SubIngredient):
                entries.append((one.name, one.share))
            elif isinstance(one, Mapping):
                entries.extend(one.items())
            else:
                entries.append((one, None))
    if not entries:
        raise UnreadableError("this must be a list of ingredients", "write it as [cream, gellan gum]")
    found = tuple(
        SubIngredient(words(name), None if share is None or share == "" else units.share(share))
        for name, share in entries
    )
    _no_twins(tuple(one.name for one in found))
    total = sum(one.share.low for one in found if one.share is not None)
    if total > 1 + 1e-9:
        raise UnreadableError(f"the shares add up to {total * 100:g} %", "they cannot pass 100 %")
    return found


def allergens(value: object) -> tuple[str, ...]:
    """Major allergens, each by its kind where the law wants one; ``none`` says that there are none.

    >>> allergens(["milk", {"tree nut": "pistachio"}])
    ('milk', 'tree nut: pistachio')
    >>> allergens("none")
    ()
    """
    if isinstance(value, (str, Mapping)):
        value = [value]
    if not isinstance(value, Sequence):
        raise UnreadableError("this must be a list of allergens", "write it as [milk] or none")
    found: list[str] = []
    for one in value:
        if isinstance(one, Mapping):
            for kind, which in one.items():
                found += [f"{words(kind)}: {name}" for name in names(which)]
        else:
            found.append(words(one))
    low = tuple(name.casefold() for name in found)
    if "none" in low:
        if len(low) > 1:
            raise UnreadableError("'none' stands beside other allergens", "write either none or the allergens")
        return ()
    _no_twins(low)
    return low


def cooling_points(value: object) -> dict[Figure, Figure]:
    """Way points of cooling: temperature (degrees C) to the time it must be reached within (s).

    >>> [(t.mid, s.mid) for t, s in cooling_points({"50 F": "2 h"}).items()]
    [(10.0, 7200.0)]
    """
    if not isinstance(value, Mapping):
        raise UnreadableError("this must be temperatures with times", "write it as {70 F: 2 h}")
    return {units.temperature(point): units.duration(time) for point, time in value.items()}


def ppm(value: object) -> float:
    """Parts per million by weight, mg/kg.

    >>> ppm("10 ppm"), ppm("350 mg/kg")
    (10.0, 350.0)
    """
    if isinstance(value, float):
        return value
    plain = clean(value)
    found = re.fullmatch(r"(.*?) ?(?:ppm|mg ?/ ?kg|mg per kg)", plain, re.IGNORECASE)
    if found is None:
        if plain == "0":
            return 0.0
        raise UnreadableError(f"'{plain}' has no unit that can be read", "write it as 10 ppm")
    parts = float(number(found[1]))
    if parts > 1e6:
        raise UnreadableError(f"'{plain}' is more than the whole", "check the number")
    return parts


def yes_no(value: object) -> bool:
    """Yes or no.

    >>> yes_no("yes")
    True
    """
    if isinstance(value, bool):
        return value
    plain = clean(value).casefold()
    if plain not in _YES:
        raise UnreadableError(f"'{plain}' is neither yes nor no", "write yes or no")
    return _YES[plain]


def whole_number(value: object) -> int:
    """How many, from 1 to a million; ``each`` may stand behind it.

    >>> whole_number("6"), whole_number("6 each")
    (6, 6)
    """
    if isinstance(value, int) and not isinstance(value, bool):
        value = str(value)
    plain = clean(value)
    digits = re.sub(r" ?(?:each|ea|ct)$", "", plain)
    if not re.fullmatch(r"[0-9]{1,7}", digits) or not 1 <= int(digits) <= 1_000_000:
        raise UnreadableError(f"'{plain}' is not a whole number above 0", "write how many, such as 6")
    return int(digits)


def measures(value: object) -> dict[str, Any]:
    """Household measures with what they weigh: ``{1 cup: 238 g}``; each needs its number and must weigh something."""
    if not isinstance(value, Mapping):
        raise UnreadableError("this must be measures with their weights", "write it as {1 cup: 238 g}")
    found: dict[str, Any] = {}
    for measure, grams in value.items():
        try:
            amount = units.amount(measure)
        except UnreadableError as refused:
            raise UnreadableError(f"'{measure}' is not a measure", "write it as 1 cup, or 1 pinch") from refused
        if amount.kind not in (Kind.VOLUME, Kind.COUNT) or amount.figure.low <= 0 or amount.figure.is_range:
            raise UnreadableError(f"'{measure}' is not a measure", "write it as 1 cup, or 1 pinch")
        found[measure] = positive(units.weight(grams))
    return found
