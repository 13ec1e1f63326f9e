"""The machine-readable answers: one JSON document with stable keys for everything that can be asked.

Figures are unrounded, in grams, millilitres and the shop's currency; shares run 0 to 1 and ``_pct`` 0 to 100.
What is unknown is null: JSON has no other word for it, and zero would be a lie. Where draws were taken, a
figure ``x`` has a sibling ``x_range``, its 5th and 95th percentile.

>>> print(text(document([], [])))
{
  "schema": 1,
  "results": [],
  "findings": []
}
"""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from costing.findings import Finding
    from costing.results import Batch, CostAnswer, CostLine, Pair, PartResult, RecipeAnswer
    from costing.trials import Comparison, Measurement
    from nutrition.law.us.label import Label, NutrientLine

Json = dict[str, Any]

SCHEMA = 1
"""Rises when a key changes its meaning or goes; new keys leave it alone."""


def document(results: Iterable[Json], findings: Iterable[Finding]) -> Json:
    """The whole answer.

    Args:
        results: one for each recipe, from :func:`cost`, :func:`yields` or :func:`label`.
        findings: everything that there is to know or to mend.
    """
    return {"schema": SCHEMA, "results": list(results), "findings": [f.as_json() for f in findings]}


def text(answer: Any) -> str:
    """An answer as JSON text; what is not a finite number becomes null.

    >>> text({"x": float("nan")})
    '{\\n  "x": null\\n}'
    """
    return json.dumps(clean(answer), ensure_ascii=False, indent=2, allow_nan=False)


def clean(value: Any) -> Any:
    """The value with nothing in it that JSON cannot say: no NaN, no infinity, no dates, no NumPy scalars."""
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return str(value)  # an enumeration's plain text
    if isinstance(value, Mapping):
        return {str(key): clean(one) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [clean(one) for one in value]
    return value.isoformat() if isinstance(value, date) else _number(value)


def _number(value: Any) -> int | float | None:
    if isinstance(value, int):
        return int(value)
    number = float(value)
    return number if math.isfinite(number) else None


def cost(answer: RecipeAnswer) -> Json | None:
    """The answer of ``creamery cost`` for one recipe.

    Args:
        answer: the recipe's answer.

    Returns:
        Its document; None for a recipe that has no cost of its own, because it only makes a house base.
    """
    found = answer.cost
    if found is None:
        return None
    out = {
        "recipe": found.recipe,
        "title": found.title,
        "currency": found.currency,
        "as_of": found.as_of,
        "batch": _batch(found.batch),
        "cost": dataclasses.asdict(found.cost),
        "per_container": dataclasses.asdict(found.per_container),
        "per_serving": dataclasses.asdict(found.per_serving),
        "lines": [_line(line) for line in found.lines],
        "freight": dict(zip(("batch", "per_container"), found.freight, strict=True)) if found.freight else None,
        "lost": [dataclasses.asdict(loss) for loss in found.lost],
        "channels": [dataclasses.asdict(channel) for channel in found.channels],
        "value": _value(found),
        "filled": [dataclasses.asdict(filled) for filled in answer.filled],
        "also": [dataclasses.asdict(other) for other in found.also],
    }
    return _with_ranges(out, answer.ranges) | sampled(answer)


def sampled(answer: RecipeAnswer) -> Json:
    """The size of an answer's batch, and where its ranges come from."""
    return {
        "size": answer.size,
        "drivers": [dataclasses.asdict(driver) for driver in answer.drivers],
        "impossible_share": answer.impossible_share,
    }


def trials(found: Sequence[Comparison | Measurement], *, used: bool) -> Json:
    """What trials say of the steps that a recipe goes through.

    Args:
        found: the steps, with what their difference from the recipe costs where it has been worked out.
        used: whether the measured means stand in for what the recipe assumes.
    """
    return {"used": used, "steps": [_trial(one) for one in found]}


def _trial(one: Comparison | Measurement) -> Json:
    from costing.trials import Comparison

    m = one.measurement if isinstance(one, Comparison) else one
    said = m.summary
    out: Json = {
        "recipe": m.recipe,
        "part": m.part,
        "step": m.step,
        "verb": m.verb,
        "name": m.name,
        "where": m.where,
        "trials": said.count,
        "mean": said.mean,
        "low": said.low,
        "high": said.high,
        "deviation": said.deviation,
        "interval": said.interval,
        "rows": [
            {"where": row.where, "date": row.date, "in_g": row.in_g, "out_g": row.out_g, "note": row.note}
            for row in m.trials
        ],
    }
    if isinstance(one, Comparison):
        out |= {
            "assumed": one.assumed,
            "unit": one.unit,
            "cost": one.cost,
            "cost_measured": one.cost_measured,
            "difference": one.difference,
        }
    return out


def _batch(batch: Batch) -> Json:
    return dataclasses.asdict(batch)


def _line(line: CostLine) -> Json:
    return dataclasses.asdict(line)


def _value(found: CostAnswer) -> Json:
    """Where the as-bought value went: bought = in containers + saved + lost."""
    return {
        "bought": found.bought_value,
        "in_containers": found.in_containers_value,
        "saved": found.saved_value,
        "lost": found.lost_value,
    }


def yields(answer: RecipeAnswer) -> Json:
    """The answer of ``creamery yield`` for one recipe: every part, step by step, and what came out of it."""
    out: Json = {"recipe": answer.recipe, "title": answer.title, "parts": [_part(part) for part in answer.parts]}
    if answer.cost is not None:
        out |= {"currency": answer.cost.currency, "batch": _batch(answer.cost.batch)}
    out["alcohol"] = None if answer.label is None else _alcohol(answer.label)
    return _with_ranges(out, answer.ranges) | sampled(answer)


def _part(part: PartResult) -> Json:
    return {
        "name": part.name,
        "recipe": part.recipe,
        "steps": [{key: one for key, one in dataclasses.asdict(step).items() if key != "part"} for step in part.steps],
        "out": {
            "g": part.out_g,
            "ml": part.out_ml,
            "per_100g": part.composition.per_100g(),
            "cost_per_kg": 1000.0 * part.cost / part.out_g if part.out_g > 0 else None,
            "cost": part.cost,
            "used_share": part.used_share,
        },
    }


def label(answer: RecipeAnswer) -> Json | None:
    """The answer of ``creamery label`` for one recipe; None for one that fills no container."""
    found = answer.label
    if found is None:
        return None
    container = {"container": answer.filled[0].container}
    return _with_ranges(label_facts(found), answer.ranges) | container | sampled(answer)


def label_facts(found: Label) -> Json:
    """Everything that a label says, each text beside its unrounded figure and its rule."""
    serving = found.serving
    return {
        "recipe": found.key,
        "title": found.title,
        "law": found.law,
        "serving": {
            "measure": serving.measure,
            "g": serving.grams,
            "g_text": serving.grams_text,
            "per_container": serving.per_container_text,
            "servings": serving.per_container,
            "columns": list(serving.columns),
            "rule": serving.rule,
        },
        "print_ready": found.print_ready,
        "nutrients": [_nutrient(line) for line in found.nutrients],
        "simplified": found.simplified,
        "left_out": list(found.left_out),
        "not_significant": found.not_significant,
        "chosen": dict(found.chosen),
        "calorie_method": found.calorie_method,
        "ingredients": found.ingredients,
        "contains": found.contains,
        "allergens": list(found.allergens),
        "name": {
            "wanted": found.name.wanted,
            "allowed": found.name.allowed,
            "tests": [dataclasses.asdict(test) for test in found.name.tests],
            "notes": list(found.name.notes),
            "text": found.name.text,
            "category": found.name.category,
            "parts": [dataclasses.asdict(part) for part in found.name.parts],
        },
        "net_quantity": found.net_quantity,
        "business": list(found.business),
        "advisory": found.advisory,
        "bioengineered": found.bioengineered,
        "exemption": None if found.exemption is None else dataclasses.asdict(found.exemption),
        "inspection": [dataclasses.asdict(note) for note in found.inspection],
        "alcohol": _alcohol(found),
        "added_sugars_record": list(found.added_sugars_record),
        "notes": [dataclasses.asdict(note) for note in found.notes],
    }


def _alcohol(found: Label) -> Json:
    return {"by_volume_pct": found.alcohol_by_volume_pct, "by_weight_pct": found.alcohol_by_weight_pct}


def _nutrient(line: NutrientLine) -> Json:
    # dataclasses.asdict cannot copy a read-only mapping.
    out = {field.name: getattr(line, field.name) for field in dataclasses.fields(line)}
    weight = None if line.weight is None else dataclasses.asdict(line.weight)
    return out | {"declared": dict(line.declared), "dv_pct": dict(line.dv_pct), "weight": weight}


def _with_ranges(out: Json, ranges: Mapping[str, Pair]) -> Json:
    """Put every range beside its figure; the paths are keys with points (``cost.total``, ``channels.grocer.margin``).

    A list is entered by the ``name``, ``key``, ``item`` or place of its entry. A name may have points of its own
    (``channels.St. Mary's.margin``), and a name that two entries bear leads nowhere.
    """
    for path, pair in ranges.items():
        *way, last = path.split(".")
        place = _at(out, way)
        if isinstance(place, dict) and last in place:
            place[f"{last}_range"] = [pair[0], pair[1]]
    return out


def _at(place: Any, way: list[str]) -> Any:
    """What a way leads to, None if nowhere."""
    if not way:
        return place
    for words in range(1, len(way) + 1):
        inner = _enter(place, ".".join(way[:words]))
        found = None if inner is None else _at(inner, way[words:])
        if found is not None:
            return found
    return None


def _enter(place: Any, key: str) -> Any:
    if isinstance(place, dict):
        return place.get(key)
    if isinstance(place, list):
        named = [
            one for one in place if isinstance(one, dict) and key in (one.get("name"), one.get("key"), one.get("item"))
        ]
        if named:
            return named[0] if len(named) == 1 else None
        if key.isdigit() and int(key) < len(place):
            return place[int(key)]
    return None
