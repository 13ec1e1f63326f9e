"""Checks channels against the rest of the shop: their containers, and the mix that they make together."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from costing.findings import Finding
from costing.shop.building import nearest
from costing.shop.steps import Fill

if TYPE_CHECKING:
    from costing.shop.models import Channel, ShopModel
    from costing.shop.reader import Reading

SLACK: Final = 1e-9


def findings(model: ShopModel, reading: Reading) -> Iterator[Finding]:
    """What is wrong with the channels of a shop.

    Args:
        model: the shop, as far as it could be read.
        reading: what could not be read of it.
    """
    filled = {
        filling.container
        for recipe in model.recipes.values()
        for part in recipe.parts
        for step in part.steps
        if isinstance(step, Fill)
        for filling in step.container
    }
    for channel in model.channels.values():
        name = channel.container
        if name is None:
            if not reading.broken.get("recipes", frozenset()):
                yield from _one_price(model, channel)
            continue
        if reading.hides("containers", name):
            continue
        where = channel.at("container")
        if name not in model.containers:
            has = ", ".join(model.containers)
            mend = nearest(name, model.containers, f"shop.yaml has: {has}" if has else "add it under containers")
            yield Finding("error", where, f"there is no container called '{name}'", mend)
        elif name not in filled and not reading.broken.get("recipes", frozenset()):
            what = f"{channel.name} sells '{name}', and no recipe fills one"
            yield Finding("warning", where, what, f"let a recipe fill it: fill: {{container: {name}}}")
    if not reading.broken.get("channels", frozenset()):
        yield from _mix(model)


def _one_price(model: ShopModel, channel: Channel) -> Iterator[Finding]:
    """A price for whatever a recipe fills first, where that is of several sizes."""
    sizes: dict[float, tuple[str, str]] = {}
    for key, recipe in model.recipes.items():
        fills = [step for part in recipe.parts for step in part.steps if isinstance(step, Fill)]
        container = model.containers.get(fills[-1].container[0].container) if fills else None
        if container is not None and channel.name not in recipe.prices:
            sizes.setdefault(container.holds.mid, (container.name, key))
    if len(sizes) > 1:
        of = " and ".join(f"a {name} of {key}" for name, key in sizes.values())
        what = f"{channel.name} has one price for {of}"
        mend = f"say which it sells, container: {next(iter(sizes.values()))[0]}, or give the others prices of their own"
        yield Finding("warning", channel.at("shelf price" if channel.at_shelf else "price"), what, mend)


def _mix(model: ShopModel) -> Iterator[Finding]:
    """Shares of the ice cream."""
    mixed = [channel for channel in model.channels.values() if channel.sells is not None]
    whole = sum(channel.sells or 0.0 for channel in mixed)
    if not mixed or abs(whole - 1.0) <= SLACK:
        return
    what = f"the channels together sell {100 * whole:g} % of the ice cream"
    if whole > 1:
        yield Finding("error", mixed[-1].at("sells"), what, "their shares cannot pass 100 %")
    else:
        yield Finding(
            "warning", mixed[-1].at("sells"), what, "let them make 100 %; until then they count in proportion"
        )
