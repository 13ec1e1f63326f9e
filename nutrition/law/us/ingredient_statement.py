"""The ingredient statement, 21 CFR 101.4: common or usual names, heaviest first by weight as added.

* A part with a name of its own stands as a compound ingredient with what it is made of in brackets, 101.4(b)(2); so
  does a bought compound ingredient with its sub-ingredients. Brackets within brackets change their shape.
* What was added under the same name at the same level stands once, with its weights together.
* Added water counts at its weight as added and is left out only when all of it was removed. Counting it net of what was
  boiled off is an option.
* What was steeped and strained out has still given something and stays by name.
* "contains 2% or less of" closes the list for whatever weighs no more than that of the finished food, 101.4(a)(2).
* A fat that was rendered from one tissue under a name of its own ("duck fat") is the ingredient, and its tissue is not
  named.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from nutrition.law.us.options import Options
from nutrition.law.us.statement_items import Item, fat_words, items
from nutrition.law.us.tables import nano, words

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from nutrition.product import Component, Product

PLAIN = Options()


@dataclass(frozen=True, slots=True)
class Entry:
    """One name in the statement.

    Args:
        name: the common or usual name.
        grams: weight by which it is ranked, as added in one container, g; with the water that brings it back.
        share_pct: of the finished food by weight.
        sub: what it is made of, in the order in which it is printed.
        minor: it stands in the closing "contains 2% or less of".
        given_only: it was steeped and strained out.
        ingredients: the shop's own names behind it.
    """

    name: str
    grams: float
    share_pct: float
    sub: tuple[Entry, ...] = ()
    minor: bool = False
    given_only: bool = False
    ingredients: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Statement:
    """The statement as printed after "Ingredients:", and its entries in order."""

    text: str
    entries: tuple[Entry, ...]


@dataclass(slots=True)
class _Node:
    """A name while it is gathered."""

    name: str
    is_group: bool = False
    grams: float = 0.0
    given_only: bool = True
    members: dict[str, _Node] = field(default_factory=dict)
    made_of: dict[str, float | None] = field(default_factory=dict)
    kinds: set[str] = field(default_factory=set)
    ingredients: dict[str, None] = field(default_factory=dict)


def statement(product: Product, options: Options = PLAIN, *, gather_milk: bool = False) -> Statement:
    """The ingredient statement of a product.

    Args:
        product: the food; weights are those of one container.
        options: what the law leaves open: closing clause, compounds opened, water net of boiling, milk gathered.
        gather_milk: whether the food bears a name of 21 CFR 135.110, whose milk ingredients may be gathered.

    Returns:
        The text and its entries.

    Raises:
        ValueError: a product that weighs nothing.
    """
    if not product.net_g > 0:
        raise ValueError("a product without weight has no ingredient statement")
    threshold = options.threshold
    root = _Node("")
    for item in items(product.components, options, gather_milk=gather_milk):
        _put(root, item)
    entries = [_entry(node, product.net_g) for node in _ordered(root.members)]
    if threshold is not None:
        limit = nano(threshold)
        main = [e for e in entries if nano(e.share_pct) > limit]
        minor = [_as_minor(e) for e in entries if nano(e.share_pct) <= limit]
    else:
        main, minor = entries, []
    text = ", ".join(_text(entry, 0) for entry in main)
    if minor:
        clause = f"contains {threshold:g}% or less of {', '.join(_text(entry, 0) for entry in minor)}"
        text = f"{text}, {clause}" if text else clause
    return Statement(text, (*main, *minor))


def _put(root: _Node, item: Item) -> None:
    level = root
    for label in item.path:
        key = f"\0{label.casefold()}"
        level = level.members.setdefault(key, _Node(label, is_group=True))
        level.grams += item.grams
        level.given_only &= item.given_only
    node = level.members.setdefault(item.name.casefold(), _Node(item.name))
    node.grams += item.grams
    node.given_only &= item.given_only
    node.kinds.add(item.kind)
    node.ingredients[item.ingredient] = None
    for sub, share in item.made_of:
        node.made_of.setdefault(sub, share)


def _ordered(members: Mapping[str, _Node]) -> list[_Node]:
    # At equal weights the alphabet decides, so that the same food always prints the same.
    return sorted(members.values(), key=lambda n: (-nano(n.grams), n.name.casefold()))


def _entry(node: _Node, net_g: float) -> Entry:
    sub = tuple(_entry(member, net_g) for member in _ordered(node.members))
    names = dict.fromkeys(node.ingredients)
    for entry in sub:
        names.update(dict.fromkeys(entry.ingredients))
    if node.is_group and _says_it_itself(node):
        (only,) = sub
        sub = only.sub
    if not node.is_group and not _only_itself(node):
        sub = tuple(
            Entry(name, node.grams * share if share is not None else 0.0, 100 * node.grams * (share or 0.0) / net_g)
            for name, share in _by_share(node.made_of)
        )
    return Entry(node.name, node.grams, 100 * node.grams / net_g, sub, False, node.given_only, tuple(names))


def _by_share(made_of: Mapping[str, float | None]) -> list[tuple[str, float | None]]:
    """As the supplier orders them, unless all shares are known: then by share."""
    found = list(made_of.items())
    if all(share is not None for _, share in found):
        found.sort(key=lambda item: -(item[1] or 0.0))
    return found


def _only_itself(node: _Node) -> bool:
    return not node.made_of or {name.casefold() for name in node.made_of} == {node.name.casefold()}


def _says_it_itself(group: _Node) -> bool:
    """Whether an own label needs no brackets: it is its one ingredient's name, or names the fat of one tissue."""
    if len(group.members) != 1:
        return False
    (only,) = group.members.values()
    if only.is_group:
        return False
    return only.name.casefold() == group.name.casefold() or (
        only.kinds <= {"meat", "fat"} and bool(words(group.name) & fat_words())
    )


def _as_minor(entry: Entry) -> Entry:
    return Entry(entry.name, entry.grams, entry.share_pct, entry.sub, True, entry.given_only, entry.ingredients)


def _text(entry: Entry, depth: int) -> str:
    if not entry.sub:
        return entry.name
    left, right = ("(", ")") if depth % 2 == 0 else ("[", "]")
    return f"{entry.name} {left}{', '.join(_text(sub, depth + 1) for sub in entry.sub)}{right}"


def sulphites_ppm(components: Iterable[Component], net_g: float) -> float:
    """Sulphites of the finished food as far as they are stated, mg/kg (none is taken to be lost).

    Raises:
        ValueError: the food weighs nothing.
    """
    if not net_g > 0:
        raise ValueError("a product without weight holds no sulphites")
    return sum((c.sulphites_ppm or 0.0) * c.added_g for c in components) / net_g
