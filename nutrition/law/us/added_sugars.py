"""Added sugars, 21 CFR 101.9(c)(6)(iii), and the record behind them, (g)(10).

The work is split in two. :func:`for_class` says what of *one ingredient's* sugars are added sugars, by its class or by
what its supplier stated; the kitchen gives that to the ingredient's nutrients, so that added sugars ride along through
every step. Juice as bought has none there; what is concentrated is judged on the *finished food* by :func:`of`.

>>> juice_excess(20.0, 60.0, 11.5)  # of 20 g of apple sugars beside 60 g of water, 7.8 g are 100 % juice
12.203389831
"""

from __future__ import annotations

import functools
import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from nutrition.law.us.tables import rows, words

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date

    from nutrition.composition import Composition, Interval
    from nutrition.product import Component, Product

Method = Literal["finished food", "juice volume"]
FORGIVEN_G = 1.0
"""A statement may pass the food record's sugars by this much in 100 g: the two come from different analyses."""


@functools.cache
def _classes() -> Mapping[str, Mapping[str, str]]:
    return {row["class"]: row for row in rows("added_sugars_classes.csv")}


@functools.cache
def _sweet() -> frozenset[str]:
    return frozenset(row["word"] for row in rows("sweetener_words.csv"))


def rule_of(kind: str, sugars_high_g: float, names: Iterable[str] = ()) -> str:
    """``all``, ``none`` or ``say`` (the supplier must say) for an ingredient.

    Args:
        kind: ingredient class.
        sugars_high_g: the most sugars in 100 g.
        names: its common name and sub-ingredients; one that names a sweetener makes ``none`` into ``say``.

    Raises:
        KeyError: no such class.

    >>> rule_of("dairy", 5.0), rule_of("dairy", 54.4, ["sweetened condensed milk"])
    ('none', 'say')
    """
    row = _classes()[kind]
    if row["rule"] != "none":
        return row["rule"]
    limit = row["natural_at_most_g"]
    sweetened = any(words(name) & _sweet() for name in names)
    return "say" if sweetened or (limit and sugars_high_g > float(limit)) else "none"


def for_class(
    kind: str, composition_per_100g: Composition, stated_share: float | None = None, names: Iterable[str] = ()
) -> Interval:
    """Added sugars of one ingredient: low, value, high in g per 100 g; the value is ``nan`` where nobody said.

    Args:
        kind: ingredient class (``sweetener``, ``fruit`` ...).
        composition_per_100g: what 100 g of the ingredient hold.
        stated_share: added sugars as the supplier states them, as a share of the ingredient's weight, 0 to 1.
        names: its common name and sub-ingredients, which can show that its class does not answer.

    Returns:
        The interval, within the ingredient's sugars.

    Raises:
        KeyError: no such class.
        ValueError: more added sugars stated than the ingredient has sugars, or no share.

    >>> from nutrition.composition import Composition
    >>> for_class("sweetener", Composition.of(100, {"total_sugars": 99.8}))
    (99.8, 99.8, 99.8)
    >>> for_class("fruit", Composition.of(100, {"total_sugars": 12.0}))
    (0.0, 0.0, 0.0)
    >>> for_class("chocolate", Composition.of(100, {"total_sugars": 48.0}))
    (0.0, nan, 48.0)
    >>> for_class("chocolate", Composition.of(100, {"total_sugars": 48.0}), 0.44)
    (44.0, 44.0, 44.0)
    """
    low, high = composition_per_100g.bounds("total_sugars")
    if stated_share is not None:
        if not 0 <= stated_share <= 1:
            raise ValueError(f"added sugars are a share of the weight from 0 to 1, not {stated_share}")
        stated = round(stated_share * 100, 9)
        if stated > high + FORGIVEN_G:
            raise ValueError(
                f"{stated:g} g of added sugars stated in 100 g, but there are at most {high:g} g of sugars"
            )
        # A statement never makes more added sugars than sugars, or the panel would contradict itself.
        stated = min(stated, high)
        return stated, stated, stated
    rule = rule_of(kind, high, names)
    value = composition_per_100g.amount("total_sugars")
    if rule == "all":
        return low, math.nan if value is None else value, high
    if rule == "none" or high == 0:
        return 0.0, 0.0, 0.0
    return 0.0, math.nan, high


def of_record(kind: str, composition_per_100g: Composition) -> Interval | None:
    """Added sugars that a food record itself states, such as a supplier's sheet: low, value, high in g per 100 g.

    Args:
        kind: ingredient class; all sugars of a sweetener are added, whatever its sheet says.
        composition_per_100g: what 100 g of the ingredient hold, by that record.

    Returns:
        The interval, within the ingredient's sugars; None where the record does not say.

    Raises:
        KeyError: no such class.

    >>> from nutrition.composition import Composition
    >>> of_record("dairy", Composition.of(100, {"total_sugars": 14.0, "added_sugars": 9.0}))
    (9.0, 9.0, 9.0)
    """
    value = composition_per_100g.amount("added_sugars")
    if value is None or _classes()[kind]["rule"] == "all":
        return None
    low, high = composition_per_100g.bounds("added_sugars")
    most = composition_per_100g.bounds("total_sugars")[1]
    return min(low, most), min(value, most), min(high, most)


def juice_excess(sugars_g: float, water_g: float, brix: float) -> float:
    """Added sugars of concentrated juice by the finished food, g (the default, after FDA's questions and answers).

    The food's water could bring so much of the juice's sugars back to single strength; only the rest is added.

    Args:
        sugars_g: sugars from the juice, g.
        water_g: water in the same weight of the finished food, g; what was lost in processing is lost.
        brix: Brix of the single-strength juice.

    Returns:
        Added sugars, g, never below 0.

    Raises:
        ValueError: an amount below zero, or a Brix that is not between 0 and 100.

    >>> juice_excess(5.0, 60.0, 11.5)
    0.0
    """
    if not (sugars_g >= 0 and water_g >= 0):
        raise ValueError("sugars and water cannot be negative")
    if not 0 < brix < 100:
        raise ValueError(f"Brix lies between 0 and 100, not {brix}")
    return round(max(0.0, sugars_g - water_g * brix / (100.0 - brix)), 9)


def juice_excess_by_volume(sugars_g: float, brix: float, kept_share: float) -> float:
    """Added sugars of concentrated juice by its own volume, g (the conservative option).

    Args:
        sugars_g: sugars from the juice, g.
        brix: Brix of the juice before it was concentrated.
        kept_share: its weight afterwards as a share of its weight before, 0 to 1.

    Returns:
        Its sugars times the share of its volume that is gone.

    Raises:
        ValueError: a Brix or share that cannot be, or a syrup denser than the table reaches.

    >>> round(juice_excess_by_volume(100.0, 12.0, 0.5))  # half the weight keeps 47.6 % of the volume
    52
    """
    if not sugars_g >= 0:
        raise ValueError("sugars cannot be negative")
    if not 0 < kept_share <= 1 or not 0 < brix < 100:
        raise ValueError(f"a juice of {brix} Brix cannot keep {kept_share} of its weight")
    volume = kept_share * density(brix) / density(brix / kept_share)
    return max(0.0, sugars_g * (1.0 - volume))


def density(brix: float) -> float:
    """Density of a syrup at 20 degrees C, g/mL, between the lines of the table.

    Raises:
        ValueError: beyond the table.

    >>> round(density(24.0), 4)
    1.0994
    """
    table = [(float(row["brix"]), float(row["density"])) for row in rows("syrup_densities.csv")]
    for (b0, d0), (b1, d1) in itertools.pairwise(table):
        if b0 <= brix <= b1:
            return d0 + (d1 - d0) * (brix - b0) / (b1 - b0)
    raise ValueError(f"no density of a syrup of {brix:g} Brix is known")


def single_strength(fruit: str, on: date | None = None) -> float | None:
    """The least Brix of the fruit's single-strength juice, None where the table has none.

    >>> single_strength("quince"), single_strength("sour cherries"), single_strength("durian")
    (13.3, 14.0, None)
    """
    name = words(fruit)
    # Plurals: plums, peaches, cherries.
    name |= {word[:-1] for word in name} | {word[:-2] for word in name} | {f"{word[:-3]}y" for word in name}
    found = [row for row in rows("single_strength_brix.csv", on) if words(row["fruit"]) <= name]
    return float(max(found, key=lambda row: len(row["fruit"]))["brix"]) if found else None


def brix_of(component: Component) -> float | None:
    """Brix of a component's single-strength juice: as stated, else the least of its fruit by its name; None if neither.

    >>> from nutrition.composition import Composition
    >>> from nutrition.product import Component
    >>> brix_of(Component("ripe quinces", "quince", "fruit", "usda:09296", "SR28", 10.0, 10.0, Composition.none()))
    13.3
    """
    stated = component.single_strength_brix
    if stated is not None and 0 < stated < 100:
        return stated
    return single_strength(component.name) or single_strength(component.ingredient)


@dataclass(frozen=True, slots=True)
class AddedSugars:
    """Added sugars of a container, g.

    Args:
        low: least.
        value: best, None where somebody has to say.
        high: most.
        excess: by place of the component, low and high of what concentrating made of its sugars.
        record: the lines of the (g)(10) record.
    """

    low: float
    value: float | None
    high: float
    excess: Mapping[int, tuple[float, float]]
    record: tuple[str, ...]


def of(product: Product, method: Method = "finished food") -> AddedSugars:
    """Added sugars of a container, with concentrated juice counted, and the record of how.

    Several juices share the finished food's water: together they would need so much to be single strength, and what
    share of that need the water does not cover is the share of their sugars that is added.

    Args:
        product: the food.
        method: ``finished food`` or ``juice volume``.
    """
    low, high = product.composition.bounds("added_sugars")
    value = product.composition.amount("added_sugars")
    excess: dict[int, tuple[float, float]] = {}
    lines: list[str] = []
    juices = [(i, c) for i, c in enumerate(product.components) if c.concentrated]
    if juices:
        shares = _over(product, [c for _, c in juices], method)
        best = 0.0
        for (i, component), (least, middle, most) in zip(juices, shares, strict=True):
            sugars = _juice_sugars(component)
            excess[i] = sugars[0] * least, sugars[2] * most
            # An unknown share of nothing is nothing.
            best += sugars[1] * middle if sugars[1] else 0.0
            lines.append(_juice_line(component, product, method, sugars[1], middle))
        low, high = low + sum(e[0] for e in excess.values()), high + sum(e[1] for e in excess.values())
        value = None if value is None or math.isnan(best) else value + best
    most = product.composition.bounds("total_sugars")[1]
    high = min(high, most)
    low = min(low, high)
    value = None if value is None else min(max(value, low), high)
    return AddedSugars(low, value, high, excess, (*_class_lines(product), *lines, *_total_lines(low, value, high)))


def _juice_sugars(component: Component) -> Interval:
    """The component's own sugars, without sugars added to it."""
    c = component.composition
    (low, high), (added_low, added_high) = c.bounds("total_sugars"), c.bounds("added_sugars")
    total, added = c.amount("total_sugars"), c.amount("added_sugars")
    value = math.nan if total is None or added is None else max(0.0, total - added)
    most = max(0.0, high - added_low)
    # Where there is no room for any, what nobody measured is none.
    return max(0.0, low - added_high), value if most > 0 else 0.0, most


def _over(product: Product, juices: list[Component], method: Method) -> list[Interval]:
    """For each juice the share of its sugars that is added: least, best, most; ``nan`` and all where nobody knows."""
    if method == "juice volume":
        return [_by_volume(juice) for juice in juices]
    strengths = [brix_of(j) for j in juices]
    if None in strengths:
        return [(0.0, math.nan, 1.0)] * len(juices)
    water_low, water_high = product.composition.bounds("water")
    water = product.composition.amount("water")
    needs = [[s * (100 - b) / b for s in _juice_sugars(j)] for j, b in zip(juices, strengths, strict=True) if b]
    least, best, most = (math.fsum(need[k] for need in needs) for k in range(3))

    def share(need: float, there: float) -> float:
        # max(0.0, nan) is 0.0, which would make an unknown share a zero.
        if math.isnan(need) or math.isnan(there):
            return math.nan
        return max(0.0, 1.0 - there / need) if need > 0 else 0.0

    interval = share(least, water_high), share(best, math.nan if water is None else water), share(most, water_low)
    return [interval] * len(juices)


def _by_volume(juice: Component) -> Interval:
    brix = brix_of(juice)
    whole = juice.added_g
    if juice.as_added_fractions is not None and juice.as_added_fractions[0] > 0:
        water, _, _, solubles, _ = juice.as_added_fractions
        brix, whole = solubles / (water + solubles) * 100, juice.added_g * (water + solubles)
    if brix is None or not 0 < brix < 100 or juice.boiled_g >= whole:
        return 0.0, math.nan, 1.0
    try:
        share = juice_excess_by_volume(1.0, brix, (whole - max(0.0, juice.boiled_g)) / whole)
    except ValueError:
        return 0.0, math.nan, 1.0
    return share, share, share


def _grams(value: float | None) -> str:
    return "unknown" if value is None or math.isnan(value) else f"{value:.2f} g"


def _class_lines(product: Product) -> list[str]:
    lines = []
    for c in product.components:
        if c.composition.bounds("total_sugars")[1] <= 0:
            continue
        total, added = (_grams(c.composition.amount(key)) for key in ("total_sugars", "added_sugars"))
        lines.append(f"{c.ingredient} (class {c.kind}, {c.food}): {added} added of {total} sugars in a container")
    return lines


def _juice_line(juice: Component, product: Product, method: Method, sugars: float, share: float) -> str:
    added = sugars * share
    head = f"{juice.ingredient}: concentrated in the kitchen; {_grams(added)} of its {_grams(sugars)} sugars are added"
    if method == "juice volume":
        return f"{head}, by the share of the juice's own volume that was boiled off (conservative method)"
    brix = brix_of(juice)
    if brix is None:
        return f"{head}; the Brix of its single-strength juice is not known"
    return (
        f"{head}, by FDA's method on the finished food: {_grams(product.composition.amount('water'))} of water "
        f"bring it back to {brix:g} Brix (single strength, 21 CFR 101.30(h)(1) or analysis)"
    )


def _total_lines(low: float, value: float | None, high: float) -> list[str]:
    total = "Added sugars in a container: "
    total += f"{_grams(value)}" if value is not None and high - low < 1e-9 else f"{low:.2f} g to {high:.2f} g"
    return [total, "Keep this record for two years after the food is first sold, 21 CFR 101.9(g)(10), (11)."]


def record(product: Product, method: Method = "finished food") -> tuple[str, ...]:
    """The lines of the record that (g)(10) asks for: every ingredient's sugars, the method, the Brix, the sum."""
    return of(product, method).record
