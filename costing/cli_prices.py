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
