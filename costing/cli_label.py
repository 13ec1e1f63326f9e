"""The command about labels; like :mod:`costing.cli`, it loads nothing but click before it runs."""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

import click

if TYPE_CHECKING:
    from datetime import datetime

    from costing.asking import Wanted
    from costing.panels import PanelWish

F = TypeVar("F", bound=Callable[..., Any])

PLACE = click.Path(path_type=Path)


def _inches(_: click.Context, __: click.Parameter, text: str | None) -> float | None:
    from costing import lengths

    try:
        return None if text is None else lengths.length(text).inches
    except ValueError as wrong:
        raise click.BadParameter(str(wrong)) from None


def _square_inches(_: click.Context, __: click.Parameter, text: str | None) -> float | None:
    from costing import lengths

    try:
        return None if text is None else lengths.area(text).sq_in
    except ValueError as wrong:
        raise click.BadParameter(str(wrong)) from None


def _choices(_: click.Context, __: click.Parameter, texts: tuple[str, ...]) -> tuple[str, ...]:
    from costing.shop import label_choices

    try:
        label_choices.said(texts)
    except ValueError as wrong:
        raise click.BadParameter(str(wrong)) from None
    return texts


def panel_options(command: F) -> F:
    """How the panel is drawn, by ``--form``, ``--width``, ``--height`` and ``--area``; the command takes ``wish``."""

    @functools.wraps(command)
    def run(*args: Any, form: str, width: float | None, height: float | None, area: float | None, **kwargs: Any) -> Any:
        from costing.panels import PanelWish

        return command(*args, wish=PanelWish(form, width, height, area), **kwargs)

    for option in (
        click.option("--area", callback=_square_inches, metavar='"38 sq in"', help="Area available to bear labeling."),
        click.option("--height", callback=_inches, metavar='"3.2 in"', help="Height that there is for the panel."),
        click.option("--width", callback=_inches, metavar='"4.5 in"', help="Width of the panel."),
        click.option(
            "--form",
            default="",
            metavar="NAME",
            help="Form of the panel: vertical, side-by-side, tabular, dual, dual-side-by-side, dual-tabular, "
            "small-tabular, small-dual-tabular, linear. By default what the law allows in the room there is.",
        ),
    ):
        run = option(run)
    return cast("F", run)


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
        "--out",
        type=PLACE,
        metavar="FOLDER",
        help="Write panel (SVG, PDF, PNG), whole label (SVG, PDF) and a JSON file for each recipe.",
    )
    @click.option("--panel-only", is_flag=True, help="With --out: leave the whole label out.")
    @panel_options
    @click.option(
        "--container",
        default="",
        metavar="NAME",
        help='The container that labels are for, like "small cup"; the first that a recipe fills, if not given.',
    )
    @replace_option
    @click.option(
        "--why",
        multiple=True,
        metavar="KEY",
        help="What stands behind a figure: total_fat, ingredients, contains, name, serving, all.",
    )
    @click.option(
        "--choose",
        multiple=True,
        callback=_choices,
        metavar="KEY=VALUE",
        help='Choose otherwise than shop.yaml: "lines=shortened", "calories=A", "closing clause=1 %".',
    )
    @click.option("--refresh", is_flag=True, help="Say what the newest food records would change on which label.")
    @click.option("--yes", is_flag=True, help="With --refresh: take them.")
    @click.option(
        "--against",
        type=PLACE,
        metavar="FOLDER-OR-FILE",
        help="Hold the labels against earlier ones that --out wrote: what must be printed anew, and why.",
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
        panel_only: bool,
        container: str,
        replace: bool,
        why: tuple[str, ...],
        against: Path | None,
        final: bool,
        choose: tuple[str, ...],
        refresh: bool,
        yes: bool,
        wanted: Wanted,
        wish: PanelWish,
    ) -> int:
        """What the label must say, with what stands behind every figure."""
        if final and out is None:
            raise click.UsageError("--final goes with --out: it says what may be written")
        if refresh:
            if recipes or out is not None or why or against is not None:
                raise click.UsageError(
                    "--refresh is about the whole shop and goes with no recipe, --out, --why or --against"
                )
            from costing.pins import commands

            return commands.refresh(shop, None if as_of is None else as_of.date(), yes=yes, as_json=as_json)
        if yes:
            raise click.UsageError("--yes goes with --refresh")
        from costing import label_commands

        return label_commands.label(
            shop,
            recipes,
            None if as_of is None else as_of.date(),
            as_json=as_json,
            out=out,
            replace=replace,
            why=why,
            against=against,
            final=final,
            wanted=dataclasses.replace(wanted, choices=choose, packed=container),
            wish=wish,
            whole=not panel_only,
        )
