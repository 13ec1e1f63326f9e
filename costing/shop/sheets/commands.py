"""What ``creamery new --workbook`` and ``creamery convert`` do."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from costing.commands import told

if TYPE_CHECKING:
    from pathlib import Path


@told
def new(path: Path, name: str | None, source: Path | None, *, replace: bool) -> int:
    """Make a workbook to be filled in."""
    from costing.shop.sheets import turning

    turning.new(path, name or path.stem, source, replacing=replace)
    click.echo(f"{path} is ready. Fill it in, save it, then run: creamery check {path}")
    return 0


@told
def convert(source: Path, target: Path, *, replace: bool) -> int:
    """Turn a shop into a workbook or a folder."""
    from costing.shop.sheets import beside, turning

    went = turning.convert(source, target, replacing=replace)
    click.echo(f"wrote {target}; the shop in it is the same, {source} stays as it is")
    if target.suffix.casefold() == ".xlsx" and (files := turning.remarked(source)):
        what = "comments (what stands behind #) do not go along; they stay in"
        click.echo(f"note: {what} {', '.join(files)}")
    if went:
        home = beside.home(target)
        what = "how suppliers' lists are read, and the lists as they were received, went along into"
        click.echo(f"note: {what} {' and '.join(str(home / name) for name in went)}")
    return 0
