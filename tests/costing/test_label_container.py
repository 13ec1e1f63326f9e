"""``creamery label --container``: every kind of container that a recipe fills has a label of its own."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.costing.command_line import CommandLine


def result(said: Any) -> Any:
    assert said.code == 0, said.err
    (one,) = said.json["results"]
    return one


def test_a_cup_and_a_pint_out_of_one_batch(creamery: CommandLine, quillfeather: Path) -> None:
    """4 fl oz are below 200 % of 2/3 cup, so one serving and one column, 21 CFR 101.9(b)(6); a pint has two, (b)(12)(i)."""
    asked = ("label", quillfeather, "oolong", "--no-ranges", "--json", "--why", "energy")
    pint, cup = result(creamery(*asked)), result(creamery(*asked, "--container", "small cups"))
    assert (pint["container"], pint["net_quantity"]) == ("pint", "1 PINT (473 mL)")
    assert (cup["container"], cup["net_quantity"]) == ("small cup", "4 FL OZ (118 mL)")
    assert pint["serving"]["columns"] == ["serving", "container"]
    assert (cup["serving"]["columns"], cup["serving"]["measure"]) == (["container"], "1 container")
    assert cup["serving"]["g"] == pytest.approx(pint["serving"]["g"] * 4 * 29.5735295625 / 160)
    for one, other in zip(pint["nutrients"], cup["nutrients"], strict=True):
        assert one["per_100g"] == pytest.approx(other["per_100g"])
    # The evidence is of the same container.
    shares = cup["evidence"]["nutrients"]["energy"]["shares"]
    energy = cup["nutrients"][0]["per_container"]
    assert sum(one["per_container"] for one in shares) == pytest.approx(energy)


def test_the_others_are_not_forgotten(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("label", quillfeather, "coffee", "--no-ranges", "--json")
    (note,) = [one for one in said.json["findings"] if "is the label of" in one["what"]]
    assert note["what"] == "this is the label of the pint; coffee is filled into half-gallon too"
    assert '--container "half-gallon"' in note["mend"]
    half = creamery("label", quillfeather, "--no-ranges", "--json", "--container", "half-gallon")
    assert [(one["recipe"], one["serving"]["per_container"]) for one in half.json["results"]] == [
        ("coffee", "about 12")
    ]


@pytest.mark.parametrize(
    ("recipe", "container", "says"),
    [("plum", "half-gallon", "plum fills no half-gallon"), ("plum", "bucket", "there is no container 'bucket'")],
)
def test_what_is_not_filled_has_no_label(
    creamery: CommandLine, quillfeather: Path, recipe: str, container: str, says: str
) -> None:
    said = creamery("label", quillfeather, recipe, "--no-ranges", "--json", "--container", container)
    assert said.code == 1
    assert any(says in one["what"] for one in said.json["findings"])
