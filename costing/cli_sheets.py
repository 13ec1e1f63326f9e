"""The commands about a shop in a workbook; like :mod:`costing.cli`, it loads nothing but click before one runs."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

PLACE = click.Path(path_type=Path)


def register(creamery: click.Group) -> None:
    """Give ``creamery new`` its workbook, and add ``creamery convert``.

    Args:
        creamery: the command line, which has ``new`` already.
    """
    new = creamery.commands["new"]
    in_folder = new.callback
    assert in_folder is not None

    def run(folder: Path | None, name: str | None, *, workbook: Path | None, source: Path | None, replace: bool) -> Any:
        if (folder is None) == (workbook is None):
            raise click.UsageError("give the name of a new folder, or --workbook and the name of a new file")
        if workbook is None:
            if source is not None or replace:
                raise click.UsageError("--from and --replace go with --workbook; for a folder: creamery convert")
            return in_folder(folder=folder, name=name)
        if workbook.suffix.lower() != ".xlsx":
            raise click.BadParameter("the workbook's name must end in .xlsx", param_hint="--workbook")
        if source is not None and name:
            raise click.UsageError("--name is for a new shop; one that is taken --from another has its name")
        from costing.shop.sheets import commands

        return commands.new(workbook, name, source, replace=replace)

    new.callback = run
    for one in new.params:
        if one.name == "folder":
            one.required = False
    new.params += [
        click.Option(["--workbook"], type=PLACE, metavar="FILE", help="A workbook to fill in (.xlsx), not a folder."),
        click.Option(["--from", "source"], type=PLACE, metavar="SHOP", help="Fill the workbook from a shop there is."),
        click.Option(["--replace"], is_flag=True, help="Write over a workbook that exists already."),
    ]
    creamery.add_command(convert)


@click.command()
@click.argument("shop", type=PLACE)
@click.argument("target", type=PLACE)
@click.option("--replace", is_flag=True, help="Write over a workbook that exists already.")
def convert(shop: Path, target: Path, *, replace: bool) -> int:
    """Turn a SHOP into a workbook (TARGET ends in .xlsx) or into a folder, with nothing lost."""
    from costing.shop.sheets import commands

    return commands.convert(shop, target, replace=replace)
