"""The demonstration: the example shop copied to a folder, every flavour of it costed and labelled.

What it leaves behind is a shop like any other, to be changed and tried out, with ``workbook.xlsx`` and a
folder of panels beside it.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from costing import beside, commands, files, money, panels, terminal
from costing.findings import Finding, ShopError
from nutrition import resources

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from importlib.resources.abc import Traversable

    from costing.desk import Shop
    from costing.results import RecipeAnswer

EXAMPLE = "quillfeather"
FOLDER = "creamery-demo"
WORKBOOK = "workbook.xlsx"
PANELS = "panels"


@commands.told
def run(folder: Path | None, replace: bool, *, show: bool = False) -> int:
    """Copy the example shop, answer everything about it, and say where the answers are.

    Args:
        folder: where to; ``./creamery-demo`` if None.
        replace: write the workbook and the panels of an earlier demonstration anew; its shop stays as it is.
        show: open the workbook in the user's spreadsheet program.

    Returns:
        The exit code: 0, or 1 where something could not be done.
    """
    target = Path(FOLDER) if folder is None else folder
    _refuse(target, replace=replace)
    _progress("copying the example shop")
    copy_example(target, keep=replace)
    from costing.desk import Shop

    _progress("costing and labelling every flavour")
    shop = Shop.open(target)
    found = [one for one in shop.answers() if one.cost is not None or one.findings]
    findings = tuple(dict.fromkeys((*shop.findings, *(one for answer in found for one in answer.findings))))
    if commands.has_errors(findings):
        _progress("")
        return commands.say((), findings, (), as_json=False)
    _progress("drawing the panels and writing the workbook")
    drawn = beside.start(lambda: _panels(shop, found, target / PANELS))
    from costing.workbook import book

    sheets = book.render(shop.model, shop.day, found, findings=shop.findings)
    drawings = drawn()
    written = target / WORKBOOK
    files.write_all({**drawings, written: sheets}, replace=replace)
    _progress("")
    click.echo(f"{terminal.clean(shop.model.name)}, prices of {shop.day.isoformat()}\n")
    click.echo(summary(shop, found))
    click.echo(
        f"\nthe shop:     {target}\n"
        f"the workbook: {written}\n"
        f"the panels:   {target / PANELS} ({len(drawings)} files, SVG and PDF)\n"
        f"\nNow change a price or a recipe in it and run: {_command()} cost {target}"
    )
    worth_knowing = [one for one in findings if one.level == "warning"]
    if worth_knowing:
        click.echo(f"\n{len(worth_knowing)} things are worth knowing; to read them: {_command()} check {target}")
    if show:
        click.launch(str(written))
    return 0


def _panels(shop: Shop, found: Sequence[RecipeAnswer], folder: Path) -> dict[Path, bytes | str]:
    drawn: dict[Path, bytes | str] = {}
    for answer in found:
        if answer.label is not None:
            drawn |= panels.files(answer, panels.draw(shop.model, answer), folder, picture=False)
    return drawn


def copy_example(target: Path, *, keep: bool = False) -> tuple[Path, ...]:
    """Copy the example shop.

    Args:
        target: the new shop folder.
        keep: leave files that exist already as they are, for somebody may have changed them.

    Returns:
        What was written.

    Raises:
        ShopError: a file exists already, or one cannot be written.
    """
    source = resources.tree("examples").joinpath(EXAMPLE)
    contents: dict[Path, bytes | str] = {target.joinpath(*way): data for way, data in _files(source)}
    if keep:
        contents = {path: data for path, data in contents.items() if not path.exists()}
    files.write_all(contents)
    return tuple(contents)


def _files(folder: Traversable, way: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], bytes]]:
    for entry in sorted(folder.iterdir(), key=lambda one: one.name):
        if entry.is_dir():
            yield from _files(entry, (*way, entry.name))
        elif entry.is_file() and not entry.name.startswith("."):
            yield (*way, entry.name), entry.read_bytes()


def _refuse(target: Path, *, replace: bool) -> None:
    """Stop where the folder holds something that is not an earlier demonstration."""
    if not target.exists():
        return
    if not target.is_dir():
        raise ShopError((Finding("error", str(target), "this is a file", "name a folder that does not exist yet"),))
    if not any(target.iterdir()) or (replace and (target / "shop.yaml").is_file()):
        return
    what = "the folder exists already and is not a shop" if replace else "the folder exists already"
    mend = "name another folder" if replace else "name another folder, or give --replace to use the shop in it"
    raise ShopError((Finding("error", str(target), what, mend),))


def summary(shop: Shop, found: Sequence[RecipeAnswer]) -> str:
    """One line for each flavour: what a container costs, its price, what is left, calories, allergens.

    The price and the margin are those of the first channel.
    """
    model = shop.model
    channel = next(iter(model.channels), None)
    rows = []
    for answer in found:
        if answer.cost is None:
            continue
        sold = next((one for one in answer.cost.channels if one.name == channel), None)
        rows.append(
            (
                answer.title,
                answer.cost.batch.container,
                money.show(answer.cost.per_container.total, model.currency, model.locale),
                money.show(sold.price if sold else None, model.currency, model.locale),
                money.percent(sold.margin_pct if sold else None, model.locale),
                _calories(answer),
                ", ".join(answer.label.allergens) if answer.label else "",
            )
        )
    heads = ("flavour", "container", "costs", f"price, {channel}", "margin", "calories a serving", "allergens")
    return terminal.table(heads, rows, right=(2, 3, 4, 5))


def _calories(answer: RecipeAnswer) -> str:
    if answer.label is None:
        return ""
    line = next((one for one in answer.label.nutrients if one.key == "energy"), None)
    return (line.declared.get("serving") or "?") if line else "?"


def _command() -> str:
    """The command as this person can type it: a virtual environment's is on no search path."""
    called = Path(sys.argv[0])
    return "creamery" if shutil.which("creamery") or called.name != "creamery" else str(called)


def _progress(what: str) -> None:
    """One line that writes over itself, on a terminal only."""
    if sys.stderr.isatty():
        click.echo(f"\r\x1b[K{what}", nl=False, err=True)
