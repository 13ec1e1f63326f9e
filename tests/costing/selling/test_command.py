"""``creamery margins``: what it prints, what it says in JSON, and what it refuses."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from costing.demo import copy_example
from tests.costing.command_line import CommandLine


def test_flavours_are_told_in_their_places_with_the_month_below(creamery: CommandLine, ways: Path) -> None:
    said = creamery("margins", ways)
    assert said.code == 0
    lines = said.out.splitlines()
    assert "margins on the way to the shelf: distributor 25.0%, grocer 35.0%; 3.0% come back" in said.out
    assert "for each scoop that is paid for; about 22.4 of them in a half-gallon" in said.out
    assert "the customer pays $0.25 of deposit besides, and gets it back" in said.out
    first = next(line for line in lines if line.startswith("1  "))
    assert first.startswith("1  Browned butter, white miso & rye crumb  $11.00"), first
    assert "To pay the fixed costs of $1,825.00 a month (rent, insurance, walk-in freezer)" in said.out
    for words in ("sold alone", "40.0% of a mix", "60.0% of a mix", "in all"):
        assert any(words in line for line in lines), words
    assert max(map(len, lines)) < 200


def test_json_has_every_figure_and_one_result_for_each_recipe(creamery: CommandLine, ways: Path) -> None:
    said = creamery("margins", ways, "quince", "house-base", "--json")
    assert said.code == 0
    answer = said.json
    assert answer["schema"] == 1
    assert [one["recipe"] for one in answer["results"]] == ["quince"]
    channels = {one["name"]: one for one in answer["results"][0]["channels"]}
    assert list(channels) == ["scoop shop", "market stall", "grocer", "town grocers", "saturday market"]
    one = channels["town grocers"]
    assert abs(one["price"] - 12.99 * 0.4875) < 1e-9
    assert abs(one["margin"] - (one["price"] - one["fee"] - one["unpaid"] - one["cost"])) < 1e-9
    assert set(one["per_machine_hour"]) == {"margin", "contribution"}
    assert answer["month"]["fixed_costs"] == 1825.0
    assert [row["channel"] for row in answer["month"]["mix"]] == ["town grocers", "saturday market"]
    assert answer["month"]["mix_in_all"]["share"] == 1.0


def test_the_cost_shows_every_way_of_selling_too(creamery: CommandLine, ways: Path) -> None:
    said = creamery("cost", ways, "coffee", "--no-ranges", "--json")
    channels = {one["name"]: one for one in said.json["results"][0]["channels"]}
    assert len(channels) == 6
    for one in channels.values():
        assert abs(one["price"] - one["fees"] - one["cost"] - one["margin"]) < 1e-9


def test_the_cost_says_what_each_price_is_for(creamery: CommandLine, ways: Path) -> None:
    said = creamery("cost", ways, "coffee", "--no-ranges")
    remark = "Prices are for a pint; town grocers what you get of $12.99 on the shelf; dipping cabinet for a scoop."
    assert f"\n\n{remark}\n\n" in said.out


def test_the_workbook_takes_every_way_of_selling(creamery: CommandLine, ways: Path, tmp_path: Path) -> None:
    assert creamery("workbook", ways, "--out", tmp_path / "book.xlsx").code == 0
    from openpyxl import load_workbook

    sheet = load_workbook(tmp_path / "book.xlsx", read_only=True)["Margins"]
    named = [str(cell) for row in sheet.iter_rows(values_only=True) for cell in row[1:2] if cell]
    assert named.count("Town grocers") == 8
    assert named.count("Dipping cabinet") == 1


def test_without_fixed_costs_there_is_no_month(creamery: CommandLine, tmp_path: Path) -> None:
    assert creamery("new", tmp_path / "shop").code == 0
    said = creamery("margins", tmp_path / "shop")
    assert said.code == 0
    assert "No fixed costs are written" in said.out
    assert creamery("margins", tmp_path / "shop", "--json").json["month"]["alone"] == []


def test_a_machine_whose_time_nobody_says_is_noted(creamery: CommandLine, quillfeather: Path) -> None:
    file = quillfeather / "shop.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace(", run: 22 min", ""), encoding="utf-8")
    said = creamery("margins", quillfeather, "quince")
    assert said.code == 0
    assert "unknown" in said.out
    assert "recipes/quince.yaml:1: nobody says how long its machine runs" in said.err


def test_a_flavour_that_nobody_sells_is_noted(creamery: CommandLine, quillfeather: Path) -> None:
    file = quillfeather / "shop.yaml"
    text = file.read_text(encoding="utf-8")
    cut = text.index("channels:")
    file.write_text(text[:cut] + "channels:\n  cups: {price: 4.00, container: small cup}\n", encoding="utf-8")
    recipe = quillfeather / "recipes" / "custard.yaml"
    recipe.write_text(
        "\n".join(line for line in recipe.read_text(encoding="utf-8").splitlines() if not line.startswith("prices:")),
        encoding="utf-8",
    )
    said = creamery("margins", quillfeather)
    assert said.code == 0
    assert "recipes/quince.yaml:1: no channel sells any container that it fills" in said.err
    assert "Toasted oolong & honey" in said.out
    said = creamery("margins", quillfeather, "quince")
    assert (said.code, said.out.strip()) == (0, "Nothing is sold yet.")


def test_flavours_in_different_containers_say_which(creamery: CommandLine, quillfeather: Path) -> None:
    recipe = quillfeather / "recipes" / "quince.yaml"
    recipe.write_text(
        recipe.read_text(encoding="utf-8").replace("container: pint", "container: small cup"), encoding="utf-8"
    )
    said = creamery("margins", quillfeather, "quince", "plum")
    assert said.code == 0
    assert "scoop shop: for each container that is paid for." in said.out
    assert any("brandied quince  small cup  $11.00" in line for line in said.out.splitlines()), said.out


def test_an_unknown_recipe_and_a_bad_channel_stop_it(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("margins", quillfeather, "quinse")
    assert (said.code, said.out) == (1, "")
    assert "did you mean 'quince'?" in said.err
    file = quillfeather / "shop.yaml"
    file.write_text(
        file.read_text(encoding="utf-8").replace("price: 7.25", "price: 7.25, chain: [grocer]"), encoding="utf-8"
    )
    said = creamery("margins", quillfeather, "--json")
    assert said.code == 1
    assert [one["where"].partition(":")[0] for one in said.json["findings"]] == ["shop.yaml"]


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys; from costing import cli; "
        "heavy = {'numpy', 'pandas', 'pydantic', 'openpyxl', 'babel', 'costing.selling'} & set(sys.modules); "
        "assert 'margins' in cli.creamery.commands; sys.exit(str(heavy) if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_the_day_asked_for_counts(creamery: CommandLine, tmp_path: Path) -> None:
    copy_example(tmp_path / "shop")
    said = creamery("margins", tmp_path / "shop", "plum", "--as-of", "2026-02-01", "--json")
    assert said.code == 0
    assert [one["as_of"] for one in said.json["results"]] == ["2026-02-01"]
    newer = creamery("margins", tmp_path / "shop", "plum", "--json").json["results"][0]
    assert newer["channels"][0]["cost"] != said.json["results"][0]["channels"][0]["cost"]
