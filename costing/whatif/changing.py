"""A changed copy of a shop: the same folder, read and checked, with some figures as they might be.

Nothing is written anywhere, and the shop that came in stays as it is.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from costing import days, units
from costing.digits import UnreadableError
from costing.findings import Finding, ShopError
from costing.prices import rates
from costing.shop import suppliers, words
from costing.shop.building import nearest
from costing.whatif import figures, price_rows
from costing.whatif.changes import Change, parse_all, refused, same

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from costing.shop.models import Channel, ShopModel
    from costing.shop.steps import Step

BRACKETS: Final = (
    "price",
    "wage",
    "fees",
    "target margin",
    "giveaway",
    "leaves",
    "capacity",
    "usable",
    "rate",
    "freight",
)
OVERHEAD: Final = {"overhead per batch": "per_batch", "overhead of labour": "of_labour"}


def changed(
    model: ShopModel, changes: Iterable[str | Change], *, recipes: Sequence[str] = (), day: date | None = None
) -> ShopModel:
    """A copy of a shop with some figures changed.

    Args:
        model: the shop; stays as it is.
        changes: what to change, as text (:mod:`costing.whatif.changes`) or read already.
        recipes: in which recipes, with the house bases that they use, figures of steps are looked for; none: in all.
        day: whose prices count where a price is replaced; None: the shop's own day, or today.

    Returns:
        The copy.

    Raises:
        ShopError: a name that nobody knows, a value that cannot be, a figure that could be one of several; all of them.
    """
    listed = tuple(changes)
    read = parse_all(one.text if isinstance(one, Change) else one for one in listed)
    keys = tuple(recipes) or tuple(model.recipes)
    day = day or model.as_of or days.today()
    findings: list[Finding] = []
    for change in read:
        try:
            model = _one(model, change, keys, day)
        except ShopError as wrong:
            findings.extend(wrong.findings)
    if findings:
        raise ShopError(tuple(findings))
    return model


def _one(model: ShopModel, change: Change, keys: Sequence[str], day: date) -> ShopModel:
    bracket = change.bracket
    if bracket is not None:
        return _bracketed(model, change, *bracket, day)
    name = same(change.target)
    if name in OVERHEAD:
        return _overhead(model, change, OVERHEAD[name])
    bought = {same(one): one for one in (*model.packaging(), *model.ingredients)}
    if name in bought:
        return replace(model, prices=price_rows.changed(model, bought[name], change, day))
    found = figures.find(change, model, keys)
    if found:
        return _steps(model, [(place, figures.moved(place, change, model.currency)) for place in found])
    if name in BRACKETS:
        return _bracketed(model, change, name, "", day)
    known = [*bought.values(), *figures.known_words(model, keys), *OVERHEAD, *_brackets(model)]
    for word, where in figures.readings(change.target):
        if where and same(word) in {same(one) for one in known}:
            near = nearest(where, _wheres(model, keys))
            raise refused(
                f"{word} does not stand in anything called '{where}'", near or _ways(change, model, keys, word)
            )
    raise refused(f"nothing is called '{change.target}'", figures.unknown(change, known))


def _wheres(model: ShopModel, keys: Sequence[str]) -> list[str]:
    recipes = (recipe for key in keys for recipe in figures.family(model, key))
    return list(dict.fromkeys(part.name for recipe in recipes for part in recipe.parts))


def _ways(change: Change, model: ShopModel, keys: Sequence[str], word: str) -> str:
    """Where a figure that somebody looks for does stand."""
    found = [
        place.named
        for key in keys
        for recipe in figures.family(model, key)
        for place in figures.places(recipe)
        if place.value is not None and place.answers(word, "")
    ]
    listed = '", "'.join(f"{one}={change.value}" for one in list(dict.fromkeys(found))[:4])
    return f'there is: "{listed}"' if listed else "look at the recipe's parts and steps"


def _brackets(model: ShopModel) -> list[str]:
    names = {"price": model.channels, "wage": model.wages, "giveaway": model.containers, "leaves": model.machines}
    return [f"{kind}[{name}]" for kind, known in names.items() for name in known]


# Recipes -----------------------------------------------------------------------------------------------------------


def _steps(model: ShopModel, steps: Iterable[tuple[figures.Place, Step]]) -> ShopModel:
    recipes = dict(model.recipes)
    for place, step in steps:
        recipe = recipes[place.recipe]
        parts = []
        for part in recipe.parts:
            if part.name == place.part:
                new = (*part.steps[: place.number - 1], step, *part.steps[place.number :])
                parts.append(part.model_copy(update={"steps": new}))
            else:
                parts.append(part)
        recipes[place.recipe] = recipe.model_copy(update={"parts": tuple(parts)})
    return replace(model, recipes=recipes)


# The shop ----------------------------------------------------------------------------------------------------------


def _bracketed(model: ShopModel, change: Change, kind: str, name: str, day: date) -> ShopModel:  # noqa: PLR0911
    kind = {"wages": "wage", "fee": "fees", "target": "target margin", "rates": "rate"}.get(same(kind), same(kind))
    if kind in ("price", "fees", "target margin"):
        channel = _named(model.channels, name, "channel", kind)
        return _channel(model, model.channels[channel], change, kind)
    if kind == "wage":
        role = _named(model.wages, name, "role in the wages", kind)
        return replace(model, wages={**model.wages, role: _money(model.wages[role], change, model, hourly=True)})
    if kind == "rate":
        code = _named(model.rates, name.upper(), "currency with a rate", kind)
        now = rates.worth(model.rates, code, day)
        if now is None and change.factor is not None:
            raise refused(f"{change.text}: {code} has no rate on {day.isoformat()}", f'say it: "rate[{code}]=1.08"')
        rate = _money(now or 0.0, change, model)
        if rate <= 0:
            raise refused(f"{change.text}: a rate is above zero", "say what one of it costs")
        return replace(model, rates={**model.rates, code: rate})
    if kind == "freight":
        return _freight(model, change, name)
    if kind == "giveaway":
        key = _named(model.containers, name, "container", kind)
        new = _figure(model.containers[key].giveaway, change, units.share)
        return replace(model, containers={**model.containers, key: _with(model.containers[key], giveaway=new)})
    if kind in ("leaves", "capacity"):
        key = _named(model.machines, name, "machine", kind)
        read = units.weight if kind == "leaves" else units.volume
        new = _figure(getattr(model.machines[key], kind), change, read, share=False, above_zero=kind == "capacity")
        return replace(model, machines={**model.machines, key: _with(model.machines[key], **{kind: new})})
    if kind == "usable":
        return _usable(model, change, name)
    raise refused(f"nothing is called '{kind}[…]'", nearest(kind, BRACKETS, f"there is: {', '.join(BRACKETS)}"))


def _named(known: Iterable[str], name: str, what: str, kind: str) -> str:
    """The one of some names that is meant; without a name the only one there is."""
    known = tuple(known)
    if not name and len(known) == 1:
        return known[0]
    if not name:
        ways = ", ".join(f"{kind}[{one}]" for one in known)
        raise refused(f"'{kind}' does not say which {what}", f"write one of: {ways}" if known else "the shop has none")
    for one in known:
        if same(one) == same(name):
            return one
    mend = nearest(name, known, f"there is: {', '.join(known)}" if known else "the shop has none")
    raise refused(f"there is no {what} called '{name}'", mend)


def _with(one: Any, **fields: object) -> Any:
    return one.model_copy(update=fields)


def _channel(model: ShopModel, channel: Channel, change: Change, kind: str) -> ShopModel:
    recipes = model.recipes
    if kind == "price":
        # A recipe's own price there is meant too: who asks what a pint at 7.49 leaves has one price in mind.
        recipes = {
            key: _with(one, prices={**one.prices, channel.name: _price(one.prices[channel.name], change, model)})
            if channel.name in one.prices
            else one
            for key, one in recipes.items()
        }
        new = _with(channel, price=_price(channel.price, change, model))
    elif kind == "fees":
        if change.factor is not None:
            share, fixed = channel.fee_share * change.factor, channel.fee_fixed * change.factor
        else:
            share, fixed = _understood(change, lambda text: words.fees(text, model.currency))
        if share >= 1:
            raise refused(f"{change.text} leaves nothing of the price", "write a share below 100 %")
        new = _with(channel, fee_share=share, fee_fixed=fixed)
    else:
        if change.factor is None:
            target = _understood(change, words.plain_share)
        elif channel.target_margin is None:
            raise refused(f"{channel.name} has no target margin that could change", f'say it: "{change.target}=50%"')
        else:
            target = channel.target_margin * change.factor
        if target >= 1:
            raise refused(f"{change.text} is no target margin", "write a share below 100 %")
        new = _with(channel, target_margin=target)
    return replace(model, recipes=recipes, channels={**model.channels, channel.name: new})


def _price(now: float, change: Change, model: ShopModel) -> float:
    price = _money(now, change, model)
    if price <= 0:
        raise refused(f"{change.text}: a selling price is above zero", "write what it is sold for")
    return price


def _overhead(model: ShopModel, change: Change, field: str) -> ShopModel:
    if field == "per_batch":
        new: object = _money(model.overhead.per_batch, change, model)
    else:
        new = _figure(model.overhead.of_labour, change, units.ratio, share=False)
    return replace(model, overhead=_with(model.overhead, **{field: new}))


def _usable(model: ShopModel, change: Change, name: str) -> ShopModel:
    key = _named(model.ingredients, name, "ingredient", "usable")
    entry = model.ingredients[key]
    if entry.comes_from:
        raise refused(f"{key} comes out of {next(iter(entry.comes_from))}", "its share there is in ingredients.yaml")
    now = entry.usable
    if now is None:
        from costing.amounts import Figure

        record = model.foods.get(entry.food)
        share = 1.0 - ((record.refuse or 0.0) if record else 0.0)
        now = Figure(share, share, f"{share * 100:g} %")
    new = _figure(now, change, units.share, above_zero=True)
    return replace(model, ingredients={**model.ingredients, key: _with(entry, usable=new)})


def _freight(model: ShopModel, change: Change, name: str) -> ShopModel:
    key = _named(model.suppliers, name, "supplier with freight", "freight")
    one = model.suppliers[key]
    if change.factor is None:
        new = _understood(change, lambda text: suppliers.freight(text, model.currency))
    elif one.freight is None:
        raise refused(f"nobody has said what {key} asks for freight", f'say it: "freight[{key}]=18 per order"')
    else:
        new = suppliers.Freight(one.freight.per_order * change.factor, one.freight.share * change.factor)
    changed_one = _with(one, freight=new)
    if changed_one.share is None:
        what = f"{change.text}: nobody has said over which order it falls, so no price can take its share"
        raise refused(what, f"write 'usual order' for {key} in shop.yaml, or give a share alone, such as 5 %")
    return replace(model, suppliers={**model.suppliers, key: changed_one})


def _money(now: float, change: Change, model: ShopModel, *, hourly: bool = False) -> float:
    if change.factor is not None:
        return now * change.factor

    def read(text: str) -> float:
        if hourly and any(mark in text for mark in ("/", " per ", " an ", " a ")):
            return words.money_per_hour(text, model.currency)
        return words.money(text, model.currency)

    return float(_understood(change, read))


def _figure(
    now: Any, change: Change, read: Callable[[object], Any], *, share: bool = True, above_zero: bool = False
) -> Any:
    new = figures.scaled(now, change, share=share) if change.factor is not None else _understood(change, read)
    if above_zero and new.low <= 0:
        raise refused(f"{change.text} must be above zero", "write what it might really be")
    return new


def _understood(change: Change, read: Callable[[str], Any]) -> Any:
    try:
        return read(change.value)
    except UnreadableError as wrong:
        raise refused(f"{change.target}: {wrong.what}", wrong.mend) from None
