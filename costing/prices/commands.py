"""What ``creamery prices compare`` and ``creamery prices history`` do."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from costing.commands import say, told
from costing.findings import Finding

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from pathlib import Path

    from costing.desk import Shop
    from costing.prices.history import History


@told
def prices_compare(folder: Path, names: Sequence[str], as_of: date | None, *, as_json: bool) -> int:
    """Every supplier's price of a usable gram, with freight."""
    from costing.prices import compare

    shop = _open(folder, as_of)
    found = compare.things(shop.model, shop.day, names)
    asked = [] if names else compare.suppliers(shop.model, shop.answers(tuple(shop.model.recipes)))
    notes = (*shop.findings, *compare.findings(found, shop.model))
    blocks = compare.text(found, asked, shop.model)
    return say([*found, *asked], notes, blocks, as_json=as_json)


@told
def prices_history(
    folder: Path,
    names: Sequence[str],
    as_of: date | None,
    *,
    as_json: bool,
    since: date | None,
    out: Path | None,
    replace: bool,
) -> int:
    """Every price by date, in figures and as a picture."""
    from costing.prices import history

    shop = _open(folder, as_of)
    found = history.of(shop.model, shop.day, names, since)
    blocks = [block for one in found for block in history.text(one, shop.model)]
    notes = list(shop.findings)
    written: list[Path] = []
    if out is not None:
        written, more = _drawn(shop, found, out, replace=replace)
        notes.extend(more)
    if written:
        blocks.append("\n".join(f"wrote {path}" for path in written))
    results: list[dict[str, Any]] = [history.document(one) for one in found]
    return say(results, tuple(notes), tuple(blocks), as_json=as_json)


def _drawn(shop: Shop, found: Sequence[History], out: Path, *, replace: bool) -> tuple[list[Path], list[Finding]]:
    """Write a picture, SVG and PNG, for each history that has a price."""
    from costing import files
    from costing.flow import png, svg
    from costing.prices import history_picture

    contents: dict[Path, bytes | str] = {}
    notes: list[Finding] = []
    for one in found:
        model = shop.model
        drawn = history_picture.picture(one, model.currency, model.locale, shop.day, freight=model.count_freight)
        if drawn is None:
            what = f"'{one.name}' has no price in {shop.model.currency}, so nothing is drawn"
            notes.append(Finding("note", "prices", what, "add a list, or a rate that begins earlier"))
            continue
        stem = _free(f"{file_name(one.name)}-prices", contents, out)
        contents |= {out / f"{stem}.svg": svg.text(drawn), out / f"{stem}.png": png.data(drawn)}
    files.write_all(contents, replace=replace)
    return list(contents), notes


def _free(stem: str, contents: dict[Path, bytes | str], out: Path) -> str:
    number, name = 1, stem
    while out / f"{name}.svg" in contents:
        number += 1
        name = f"{stem}-{number}"
    return name


def file_name(name: str) -> str:
    """A name that any file system takes.

    >>> file_name("Crème fraîche 40 %"), file_name("../x")
    ('crème-fraîche-40', 'x')
    """
    return re.sub(r"[\W_]+", "-", name.casefold()).strip("-")[:80] or "thing"


def _open(folder: Path, as_of: date | None) -> Shop:
    from costing.desk import Shop

    return Shop.open(folder, as_of)
