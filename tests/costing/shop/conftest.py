"""A small shop that tests spoil in one place at a time."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from costing.findings import Finding
from costing.shop.reader import read
from nutrition.resources import tree

DAY = date(2026, 1, 20)
STARTER = Path(str(tree("examples") / "starter"))


class Folder:
    """A shop folder of a test."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def text(self, file: str) -> str:
        return (self.path / file).read_text(encoding="utf-8")

    def write(self, file: str, content: str | bytes) -> Folder:
        target = self.path / file
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content.encode() if isinstance(content, str) else content)
        return self

    def edit(self, file: str, old: str, new: str) -> Folder:
        before = self.text(file)
        assert old in before, f"{old!r} is not in {file}"
        return self.write(file, before.replace(old, new, 1))

    def line(self, file: str, part: str) -> str:
        """File and line of the first line that holds a text."""
        number = next(i for i, line in enumerate(self.text(file).splitlines(), 1) if part in line)
        return f"{file}:{number}"

    def findings(self) -> tuple[Finding, ...]:
        return read(self.path, DAY)[1]

    def only(self) -> Finding:
        """The one finding there is; it is an error, and so there is no shop."""
        model, found = read(self.path, DAY)
        assert model is None
        assert len(found) == 1, "\n".join(map(str, found))
        assert found[0].level == "error"
        return found[0]

    def recipe(self, *steps: str, head: str = "title: Test", parts: str = "") -> Folder:
        """Replace the recipe by one with these steps; the first five lines stand before them."""
        lines = [
            head,
            "parts:",
            *parts.splitlines(),
            "  pot:",
            *(f"    {line}" for step in steps for line in step.split("\n")),
        ]
        return self.write("recipes/vanilla.yaml", "\n".join(lines) + "\n")


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    """A copy of the shop that `creamery new` writes."""
    made = Folder(tmp_path / "shop")
    for path in STARTER.rglob("*"):
        if path.is_file():
            made.write(path.relative_to(STARTER).as_posix(), path.read_bytes())
    return made


Read = Callable[[Path], tuple[object, tuple[Finding, ...]]]
