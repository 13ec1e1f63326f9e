"""Tables over one or two figures: ``heavy cream=-20%..+20%/5`` is its price at five places, from a fifth less up.

>>> axis("heavy cream=-20%..+20%/5").values
('-20%', '-10%', '+0%', '+10%', '+20%')
>>> axis("price[grocer]=6.99..8.99/3").values
('6.99', '7.99', '8.99')
>>> axis("heavy cream=20..30 USD/kg/2").values
('20 USD/kg', '30 USD/kg')
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import product
from typing import TYPE_CHECKING, Final

from costing.digits import UnreadableError, clean
from costing.findings import Finding, ShopError
from costing.whatif import changing, sides, tornado
from costing.whatif.changes import LONGEST, same

if TYPE_CHECKING:
    from costing.desk import Shop

WHERE: Final = "--table"
FEWEST, MOST = 2, 25
_END: Final = re.compile(r"([+-]?) ?([0-9]{1,9}(?:\.[0-9]{0,9})?|\.[0-9]{1,9}) ?(.*)")
_EXAMPLE: Final = 'write it like "heavy cream=-20%..+20%/5" or "price[grocer]=6.99..8.99/5"'


@dataclass(frozen=True, slots=True)
class Axis:
    """A figure and the values that it takes.

    Args:
        target: how ``--if`` names the figure.
        values: each as ``--if`` takes it.
    """

    target: str
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cell:
    """One place of a table; figures are None where that cannot be made.

    Args:
        values: of each axis.
        cost: of a container, in the shop's currency.
        margin: what one unit leaves in the channel.
        margin_pct: the same, 0 to 100 of the price.
    """

    values: tuple[str, ...]
    cost: float | None
    margin: float | None
    margin_pct: float | None


@dataclass(frozen=True, slots=True)
class Table:
    """A table of a recipe in one channel.

    Args:
        recipe: its key.
        title: its title.
        channel: whose margin it is.
        target_pct: the channel's target margin, 0 to 100; None where it has none.
        axes: one or two.
        cells: the first axis slow, the second fast.
    """

    recipe: str
    title: str
    channel: str
    target_pct: float | None
    axes: tuple[Axis, ...]
    cells: tuple[Cell, ...]


def axis(text: str) -> Axis:
    """An axis out of its text.

    Args:
        text: ``target=low..high/places``; the unit may stand behind the high end only.

    Raises:
        ShopError: it cannot be read; says how it is written.
    """
    target, _, rest = text[: LONGEST + 1].partition("=")
    span, slash, places = rest.rpartition("/")
    low, dots, high = span.partition("..")
    try:
        target, places = clean(target), clean(places)
        ends = [_END.fullmatch(clean(end)) for end in (low, high)]
    except UnreadableError:
        raise _refused(text) from None
    if len(text) > LONGEST or not slash or not dots or not places.isdigit() or None in ends:
        raise _refused(text)
    count = int(places) if len(places) < 5 else MOST + 1
    if not FEWEST <= count <= MOST:
        what = f"{places} places for {target} are {'too few' if count < FEWEST else 'too many'}"
        raise ShopError((Finding("error", WHERE, what, f"{FEWEST} to {MOST} make a table"),))
    (sign, first, unit), (last_sign, last, last_unit) = ((end[1], end[2], end[3].strip()) for end in ends if end)
    unit = unit or last_unit
    if unit != last_unit:
        what = f"the ends of {target} have two units, '{unit}' and '{last_unit}'"
        raise ShopError((Finding("error", WHERE, what, _EXAMPLE),))
    relative = bool(sign or last_sign)
    if relative and unit != "%":
        raise _refused(text)
    start, end = (Decimal(f"{s or '+'}{n}") for s, n in ((sign, first), (last_sign, last)))
    if start >= end:
        what = f"{target} does not rise from its first end to its second"
        raise ShopError((Finding("error", WHERE, what, _EXAMPLE),))
    steps = [start + (end - start) * i / (count - 1) for i in range(count)]
    return Axis(target, tuple(_written(one, unit, relative) for one in steps))


def _written(value: Decimal, unit: str, relative: bool) -> str:
    """A value as ``--if`` takes it: no needless decimals, but two for money that has any."""
    whole, _, decimals = f"{round(value, 6):f}".partition(".")
    decimals = decimals.rstrip("0")
    if decimals and unit != "%":
        decimals = decimals.ljust(2, "0")
    plain = f"{whole}.{decimals}" if decimals else whole
    space = "" if unit in ("", "%") else " "
    return f"{'+' if relative and value >= 0 else ''}{plain}{space}{unit}"


def _refused(text: str) -> ShopError:
    return ShopError((Finding("error", WHERE, f"'{' '.join(text[:80].split())}' is no row of values", _EXAMPLE),))


def axes(texts: Sequence[str]) -> tuple[Axis, ...]:
    """One or two axes.

    Raises:
        ShopError: one cannot be read, there are more than two, or both are of one figure.
    """
    if len(texts) > 2:
        raise ShopError((Finding("error", WHERE, f"{len(texts)} figures make no table", "give one or two"),))
    found = tuple(axis(text) for text in texts)
    if len({same(one.target) for one in found}) < len(found):
        raise ShopError((Finding("error", WHERE, f"{found[0].target} stands on both sides", "name two figures"),))
    return found


def table(shop: Shop, key: str, over: Sequence[Axis], channel: str = "") -> Table:
    """Work a table out.

    Args:
        shop: the shop.
        key: the recipe.
        over: one or two axes.
        channel: whose margin; if empty the one whose price an axis moves, else the first that sells the recipe.

    Raises:
        ShopError: the recipe cannot be made, a figure that nobody knows or a value that nobody can read.
    """
    name = tornado.selling(shop, key, channel or _priced(over))
    target = shop.model.channels[name].target_margin
    for one in over:
        for value in one.values:
            # What cannot be read is told once; what cannot be made leaves its place empty.
            changing.changed(shop.model, (f"{one.target}={value}",), recipes=(key,), day=shop.day)
    cells = tuple(_cell(shop, key, name, over, values) for values in product(*(one.values for one in over)))
    target_pct = None if target is None else 100.0 * target
    return Table(key, shop.model.recipes[key].title, name, target_pct, tuple(over), cells)


def _priced(over: Sequence[Axis]) -> str:
    for one in over:
        found = re.fullmatch(r"(?:price|fees?|target(?: margin)?) ?\[(.+)\]", one.target, re.IGNORECASE)
        if found:
            return found[1].strip()
    return ""


def _cell(shop: Shop, key: str, channel: str, over: Sequence[Axis], values: tuple[str, ...]) -> Cell:
    changes = [f"{one.target}={value}" for one, value in zip(over, values, strict=True)]
    try:
        found = sides.costs(sides.with_changes(shop, changes, (key,)), key)
    except ShopError:
        return Cell(values, None, None, None)
    sold = next((one for one in found.channels if one.name == channel), None)
    if sold is None:
        return Cell(values, found.per_container.total, None, None)
    return Cell(values, found.per_container.total, sold.margin, sold.margin_pct)
