"""SVG, and what is written to the disk."""

from __future__ import annotations

import errno
import io
import os
from pathlib import Path
from xml.etree import ElementTree as ET

import pdfplumber
import pytest
from panel_labels import BOTH, label, open_lines

from nutrition.panel import faces, layout, pdf, svg, write
from nutrition.panel.drawing import Bar, Box

NS = "{http://www.w3.org/2000/svg}"
HREF = "{http://www.w3.org/1999/xlink}href"


@pytest.mark.parametrize("columns", [("serving",), BOTH])
def test_svg_holds_the_same_texts_and_bars_at_real_size(columns: tuple[str, ...]) -> None:
    drawing = layout.panel(label(columns))
    root = ET.fromstring(svg.text(drawing))
    assert [t.text for t in root.iter(f"{NS}text")] == [t.text for t in drawing.texts]
    assert root.get("width") == f"{drawing.width:.3f}".rstrip("0").rstrip(".") + "pt"
    shapes = [item for item in drawing.items if isinstance(item, Bar | Box)]
    assert len(list(root.iter(f"{NS}rect"))) == len(shapes) + 1  # and the white ground
    for element, item in zip(root.iter(f"{NS}text"), drawing.texts, strict=True):
        assert float(element.get("x", "")) == pytest.approx(item.x, abs=1e-3)
        assert float(element.get("y", "")) == pytest.approx(item.y, abs=1e-3)
        assert float(element.get("font-size", "")) == pytest.approx(item.size, abs=1e-3)
        assert float(element.get("textLength", "")) == pytest.approx(item.width, abs=1e-3)
        assert element.get("text-anchor", "start") == item.anchor
        assert (element.get("font-weight") == "700") == (item.face == "bold")
        assert (element.get("font-style") == "italic") == (item.face == "italic")


def test_svg_proof_is_light_and_turned() -> None:
    root = ET.fromstring(svg.text(layout.panel(label(lines=open_lines("iron")))))
    assert next(root.iter(f"{NS}text")).text == "PROOF"
    light = [group for group in root.iter(f"{NS}g") if group.get("fill") == "#dbdbdb"]
    assert len(light) == 1
    assert "rotate(-" in light[0].get("transform", "")
    assert [use.get(HREF) for use in light[0]] == [f"#regular-{ord(letter):x}" for letter in "PROOF"]
    assert light[0] is next(group for group in root.iter(f"{NS}g") if group.get("transform"))  # behind all else


def test_svg_letters_are_outlines_where_the_texts_stand() -> None:
    drawing = layout.panel(label())
    root = ET.fromstring(svg.text(drawing))
    outlines = {path.get("id"): path.get("d", "") for path in root.iter(f"{NS}path")}
    groups = [group for group in root.iter(f"{NS}g") if group.get("transform")]
    assert len(groups) == len(drawing.texts)
    for group, run in zip(groups, drawing.texts, strict=True):
        assert [use.get(HREF) for use in group] == [f"#{run.face}-{ord(c):x}" for c in run.text if c != " "]
        assert all(outlines[use.get(HREF, "")[1:]].startswith("M") for use in group)
        moved, _, scaled = group.get("transform", "").partition(") scale(")
        x, y = map(float, moved.removeprefix("translate(").split())
        scale = float(scaled.split()[0])
        assert (x, y) == pytest.approx((run.left, run.y), abs=1e-3)
        assert scale * 1000 == pytest.approx(run.size, abs=1e-3)
        last = faces.face(run.face).width(run.text[-1], run.size)
        if run.text[-1] != " ":
            assert float(group[-1].get("x", "0")) * scale + last == pytest.approx(run.width, abs=1e-2)


def test_svg_words_without_ink_fit_whatever_type_there_is() -> None:
    root = ET.fromstring(svg.text(layout.panel(label())))
    inkless = [group for group in root.iter(f"{NS}g") if group.get("fill") == "none"]
    assert len(inkless) == 1
    assert len(inkless[0]) == len(list(root.iter(f"{NS}text")))


@pytest.mark.parametrize("measure", ["<b>&\"'</b>", "]]>", "&amp;", "</text><script>"])
def test_hostile_texts_stay_texts(measure: str) -> None:
    root = ET.fromstring(svg.text(layout.panel(label(measure=measure))))
    assert f"{measure} (95g)" in [t.text for t in root.iter(f"{NS}text")]
    assert not list(root.iter(f"{NS}script"))


def test_hostile_titles_neither_break_svg_nor_pdf() -> None:
    title = "a\x00\x1b</title><script>\ud800\ufffe \U0001f366 (\\) caf\u00e9"
    drawing = layout.panel(label())
    root = ET.fromstring(svg.text(drawing, title).encode())
    assert root.findtext(f"{NS}title") == "a</title><script> \U0001f366 (\\) caf\u00e9"
    with pdfplumber.open(io.BytesIO(pdf.data(drawing, title))) as read:
        assert len(read.pages) == 1
        assert "\U0001f366 (\\) caf\u00e9" in read.metadata["Title"]


def test_write_makes_both_files(tmp_path: Path) -> None:
    drawing = layout.panel(label())
    made = write(drawing, tmp_path / "no. 7", "Pistachio")
    assert made == (tmp_path / "no. 7.svg", tmp_path / "no. 7.pdf")
    assert made[0].read_text("utf-8") == svg.text(drawing, "Pistachio")
    assert made[1].read_bytes() == pdf.data(drawing, "Pistachio")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["no. 7.pdf", "no. 7.svg"]


def test_write_keeps_what_exists_unless_told(tmp_path: Path) -> None:
    drawing = layout.panel(label())
    (tmp_path / "a.pdf").write_bytes(b"mine")
    with pytest.raises(FileExistsError, match=r"a\.pdf exists already"):
        write(drawing, tmp_path / "a")
    assert [p.name for p in tmp_path.iterdir()] == ["a.pdf"]
    assert (tmp_path / "a.pdf").read_bytes() == b"mine"
    write(drawing, tmp_path / "a", replace=True)
    assert (tmp_path / "a.pdf").read_bytes().startswith(b"%PDF")


def test_a_folder_in_the_way_is_said_before_anything_is_written(tmp_path: Path) -> None:
    (tmp_path / "a.pdf").mkdir()
    with pytest.raises(IsADirectoryError):
        write(layout.panel(label()), tmp_path / "a", replace=True)
    assert [p.name for p in tmp_path.iterdir()] == ["a.pdf"]


def test_a_full_disk_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a.svg").write_text("mine")
    calls = []

    def full(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 2:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write(layout.panel(label()), tmp_path / "a", replace=True)
    assert len(calls) == 2
    assert [p.name for p in tmp_path.iterdir()] == ["a.svg"]
    assert (tmp_path / "a.svg").read_text() == "mine"
