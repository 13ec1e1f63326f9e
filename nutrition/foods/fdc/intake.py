"""Takes a download of FoodData Central into the user's food library, whole or one kind of foods, or not at all.

Everything is built in files beside the finished ones; replacing ``library.json`` at the end is the one moment in
which the library changes. A kind that the download has replaces that kind; other kinds stay as they are.
"""

from __future__ import annotations

import contextlib
import datetime
import sqlite3
import uuid
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from nutrition.foods.fdc import amounts, brands, foods, layout, naming, portions, rows, writing
from nutrition.foods.fdc.download import Download, DownloadError
from nutrition.foods.fdc.kinds import KINDS, Kind, kind
from nutrition.foods.fdc.layout import LibraryError, Part
from nutrition.foods.fdc.rows import NotSoundError, Reading
from nutrition.foods.fdc.tally import Tally

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

PATIENCE = 30.0
"""How long an import waits for another one, s."""
COUNTS = "all_downloaded_table_record_counts.csv"
"""USDA's own count of the rows of every file, where a download has it."""


@dataclass(frozen=True, slots=True)
class Taken:
    """What an import did.

    Args:
        parts: the kinds that were taken in.
        tallies: the count of every file.
        problems: what is worth knowing, in words.
    """

    parts: tuple[Part, ...]
    tallies: tuple[Tally, ...]
    problems: tuple[str, ...]


class _Progress:
    """Bytes read, as a share of all."""

    def __init__(self, download: Download, told: Callable[[float], None]) -> None:
        self._told = told
        self._whole = max(1, int(sum(download.sizes.values())))
        self._done = 0

    def __call__(self, done: int) -> None:
        self._done += done
        self._told(min(1.0, self._done / self._whole))

    def again(self) -> None:
        self._done = 0


def take(
    source: Path,
    folder: Path,
    only: str = "",
    *,
    older: bool = False,
    told: Callable[[float], None] = lambda _: None,
    patience: float = PATIENCE,
) -> Taken:
    """Take a download into a library.

    Args:
        source: the zip, or the folder that it was unpacked into.
        folder: the library; made if need be.
        only: the one kind of foods that is wanted, as in :data:`nutrition.foods.fdc.kinds.NAMES`; all if empty.
        older: whether an older release may replace a newer one.
        told: is told how far it is, 0 to 1.
        patience: how long to wait for another import, s.

    Returns:
        What was taken in, and what was not.

    Raises:
        DownloadError: the download cannot be read, is damaged, or is older than what is there.
        LibraryError: another import is running, the disk is full, or the library cannot be written.
        OSError: a file cannot be read or written.
        KeyError: no such kind.
    """
    wanted = (kind(only),) if only else KINDS
    with Download.open(source) as download:
        folder.mkdir(parents=True, exist_ok=True)
        try:
            with writing.lock(folder, patience):
                return _locked(download, folder, wanted, older, told)
        except sqlite3.Error as error:
            raise LibraryError(
                f"the food library in {folder} cannot be written: {error}; nothing was changed"
            ) from error


def _locked(
    download: Download, folder: Path, wanted: Sequence[Kind], older: bool, told: Callable[[float], None]
) -> Taken:
    try:
        before = layout.parts(folder)
    except LibraryError:
        # Importing again is what mends a damaged library.
        before = ()
    writing.clear(folder, before)
    progress = _Progress(download, told)
    after = before
    try:
        try:
            taken = _Import(download, folder, wanted, older, before, Reading(False, progress), progress).run()
        except NotSoundError:
            progress.again()
            taken = _Import(download, folder, wanted, older, before, Reading(True, progress), progress).run()
        new = {part.kind for part in taken.parts}
        after = (*(part for part in before if part.kind not in new), *taken.parts)
        layout.replace(folder, after)
    except BaseException:
        after = before
        raise
    finally:
        writing.clear(folder, after)
    told(1.0)
    return taken


@dataclass(frozen=True, slots=True)
class _Import:
    """One run over the files of a download."""

    download: Download
    folder: Path
    wanted: Sequence[Kind]
    older: bool
    before: Sequence[Part]
    reading: Reading
    progress: Callable[[int], None]

    def run(self) -> Taken:
        tallies: list[Tally] = []
        for name in ("nutrient.csv", "food_nutrient.csv"):
            if name not in self.download.sizes:
                raise DownloadError(f"{self.download.name} has no {name}")
        known = amounts.codes(self.download, self.reading, tallies)
        found = foods.read(self.download, self.wanted, self.reading, tallies)
        there = [int(place) for place in np.unique(found.kinds)]
        self._something(there, tallies)
        release = self._release(there, found)
        stamp = uuid.uuid4().hex[:12]
        with contextlib.ExitStack() as opened:
            files = {}
            for place in there:
                files[place] = writing.Files(self.folder, KINDS[place], stamp)
                opened.callback(files[place].close)
            branded = KINDS.index(kind("branded"))
            makers = brands.none(found)
            if branded in files and brands.FILE in self.download.sizes:
                makers = brands.read(self.download, found, files[branded], self.reading, tallies)
            portions.read(self.download, found, files, self.reading, tallies)
            _give_back()
            self._believed(tallies)
            # Names and amounts go into different files, and most of the work is done outside of the interpreter.
            with ThreadPoolExecutor(1) as pool:
                naming_them = pool.submit(_name, found, makers, files)
                amounts.read(self.download, found, known, files, self.reading, tallies)
                counts = naming_them.result()
            self._believed(tallies)
            _check(files, counts, tallies)
            bare = _bare(self.download.name, files, counts)
            for place in there:
                files[place].finish()
        day = datetime.datetime.now(datetime.UTC).date().isoformat()
        parts = tuple(
            Part(
                KINDS[place].name,
                files[place].paths[0].name,
                files[place].paths[1].name,
                release,
                counts[place],
                day,
                self.download.name,
            )
            for place in there
        )
        return Taken(
            parts, tuple(tallies), (*known.problems, *bare, *self._cut(tallies), *_counts(self.download, tallies))
        )

    def _something(self, there: Sequence[int], tallies: Sequence[Tally]) -> None:
        if there:
            return
        names = " or ".join(one.words for one in self.wanted)
        listed = next(tally for tally in tallies if tally.file == "food.csv")
        kinds = ", ".join(sorted(listed.left)) or "none that can be read"
        raise DownloadError(f"{self.download.name} has no foods of {names}; its kinds of foods are {kinds}")

    def _release(self, there: Sequence[int], found: foods.Foods) -> str:
        release = self.download.release() or found.release()
        names = {KINDS[place].name for place in there}
        newer = [part for part in self.before if part.kind in names and part.release > release]
        if newer and not self.older:
            have = ", ".join(f"{kind(part.kind).words} of {part.release}" for part in newer)
            raise DownloadError(f"{self.download.name} is of {release or 'no date'}, and the library has {have}")
        return release

    def _believed(self, tallies: Sequence[Tally]) -> None:
        """Stop at a file that is damaged through and through, before it replaces a sound one."""
        for tally in tallies:
            if tally.damaged():
                raise DownloadError(f"{self.download.name} is damaged; nothing was changed: {tally.words()}")
            if rows.CELLS in tally.refused and self.download.breaks_off(tally.file):
                raise DownloadError(
                    f"{tally.file} of {self.download.name} ends in the middle of a row: it was not copied to its end; "
                    "nothing was changed"
                )

    def _cut(self, tallies: Sequence[Tally]) -> list[str]:
        """Files that may have been cut off within their last cell, where no count of cells tells."""
        return [
            f"{tally.file} has no line end at its end: it may not have been copied whole"
            for tally in tallies
            if self.download.breaks_off(tally.file)
        ]


def _give_back() -> None:
    """Let the parser give back the memory that it keeps for its next file."""
    import pyarrow as pa

    pa.default_memory_pool().release_unused()


def _name(found: foods.Foods, makers: brands.Brands, files: dict[int, writing.Files]) -> dict[int, int]:
    """Write the names of every kind, and give how many there are of each."""
    return {place: naming.write(found, place, makers, one) for place, one in files.items()}


def _check(files: dict[int, writing.Files], counts: dict[int, int], tallies: Sequence[Tally]) -> None:
    """Hold the counts against the files that were written; a difference is our fault and ends the import."""
    by_file = {tally.file: tally for tally in tallies}

    def written(table: str) -> int:
        return sum(int(one.values.execute(f"SELECT count(*) FROM {table}").fetchone()[0]) for one in files.values())

    held = sum(int(one.values.execute(HELD).fetchone()[0]) for one in files.values())
    stored = {
        name: by_file[name].stored if name in by_file else 0 for name in (amounts.FILE, brands.FILE, portions.FILE)
    }
    names = {place: one.names.execute("SELECT count(*) FROM food").fetchone()[0] for place, one in files.items()}
    sound = (
        held == stored[amounts.FILE]
        and written("brand") == stored[brands.FILE]
        and written("measure") == stored[portions.FILE]
        and names == counts
        and sum(counts.values()) == by_file["food.csv"].stored
        and all(tally.whole() for tally in tallies)
    )
    if not sound:
        raise LibraryError("the rows that were written are not those that were read; nothing was changed")


def _bare(name: str, files: dict[int, writing.Files], counts: dict[int, int]) -> list[str]:
    """Foods without a single amount: a few are so, and many are what a file leaves that was cut off between two rows.

    Raises:
        DownloadError: they are too many to believe.
    """
    found = []
    for place, one in files.items():
        without = counts[place] - int(one.values.execute("SELECT count(*) FROM amounts").fetchone()[0])
        words = f"{without:,} of {counts[place]:,} foods of {KINDS[place].words} have no amount of any nutrient"
        if without > max(BARE[0], BARE[2] * counts[place]):
            raise DownloadError(f"{name} is not whole, and nothing was changed: {words} in {amounts.FILE}")
        if without > max(1, BARE[1] * counts[place]):
            found.append(words)
    return found


BARE = (20, 0.02, 0.2)
"""Foods without amounts: more than the number and the greater share stop an import, more than the smaller are told."""

HELD = f"SELECT coalesce(sum(length(held)), 0) / {amounts.PIECE.itemsize} FROM amounts"


def _counts(download: Download, tallies: Sequence[Tally]) -> list[str]:
    """Where USDA's own count of rows differs from ours."""
    if COUNTS not in download.sizes:
        return []
    import csv
    import io

    with download.file(COUNTS) as file:
        text = file.read(100_000).decode("utf-8-sig", "replace")
    theirs = {
        row[0].strip().lower(): row[1].replace(",", "").strip()
        for row in csv.reader(io.StringIO(text))
        if len(row) >= 2
    }
    found = []
    for tally in tallies:
        told = theirs.get(tally.file.removesuffix(".csv"), "")
        if told.isascii() and told.isdigit() and int(told) != tally.read:
            found.append(f"{tally.file} has {tally.read:,} rows, and USDA's own count is {int(told):,}")
    return found
