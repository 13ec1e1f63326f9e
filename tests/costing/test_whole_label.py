"""``creamery label --out`` writes the whole label, or says what keeps it from being drawn."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from tests.costing.command_line import CommandLine

PINT = "label: {wrap: 11.4 in x 3.3 in, lid: 3.8 in, lot space: 1.2 in x 0.3 in}"


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def label(creamery: CommandLine, folder: Path, *words: Any, recipe: str = "plum") -> Any:
    return creamery("label", folder, recipe, "--out", folder.parent / "out", "--no-ranges", *words)


def errors(said: Any) -> list[dict[str, str]]:
    return [one for one in said.json["findings"] if one["level"] == "error"]


def test_the_whole_label_is_among_the_files_and_in_the_answer(creamery: CommandLine, quillfeather: Path) -> None:
    said = label(creamery, quillfeather, "--json")
    assert said.code == 0, said.err
    (result,) = said.json["results"]
    names = [Path(one).name for one in result["files"]]
    assert {"plum-label.pdf", "plum-label.svg", "plum-label-lid.svg"} <= set(names)
    package = result["package"]
    assert package["sheets"] == [
        {"name": "wrap", "width_in": pytest.approx(11.4), "height_in": pytest.approx(3.3)},
        {"name": "lid", "width_in": pytest.approx(3.8), "height_in": pytest.approx(3.8)},
    ]
    assert package["size_known"]
    assert package["main_panel_sq_in"] == pytest.approx(0.4 * 11.4 * 3.3)
    assert package["net_quantity_least_in"] == 0.125
    assert package["bar_code"] == {"symbol": "UPC-A", "digits": "614141000036", "magnification": 1.0}
    assert not package["proof"]
    out = quillfeather.parent / "out"
    kept = json.loads((out / "plum.json").read_text(encoding="utf-8"))["results"][0]
    assert kept["package"] == package
    document = pypdfium2.PdfDocument(out / "plum-label.pdf")
    assert len(document) == 2
    text = document[0].get_textpage().get_text_range()
    for words in (
        "Red plum & ginger",
        "sorbet",
        "1 PINT (473 mL)",
        "Ingredients:",
        "Quillfeather Creamery, 12 Ropewalk",
    ):
        assert words in " ".join(text.split())


def test_the_terminal_says_what_was_drawn(creamery: CommandLine, quillfeather: Path) -> None:
    said = label(creamery, quillfeather, recipe="quince")
    assert "wrap of 11.4 in x 3.3 in and a lid" in said.out
    assert "no bar code (no gtin)" in said.out


def test_an_unknown_size_is_a_note_and_no_obstacle(creamery: CommandLine, quillfeather: Path) -> None:
    edit(quillfeather / "shop.yaml", PINT, "")
    said = label(creamery, quillfeather, "--json")
    assert said.code == 0
    (note,) = [one for one in said.json["findings"] if "how large the label of 'pint' is" in one["what"]]
    assert note["level"] == "note"
    assert note["mend"] == "add label: {wrap: 11.4 in x 3.3 in, lid: 3.8 in}"
    assert [one["name"] for one in said.json["results"][0]["package"]["sheets"]] == ["label"]


@pytest.mark.parametrize(
    ("file", "old", "new", "where", "what", "mend"),
    [
        ("shop.yaml", PINT, "label: {lid: 4 in}", "plum", "no form of the panel that is allowed here fits", "larger label"),
        ("shop.yaml", 'address: [12 Ropewalk, "Port Ellery, ME 04999"]', "", "shop.yaml", "no place of business.*101.5", "address"),
        ("recipes/plum.yaml", "title: Red plum & ginger sorbet", "title: 李子 sorbet", "recipes/plum.yaml", "cannot print the title: its type has no U.674E", "plain letters"),
    ],
)  # fmt: skip
def test_what_keeps_it_from_being_drawn(
    creamery: CommandLine, quillfeather: Path, file: str, old: str, new: str, where: str, what: str, mend: str
) -> None:
    edit(quillfeather / file, old, new)
    said = label(creamery, quillfeather, "--json")
    assert said.code == 1
    (error,) = errors(said)
    assert error["where"].startswith(where)
    assert re.search(what, error["what"])
    assert mend in error["mend"]
    assert not (quillfeather.parent / "out").exists()


def test_a_statement_too_long_for_the_tub_is_refused_and_the_panel_alone_is_not(
    creamery: CommandLine, quillfeather: Path
) -> None:
    words = ", ".join(f"spice number {i}" for i in range(180))
    entries = quillfeather / "ingredients.yaml"
    text = entries.read_text(encoding="utf-8")
    at = text.index("\nguar gum:")
    entries.write_text(
        f"{text[:at]}\nguar gum:\n  made of: [{words}]{text[at + len(chr(10) + 'guar gum:') :]}", encoding="utf-8"
    )
    said = label(creamery, quillfeather, "--json")
    (error,) = errors(said)
    assert "in too high for its place" in error["what"]
    assert "1/16 in, the smallest that the law allows [21 CFR 101.2(c)]" in error["what"]
    assert not (quillfeather.parent / "out").exists()
    assert label(creamery, quillfeather, "--panel-only").code == 0
    assert not (quillfeather.parent / "out" / "plum-label.pdf").exists()


def test_two_recipes_never_write_one_file(creamery: CommandLine, quillfeather: Path) -> None:
    text = (quillfeather / "recipes/plum.yaml").read_text(encoding="utf-8")
    other = "\n".join(line for line in text.splitlines() if not line.startswith("gtin:"))
    (quillfeather / "recipes/plum-label.yaml").write_text(other, encoding="utf-8")
    said = creamery("label", quillfeather, "plum", "plum-label", "--out", quillfeather.parent / "out", "--no-ranges")
    assert said.code == 1
    assert "two recipes would write plum-label." in said.err
    assert not (quillfeather.parent / "out").exists()


def test_words_of_another_hand(creamery: CommandLine, quillfeather: Path) -> None:
    edit(quillfeather / "shop.yaml", "  people: 4.5", "  people: 4.5\n  line: distributed by")
    assert label(creamery, quillfeather).code == 0
    document = pypdfium2.PdfDocument(quillfeather.parent / "out" / "plum-label.pdf")
    text = " ".join(document[0].get_textpage().get_text_range().split())
    assert "Distributed by Quillfeather Creamery, 12 Ropewalk" in text


def test_a_whole_label_with_another_form_than_the_panel_says_so(creamery: CommandLine, quillfeather: Path) -> None:
    """On a cup the table fits alone, and not with everything else: 21 CFR 101.9(j)(13)(ii)(A)."""
    old = "[{container: pint, count: 12}, {container: small cup}]"
    edit(quillfeather / "recipes" / "oolong.yaml", old, "small cup")
    said = label(creamery, quillfeather, "--json", recipe="oolong")
    assert said.code == 0, said.err
    (result,) = said.json["results"]
    assert result["panel"]["form"] == "tabular"
    assert result["package"]["panel"] == {"form": "linear", "rule": "21 CFR 101.9(j)(13)(ii)(A)(2)"}
    (note,) = [one for one in said.json["findings"] if "on the whole label" in one["what"]]
    assert "linear [21 CFR 101.9(j)(13)(ii)(A)(2)], and by themselves tabular" in note["what"]
