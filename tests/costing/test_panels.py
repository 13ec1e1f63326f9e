"""Panels from the command line: by the container's label, by the room asked for, by name; and what is refused."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any

import pytest

from costing import panels
from costing.desk import Shop
from costing.findings import ShopError
from costing.panels import PanelWish
from costing.results import RecipeAnswer
from costing.shop.models import ShopModel
from tests.costing.command_line import CommandLine


def errors(said: Any) -> list[dict[str, str]]:
    return [one for one in said.json["findings"] if one["level"] == "error"]


def test_the_form_follows_from_the_container(creamery: CommandLine, quillfeather: Path, tmp_path: Path) -> None:
    # A wrap of 11.4 x 3.3 in has not the height for an upright panel of two columns at the legal type sizes.
    said = creamery("label", quillfeather, "plum", "--out", tmp_path / "out", "--panel-only", "--json", "--no-ranges")
    assert said.code == 0
    (result,) = said.json["results"]
    assert result["panel"]["form"] == "dual-tabular"
    assert result["panel"]["rule"] == "21 CFR 101.9(e)(6)(ii)"
    assert result["panel"]["height_in"] < 3.3 - 2 / 16
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        f"plum.{k}" for k in ("json", "pdf", "png", "svg")
    ]


def test_room_asked_for_goes_before_the_container(creamery: CommandLine, quillfeather: Path) -> None:
    (result,) = creamery(
        "label", quillfeather, "plum", "--width", "85 mm", "--height", "11.5 cm", "--json", "--no-ranges"
    ).json["results"]
    assert result["panel"]["form"] == "dual"
    assert result["panel"]["width_in"] == pytest.approx(85 / 25.4, abs=1e-4)
    assert result["panel"]["height_in"] <= 115 / 25.4


def test_a_panel_for_another_place_comes_without_the_whole_label(
    creamery: CommandLine, quillfeather: Path, tmp_path: Path
) -> None:
    words = ("--form", "dual", "--height", "4.5 in", "--no-ranges", "--out", tmp_path / "out", "--json")
    said = creamery("label", quillfeather, "plum", *words)
    assert said.code == 0
    kinds = [f"plum.{kind}" for kind in ("json", "pdf", "png", "svg")]
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == kinds
    assert any("whole labels are left out" in one["what"] for one in said.json["findings"])


@pytest.fixture(scope="module")
def plum() -> tuple[ShopModel, RecipeAnswer]:
    shop = Shop.open(Path(__file__).parents[2] / "examples" / "quillfeather")
    return shop.model, shop["plum"].answer()


def test_a_form_by_name_is_drawn_where_there_is_room(creamery: CommandLine, quillfeather: Path) -> None:
    words = ("--form", "dual", "--height", "4.5 in", "--no-ranges")
    assert "panel: dual, 3." in creamery("label", quillfeather, "plum", *words).out


@pytest.mark.parametrize(
    ("form", "paragraph", "why"),
    [
        ("linear", "21 CFR 101.9(j)(13)(ii)", "40 sq in"),
        ("small-tabular", "21 CFR 101.9(j)(13)(ii)", "40 sq in"),
        ("vertical", "21 CFR 101.9(b)(12)(i)", "200 to 300 %"),
    ],
)
def test_a_form_that_the_law_does_not_allow_is_refused_with_the_paragraph(
    plum: tuple[ShopModel, RecipeAnswer], form: str, paragraph: str, why: str
) -> None:
    with pytest.raises(ShopError) as refused:
        panels.draw(*plum, PanelWish(form))
    (finding,) = refused.value.findings
    assert finding.level == "error"
    assert paragraph in finding.what
    assert why in finding.what
    assert finding.mend == "allowed and large enough: dual-tabular"


def test_a_label_too_small_is_refused_with_what_is_lacking_and_nothing_is_written(
    creamery: CommandLine, quillfeather: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    said = creamery(
        "label", quillfeather, "plum", "--width", "2 in", "--height", "1 in", "--out", out, "--json", "--no-ranges"
    )
    assert said.code == 1
    (error,) = errors(said)
    assert "in of width and" in error["what"]
    assert not out.exists()


@pytest.mark.parametrize(
    ("option", "text", "why"),
    [
        ("--width", "3", "no unit"),
        ("--width", "0 in", "no size of a label"),
        ("--height", "-3 in", "not a length"),
        ("--height", "900 in", "no size of a label"),
        ("--width", "3 kg", "unit of length"),
        ("--area", "38", "38 sq in"),
        ("--area", "0 sq in", "no area"),
    ],
)
def test_lengths_that_are_none_are_wrong_usage(
    creamery: CommandLine, quillfeather: Path, option: str, text: str, why: str
) -> None:
    said = creamery("label", quillfeather, "plum", option, text)
    assert said.code == 2
    assert why in said.err


def test_an_unknown_form_names_the_known_ones(plum: tuple[ShopModel, RecipeAnswer]) -> None:
    with pytest.raises(ShopError) as refused:
        panels.draw(*plum, PanelWish("round"))
    assert "dual-side-by-side, dual-tabular" in refused.value.findings[0].mend


def test_a_text_that_the_type_cannot_set_is_a_finding(plum: tuple[ShopModel, RecipeAnswer]) -> None:
    model, answer = plum
    assert answer.label is not None

    def served(measure: str) -> RecipeAnswer:
        assert answer.label is not None
        serving = dataclasses.replace(answer.label.serving, measure=measure)
        return dataclasses.replace(answer, label=dataclasses.replace(answer.label, serving=serving))

    assert panels.draw(model, served("2/3 чашки")).form  # Cyrillic is in the type
    with pytest.raises(ShopError) as refused:
        panels.draw(model, served("2/3 カップ"))
    assert "its type has no U+30AB" in refused.value.findings[0].what
