"""The command about labels; like :mod:`costing.cli`, it loads nothing but click before it runs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from datetime import datetime

    from costing.asking import Wanted

PLACE = click.Path(path_type=Path)


def register(creamery: click.Group) -> None:
    """Add the command to the command line.

    Args:
        creamery: the command line, whose own options it shares.
    """
    from costing.cli import range_option, recipe_arguments, replace_option, shop_options, size_options

    @creamery.command()
    @shop_options
    @recipe_arguments
    @click.option(
        "--out", type=PLACE, metavar="FOLDER", help="Write a panel (SVG, PDF) and a JSON file for each recipe."
    )
    @replace_option
    @click.option(
        "--why",
        multiple=True,
        metavar="KEY",
        help="What stands behind a figure: total_fat, ingredients, contains, name, serving, all.",
    )
    @click.option("--final", is_flag=True, help="Write no label that is not ready for print, and no proof.")
    @range_option("shown")
    @size_options
    def label(
        shop: Path,
        recipes: tuple[str, ...],
        as_of: datetime | None,
        *,
        as_json: bool,
        out: Path | None,
        replace: bool,
        why: tuple[str, ...],
        final: bool,
        wanted: Wanted,
    ) -> int:
        """What the label must say, with what stands behind every figure."""
        if final and out is None:
            raise click.UsageError("--final goes with --out: it says what may be written")
        from costing import label_commands

        return label_commands.label(
            shop,
            recipes,
            None if as_of is None else as_of.date(),
            as_json=as_json,
            out=out,
            replace=replace,
            why=why,
            final=final,
            wanted=wanted,
        )
