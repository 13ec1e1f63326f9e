"""The README is true: its commands run, in its order, and print what it shows; its files are written as it says.

``python -m tests.test_readme`` writes what the commands print into the README anew; look at the difference afterwards.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
README = ROOT / "README.md"
BLOCK = re.compile(r"^```(?P<kind>console|yaml (?:write|edit) \S+)\n(?P<body>.*?)^```$", re.M | re.S)
ON = "2026-11-25"
"""The day on which the README's commands are run: prices, coming rules and a new shop's list go by it."""


def said(command: str, folder: Path) -> str:
    """What a command of the README prints, findings included; ``make demo`` stands for what it runs."""
    words = shlex.split(command.replace("make demo", "creamery demo demo"))
    assert words[0] == "creamery", command
    code = "import sys; from costing.cli import main; sys.argv[0] = 'creamery'; main()"
    env = {**os.environ, "PYTHONPATH": str(ROOT), "CREAMERY_CACHE": str(folder.parent / "cache"), "COLUMNS": "200"}
    env["CREAMERY_TODAY"] = ON
    env["CREAMERY_HOME"] = str(folder.parent / "home")
    done = subprocess.run(
        [sys.executable, "-c", code, *words[1:]],
        cwd=folder,
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    assert done.returncode == 0, f"{command}\n{done.stdout}"
    return done.stdout


def edit(path: Path, body: str) -> None:
    """Change lines: ``old -> new`` by what stands there, ``key: value`` by its key."""
    text = path.read_text(encoding="utf-8")
    for line in body.splitlines():
        if " -> " in line:
            old, new = line.split(" -> ")
            indent = old[: len(old) - len(old.lstrip())]
            key = old.split(":")[0]
            assert text.count(old) == 1, line
            text = text.replace(old, f"{key}: {new}" if not new.startswith(indent + key.strip()) else new)
        else:
            key = line.split(":")[0]
            text, count = re.subn(rf"^{re.escape(key)}:.*$", lambda _, line=line: line, text, flags=re.M)  # type: ignore[misc]
            assert count == 1, line
    path.write_text(text, encoding="utf-8")


def rendered(text: str, folder: Path) -> str:
    """The README with every block as it comes out today."""

    def renew(block: re.Match[str]) -> str:
        kind, body = block["kind"], block["body"]
        if kind == "console":
            out = []
            for command in re.findall(r"^\$ (.*)$", body, re.M):
                words = said(command, folder)
                out.append(f"$ {command}\n{words if words.endswith(chr(10)) or not words else words + chr(10)}")
            return f"```console\n{chr(10).join(out)}```"
        how, place = kind.split()[1:]
        path = folder / place
        if how == "write":
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(body, encoding="utf-8")
        else:
            edit(path, body)
        return block[0]

    return BLOCK.sub(renew, text)


def test_every_command_prints_what_the_readme_shows(tmp_path: Path) -> None:
    folder = tmp_path / "reader"
    folder.mkdir()
    text = README.read_text(encoding="utf-8")
    assert rendered(text, folder).splitlines() == text.splitlines()
    drawn = sorted(path.name.removeprefix("burnt-sugar") for path in (folder / "panels").iterdir())
    assert drawn == ["-label.pdf", "-label.svg", ".json", ".pdf", ".png", ".svg"]
    assert (folder / "my-shop.xlsx").stat().st_size > 10_000


def test_the_full_recipe_is_the_one_of_the_example() -> None:
    text = README.read_text(encoding="utf-8")
    (shown,) = re.findall(r"^```yaml recipe (\S+)\n(.*?)^```$", text, re.M | re.S)
    path, body = shown
    assert body == (ROOT / path).read_text(encoding="utf-8")


def test_pictures_and_paths_of_the_readme_exist() -> None:
    text = README.read_text(encoding="utf-8")
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", text)
    assert len(pictures) >= 3
    for place in [*pictures, *re.findall(r"\]\((?!http|#)([^)]+\.md)\)", text)]:
        assert (ROOT / place).is_file(), place


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        inner = Path(place) / "reader"
        inner.mkdir()
        README.write_text(rendered(README.read_text(encoding="utf-8"), inner), encoding="utf-8")
