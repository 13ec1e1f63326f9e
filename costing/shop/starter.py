"""Makes a small shop to begin with: one flavour, one price list, and notes in every file that say what to write.

It is the folder ``examples/starter``, with the new shop's name and today's date put in.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Final

from costing import days
from costing.findings import Finding, ShopError
from costing.shop.sources import reason
from nutrition import resources

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

PLACEHOLDER: Final = "name: My Creamery"
DAY: Final = "2026-01-05"
"""The day that stands in the embedded files."""
LONGEST_NAME: Final = 80


def create(folder: Path, name: str) -> tuple[Path, ...]:
    """Write a new shop.

    Args:
        folder: where; it must not exist yet, or be empty.
        name: what the shop is called.

    Returns:
        The files that were written.

    Raises:
        ShopError: there is something in the folder already, or it cannot be written; nothing has been changed then.
    """
    folder = Path(folder)
    try:
        _refuse_taken(folder)
        folder.parent.mkdir(parents=True, exist_ok=True)
        temporary = Path(tempfile.mkdtemp(prefix=".new-shop-", dir=folder.parent))
        try:
            written = _write(temporary, _files(resources.tree("examples").joinpath("starter")), name)
            # A folder made by mkdtemp is closed to everybody else, which no shop should be.
            temporary.chmod(0o777 & ~_umask())
            if folder.is_dir():
                folder.rmdir()
            os.replace(temporary, folder)  # noqa: PTH105  Path.replace would not refuse a folder that filled meanwhile
        finally:
            shutil.rmtree(temporary, ignore_errors=True)
    except OSError as wrong:
        what = f"the shop cannot be written ({reason(wrong)})"
        raise ShopError((Finding("error", str(folder), what, "choose another place"),)) from wrong
    return tuple(folder / path for path in written)


def _refuse_taken(folder: Path) -> None:
    if folder.is_dir():
        if not any(folder.iterdir()):
            return
        what = "there is something in this folder already"
    elif folder.exists() or folder.is_symlink():
        what = "there is a file with this name already"
    else:
        return
    raise ShopError((Finding("error", str(folder), what, "give the name of a new folder"),))


def _umask() -> int:
    # The system tells the mask only to who sets it.
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _files(place: Traversable, before: str = "") -> dict[str, str]:
    """Every file below a folder of ours, with what is in it."""
    found: dict[str, str] = {}
    for entry in sorted(place.iterdir(), key=lambda one: one.name):
        path = f"{before}{entry.name}"
        if entry.is_dir():
            found |= _files(entry, f"{path}/")
        else:
            found[path] = entry.read_text(encoding="utf-8")
    return found


def _write(place: Path, files: dict[str, str], name: str) -> list[str]:
    today = days.today().isoformat()
    plain = " ".join("".join(sign if sign.isprintable() else " " for sign in name).split())[:LONGEST_NAME]
    written = []
    for path, content in files.items():
        # Quoted as JSON, which YAML reads, so that a name may hold quotes and colons.
        filled = content.replace(PLACEHOLDER, f"name: {json.dumps(plain or 'My Creamery', ensure_ascii=False)}")
        file = place / path.replace(DAY, today)
        with contextlib.suppress(FileExistsError):
            file.parent.mkdir(parents=True)
        file.write_text(filled.replace(DAY, today), encoding="utf-8", newline="\n")
        written.append(path.replace(DAY, today))
    return written
