"""Reads a channel of ``shop.yaml``: the plain one, and all the ways of selling that need more words.

    scoop shop: {price: 11.00, fees: 2.9 % + 0.30, target margin: 55 %}
    town grocers: {chain: [{distributor: 25 %}, {grocer: 35 %}], shelf price: 8.99, returns: 3 %, samples: 2 %}
    saturday market: {price: 10.00, stall fee: 60 per day, sells 80}
    dipping cabinet: {container: tub, scoops: {weight: 70 g, price: 4.50, waste: 5 %, cone: sugar cone}}

What these figures do is worked out in :mod:`costing.selling`; here they are only read.

>>> chain([{"distributor": "25 %"}, {"grocer": "35 %"}])[1]
Link(name='grocer', margin=0.35)
>>> stall("60 per day, sells 80")
Stall(fee=60.0, sells=80.0)
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final, TypeVar

from costing import units
from costing.amounts import Kind
from costing.digits import UnreadableError, clean, number
from costing.shop import words
from costing.shop.building import nearest
from costing.shop.models import Channel, Link, Scoops, Stall
from costing.shop.yaml_lines import Group, Text, line_at

if TYPE_CHECKING:
    from costing.shop.building import Builder
    from costing.shop.yaml_lines import Node

T = TypeVar("T")

MOST_LINKS: Final = 10
WHAT: Final = "a channel"
_CHAIN: Final = "write it from you to the shelf, as [{distributor: 25 %}, {grocer: 35 %}]"
_STALL: Final = "write it as 60 per day, sells 80"
_SCOOPS: Final = "write it as {weight: 70 g, price: 4.50, waste: 5 %}"
_PER_DAY: Final = re.compile(r"(.*?)(?: ?/ ?| (?:per|an?) )day(.*)", re.IGNORECASE)
_SELLS: Final = re.compile(r"[ ,;]*(?:and )?sells ([0-9][0-9., ]*)(?: (?:containers|scoops))?", re.IGNORECASE)
_READ_HERE: Final = ("fees", "chain", "shelf price", "stall fee", "scoops", "sells")
_SCOOP_KEYS: Final = ("weight", "price", "waste", "cone")


def channel(builder: Builder, group: Group, given: Mapping[str, Any], currency: str) -> Channel | None:
    """A channel out of its entries; what is wrong with them goes to the builder.

    Args:
        builder: builds models of this file.
        group: the entries; those that are read here are taken out of it.
        given: name and place.
        currency: the shop's currency.

    Returns:
        The channel, None where something is wrong with it.
    """
    before = len(builder.report.findings)
    entries = group.entries
    _join_stall(entries)
    taken: dict[str, tuple[int, Node]] = {key: entries.pop(key) for key in _READ_HERE if key in entries}
    nobody: tuple[Link, ...] = ()

    def read(key: str, parse: Callable[[object], T], otherwise: T) -> T:
        return otherwise if key not in taken else _told(builder, taken[key], key, parse, otherwise)

    share, fixed = read("fees", lambda raw: words.fees(raw, currency), (0.0, 0.0))
    extra: dict[str, Any] = {
        "fee_share": share,
        "fee_fixed": fixed,
        "chain": read("chain", chain, nobody),
        "stall": read("stall fee", lambda raw: stall(raw, currency), None),
        "sells": read("sells", share_sold, None),
        "scoops": None,
        "at_shelf": "shelf price" in taken,
    }
    prices = [key for key in ("price",) if key in entries]
    if "scoops" in taken:
        prices.append("scoops")
        found = _scoops(builder, taken["scoops"], currency)
        extra["scoops"], extra["price"] = found or (None, 0.0)
    if "shelf price" in taken:
        prices.append("shelf price")
        extra["price"] = read("shelf price", lambda raw: words.money(raw, currency), 0.0)
        if "chain" not in taken:
            what = "there is a shelf price, and nobody between you and the shelf"
            builder.add(taken["shelf price"][0], what, "write price in its place, or add chain: [{grocer: 35 %}]")
    if len(prices) > 1:
        line = (entries if prices[0] == "price" else taken)[prices[0]][0]
        what = f"{' and '.join(repr(one) for one in prices)} both say what is paid"
        builder.add(line, what, "keep one of them; the other follows from it")
        entries.pop("price", None)
    _fits(builder, taken, entries)
    hidden = ("fee_share", "fee_fixed", "at_shelf", "stall")
    built = builder.model(Channel, group, WHAT, {**given, **extra}, hidden, _READ_HERE)
    if built is not None and built.returns + built.samples >= 1:
        line = next(entries[key][0] for key in ("returns", "samples") if key in entries)
        what = f"returns and samples take {100 * (built.returns + built.samples):g} % of the containers"
        builder.add(line, what, "together they must stay below 100 %")
    return built if len(builder.report.findings) == before else None


def _told(builder: Builder, entry: tuple[int, Node], key: str, parse: Callable[[object], T], otherwise: T) -> T:
    try:
        return parse(entry[1].plain())
    except UnreadableError as refused:
        builder.add(entry[0], f"{key}: {refused.what}", refused.mend)
        return otherwise


def _join_stall(entries: dict[str, tuple[int, Node]]) -> None:
    """Inside ``{ }`` the comma of ``60 per day, sells 80`` ends the entry; what follows belongs to it all the same."""
    fee = entries.get("stall fee")
    if fee is None or not isinstance(fee[1], Text):
        return
    for key, (_, node) in list(entries.items()):
        if isinstance(node, Text) and node.empty and _SELLS.fullmatch(key):
            fee[1].text = f"{fee[1].text}, {key}"
            del entries[key]


def _fits(builder: Builder, taken: Mapping[str, tuple[int, Node]], entries: Mapping[str, tuple[int, Node]]) -> None:
    """Ways of selling that cannot be one."""
    if "scoops" in taken and "chain" in taken:
        what = "scoops are sold by you, and a chain sells containers"
        builder.add(taken["chain"][0], what, "make two channels of it")
    if "scoops" in taken and "container" not in entries:
        what = "nothing says out of which container the scoops come"
        builder.add(taken["scoops"][0], what, "add container: with one that shop.yaml has, such as tub")


def chain(value: object) -> tuple[Link, ...]:
    """The hands between maker and shelf, each with its margin on the price at which it sells on.

    Args:
        value: a list of ``{name: share}`` from the maker to the shelf, or such entries in order.

    Raises:
        UnreadableError: it is none.
    """
    listed: list[object] = [value] if isinstance(value, Mapping) else list(value) if _is_list(value) else []  # type: ignore[call-overload]
    if not listed:
        raise UnreadableError("this must be a list of who keeps what", _CHAIN)
    found: dict[str, Link] = {}
    for one in listed:
        if not isinstance(one, Mapping) or not one:
            raise UnreadableError(f"'{one}' does not say what share it keeps", _CHAIN)
        for name, share in one.items():
            plain = words.words(name)
            if plain in found:
                raise UnreadableError(f"'{plain}' stands here twice", "give the second one a name of its own")
            if not isinstance(share, str):
                raise UnreadableError(f"'{plain}' has no plain share", _CHAIN)
            found[plain] = Link(plain, words.plain_share(share))
    if len(found) > MOST_LINKS:
        raise UnreadableError(f"{len(found)} hands are more than any pint goes through", "check the list")
    return tuple(found.values())


def _is_list(value: object) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str)


def stall(value: object, currency: str = "") -> Stall:
    """What a day at the market costs, and how many are sold in it.

    Args:
        value: ``60 per day, sells 80``, or ``{per day: 60, sells: 80}``.
        currency: the shop's currency.

    Raises:
        UnreadableError: it is none.

    >>> stall({"per day": "60", "sells": "80"}).sells
    80.0
    """
    if isinstance(value, Mapping):
        if set(value) != {"per day", "sells"} or not all(isinstance(one, str) for one in value.values()):
            raise UnreadableError("this must say the fee of a day and how many are sold in it", _STALL)
        return Stall(words.money(value["per day"], currency), _some(str(value["sells"])))
    if not isinstance(value, str):
        raise UnreadableError("this must be one line of text", _STALL)
    plain = clean(value)
    found = _PER_DAY.fullmatch(plain)
    if found is None:
        raise UnreadableError(f"'{plain}' does not say what a day costs", _STALL)
    sold = _SELLS.fullmatch(found[2])
    if sold is None:
        raise UnreadableError(f"'{plain}' does not say how many are sold in a day", _STALL)
    return Stall(words.money(found[1], currency), _some(sold[1]))


def _some(text: str) -> float:
    many = float(number(clean(text)))
    if not 0 < many <= 1e6:
        raise UnreadableError(f"'{text.strip()}' is not a number that a stall sells in a day", _STALL)
    return many


def share_sold(value: object) -> float:
    """A channel's share of the ice cream, above 0 and up to the whole.

    >>> share_sold("60 %"), share_sold("100 %")
    (0.6, 1.0)
    """
    figure = units.share(value)
    if figure.is_range or figure.low <= 0:
        raise UnreadableError(f"'{figure.text}' is not one share above 0 %", "write one figure, such as 60 %")
    return figure.mid


def _scoops(builder: Builder, entry: tuple[int, Node], currency: str) -> tuple[Scoops, float] | None:
    """Scoops and the price of one; what is wrong goes to the builder, by line."""
    line, node = entry
    if not isinstance(node, Group):
        builder.add(line, "scoops must be entries with names", _SCOOPS)
        return None
    before = len(builder.report.findings)
    known = builder.known_keys(node, _SCOOP_KEYS, "scoops")
    misspelt = {key for key in _SCOOP_KEYS if any(f"'{key}'" in nearest(one, _SCOOP_KEYS) for one in node.entries)}
    for key in ("weight", "price"):
        if key not in known and key not in misspelt:
            builder.add(line, f"scoops needs '{key}'", _SCOOPS)

    def read(key: str, parse: Callable[[object], T], otherwise: T) -> T:
        if key not in known:
            return otherwise
        return _told(builder, (line_at(node, (key,)), known[key][1]), f"scoops: {key}", parse, otherwise)

    weight = read("weight", _scoop_weight, 1.0)
    price = read("price", lambda raw: words.money(raw, currency), 0.0)
    waste = read("waste", words.plain_share, 0.0)
    no_cone: tuple[dict[str, float], float] = ({}, 0.0)
    cone, cone_money = read("cone", lambda raw: _cone(raw, currency), no_cone)
    found = Scoops(weight, waste, cone, cone_money), price
    return found if len(builder.report.findings) == before else None


def _scoop_weight(value: object) -> float:
    figure = words.positive(units.weight(value))
    if figure.is_range:
        raise UnreadableError(f"'{figure.text}' is a range", "write the mean of twenty scoops, such as 70 g")
    return figure.mid


def _cone(value: object, currency: str) -> tuple[dict[str, float], float]:
    """What goes out with a scoop: things of the price lists with how many of each, or money."""
    if isinstance(value, str) and re.match(r"[-0-9.,$€£¥]|[A-Za-z]{3} ?[0-9]", value.strip()):
        return {}, words.money(value, currency)
    found = words.counted(value)
    for name, amount in found.items():
        if amount.kind is not Kind.COUNT:
            raise UnreadableError(f"'{amount.text}' of {name} is not a count", "write how many go with a scoop")
    return {name: amount.figure.mid for name, amount in found.items()}, 0.0
