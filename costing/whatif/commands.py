"""What ``creamery prices effect`` and ``creamery what-if`` do: ask, and say the answer as text or as JSON."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing import commands, terminal
from costing.findings import Finding
from costing.whatif import documents

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date
    from pathlib import Path

    from costing.desk import Shop
    from costing.whatif.changes import Change


@dataclass(frozen=True, slots=True)
class Question:
    """What ``creamery what-if`` was asked.

    Args:
        changes: what might change.
        tornado: whether everything is moved, one after the other.
        by: the share by which, 0 to 1.
        tables: one or two figures with their values.
        channel: whose margin a tornado and a table tell; the first that sells the recipe if empty.
        chance: whether to draw from ranges for the chance to meet a target.
    """

    changes: tuple[str, ...] = ()
    tornado: bool = False
    by: float = 0.10
    tables: tuple[str, ...] = ()
    channel: str = ""
    chance: bool = True


@commands.told
def prices_effect(
    folder: Path,
    recipes: Sequence[str],
    as_of: date | None,
    *,
    as_json: bool,
    since: date | None,
    lists: tuple[str, str] | None,
) -> int:
    """What the prices of another day, or of another list, do to every flavour."""
    from costing.whatif import effect
    from costing.whatif.terminal import Teller

    shop = commands._open(folder, as_of)
    keys = commands.keys_of(shop, recipes)
    name = terminal.clean(shop.model.name)
    if lists is not None:
        before, after = effect.books_of(shop, *lists)
        title = f"{name}: prices of {lists[0]} beside {lists[1]}"
        compared = {"before": lists[0], "after": lists[1]}
    else:
        assert since is not None
        before, after = effect.book_on(shop, since), shop.book
        title = f"{name}: prices of {since} beside {shop.day}"
        compared = {"before": since.isoformat(), "after": shop.day.isoformat()}
    found, notes = effect.effects(shop, before, after, keys)
    results = [documents.effect(one, shop.model.currency) | {"prices": compared} for one in found]
    blocks = Teller(shop.model).effects(found, title)
    return commands.say(results, (*_serious(shop), *notes), blocks, as_json=as_json)


@commands.told
def what_if(folder: Path, recipe: str, as_of: date | None, *, as_json: bool, asked: Question) -> int:
    """A recipe as it is and as it might be, what moves its margin, tables over its figures."""
    from costing.whatif import changes, sides, tables, tornado
    from costing.whatif.terminal import Teller

    shop = commands._open(folder, as_of)
    (key,) = commands.keys_of(shop, (recipe,))
    over = tables.axes(asked.tables) if asked.tables else ()
    teller = Teller(shop.model)
    title = shop.model.recipes[key].title
    result: documents.Json = {
        "recipe": key,
        "title": title,
        "currency": shop.model.currency,
        "as_of": shop.day,
    }
    blocks = [f"{terminal.clean(title)} ({key}), prices of {shop.day.isoformat()}"]
    changed = shop
    if asked.changes:
        found = sides.compare(shop, key, asked.changes, chances=asked.chance)
        changed = sides.with_changes(shop, changes.parse_all(asked.changes), (key,))
        result |= documents.sides(found)
        blocks += teller.sides(found)
    elif not asked.tornado and not over:
        one = sides.side(shop, key, chances=asked.chance)
        result |= {"if": [], "before": documents.side(one)}
        blocks += teller.side(one)
    if asked.tornado:
        bars = tornado.tornado(changed, key, asked.by, asked.channel)
        result["tornado"] = documents.tornado(bars)
        blocks += teller.tornado(bars)
    if over:
        grid = tables.table(changed, key, over, asked.channel)
        result["table"] = documents.table(grid)
        blocks += teller.table(grid)
    # What a change does to the kitchen (milk that is no longer pasteurised) is told too.
    told = commands.gathered(shop, (changed.answer(key),), labels=False)
    return commands.say((result,), (*told, *_left_out(shop, changes.parse_all(asked.changes))), blocks, as_json=as_json)


def _left_out(shop: Shop, asked: Iterable[Change]) -> tuple[Finding, ...]:
    """That freight moves nothing where the shop leaves it out of its costs, if somebody asked about it."""
    if shop.model.count_freight:
        return ()
    return tuple(
        Finding(
            "note",
            "--if",
            f"{one.text}: costs leave freight out, so this moves nothing",
            "write 'count freight: yes' in shop.yaml, and it is part of what things cost",
        )
        for one in asked
        if (one.bracket or (one.target, ""))[0].casefold() == "freight"
    )


def _serious(shop: Shop) -> tuple[Finding, ...]:
    """What was found in the shop about its prices; the rest is for ``creamery check``."""
    return tuple(one for one in shop.findings if one.where.startswith("prices"))
