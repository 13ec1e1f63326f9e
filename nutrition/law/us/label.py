"""What a label says: every printed text beside its unrounded value and its rule.

Plain values only; :mod:`nutrition.law.us.labelling` works them out of a :class:`~nutrition.product.Product`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from nutrition.law.us.added_sugars import AddedSugars
    from nutrition.law.us.exemption import Exemption
    from nutrition.law.us.ingredient_statement import Entry
    from nutrition.law.us.options import Options
    from nutrition.sureness import Sureness


@dataclass(frozen=True, slots=True)
class Serving:
    """The serving, 21 CFR 101.9(b).

    Args:
        measure: household measure (``2/3 cup``).
        grams: weight of a serving, unrounded, g.
        grams_text: as printed (``95g``).
        per_container: servings in a container, unrounded.
        per_container_text: as printed (``about 3``).
        columns: ``("serving",)``, ``("serving", "container")`` or ``("container",)``.
        rule: the paragraph.
    """

    measure: str
    grams: float
    grams_text: str
    per_container: float
    per_container_text: str
    columns: tuple[str, ...]
    rule: str


@dataclass(frozen=True, slots=True)
class NutrientLine:
    """One line of the panel.

    Args:
        key: nutrient key.
        name: as printed (``Total Fat``, ``Includes``).
        unit: unit of every amount here.
        per_100g: unrounded amount in 100 g, None where unknown.
        per_serving: unrounded amount in a serving, None where unknown; with its bounds.
        per_container: unrounded amount in a container, None where unknown.
        declared: printed text by column, ``{"serving": "17g", "container": "51g"}``; empty where it cannot be printed.
        dv_pct: printed per cent of daily value by column, empty where the law has none.
        print_ready: the bounds print the same text in every column.
        unknown_from: ingredients whose unknown amounts make the bounds print differently.
        estimated_from: ``ingredient: what the estimate came from``.
        rule: the paragraph that rounds it.
        weight: how much of the food's weight is known, estimated and unknown as to this line; None for a line that no
            food record has.
    """

    key: str
    name: str
    unit: str
    per_100g: float | None
    per_serving: float | None
    per_serving_low: float
    per_serving_high: float
    per_container: float | None
    per_container_low: float
    per_container_high: float
    declared: Mapping[str, str]
    dv_pct: Mapping[str, int]
    print_ready: bool
    unknown_from: tuple[str, ...]
    estimated_from: tuple[str, ...]
    rule: str
    weight: Sureness | None = None


@dataclass(frozen=True, slots=True)
class NameTest:
    """One condition on a name: ``value`` is in ``unit``; ``met`` is None where it cannot be told."""

    what: str
    value: float | None
    limit: float
    unit: str
    met: bool | None
    rule: str
    at_most: bool = False
    for_name: str = ""
    below: bool = False
    """with ``at_most``: the limit itself is not met any more"""

    @property
    def must_be(self) -> str:
        """``at least``, ``at most`` or ``below``."""
        return "at least" if not self.at_most else "below" if self.below else "at most"


@dataclass(frozen=True, slots=True)
class NamePart:
    """Words of the name on the main panel, in the order in which they stand.

    Args:
        text: as printed.
        role: ``food`` (the name of the food), ``flavor``, ``flavored`` or ``added``.
        least: least height of its letters, as a share of the height of ``of``; 0 where the law asks none.
        of: the role whose letters are the measure.
        rule: the paragraph.
    """

    text: str
    role: str
    least: float
    of: str
    rule: str


@dataclass(frozen=True, slots=True)
class NameAnswer:
    """The name of the food: what was wanted, what the standards allow, and every test.

    Args:
        wanted: the name that the maker wants.
        allowed: the name that it may bear.
        tests: every condition, each value beside its limit.
        notes: what a person should look at.
        parts: the words as they stand on the main panel, the flavor's with the food's.
        category: I, II or III of 21 CFR 135.110(f)(2); empty where no flavor stands with the name.
    """

    wanted: str
    allowed: str
    tests: tuple[NameTest, ...]
    notes: tuple[str, ...] = ()
    parts: tuple[NamePart, ...] = ()
    category: str = ""

    @property
    def text(self) -> str:
        """The name with its flavor on one line, without what is added beneath."""
        return " ".join(part.text for part in self.parts if part.role != "added") or self.allowed


@dataclass(frozen=True, slots=True)
class Note:
    """Something the label preparer must know.

    Args:
        level: ``error``, ``warning`` or ``note``.
        what: what it is, one sentence.
        mend: what to do about it, may be empty.
        rule: the paragraph or source.
        about: ``nutrients``, ``ingredients``, ``allergens``, ``name``, ``net quantity``, ``alcohol``, ``meat`` ...
    """

    level: str
    what: str
    mend: str = ""
    rule: str = ""
    about: str = ""


@dataclass(frozen=True, slots=True)
class Label:
    """Everything that a retail container must say, and what stands behind it.

    The last fields are what evidence needs beside the texts: a label put together by hand lacks them.
    """

    key: str
    title: str
    law: str
    serving: Serving
    nutrients: tuple[NutrientLine, ...]
    calorie_method: str
    ingredients: str
    contains: str
    allergens: tuple[str, ...]
    name: NameAnswer
    net_quantity: str
    added_sugars_record: tuple[str, ...]
    notes: tuple[Note, ...]
    print_ready: bool
    alcohol_by_volume_pct: float
    alcohol_by_weight_pct: float
    statement: tuple[Entry, ...] = ()
    """the names of the ingredient statement, in its order"""
    sugars: AddedSugars | None = None
    """added sugars of a container, with what concentrating made of them"""
    as_of: date | None = None
    """the day whose rules were applied; None: the rules that have no end"""
    dv_from: str = "unrounded"
    calorie_key: str = "B"
    """the method of 101.9(c)(1)(i) by its letter"""
    left_out: tuple[str, ...] = ()
    """lines of every full panel that this one leaves out, by nutrient key, 101.9(c), (f)"""
    not_significant: str = ""
    """the statement below the table for them ("Not a significant source of dietary fiber."), empty for none"""
    simplified: bool = False
    """the simplified form of 101.9(f) is used"""
    chosen: Mapping[str, str] = field(default_factory=dict)
    """what the label preparer chose where the law leaves it open, in words"""
    options: Options | None = None
    """those choices"""
    exemption: Exemption | None = None
    """whether the panel may be left off; None where nothing is known of the maker"""
    business: tuple[str, ...] = ()
    """name and place of business, as printed"""
    advisory: str = ""
    """what may be printed about shared equipment; voluntary, empty where there is nothing to say"""
    bioengineered: str = ""
    """the disclosure of 7 CFR 66, empty where none is wanted"""
    inspection: tuple[Note, ...] = ()
    """what an inspector asks besides"""
