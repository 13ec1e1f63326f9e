"""The files of a shop folder: which there are, and their bytes, within bounds.

Whatever the file system does (a file in place of a folder, links in a circle, no permission, a pipe) ends in a finding.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from costing.findings import Finding, Level

MOST_FILES: Final = 2000
"""Files of one kind that a shop folder may hold."""


@dataclass(slots=True)
class Report:
    """Collects findings while a folder is read."""

    findings: list[Finding] = field(default_factory=list)

    def add(self, where: str, what: str, mend: str = "", level: Level = "error") -> None:
        """Note a finding."""
        self.findings.append(Finding(level, where, what, mend))

    def where(self, file: str, line: int, column: str = "") -> str:  # noqa: ARG002
        """How findings name a place: file and line.

        Args:
            file: the file.
            line: the line.
            column: of a list, where it is known; a workbook names the cell by it.
        """
        return f"{file}:{line}"

    @property
    def failed(self) -> bool:
        """Whether an error is among them."""
        return any(one.level == "error" for one in self.findings)


def folder_problem(folder: Path) -> tuple[str, str] | None:
    """Why a folder cannot be a shop's: what, and how to mend it; None if it can.

    Args:
        folder: the folder asked for.
    """
    try:
        if not folder.exists():
            what = "this link leads nowhere" if folder.is_symlink() else "there is no such folder"
            return what, f"check the name, or make a shop there with: creamery new {folder}"
        if not folder.is_dir():
            return "this is a file, not a folder", "give the folder that holds shop.yaml"
        if not any(folder.iterdir()):
            return "the folder is empty", "make a shop in it with: creamery new, or give another folder"
    except (OSError, RuntimeError) as wrong:
        return f"the folder cannot be read ({reason(wrong)})", "check its name and who may read it"
    return None


def reason(wrong: Exception) -> str:
    """Why the system refused, in its own short words."""
    text = getattr(wrong, "strerror", None) or "it leads back to itself"
    return str(text).lower()


def listed(folder: Path, name: str, endings: tuple[str, ...], report: Report) -> list[Path]:
    """The files of a sub-folder that have one of the endings, by name.

    Args:
        folder: the shop folder.
        name: the sub-folder; it need not be there.
        endings: file name endings in small letters (``.yaml``).
        report: takes a warning for each spreadsheet or other file that looks meant but is not read.
    """
    place = folder / name
    try:
        if not place.exists() and not place.is_symlink():
            return []
        if not place.is_dir():
            report.add(name, "this is a file, not a folder", f"make a folder '{name}' and put the files into it")
            return []
        entries = sorted(place.iterdir())
    except (OSError, RuntimeError) as wrong:
        report.add(name, f"the folder cannot be read ({reason(wrong)})", "check who may read it")
        return []
    found = []
    for entry in entries:
        if entry.name.startswith((".", "~", "#")) or entry.name.endswith("~"):
            continue
        if entry.suffix.lower() in endings:
            found.append(entry)
        elif entry.suffix.lower() not in ("", ".md", ".txt", ".bak"):
            mend = f"save it as {endings[0]} if it belongs to the shop"
            report.add(f"{name}/{entry.name}", f"this is not a {endings[0]} file and was not read", mend, "warning")
    if len(found) > MOST_FILES:
        report.add(name, f"the folder holds more than {MOST_FILES} files", "move old ones to another folder")
        return []
    return found


def raw(path: Path, where: str, largest: int, report: Report) -> bytes | None:
    """The bytes of a file, None where it cannot be read.

    Args:
        path: the file.
        where: its name for findings.
        largest: bytes that it may have.
        report: takes what is wrong.
    """
    try:
        if not path.exists():
            what = "this link leads nowhere" if path.is_symlink() else "the file is missing"
            report.add(where, what, "add it; 'creamery new' writes an example")
            return None
        if not path.is_file():
            report.add(where, "this is not a file", "put a file with this name in its place")
            return None
        with path.open("rb") as file:
            # Room for what is there, and not for the most that may be; a file that grows meanwhile is read to its end.
            there = path.stat().st_size
            found = file.read(min(there, largest) + 1)
            if there < len(found) <= largest:
                found += file.read(largest + 1 - len(found))
    except (OSError, RuntimeError) as wrong:
        report.add(where, f"the file cannot be read ({reason(wrong)})", "check who may read it")
        return None
    if len(found) > largest:
        size = f"{largest / 1e6:g} MB"
        report.add(where, f"the file is larger than {size}", f"split it into files below {size}, or check what it is")
        return None
    return found
