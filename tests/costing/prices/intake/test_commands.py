"""What the commands say, to people and to programs."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from costing.prices.intake import commands
from tests.costing.prices.intake.lists import NORTH, text_file


def said(capsys: pytest.CaptureFixture[str]) -> tuple[str, str]:
    out, err = capsys.readouterr()
    return out, err


def test_a_proposal_is_shown_and_is_no_success(
    quillfeather: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = text_file(tmp_path, NORTH)
    assert commands.prices_add(quillfeather, path, "North", None, yes=False, as_json=False) == 1
    out, err = said(capsys)
    assert "CREAM HVY 36% UHT" in out
    assert "the proposal: prices/mappings/north.yaml" in out
    assert "nothing was added" in err


def test_proposing_alone_is_a_success_and_adds_nothing(
    quillfeather: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = text_file(tmp_path, NORTH)
    assert commands.prices_propose(quillfeather, path, "North", as_json=False) == 0
    assert not (quillfeather / "prices/received").exists()
    assert "the proposal" in said(capsys)[0]


def test_added_lists_are_told(quillfeather: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert commands.prices_add(quillfeather, text_file(tmp_path, NORTH), "North", None, yes=True, as_json=False) == 0
    out, _ = said(capsys)
    assert "North: 7 goods of 2026-02-23 (row 2 of the list says so), 6 of them used by the shop" in out
    assert "the list:     prices/2026-02-23-north.csv" in out


def test_programs_get_one_document(quillfeather: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = text_file(tmp_path, NORTH)
    assert commands.prices_add(quillfeather, path, "North", None, yes=False, as_json=True) == 1
    first: Any = json.loads(said(capsys)[0])
    (result,) = first["results"]
    assert (first["schema"], result["state"], result["proposal"]["columns"]["item"]) == (1, "proposed", "Description")
    assert commands.prices_add(quillfeather, path, "North", None, yes=True, as_json=True) == 0
    (result,) = json.loads(said(capsys)[0])["results"]
    assert (result["state"], result["date"], result["list"], result["goods"], result["used"]) == (
        "added", "2026-02-23", "prices/2026-02-23-north.csv", 7, 6,
    )  # fmt: skip


def test_errors_of_the_file_are_findings(
    quillfeather: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert commands.prices_add(quillfeather, tmp_path / "nothing.csv", "", None, yes=False, as_json=True) == 1
    found = json.loads(said(capsys)[0])["findings"]
    assert found[0]["what"] == "there is no such file"


def test_what_a_terminal_would_obey_is_taken_out(
    quillfeather: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = "Item,Pack,Price\nSalt\x1b[31m,12 x 3 lb,28.80\n"
    commands.prices_add(quillfeather, text_file(tmp_path, text), "No\x1brth", None, yes=True, as_json=False)
    out, err = said(capsys)
    assert "\x1b" not in out + err
