"""Turns a folder into a workbook and a workbook into a folder, and makes sure that nothing was lost on the way."""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from pydantic import BaseModel

from costing import days
from costing import files as placing
from costing.findings import Finding, ShopError
from costing.shop import reader, sources, starter
from costing.shop.sheets import beside, files, opening, papers, writing

if TYPE_CHECKING:
    from collections.abc import Mapping

    from costing.shop.models import ShopModel
    from costing.shop.sheets.papers import Papers

_QUOTED: Final = re.compile(r"\"[^\"\n]*\"|'[^'\n]*'")
_COMMENT: Final = re.compile(r"(?:^|[ \t])#", re.MULTILINE)
_PLACED: Final = frozenset(("where", "lines", "folder", "spec_files"))
"""What says where something stood, and so differs between a folder and a workbook."""


def new(path: Path, name: str, source: Path | None = None, *, replacing: bool = False) -> None:
    """Write the workbook of a new shop, or of one that there is.

    Args:
        path: where, a file ending in .xlsx.
        name: of the new shop.
        source: a shop whose contents it gets; None: those of the small shop that every beginning has.
        replacing: whether an existing file gives way.

    Raises:
        ShopError: there is such a file already, or the source cannot be read.
    """
    placing.refuse_existing((path,), replace=replacing)
    if source is not None:
        convert(source, path, replacing=replacing)
        return
    with tempfile.TemporaryDirectory(prefix="creamery-") as temporary:
        folder = Path(temporary) / "shop"
        starter.create(folder, name)
        convert(folder, path, replacing=replacing)


def convert(source: Path, target: Path, *, replacing: bool = False) -> tuple[str, ...]:
    """Turn a shop into a workbook (a target that ends in .xlsx) or into a folder.

    Args:
        source: the shop, a folder or a workbook.
        target: where to; a folder must not exist yet, or be empty.
        replacing: whether an existing workbook gives way.

    Returns:
        What went along beside it: ``mappings`` of suppliers' lists, and those lists as they were ``received``.

    Raises:
        ShopError: the source has errors, the target is taken, or something would be lost; nothing is written then.
    """
    workbook = target.suffix.casefold() == ".xlsx"
    if workbook:
        placing.refuse_existing((target,), replace=replacing)
    else:
        _refuse_taken(target)
    before = _checked(source)
    found = contents(source)
    carried = beside.found(source)
    if workbook:
        raw = writing.as_bytes(found, before.as_of or days.today())
        after = opening.of_bytes(raw, target)
        _refuse_loss(before, after, source)
        home = beside.home(target)
        there = beside.found(target) if home.exists() else {}
        files_beside = {home / name: data for name, data in carried.items() if there.get(name) != data}
        if replacing:
            placing.write_all({}, over={**files_beside, target: raw})
        else:
            placing.write_all({**files_beside, target: raw})
    else:
        _folder(found, target, before, source, carried)
    return tuple(sorted({name.partition("/")[0] for name in carried}))


def contents(place: Path) -> Papers:
    """The contents of a shop, a folder or a workbook.

    Args:
        place: where it lies.

    Raises:
        ShopError: it cannot be read.
    """
    if place.is_dir():
        report = sources.Report()
        return papers.of_folder(place, report)
    return opening.opened(opening.contents(place), place.name)[0]


def remarked(source: Path) -> tuple[str, ...]:
    """Files of a shop folder that hold comments, which no sheet has a place for; a workbook has none.

    Args:
        source: the shop.
    """
    if not source.is_dir():
        return ()
    found = []
    for name in (papers.SHOP, papers.INGREDIENTS, "recipes", "specs", "pins"):
        place = source / name
        for file in sorted(place.glob("*.yaml")) if place.is_dir() else [place] if place.is_file() else []:
            text = _QUOTED.sub("", file.read_text(encoding="utf-8", errors="replace"))
            if _COMMENT.search(text):
                found.append(file.relative_to(source).as_posix())
    return tuple(found)


def _checked(source: Path) -> ShopModel:
    """The shop, which must be readable; what is wrong between its recipes may stay so."""
    reading = reader.everything(source)
    errors = tuple(one for one in reading.findings if one.level == "error")
    if reading.model is None or errors:
        raise ShopError(errors or reading.findings)
    return reading.model


def _refuse_taken(target: Path) -> None:
    if target.is_dir() and not any(target.iterdir()):
        return
    if target.exists() or target.is_symlink():
        what = "there is something in this folder already" if target.is_dir() else "there is a file with this name"
        raise ShopError((Finding("error", str(target), what, "give the name of a new folder"),))


def _folder(found: Papers, target: Path, before: ShopModel, source: Path, carried: Mapping[str, bytes]) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        temporary = Path(tempfile.mkdtemp(prefix=".new-shop-", dir=target.parent))
        try:
            for name, text in files.of(found).items():
                file = temporary / name
                file.parent.mkdir(parents=True, exist_ok=True)
                file.write_text(text, encoding="utf-8", newline="\n")
            for name, data in carried.items():
                file = beside.home(temporary) / name
                file.parent.mkdir(parents=True, exist_ok=True)
                file.write_bytes(data)
            _refuse_loss(before, reader.everything(temporary), source)
            temporary.chmod(0o777 & ~starter._umask())  # mkdtemp closes it to everybody else
            if target.is_dir():
                target.rmdir()
            os.replace(temporary, target)  # noqa: PTH105  Path.replace would not refuse a folder that filled meanwhile
        finally:
            shutil.rmtree(temporary, ignore_errors=True)
    except OSError as wrong:
        what = f"the shop cannot be written ({sources.reason(wrong)})"
        raise ShopError((Finding("error", str(target), what, "choose another place"),)) from wrong


def _refuse_loss(before: ShopModel, after: reader.Reading, source: Path) -> None:
    mend = "please send us this shop; nothing was written"
    errors = tuple(one for one in after.findings if one.level == "error")
    if after.model is None or errors:
        said = str(errors[0].shown()) if errors else "it cannot be read"
        raise ShopError((Finding("error", str(source), f"what would be written has an error: {said}", mend),))
    lost = difference(content(filed(before)), content(filed(after.model)))
    if lost:
        raise ShopError((Finding("error", str(source), f"something would be lost: {lost}", mend),))


def filed(model: ShopModel) -> ShopModel:
    """A shop with what a folder has files for in the order of their names; in a workbook, rows stand in any order."""
    return replace(
        model,
        recipes=dict(sorted(model.recipes.items())),
        foods=dict(sorted(model.foods.items())),
        pins=dict(sorted(model.pins.items())),
        origins=dict(sorted(model.origins.items())),
    )


def content(value: Any) -> Any:
    """What a model says, without where it stood: models as their fields, in order.

    Args:
        value: a model, or anything in one.
    """
    if isinstance(value, BaseModel):
        names = [name for name in type(value).model_fields if name not in _PLACED]
        said = {name: content(getattr(value, name)) for name in names}
        return {"": type(value).__name__, "said": sorted(value.model_fields_set - _PLACED), **said}
    if is_dataclass(value):
        return {one.name: content(getattr(value, one.name)) for one in fields(value) if one.name not in _PLACED}
    if isinstance(value, np.ndarray):
        return [repr(one) for one in value.ravel().tolist()]
    if isinstance(value, dict) or hasattr(value, "items"):
        return [[content(key), content(one)] for key, one in value.items()]
    if isinstance(value, list | tuple):
        return [content(one) for one in value]
    return value


def difference(one: Any, other: Any, way: str = "") -> str:
    """Where two contents differ first, empty where they do not.

    >>> difference({"a": [1, 2]}, {"a": [1, 3]})
    'a 1: 2, 3'
    """
    if isinstance(one, dict) and isinstance(other, dict) and one.keys() == other.keys():
        return next(filter(None, (difference(one[key], other[key], f"{way} {key}") for key in one)), "")
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        pairs = enumerate(zip(one, other, strict=True))
        return next(filter(None, (difference(a, b, f"{way} {at}") for at, (a, b) in pairs)), "")
    return "" if one == other else f"{way.strip()}: {one}, {other}"[:300]
