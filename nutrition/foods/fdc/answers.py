"""What the web service of FoodData Central answers, as foods.

The service's documented schema (FoodData Central API guide and its OpenAPI description, from memory): a food of
``format=full`` has ``foodNutrients`` with ``nutrient: {id, number, name, unitName}`` and ``amount`` in 100 g; an
abridged one has ``number, name, amount, unitName`` in one; branded foods carry ``labelNutrients`` for a serving
besides. Nothing of an answer is taken for granted: what does not fit is left out and said.

>>> found, why = foods(b'[{"fdcId": 1, "dataType": "SR Legacy", "description": "Milk", "foodNutrients": []}]')
>>> found[0].name, why
('Milk', ())
>>> foods(b"<html>")
Traceback (most recent call last):
    ...
nutrition.foods.fdc.answers.AnswerError: the answer is no JSON
"""

from __future__ import annotations

import json
import math
import re
from datetime import date
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final, NoReturn

from nutrition.foods.fdc.facts import Facts
from nutrition.foods.fdc.kinds import kind
from nutrition.foods.fdc.nutrients import Problem, identify
from nutrition.foods.fdc.printed import GRAMS, MILLILITRES, MOST_SERVING_G
from nutrition.foods.record import Measure

if TYPE_CHECKING:
    from collections.abc import Mapping

    from nutrition.foods.fdc.nutrients import Known

MOST_FOODS: Final = 1000
MOST_LINES: Final = 2000
"""Nutrients or portions of one food."""
LONGEST: Final = 4000
LABEL: Final = MappingProxyType({
    "calories": "energy", "fat": "total_fat", "saturatedFat": "saturated_fat", "transFat": "trans_fat",
    "cholesterol": "cholesterol", "sodium": "sodium", "carbohydrates": "total_carbohydrate", "fiber": "dietary_fiber",
    "sugars": "total_sugars", "addedSugar": "added_sugars", "protein": "protein", "calcium": "calcium", "iron": "iron",
    "potassium": "potassium",
})  # fmt: skip
"""``labelNutrients`` to ours, each in our unit (API guide, from memory)."""


class AnswerError(ValueError):
    """An answer that cannot be read; its one argument says why, for people to read."""


def foods(raw: bytes) -> tuple[tuple[Facts, ...], tuple[str, ...]]:
    """The foods of an answer.

    Args:
        raw: a food, or a list of foods, as JSON.

    Returns:
        The foods; and for each that cannot be read why, in words.

    Raises:
        AnswerError: it is no JSON, or no food and no list.
    """
    answer = _json(raw)
    listed = answer if isinstance(answer, list) else [answer]
    if not isinstance(answer, list | dict) or len(listed) > MOST_FOODS:
        raise AnswerError("the answer is no list of foods")
    found, problems = [], []
    for one in listed:
        try:
            found.append(food(one))
        except AnswerError as wrong:
            problems.append(str(wrong))
    return tuple(found), tuple(problems)


def _json(raw: bytes) -> Any:
    def refuse(word: str) -> NoReturn:
        raise ValueError(word)

    try:
        return json.loads(raw.decode("utf-8-sig"), parse_constant=refuse)
    except (ValueError, RecursionError):
        raise AnswerError("the answer is no JSON") from None


def food(raw: Any) -> Facts:
    """One food.

    Args:
        raw: its JSON object.

    Raises:
        AnswerError: it is no food, or of a kind that no kitchen uses.
    """
    if not isinstance(raw, dict):
        raise AnswerError("what should be a food is none")
    id_ = _whole(raw.get("fdcId"))
    if id_ is None:
        raise AnswerError("a food without FDC id")
    name = _text(raw.get("description"))
    try:
        type_ = kind(_text(raw.get("dataType")))
    except KeyError as strange:
        raise AnswerError(f"fdc:{id_}: {strange.args[0]}") from None
    if not name:
        raise AnswerError(f"fdc:{id_} has no name")
    amounts, problems = _amounts(raw.get("foodNutrients"))
    branded = type_.name == "branded"
    serving, unit = _positive(raw.get("servingSize")), _text(raw.get("servingSizeUnit")).lower()
    weighs = serving if branded and serving and unit in GRAMS and serving <= MOST_SERVING_G else None
    return Facts(
        id=id_,
        kind=type_.name,
        name=name,
        published=_day(_text(raw.get("publicationDate"))),
        group=_group(raw.get("foodCategory")),
        ndb=_ndb(raw.get("ndbNumber")),
        amounts=amounts,
        measures=_measures(raw, weighs),
        details=_details(raw) if branded else MappingProxyType({}),
        problems=problems,
        serving_g=weighs,
        by_volume=branded and unit in MILLILITRES,
        label=_label(raw.get("labelNutrients")) if weighs else MappingProxyType({}),
    )


def _amounts(raw: Any) -> tuple[tuple[tuple[Known, float], ...], tuple[str, ...]]:
    found: list[tuple[Known, float]] = []
    problems: list[str] = []
    for line in _list(raw):
        nested = line.get("nutrient")
        inner = nested if isinstance(nested, dict) else line
        id_ = _whole(inner.get("id")) if inner is not line else None
        number, name = _text(inner.get("number"), plain=True), _text(inner.get("name"))
        # A line without amount is a heading, or was not measured.
        if line.get("amount") is None or (id_ is None and not number):
            continue
        known = identify("" if id_ is None else str(id_), number, name, _text(inner.get("unitName")))
        amount = _number(line["amount"])
        if isinstance(known, Problem):
            problems.append(known.what)
        elif known is not None and amount is None:
            problems.append(f"{known.key.replace('_', ' ')}: what stands there is no amount")
        elif known is not None and amount is not None:
            found.append((known, amount))
    return tuple(found), tuple(dict.fromkeys(problems))


def _measures(raw: Mapping[str, Any], serving_g: float | None) -> tuple[Measure, ...]:
    found: dict[str, float] = {}
    household = _text(raw.get("householdServingFullText"))
    if household and serving_g:
        found[household] = serving_g
    for line in _list(raw.get("foodPortions")):
        grams = _positive(line.get("gramWeight"))
        text = _portion(line)
        if grams and text and grams <= 1e6:
            found.setdefault(text, grams)
    return tuple(Measure(text, grams) for text, grams in found.items())


def _portion(line: Mapping[str, Any]) -> str:
    """A portion in words: its own, or amount, unit and what is said of it."""
    said = _text(line.get("portionDescription"))
    if said and said.lower() != "quantity not specified":
        return said
    unit = line.get("measureUnit")
    name = _text(unit.get("name")) if isinstance(unit, dict) else ""
    modifier = _text(line.get("modifier"))
    if name.lower() == "undetermined":
        name = ""
    if modifier.isdigit():  # a code of the survey, for nobody to read
        modifier = ""
    amount = _positive(line.get("amount")) or 1.0
    words = ", ".join(part for part in (name, modifier) if part)
    return f"{amount:g} {words}" if words else ""


def _details(raw: Mapping[str, Any]) -> Mapping[str, str]:
    serving = _positive(raw.get("servingSize"))
    found = {
        "brand owner": _text(raw.get("brandOwner")),
        "brand": _text(raw.get("brandName")),
        "gtin": _text(raw.get("gtinUpc")),
        "ingredients": _text(raw.get("ingredients")),
        "serving": f"{serving:g} {_text(raw.get('servingSizeUnit'))}".strip() if serving else "",
        "household serving": _text(raw.get("householdServingFullText")),
        "category": _text(raw.get("brandedFoodCategory")),
    }
    return MappingProxyType({key: text for key, text in found.items() if text})


def _label(raw: Any) -> Mapping[str, float]:
    found: dict[str, float] = {}
    for name, line in raw.items() if isinstance(raw, dict) else ():
        value = _number(line.get("value")) if isinstance(line, dict) else None
        if name in LABEL and value is not None and 0 <= value < 1e6:
            found[LABEL[name]] = value
    return MappingProxyType(found)


def _group(raw: Any) -> str:
    code = _text(raw.get("code"), plain=True) if isinstance(raw, dict) else ""
    return code.zfill(4) if re.fullmatch(r"[0-9]{3,4}", code) else ""


def _ndb(raw: Any) -> str:
    text = _text(raw, plain=True)
    return text.zfill(5) if re.fullmatch(r"[0-9]{1,5}", text) else ""


def _day(text: str) -> str:
    """A day as ISO writes it; the service writes 4/1/2019 or 2019-04-01."""
    american = re.fullmatch(r"([0-9]{1,2})/([0-9]{1,2})/([0-9]{4})", text)
    try:
        if american:
            return date(int(american[3]), int(american[1]), int(american[2])).isoformat()
        return date.fromisoformat(text[:10]).isoformat()
    except ValueError:
        return ""


def _list(raw: Any) -> list[dict[str, Any]]:
    return [line for line in raw[:MOST_LINES] if isinstance(line, dict)] if isinstance(raw, list) else []


def _text(raw: Any, *, plain: bool = False) -> str:
    """A text of one line; numbers too where ``plain``, which sources write now one way and now the other."""
    if plain and isinstance(raw, int | float) and not isinstance(raw, bool) and math.isfinite(raw) and abs(raw) < 1e12:
        return f"{raw:.12g}"
    if not isinstance(raw, str):
        return ""
    return " ".join("".join(c if c.isprintable() else " " for c in raw[:LONGEST]).split())


def _number(raw: Any) -> float | None:
    """A finite number; a text that looks like one is none, because nobody promised it."""
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        return None
    try:
        value = float(raw)
    except OverflowError:
        return None
    return value if math.isfinite(value) else None


def _positive(raw: Any) -> float | None:
    value = _number(raw)
    return value if value is not None and value > 0 else None


def _whole(raw: Any) -> int | None:
    return raw if isinstance(raw, int) and not isinstance(raw, bool) and 0 < raw < 10**10 else None
