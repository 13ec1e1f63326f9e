"""Major food allergens, FD&C Act 201(qq) and 403(w); FDA guidance on food allergen labelling, edition 5, January 2025.

Nine foods are major allergens. Tree nuts are named by kind, fish and crustaceans by species; milk and eggs of other
animals than cow and hen name the animal. An oil marked highly refined is exempt, 201(qq)(2)(A): whoever describes the
ingredient leaves its allergen out, this module never takes one away.

>>> contains(["milk", "tree nut: pistachio", "egg", "tree nut: almond"])
'Contains: Milk, Egg, Tree Nuts (Almond, Pistachio).'
>>> problem("milk") is None
True
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.law.us.tables import rows

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date

    from nutrition.product import Product


@dataclass(frozen=True, slots=True)
class Allergen:
    """A major allergen.

    Args:
        major: one of the nine (``tree nut``).
        kind: kind of tree nut, species of fish or crustacean, or the animal of milk and eggs; empty for cow and hen.
    """

    major: str
    kind: str = ""

    def __str__(self) -> str:
        if not self.kind:
            return self.major
        return (
            f"{self.kind} {self.major}" if _majors()[self.major]["kind"] == "animal" else f"{self.major}: {self.kind}"
        )


@functools.cache
def _majors() -> Mapping[str, Mapping[str, str]]:
    return {row["key"]: row for row in rows("allergens.csv")}


@functools.cache
def _names() -> Mapping[str, str]:
    """Every way of writing one of the nine, in small letters, to its key."""
    return {
        name: row["key"]
        for row in rows("allergens.csv")
        for name in (row["key"], *filter(None, row["also"].split(";")))
    }


@functools.cache
def _nuts() -> Mapping[str, Mapping[str, str]]:
    return {name.casefold(): row for row in rows("tree_nuts.csv") for name in (row["kind"], *row["also"].split(";"))}


@functools.cache
def _others() -> Mapping[str, Mapping[str, str]]:
    return {row["word"]: row for row in rows("allergen_animals.csv")}


def _split(text: str) -> tuple[str, str]:
    head, _, kind = " ".join(text.casefold().replace("\u2019", "'").split()).partition(":")
    return head.strip(), kind.strip()


def problem(text: str) -> str | None:
    """What is wrong with an allergen as somebody wrote it, with the nearest right one; None where nothing is.

    >>> problem("tree nut")
    'tree nuts are named by kind, such as "tree nut: pistachio"'
    >>> problem("tree nut: coconut")
    'coconut is no longer a major allergen (FDA guidance, edition 5, January 2025); leave it out'
    >>> problem("mlik")
    '"mlik" is no major allergen; did you mean "milk"?'
    """
    try:
        parse(text)
    except ValueError as error:
        return str(error)
    return None


def parse(text: str) -> Allergen:
    """An allergen from what somebody wrote.

    Args:
        text: ``milk``, ``goat milk``, ``milk: goat``, ``tree nut: pistachio``, ``fish: cod``, ``duck eggs`` ...

    Returns:
        The allergen; its text is always written the same way.

    Raises:
        ValueError: it is none, or its kind is missing, in words for people.

    >>> str(parse("Tree Nuts: Filberts")), str(parse("milk: goat")), str(parse("duck eggs"))
    ('tree nut: hazelnut', 'goat milk', 'duck egg')
    """
    head, kind = _split(text)
    major = _names().get(head)
    if major is None and not kind:
        return _alone(text, head)
    if major is None:
        raise ValueError(_unknown(text, head))
    wants = _majors()[major]["kind"]
    if wants == "no":
        if kind:
            raise ValueError(f'{major} has no kinds; write "{major}"')
        return Allergen(major)
    if not kind:
        if wants == "yes":
            raise ValueError(_kind_missing(major))
        return Allergen(major)
    if major == "tree nut":
        return Allergen(major, _nut(kind))
    if wants == "animal" and kind in {"cow", "hen", "chicken"}:
        return Allergen(major)
    if not kind.replace(" ", "").replace("-", "").replace("'", "").isalpha():
        raise ValueError(f'"{kind}" is no kind of {major}')
    return Allergen(major, kind)


def _alone(text: str, head: str) -> Allergen:
    """A text without colon that is none of the nine words."""
    nut = _nuts().get(head)
    if nut is not None:
        if nut["counts"] == "no":
            raise ValueError(_no_longer(nut["kind"]))
        raise ValueError(f'write "tree nut: {nut["kind"]}"')
    animal, _, what = head.rpartition(" ")
    major = _names().get(what)
    if animal and major and _others().get(animal, {}).get("what") == major:
        return Allergen(major, animal)
    other = _others().get(head)
    if other is not None and other["what"] in {"fish", "crustacean shellfish"}:
        raise ValueError(f'write "{other["what"]}: {head}"')
    if other is not None and other["what"] == "none":
        raise ValueError(f"{other['why']}")
    raise ValueError(_unknown(text, head))


def _nut(kind: str) -> str:
    row = _nuts().get(kind)
    if row is None:
        near = _near(kind, [name for name, r in _nuts().items() if r["counts"] == "yes"])
        hint = f'did you mean "tree nut: {_nuts()[near[0]]["kind"]}"?' if near else f"kinds are {_kinds()}"
        raise ValueError(f'"{kind}" is no kind of tree nut that counts as a major allergen; {hint}')
    if row["counts"] == "no":
        raise ValueError(_no_longer(row["kind"]))
    return row["kind"]


def _near(text: str, names: list[str]) -> list[str]:
    from difflib import get_close_matches  # only mistakes need it

    return get_close_matches(text, names, n=1)


def _no_longer(kind: str) -> str:
    return f"{kind} is no longer a major allergen (FDA guidance, edition 5, January 2025); leave it out"


def _kinds() -> str:
    return ", ".join(row["kind"] for row in rows("tree_nuts.csv") if row["counts"] == "yes")


def _kind_missing(major: str) -> str:
    if major == "tree nut":
        return 'tree nuts are named by kind, such as "tree nut: pistachio"'
    example = "cod" if major == "fish" else "shrimp"
    return f'{major} is named by species, such as "{major}: {example}"'


def _unknown(text: str, head: str) -> str:
    if "shellfish" in head:
        return 'of shellfish only crustaceans are a major allergen, by species, such as "crustacean shellfish: shrimp"'
    near = _near(head, [*_names(), *(n for n, r in _nuts().items() if r["counts"] == "yes")])
    if not near:
        return f'"{text.strip()}" is no major allergen; those are {", ".join(_majors())}'
    nut = _nuts().get(near[0])
    right = f"tree nut: {nut['kind']}" if nut else _names()[near[0]]
    return f'"{text.strip()}" is no major allergen; did you mean "{right}"?'


def in_force(written: Iterable[str], on: date | None) -> tuple[str, ...]:
    """Of allergens as somebody wrote them, those that were major allergens on a day; what is none is passed over.

    >>> from datetime import date
    >>> in_force(["milk", "sesame"], date(2022, 12, 31)), in_force(["milk", "sesame"], date(2023, 1, 1))
    (('milk',), ('milk', 'sesame'))
    """
    known = {row["key"] for row in rows("allergens.csv", on)}
    return tuple(text for text in written if problem(text) is None and parse(text).major in known)


def union(product: Product) -> frozenset[str]:
    """Everything that a food touched and everything in it, as written in the shop."""
    return product.touched.union(*(c.allergens for c in product.components))


def ordered(allergens: Iterable[str]) -> tuple[Allergen, ...]:
    """The allergens once each, in the order of the act, kinds by the alphabet.

    Raises:
        ValueError: one of them is none.

    >>> [str(a) for a in ordered(["goat milk", "sesame", "milk"])]
    ['milk', 'goat milk', 'sesame']
    """
    order = {key: i for i, key in enumerate(_majors())}
    return tuple(sorted({parse(text) for text in allergens}, key=lambda a: (order[a.major], a.kind.casefold())))


def contains(allergens: Iterable[str]) -> str:
    """The "Contains" statement, which names all major allergens and nothing else, 403(w)(1)(A).

    Args:
        allergens: as written in the shop, in any order.

    Returns:
        The statement, empty where there are none.

    Raises:
        ValueError: one of them is no major allergen.

    >>> contains(["milk"]), contains([])
    ('Contains: Milk.', '')
    >>> contains(["duck eggs", "fish: cod", "peanut"])
    'Contains: Duck Egg, Fish (Cod), Peanuts.'
    """
    found = ordered(allergens)
    words = []
    for major, row in _majors().items():
        kinds = [a.kind for a in found if a.major == major]
        if not kinds:
            continue
        if row["kind"] == "yes":
            words.append(f"{row['printed']} ({', '.join(_title(kind) for kind in kinds)})")
        else:
            words += [f"{_title(kind)} {row['printed']}".strip() for kind in kinds]
    return f"Contains: {', '.join(words)}." if words else ""


def _title(kind: str) -> str:
    return " ".join(word[:1].upper() + word[1:] for word in kind.split())
