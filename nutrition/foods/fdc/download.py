"""A download of FoodData Central: a zip of CSV files, or the folder that it was unpacked into.

Nothing is ever unpacked to disk, and what a zip says of itself is not believed: names that climb out of it, files
that are there twice, and files that grow beyond all reason are refused before a single row is read.

>>> release_in("FoodData_Central_csv_2024-10-31.zip"), release_in("FoodData_Central_sr_legacy_food_csv_2018-04.zip")
('2024-10-31', '2018-04')
>>> release_in("download.zip")
''
"""

from __future__ import annotations

import contextlib
import re
import zipfile
from pathlib import Path, PurePosixPath
from typing import IO, TYPE_CHECKING, Self

if TYPE_CHECKING:
    from collections.abc import Mapping

FILES = (
    *("food.csv", "nutrient.csv", "food_nutrient.csv", "food_portion.csv", "measure_unit.csv", "food_category.csv"),
    *("sr_legacy_food.csv", "foundation_food.csv", "branded_food.csv", "all_downloaded_table_record_counts.csv"),
)
"""What is read of a download; its other files are left alone."""

MOST_MEMBERS = 1000
LARGEST = 32 * 2**30
"""No file of the download is so large, bytes (food_nutrient.csv has about 2e9)."""
MOST_RATIO = 200
"""No CSV of USDA shrinks to less than this part of itself in a zip; rows of a bomb do."""
SMALL = 2**20


class DownloadError(Exception):
    """The download cannot be read; its one argument says why, for people to read."""


def release_in(name: str) -> str:
    """The release that a file name tells, an ISO date or month; empty where it tells none."""
    found = re.search(r"(?<!\d)(20\d\d-(?:0[1-9]|1[0-2])(?:-(?:0[1-9]|[12]\d|3[01]))?)(?!\d)", name)
    return found[1] if found else ""


class Download:
    """An opened download.

    Args:
        name: the name of the file or folder.
        sizes: for each file that is read its size, bytes.
    """

    def __init__(self, path: Path, archive: zipfile.ZipFile | None, members: Mapping[str, str | Path]) -> None:
        self.name = path.name or str(path)
        self._archive = archive
        self._members = members
        self.sizes = {name: self._size(member) for name, member in members.items()}

    @classmethod
    def open(cls, path: Path) -> Download:
        """Open a zip or a folder.

        Raises:
            DownloadError: it is neither, or not to be trusted, or has no food.csv.
            OSError: it cannot be read.
        """
        if path.is_dir():
            return cls(path, None, _folder(path))
        try:
            archive = zipfile.ZipFile(path)
        except (zipfile.BadZipFile, zipfile.LargeZipFile, NotImplementedError, ValueError) as error:
            raise DownloadError(f"{path.name} is not a zip file, or a damaged one") from error
        with contextlib.ExitStack() as opened:
            opened.callback(archive.close)
            found = cls(path, archive, _members(archive, path.name))
            opened.pop_all()
        return found

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close it."""
        if self._archive is not None:
            self._archive.close()

    def release(self) -> str:
        """The release that its names tell, empty where they tell none."""
        inside = (str(member) for member in self._members.values())
        return next((found for text in (self.name, *inside) if (found := release_in(text))), "")

    def file(self, name: str) -> IO[bytes]:
        """One of its files, opened for reading.

        Raises:
            DownloadError: there is no such file, or it cannot be unpacked.
        """
        member = self._members.get(name)
        if member is None:
            raise DownloadError(f"{self.name} has no {name}")
        if self._archive is None:
            return Path(member).open("rb")
        try:
            return self._archive.open(str(member))
        except (zipfile.BadZipFile, NotImplementedError, RuntimeError, ValueError) as error:
            raise DownloadError(f"{name} in {self.name} cannot be unpacked: {error}") from error

    def place(self, name: str) -> Path | None:
        """Where one of its files lies on disk, None where it lies in a zip."""
        member = self._members.get(name)
        return member if isinstance(member, Path) else None

    def breaks_off(self, name: str) -> bool:
        """Whether a file of it lies on disk without a line end at its end. (A zip tells by itself if it is whole.)"""
        place = self.place(name)
        if place is None or not self.sizes[name]:
            return False
        with place.open("rb") as file:
            file.seek(-1, 2)
            return file.read(1) not in b"\r\n"

    def _size(self, member: str | Path) -> int:
        return self._archive.getinfo(str(member)).file_size if self._archive else Path(member).stat().st_size


def _folder(path: Path) -> dict[str, str | Path]:
    """The files of a folder, or of the one folder in it."""
    for home in (path, *sorted(inner for inner in path.iterdir() if inner.is_dir() and not inner.is_symlink())):
        if (home / "food.csv").is_file():
            return {name: home / name for name in FILES if (home / name).is_file()}
    raise DownloadError(f"{path.name or path} has no food.csv; name the folder that the download was unpacked into")


def _members(archive: zipfile.ZipFile, name: str) -> dict[str, str | Path]:
    found: dict[str, str | Path] = {}
    infos = archive.infolist()
    if len(infos) > MOST_MEMBERS:
        raise DownloadError(f"{name} holds {len(infos):,} files, which no download of FoodData Central does")
    for info in infos:
        inner = PurePosixPath(info.filename.replace("\\", "/"))
        if inner.is_absolute() or ".." in inner.parts or re.match(r"[A-Za-z]:", info.filename):
            raise DownloadError(f"{name} is not to be trusted: '{info.filename[:80]}' leads out of the folder")
        if info.is_dir() or inner.name not in FILES:
            continue
        if inner.name in found:
            raise DownloadError(f"{name} holds {inner.name} twice")
        if info.flag_bits & 1:
            raise DownloadError(f"{inner.name} in {name} is locked with a password")
        if info.file_size > LARGEST or info.file_size > SMALL + MOST_RATIO * info.compress_size:
            size = f"{info.file_size / 2**30:,.1f} GB out of {info.compress_size / 2**20:,.1f} MB"
            raise DownloadError(f"{name} is not to be trusted: {inner.name} would grow to {size}")
        found[inner.name] = info.filename
    if "food.csv" not in found:
        raise DownloadError(f"{name} holds no food.csv: it is no CSV download of FoodData Central")
    return found
