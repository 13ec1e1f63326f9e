"""Runs the command line inside the test's own process."""

from __future__ import annotations

import json
import sys
from dataclasses import dataclass
from typing import Any

import pytest

from costing import cli


@dataclass(frozen=True)
class Said:
    """What a command said."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The one document on standard output; NaN and infinity are no JSON."""

        def refuse(word: str) -> None:
            raise AssertionError(word)

        return json.loads(self.out, parse_constant=refuse)


class CommandLine:
    """Callable with the words of a command."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self.monkeypatch = monkeypatch
        self.capsys = capsys

    def __call__(self, *words: object) -> Said:
        self.monkeypatch.setattr(sys, "argv", ["creamery", *map(str, words)])
        self.capsys.readouterr()
        with pytest.raises(SystemExit) as stop:
            cli.main()
        out, err = self.capsys.readouterr()
        assert isinstance(stop.value.code, int)
        return Said(stop.value.code, out, err)
