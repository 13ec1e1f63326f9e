"""The flavor beside the name of the food, in three categories, 21 CFR 135.110(f)(2) to (5); other foods, 101.22(i).

I, only the natural flavor: "vanilla ice cream". II, natural and artificial with the natural leading: "vanilla flavored
ice cream". III, artificial alone or leading: "artificially flavored vanilla ice cream". An artificial flavor that does
not imitate the one in the name is named besides. Each word has a least height of letters, as a share of others'.

Where nobody says which leads, the stricter wording stands, and a note asks.

>>> [part.text for part in wording("vanilla", "ice cream", "II")]
['vanilla', 'flavored', 'ice cream']
>>> flavor_name("vanilla"), flavor_name("vanilla", artificial=True), flavor_name("vanilla", natural=False)
('vanilla ice cream', 'vanilla flavored ice cream', 'artificially flavored vanilla ice cream')
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from nutrition.law.us.label import NamePart
from nutrition.law.us.tables import rows, words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from nutrition.product import Component, Product

CATEGORIES: Final = {"natural": "I", "mostly natural": "II", "mostly artificial": "III", "artificial": "III"}
SMALL_WORDS: Final = frozenset({"and", "with", "the", "of", "in", "a", "flavor", "flavour", "s"})


def category(product: Product) -> tuple[str, tuple[str, ...]]:
    """Category I, II or III of a food's characterizing flavor, and what a person should look at.

    Args:
        product: the food, with its ``flavor``.

    Returns:
        The category, and notes in words.
    """
    artificial = list(dict.fromkeys(c.name for c in product.components if c.artificial))
    own = [c for c in product.components if not c.artificial and _speaks_of(c, product.flavor)]
    if product.flavor_from:
        found = CATEGORIES[product.flavor_from]
        return found, tuple(_doubts(product, found, artificial, own))
    if not artificial:
        return "I", tuple(_doubts(product, "I", artificial, own))
    if not own:
        return "III", ()
    why = (
        f"both {product.flavor} and {', '.join(artificial)} give the flavor, and nobody said which leads; "
        "the stricter wording stands"
    )
    return "III", (why,)


def _doubts(product: Product, found: str, artificial: list[str], own: list[Component]) -> Iterable[str]:
    flavor = product.flavor
    if found == "I" and artificial:
        yield (
            f"the flavor is said to be natural, and {', '.join(artificial)} is artificial: if it imitates {flavor}, "
            f'the name says "{flavor} flavored" or "artificially flavored"; if not, it is named as an added flavor'
        )
    if found in {"I", "II"} and not own:
        yield f"nothing in the recipe is called {flavor}; a natural flavor comes from what it is named after"
    if found != "I" and not artificial:
        yield "the flavor is said to be artificial in part, and no ingredient says artificial: yes"


def _speaks_of(component: Component, flavor: str) -> bool:
    """Whether an ingredient has a word of the flavor in a name."""
    wanted = {_stem(word) for word in words(flavor) - SMALL_WORDS}
    names = (component.name, component.ingredient, *component.groups, *(sub for sub, _ in component.made_of))
    return not wanted.isdisjoint({_stem(word) for name in names for word in words(name)})


def _stem(word: str) -> str:
    for ending, instead in (("ies", "y"), ("es", "e"), ("s", "")):
        if word.endswith(ending) and len(word) > len(ending) + 2:
            return word[: -len(ending)] + instead
    return word


def wording(
    flavor: str, food: str, kind: str = "I", *, standard: str = "ice cream", added: str = ""
) -> tuple[NamePart, ...]:
    """The words of the name in their order, each with its least height.

    Args:
        flavor: the characterizing flavor (``vanilla``); empty gives the food alone.
        food: the name of the food (``ice cream``).
        kind: category ``I``, ``II`` or ``III``.
        standard: the standard that the food meets, empty for none.
        added: an artificial flavor that does not imitate it (``artificial almond flavor``).

    Raises:
        ValueError: another category.

    >>> [(p.text, p.least, p.of) for p in wording("cherry", "ice cream", "III", added="artificial almond flavor")]
    [('artificially flavored', 0.5, 'flavor'), ('cherry', 0.5, 'food'), ('ice cream', 0.0, ''),
     ('artificial almond flavor added', 0.5, 'flavor')]
    """
    if kind not in {"I", "II", "III"}:
        raise ValueError(f"there is no category {kind!r}; they are I, II and III")
    table = {row["standard"]: row for row in rows("flavor_letters.csv")}
    row = table.get(standard, table[""])
    rule = row["reference"]
    name = NamePart(food, "food", 0.0, "", "21 CFR 101.3(a), (b)")
    if not flavor:
        return (name,)
    found = [NamePart(flavor, "flavor", float(row["food"]), "food" if float(row["food"]) else "", rule)]
    beside = float(row["flavored"])
    if kind == "II":
        found.append(NamePart("flavored", "flavored", beside, "flavor", rule))
    elif kind == "III":
        found.insert(0, NamePart("artificially flavored", "flavored", beside, "flavor", rule))
    found.append(name)
    if added:
        text = added if added.casefold().endswith("added") else f"{added} added"
        found.append(NamePart(text, "added", beside, "flavor", rule))
    return tuple(found)


def flavor_name(
    flavor: str, *, food: str = "ice cream", natural: bool = True, artificial: bool = False, leading: str = "natural"
) -> str:
    """The name with its flavor on one line.

    Args:
        flavor: ``vanilla``.
        food: the name of the food.
        natural: it holds the natural flavor.
        artificial: it holds artificial flavor too.
        leading: ``natural`` or ``artificial``, whichever is more where both are there.
    """
    kind = "I" if natural and not artificial else "II" if natural and leading == "natural" else "III"
    return " ".join(part.text for part in wording(flavor, food, kind))
