"""Small shops for the tests of the kitchen, made of real food records and prices that divide well."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from costing.kitchen.draws import Draws
from costing.kitchen.materials import Pantry
from costing.kitchen.run import run
from costing.prices.book import PriceBook
from costing.purchases import Purchasing
from costing.shop.models import Container, Ingredient, Machine, PriceRow, Recipe, ShopModel
from nutrition.foods.library import resolve

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from costing.kitchen.brew import Brew

DAY = date(2026, 3, 2)

# name: (food, class, price of a kilogram, further keys of its entry)
LARDER: dict[str, tuple[str, str, str, dict[str, Any]]] = {
    "cream": ("usda:01053", "dairy", "6.00", {"allergens": ["milk"]}),
    "milk": ("usda:01077", "dairy", "1.00", {"allergens": ["milk"]}),
    "milk powder": ("usda:01091", "dairy", "8.00", {"allergens": ["milk"], "state": "dissolves"}),
    "butter": ("usda:01145", "dairy", "9.00", {"allergens": ["milk"], "state": "melts"}),
    "sugar": ("usda:19335", "sweetener", "2.00", {}),
    "quince": ("usda:09296", "fruit", "4.00", {}),
    "raisins": ("usda:09298", "fruit", "5.00", {}),
    "rum": ("usda:14050", "spirit", "20.00", {}),
    "pistachio": ("usda:12151", "nut", "30.00", {"allergens": ["tree nut: pistachio"], "usable": "100 %"}),
    "apple juice": ("usda:09400", "juice", "2.00", {}),
    "bacon": ("usda:10123", "meat", "10.00", {}),
    "mint": ("usda:02064", "spice", "12.00", {"usable": "80 %"}),
    "eggs": ("usda:01123", "egg", "5.00", {"allergens": ["egg"], "usable": "88 %"}),
    "yolks": ("usda:01125", "egg yolk", "", {"allergens": ["egg"], "from": {"eggs": "34 %"}}),
    "whites": ("usda:01124", "egg", "", {"allergens": ["egg"], "from": {"eggs": "55 %"}}),
    "water": ("water", "water", "", {}),
}


def larder(names: Sequence[str] = ()) -> dict[str, Ingredient]:
    """Entries of the larder."""
    return {
        name: Ingredient.model_validate(
            {"name": name, "where": f"ingredients.yaml:{i}", "food": food, "label": name, "class": kind, **more}
        )
        for i, (name, (food, kind, _, more)) in enumerate(LARDER.items(), start=1)
        if not names or name in names
    }


def price_rows(currency: str = "USD") -> tuple[PriceRow, ...]:
    """A price list with one pack of a kilogram for everything that is bought."""
    return tuple(
        PriceRow(
            where=f"prices/list.csv:{i}",
            supplier="Stillwater Dry Goods",
            item=name.upper(),
            ingredient=name,
            pack="1 kg",
            price=float(price),
            currency=currency,
            date=DAY,
        )
        for i, (name, (_, _, price, _)) in enumerate(LARDER.items(), start=2)
        if price
    )


def recipe(parts: Mapping[str, Any], key: str = "try", **more: Any) -> Recipe:
    """A recipe from parts as lists of ``{verb: what it says}``, or mappings with ``steps``."""
    made = []
    for name, part in parts.items():
        whole = part if isinstance(part, dict) else {"steps": part}
        steps = [_step(one, f"recipes/{key}.yaml:{n}") for n, one in enumerate(whole["steps"], start=10)]
        made.append({"name": name, "where": f"recipes/{key}.yaml:1", **whole, "steps": steps})
    return Recipe.model_validate({"key": key, "where": f"recipes/{key}.yaml", "title": key, "parts": made, **more})


def _step(step: Mapping[str, Any], where: str) -> dict[str, Any]:
    beside = {key: value for key, value in step.items() if key in ("labour", "by", "name", "note") and len(step) > 1}
    verb, said = next((key, value) for key, value in step.items() if key not in beside)
    if verb in ("add", "fold", "trim"):
        said = {"things": said}
    elif verb == "lose":
        said = {"amount": said}
    elif verb == "weigh":
        said = {"weight": said}
    elif verb == "strain" and not isinstance(said["out"], dict):
        said = {**said, "out": dict.fromkeys(said["out"])}
    elif verb == "fill":
        kinds = said["container"]
        said = {**said, "container": kinds if isinstance(kinds, list) else [{"container": kinds}]}
    return {"verb": verb, "where": where, **said, **beside}


def shop(*recipes: Recipe) -> ShopModel:
    """A shop that can make these."""
    entries = larder()
    return ShopModel(
        folder=Path("shop"),
        name="Test Creamery",
        wages={"kitchen": 20.0, "packer": 15.0},
        containers={
            "pint": Container.model_validate(
                {"name": "pint", "where": "shop.yaml:5", "holds": "1 pint", "made of": {}}
            ),
            "cup": Container.model_validate({"name": "cup", "where": "shop.yaml:6", "holds": "4 fl oz", "made of": {}}),
        },
        machines={
            "freezer": Machine.model_validate(
                {"name": "freezer", "where": "shop.yaml:9", "capacity": "3 L", "leaves": "90 g", "run": "22 min"}
            )
        },
        ingredients=entries,
        recipes={one.key: one for one in recipes},
        prices=price_rows(),
        foods={entry.food: resolve(entry.food, {}) for entry in entries.values()},
    )


def brew(parts: Mapping[str, Any], *others: Recipe, draws: Draws | None = None, **more: Any) -> Brew:
    """Make a batch."""
    made = recipe(parts, **more)
    whole = shop(made, *others)
    pantry = Pantry(whole.ingredients, whole.foods)
    pricing = Purchasing(pantry, PriceBook(whole, DAY)).pricing
    return run(made, whole, pantry, pricing, draws or Draws())
