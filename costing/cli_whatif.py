"""Commands about what might be, ``creamery prices effect`` and ``creamery what-if``: thin, like :mod:`costing.cli`."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import click

from costing.asking import Wanted


def register(creamery: click.Group, prices: click.Group) -> None:
    """Put the commands under ``creamery`` and ``creamery prices``."""
    from costing.cli import recipe_arguments, shop_options

    prices.command("effect")(shop_options(recipe_arguments(prices_effect)))
    creamery.command("what-if")(shop_options(click.argument("recipe")(what_if)))


_SHARE = re.compile(r"\+?([0-9]{1,2}(?:\.[0-9]{1,6})?) ?%?")


CHANGES = click.option(
    "--if",
    "changes",
    multiple=True,
    metavar="CHANGE",
    help='What might change, like "heavy cream=+12%"; again for several. `creamery what-if --help` has them all.',
)


def if_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """What might change, in ``wanted``; goes below the options of the size."""

    @functools.wraps(command)
    def run(*args: Any, changes: tuple[str, ...], wanted: Wanted, **kwargs: Any) -> Any:
        return command(*args, wanted=replace(wanted, changes=changes), **kwargs)

    return CHANGES(run)


def _day(moment: datetime | None) -> date | None:
    return None if moment is None else moment.date()


def _share(_: click.Context, __: click.Parameter, text: str) -> float:
    found = _SHARE.fullmatch(text.strip())
    if found is None or not 0 < float(found[1]) <= 90:
        raise click.BadParameter(f"'{text}' is not a share above 0 and at most 90 %; write it like 10%")
    return float(found[1]) / 100.0


@click.option(
    "--since",
    metavar="DATE",
    type=click.DateTime(("%Y-%m-%d",)),
    help="The day before, like 2026-01-15: its prices beside those of the shop's day, or of --as-of.",
)
@click.option(
    "--between",
    "lists",
    nargs=2,
    metavar="LIST LIST",
    help="Two price lists of the shop instead, by their file names: the second in place of the first.",
)
def prices_effect(
    shop: Path,
    recipes: tuple[str, ...],
    as_of: datetime | None,
    *,
    as_json: bool,
    since: datetime | None,
    lists: tuple[str, str] | None,
) -> int:
    """What changed prices do to every flavour, or to those named.

    A container's cost before and after; which purchase did it, the largest first, adding up to the difference; where a
    target margin is missed now, and the price that meets it again. That price is rounded up to the shop's price endings
    (`price endings: [.00, .49, .99]` in shop.yaml), to the cent if there are none.

    \b
    creamery prices effect my-shop --since 2026-01-15
    creamery prices effect my-shop --between 2026-01-12-dairy.csv 2026-02-16-dairy.csv
    """
    if (since is None) == (lists is None):
        raise click.UsageError("say what to compare with: either --since DATE or --between LIST LIST")
    from costing.whatif import commands

    return commands.prices_effect(shop, recipes, _day(as_of), as_json=as_json, since=_day(since), lists=lists)


@CHANGES
@click.option("--tornado", is_flag=True, help="What moves the margin most: every figure a bit down and a bit up.")
@click.option(
    "--by", default="10%", show_default=True, callback=_share, metavar="SHARE", help="How far the tornado moves each."
)
@click.option(
    "--table",
    "tables",
    multiple=True,
    metavar="VALUES",
    help='The margin over a figure, like "heavy cream=-20%..+20%/5"; given twice, over both.',
)
@click.option("--channel", default="", metavar="NAME", help="Whose margin; the first channel if not given.")
@click.option("--chance/--no-chance", default=True, help="The chance to meet each target, from the recipe's ranges.")
def what_if(
    shop: Path,
    recipe: str,
    as_of: datetime | None,
    *,
    as_json: bool,
    changes: tuple[str, ...],
    tornado: bool,
    tables: tuple[str, ...],
    channel: str,
    chance: bool,
    **rest: Any,
) -> int:
    """What becomes of RECIPE if prices, wages or its own figures change; nothing is written.

    With --if: as it is beside what it would be. A sign makes a change relative (+12% is 1.12 times what it is now),
    without one it is the new figure:

    \b
    "heavy cream=+12%"           what every supplier asks for it
    "heavy cream=5.90 USD/kg"    or 2.70 USD/lb, 66 USD per 6 x 64 fl oz
    "pint tub=0.30 USD each"     packaging
    "overrun=35%"                a figure of the recipe, by its key
    "loses of base=4%"           and by part, step name or verb, if there are several
    "yield of duck fat=40%"
    "sugar in base=400 g"        what a part takes of a thing
    "price[grocer]=7.49"         also fees[...] and target margin[...]
    "wage[kitchen]=24"           an hour; also "overhead per batch=8", "overhead of labour=15%"
    "giveaway[pint]=2%"          also leaves[machine], capacity[machine], usable[ingredient], rate[EUR]
    "freight[Northdale]=24 per order"

    \b
    creamery what-if my-shop vanilla --if "heavy cream=+12%" --if "price[market]=9.50"
    creamery what-if my-shop vanilla --tornado --by 10%
    creamery what-if my-shop vanilla --table "heavy cream=-20%..+20%/5" --table "price[market]=8..10/5"
    """
    from costing.whatif import commands

    asked = commands.Question(changes, tornado, rest["by"], tables, channel, chance)
    return commands.what_if(shop, recipe, _day(as_of), as_json=as_json, asked=asked)
