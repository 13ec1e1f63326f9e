"""Evidence for machines: stable keys, unrounded figures; amounts are in the line's unit, mostly of a container."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from nutrition.law.us import evidence

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from costing.evidence.gather import Brought, Evidence, Figure, Line, Name
    from costing.evidence.losses import Held, Journey
    from costing.evidence.sure import HowSure, Sure
    from nutrition.law.us.added_sugars_record import Record
    from nutrition.law.us.evidence import Amount
    from nutrition.law.us.next_step import Step

Json = dict[str, Any]


def document(found: Evidence, only: Collection[str] = ()) -> Json:
    """The evidence of a label.

    Args:
        found: the evidence.
        only: what is wanted of it: nutrient keys, ``ingredients``, ``contains``, ``name``, ``serving``,
            ``net_quantity``; nothing for all of it.

    Returns:
        ``nutrients`` by key, ``ingredients``, ``contains``, ``name``, ``serving``, ``net_quantity``,
        ``added_sugars_record``, as far as they are wanted.
    """

    def wanted(what: str) -> bool:
        return not only or what in only

    lines = {key: _line(line, found) for key, line in found.lines.items() if wanted(key)}
    out: Json = {"nutrients": lines} if lines or not only else {}
    if wanted("ingredients"):
        out["ingredients"] = [_name(one) for one in found.names]
    if wanted("contains"):
        out["contains"] = [_brought(one) for one in found.allergens]
    if wanted("name"):
        out["name"] = _named(found)
    if wanted("serving"):
        out["serving"] = _serving(found)
    if wanted("net_quantity"):
        out["net_quantity"] = _net_quantity(found)
    if wanted("added_sugars"):
        out["added_sugars_record"] = record(found.record)
    if found.sure is not None:
        out["sure"] = words(found.sure, only)
    return out


def _amount(amount: Amount, what: str = "amount") -> Json:
    return {what: amount.value, f"{what}_low": amount.low, f"{what}_high": amount.high}


def _line(line: Line, found: Evidence) -> Json:
    origin, sure = line.origin, found.sure
    key = origin.key
    return {
        "unit": origin.unit,
        "rule": line.line.rule,
        "left_out": line.left_out,
        "printed": {figure.column: _figure(figure) for figure in line.figures},
        **_amount(origin.total, "per_container"),
        "shares": [
            {
                "ingredient": share.ingredient,
                "names": list(share.names),
                "class": share.kind,
                "food": share.food,
                "source": share.source,
                "g": share.grams,
                "added_g": share.added_g,
                **_amount(share.amount, "per_container"),
                "share": _share(share.amount, origin.total),
                "estimated": share.estimated,
            }
            for share in origin.shares
        ],
        "corrections": [
            {"what": one.what, **_amount(one.amount, "per_container"), "rule": one.rule} for one in origin.corrections
        ],
        "ways": [
            _way(journey, key, found.label.calorie_key)
            for journey in found.journeys.values()
            if journey.put_in.of(key, found.label.calorie_key)[2] > 0
        ],
        "sure": None if sure is None else {one.column: _sure(one) for one in sure.of(key)},
    }


def _share(part: Amount, whole: Amount) -> float | None:
    return part.value / whole.value if part.value is not None and whole.value else None


def _figure(figure: Figure) -> Json:
    return {
        "text": figure.text,
        "dv_pct": figure.percent,
        **_amount(figure.amount),
        "step": _step(figure.step, figure.amount.value),
        "dv_step": _step(figure.percent_step, figure.amount.value),
    }


def _step(step: Step[Any] | None, amount: float | None) -> Json | None:
    if step is None or amount is None:
        return None
    down, up = step.down(amount), step.up(amount)
    return {
        "from": step.least,
        "below": step.limit,
        "down": down,
        "down_pct": pct(down, amount),
        "down_to": step.below,
        "up": up,
        "up_pct": pct(up, amount),
        "up_to": step.above,
    }


def pct(part: float | None, whole: float) -> float | None:
    """A distance in per cent of the amount; None where there is none, or where the amount is nothing."""
    return None if part is None or whole <= 0 else 100.0 * part / whole


def _held(held: Held, key: str, method: str) -> Json:
    low, value, high = held.of(key, method)
    return _amount(evidence.Amount(low, value, high))


def _way(journey: Journey, key: str, method: str) -> Json:
    return {
        "ingredient": journey.ingredient,
        "put_in": {"g": journey.put_in.grams, **_held(journey.put_in, key, method)},
        "there": {"g": journey.there.grams, **_held(journey.there, key, method)},
        "kept": [{"as": name, "g": held.grams, **_held(held, key, method)} for name, held in journey.kept.items()],
        "away": [
            {
                "recipe": one.recipe,
                "part": one.part,
                "step": one.step,
                "verb": one.verb,
                "name": one.name,
                "where": one.where,
                "how": one.how,
                "g": one.held.grams,
                **_held(one.held, key, method),
            }
            for one in journey.away
            if one.held.of(key, method)[2] > 0
        ],
    }


def _sure(one: Sure) -> Json:
    return {
        "could": [
            {"text": could.text, "dv_pct": could.percent, "likely": could.likely, "now": could.now}
            for could in one.could
        ],
        "likely": None if one.likely is None else list(one.likely),
        "reach": list(one.reach),
        "band": None
        if one.band is None
        else {
            "group": one.band.group,
            "at_least": one.band.at_least,
            "at_most": one.band.at_most,
            "rule": one.band.rule,
        },
        "verdict": one.verdict,
        "verdict_reach": one.widest,
        "by_rounding": one.by_rounding,
    }


PLACES: Mapping[str, tuple[str, ...]] = {
    "ingredients": ("ingredients",),
    "contains": ("contains",),
    "name": ("name of the food",),
    "serving": ("serving size", "servings per container"),
    "net_quantity": ("net quantity",),
}
"""Which texts of the label belong to what may be asked about."""


def words(sure: HowSure, only: Collection[str] = ()) -> Json:
    """The draws behind the chances, and the texts that are no amounts."""
    places = {place for what in only for place in PLACES.get(what, ())}
    return {
        "draws": sure.draws,
        "looked": sure.looked,
        "texts": [
            {"place": one.place, "could": [{"text": text, "likely": share} for text, share in one.texts]}
            for one in sure.words
            if not only or one.place in places
        ],
    }


def _name(name: Name) -> Json:
    entry = name.entry
    return {
        "name": entry.name,
        "added_g": entry.grams,
        "share_pct": entry.share_pct,
        "minor": entry.minor,
        "given_only": entry.given_only,
        "from": [
            {"ingredient": one.ingredient, "food": one.food, "food_name": one.name, "source": one.source}
            for one in name.sources
        ],
        "made_of": [_name(sub) for sub in name.sub],
    }


def _brought(one: Brought) -> Json:
    return {"allergen": one.text, "ingredients": list(one.by), "taken_out": list(one.taken_out)}


def _named(found: Evidence) -> Json:
    name = found.label.name
    return {
        "wanted": name.wanted,
        "allowed": name.allowed,
        "text": name.text,
        "tests": [
            {
                "what": test.what,
                "value": test.value,
                "limit": test.limit,
                "unit": test.unit,
                "at_most": test.at_most,
                "met": test.met,
                "rule": test.rule,
                "for_name": test.for_name,
            }
            for test in name.tests
        ],
        "notes": list(name.notes),
    }


def _serving(found: Evidence) -> Json:
    serving, product = found.label.serving, found.product
    return {
        "measure": serving.measure,
        "g": serving.grams,
        "g_text": serving.grams_text,
        "per_container": serving.per_container,
        "per_container_text": serving.per_container_text,
        "columns": list(serving.columns),
        "net_g": product.net_g,
        "net_ml": product.net_ml,
        "density_g_per_ml": product.net_g / product.net_ml,
        "rule": serving.rule,
    }


def _net_quantity(found: Evidence) -> Json:
    first = found.answer.filled[0] if found.answer.filled else None
    return {
        "text": found.label.net_quantity,
        "declared_ml": found.product.declared_ml,
        "as_written": found.product.declared_text,
        "net_g": found.product.net_g,
        "fill_g": None if first is None else first.fill_g,
        "fill_ml": None if first is None else first.fill_ml,
    }


def record(found: Record) -> Json:
    """The record of added sugars, 101.9(g)(10)."""
    return {
        "recipe": found.recipe,
        "title": found.title,
        "rule": found.rule,
        "keep": found.keep,
        "net_g": found.net_g,
        "serving_g": found.serving_g,
        "water_g": found.water_g,
        "ingredients": [
            {
                "ingredient": one.ingredient,
                "class": one.kind,
                "food": one.food,
                "source": one.source,
                "g": one.grams,
                **_amount(one.sugars, "sugars_g"),
                **_amount(one.added, "added_g"),
                "basis": one.basis,
                "brix": one.brix,
            }
            for one in found.sweets
        ],
        "concentrated": _amount(found.concentrated, "added_g"),
        "total": _amount(found.total, "added_g"),
        "printed": dict(found.printed),
    }
