"""The commands about foods; like :mod:`costing.cli`, they load nothing but click before one of them runs."""

from __future__ import annotations

import click


def register(creamery: click.Group) -> None:
    """Put ``creamery foods`` on the command line."""
    creamery.add_command(foods)


@click.group()
def foods() -> None:
    """Look up foods in the embedded USDA table."""


@foods.command("search")
@click.argument("words", nargs=-1, required=True)
@click.option("--limit", default=20, show_default=True, type=click.IntRange(1, 500), help="How many at most.")
@click.option("--json", "as_json", is_flag=True, help="Answer with one JSON document.")
def foods_search(words: tuple[str, ...], limit: int, *, as_json: bool) -> int:
    """Foods whose name has all the WORDS, best first."""
    from costing import food_commands

    return food_commands.foods_search(" ".join(words), limit, as_json=as_json)


@foods.command("show")
@click.argument("food")
@click.option("--json", "as_json", is_flag=True, help="Answer with one JSON document.")
def foods_show(food: str, *, as_json: bool) -> int:
    """What is in 100 g of FOOD (like usda:01053), and its household measures."""
    from costing import food_commands

    return food_commands.foods_show(food, as_json=as_json)
