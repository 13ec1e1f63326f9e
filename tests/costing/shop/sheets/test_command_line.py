"""The commands about a shop in a workbook."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

from click.testing import CliRunner

from costing.cli import creamery


def run(*args: str) -> tuple[int, str]:
    done = CliRunner().invoke(creamery, args, standalone_mode=False)
    if done.exception is not None:
        raise done.exception
    return int(done.return_value or 0), done.output


def test_new_check_cost_and_back(tmp_path: Path) -> None:
    path = str(tmp_path / "shop.xlsx")
    assert run("new", "--workbook", path, "--name", "Lantern: Hill")[0] == 0
    assert run("new", "--workbook", path)[0] == 1, "it is kept"
    code, said = run("check", path)
    assert code == 0
    assert "Lantern: Hill: 1 recipe, " in said
    assert json.loads(run("cost", path, "--json")[1])["results"][0]["recipe"] == "vanilla"
    assert run("label", path, "vanilla")[0] == 0
    assert run("convert", path, str(tmp_path / "folder"))[0] == 0
    assert (tmp_path / "folder/recipes/vanilla.yaml").is_file()
    assert run("new", "--workbook", path, "--from", str(tmp_path / "folder"), "--replace")[0] == 0


def test_new_in_a_folder_still_works(tmp_path: Path) -> None:
    assert run("new", str(tmp_path / "folder"))[0] == 0
    assert (tmp_path / "folder/shop.yaml").is_file()


def test_comments_that_stay_behind_are_told(tmp_path: Path) -> None:
    folder = tmp_path / "folder"
    assert run("new", str(folder))[0] == 0
    for file in folder.rglob("*.yaml"):
        lines = file.read_text().splitlines()
        file.write_text("".join(line.partition(" #")[0] + "\n" for line in lines if not line.lstrip().startswith("#")))
    assert "stands behind #" not in run("convert", str(folder), str(tmp_path / "a.xlsx"))[1]
    shop = folder / "shop.yaml"
    shop.write_text(shop.read_text() + "# ask the bank\n")
    assert "they stay in shop.yaml" in run("convert", str(folder), str(tmp_path / "b.xlsx"))[1]
    assert "stands behind #" not in run("convert", str(tmp_path / "b.xlsx"), str(tmp_path / "back"))[1]


def test_every_command_takes_a_workbook(tmp_path: Path, written: Path) -> None:
    """What a folder can be asked, a workbook can be asked."""
    shop, out = str(shutil.copy(written, tmp_path / "shop.xlsx")), str(tmp_path / "out")
    (tmp_path / "list.csv").write_text("item,pack,price\nsugar,25 lb,19.80\n")
    for words in (
        ("check", shop),
        ("cost", shop),
        ("yield", shop),
        ("label", shop),
        ("margins", shop),
        ("what-if", shop, "vanilla", "--if", "sugar=+10%"),
        ("prices", "propose", shop, str(tmp_path / "list.csv"), "--supplier", "East"),
        ("prices", "add", shop, str(tmp_path / "list.csv"), "--yes", "--date", "2026-01-19"),
        ("prices", "effect", shop, "--since", "2026-01-05"),
        ("prices", "compare", shop),
        ("prices", "history", shop),
        ("workbook", shop, "--out", f"{out}.xlsx", "--living"),
        ("flow", shop, "--out", f"{out}-flow"),
        ("batch-sheet", shop, "--out", f"{out}-batch.pdf"),
    ):
        code, said = run(*words)
        assert code == 0, (words, said)


def test_what_belongs_to_the_lists_goes_along_beside_the_workbook(tmp_path: Path) -> None:
    folder, path, beside = tmp_path / "folder", tmp_path / "shop.xlsx", tmp_path / "shop-prices"
    assert run("new", str(folder))[0] == 0
    names = ("mappings/north.yaml", "received/2026-01-12-north.csv")
    for name in names:
        file = folder / "prices" / name
        file.parent.mkdir()
        file.write_text("kept\n")
    code, said = run("convert", str(folder), str(path))
    assert code == 0
    assert f"went along into {beside / 'mappings'} and {beside / 'received'}" in said
    assert run("convert", str(path), str(tmp_path / "back"))[0] == 0
    assert run("convert", str(path), str(tmp_path / "other.xlsx"))[0] == 0
    for place in (beside, tmp_path / "back/prices", tmp_path / "other-prices"):
        assert [(place / name).read_text() for name in names] == ["kept\n", "kept\n"]
    # What stands there already stays, unless writing over it was asked for.
    path.unlink()
    (beside / names[0]).write_text("mine\n")
    code, said = run("convert", str(folder), str(path))
    assert code == 1
    assert "north.yaml: the file exists already" in said
    assert not path.exists()
    assert (beside / names[0]).read_text() == "mine\n"
    assert run("new", "--workbook", str(path), "--from", str(folder), "--replace")[0] == 0
    assert (beside / names[0]).read_text() == "kept\n"
