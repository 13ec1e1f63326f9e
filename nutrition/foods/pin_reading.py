"""Reads the pin of a food record: what :mod:`nutrition.foods.pins` wrote, or what somebody made of it by hand.

>>> from nutrition.foods import table
>>> found, problems = record(pins.texts(table.food("01053"), "2026-03-02"))
>>> pins.same(found.record, table.food("01053")), found.pinned, problems
(True, '2026-03-02', [])
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from nutrition.composition import Composition
from nutrition.foods import pins
from nutrition.foods.pins import FACTORS, KEYS, UNKNOWN, Pin
from nutrition.foods.record import FoodRecord, Measure
from nutrition.foods.spec_values import ProblemError, nearest, nutrient_key, plain
from nutrition.nutrients import nutrient

if TYPE_CHECKING:
    from nutrition.composition import Interval
    from nutrition.foods.spec_values import Problem

MOST: Final = 500
LONGEST: Final = pins.LONGEST
_NUMBER: Final = r"[0-9]{1,9}(?:\.[0-9]{1,40})?"
_UNIT: Final = r"(?:kcal|mcg|mg|g)"
_BOUNDS: Final = rf"\(\s*({_NUMBER})\s*({_UNIT})\s+to\s+({_NUMBER})\s*({_UNIT})\s*\)"
_VALUE: Final = re.compile(rf"(?:(unknown)|({_NUMBER})\s*({_UNIT}))(?:\s*{_BOUNDS})?")
_SHARE: Final = re.compile(rf"({_NUMBER})\s*%")
_GRAMS: Final = re.compile(rf"({_NUMBER})\s*g")


def record(raw: Mapping[str, Any]) -> tuple[Pin | None, list[Problem]]:
    """The record that a pin holds.

    Args:
        raw: its entries, mappings of texts as a file or sheet gives them.

    Returns:
        The pin, None where there are problems; and every problem at once, as where (keys from the top), what is
        wrong, and how to mend it.
    """
    reading = _Reading()
    pin = reading.pin(raw)
    return (None if reading.problems else pin), reading.problems


_MEND: Final = "take it back from an earlier copy, or pin it anew with: creamery foods pin"


class _Reading:
    """The reading of one pin."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def say(self, where: tuple[str, ...], what: str, mend: str = _MEND) -> None:
        self.problems.append((where, what, mend))

    def pin(self, raw: Mapping[str, Any]) -> Pin | None:
        if not isinstance(raw, Mapping):
            self.say((), "a pin must be entries with names")
            return None
        given: dict[str, Any] = {}
        for key, value in raw.items():
            if plain(key) in given:
                self.say((str(key),), f"'{plain(key)}' stands here twice", "keep one of them")
            elif plain(key) in KEYS:
                given[plain(key)] = value
            else:
                self.say((str(key),), f"a pin has no entry '{str(key)[:60]}'", nearest(plain(key), KEYS) or _MEND)
        food_id = self.id(given)
        name, source = self.text(given, "name", needed=True), self.text(given, "source", needed=True)
        pinned = self.day(given)
        values = self.values(given)
        estimated = self.estimated(given, values)
        composition = None
        if not self.problems:
            try:
                composition = Composition.of(100.0, values)
            except ValueError as wrong:
                self.say(("values",), str(wrong))
        group = self.text(given, "group")
        if group and not re.fullmatch(r"[0-9]{4}", group):
            self.say(("group",), f"'{group}' is no USDA food group code", "write four digits, such as 0900 for fruit")
        rounded = self.text(given, "rounded").lower()
        if rounded not in ("", "yes", "no"):
            self.say(("rounded",), f"'{rounded}' is neither yes nor no", "write yes or no")
        release, published = self.text(given, "release"), self.text(given, "published")
        details = MappingProxyType(self.pairs(given, "details"))
        measures, factors = self.measures(given), self.factors(given)
        refuse, made_of = self.share(given.get("refuse", ""), ("refuse",)), self.made_of(given)
        if composition is None or self.problems:
            return None
        food = FoodRecord(
            id=food_id,
            name=name,
            source=source,
            composition=composition,
            group=group,
            measures=measures,
            refuse=refuse,
            estimated=estimated,
            factors=factors,
            rounded=rounded == "yes",
            release=release,
            published=published,
            details=details,
            made_of=made_of,
        )
        return Pin(food, pinned)

    def text(self, given: Mapping[str, Any], key: str, *, needed: bool = False) -> str:
        value = given.get(key, "")
        if not isinstance(value, str):
            self.say((key,), f"{key} must be a text")
            return ""
        if len(value) > LONGEST:
            self.say((key,), f"{key} is longer than {LONGEST} characters")
            return ""
        if needed and not value.strip() and key not in given:
            self.say((key,), f"the pin does not say its {key}", f"add {key}: with what the source says")
        elif needed and not value.strip():
            self.say((key,), f"the pin's {key} is empty", f"write {key}: with what the source says")
        return value.strip()

    def id(self, given: Mapping[str, Any]) -> str:
        text = self.text(given, "id", needed=True).lower()
        if text and not pins.may_be_pinned(text):
            self.say(
                ("id",),
                f"'{text[:60]}' is not the id of a food that is pinned",
                "write usda: with five digits (usda:01053), or fdc: with the number of FoodData Central",
            )
        return text

    def day(self, given: Mapping[str, Any]) -> str:
        text = self.text(given, "pinned", needed=True)
        if text:
            try:
                return date.fromisoformat(text).isoformat()
            except ValueError:
                self.say(("pinned",), f"'{text[:60]}' is no day", "write it like 2026-03-02")
        return ""

    def pairs(self, given: Mapping[str, Any], key: str) -> dict[str, str]:
        """Names and texts below an entry."""
        inner = given.get(key, {})
        if not isinstance(inner, Mapping):
            self.say((key,), f"{key} must be names with values, one on each line")
            return {}
        if len(inner) > MOST:
            self.say((key,), f"{key} holds more than {MOST} lines")
            return {}
        found = {}
        for name, value in inner.items():
            if isinstance(value, str) and len(value) <= LONGEST:
                found[str(name)] = value.strip()
            else:
                self.say((key, str(name)), f"'{str(name)[:60]}' must have a text of one line")
        return found

    def key(self, section: str, name: str) -> str | None:
        try:
            key, factor = nutrient_key(name)
        except ProblemError as wrong:
            self.say((section, name), wrong.what, wrong.mend or _MEND)
            return None
        if factor != 1.0:
            self.say((section, name), f"'{name[:60]}' is not a nutrient of a pin", f"write {pins.name_of(key)}")
            return None
        return key

    def values(self, given: Mapping[str, Any]) -> dict[str, float | Interval]:
        found: dict[str, float | Interval] = {}
        pairs = self.pairs(given, "values")
        if not given.get("values"):
            self.say(("values",), "the pin has no values")
        for name, text in pairs.items():
            key = self.key("values", name)
            if key is None:
                continue
            if key in found:
                self.say(("values", name), f"{pins.name_of(key)} is given twice", "keep one of them")
                continue
            interval = self.amount(("values", name), nutrient(key).unit, text)
            if interval is not None:
                found[key] = interval
        return found

    def amount(self, where: tuple[str, ...], unit: str, text: str) -> Interval | None:
        match = _VALUE.fullmatch(text.lower())
        if match is None:
            example = f"write a number with its unit, such as 2.5 {unit}, or 2.5 {unit} (2.1 {unit} to 3 {unit})"
            self.say(where, f"'{text[:60]}' is not the amount of a pin", example)
            return None
        unknown, number, own, low, low_unit, high, high_unit = match.groups()
        wrong = [one for one in (own, low_unit, high_unit) if one is not None and one != unit]
        if wrong:
            self.say(where, f"'{wrong[0]}' is not the unit that a pin has for it", f"write {unit}")
            return None
        if unknown and low is None:
            self.say(where, "an unknown amount needs its bounds", f"write unknown (0 {unit} to 1 {unit})")
            return None
        value = math.nan if unknown else float(number)
        interval = (value, value, value) if low is None else (float(low), value, float(high))
        if interval[0] > interval[2] or not (unknown or interval[0] <= value <= interval[2]):
            self.say(where, f"'{text[:80]}' does not lie between its bounds", "write the smaller bound first")
            return None
        return interval

    def estimated(self, given: Mapping[str, Any], values: Mapping[str, Any]) -> Mapping[str, str]:
        found = {}
        for name, words in self.pairs(given, "estimated").items():
            key = self.key("estimated", name)
            if key is not None and key not in values and "values" in given:
                self.say(
                    ("estimated", name), f"{pins.name_of(key)} is called estimated but has no value", "add it to values"
                )
            elif key is not None:
                found[key] = words
        return MappingProxyType(found)

    def measures(self, given: Mapping[str, Any]) -> tuple[Measure, ...]:
        found = []
        for name, text in self.pairs(given, "measures").items():
            match = _GRAMS.fullmatch(text.lower())
            if match is None or not 0 < float(match[1]) <= 1e6:
                self.say(
                    ("measures", name), f"'{text[:60]}' is not the weight of a measure", "write grams, such as 238 g"
                )
            else:
                found.append(Measure(name, float(match[1])))
        return tuple(found)

    def share(self, text: object, where: tuple[str, ...]) -> float | None:
        if text in ("", UNKNOWN):
            return None
        match = _SHARE.fullmatch(text) if isinstance(text, str) else None
        if match is None or not 0 <= float(match[1]) <= 100:
            self.say(where, f"'{str(text)[:60]}' is not a share", "write a percentage, such as 10 %")
            return None
        return float(Decimal(match[1]) / 100)

    def factors(self, given: Mapping[str, Any]) -> Mapping[str, float]:
        found = {}
        for name, text in self.pairs(given, "factors").items():
            if name not in FACTORS or not re.fullmatch(_NUMBER, text):
                what = f"'{name[:60]}: {text[:60]}' is not kcal in a gram of protein, fat or carbohydrate"
                self.say(("factors", name), what)
            else:
                found[name] = float(text)
        return MappingProxyType(found)

    def made_of(self, given: Mapping[str, Any]) -> tuple[tuple[str, float | None], ...]:
        pairs = self.pairs(given, "made of")
        return tuple((name, self.share(text, ("made of", name))) for name, text in pairs.items())
