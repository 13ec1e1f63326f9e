"""What ``creamery foods fetch``, ``creamery foods pin`` and ``creamery label --refresh`` do."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING, Any

import click

from costing import commands, days, terminal
from costing.desk import Shop
from costing.findings import Finding, ShopError
from costing.pins import keep

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from costing.pins.changes import LabelChange
    from costing.pins.refresh import News, Outlook
    from nutrition.foods.library import Found
    from nutrition.foods.record import FoodRecord

ORIGINS = {
    "web": "fetched now",
    "cache": "kept from an earlier day",
    "old cache": "kept from an earlier day; the service does not answer",
    "library": "in your food library",
    "pin": "pinned in the shop",
}


@commands.told
def fetch(numbers: Sequence[str], shop: Path | None, *, refresh: bool, as_json: bool) -> int:
    """Records of FoodData Central, fetched and kept, and pinned in a shop if one is named."""
    from nutrition.foods import library, show
    from nutrition.foods.fdc.web import Web

    wanted = [one if ":" in one else f"fdc:{one}" for one in numbers]
    strange = [one for one in wanted if not library.canonical(one).startswith("fdc:")]
    if strange:
        what = f"'{strange[0]}' is no record of FoodData Central"
        raise ShopError((Finding("error", strange[0], what, "give its number, such as 171265"),))
    answers = library.find(wanted, {}, None, Web(refresh=refresh).fetch)
    found = {key: one for key, one in answers.items() if isinstance(one, library.Found)}
    findings = [_missing(key, str(one)) for key, one in answers.items() if not isinstance(one, library.Found)]
    findings += [Finding("note", one.record.id, what) for one in found.values() for what in one.record.problems]
    results = [{**show.document(one.record), "origin": one.origin} for one in found.values()]
    blocks = [_fetched(found)] if found else []
    if shop is not None and found:
        known = _pinned(shop)
        fresh = {one.record.id: one.record for one in found.values() if one.record.id not in known}
        blocks.append(_written(keep.put(shop, fresh, days.today()), fresh))
    return commands.say(results, findings, blocks, as_json=as_json)


def _pinned(shop: Path) -> frozenset[str]:
    """What a shop pins already, as its files say; it may have errors, and wait for the very records that came.

    Raises:
        ShopError: there is no such shop, or a pin in it cannot be read and so might be written over.
    """
    from costing.shop import pinning, reader

    reading = reader.everything(shop)
    broken = tuple(one for one in reading.findings if one.level == "error" and one.where.startswith(pinning.FOLDER))
    if reading.model is None or broken:
        raise ShopError(broken or reading.findings)
    return frozenset(reading.model.pins)


def _missing(key: str, why: str) -> Finding:
    what, _, mend = why.partition("; ")
    return Finding("error", key, what, mend)


def _fetched(found: Mapping[str, Found]) -> str:
    rows = [
        (
            one.record.id,
            one.record.name,
            one.record.published or one.record.release,
            ORIGINS.get(one.origin, one.origin),
        )
        for one in found.values()
    ]
    return terminal.table(("food", "name", "published", "where from"), rows)


@commands.told
def pin(shop: Path, as_of: date | None, *, as_json: bool) -> int:
    """Pin what a shop's labels are made from and is not pinned yet."""
    opened = Shop.open(shop, as_of)
    wanted = keep.unpinned(opened.model)
    written = keep.put(shop, wanted, days.today())
    results = [{"id": key, "name": one.name, "source": one.source} for key, one in wanted.items()]
    kept = len(keep.used(opened.model)) - len(wanted)
    block = _written(written, wanted) if wanted else f"all {kept} records of the shop are pinned already"
    return commands.say(results, opened.findings, (block,), as_json=as_json)


def _written(written: Sequence[str], records: Mapping[str, FoodRecord]) -> str:
    if not records:
        return "what was fetched is pinned in the shop already"
    rows = [(key, one.name) for key, one in records.items()]
    shown = "\n".join(f"wrote {one}" for one in written)
    return f"{terminal.table(('pinned', 'name'), rows)}\n\n{shown}"


@commands.told
def refresh(shop: Path, as_of: date | None, *, yes: bool, as_json: bool) -> int:
    """Say what the newest records would change on which label, and take them if that is wanted."""
    from costing.pins import refresh as looking
    from nutrition.foods.fdc.web import Web

    today = days.today()
    outlook = looking.look(shop, as_of, today, Web(refresh=True).fetch)
    blocks = shown(outlook)
    # Questions are for people: a pipe, or a program that reads JSON, is told how to say yes.
    asking = not yes and not as_json and sys.stdin.isatty() and sys.stdout.isatty()
    if asking and outlook.news:
        click.echo("\n\n".join(blocks))
        blocks = []
        yes = click.confirm("Take these records?", default=False)
    taken: tuple[str, ...] = ()
    if outlook.news and yes:
        taken = keep.put(shop, {one.record.id: one.record for one in outlook.news}, today)
        blocks.append("\n".join(f"wrote {one}" for one in taken))
    elif outlook.news:
        blocks.append("nothing was changed; creamery label --refresh --yes takes these records")
    results = [document(outlook, taken)]
    return commands.say(results, (*outlook.shop.findings, *outlook.findings), blocks, as_json=as_json)


def document(outlook: Outlook, taken: Sequence[str]) -> dict[str, Any]:
    """What refreshing would do, for programs."""
    return {
        "records": [
            {
                "id": one.record.id,
                "name": one.record.name,
                "source": {"before": one.before.source, "after": one.record.source},
                "release": {"before": one.before.release, "after": one.record.release},
                "pinned": one.pinned or None,
                "differences": [
                    {"what": d.what, "before": d.before, "after": d.after} for d in one.differences
                ],
            }
            for one in outlook.news
        ],
        "labels": [one.as_json() for one in outlook.labels],
        "taken": list(taken),
    }  # fmt: skip


def shown(outlook: Outlook) -> list[str]:
    """The same for people."""
    if not outlook.news:
        return [f"{terminal.clean(outlook.shop.model.name)}: the sources have nothing new"]
    blocks = [_news(one) for one in outlook.news]
    blocks += [_label(one, outlook.shop.model.currency) for one in outlook.labels]
    if not outlook.labels:
        blocks.append("no label would change")
    return blocks


def _news(one: News) -> str:
    name = f"{one.record.name} ({one.record.id})"
    pinned = f"pinned {one.pinned}" if one.pinned else "not pinned"
    head = f"{name}, {pinned}: {one.before.source} -> {one.record.source}"
    rows = [(d.what, d.before, d.after) for d in one.differences]
    return (
        f"{terminal.clean(head)}\n{terminal.table(('in 100 g', 'used', 'new'), rows)}" if rows else terminal.clean(head)
    )


def _label(one: LabelChange, currency: str) -> str:
    head = terminal.clean(f"{one.title} ({one.recipe})")
    lines = "line moves" if one.moved == 1 else "lines move"
    rows = [(c.what, c.before, c.after) for c in one.changes]
    if one.cost is not None:
        rows.append(("cost of a container", f"{one.cost[0]:.4f} {currency}", f"{one.cost[1]:.4f} {currency}"))
    if not rows:
        return f"{head}: {one.moved} {lines} a little, and what is printed stays as it is"
    return f"{head}: {one.moved} {lines}\n{terminal.table(('on the label', 'now', 'then'), rows)}"
