"""Price endings: which last digits a shop's selling prices may have, and the next such price up.

An ending says its digits and how often they come round: ``.49`` in every whole unit of money, ``9.99`` in every ten,
``95`` in every hundred. A shop that names none prices to the smallest coin of its currency.

>>> up(8.21, (".00", ".49", ".99"))
Decimal('8.49')
>>> up(8.995, (".00", ".49", ".99")), up(8.211)
(Decimal('9.00'), Decimal('8.22'))
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from decimal import ROUND_CEILING, Decimal
from typing import Final

from costing.digits import UnreadableError, clean

EXAMPLE: Final = "write them as [.00, .49, .99]"
MOST: Final = 100
_ENDING: Final = re.compile(r"[0-9]{0,4}(?:\.[0-9]{1,4})?")


def read(value: object, currency: str = "") -> tuple[str, ...]:
    """The endings of a shop as written.

    Args:
        value: a list of texts, or one text.
        currency: the shop's currency; an ending may not have more decimals than it.

    Returns:
        Each ending once, as text: ``.49``.

    Raises:
        UnreadableError: something that is no ending.

    >>> read([".49", "0.99"])
    ('.49', '0.99')
    """
    listed = [value] if isinstance(value, str) else value
    if not isinstance(listed, Sequence) or not listed:
        raise UnreadableError("this must be a list of price endings", EXAMPLE)
    if len(listed) > MOST:
        raise UnreadableError(f"nobody has {len(listed)} price endings", EXAMPLE)
    found: dict[tuple[Decimal, Decimal], str] = {}
    for one in listed:
        plain = clean(one)
        if not _ENDING.fullmatch(plain):
            raise UnreadableError(f"'{plain}' is not a price ending", EXAMPLE)
        if currency and len(plain.partition(".")[2]) > _digits(currency):
            raise UnreadableError(f"'{plain}' has more decimals than {currency}", EXAMPLE)
        twin = found.setdefault(_split(plain), plain)
        if twin is not plain:
            raise UnreadableError(f"'{plain}' stands here twice", "write it once")
    return tuple(found.values())


def up(price: float, endings: Sequence[str] = (), currency: str = "USD") -> Decimal:
    """The least price not below another one that has one of the endings.

    Args:
        price: in the shop's currency, finite and not below zero; it is rounded to nine decimals first, so that
            float noise does not cost a customer the next ending.
        endings: of :func:`read`; none: the smallest coin.
        currency: the shop's currency.

    Raises:
        ValueError: the price is not finite, or below zero.

    >>> up(8.000000000001, (".00",)), up(91.0, ("9.99",)), up(101, ("0", "5"), "JPY")
    (Decimal('8.00'), Decimal('99.99'), Decimal('105'))
    """
    if not math.isfinite(price) or price < 0:
        raise ValueError(f"{price} is no price")
    exact = Decimal(repr(round(price, 9)))
    coin = Decimal(1).scaleb(-_digits(currency))
    if not endings:
        return exact.quantize(coin, rounding=ROUND_CEILING)
    best = min(_next(exact, *_split(one)) for one in endings)
    return best.quantize(min(coin, Decimal(1).scaleb(int(best.as_tuple().exponent))))


def _next(price: Decimal, ending: Decimal, every: Decimal) -> Decimal:
    """The least price of one ending."""
    times = ((price - ending) / every).to_integral_value(rounding=ROUND_CEILING)
    return ending + max(times, Decimal(0)) * every


def _split(text: str) -> tuple[Decimal, Decimal]:
    """The ending as a number, and after how much money it comes round again."""
    whole, point, _ = text.partition(".")
    every = Decimal(1) if point and not whole.strip("0") and len(whole) <= 1 else Decimal(10) ** len(whole)
    return Decimal(f"0{text}" if text.startswith(".") else text), every


def _digits(currency: str) -> int:
    from costing import money

    return money.digits_of(currency)
