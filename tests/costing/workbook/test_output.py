"""Where a workbook goes: an existing file stays, a locked one too, and nothing is left half written."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import load_workbook

from tests.costing.command_line import CommandLine


@pytest.fixture(params=[[], ["--living"]], ids=["plain", "living"])
def kind(request: pytest.FixtureRequest) -> list[str]:
    """Of both kinds of workbook."""
    found: list[str] = request.param
    return found


def test_an_existing_file_is_kept_and_gives_way_when_told(
    creamery: CommandLine, quillfeather: Path, tmp_path: Path, kind: list[str]
) -> None:
    out = tmp_path / "out.xlsx"
    out.write_bytes(b"mine")
    # One base makes a small workbook, which is enough here.
    asked = ("workbook", str(quillfeather), "house-base", "--no-evidence", "--out", str(out), *kind)
    done = creamery(*asked)
    assert done.code == 1
    assert "--replace" in done.err
    assert out.read_bytes() == b"mine"
    assert creamery(*asked, "--replace").code == 0
    assert load_workbook(out).sheetnames[0] == "Flavours"
    assert sorted(one.name for one in tmp_path.iterdir()) == ["out.xlsx", "quillfeather"]


def test_a_locked_file_stays_as_it_was(
    creamery: CommandLine, quillfeather: Path, tmp_path: Path, kind: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A spreadsheet program that has the file open keeps others from putting a new one in its place."""
    out = tmp_path / "out.xlsx"
    out.write_bytes(b"open elsewhere")

    def locked(self: Path, target: Path) -> Path:
        raise PermissionError(13, "Permission denied", str(target))

    monkeypatch.setattr(Path, "replace", locked)
    asked = ("workbook", str(quillfeather), "house-base", "--no-evidence", "--out", str(out), *kind, "--replace")
    done = creamery(*asked)
    assert done.code == 1
    assert "Permission denied" in done.err or "not allowed" in done.err
    assert "Traceback" not in done.err
    assert out.read_bytes() == b"open elsewhere"
    assert sorted(one.name for one in tmp_path.iterdir()) == ["out.xlsx", "quillfeather"]


def test_a_folder_in_the_way(creamery: CommandLine, quillfeather: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.xlsx"
    out.mkdir()
    done = creamery("workbook", str(quillfeather), "house-base", "--no-evidence", "--out", str(out), "--replace")
    assert done.code == 1
    assert "Traceback" not in done.err
    assert list(out.iterdir()) == []
