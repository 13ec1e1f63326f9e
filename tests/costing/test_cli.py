"""The command line from end to end on the example shop: answers, exit codes, files written and files kept."""

from __future__ import annotations

import dataclasses
import os
import re
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from costing import commands
from costing.findings import Finding
from tests.costing.command_line import CommandLine
from tests.costing.plain_answers import LABEL, QUINCE

ROOT = Path(__file__).resolve().parents[2]


def replace_in(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def tree(folder: Path) -> dict[str, bytes]:
    return {str(one.relative_to(folder)): one.read_bytes() for one in sorted(folder.rglob("*")) if one.is_file()}


def test_help_names_every_command_and_imports_nothing_heavy() -> None:
    code = (
        "import sys; sys.argv = ['creamery', '--help']\n"
        "from costing.cli import main\n"
        "try: main()\n"
        "except SystemExit as stop: assert stop.code == 0, stop.code\n"
        "heavy = {'numpy', 'pydantic', 'pandas', 'openpyxl', 'pint', 'babel', 'yaml', 'reportlab'} & sys.modules.keys()\n"
        "assert not heavy, heavy\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=False)
    assert done.returncode == 0, done.stderr
    for command in ("demo", "new", "check", "cost", "yield", "label", "workbook", "foods", "prices"):
        assert re.search(rf"^  {command} ", done.stdout, re.MULTILINE), command


@pytest.mark.parametrize(
    "words",
    [
        ("nonsense",),
        ("cost",),
        ("cost", ".", "--as-of", "yesterday"),
        ("cost", ".", "--as-of", "2026-02-30"),
        ("workbook", "."),
        ("workbook", ".", "--out", "book.csv"),
        ("foods", "search", "cream", "--limit", "0"),
    ],
)
def test_wrong_usage_exits_2(creamery: CommandLine, words: tuple[str, ...]) -> None:
    said = creamery(*words)
    assert said.code == 2
    assert "Error" in said.err
    assert said.out == ""


def test_version(creamery: CommandLine) -> None:
    said = creamery("--version")
    assert said.code == 0
    assert said.out.startswith("creamery")


def test_check_of_the_example_is_good(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("check", quillfeather)
    assert said.code == 0, said.err
    assert "Quillfeather Creamery: 9 recipes, prices of 2026-03-02" in said.out
    document = creamery("check", quillfeather, "--json").json
    assert {one["recipe"] for one in document["results"]} >= {"quince", "house-base"}
    assert not [one for one in document["findings"] if one["level"] == "error"]


def test_cost_as_text_and_as_json(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("cost", quillfeather, "quince")
    assert said.code == 0, said.err
    assert "prices of 2026-03-02" in said.out
    assert "heavy cream" in said.out
    document = creamery("cost", quillfeather, "recipes/quince.yaml", "--json").json
    assert document["schema"] == 1
    (result,) = document["results"]
    assert result["recipe"] == "quince"
    assert sum(line["cost"] for line in result["lines"]) == pytest.approx(result["cost"]["total"], abs=1e-9)
    kinds = result["cost"]
    assert sum(v for k, v in kinds.items() if k != "total") == pytest.approx(kinds["total"], abs=1e-9)
    batch = result["batch"]
    left = batch["out_g"] + batch["vapour_g"] + batch["discarded_g"] + batch["saved_g"]
    assert batch["in_g"] == pytest.approx(left, abs=1e-6)
    shown = f"${result['per_container']['total']:.2f}"
    assert shown in said.out


def test_cost_says_nothing_that_only_a_label_cares_about() -> None:
    (note,) = (one for one in LABEL.notes if one.level == "warning")
    about_label = Finding("warning", "recipes/quince.yaml:1", note.what, note.mend)
    answer = dataclasses.replace(QUINCE, findings=(*QUINCE.findings, about_label))
    shop: Any = SimpleNamespace(findings=(), model=SimpleNamespace(name="A shop", address=()))
    assert commands._findings(shop, [answer]) == answer.findings
    assert commands._findings(shop, [answer], labels=False) == QUINCE.findings


def test_all_recipes_are_answered_when_none_is_named(creamery: CommandLine, quillfeather: Path) -> None:
    flavours = [one["recipe"] for one in creamery("cost", quillfeather, "--json").json["results"]]
    assert len(flavours) == 8
    assert "house-base" not in flavours  # it is sold to nobody
    assert "house-base" in [one["recipe"] for one in creamery("yield", quillfeather, "--json").json["results"]]
    assert "fills no container" in creamery("cost", quillfeather, "house-base").out


def test_yield_balances_in_every_step(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("yield", quillfeather)
    assert said.code == 0
    assert "boiled off" in said.out
    for result in creamery("yield", quillfeather, "--json").json["results"]:
        for part in result["parts"]:
            for step in part["steps"]:
                left = step["out_g"] + step["vapour_g"] + step["discarded_g"] + step["saved_g"]
                assert step["in_g"] == pytest.approx(left, abs=1e-6), (result["recipe"], part["name"], step)


def test_label_as_text_and_as_json(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("label", quillfeather, "plum")
    assert said.code == 0, said.err
    assert "1 PINT (473 mL)" in said.out
    (result,) = creamery("label", quillfeather, "plum", "--json").json["results"]
    assert result["law"] == "us"
    assert result["serving"]["measure"] == "2/3 cup"
    assert {"energy", "total_fat", "added_sugars"} <= {one["key"] for one in result["nutrients"]}


def test_label_files_are_written_once_and_kept(creamery: CommandLine, quillfeather: Path, tmp_path: Path) -> None:
    out = tmp_path / "labels"
    said = creamery("label", quillfeather, "plum", "quince", "--out", out, "--json")
    assert said.code == 0, said.err
    names = sorted(one.name for one in out.iterdir())
    assert names == ["plum.json", "plum.pdf", "plum.svg", "quince.json", "quince.pdf", "quince.svg"]
    assert (out / "plum.svg").read_text(encoding="utf-8").lstrip().startswith("<")
    assert (out / "plum.pdf").read_bytes().startswith(b"%PDF-")
    assert [Path(one).name for one in said.json["results"][0]["files"]] == ["plum.svg", "plum.pdf", "plum.json"]
    before = tree(out)
    (out / "plum.svg").write_text("mine", encoding="utf-8")
    refused = creamery("label", quillfeather, "plum", "--out", out)
    assert refused.code == 1
    assert "exists already" in refused.err
    assert (out / "plum.svg").read_text(encoding="utf-8") == "mine"
    assert creamery("label", quillfeather, "plum", "--out", out, "--replace").code == 0
    assert tree(out).keys() == before.keys()
    assert (out / "plum.svg").read_bytes() == before["plum.svg"]


def test_workbook_is_written_once_and_kept(creamery: CommandLine, quillfeather: Path, tmp_path: Path) -> None:
    out = tmp_path / "costs.xlsx"
    said = creamery("workbook", quillfeather, "plum", "--out", out)
    assert said.code == 0, said.err
    assert out.read_bytes().startswith(b"PK")
    out.write_bytes(b"mine")
    refused = creamery("workbook", quillfeather, "plum", "--out", out)
    assert refused.code == 1
    assert "exists already" in refused.err
    assert out.read_bytes() == b"mine"
    assert creamery("workbook", quillfeather, "plum", "--out", out, "--replace", "--json").code == 0
    assert out.read_bytes().startswith(b"PK")


def test_prices_show(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("prices", "show", quillfeather)
    assert said.code == 0, said.err
    assert "Saltmarsh Hollow Dairy" in said.out
    (cream,) = creamery("prices", "show", quillfeather, "heavy cream", "--json").json["results"]
    # 12 x 32 fl oz = 48 cups at 61.20; a cup of heavy cream weighs 238 g or, by a spec sheet, near it.
    assert cream["used"]["supplier"] == "Saltmarsh Hollow Dairy"
    assert cream["used"]["per_kg"] == pytest.approx(61.20 / 48 / 0.238, rel=0.02)
    assert [one["supplier"] for one in cream["rivals"]] == ["Barrow & Finch Provisioners"]
    earlier = creamery("prices", "show", quillfeather, "heavy cream", "--json", "--as-of", "2026-01-31").json
    assert earlier["results"][0]["used"]["price_date"] == "2026-01-12"
    assert creamery("prices", "show", quillfeather, "unicorn").code == 1


def test_foods(creamery: CommandLine) -> None:
    found = creamery("foods", "search", "heavy", "cream", "--json").json
    assert "usda:01053" in [one["id"] for one in found]
    assert {"id", "name", "source"} <= found[0].keys()
    assert "usda:01053" in creamery("foods", "search", "heavy cream").out
    shown = creamery("foods", "show", "usda:01053", "--json").json
    # USDA SR28, NDB 01053: 36.08 g fat in 100 g.
    assert shown["per_100g"]["total_fat"] == pytest.approx(36.08)
    assert "36.08" in creamery("foods", "show", "usda:01053").out
    nothing = creamery("foods", "search", "zzzzqqq")
    assert (nothing.code, nothing.out) == (0, "")
    assert "no food" in nothing.err
    missing = creamery("foods", "show", "usda:99999")
    assert missing.code == 1
    assert "creamery foods search" in missing.err
    assert creamery("foods", "show", "nonsense").code == 1


def test_an_unknown_recipe_is_told_with_the_nearest(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("cost", quillfeather, "quinc", "--json")
    assert said.code == 1
    assert said.json["results"] == []
    assert "did you mean 'quince'?" in [one["mend"] for one in said.json["findings"]]
    assert creamery("cost", quillfeather, "nothing at all like it").code == 1


@pytest.mark.parametrize("command", ["check", "cost", "yield", "label", "prices show"])
def test_a_shop_that_is_none(creamery: CommandLine, tmp_path: Path, command: str) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "file").write_text("x", encoding="utf-8")
    for folder in ("missing", "empty", "file"):
        said = creamery(*command.split(), tmp_path / folder)
        assert said.code == 1, folder
        assert said.err.startswith("error: ")
        assert "our fault" not in said.err
        document = creamery(*command.split(), tmp_path / folder, "--json").json
        assert document["findings"][0]["level"] == "error"


def test_errors_are_told_and_nothing_is_written(creamery: CommandLine, quillfeather: Path, tmp_path: Path) -> None:
    price_list = next((quillfeather / "prices").glob("2026-02-16-saltmarsh.csv"))
    replace_in(price_list, "61.20", "-61.20")
    before = tree(tmp_path)
    for words in (("label", "--out", tmp_path / "labels"), ("workbook", "--out", tmp_path / "book.xlsx")):
        said = creamery(words[0], quillfeather, *words[1:])
        assert said.code == 1
        assert "prices/2026-02-16-saltmarsh.csv:" in said.err
        document = creamery(words[0], quillfeather, *words[1:], "--json").json
        assert any(one["level"] == "error" for one in document["findings"])
    assert tree(tmp_path) == before


def test_a_recipe_that_cannot_be_made_does_not_silence_the_others(creamery: CommandLine, quillfeather: Path) -> None:
    # More water than there is cannot be boiled off: found when the batch is made, not when the file is read.
    replace_in(quillfeather / "recipes" / "quince.yaml", "reduce: {to: 50 %}", "reduce: {to: 1 %}")
    document = creamery("cost", quillfeather, "--json")
    assert document.code == 1
    assert "quince" not in [one["recipe"] for one in document.json["results"]]
    assert len(document.json["results"]) == 7
    errors = [one for one in document.json["findings"] if one["level"] == "error"]
    assert len(errors) == 1
    assert errors[0]["where"].startswith("recipes/quince.yaml:")
    assert creamery("cost", quillfeather, "plum").code == 0
    out = quillfeather.parent / "labels"
    assert "nothing was written" in creamery("label", quillfeather, "--out", out).err
    assert not out.exists()
    book = quillfeather.parent / "book.xlsx"
    assert creamery("workbook", quillfeather, "--out", book).code == 1
    assert not book.exists()


def test_new_makes_a_shop_that_is_not_made_twice(creamery: CommandLine, tmp_path: Path) -> None:
    folder = tmp_path / "my shop"
    said = creamery("new", folder, "--name", "Puffin & Daughters")
    assert said.code == 0, said.err
    assert (folder / "shop.yaml").is_file()
    before = tree(folder)
    assert creamery("new", folder).code == 1
    assert tree(folder) == before


def test_a_full_disk_is_nobodys_fault(
    creamery: CommandLine, quillfeather: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device", "book.xlsx")

    from costing.workbook import book

    monkeypatch.setattr(book, "write", full)
    said = creamery("workbook", quillfeather, "plum", "--out", quillfeather / "book.xlsx")
    assert said.code == 1
    assert "error: book.xlsx: No space left on device" in said.err


def test_a_bug_is_our_fault_and_shows_no_traceback(
    creamery: CommandLine, quillfeather: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("oh")

    monkeypatch.setattr(commands, "_open", broken)
    said = creamery("cost", quillfeather)
    assert said.code == 1
    assert "our fault, not yours: ZeroDivisionError: oh" in said.err
    assert "Traceback" not in said.err
    monkeypatch.setenv("CREAMERY_DEBUG", "1")
    monkeypatch.setattr(sys, "argv", ["creamery", "cost", str(quillfeather)])
    from costing import cli

    with pytest.raises(ZeroDivisionError):
        cli.main()


def test_stopping_and_a_reader_that_leaves(
    creamery: CommandLine, quillfeather: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(commands, "_open", stop)
    said = creamery("cost", quillfeather)
    assert (said.code, said.err.strip()) == (130, "stopped")


def test_a_pipe_that_closes_early_makes_no_noise(quillfeather: Path) -> None:
    code = "import sys; sys.argv[0] = 'creamery'; from costing.cli import main; main()"
    command = [sys.executable, "-c", code, "prices", "show", str(quillfeather), "--json"]
    read, write = os.pipe()
    os.close(read)
    with os.fdopen(write, "wb") as closed:
        done = subprocess.run(command, stdout=closed, stderr=subprocess.PIPE, text=True, cwd=ROOT, check=False)
    assert "Traceback" not in done.stderr
    assert "our fault" not in done.stderr


def test_a_terminal_without_unicode_gets_its_answer(quillfeather: Path) -> None:
    replace_in(quillfeather / "recipes" / "plum.yaml", "title: ", "title: 🍨 ")
    code = "import sys; sys.argv[0] = 'creamery'; from costing.cli import main; main()"
    base = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0", "LC_ALL": "C"}
    for extra in ((), ("--json",)):
        command = [sys.executable, "-c", code, "cost", str(quillfeather), "plum", *extra]
        done = subprocess.run(command, capture_output=True, cwd=ROOT, env=base, check=False)
        assert done.returncode == 0, done.stderr
    assert "🍨" in done.stdout.decode("utf-8")
