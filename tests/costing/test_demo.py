"""The demonstration leaves a whole shop, a workbook and a panel for each flavour, and writes over nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.costing.command_line import CommandLine

FLAVOURS = ("brown-butter", "coffee", "custard", "oolong", "pistachio", "plum", "prune", "quince")


def test_demo_costs_and_labels_every_flavour(creamery: CommandLine, tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    said = creamery("demo", folder)
    assert said.code == 0, said.err
    assert (folder / "shop.yaml").is_file()
    assert (folder / "workbook.xlsx").read_bytes().startswith(b"PK")
    panels = sorted(one.name for one in (folder / "panels").iterdir())
    assert panels == sorted(f"{key}.{kind}" for key in FLAVOURS for kind in ("svg", "pdf"))
    for words in ("flavour", "calories a serving", "allergens", str(folder / "workbook.xlsx"), "milk"):
        assert words in said.out, words
    document = creamery("cost", folder, "--json").json
    for result in document["results"]:
        assert f"${result['per_container']['total']:.2f}" in said.out, result["recipe"]
    assert said.err == ""  # silent where there is no terminal


def test_demo_refuses_a_folder_that_exists(creamery: CommandLine, tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    folder.mkdir()
    (folder / "letter.txt").write_text("dear aunt", encoding="utf-8")
    for words in ((), ("--replace",)):
        said = creamery("demo", folder, *words)
        assert said.code == 1
        assert "the folder exists already" in said.err
        assert [one.name for one in folder.iterdir()] == ["letter.txt"]
    assert creamery("demo", folder / "letter.txt").code == 1


def test_demo_can_be_done_again(creamery: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert creamery("demo").code == 0
    folder = tmp_path / "creamery-demo"
    before = {one: one.read_bytes() for one in folder.rglob("*.svg")}
    (folder / "mine.txt").write_text("mine", encoding="utf-8")
    (folder / "recipes" / "plum.yaml").unlink()
    assert creamery("demo").code == 1
    assert creamery("demo", "--replace").code == 0
    assert {one: one.read_bytes() for one in folder.rglob("*.svg")} == before
    assert (folder / "mine.txt").read_text(encoding="utf-8") == "mine"
    assert (folder / "recipes" / "plum.yaml").is_file()


def test_what_somebody_changed_in_the_demonstration_stays(creamery: CommandLine, tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    assert creamery("demo", folder).code == 0
    recipe = folder / "recipes" / "plum.yaml"
    changed = recipe.read_text(encoding="utf-8").replace("title: ", "title: Auntie's ")
    recipe.write_text(changed, encoding="utf-8")
    said = creamery("demo", folder, "--replace")
    assert said.code == 0, said.err
    assert "Auntie's" in said.out
    assert recipe.read_text(encoding="utf-8") == changed


def test_progress_is_shown_on_a_terminal_only(
    creamery: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from costing import demo

    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    demo._progress("drawing")
    assert "drawing" in capsys.readouterr().err
