"""The record that is kept beside a printed label: everything by which a later label can be held against it.

It holds the printed texts with their unrounded amounts and evidence, what recipe, ingredients, containers and machines
said, the food records with their values, and a fingerprint of every table of rules. Prices play no part in a label and
are not in it. A record is one JSON document; ``version`` rises when a key changes its meaning or goes.
"""

from __future__ import annotations

import functools
import hashlib
import json
from typing import TYPE_CHECKING, Any

from costing import answers
from costing.evidence import documents
from costing.label_record import said
from costing.shop import gtins
from nutrition import resources
from nutrition.law.us.provisions import in_force
from nutrition.law.us.tables import rows
from nutrition.nutrients import keys

if TYPE_CHECKING:
    from datetime import date

    from costing.desk import Asked, Shop
    from costing.evidence.gather import Evidence
    from nutrition.foods.record import FoodRecord

Json = dict[str, Any]

VERSION = 1
KITCHEN = (
    *("densities.csv", "ethanol_water.csv", "alcohol_retention.csv", "heat.csv", "straining.csv", "states.csv"),
    "vitamin_retention.csv",
)
NOT_LAW = frozenset(
    {
        *("provisions.csv", "panel.csv", "panel_lines.csv", "panel_words.csv", "cautions.csv", "compliance.csv"),
        *("added_nutrients.csv", "cooling.csv", "pasteurising.csv", "exemption.csv", "states.csv"),
    }
)
"""tables of the law that change no printed text by themselves"""


def record(shop: Shop, found: Evidence, how: Asked) -> Json:
    """The record of one label.

    Args:
        shop: its shop.
        found: the evidence behind the label.
        how: how the recipe was asked about.

    Returns:
        The value of the document's key ``record``.
    """
    model, label = shop.model, found.label
    made = dict.fromkeys(part.recipe for part in found.answer.parts)
    foods = {name: shop.pantry[name].record for name in found.journeys}
    machines = {
        step.machine
        for key in made
        for part in model.recipes[key].parts
        for step in part.steps
        if step.verb == "churn" and step.machine
    }
    return {
        "version": VERSION,
        "made_by": program(),
        "as_of": shop.day,
        "law": label.law,
        "rules_of": label.as_of,
        "size": how.size,
        "trials": how.trials,
        "measured": _measured(shop) if how.trials else {},
        "choices": dict(label.chosen),
        "gtin": _code(shop, found),
        "net_g": found.product.net_g,
        "net_ml": found.product.net_ml,
        "evidence": documents.document(found),
        "recipes": said.recipes(model, made),
        "shop": said.packed(model, (one.container for one in found.answer.filled[:1]), sorted(machines)),
        "ingredients": {
            name: {"food": record.id, "said": said.fields(model.ingredients[name], said.ENTRY_ASIDE)}
            for name, record in foods.items()
        },
        "foods": {record.id: food(record) for record in foods.values()},
        "rules": rules(label.as_of),
        "provisions": [one.key for one in in_force(shop.day)],
    }


def _code(shop: Shop, found: Evidence) -> str:
    """The digits of the bar code, empty for none."""
    number = gtins.of(shop.model.recipes[found.answer.recipe], found.answer.filled[0].container)
    return "" if number is None else number.digits


def _measured(shop: Shop) -> dict[str, str]:
    """What trials measured of every step: the weight after over the weight before it."""
    from costing import trials

    found = trials.measured(shop.model, None)
    return {
        f"{recipe}, {part}, step {step}": f"{float(ratio.flat[0]):.9g}" for (recipe, part, step), ratio in found.items()
    }


def food(record: FoodRecord) -> Json:
    """A food record as it is kept: its values in 100 g as low, value, high, and their fingerprint."""
    amounts = record.composition
    values = {
        key: [float(amounts.low[i]), answers.clean(float(amounts.value[i])), float(amounts.high[i])]
        for i, key in enumerate(keys())
    }
    measures = {one.text: one.grams for one in record.measures}
    return {
        "name": record.name,
        "source": record.source,
        "refuse": record.refuse,
        "measures": measures,
        "per_100g": values,
        "sha256": digest([record.id, record.name, record.source, record.refuse, measures, values]),
    }


@functools.cache
def rules(on: date | None) -> dict[str, str]:
    """A fingerprint of every table of rules: those of the law as they are in force on a day, those of the kitchen."""
    law = sorted(one.name for one in resources.data("law", "us").iterdir() if one.name.endswith(".csv"))
    out = {f"law/us/{name}": digest([dict(row) for row in rows(name, on)]) for name in law if name not in NOT_LAW}
    for folder, name in (*(("kitchen", name) for name in KITCHEN), ("foods", "solubility.csv")):
        out[f"{folder}/{name}"] = digest([dict(row) for row in resources.table(folder, name)])
    return out


def digest(value: Any) -> str:
    """A short fingerprint of a value: the first 16 digits of the SHA-256 of its JSON.

    >>> digest({"b": 1, "a": None}) == digest({"a": None, "b": 1})
    True
    """
    plain = json.dumps(answers.clean(value), sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(plain.encode()).hexdigest()[:16]


@functools.cache
def program() -> str:
    """This program with its version."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return f"creamery {version('creamery')}"
    except PackageNotFoundError:
        return "creamery, not installed"
