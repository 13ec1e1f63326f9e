"""The same change twice: in a cell of a living workbook, and in the shop that the engine is given."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from typing import Any

from openpyxl.workbook.workbook import Workbook

from costing.amounts import Amount, Figure, Kind
from costing.desk import Shop
from costing.findings import ShopError
from costing.shop.models import PriceRow, Recipe, ShopModel
from costing.workbook import look
from costing.workbook.formats import Formats
from costing.workbook.grid import Sheet
from costing.workbook.living import alive
from costing.workbook.living.kitchen.paper import Input

Key = tuple[str, ...]


@dataclass
class Cells:
    """The inputs of a living workbook, by the names of their cells."""

    kitchen: dict[str, Input]
    minutes: dict[str, Key]
    money: dict[str, Key]


def cells(shop: Shop) -> Cells:
    """Every input of the workbook of a shop."""
    workbook = Workbook()
    wardrobe = look.Wardrobe(workbook)
    formats = Formats.of(shop.model.locale, shop.model.currency)
    made = alive.begin(
        workbook, lambda name, widths, _: Sheet(workbook, name, widths, wardrobe, formats), shop, shop.answers()
    )
    inputs = made._inputs
    money: dict[str, Key] = {}
    for kind, names in (
        ("price", inputs.price),
        ("pack", inputs.pack),
        ("usable", inputs.usable),
        ("from", inputs.share_of),
    ):
        money |= {name: (kind, of) for of, name in names.items() if of != "water"}
    money |= {name: ("wage", role) for role, name in inputs.wage.items()}
    money |= {name: ("overhead", what) for what, name in inputs.overhead.items()}
    money |= {name: ("own", *of) for of, name in inputs.own.items()}
    for channel, names in inputs.channel.items():
        money |= {name: (what, channel) for what, name in names.items() if "!" not in name}
    return Cells(
        {one.name: one for one in made._shared.inputs.values() if one.name},
        {name: key for key, name in inputs.minutes.items()},
        money,
    )


def used_only(shop: Shop) -> ShopModel:
    """Each thing has only the price that the workbook took, as the workbook keeps its supplier."""
    rows: list[PriceRow] = []
    for row in shop.model.prices:
        book, name = shop.book, row.ingredient
        used = book.ingredient(name) if name in shop.model.ingredients else book.item(name)
        if used is not None and used.where == row.where:
            rows.append(row)
    return replace(shop.model, prices=tuple(rows))


# The shop ----------------------------------------------------------------------------------------------------------


def exactly(value: float) -> Figure:
    """A plain figure."""
    return Figure(value, value, repr(value))


def apply(model: ShopModel, made: Cells, name: str, value: float) -> ShopModel:
    """The shop with one input changed."""
    if name in made.kitchen:
        return _kitchen(model, made.kitchen[name].key, value)
    if name in made.minutes:
        return _step(model, made.minutes[name], lambda step: _labour(step, value))
    return _money(model, made.money[name], value)


def _labour(step: Any, minutes: float) -> dict[str, Any]:
    return {"labour": replace(step.labour, time=exactly(minutes * 60))}


def _kitchen(model: ShopModel, key: Key, value: float) -> ShopModel:
    if len(key) == 3:
        kind, of, what = key
        table: dict[str, Any] = dict(model.containers if kind == "container" else model.machines)
        table[of] = table[of].model_copy(update={what: exactly(value)})
        return replace(model, **{"containers" if kind == "container" else "machines": table})
    return _step(model, key, lambda step: _changed(model, step, key[3], value))


def _step(model: ShopModel, key: Key, change: Any) -> ShopModel:
    recipe = model.recipes[key[0]]
    place = next(i for i, part in enumerate(recipe.parts) if part.name == key[1])
    part, number = recipe.parts[place], int(key[2]) - 1
    step = part.steps[number].model_copy(update=change(part.steps[number]))
    part = part.model_copy(update={"steps": (*part.steps[:number], step, *part.steps[number + 1 :])})
    recipe = recipe.model_copy(update={"parts": (*recipe.parts[:place], part, *recipe.parts[place + 1 :])})
    return replace(model, recipes={**model.recipes, recipe.key: recipe})


def _changed(model: ShopModel, step: Any, what: str, value: float) -> dict[str, Any]:
    figure = exactly(value)
    if step.verb in ("add", "fold"):
        old = step.things[what]
        plain = what in model.ingredients and old.kind not in (Kind.OF_POT, Kind.UP_TO)
        new = Amount(Kind.WEIGHT, figure) if plain else replace(old, figure=figure)
        return {"things": {**step.things, what: new}}
    if step.verb == "trim":
        return {"things": {**step.things, what: figure}}
    if step.verb == "fill" and " " in what:
        kind, _, place = what.partition(" ")
        found = round(value) if kind == "count" else figure
        return {
            "container": tuple(
                one.model_copy(update={kind: found}) if at == int(place) else one
                for at, one in enumerate(step.container, start=1)
            )
        }
    if what.startswith("out "):
        return {"out": {**step.out, what.removeprefix("out "): figure}}
    if what == "worth":
        return {"worth": value}
    old = getattr(step, what)
    return {what: replace(old, figure=figure) if isinstance(old, Amount) else figure}


def _money(model: ShopModel, key: Key, value: float) -> ShopModel:
    kind, of = key[0], key[1]
    if kind in ("price", "pack") and not (of.startswith("each ") and of[5:] not in model.ingredients):
        of = of.removeprefix("each ")
    each = of.startswith("each ")
    of = of.removeprefix("each ")
    if kind in ("price", "pack"):
        new: dict[str, Any] = (
            {"price": value} if kind == "price" else {"pack": f"{value:.0f} ct" if each else f"{value!r} g"}
        )
        rows = tuple(row.model_copy(update=new) if row.ingredient == of else row for row in model.prices)
        return replace(model, prices=rows)
    if kind in ("usable", "from"):
        entry = model.ingredients[of]
        change = {"usable": exactly(value)} if kind == "usable" else {
            "comes_from": {next(iter(entry.comes_from)): exactly(value)}
        }  # fmt: skip
        return replace(model, ingredients={**model.ingredients, of: entry.model_copy(update=change)})
    if kind == "wage":
        return replace(model, wages={**model.wages, of: value})
    if kind == "overhead":
        field = of.replace(" ", "_")
        return replace(
            model, overhead=model.overhead.model_copy(update={field: value if field == "per_batch" else exactly(value)})
        )
    if kind == "own":
        recipe = model.recipes[of]
        recipe = recipe.model_copy(update={"prices": {**recipe.prices, key[2]: value}})
        return replace(model, recipes={**model.recipes, of: recipe})
    field = {"price": "price", "share": "fee_share", "fixed": "fee_fixed", "target": "target_margin"}[kind]
    return replace(model, channels={**model.channels, of: model.channels[of].model_copy(update={field: value})})


# At random ---------------------------------------------------------------------------------------------------------


def moved(shop: Shop, made: Cells, seed: int, many: int = 20) -> tuple[dict[str, float], Shop]:
    """Inputs changed at random, more than half of them of the kitchen, and a shop changed likewise."""
    dice = random.Random(seed)
    model = used_only(shop)
    values = _values(shop, made)
    inputs: dict[str, float] = {}
    kitchen, other = list(made.kitchen), [*made.minutes, *made.money]
    dice.shuffle(kitchen)
    dice.shuffle(other)
    wanted = [*kitchen[: many * 2], *other[: many * 2]]
    counts = {"kitchen": many * 3 // 5, "other": many - many * 3 // 5}
    for name in wanted:
        kind = "kitchen" if name in made.kitchen else "other"
        if not counts[kind]:
            continue
        value = _new(made, name, values.get(name), dice)
        if value is None:
            continue
        tried = apply(model, made, name, value)
        if all(answer.parts and not _lost(shop, answer) for answer in _answers(tried, shop)):
            model, inputs[name] = tried, value
            counts[kind] -= 1
    assert sum(counts.values()) == 0
    return inputs, Shop(model, (), shop.day)


def _answers(model: ShopModel, shop: Shop) -> Any:
    try:
        return Shop(model, (), shop.day).answers()
    except ShopError:
        return ()


def _lost(shop: Shop, answer: Any) -> bool:
    return answer.cost is None and not shop.model.recipes[answer.recipe].makes


def _values(shop: Shop, made: Cells) -> dict[str, float]:
    out: dict[str, float] = {name: one.value for name, one in made.kitchen.items()}
    for name, key in made.minutes.items():
        recipe: Recipe = shop.model.recipes[key[0]]
        part = next(part for part in recipe.parts if part.name == key[1])
        labour = part.steps[int(key[2]) - 1].labour
        assert labour is not None
        out[name] = labour.time.mid / 60
    return out


def _new(made: Cells, name: str, old: float | None, dice: random.Random) -> float | None:
    if name in made.kitchen:
        assert old is not None
        top = {"kept": 1.0, "share": 1.0, "part": 0.99, "brix": 99.0}.get(made.kitchen[name].rule, 1e7)
        if made.kitchen[name].rule == "many":
            return float(max(1, round(old + dice.choice((-2, -1, 1)))))
        return round(min(top, old * dice.uniform(0.92, 1.08) if old else dice.uniform(0, 0.05)), 6)
    if name in made.minutes:
        return round((old or 1.0) * dice.uniform(0.5, 1.5), 4)
    kind, of = made.money[name][:2]
    if kind == "pack":
        return float(dice.randint(40, 900)) if of.startswith("each ") else round(dice.uniform(300, 9000), 3)
    ranges = {
        "price": (2.0, 90.0), "usable": (0.5, 0.99), "from": (0.2, 0.8), "wage": (12, 40), "own": (5, 15),
        "share": (0, 0.2), "fixed": (0, 0.9), "target": (0.1, 0.7),
    }  # fmt: skip
    low, high = ranges[kind] if kind != "overhead" else ((2, 20) if of == "per batch" else (0, 0.4))
    return round(dice.uniform(low, high), 4)
