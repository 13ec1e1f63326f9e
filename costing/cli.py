"""The command line: reads what is asked, hands it on, and says how it went.

It stays light: nothing but click is imported before a command runs, so that help comes at once.
Exit 0 good, 1 findings of level ``error``, 2 wrong usage.
"""

from __future__ import annotations

import functools
import gc
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from costing import cli_foods, cli_label, cli_prices, cli_selling, cli_sheets, cli_whatif
from costing.asking import Wanted, batches_of, count_of

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    F = TypeVar("F", bound=Callable[..., Any])

FOLDER = click.Path(path_type=Path)


def shop_options(command: F) -> F:
    """What every command about a shop takes: its folder, the day, and whether to answer in JSON."""
    command = click.option("--json", "as_json", is_flag=True, help="Answer with one JSON document.")(command)
    command = click.option(
        "--as-of",
        metavar="DATE",
        type=click.DateTime(("%Y-%m-%d",)),
        help="The day whose prices count, like 2026-03-02; the shop's own day, or today, if not given.",
    )(command)
    return click.argument("shop", type=FOLDER)(command)


def recipe_arguments(command: F) -> F:
    """The recipes asked for; none means all of them."""
    return click.argument("recipes", nargs=-1, metavar="[RECIPE]...")(command)


def replace_option(command: F) -> F:
    """Whether existing files give way."""
    return click.option("--replace", is_flag=True, help="Write over files that exist already.")(command)


def _read(parse: Callable[[str], Any]) -> Callable[[click.Context, click.Parameter, str | None], Any]:
    """A check of click's out of a parser that says in a ValueError what is wrong."""

    def check(_: click.Context, __: click.Parameter, text: str | None) -> Any:
        try:
            return None if text is None else parse(text)
        except ValueError as wrong:
            raise click.BadParameter(str(wrong)) from None

    return check


def size_options(command: F) -> F:
    """How large a batch, by ``--batches`` or ``--for``, and whether with trials; the command takes ``wanted``."""

    @functools.wraps(command)
    def run(
        *args: Any,
        batches: float | None,
        containers: tuple[int, str] | None,
        use_trials: bool,
        ranges: bool | None = None,
        **kwargs: Any,
    ) -> Any:
        if batches is not None and containers is not None:
            raise click.UsageError("--batches and --for both say how large the batch is; give one of them")
        count, container = containers or (0, "")
        return command(*args, wanted=Wanted(batches or 1.0, count, container, use_trials, ranges), **kwargs)

    for option in (
        click.option(
            "--use-trials", is_flag=True, help="Take what trials measured in place of what the recipe assumes."
        ),
        click.option(
            "--for",
            "containers",
            metavar='"24 pints"',
            callback=_read(count_of),
            help="The smallest batch that fills so many containers.",
        ),
        click.option(
            "--batches",
            metavar="NUMBER",
            callback=_read(batches_of),
            help="So many batches at once, like 3 or 0.5; what stays in a machine is lost once a run.",
        ),
    ):
        run = option(run)
    return run  # type: ignore[return-value]


def range_option(default: str) -> Callable[[F], F]:
    """Whether ranges are drawn from; goes above :func:`size_options`."""
    text = f"How far figures move within what is assumed or was measured; {default} if neither is given."
    return click.option("--ranges/--no-ranges", default=None, help=text)


def _version(context: click.Context, _: click.Parameter, wanted: bool) -> None:
    if not wanted:
        return
    from importlib.metadata import PackageNotFoundError, version

    try:
        click.echo(f"creamery {version('creamery')}")
    except PackageNotFoundError:
        click.echo("creamery, run from a checkout that is not installed")
    context.exit()


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.option(
    "--version", is_flag=True, is_eager=True, expose_value=False, callback=_version, help="Say which one it is."
)
@click.option("--offline", is_flag=True, help="Never go on-line, not even for a food record that is not here.")
def creamery(*, offline: bool = False) -> None:
    """Costs and nutrition labels for ice cream made by hand in small batches.

    A SHOP is a folder of plain text files: shop.yaml, ingredients.yaml, prices/, recipes/. `creamery demo`
    makes one to look at, `creamery new` one to fill in.
    """
    if offline:
        os.environ["CREAMERY_OFFLINE"] = "1"


@creamery.command()
@click.argument("folder", type=FOLDER, required=False)
@click.option(
    "--replace", is_flag=True, help="Use the shop that is there, as it is; write its workbook and panels anew."
)
@click.option("--open", "show", is_flag=True, help="Open the workbook in your spreadsheet program.")
def demo(folder: Path | None, *, replace: bool, show: bool) -> int:
    """Copy the example shop to FOLDER, cost and label every flavour of it.

    FOLDER is ./creamery-demo if not given.
    """
    from costing import demo as demonstration

    return demonstration.run(folder, replace, show=show)


@creamery.command()
@click.argument("folder", type=FOLDER)
@click.option("--name", help="The shop's name; the folder's if not given.")
def new(folder: Path, name: str | None) -> int:
    """Make a small shop in FOLDER, to be filled in."""
    from costing import commands

    return commands.new(folder, name)


@creamery.command()
@shop_options
def check(shop: Path, as_of: datetime | None, *, as_json: bool) -> int:
    """Say everything that is wrong with a shop, by file and line, and how to mend it."""
    from costing import commands

    return commands.check(shop, _day(as_of), as_json=as_json)


@creamery.command()
@shop_options
@recipe_arguments
@range_option("shown")
@size_options
@cli_whatif.if_option
def cost(shop: Path, recipes: tuple[str, ...], as_of: datetime | None, *, as_json: bool, wanted: Wanted) -> int:
    """What a batch and a container cost, and what each channel leaves."""
    from costing import commands

    return commands.cost(shop, recipes, _day(as_of), as_json=as_json, wanted=wanted)


@creamery.command("yield")
@shop_options
@recipe_arguments
@range_option("shown")
@size_options
def yields(shop: Path, recipes: tuple[str, ...], as_of: datetime | None, *, as_json: bool, wanted: Wanted) -> int:
    """Where every gram and every cent of a batch went, step by step, and what trials say."""
    from costing import commands

    return commands.yields(shop, recipes, _day(as_of), as_json=as_json, wanted=wanted)


@creamery.command()
@shop_options
@recipe_arguments
@click.option("--out", type=FOLDER, metavar="FILE", required=True, help="The workbook, a file ending in .xlsx.")
@replace_option
@click.option("--open", "show", is_flag=True, help="Open it in your spreadsheet program.")
@click.option("--batch-sheets", is_flag=True, help="Add a sheet for the kitchen wall for each flavour.")
@click.option(
    "--evidence/--no-evidence",
    default=True,
    help="What stands behind the labels, sheet by sheet, and their panels; written if neither is given.",
)
@click.option("--living", is_flag=True, help="Formulas from cells you may change: prices, wages, yields, amounts.")
@range_option("left out")
@size_options
def workbook(
    shop: Path,
    recipes: tuple[str, ...],
    as_of: datetime | None,
    *,
    as_json: bool,
    out: Path,
    replace: bool,
    show: bool,
    batch_sheets: bool,
    living: bool,
    evidence: bool,
    wanted: Wanted,
) -> int:
    """Write a workbook: flavours, costs, yields, labels with their evidence, ingredients and prices."""
    if out.suffix.lower() != ".xlsx":
        raise click.BadParameter("the workbook's name must end in .xlsx", param_hint="--out")
    from costing import commands

    code = commands.workbook(
        shop,
        recipes,
        _day(as_of),
        as_json=as_json,
        out=out,
        replace=replace,
        wanted=wanted,
        kitchen=batch_sheets,
        living=living,
        evidence=evidence,
    )
    if show and code == 0:
        click.launch(str(out))
    return code


@creamery.command("batch-sheet")
@shop_options
@recipe_arguments
@click.option("--out", type=FOLDER, metavar="FILE", required=True, help="The sheets, a file ending in .pdf.")
@replace_option
@size_options
def batch_sheet(
    shop: Path,
    recipes: tuple[str, ...],
    as_of: datetime | None,
    *,
    as_json: bool,
    out: Path,
    replace: bool,
    wanted: Wanted,
) -> int:
    """Write sheets for the kitchen wall: what to weigh, the steps in order, boxes for what the scale said."""
    if out.suffix.lower() != ".pdf":
        raise click.BadParameter("the batch sheet's name must end in .pdf", param_hint="--out")
    from costing import commands

    return commands.batch_sheet(shop, recipes, _day(as_of), as_json=as_json, out=out, replace=replace, wanted=wanted)


@creamery.command()
@shop_options
@recipe_arguments
@click.option("--out", type=FOLDER, metavar="FOLDER", required=True, help="Write a picture (SVG, PNG) for each recipe.")
@replace_option
@size_options
def flow(
    shop: Path,
    recipes: tuple[str, ...],
    as_of: datetime | None,
    *,
    as_json: bool,
    out: Path,
    replace: bool,
    wanted: Wanted,
) -> int:
    """Draw where weight and money go: from what was bought through parts to containers, and what is lost."""
    from costing import commands

    return commands.flow(shop, recipes, _day(as_of), as_json=as_json, out=out, replace=replace, wanted=wanted)


@creamery.group()
def prices() -> None:
    """Take in suppliers' price lists, and see what they come to."""


@prices.command("show")
@shop_options
@click.argument("names", nargs=-1, metavar="[INGREDIENT]...")
def prices_show(shop: Path, names: tuple[str, ...], as_of: datetime | None, *, as_json: bool) -> int:
    """The price used for each ingredient and each piece of packaging, and its rivals."""
    from costing import commands

    return commands.prices_show(shop, names, _day(as_of), as_json=as_json)


def _day(moment: datetime | None) -> Any:
    return None if moment is None else moment.date()


cli_label.register(creamery)
cli_foods.register(creamery)
cli_prices.register(prices)
cli_selling.register(creamery)
cli_whatif.register(creamery, prices)
cli_sheets.register(creamery)


def main() -> None:
    """Run the command line; what it exits with is in the module's docstring."""
    # A command lives for a second or two. Looking for circles of garbage while libraries load and sheets fill
    # takes a tenth of that and finds nothing.
    gc.set_threshold(200_000, 20, 100)
    # Our arrays are small; the threads that numpy would start for large ones cost more than they bring.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for stream in (sys.stdout, sys.stderr):
        # A name with an emoji must not stop the answer on a terminal that has none.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        done = creamery(standalone_mode=False)
    except click.exceptions.Exit as stop:
        sys.exit(stop.exit_code)
    except click.ClickException as wrong:
        wrong.show()
        sys.exit(wrong.exit_code)
    except (click.Abort, KeyboardInterrupt):
        click.echo("stopped", err=True)
        sys.exit(130)
    except BrokenPipeError:
        # Whoever read us has seen enough (`creamery cost shop | head`).
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
    except Exception as fault:
        if os.environ.get("CREAMERY_DEBUG"):
            raise
        click.echo(
            f"creamery went wrong, and that is our fault, not yours: {type(fault).__name__}: {fault}\n"
            "Run it again with CREAMERY_DEBUG=1 in the environment and send us what it prints.",
            err=True,
        )
        sys.exit(1)
    sys.exit(done if isinstance(done, int) else 0)
