"""Reads a supplier's spec sheet into a food record.

A spec sheet is a small text file in the shop, read elsewhere into a mapping of texts::

    name: Duck skin with its fat, raw          # optional
    source: Ledgerwood, sheet of 2025-11-04    # who says so, and when
    per: 100 g                                 # or: 30 g serving
    values:                                    # numbers with units; what is not named stays unknown
      protein: 10.6 g
      trans fat: less than 0.5 g
      vitamin d: 0.4 mcg to 0.9 mcg
    rounded: yes                               # printed on a US label: each value is the interval that prints so
    measures: {1 cup: 220 g}
    refuse: 10 %
    group: 0500                                # USDA food group, whose estimates then fill what is missing
    estimated: {vitamin d: the supplier's own estimate}
    like: usda:01053                           # what the sheet does not say is as in this USDA record
    made of: {cream: 99.9 %, gellan gum: 0.1 %}  # or [cream, gellan gum]: goes into the ingredient statement

>>> found, problems = record("duck-skin", {"source": "made up, 2026", "per": "50 g", "values": {"protein": "5 g"}})
>>> found.composition.amount("protein"), problems
(10.0, [])
>>> cream, _ = record("cream", {"source": "made up", "like": "usda:01053", "values": {"trans fat": "1.3 g"}})
>>> cream.composition.bounds("trans_fat"), cream.composition.amount("total_fat")
((1.3, 1.3), 36.08)
>>> record("duck-skin", {"source": "made up", "per": "50 g", "values": {"proteen": "5 g"}})[1]
[(('values', 'proteen'), "there is no nutrient called 'proteen'", "did you mean 'protein'?")]
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from nutrition.composition import APART, PROXIMATES, Composition
from nutrition.foods import estimates, table
from nutrition.foods.record import FoodRecord, Measure
from nutrition.foods.spec_values import (
    Problem,
    ProblemError,
    amount,
    nearest,
    nutrient_key,
    parts,
    plain,
    scaled,
    share,
    weight,
)
from nutrition.nutrients import GRAMS, keys, nutrient

if TYPE_CHECKING:
    from nutrition.composition import Interval

KEYS = ("name", "source", "per", "values", "rounded", "measures", "refuse", "group", "estimated", "like", "made of")
LISTS = ("measures", "estimated", "values", "made of")
"""Entries that hold several things."""
MOST = 500
"""No sheet names more values or measures than this."""
SLACK = 0.5
"""Rounding noise between a whole and its parts, g in 100 g."""
TOO_MUCH = 103.0
"""What the proximates of 100 g may come to, rounding and methods allowed for, g."""
UNEXPLAINED = (25.0, 0.15)
"""Energy that protein, fat and carbohydrate leave unexplained: kcal in 100 g, and as a share of the energy."""


def record(
    name: str, raw: Mapping[str, Any], pinned: Mapping[str, FoodRecord] | None = None
) -> tuple[FoodRecord | None, list[Problem]]:
    """The food record of a spec sheet.

    Args:
        name: the sheet's name in the shop, without ending; the id becomes ``spec:name``.
        raw: the sheet, mappings of texts as its file gives them.
        pinned: the shop's pinned records by id, which what the sheet is ``like`` is taken from first.

    Returns:
        The record, None where there are problems; and every problem at once, as where (keys from the top
        of the sheet), what is wrong, and how to mend it.
    """
    sheet = _Sheet()
    if not isinstance(raw, Mapping):
        return None, [((), "a spec sheet must be a list of keys with values", "see the README for an example")]
    for key in raw:
        if plain(key) not in KEYS:
            sheet.say((str(key),), f"a spec sheet has no key '{key}'", nearest(plain(key), KEYS))
    given = {plain(key): value for key, value in raw.items()}
    title = sheet.text(given, "name") or name
    source = sheet.text(given, "source")
    if not source:
        sheet.say(("source",), "the sheet does not say where its values come from", "add source: who, and the date")
    rounded = sheet.yes(given, "rounded")
    like = sheet.like(given, pinned or {})
    group = sheet.group(given) or (like.group if like else "")
    per = 100.0 if like and "per" not in given else sheet.per(given)
    said = sheet.values(given, per, rounded)
    amounts = said if like is None else _like(like) | said
    measures = sheet.measures(given) or (like.measures if like else ())
    made_of = sheet.made_of(given)
    refuse = sheet.refuse(given)
    if refuse is None and like is not None:
        refuse = like.refuse
    if not sheet.problems:
        sheet.problems.extend(impossible(amounts))
    words = sheet.estimated(given, amounts)
    if like is not None:
        source = f"{source}; the rest as in {like.source}"
        words = {key: text for key, text in like.estimated.items() if key not in said} | words
    if sheet.problems:
        return None, sheet.problems
    filled, more = _fill(amounts, title, group)
    return FoodRecord(
        id=f"spec:{name}",
        name=title,
        source=source,
        composition=Composition.of(100.0, filled),
        group=group,
        measures=measures,
        refuse=refuse,
        estimated=MappingProxyType(dict(more) | words),
        factors=like.factors if like else MappingProxyType({}),
        rounded=rounded,
        made_of=made_of or (like.made_of if like else ()),
        like=like.id if like else "",
    ), []


def _like(record: FoodRecord) -> dict[str, Interval]:
    """What a record says in 100 g, estimates with their intervals."""
    composition = record.composition
    known = {key: composition.amount(key) for key in keys()}
    return {
        key: (composition.bounds(key)[0], value, composition.bounds(key)[1])
        for key, value in known.items()
        if value is not None
    }


def _fill(amounts: dict[str, Interval], name: str, group: str) -> tuple[Mapping[str, float | Interval], dict[str, str]]:
    """Amounts with estimates: those of the food group, and no alcohol where none is named."""
    filled: dict[str, float | Interval] = dict(amounts)
    words: dict[str, str] = {}
    if "alcohol" not in filled:
        filled["alcohol"] = 0.0
        words["alcohol"] = "the spec sheet names no alcohol, and its energy is explained without"
    # Without a group only what arithmetic says is filled: no trans fat where there is no fat, and so on.
    filled, more = estimates.fill(filled, name=name, group=group)
    return filled, words | dict(more)


def impossible(amounts: Mapping[str, Interval]) -> list[Problem]:
    """What cannot be in 100 g of any food.

    Args:
        amounts: intervals in 100 g by nutrient key.

    >>> impossible({"total_fat": (5.0, 5.0, 5.0), "trans_fat": (9.0, 9.0, 9.0)})
    [(('values', 'trans_fat'), 'trans fat is more than total fat: 9 g against 5 g in 100 g', 'check both values')]
    """
    found: list[Problem] = []
    for key, (low, _, _) in amounts.items():
        unit = nutrient(key).unit
        if unit in GRAMS and low * GRAMS[unit] > 100.0 + SLACK:
            words = f"{_name(key)} comes to {low:g} {unit} in 100 g of food"
            found.append((("values", key), words, "check the value, its unit and per"))
    if amounts.get("energy", (0.0,))[0] > 905:
        found.append(
            (("values", "energy"), "energy is above that of pure fat, 902 kcal in 100 g", "check energy and per")
        )
    if found:
        return found
    total = sum(amounts[key][0] for key in PROXIMATES if key in amounts)
    if total > TOO_MUCH:
        what = f"water, protein, fat, carbohydrate, ash and alcohol add up to {total:.1f} g in 100 g"
        found.append((("values",), what, "check the values and per"))
    for whole, part in dict.fromkeys((whole, part) for whole, inner in APART for part in inner):
        if whole in amounts and part in amounts and amounts[part][0] > amounts[whole][2] + SLACK:
            both = f"{amounts[part][0]:g} g against {amounts[whole][2]:g} g in 100 g"
            words = f"{_name(part)} is more than {_name(whole)}: {both}"
            found.append((("values", part), words, "check both values"))
    return found or unexplained(amounts)


def unexplained(amounts: Mapping[str, Interval]) -> list[Problem]:
    """Energy that only alcohol could explain, where none is named.

    Args:
        amounts: intervals in 100 g by nutrient key.

    >>> fat_alone = {"total_fat": (10.0,) * 3, "protein": (0.0,) * 3, "total_carbohydrate": (0.0,) * 3}
    >>> unexplained(fat_alone | {"energy": (300.0,) * 3})[0][1]
    'energy is 210 kcal in 100 g more than protein, fat and carbohydrate can give'
    """
    wanted = ("energy", "protein", "total_fat", "total_carbohydrate")
    if "alcohol" in amounts or any(key not in amounts for key in wanted):
        return []
    energy, protein, fat, carbohydrate = (amounts[key] for key in wanted)
    most = 4.36 * protein[2] + 9.02 * fat[2] + 4.2 * carbohydrate[2]
    over = energy[0] - most
    if over <= max(UNEXPLAINED[0], UNEXPLAINED[1] * energy[0]):
        return []
    what = f"energy is {over:.0f} kcal in 100 g more than protein, fat and carbohydrate can give"
    return [(("values", "energy"), what, "check the values; if the food holds alcohol, say how much: alcohol: 12 g")]


def _name(key: str) -> str:
    return key.replace("_", " ")


class _Sheet:
    """The reading of one sheet: values out, problems collected."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def say(self, where: tuple[str, ...], what: str, mend: str = "") -> None:
        self.problems.append((where, what, mend))

    def text(self, given: Mapping[str, Any], key: str) -> str:
        value = given.get(key, "")
        if isinstance(value, str):
            return value.strip()
        self.say((key,), f"{key} must be a text", "")
        return ""

    def yes(self, given: Mapping[str, Any], key: str) -> bool:
        text = self.text(given, key).lower()
        if text not in {"", "yes", "no", "true", "false"}:
            self.say((key,), f"'{text}' is neither yes nor no", f"write {key}: yes or {key}: no")
        return text in {"yes", "true"}

    def group(self, given: Mapping[str, Any]) -> str:
        text = self.text(given, "group")
        if text and not re.fullmatch(r"[0-9]{3,4}", text):
            self.say(("group",), f"'{text}' is no USDA food group code", "write four digits, such as 0900 for fruit")
            return ""
        return text.zfill(4) if text else ""

    def like(self, given: Mapping[str, Any], pinned: Mapping[str, FoodRecord]) -> FoodRecord | None:
        text = self.text(given, "like").lower()
        if not text:
            return None
        number = text.removeprefix("usda:").strip()
        try:
            return pinned.get(f"usda:{table.normal(number)}") or table.food(number)
        except KeyError as error:
            self.say(("like",), str(error.args[0]), "write a USDA record, such as like: usda:01053")
            return None

    def per(self, given: Mapping[str, Any]) -> float | None:
        text = self.text(given, "per")
        if not text:
            self.say(("per",), "the sheet does not say for how much food its values are", "add per: 100 g")
            return None
        try:
            return weight(text)
        except ProblemError as error:
            self.say(("per",), error.what, error.mend)
            return None

    def pairs(self, given: Mapping[str, Any], key: str) -> dict[str, str]:
        """The texts below a key, those that are none reported."""
        inner = given.get(key, {})
        if not isinstance(inner, Mapping):
            self.say((key,), f"{key} must be a list of names with values", "")
            return {}
        if len(inner) > MOST:
            self.say((key,), f"{key} holds more than {MOST} lines", "")
            return {}
        found = {}
        for name, value in inner.items():
            if isinstance(value, str) and value.strip():
                found[str(name)] = value.strip()
            else:
                self.say((key, str(name)), f"'{name}' has no value", "write a number with its unit, or leave it out")
        return found

    def values(self, given: Mapping[str, Any], per: float | None, rounded: bool) -> dict[str, Interval]:
        found: dict[str, Interval] = {}
        pairs = self.pairs(given, "values")
        if not given.get("values"):
            self.say(("values",), "the sheet has no values", "add values: {protein: 2.1 g, ...}")
        for name, text in pairs.items():
            try:
                key, factor = nutrient_key(name)
                if key in found:
                    raise ProblemError(f"{_name(key)} is given twice", "keep one of them")
                found[key] = scaled(amount(key, text, rounded=rounded and factor == 1), factor * 100.0 / (per or 100.0))
            except ProblemError as error:
                self.say(("values", name), error.what, error.mend)
        return found

    def measures(self, given: Mapping[str, Any]) -> tuple[Measure, ...]:
        found = []
        for name, text in self.pairs(given, "measures").items():
            try:
                found.append(Measure(name.strip(), weight(text)))
            except ProblemError as error:
                self.say(("measures", name), error.what, error.mend)
        return tuple(found)

    def refuse(self, given: Mapping[str, Any]) -> float | None:
        text = self.text(given, "refuse")
        if not text:
            return None
        try:
            return share(text)
        except ProblemError as error:
            self.say(("refuse",), error.what, error.mend)
            return None

    def made_of(self, given: Mapping[str, Any]) -> tuple[tuple[str, float | None], ...]:
        try:
            return parts(given.get("made of"))
        except ProblemError as error:
            self.say(("made of",), error.what, error.mend)
            return ()

    def estimated(self, given: Mapping[str, Any], amounts: Mapping[str, Interval]) -> dict[str, str]:
        words = {}
        for name, text in self.pairs(given, "estimated").items():
            try:
                key, _ = nutrient_key(name)
                if key not in amounts and not self.problems:
                    raise ProblemError(f"{_name(key)} is called estimated but has no value", "add it to values")
                words[key] = text
            except ProblemError as error:
                self.say(("estimated", name), error.what, error.mend)
        return words
