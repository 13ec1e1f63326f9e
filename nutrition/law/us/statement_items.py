"""What goes into an ingredient statement: one item for each name and place, weighed as 21 CFR 101.4 weighs it.

* Compounds stand in brackets, 101.4(b)(2)(i), or are opened so that their ingredients stand among the others, (ii); the
  same name from several sources then stands once. What is opened must say the share of each of its ingredients.
* Water added to bring something dry back counts with it up to single strength, only the rest is "water", 101.4(c).
  Whether it was added for that only the kitchen knows, so it is a choice.
* In ice cream "milkfat and nonfat milk" may stand for the milk ingredients of 101.4(b)(3), (4), (8), (9), 135.110(g).
* A chemical preservative carries what it is for, 101.22(j).

>>> taken, left = reconstituted({"nonfat milk": (100.0, 0.96)}, 2000.0)  # skim milk has 9.16 % of solids
>>> round(taken["nonfat milk"], 1), round(left, 1)
(948.0, 1052.0)
"""

from __future__ import annotations

import functools
from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from nutrition.law.us.tables import rows, words

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from nutrition.law.us.options import Options
    from nutrition.product import Component

NOTHING_G = 1e-6
"""A weight below this is rounding noise of sums."""
GATHERED = "milkfat and nonfat milk"
DRIER = 1.05
"""So many times the solids of the single-strength food make it one that water can bring back; our own line."""

Path = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Item:
    """A name at a place of the statement.

    Args:
        name: the common or usual name, with what a preservative is for.
        path: own labels that stand over it, outermost first.
        grams: weight by which it is ranked, g.
        kind: ingredient class.
        ingredient: the shop's own name behind it.
        given_only: it was steeped and strained out.
        made_of: its ingredients with their shares of it.
        dry: share of it that was no water when it went in; None where unknown.
    """

    name: str
    path: Path
    grams: float
    kind: str
    ingredient: str
    given_only: bool = False
    made_of: tuple[tuple[str, float | None], ...] = ()
    dry: float | None = None


@functools.cache
def fat_words() -> frozenset[str]:
    """Words that name a rendered fat."""
    return frozenset(row["word"] for row in rows("fat_names.csv"))


def items(components: Iterable[Component], options: Options, *, gather_milk: bool = False) -> list[Item]:
    """Everything that a statement names, weighed.

    Args:
        components: of one container.
        options: what the law leaves open.
        gather_milk: whether the food is one whose milk ingredients may be gathered.
    """
    found = [item for component in components for item in _of(component, options)]
    if options.reconstituting:
        found = _with_water(found)
    return _gathered(found) if gather_milk and options.milk == "gathered" else found


def could_reconstitute(components: Iterable[Component], options: Options) -> bool:
    """Whether water and something dry that it could bring back stand at one place of the statement."""
    found = [item for component in components for item in _of(component, options)]
    return _with_water(found) != found


def _of(component: Component, options: Options) -> Iterable[Item]:
    grams = _weight(component, options)
    if grams is None:
        return
    path = tuple(label.strip() for label in reversed(component.groups) if not _opens(label, component, options))
    fractions = component.as_added_fractions
    item = Item(
        name_of(component),
        path,
        grams,
        component.kind,
        component.ingredient,
        component.given_only,
        tuple((name.strip(), share) for name, share in component.made_of),
        None if fractions is None else 1.0 - fractions[0],
    )
    if can_be_opened(component) and (options.compounds == "opened" or item.name.casefold() in options.opened):
        for name, share in item.made_of:
            yield replace(item, name=name, grams=grams * (share or 0.0), made_of=(), kind="", dry=None)
    else:
        yield item


def name_of(component: Component) -> str:
    """The name of an ingredient with what it preserves for, if it does."""
    name, purpose = component.name.strip(), component.preservative
    return f"{name} ({purpose})" if purpose and purpose.casefold() not in name.casefold() else name


def is_compound(component: Component) -> bool:
    """Whether an ingredient is made of others."""
    names = {name.strip().casefold() for name, _ in component.made_of}
    return bool(names) and names != {component.name.strip().casefold()}


def can_be_opened(component: Component) -> bool:
    """Whether every ingredient of a compound has a share, so that each can be ranked among the others."""
    return (
        is_compound(component) and not component.given_only and all(share is not None for _, share in component.made_of)
    )


def _opens(label: str, component: Component, options: Options) -> bool:
    if label.strip().casefold() in options.opened:
        return True
    # A rendered fat is the ingredient; opened up it would name a tissue that stayed in the pan.
    rendered = component.kind in {"meat", "fat"} and bool(words(label) & fat_words())
    return options.compounds == "opened" and not rendered


def _weight(component: Component, options: Options) -> float | None:
    """Weight as added, g; None for what is not in the food at all."""
    if component.given_only:
        return max(0.0, component.added_g)
    if component.kind == "water":
        if component.present_g <= NOTHING_G:
            return None
        if options.net_of_boiling:
            return max(0.0, component.added_g - component.boiled_g)
    return component.added_g if component.added_g > NOTHING_G else None


@functools.cache
def _single_strength() -> Mapping[str, float]:
    return {row["name"]: float(row["solids_pct"]) / 100.0 for row in rows("reconstituted.csv")}


def reconstituted(dry: Mapping[str, tuple[float, float]], water_g: float) -> tuple[dict[str, float], float]:
    """How much water each dry ingredient takes up to single strength, and what is left to be called water.

    Args:
        dry: class name to weight as added, g, and solids as a share of it, 0 to 1.
        water_g: water added beside them, g; where it is too little, each gets its share of what it needs.

    Returns:
        Grams of water by name, and the water left.
    """
    strength = _single_strength()
    needs = {
        name: grams * max(0.0, solids / strength[name] - 1.0)
        for name, (grams, solids) in dry.items()
        if solids > DRIER * strength[name]
    }
    need = sum(needs.values())
    covered = min(1.0, water_g / need) if need > 0 else 0.0
    return {name: need_g * covered for name, need_g in needs.items()}, max(0.0, water_g - need * covered)


def _with_water(found: Sequence[Item]) -> list[Item]:
    """Water of each place counted with what it brings back to single strength there."""
    places: dict[Path, list[int]] = defaultdict(list)
    for i, item in enumerate(found):
        places[item.path].append(i)
    out: list[Item | None] = list(found)
    for those in places.values():
        waters = [i for i in those if found[i].kind == "water"]
        powders = [i for i in those if _is_dry(found[i])]
        water = sum(found[i].grams for i in waters)
        if not powders or not water > 0:
            continue
        dry: dict[str, tuple[float, float]] = {}
        for i in powders:
            name, grams, solids = found[i].name.casefold(), found[i].grams, found[i].dry or 0.0
            before = dry.get(name, (0.0, 0.0))
            whole = before[0] + grams
            dry[name] = whole, (before[0] * before[1] + grams * solids) / whole
        taken, left = reconstituted(dry, water)
        for i in powders:
            name = found[i].name.casefold()
            out[i] = replace(found[i], grams=found[i].grams * (1.0 + taken.get(name, 0.0) / dry[name][0]))
        for i in waters:
            out[i] = replace(found[i], grams=found[i].grams * left / water) if left > NOTHING_G else None
    return [item for item in out if item is not None]


def _is_dry(item: Item) -> bool:
    least = _single_strength().get(item.name.casefold())
    return least is not None and item.dry is not None and item.grams > 0 and item.dry > DRIER * least


@functools.cache
def _milk_names() -> frozenset[str]:
    return frozenset(row["name"] for row in rows("milk_gathered.csv"))


def _gathered(found: Sequence[Item]) -> list[Item]:
    """Milk ingredients of the food itself under one name; those inside compounds stay."""
    milk = [item for item in found if not item.path and item.name.casefold() in _milk_names()]
    return [replace(item, name=GATHERED, made_of=(), dry=None) if item in milk else item for item in found]
