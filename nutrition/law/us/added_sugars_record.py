"""The record of added sugars that 21 CFR 101.9(g)(10)(v) and (g)(11) ask for, from memory: amounts, not words alone.

No analysis can tell added sugars from the others, so a food that holds both needs a record of how much was added and
how that was worked out. It is kept for two years after the food is first sold, and shown to an inspector who asks.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.law.us import added_sugars
from nutrition.law.us.evidence import NOTHING, Amount, of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from nutrition.law.us.label import Label
    from nutrition.product import Component, Product

RULE = "21 CFR 101.9(g)(10), (11)"
KEEP = "Keep this record for two years after the food is first sold."


@dataclass(frozen=True, slots=True)
class Sweet:
    """The sugars of one ingredient in a container, g.

    Args:
        ingredient: the shop's name for it.
        kind: its class.
        food: id of its food record.
        source: source of that record.
        grams: of it in the container.
        sugars: all of its sugars.
        added: those that count as added.
        basis: why so many.
        brix: of the single-strength juice, where the kitchen concentrated one; else None.
    """

    ingredient: str
    kind: str
    food: str
    source: str
    grams: float
    sugars: Amount
    added: Amount
    basis: str
    brix: float | None = None


@dataclass(frozen=True, slots=True)
class Record:
    """Added sugars of a container, ingredient by ingredient, in g.

    Args:
        recipe: key of the recipe.
        title: its title.
        sweets: every ingredient with sugars, the most added first.
        concentrated: what concentrating juice or fruit adds, over all ingredients.
        total: the sum, as the label has it before it is rounded.
        water_g: water in the finished container, by which concentrated juice is judged; None where unknown.
        net_g: net weight of the container.
        serving_g: weight of a serving.
        printed: what the label prints, by column.
        rule: the paragraph.
        keep: how long.
    """

    recipe: str
    title: str
    sweets: tuple[Sweet, ...]
    concentrated: Amount
    total: Amount
    water_g: float | None
    net_g: float
    serving_g: float
    printed: tuple[tuple[str, str], ...]
    rule: str = RULE
    keep: str = KEEP


def record(product: Product, label: Label) -> Record:
    """The record of a product.

    Args:
        product: the food; weights are those of one container.
        label: its label.

    Returns:
        The record; the added sugars of its ingredients and what concentrating adds come to its total.
    """
    sweets = sorted(_sweets(product.components), key=lambda one: (-(one.added.value or one.added.high), one.ingredient))
    ours = sum((one.added for one in sweets), NOTHING)
    line = next(line for line in label.nutrients if line.key == "added_sugars")
    total = Amount(line.per_container_low, line.per_container, line.per_container_high)
    return Record(
        label.key,
        label.title,
        tuple(sweets),
        total - ours,
        total,
        product.composition.amount("water"),
        product.net_g,
        label.serving.grams,
        tuple(line.declared.items()),
    )


def _sweets(components: Iterable[Component]) -> Iterable[Sweet]:
    gathered: dict[tuple[str, bool], list[Component]] = {}
    for component in components:
        if component.composition.bounds("total_sugars")[1] > 0:
            gathered.setdefault((component.ingredient, component.concentrated), []).append(component)
    for (ingredient, concentrated), those in gathered.items():
        first = those[0]
        sugars = sum((of(c, "total_sugars") for c in those), NOTHING)
        added = sum((of(c, "added_sugars") for c in those), NOTHING)
        brix = added_sugars.brix_of(first) if concentrated else None
        grams = math.fsum(c.present_g for c in those)
        basis = _basis(first, sugars, added)
        if concentrated:
            strength = "not known" if brix is None else f"{brix:g} Brix"
            basis += f"; concentrated in the kitchen, single strength {strength}: what exceeds 100 % juice is added too"
        yield Sweet(ingredient, first.kind, first.food, first.source, grams, sugars, added, basis, brix)


def _basis(component: Component, sugars: Amount, added: Amount) -> str:
    if added.value is None:
        return f"class {component.kind}: nobody has said how much of it is added"
    if _same(added.value, 0.0):
        return f"class {component.kind}: none of its sugars is added"
    if sugars.value is not None and _same(added.value, sugars.value):
        return f"class {component.kind}: all of its sugars are added"
    return "as the shop states it, from the supplier"


def _same(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
