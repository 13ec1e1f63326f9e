"""What several tests of the costing floor share."""

from __future__ import annotations

from pathlib import Path

import pytest

from costing.demo import copy_example
from tests.costing.command_line import CommandLine


@pytest.fixture
def creamery(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path_factory: pytest.TempPathFactory
) -> CommandLine:
    """The command line; the user's own cache folder is left alone."""
    monkeypatch.delenv("CREAMERY_DEBUG", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.getbasetemp() / "cache"))
    return CommandLine(monkeypatch, capsys)


@pytest.fixture
def quillfeather(tmp_path: Path) -> Path:
    """A copy of the example shop that a test may spoil."""
    folder = tmp_path / "quillfeather"
    copy_example(folder)
    return folder
