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
    for command in (
        "demo",
        "new",
        "check",
        "cost",
        "yield",
        "label",
        "workbook",
        "batch-sheet",
        "flow",
        "foods",
        "prices",
    ):
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
        ("batch-sheet", "."),
        ("batch-sheet", ".", "--out", "sheet.txt"),
        ("flow", "."),
        ("cost", ".", "--batches", "0"),
        ("cost", ".", "--batches", "-1"),
        ("cost", ".", "--batches", "nan"),
        ("cost", ".", "--batches", "inf"),
        ("cost", ".", "--batches", "9999999"),
        ("cost", ".", "--batches", "two"),
        ("cost", ".", "--for", "pints"),
        ("cost", ".", "--for", "0 pints"),
        ("cost", ".", "--for", "2.5 pints"),
        ("yield", ".", "--for", "2 pints", "--batches", "2"),
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
    kinds = {key: figure for key, figure in result["cost"].items() if not key.endswith("_range")}
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
    shop: Any = SimpleNamespace(findings=(), model=SimpleNamespace(name="A shop", address=(), business=None))
    assert commands.gathered(shop, [answer]) == answer.findings
    assert commands.gathered(shop, [answer], labels=False) == QUINCE.findings


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


# Ranges, sizes and trials ---------------------------------------------------------------------------------------------


def test_ranges_are_shown_where_a_recipe_has_them(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("cost", quillfeather, "quince")
    (result,) = creamery("cost", quillfeather, "quince", "--json").json["results"]
    low, high = result["per_container"]["total_range"]
    assert low < result["per_container"]["total"] < high
    assert f"${result['per_container']['total']:.2f} ({low:.2f} to {high:.2f})" in said.out
    margin = next(one for one in result["channels"] if one["name"] == "grocer")
    low, high = margin["margin_range"]
    assert f"${margin['margin']:.2f} ({low:.2f} to {high:.2f})" in said.out
    (driver,) = result["drivers"]
    assert (driver["where"], round(driver["share_pct"])) == ("recipes/quince.yaml:6", 100)
    assert "what to weigh next" in said.out
    assert driver["what"] in said.out
    plain = creamery("cost", quillfeather, "quince", "--no-ranges")
    assert "what to weigh next" not in plain.out
    assert " to " not in plain.out.split("channel")[0].split("cost of")[1]
    (unranged,) = creamery("cost", quillfeather, "quince", "--no-ranges", "--json").json["results"]
    assert (unranged["drivers"], unranged["impossible_share"], unranged["size"]) == ([], 0.0, 1.0)
    assert "total_range" not in unranged["per_container"]
    # A recipe whose figures are all plain ones has nothing to draw from.
    assert "In brackets" not in creamery("cost", quillfeather, "brown-butter").out


def test_label_and_yield_show_ranges(creamery: CommandLine, quillfeather: Path) -> None:
    label = creamery("label", quillfeather, "prune")
    (result,) = creamery("label", quillfeather, "prune", "--json").json["results"]
    energy = next(one for one in result["nutrients"] if one["key"] == "energy")
    low, high = energy["per_serving_range"]
    assert f"{energy['per_serving']:.2f} ({low:.2f} to {high:.2f}) kcal" in label.out
    assert result["drivers"]
    said = creamery("yield", quillfeather, "prune").out
    document = creamery("yield", quillfeather, "prune", "--json").json["results"][0]
    syrup = next(one for one in document["parts"] if one["name"] == "brandy syrup")
    low, high = syrup["out"]["g_range"]
    assert f"brandy syrup: {syrup['out']['g']:.0f} g ({low:.0f} to {high:.0f})" in said


def test_yield_shows_density_air_and_alcohol_with_the_caution(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("yield", quillfeather, "prune").out
    (result,) = creamery("yield", quillfeather, "prune", "--json").json["results"]
    batch, alcohol = result["batch"], result["alcohol"]
    assert f"mix {batch['mix_density']:.3f} g/mL" in said
    assert f"overrun {100 * batch['overrun']:.1f}%" in said
    assert f"{batch['weight_per_gallon_lb']:.2f} lb a gallon" in said
    assert f"alcohol {alcohol['by_weight_pct']:.2f}%" in said
    assert f"{alcohol['by_volume_pct']:.2f}% by volume" in said
    assert "with loss by heat only" in said  # the caution of the table
    # Ethanol at 20 degrees C weighs 0.789 g/mL, the mix around it over 1, so there is more by volume.
    assert alcohol["by_volume_pct"] > alcohol["by_weight_pct"] > 0
    dry = creamery("yield", quillfeather, "plum")
    assert "alcohol" not in dry.out
    (base,) = creamery("yield", quillfeather, "house-base", "--json").json["results"]
    assert base["alcohol"] is None


def test_batches_and_containers_size_a_batch(creamery: CommandLine, quillfeather: Path) -> None:
    def batch(*words: str) -> Any:
        (result,) = creamery("cost", quillfeather, "plum", *words, "--json").json["results"]
        return result

    one, three, half = batch(), batch("--batches", "3"), batch("--batches", "0.5")
    assert three["batch"]["in_g"] == pytest.approx(3 * one["batch"]["in_g"])
    assert half["batch"]["in_g"] == pytest.approx(one["batch"]["in_g"] / 2)
    assert (three["size"], half["size"]) == (3.0, 0.5)
    assert three["cost"]["labour"] < 3 * one["cost"]["labour"]  # minutes a batch are minutes a batch
    for words in ("24 pints", "24 pint", "24 Pints", "24"):
        found = batch("--for", words)
        assert found["batch"]["containers"] == 24, words
        less = batch("--batches", str(found["size"] * 0.995))
        assert less["batch"]["containers"] == 23, words
    said = creamery("cost", quillfeather, "plum", "--batches", "3").out
    assert "Amounts are 3.00 times those of the recipe." in said
    assert "Amounts are" not in creamery("cost", quillfeather, "plum").out


def test_containers_that_nobody_fills(creamery: CommandLine, quillfeather: Path) -> None:
    unknown = creamery("cost", quillfeather, "plum", "--for", "3 pnts")
    assert (unknown.code, unknown.out) == (1, "")
    assert "did you mean 'pint'?" in unknown.err
    other = creamery("cost", quillfeather, "plum", "--for", "3 half-gallons")
    assert other.code == 1
    assert "it fills: pint" in other.err
    base = creamery("label", quillfeather, "house-base", "--for", "3 pints")
    assert base.code == 1
    assert "it fills no container" in base.err
    everything = creamery("cost", quillfeather, "--for", "2 half-gallons", "--json").json
    assert [one["recipe"] for one in everything["results"]] == ["coffee"]
    assert any("left out" in one["what"] and "plum" in one["what"] for one in everything["findings"])
    replace_in(quillfeather / "recipes" / "plum.yaml", "title: ", "title: 🍨 ")
    broken = quillfeather / "recipes" / "quince.yaml"
    replace_in(broken, "reduce: {to: 50 %}", "reduce: {to: 1 %}")
    said = creamery("cost", quillfeather, "quince", "--for", "3 pints")
    assert (said.code, "our fault" in said.err) == (1, False)
    assert "recipes/quince.yaml:" in said.err


def trials(folder: Path, *rows: str) -> None:
    for old in (folder / "trials").glob("*.csv"):
        old.unlink()
    lines = ("date,recipe,part,step,in,out,note", *rows)
    (folder / "trials").mkdir(exist_ok=True)
    (folder / "trials" / "mine.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


def test_yield_puts_assumed_beside_measured(creamery: CommandLine, quillfeather: Path) -> None:
    trials(
        quillfeather,
        *(f"2026-02-0{day},quince,duck fat,render,900 g,{g} g,pan {day}" for day, g in enumerate((350, 360, 370), 1)),
    )
    said = creamery("yield", quillfeather, "quince")
    assert said.code == 0, said.err
    row = next(line for line in said.out.splitlines() if line.startswith("duck fat") and "2 render" in line)
    # By hand: mean of 350, 360, 370 over 900; s = 10 / 900; t(0.975, 2) = 4.303 (printed table), so 40 % -+ 2.76 %.
    assert re.split(r"  +", row)[2:8] == ["42.0%", "40.0%", "38.9% to 41.1%", "3", "1.1%", "37.2% to 42.8%"]
    assert "--use-trials takes the measured means" in said.out
    (result,) = creamery("yield", quillfeather, "quince", "--json").json["results"]
    assert result["trials"]["used"] is False
    (step,) = result["trials"]["steps"]
    assert (step["recipe"], step["part"], step["step"], step["trials"]) == ("quince", "duck fat", 2, 3)
    assert (step["assumed"], step["mean"]) == (pytest.approx(0.42), pytest.approx(0.4))
    assert step["interval"] == pytest.approx([0.4 - 0.0276, 0.4 + 0.0276], abs=1e-4)
    assert step["rows"][0] == {
        "where": "trials/mine.csv:2",
        "date": "2026-02-01",
        "in_g": 900.0,
        "out_g": 350.0,
        "note": "pan 1",
    }
    assert f"+${step['difference']:.3f}" in row
    used = creamery("yield", quillfeather, "quince", "--use-trials")
    assert "The figures above take the measured means." in used.out
    assert "yields 40.0 %" in used.out
    (again,) = creamery("yield", quillfeather, "quince", "--use-trials", "--json").json["results"]
    assert again["trials"]["used"] is True
    assert again["trials"]["steps"] == [step]  # what is assumed stays what is assumed
    assert next(p for p in again["parts"] if p["name"] == "duck fat")["out"]["g"] == pytest.approx(360.0)


def test_trials_become_the_recipe_in_every_command(creamery: CommandLine, quillfeather: Path, tmp_path: Path) -> None:
    trials(quillfeather, "2026-02-01,quince,base,2,4 kg,3.4 kg,")
    (plain,) = creamery("cost", quillfeather, "quince", "--json").json["results"]
    (used,) = creamery("cost", quillfeather, "quince", "--json", "--use-trials").json["results"]
    # 15 % boiled off in place of 2 %: fewer grams out, and each pint of what is left costs more.
    assert used["batch"]["vapour_g"] - plain["batch"]["vapour_g"] == pytest.approx(0.13 * 3744.1, rel=1e-3)
    assert used["per_container"]["ingredients"] > plain["per_container"]["ingredients"]
    assert [plain["trials"]["used"], used["trials"]["used"]] == [False, True]
    said = creamery("cost", quillfeather, "quince", "--use-trials").out
    assert "With what trials measured in place of what the recipe assumes: base step 2 (1 trial)." in said
    fat = [
        next(line for line in one["nutrients"] if line["key"] == "total_fat")["per_100g"]
        for words in ((), ("--use-trials",))
        for one in creamery("label", quillfeather, "quince", *words, "--json").json["results"]
    ]
    assert fat[1] > fat[0] * 1.05
    sized = creamery("cost", quillfeather, "quince", "--use-trials", "--for", "20 pints", "--json").json["results"][0]
    assert sized["batch"]["containers"] == 20
    out = tmp_path / "book.xlsx"
    assert creamery("workbook", quillfeather, "quince", "--use-trials", "--batches", "2", "--out", out).code == 0
    import openpyxl

    cells = {
        cell.value
        for sheet in openpyxl.load_workbook(out)
        for row in sheet.iter_rows()
        for cell in row
        if isinstance(cell.value, float)
    }
    total = creamery("cost", quillfeather, "quince", "--use-trials", "--batches", "2", "--no-ranges", "--json")
    wanted = total.json["results"][0]["per_container"]["total"]
    assert any(cell == pytest.approx(wanted, abs=1e-9) for cell in cells)


def test_trials_that_cannot_be_used(creamery: CommandLine, quillfeather: Path) -> None:
    trials(quillfeather, "2026-02-02,custard,custard base,strain,7 kg,7 kg,")
    plain = creamery("yield", quillfeather, "custard")
    assert plain.code == 0
    assert "cannot be" in plain.out
    assert "warning: trials/mine.csv:2" in plain.err
    used = creamery("cost", quillfeather, "custard", "--use-trials")
    assert used.code == 1
    assert "error: recipes/custard.yaml:" in used.err
    assert "warning: trials/mine.csv:2" in used.err
    for old in (quillfeather / "trials").glob("*.csv"):
        old.unlink()
    none = creamery("cost", quillfeather, "plum", "--use-trials")
    assert none.code == 0
    assert "there are no trials to use" in none.err


def test_bad_trials_are_told_and_stop_the_answer(creamery: CommandLine, quillfeather: Path) -> None:
    trials(quillfeather, "2026-02-02,quince,duck fat,rendr,7 kg,7 kg,", "2026-02-02,quince,duck fat,2,7,9 kg,")
    said = creamery("check", quillfeather)
    assert said.code == 1
    assert "error: trials/mine.csv:2: duck fat has no step called 'rendr'" in said.err
    assert "error: trials/mine.csv:3: 'in': '7' has no unit" in said.err


def test_flow_pictures_are_written_once_and_kept(creamery: CommandLine, quillfeather: Path, tmp_path: Path) -> None:
    out = tmp_path / "pictures"
    said = creamery("flow", quillfeather, "plum", "house-base", "--out", out, "--batches", "2", "--json")
    assert said.code == 0, said.err
    assert sorted(one.name for one in out.iterdir()) == ["plum-flow.png", "plum-flow.svg"]
    assert said.json["results"] == [
        {"recipe": "plum", "files": [str(out / f"plum-flow.{end}") for end in ("svg", "png")]}
    ]
    assert (out / "plum-flow.png").read_bytes().startswith(b"\x89PNG")
    assert "<svg" in (out / "plum-flow.svg").read_text(encoding="utf-8")
    refused = creamery("flow", quillfeather, "plum", "--out", out)
    assert refused.code == 1
    assert "exists already" in refused.err
    assert creamery("flow", quillfeather, "plum", "--out", out, "--replace").code == 0


def test_batch_sheets_are_written_once_and_kept(creamery: CommandLine, quillfeather: Path, tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    said = creamery("batch-sheet", quillfeather, "plum", "--for", "24 pints", "--out", out)
    assert said.code == 0, said.err
    assert out.read_bytes().startswith(b"%PDF-")
    refused = creamery("batch-sheet", quillfeather, "plum", "--out", out)
    assert refused.code == 1
    assert "exists already" in refused.err
    assert creamery("batch-sheet", quillfeather, "plum", "quince", "--out", out, "--replace").code == 0
    two = creamery("batch-sheet", quillfeather, "plum", "quince", "--for", "24 pints", "--out", out, "--replace")
    assert two.code == 0, "each at the size that it needs"
    replace_in(quillfeather / "recipes" / "quince.yaml", "reduce: {to: 50 %}", "reduce: {to: 1 %}")
    broken = creamery("batch-sheet", quillfeather, "quince", "--out", tmp_path / "no.pdf")
    assert broken.code == 1
    assert "nothing was written" in broken.err
    assert not (tmp_path / "no.pdf").exists()


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
    own = ("-label-lid.svg", "-label.pdf", "-label.svg", ".json", ".pdf", ".png", ".svg")
    assert names == [f"{key}{end}" for key in ("plum", "quince") for end in own]
    assert (out / "plum.svg").read_text(encoding="utf-8").lstrip().startswith("<")
    assert (out / "plum.pdf").read_bytes().startswith(b"%PDF-")
    assert [Path(one).name for one in said.json["results"][0]["files"]] == [
        f"plum{end}" for end in (".svg", ".pdf", ".png", "-label.pdf", "-label.svg", "-label-lid.svg", ".json")
    ]
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
