"""What a recipe, an ingredient, a container or a machine says, key by key, as somebody wrote it.

>>> from costing.amounts import Figure
>>> text(Figure(0.38, 0.46, "38 % to 46 %")), text({"milk": None}), text(("a", "b")), text(True)
('38 % to 46 %', 'milk', 'a, b', 'yes')
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from pydantic import BaseModel

from costing.amounts import Amount, Figure, SubIngredient

if TYPE_CHECKING:
    from collections.abc import Iterable

    from costing.shop.models import Recipe, ShopModel
    from costing.shop.steps import Step

Json = dict[str, Any]

STEP_ASIDE = frozenset({"verb", "where", "lines", "labour", "by", "name", "note", "worth"})
"""keys of a step that no label depends on"""
ENTRY_ASIDE = frozenset({"name", "where", "lines", "supplier", "note", "usable", "comes_from", "food"})
"""keys of an ingredient that its food record shows, or that matter to what is bought only"""
RECIPE_ASIDE = frozenset({"key", "where", "lines", "parts", "prices", "note", "gtin", "units"})
PACKED_ASIDE = frozenset({"name", "where", "lines", "made_of", "label", "run"})


BUSINESS_ASIDE = frozenset({"where", "lines", "total_sales", "food_sales", "people", "notice_filed", "wholesale"})
"""what says who need not print a panel, and changes no text"""


def text(value: Any) -> str:
    """A value of the shop as text."""
    if value is None:
        return ""
    if isinstance(value, (Amount, Figure)):
        return value.text or f"{value.figure.mid if isinstance(value, Amount) else value.mid:g}"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return _several(value)


def _several(value: Any) -> str:
    if isinstance(value, SubIngredient):
        return value.name if value.share is None else f"{value.name} {text(value.share)}"
    if isinstance(value, Mapping):
        return ", ".join(f"{text(name)} {text(one)}".strip() for name, one in value.items())
    if isinstance(value, (tuple, list)):
        return ", ".join(map(text, value))
    if isinstance(value, (frozenset, set)):
        return ", ".join(sorted(map(text, value)))
    if isinstance(value, BaseModel):
        return ", ".join(f"{name} {one}" for name, one in fields(value, frozenset({"where", "lines"})).items())
    return str(value)


def fields(model: BaseModel, aside: frozenset[str]) -> dict[str, str]:
    """What somebody wrote in a model: its keys in words, with their values as text."""
    return {
        name.replace("_", " "): text(getattr(model, name))
        for name in type(model).model_fields
        if name in model.model_fields_set and name not in aside
    }


def step(one: Step) -> dict[str, str]:
    """What a step says: each thing by its name, every other figure by its key."""
    out: dict[str, str] = {}
    for key, value in one:
        if key in STEP_ASIDE or value in (None, {}, ()):
            continue
        if key in ("things", "out"):
            out |= {name: text(amount) or ("all of it" if key == "out" else "") for name, amount in value.items()}
        elif key == "by_points":
            continue  # cooling changes no figure
        elif key == "container":
            out |= {
                filling.container: f"{filling.count}"
                if filling.count is not None
                else text(filling.share) or "the rest"
                for filling in value
            }
        else:
            out[key.replace("_", " ")] = text(value)
    return out


def recipes(model: ShopModel, keys: Iterable[str]) -> dict[str, Json]:
    """What some recipes say, by key."""
    return {key: recipe(model.recipes[key]) for key in keys if key in model.recipes}


def recipe(one: Recipe) -> Json:
    """What a recipe says: its own keys, and every step of every part."""
    return {
        "where": one.where,
        "said": fields(one, RECIPE_ASIDE),
        "parts": [
            {
                "name": part.name,
                "said": {"label": part.label or "", "rest": part.rest},
                "steps": [{"verb": s.verb, "where": s.where, "said": step(s)} for s in part.steps if s.verb != "note"],
            }
            for part in one.parts
        ],
    }


def packed(model: ShopModel, containers: Iterable[str], machines: Iterable[str]) -> Mapping[str, dict[str, str]]:
    """What the shop says of itself, and of the containers and machines that a recipe uses."""
    out = {
        f"container {name}": fields(model.containers[name], PACKED_ASIDE)
        for name in containers
        if name in model.containers
    }
    out["business"] = {"name": model.name, "address": text(model.address)}
    if model.business is not None:
        out["business"] |= fields(model.business, BUSINESS_ASIDE)
    return out | {
        f"machine {name}": fields(model.machines[name], PACKED_ASIDE) for name in machines if name in model.machines
    }
