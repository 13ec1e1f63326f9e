"""The commands about foods; like :mod:`costing.cli`, they load nothing but click before one of them runs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from datetime import datetime

PLACE = click.Path(path_type=Path)
KINDS = ("foundation", "sr-legacy", "survey", "branded")
"""Kinds of foods as :mod:`nutrition.foods.fdc.kinds` names them, which is not loaded before a command runs."""


def register(creamery: click.Group) -> None:
    """Put ``creamery foods`` on the command line."""
    from costing.cli import recipe_arguments, shop_options

    foods.command("pin")(shop_options(foods_pin))
    foods.command("doubts")(shop_options(recipe_arguments(foods_doubts)))
    creamery.add_command(foods)


@click.group()
def foods() -> None:
    """Look up foods: in the embedded USDA table, in your own food library, on the web."""


@foods.command("search")
@click.argument("words", nargs=-1, required=True)
@click.option("--limit", default=20, show_default=True, type=click.IntRange(1, 500), help="How many at most.")
@click.option("--in", "places", type=click.Choice(("usda", *KINDS)), multiple=True, help="Only there; may be repeated.")
@click.option("--json", "as_json", is_flag=True, help="Answer with one JSON document.")
def foods_search(words: tuple[str, ...], limit: int, places: tuple[str, ...], *, as_json: bool) -> int:
    """Foods that cooks call WORDS, best first: in the embedded table and in your food library."""
    from costing import food_commands

    return food_commands.foods_search(" ".join(words), limit, places, as_json=as_json)


@foods.command("import")
@click.argument("source", metavar="FILE.zip|FOLDER", type=click.Path(exists=True, path_type=Path))
@click.option("--only", type=click.Choice(KINDS), default=None, help="One kind of foods; all of them otherwise.")
@click.option("--older", is_flag=True, help="Let an older release replace a newer one.")
@click.option("--json", "as_json", is_flag=True, help="Answer with one JSON document.")
def foods_import(source: Path, only: str | None, *, older: bool, as_json: bool) -> int:
    """Take USDA's CSV download of FoodData Central into your food library, all or nothing."""
    from costing import food_import

    return food_import.foods_import(source, only or "", older=older, as_json=as_json)


@foods.command("show")
@click.argument("food")
@click.option("--json", "as_json", is_flag=True, help="Answer with one JSON document.")
def foods_show(food: str, *, as_json: bool) -> int:
    """What is in 100 g of FOOD (like usda:01053), and its household measures."""
    from costing import food_commands

    return food_commands.foods_show(food, as_json=as_json)


@foods.command("fetch")
@click.argument("numbers", nargs=-1, required=True, metavar="NUMBER...")
@click.option("--for", "shop", type=PLACE, metavar="SHOP", help="Pin them in this shop too.")
@click.option("--refresh", is_flag=True, help="Ask even for what is kept from an earlier day.")
@click.option("--json", "as_json", is_flag=True, help="Answer with one JSON document.")
def foods_fetch(numbers: tuple[str, ...], shop: Path | None, *, refresh: bool, as_json: bool) -> int:
    """Fetch records of USDA FoodData Central by their NUMBERs (like 171265), and keep them.

    A key of your own in FDC_API_KEY, which is free, allows more than the common one.
    """
    from costing.pins import commands

    return commands.fetch(numbers, shop, refresh=refresh, as_json=as_json)


def foods_pin(shop: Path, as_of: datetime | None, *, as_json: bool) -> int:
    """Keep in SHOP what its labels are made from, so that they can be made again.

    A label is made from what is pinned, whatever becomes of the sources; creamery label --refresh looks for news.
    """
    from costing.pins import commands

    return commands.pin(shop, None if as_of is None else as_of.date(), as_json=as_json)


def foods_doubts(shop: Path, recipes: tuple[str, ...], as_of: datetime | None, *, as_json: bool) -> int:
    """Which unknown or estimated values keep labels of SHOP from being printed, those that settle most lines first."""
    from costing import doubts

    return doubts.run(shop, recipes, None if as_of is None else as_of.date(), as_json=as_json)


@foods.command("suggest")
@click.argument("shop", type=PLACE)
@click.option("--json", "as_json", is_flag=True, help="Answer with one JSON document.")
def foods_suggest(shop: Path, *, as_json: bool) -> int:
    """Propose a record for every ingredient of SHOP that has none (food: ?), with the reason. Nothing is written."""
    from costing import suggest

    return suggest.run(shop, as_json=as_json)
