"""Answers of a shop as pandas frames, for those who have a notebook.

Tidy: one row for each thing, one column for each figure, names of figures as in the JSON answers. Money is in the
shop's currency (``frame.attrs["currency"]``), unrounded; ``_g`` is grams, ``_ml`` millilitres, ``_h`` hours, ``_pct``
runs 0 to 100, ``_share`` 0 to 1. What nobody knows, and what does not apply, is NaN. pandas is loaded when the first
frame is asked for.

>>> from costing import Shop
>>> from nutrition.resources import tree
>>> shop = Shop.open(str(tree("examples") / "quillfeather"))
>>> costs(shop, ["quince"])[["container", "containers", "runs"]].to_dict("index")
{'quince': {'container': 'pint', 'containers': 9, 'runs': 2}}
>>> [str(name) for name in margins(shop).index.names], [str(name) for name in labels(shop).index.names]
(['recipe', 'channel'], ['recipe', 'nutrient'])
>>> round(float(margins(shop).loc[("quince", "grocer"), "margin_pct"]), 1)
38.5
>>> labels(shop).loc[("quince", "sodium"), "unit"]
'mg'
"""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    import pandas as pd

    from costing.desk import Shop
    from costing.results import CostAnswer, RecipeAnswer
    from costing.selling.sales import Sale
    from nutrition.law.us.label import Label

NAN = float("nan")

COSTS = (
    "title", "container", "containers", "fill_g", "fill_ml", "ingredients", "packaging", "labour", "overhead", "saved",
    "total", "freight", "per_serving", "batch_total", "in_g", "out_g", "vapour_g", "discarded_g", "saved_g",
    "bought_value", "lost_value", "runs", "overrun_share",
)  # fmt: skip
MARGINS = (
    "title", "container", "unit", "units", "paid_share", "price", "shelf_price", "deposit", "fee", "extras", "day",
    "unpaid", "cost", "margin", "contribution", "margin_pct", "markup_pct", "target_pct", "price_for_target",
    "shelf_price_for_target", "container_margin", "container_contribution", "containers", "batch_margin",
    "batch_contribution", "machine_h", "hour_margin", "hour_contribution", "break_even", "day_pays_from", "place",
)  # fmt: skip
LABELS = (
    "title", "name", "unit", "per_100g", "per_serving", "per_serving_low", "per_serving_high", "per_container",
    "declared_serving", "declared_container", "dv_pct_serving", "dv_pct_container", "print_ready", "rule", "serving_g",
)  # fmt: skip


def costs(shop: Shop, recipes: Sequence[str] = ()) -> pd.DataFrame:
    """What a container of each flavour costs, one row a recipe.

    Args:
        shop: the shop.
        recipes: their keys; none means all. Those that fill no container are left out.

    Returns:
        Index ``recipe``. ``ingredients`` to ``total`` are money for a container of the first kind that it fills
        (``saved`` is zero or below, and they add up to ``total``), ``freight`` how much of ``total`` is freight, NaN
        where the shop leaves freight out of its costs; ``per_serving`` money for a serving; ``containers``
        counts those of this kind; ``batch_total``, ``in_g`` to ``saved_g``, ``bought_value`` and ``lost_value`` (as
        bought) are of a batch; ``runs`` of the machine; ``overrun_share`` is air over mix.

    Raises:
        KeyError: no such recipe.
        ShopError: a recipe cannot be made; carries the findings.
    """
    return _frame(
        shop,
        [(one.recipe, _cost(one, one.cost)) for one in _answers(shop, recipes) if one.cost is not None],
        ("recipe",),
        COSTS,
    )


def _cost(answer: RecipeAnswer, found: CostAnswer) -> dict[str, Any]:
    batch = found.batch
    return {
        **dataclasses.asdict(found.per_container),
        **{key: getattr(batch, key) for key in COSTS if hasattr(batch, key)},
        "containers": answer.filled[0].count,
        "title": found.title,
        "freight": None if found.freight is None else found.freight[1],
        "per_serving": found.per_serving.total,
        "batch_total": found.cost.total,
        "bought_value": found.bought_value,
        "lost_value": found.lost_value,
        "overrun_share": batch.overrun,
    }


def margins(shop: Shop, recipes: Sequence[str] = ()) -> pd.DataFrame:
    """What each flavour leaves in each channel, one row for each pair.

    Args:
        shop: the shop.
        recipes: their keys; none means all.

    Returns:
        Index ``recipe``, ``channel``; a channel that sells no container of a recipe has no row for it. The columns are
        the fields of :class:`costing.selling.sales.Sale`: ``price`` to ``contribution`` are money for a ``unit`` that
        is paid for (a container, or a scoop), ``container_`` money for a container going out, ``batch_`` for the
        batch's containers of the kind, ``hour_`` for an hour of the machine; ``break_even`` is containers a month,
        ``place`` the flavour's place in its channel by ``hour_contribution``, NaN where that is not known.

    Raises:
        KeyError: no such recipe.
        ShopError: a recipe cannot be made; carries the findings.
    """
    from costing.selling.sales import all_sales

    sold = all_sales(shop, _answers(shop, recipes))
    return _frame(shop, [((one.recipe, one.channel), _margin(one)) for one in sold], ("recipe", "channel"), MARGINS)


def _margin(one: Sale) -> dict[str, Any]:
    hour = one.per_machine_hour
    return {key: getattr(one, key) for key in MARGINS if hasattr(one, key)} | {
        "margin": one.leaves.margin,
        "contribution": one.leaves.contribution,
        "container_margin": one.per_container.margin,
        "container_contribution": one.per_container.contribution,
        "batch_margin": one.per_batch.margin,
        "batch_contribution": one.per_batch.contribution,
        "machine_h": one.machine_hours,
        "hour_margin": hour.margin if hour else None,
        "hour_contribution": hour.contribution if hour else None,
    }


def labels(shop: Shop, recipes: Sequence[str] = ()) -> pd.DataFrame:
    """Every line of every label, one row for each recipe and nutrient.

    Args:
        shop: the shop.
        recipes: their keys; none means all. Those that fill no container are left out.

    Returns:
        Index ``recipe``, ``nutrient`` (the key of :mod:`nutrition.nutrients`). ``per_`` are unrounded amounts in
        ``unit``, NaN where unknown, then with the bounds ``_low`` and ``_high``; ``declared_`` are the printed texts,
        ``dv_pct_`` the printed per cent of the daily value, NaN where the law has none; ``serving_g`` is grams.

    Raises:
        KeyError: no such recipe.
        ShopError: a recipe cannot be made; carries the findings.
    """
    rows = [row for one in _answers(shop, recipes) if one.label is not None for row in _lines(one.recipe, one.label)]
    return _frame(shop, rows, ("recipe", "nutrient"), LABELS)


def _lines(recipe: str, found: Label) -> Iterable[tuple[tuple[str, str], dict[str, Any]]]:
    for line in found.nutrients:
        yield (
            (recipe, line.key),
            {key: getattr(line, key) for key in LABELS if hasattr(line, key)}
            | {
                "title": found.title,
                "serving_g": found.serving.grams,
                **{f"declared_{column}": line.declared.get(column, "") for column in ("serving", "container")},
                **{f"dv_pct_{column}": line.dv_pct.get(column) for column in ("serving", "container")},
            },
        )


def _answers(shop: Shop, recipes: Sequence[str]) -> list[RecipeAnswer]:
    """Answers of which none is empty because of an error.

    Raises:
        ShopError: one is; carries the findings.
    """
    from costing.findings import ShopError

    found = shop.answers(recipes)
    wrong = [one for answer in found if not answer.parts for one in answer.findings]
    if any(one.level == "error" for one in wrong):
        raise ShopError(tuple(wrong))
    return found


TEXTS = frozenset(
    ("title", "container", "unit", "name", "declared_serving", "declared_container", "rule", "print_ready")
)
COUNTS = frozenset(("containers", "runs"))


def _frame(
    shop: Shop, rows: Sequence[tuple[Any, dict[str, Any]]], index: Sequence[str], columns: Sequence[str]
) -> pd.DataFrame:
    """A frame with the same columns and types whatever is in it."""
    import pandas as pd

    keys = [key for key, _ in rows]
    at = pd.Index(keys, name=index[0], dtype="str") if len(index) == 1 else _pairs(keys, index)
    data = {
        column: pd.Series(
            [row[column] if row[column] is not None else NAN for _, row in rows],
            index=at,
            dtype=_type(column),
        )
        for column in columns
    }
    frame = pd.DataFrame(data, index=at, columns=list(columns))
    frame.attrs.update(currency=shop.model.currency, as_of=shop.day.isoformat())
    return frame


def _pairs(keys: Sequence[tuple[str, str]], index: Sequence[str]) -> Any:
    import pandas as pd

    levels = [[key[place] for key in keys] for place in range(len(index))]
    return pd.MultiIndex.from_arrays([pd.Index(level, dtype="str") for level in levels], names=list(index))


def _type(column: str) -> Any:
    if column == "print_ready":
        return "bool"
    return "str" if column in TEXTS else "int64" if column in COUNTS else "float64"
