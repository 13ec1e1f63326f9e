"""What the label preparer says: ``label`` and ``business`` of ``shop.yaml``, ``label`` and ``flavour`` of a recipe.

What a recipe says stands before what the shop says; what neither says is as in :mod:`nutrition.law.us.options`.

>>> said = LabelChoices.model_validate({"closing clause": "1 %", "calories": "c", "also print": ["Vitamin A"]})
>>> options(said, None).threshold, options(said, None).calories, options(said, None).further
(1.0, 'C', ('vitamin_a',))
>>> options(said, LabelChoices.model_validate({"closing clause": "none"})).threshold is None
True
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, Any, Final, Literal

from pydantic import BeforeValidator, Field, PlainValidator, ValidationError

from costing.digits import UnreadableError, clean, number
from costing.shop import fields as f
from costing.shop import words
from costing.shop.building import explained, nearest
from costing.shop.yaml_lines import Group
from nutrition.law.us import rounding
from nutrition.law.us.options import Options, thresholds
from nutrition.law.us.tables import rows

if TYPE_CHECKING:
    from costing.shop.building import Builder, Entries

NONE: Final = "none"
_A_YEAR: Final = re.compile(r"(.+?) ?(?:per|a|/) ?(?:year|yr)", re.IGNORECASE)
MOST_A_YEAR: Final = 1e12


def _clause(value: object) -> str:
    """The per cent of the closing clause, as text, or ``none``."""
    plain = clean(value).casefold()
    if plain == NONE:
        return NONE
    bare = plain.removesuffix("%").strip()
    if bare not in {f"{one:g}" for one in thresholds()}:
        listed = ", ".join(f"{one:g} %" for one in thresholds())
        raise UnreadableError(f"'{plain}' cannot close an ingredient list", f"write one of: {listed}, none")
    return bare


def _nutrients(value: object) -> tuple[str, ...]:
    known = {row["name"].casefold(): key for key, row in rounding.lines().items()}
    known |= {key.replace("_", " "): key for key in rounding.lines()}
    found = []
    for name in words.names(value):
        key = known.get(name.casefold())
        if key is None:
            raise UnreadableError(f"no panel prints '{name}'", nearest(name, known, "write it as vitamin A"))
        found.append(key)
    return tuple(found)


def _category(value: object) -> str:
    plain, known = clean(value).casefold(), [row["category"] for row in rows("reference_amounts.csv")]
    if plain not in known:
        mend = nearest(plain, known, f"write one of: {', '.join(known)}")
        raise UnreadableError(f"'{plain}' has no reference amount here", mend)
    return plain


def _quality(value: object) -> float:
    plain = clean(value)
    quality = float(number(plain))
    if not 0 <= quality <= 1:
        raise UnreadableError(f"'{plain}' is no amino acid score", "write it as 0.95, at most 1")
    return quality


def a_year(value: object) -> float:
    """So much a year, money or units: ``310000 per year``.

    >>> a_year("3200 per year")
    3200.0
    """
    if isinstance(value, float):
        return value
    plain = clean(value)
    found = _A_YEAR.fullmatch(plain)
    if found is None:
        raise UnreadableError(f"'{plain}' does not say per what", "write it as 3200 per year")
    amount = float(number(found[1].strip()))
    if not 0 <= amount <= MOST_A_YEAR:
        raise UnreadableError(f"'{plain}' cannot be", "write 0 or more; check the number")
    return amount


def _people(value: object) -> float:
    plain = clean(value)
    people = float(number(plain))
    if not 0 <= people <= 1e7:
        raise UnreadableError(f"'{plain}' cannot be a number of people", "count full-time people, such as 4.5")
    return people


_lower = BeforeValidator(lambda value: clean(value).casefold() if isinstance(value, str) else value)
_YesNo = Annotated[bool, PlainValidator(words.yes_no)]
AYear = Annotated[float, PlainValidator(a_year)]


class LabelChoices(f.Checked):
    """Choices that the law leaves open; None where nobody chose."""

    percents_from: Annotated[Literal["unrounded", "rounded"], _lower] | None = Field(
        default=None, alias="percents from"
    )
    below_two: Annotated[Literal["0 %", "2 %"], _lower] | None = Field(default=None, alias="below 2 %")
    closing_clause: Annotated[str, PlainValidator(_clause)] | None = Field(default=None, alias="closing clause")
    calories: Annotated[Literal["A", "B", "C"], BeforeValidator(lambda value: clean(value).upper())] | None = None
    juice: Annotated[Literal["finished food", "juice volume"], _lower] | None = None
    compounds: Annotated[Literal["in brackets", "opened"], _lower] | None = None
    opened: Annotated[tuple[str, ...], PlainValidator(words.names)] = Field(default=(), alias="open")
    water: Annotated[Literal["as added", "net of boiling"], _lower] | None = None
    reconstituting: _YesNo | None = Field(default=None, alias="water reconstitutes")
    milk: Annotated[Literal["by name", "gathered"], _lower] | None = None
    also_print: Annotated[tuple[str, ...], PlainValidator(_nutrients)] = Field(default=(), alias="also print")
    lines: Annotated[Literal["all", "shortened", "simplified"], _lower] | None = None
    claims: _YesNo | None = Field(default=None, alias="nutrition claims")
    protein_quality: Annotated[float, PlainValidator(_quality)] | None = Field(default=None, alias="protein quality")
    equipment: Annotated[Literal["printed", "left out"], _lower] | None = Field(default=None, alias="shared equipment")
    reference: Annotated[str, PlainValidator(_category)] | None = Field(default=None, alias="reference amount")


class Flavour(f.Checked):
    """The flavour that names a food, and where it comes from, 21 CFR 135.110(f)."""

    name: f.Words
    comes_from: Annotated[Literal["natural", "mostly natural", "mostly artificial", "artificial"], _lower] | None = (
        Field(default=None, alias="from")
    )
    """None: as the flavourings of the recipe say"""
    added: f.Words | None = None
    """an artificial flavour besides that does not imitate it"""


def flavour(value: object) -> object:
    """``vanilla`` for ``{name: vanilla}``."""
    return {"name": value} if isinstance(value, str) else value


class Business(f.Checked):
    """What the law asks about a maker: for its name on the label, and for the small-business exemptions."""

    total_sales: AYear | None = Field(default=None, alias="total sales")
    food_sales: AYear | None = Field(default=None, alias="food sales")
    people: Annotated[float, PlainValidator(_people)] | None = None
    notice_filed: _YesNo = Field(default=False, alias="notice filed")
    wholesale: Annotated[tuple[str, ...], PlainValidator(words.names)] = ()
    """ways of selling that sell to others who sell"""
    line: Annotated[Literal["made by", "manufactured for", "distributed by"], _lower] = "made by"
    street_in_directory: _YesNo = Field(default=False, alias="street in directory")


_OPTIONS: Final[Mapping[str, tuple[str, Mapping[str, Any]]]] = {
    "percents_from": ("dv_from", {}),
    "below_two": ("below_two", {"0 %": "zero", "2 %": "two"}),
    "calories": ("calories", {}),
    "juice": ("juice", {}),
    "compounds": ("compounds", {"in brackets": "bracketed"}),
    "water": ("net_of_boiling", {"as added": False, "net of boiling": True}),
    "reconstituting": ("reconstituting", {}),
    "milk": ("milk", {}),
    "lines": ("lines", {}),
    "claims": ("claims", {}),
    "protein_quality": ("protein_quality", {}),
    "equipment": ("equipment", {}),
    "reference": ("category", {}),
    "also_print": ("further", {}),
}


def options(shop: LabelChoices | None, recipe: LabelChoices | None) -> Options:
    """The choices behind a label.

    Args:
        shop: those of the shop.
        recipe: those of the recipe, which stand before.
    """
    chosen: dict[str, Any] = {}
    for said in (shop, recipe):
        if said is None:
            continue
        for name in said.model_fields_set:
            value = getattr(said, name)
            if name == "closing_clause":
                chosen["threshold"] = None if value == NONE else float(value)
            elif name == "opened":
                chosen["opened"] = frozenset(one.casefold() for one in value)
            elif value is not None:
                key, meant = _OPTIONS[name]
                chosen[key] = meant.get(value, value) if isinstance(value, str) else value
    return Options(**chosen)


def over(base: LabelChoices | None, top: LabelChoices) -> LabelChoices:
    """Choices with others before them.

    >>> both = over(LabelChoices.model_validate({"calories": "A", "juice": "juice volume"}), said(["calories=C"]))
    >>> both.calories, both.juice
    ('C', 'juice volume')
    """
    if base is None:
        return top
    return base.model_copy(update={name: getattr(top, name) for name in top.model_fields_set})


def said(choices: Iterable[str]) -> LabelChoices:
    """Choices as somebody types them, one ``key=value`` for each; several values with ``;`` between them.

    Args:
        choices: such as ``lines=shortened`` or ``also print=vitamin A; iron``.

    Raises:
        UnreadableError: no such choice, in words for people.

    >>> said(["also print=vitamin A; vitamin C", "closing clause=1 %"]).also_print
    ('vitamin_a', 'vitamin_c')
    """
    keys = [info.alias or name for name, info in LabelChoices.model_fields.items()]
    raw: dict[str, Any] = {}
    for one in choices:
        key, sign, value = (bit.strip() for bit in one.partition("="))
        if key not in keys or not sign or not value:
            mend = nearest(key, keys, f"they are: {', '.join(keys)}") if sign else "write it as lines=shortened"
            raise UnreadableError(f"'{one}' is no choice for a label", mend)
        raw[key] = [bit.strip() for bit in value.split(";") if bit.strip()] if ";" in value else value
    try:
        return LabelChoices.model_validate(raw)
    except ValidationError as wrong:
        error = wrong.errors(include_url=False)[0]
        what, mend = explained(error, str(error["loc"][0]))
        raise UnreadableError(f"{error['loc'][0]}: {what}", mend) from None


BLOCKS: Final[Mapping[str, type[f.Checked]]] = {"label": LabelChoices, "business": Business, "flavour": Flavour}
"""Entries with entries of their own, by their name."""


def known(builder: Builder, entries: Entries, names: tuple[str, ...]) -> dict[str, Any]:
    """The entries, those of the blocks among them without any that nobody knows, which are told.

    Args:
        builder: takes findings.
        entries: of ``shop.yaml`` or of a recipe.
        names: which of the blocks may stand there.
    """
    found = dict(entries)
    for name in names:
        line, node = found.get(name, (0, None))
        if isinstance(node, Group):
            allowed = [info.alias or field for field, info in BLOCKS[name].model_fields.items()]
            found[name] = (line, Group(node.line, dict(builder.known_keys(node, allowed, f"'{name}'"))))
    return found
