"""The commands about selling; like :mod:`costing.cli`, it loads nothing but click before one of them runs."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    import click


def register(creamery: click.Group) -> None:
    """Add the commands to the command line.

    Args:
        creamery: the command line, whose own options they share.
    """
    from costing.cli import recipe_arguments, shop_options

    @creamery.command()
    @shop_options
    @recipe_arguments
    def margins(shop: Path, recipes: tuple[str, ...], as_of: datetime | None, *, as_json: bool) -> int:
        """What each way of selling leaves: flavours ranked by machine hour, and the month that breaks even."""
        from costing.selling import commands

        return commands.margins(shop, recipes, None if as_of is None else as_of.date(), as_json=as_json)
