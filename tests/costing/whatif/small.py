"""A shop whose figures can be worked out on paper.

Plain: 800 g cream at 6.00 a kg and 200 g sugar at 2.00 are 5.20 of ingredients for 1,000 g; at 250 g a pint that makes
four pints, 1.30 each. Half an hour at 20.00 is 10.00, 2.50 each; 4.00 of overhead a batch is 1.00 each. A pint costs 4.80.
At 9.60 in the shop, where nobody keeps a fee, it leaves 4.80, exactly half.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from costing.amounts import Figure
from costing.desk import Shop
from costing.shop.models import Channel, Container, Overhead, PriceRow, Recipe, ShopModel
from tests.costing.kitchen.builders import DAY, recipe, shop

PLAIN: dict[str, Any] = {
    "base": [{"add": {"cream": "800 g", "sugar": "200 g"}}],
    "frozen": [
        {"add": {"base": "all"}},
        {"churn": {"overrun": "20 %"}},
        {"fill": {"container": "pint", "net": "250 g"}, "labour": "30 min"},
    ],
}


def row(name: str, price: float, pack: str = "1 kg", **more: Any) -> PriceRow:
    """A row of a price list."""
    fields = {"where": "prices/list.csv:99", "supplier": "Stillwater Dry Goods", "item": name.upper(), "date": DAY}
    return PriceRow.model_validate(
        {**fields, "ingredient": name, "pack": pack, "price": price, "currency": "USD", **more}
    )


def channel(name: str, price: float, target: float | None = None, share: float = 0.0, fixed: float = 0.0) -> Channel:
    """A way of selling."""
    return Channel.model_validate(
        {
            "name": name,
            "where": "shop.yaml:20",
            "price": price,
            "fee_share": share,
            "fee_fixed": fixed,
            "target margin": target,
        }
    )


def model(*recipes: Recipe, **more: Any) -> ShopModel:
    """The shop: two channels, overhead of 4.00 a batch."""
    fields: dict[str, Any] = {
        "overhead": Overhead(per_batch=4.0, of_labour=Figure(0.0, 0.0, "0 %")),
        "channels": {"shop": channel("shop", 9.60, 0.50), "grocer": channel("grocer", 6.00, 0.10, 0.03, 0.30)},
        "as_of": DAY,
        **more,
    }
    return replace(shop(*(recipes or (recipe(PLAIN, key="plain"),))), **fields)


def desk(*recipes: Recipe, **more: Any) -> Shop:
    """The shop, open."""
    return Shop(model(*recipes, **more), (), DAY)


def boxed(pieces: str = "2 each") -> dict[str, Container]:
    """Pints that are made of so many tubs."""
    fields = {"name": "pint", "where": "shop.yaml:5", "holds": "1 pint", "made of": {"tub": pieces}}
    return {"pint": Container.model_validate(fields)}
