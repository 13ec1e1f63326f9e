"""A finished food, as the law looks at it: what is in a container, and what went into it.

This is all that the label needs to know; how the food came about is not its matter.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from nutrition.composition import Composition


@dataclass(frozen=True, slots=True)
class Component:
    """One ingredient as it stands in the finished food. Every weight is for one container.

    Args:
        ingredient: the shop's own name for it.
        name: the common or usual name that the label uses.
        kind: ingredient class (``dairy``, ``sweetener``, ``fruit``, ``juice`` ...), ``other`` if not given.
        food: id of its food record.
        source: source of its food record, for people.
        added_g: weight as added, g, of what stayed in the food (the rank in the ingredient statement).
        present_g: weight now present, g.
        boiled_g: water of it that was boiled off, g.
        composition: what the present weight holds.
        estimated: nutrient key to what the estimate came from, out of the food record.
        made_of: sub-ingredients in order with their share of this ingredient (0 to 1), None where unknown.
        allergens: major allergens, ``milk`` or ``tree nut: pistachio``.
        groups: own labels that stand over it, innermost first (``("quince syrup",)``).
        given_only: it was steeped and strained out; what it gave is present, it itself is not.
        solids: shares of the ingredient as it went in, 0 to 1, where known: ``milkfat``, ``nonfat milk solids``,
            ``whey solids``, ``egg yolk solids``, ``cocoa solids``.
        sulphites_ppm: sulphites of the ingredient as bought, mg/kg; None where nobody said.
        bulky: ``chocolate``, ``fruit``, ``dried fruit``, ``nut``, ``other`` or empty, for the bulky-flavour rule.
        single_strength_brix: for a juice or fruit syrup, the Brix of its single-strength juice; None if not said.
        concentrated: a juice or fruit liquor whose sugars were concentrated in the kitchen.
        as_added_fractions: water, alcohol, fat, solubles, insolubles as shares of the ingredient as it went in.
        factors: kcal in a gram of its ``protein``, ``fat`` and ``carbohydrate``, where its source or the shop says so.
        sugar_alcohols: grams of each sugar alcohol now present.
        allulose_g: grams of allulose now present.
        soluble_fiber_g: grams of soluble non-digestible carbohydrate now present; None where nobody said.
        artificial: an artificial flavor or color.
        preservative: what it preserves for ("to retard spoilage"), empty where it is no chemical preservative.
        bioengineered: whether its supplier says that it is; None where nobody said.
    """

    ingredient: str
    name: str
    kind: str
    food: str
    source: str
    added_g: float
    present_g: float
    composition: Composition
    boiled_g: float = 0.0
    estimated: Mapping[str, str] = field(default_factory=dict)
    made_of: tuple[tuple[str, float | None], ...] = ()
    allergens: tuple[str, ...] = ()
    groups: tuple[str, ...] = ()
    given_only: bool = False
    solids: Mapping[str, float] = field(default_factory=dict)
    sulphites_ppm: float | None = None
    bulky: str = ""
    single_strength_brix: float | None = None
    concentrated: bool = False
    as_added_fractions: tuple[float, float, float, float, float] | None = None
    factors: Mapping[str, float] = field(default_factory=dict)
    sugar_alcohols: Mapping[str, float] = field(default_factory=dict)
    allulose_g: float = 0.0
    soluble_fiber_g: float | None = None
    artificial: bool = False
    preservative: str = ""
    bioengineered: bool | None = None


@dataclass(frozen=True, slots=True)
class Product:
    """A packaged food.

    Args:
        key: the recipe's file name without its ending.
        title: the flavour's name.
        wanted: the name of the food that the maker wants to use (``ice cream``, ``frozen dessert`` ...).
        components: everything in one container, one for each ingredient and group.
        net_g: net weight of one container, g.
        net_ml: volume of one container's food, air included, mL.
        declared_ml: the net quantity that is declared, mL (473.176473 for a pint).
        declared_text: how the container's size is written by the shop (``1 pint``).
        pieces_ml: of ``net_ml``, the volume of pieces folded in, mL.
        touched: allergens of everything that the food ever touched, strained out or not.
        composition: what one container holds.
        flavor: the characterizing flavor that stands with the name (``vanilla``), empty where the shop names none.
        flavor_from: ``natural``, ``mostly natural``, ``mostly artificial``, ``artificial``, or empty: as its parts say.
        flavor_added: an artificial flavor besides that does not imitate it, as it is printed.
    """

    key: str
    title: str
    wanted: str
    components: tuple[Component, ...]
    net_g: float
    net_ml: float
    declared_ml: float
    declared_text: str
    touched: frozenset[str]
    composition: Composition
    pieces_ml: float = 0.0
    flavor: str = ""
    flavor_from: str = ""
    flavor_added: str = ""
