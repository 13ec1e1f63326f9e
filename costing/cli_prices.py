"""The command line of price lists as suppliers send them: thin, like :mod:`costing.cli`."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import click

PLACE = click.Path(path_type=Path)
DAY = click.DateTime(("%Y-%m-%d",))


def register(prices: click.Group) -> None:
    """Put the commands under ``creamery prices``."""
    from costing.cli import shop_options

    things = click.argument("names", nargs=-1, metavar="[THING]...")
    prices.command("compare")(shop_options(things(compare)))
    prices.command("history")(shop_options(things(history)))
    prices.add_command(add)
    prices.add_command(propose)


@click.command()
@click.argument("shop", type=PLACE)
@click.argument("file", type=PLACE)
@click.option(
    "--supplier", default="", metavar="NAME", help="Who sent the list; known by its headings from the second one on."
)
@click.option(
    "--date", "day", metavar="DATE", type=DAY, help="From when its prices hold; as the list says, else today."
)
@click.option("--yes", is_flag=True, help="Confirm what is not doubtful about a proposal.")
@click.option("--json", "as_json", is_flag=True, help="Answer with one JSON document.")
def add(shop: Path, file: Path, supplier: str, day: datetime | None, *, yes: bool, as_json: bool) -> Any:
    """Take in a list as a supplier sent it, CSV or XLSX.

    The first time it proposes what the columns and the items mean, and asks; from the second list on it knows.
    """
    from costing.prices.intake import commands

    return commands.prices_add(shop, file, supplier, day.date() if day else None, yes=yes, as_json=as_json)


@click.command()
@click.argument("shop", type=PLACE)
@click.argument("file", type=PLACE)
@click.option("--supplier", default="", metavar="NAME", help="Who sent the list.")
@click.option("--json", "as_json", is_flag=True, help="Answer with one JSON document.")
def propose(shop: Path, file: Path, supplier: str, *, as_json: bool) -> Any:
    """Write down what a list seems to mean, to be edited; nothing is added."""
    from costing.prices.intake import commands

    return commands.prices_propose(shop, file, supplier, as_json=as_json)


def compare(shop: Path, names: tuple[str, ...], as_of: datetime | None, *, as_json: bool) -> Any:
    """What a usable gram costs at every supplier, with what bringing it costs.

    Freight, minimum orders and how much is mostly ordered are those under `suppliers:` in shop.yaml. Freight is spread
    by value: freight of a usual order / its value is what every price takes on top. Costs leave it out unless shop.yaml
    says `count freight: yes`.

    \b
    creamery prices compare my-shop
    creamery prices compare my-shop "heavy cream" sugar
    """
    from costing.prices import commands

    return commands.prices_compare(shop, names, as_of.date() if as_of else None, as_json=as_json)


@click.option("--since", metavar="DATE", type=DAY, help="Tell only of what holds from this day on.")
@click.option("--out", type=PLACE, metavar="FOLDER", help="Write a picture (SVG, PNG) for each thing.")
@click.option("--replace", is_flag=True, help="Write over files that exist already.")
def history(
    shop: Path,
    names: tuple[str, ...],
    as_of: datetime | None,
    *,
    as_json: bool,
    since: datetime | None,
    out: Path | None,
    replace: bool,
) -> Any:
    """What things have cost over time, on all lists, and what the shop would have paid.

    \b
    creamery prices history my-shop "heavy cream"
    creamery prices history my-shop "heavy cream" sugar --since 2026-01-01 --out charts
    """
    from costing.prices import commands

    day, began = as_of.date() if as_of else None, since.date() if since else None
    return commands.prices_history(shop, names, day, as_json=as_json, since=began, out=out, replace=replace)
