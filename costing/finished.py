"""The finished food as the law looks at it: from the pot that was filled to a :class:`nutrition.product.Product`.

Everything is for one container of the net quantity that is declared: a container filled a little fuller than it says
is given away, not declared.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from costing.contents import by_piece
from costing.kitchen.density import millilitres
from costing.kitchen.pot import ADDED, BOILED, SOLUBLES, WATER
from nutrition.composition import Composition
from nutrition.product import Component, Product

if TYPE_CHECKING:
    from collections.abc import Mapping

    from costing.kitchen.brew import Brew
    from costing.kitchen.materials import Material
    from costing.kitchen.pot import Pot, Tag
    from costing.shop.models import Recipe

_BULKY = {"chocolate": "chocolate", "fruit": "fruit", "juice": "fruit", "nut": "nut"}
_DRIED_BELOW = 0.4
"""fruit with less water than this counts as dried; our own line, raisins have 15 % and fresh fruit 80 %"""

_Key = tuple[str, str | None, tuple[str, ...], bool]


@dataclass(slots=True)
class _Gathered:
    """Pieces that stand as one in the ingredient statement."""

    places: list[int] = field(default_factory=list)
    tags: list[Tag] = field(default_factory=list)


def product(brew: Brew, materials: Mapping[str, Material], draw: int = 0) -> Product | None:
    """The product in the first kind of container that a batch fills.

    Args:
        brew: the batch.
        materials: ingredient to material.
        draw: which draw.

    Returns:
        The product, None for a batch that fills nothing.
    """
    if not brew.filled:
        return None
    first, pot = brew.filled[0], brew.pot.at(draw)
    density = float(first.grams[draw] / first.ml[draw])
    declared_ml = min(float(brew.draws.of(first.container.holds)[draw]), float(first.ml[draw]))
    net_g = density * declared_ml
    share = net_g / float(pot.grams()[0])
    nutrients = by_piece(pot, materials)[:, :, 0, :] * share
    components = [
        _component(key, gathered, pot, nutrients, share, materials, brew.recipe)
        for key, gathered in _gather(pot, materials).items()
    ]
    present = {component.ingredient for component in components}
    components += [
        _given(ingredient, groups, materials) for ingredient, groups in sorted(pot.steeped) if ingredient not in present
    ]
    total = nutrients.sum(axis=1)
    return Product(
        key=brew.recipe.key,
        title=brew.recipe.title,
        wanted=brew.recipe.sold_as,
        components=tuple(components),
        net_g=net_g,
        net_ml=declared_ml,
        declared_ml=declared_ml,
        declared_text=first.container.holds.text,
        touched=pot.touched,
        composition=Composition(net_g, total[0], total[1], total[2]),
        pieces_ml=float(pot.folded[0]) * share,
        **_flavor(brew.recipe),
    )


def _flavor(recipe: Recipe) -> dict[str, str]:
    said = recipe.flavour
    if said is None:
        return {}
    return {"flavor": said.name, "flavor_from": said.comes_from or "", "flavor_added": said.added or ""}


def liquor(tag: Tag, materials: Mapping[str, Material]) -> bool:
    """Whether a piece is juice whose sugars were concentrated: boiled down, or given by dried fruit to its liquor."""
    if "concentrated" in tag.marks:
        return True
    return "given" in tag.marks and _by_class(materials[tag.ingredient]) == "dried fruit"


def _gather(pot: Pot, materials: Mapping[str, Material]) -> dict[_Key, _Gathered]:
    found: dict[_Key, _Gathered] = {}
    for i, tag in enumerate(pot.tags):
        gathered = found.setdefault((tag.ingredient, tag.label, tag.groups, liquor(tag, materials)), _Gathered())
        gathered.places.append(i)
        gathered.tags.append(tag)
    return found


def _component(
    key: _Key,
    gathered: _Gathered,
    pot: Pot,
    nutrients: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    share: float,
    materials: Mapping[str, Material],
    recipe: Recipe,
) -> Component:
    # What fruit gave to a boiled liquor is judged apart from the fruit that is still whole.
    ingredient, label, groups, concentrated = key
    material = materials[ingredient]
    entry, places = material.entry, gathered.places
    grams = float(pot.mass[places, 0].sum()) * share
    # What is dissolved in an ingredient stays with its solubles: so much of it as went in would hold what is left.
    solubles = float(material.fractions[SOLUBLES])
    whole = float(pot.mass[places, 0, SOLUBLES].sum()) * share / solubles if solubles > 0 else grams
    low, value, high = nutrients[:, places, :].sum(axis=1)
    return Component(
        ingredient=ingredient,
        name=label or entry.label,
        kind=str(entry.kind),
        food=material.record.id,
        source=material.record.source,
        added_g=float(pot.ledgers[places, 0, ADDED].sum()) * share,
        present_g=grams,
        boiled_g=float(pot.ledgers[places, 0, BOILED].sum()) * share,
        composition=Composition(grams, low, value, high),
        estimated=material.record.estimated,
        made_of=tuple((sub.name, None if sub.share is None else sub.share.mid) for sub in entry.made_of),
        allergens=tuple(sorted(material.allergens)),
        groups=groups,
        given_only=all("given" in tag.marks for tag in gathered.tags),
        solids=_solids(material),
        sulphites_ppm=entry.sulphites_ppm,
        bulky=_bulky(material, frozenset(name for tag in gathered.tags for name in tag.names), recipe),
        single_strength_brix=entry.single_strength,
        concentrated=concentrated,
        as_added_fractions=tuple(float(x) for x in material.fractions),  # type: ignore[arg-type]
        factors={**material.record.factors, **entry.calorie_factors},
        sugar_alcohols={name: share.mid * whole for name, share in entry.sugar_alcohols.items()},
        allulose_g=0.0 if entry.allulose is None else entry.allulose.mid * whole,
        soluble_fiber_g=soluble_fiber(material, Composition(grams, low, value, high)),
        artificial=entry.artificial,
        preservative=entry.preservative or "",
        bioengineered=entry.bioengineered,
    )


def soluble_fiber(material: Material, present: Composition) -> float | None:
    """Soluble fibre now present, g: of the fibre there is, the share that its entry says; None if it says nothing."""
    if present.bounds("dietary_fiber")[1] <= 0:
        return 0.0
    fibre, there = material.record.composition.amount("dietary_fiber"), present.amount("dietary_fiber")
    said = material.entry.soluble_fiber
    if said is None or not fibre or there is None:
        return None
    return min(1.0, said.mid * 100.0 / fibre) * there


def _given(ingredient: str, groups: tuple[str, ...], materials: Mapping[str, Material]) -> Component:
    """Something that was steeped and taken out whole: nothing of it is present, but it stays declared."""
    material = materials[ingredient]
    return Component(
        ingredient=ingredient,
        name=material.entry.label,
        kind=str(material.entry.kind),
        food=material.record.id,
        source=material.record.source,
        added_g=0.0,
        present_g=0.0,
        composition=Composition.none(),
        allergens=tuple(sorted(material.allergens)),
        made_of=tuple((sub.name, None if sub.share is None else sub.share.mid) for sub in material.entry.made_of),
        groups=groups,
        given_only=True,
        artificial=material.entry.artificial,
        preservative=material.entry.preservative or "",
        bioengineered=material.entry.bioengineered,
    )


def _solids(material: Material) -> dict[str, float]:
    entry = material.entry
    said = {
        "milkfat": entry.milkfat,
        "nonfat milk solids": entry.nonfat_milk_solids,
        "whey solids": entry.whey_solids,
        "egg yolk solids": entry.egg_yolk_solids,
        "cocoa solids": entry.cocoa_solids,
    }
    return {name: share.mid for name, share in said.items() if share is not None}


def _bulky(material: Material, parts: frozenset[str], recipe: Recipe) -> str:
    """How an ingredient counts as a bulky flavour: as it says, as the part that it is in, as its class."""
    if material.entry.bulky is not None:
        return "" if material.entry.bulky == "no" else str(material.entry.bulky)
    if not parts.isdisjoint(recipe.bulky):
        return "other"
    return _by_class(material)


def _by_class(material: Material) -> str:
    kind = _BULKY.get(str(material.entry.kind), "")
    return "dried fruit" if kind == "fruit" and material.fractions[WATER] < _DRIED_BELOW else kind


def weight_per_gallon_lb(grams: float, ml: float) -> float:
    """Pounds to the US gallon of 3,785.411784 mL, of 453.59237 g to the pound (NIST Handbook 44, appendix C).

    >>> round(weight_per_gallon_lb(473.176473 * 0.5392, 473.176473), 2)
    4.5
    """
    return grams / ml * 3785.411784 / 453.59237


def overrun(brew: Brew) -> float | None:
    """Air over mix by volume, as a share; None where nothing was churned."""
    pot = brew.pot
    if pot.mix_ml is None or not float(pot.mix_ml[0]) > 0:
        return None
    return float(pot.air[0] / pot.mix_ml[0])


def mix_density(brew: Brew) -> float | None:
    """g/mL of the mix that was churned, without air and without what was folded in; None where nothing was churned."""
    for part in reversed(brew.parts):
        churned = [i for i, step in enumerate(part.steps) if step.verb == "churn"]
        if churned and churned[0] > 0:
            mix = part.steps[churned[0] - 1]
            return float(mix.out_g[0] / mix.out_ml[0]) if float(mix.out_ml[0]) > 0 else None
    return float(brew.pot.grams()[0] / millilitres(brew.pot)[0]) if brew.pot.mix_ml is not None else None
