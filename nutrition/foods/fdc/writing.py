"""The two files of a part while an import fills them, beside the finished ones.

Nothing here is careful about a crash: a file that is not finished is thrown away whole.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING

from nutrition.foods.fdc import layout

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from nutrition.foods.fdc.kinds import Kind

PAGE = 8192
CACHE_KB = 24 * 1024
MOST_PAGES = 2**30
"""A file may grow to so many pages; the tests of a full disk make it small."""


class Files:
    """The files of one kind, open for writing.

    Args:
        folder: the library.
        kind: the kind of foods.
        stamp: sets this import's files apart from others'.
    """

    def __init__(self, folder: Path, kind: Kind, stamp: str) -> None:
        self.kind = kind
        self.paths = tuple(folder / f"{kind.name}-{stamp}-{what}.sqlite" for what in ("names", "values"))
        with contextlib.ExitStack() as opened:
            self.names = _new(self.paths[0], layout.NAMES_SCHEMA)
            opened.callback(self.names.close)
            self.values = _new(self.paths[1], layout.VALUES_SCHEMA)
            opened.pop_all()

    def finish(self) -> None:
        """Write everything out, so that not even a power cut takes it."""
        for one, path in ((self.names, self.paths[0]), (self.values, self.paths[1])):
            one.execute("COMMIT")
            one.close()
            handle = os.open(path, os.O_RDWR)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)

    def close(self) -> None:
        """Close both, finished or not."""
        for one in (self.names, self.values):
            with contextlib.suppress(sqlite3.Error):
                one.close()


def _new(path: Path, schema: str) -> sqlite3.Connection:
    path.unlink(missing_ok=True)
    found = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    try:
        for pragma in (
            *(f"page_size = {PAGE}", f"max_page_count = {MOST_PAGES}", f"cache_size = -{CACHE_KB}"),
            *("journal_mode = OFF", "synchronous = OFF", "locking_mode = EXCLUSIVE", "temp_store = FILE"),
        ):
            found.execute(f"PRAGMA {pragma}")
        found.executescript(schema)
        found.execute("BEGIN")
    except BaseException:
        found.close()
        raise
    return found


@contextlib.contextmanager
def lock(folder: Path, patience: float) -> Iterator[None]:
    """Keep other imports out of a library. The system lets go of it when a process dies, however it dies.

    Args:
        folder: the library.
        patience: how long to wait for another import, s.

    Raises:
        LibraryError: another import still runs.
    """
    with contextlib.closing(sqlite3.connect(folder / layout.LOCK, timeout=patience, isolation_level=None)) as held:
        try:
            held.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError as error:
            if "locked" not in str(error):
                raise
            waited = f"{patience:g} seconds"
            raise layout.LibraryError(
                f"another import into {folder} is running and did not end within {waited}; try again when it is done"
            ) from error
        yield


def clear(folder: Path, keep: Iterable[layout.Part]) -> None:
    """Take away the files of imports that were killed, and of parts that are no longer used."""
    kept = {name for part in keep for name in (part.names, part.values)} | {layout.LOCK}
    for path in folder.glob("*.sqlite*"):
        if path.name.removesuffix("-journal") not in kept:
            # On Windows a file that is being read stays; the next import takes it away.
            with contextlib.suppress(OSError):
                path.unlink()
