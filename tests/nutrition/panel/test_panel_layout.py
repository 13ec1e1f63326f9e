"""Widths, hostile texts and wrong labels."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from panel_labels import AMOUNTS, BOTH, label, line, open_lines
from panel_reading import crossed, outside, touching

from nutrition import resources
from nutrition.law.us.label import Note
from nutrition.panel import faces, layout, rules
from nutrition.panel.drawing import Bar, Box
from nutrition.panel.room import TooSmallError

ONE = ("serving",)


@pytest.mark.parametrize("columns", [ONE, BOTH])
@pytest.mark.parametrize("width", [2.85, None, 4.0, 8.0])
def test_nothing_touches_at_any_width(columns: tuple[str, ...], width: float | None) -> None:
    drawing = layout.panel(label(columns), width)
    assert touching(drawing) == []
    assert outside(drawing) == []
    assert crossed(drawing) == []


def test_two_columns_have_two_upright_rules() -> None:
    drawing = layout.panel(label())
    assert len([b for b in drawing.items if isinstance(b, Bar) and b.height > 20]) == 2


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.sampled_from(["0g", "less than 5mg", "1,250mg", "120mg", "3.5g"]), min_size=30, max_size=30),
    st.lists(st.integers(0, 9999), min_size=30, max_size=30),
    st.sampled_from([ONE, BOTH]),
    st.floats(4.8, 8.0),
)
def test_nothing_touches_whatever_the_figures(
    amounts: list[str], percents: list[int], columns: tuple[str, ...], width: float
) -> None:
    rows = tuple(
        replace(
            made := line(row, columns),
            declared={c: amounts[2 * i + j] for j, c in enumerate(columns)} if i else dict.fromkeys(columns, "1250"),
            dv_pct={c: percents[2 * i + j] for j, c in enumerate(columns)} if made.dv_pct else {},
        )
        for i, row in enumerate(AMOUNTS)
    )
    drawing = layout.panel(label(columns, lines=rows), width)
    assert touching(drawing) == []
    assert outside(drawing) == []
    assert crossed(drawing) == []
    assert not drawing.proof


def test_width_asked_for_is_the_width_of_the_box() -> None:
    drawing = layout.panel(label(), 4.0)
    assert drawing.width_in == pytest.approx(4.0)
    assert drawing.notes == ()


@pytest.mark.parametrize("columns", [ONE, BOTH])
def test_too_narrow_is_refused_with_what_is_lacking(columns: tuple[str, ...]) -> None:
    with pytest.raises(TooSmallError, match=r"into 1\.00 in of width: the nearest, .* in of width more") as refused:
        layout.panel(label(columns), 1.0)
    lacking, none = refused.value.short_in
    assert none == 0
    enough = layout.panel(label(columns), 1.0 + lacking)
    assert enough.width_in == pytest.approx(1.0 + lacking)
    with pytest.raises(TooSmallError):
        layout.panel(label(columns), 1.0 + lacking - 0.01)


def test_a_long_serving_size_takes_the_smaller_type_before_it_widens_the_box() -> None:
    long = "1/2 of the small container"
    usual = layout.panel(label(ONE, measure=long))
    tight = layout.panel(label(ONE, measure=long), 2.5)
    sizes = [next(t.size for t in d.texts if t.text.startswith(long)) for d in (usual, tight)]
    assert sizes == [10, 8]
    assert tight.width_in < usual.width_in


@pytest.mark.parametrize("width", [0.0, -1.0, 8.01, float("nan"), float("inf")])
def test_absurd_widths_are_refused(width: float) -> None:
    with pytest.raises(ValueError, match="at most 8 inches wide"):
        layout.panel(label(), width)


def test_a_text_that_fits_no_sheet_is_refused() -> None:
    with pytest.raises(ValueError, match="8 in of width, the most that a panel has"):
        layout.panel(label(measure="cup " * 100))


@pytest.mark.parametrize(
    ("measure", "named"),
    [
        ("1 \U0001f366 cone", r"U\+1F366 '.' \(soft ice cream\)"),
        ("2/3 cup\x00", r"U\+0000 \(unnamed\)"),
        ("2/3\ncup", r"U\+000A"),
        ("\u05db\u05d5\u05e1", r"U\+05DB"),
        ("2/3 \u202ecup", r"U\+202E \(right-to-left override\)"),
        ("cu\u0301\u0323p", r"U\+0323|U\+0301"),
        ("\ud800", r"U\+D800"),
    ],
)
def test_characters_that_cannot_be_set_are_named(measure: str, named: str) -> None:
    with pytest.raises(ValueError, match=named):
        layout.panel(label(measure=measure))


def test_a_hostile_title_of_the_flavour_does_not_matter() -> None:
    assert layout.panel(label(title="\U0001f366\x00</svg>")) == layout.panel(label())


def test_letters_with_accents_are_composed_and_blanks_made_one() -> None:
    drawing = layout.panel(label(measure="1 cafe\u0301\u00a0  cup"))
    assert any(t.text == "1 caf\u00e9 cup (95g)" for t in drawing.texts)


def test_optional_vitamins_follow_potassium() -> None:
    more = line(("vitamin_a", "Vitamin A", "mcg", "160mcg", 20, "480mcg", 50), BOTH)
    drawing = layout.panel(label(lines=(more, *label().nutrients)))
    texts = [t.text for t in drawing.texts]
    assert texts.index("Potassium") < texts.index("Vitamin A")


def test_protein_has_a_bold_per_cent_only_where_the_label_has_one() -> None:
    rows = tuple(
        replace(each, dv_pct={"serving": 10, "container": 31}) if each.key == "protein" else each
        for each in label().nutrients
    )
    found = [t for t in layout.panel(label(lines=rows)).texts if t.text == "31%"]
    assert [t.face for t in found] == ["bold"]
    assert "31%" not in [t.text for t in layout.panel(label()).texts]


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"lines": label().nutrients[1:]}, "no line for energy"),
        ({"lines": (*label().nutrients, label().nutrients[3])}, "two lines for 'trans_fat'"),
        ({"lines": (*label().nutrients, replace(label().nutrients[3], key="water"))}, "no line for 'water'"),
        ({"columns": ("container", "serving")}, "in that order"),
        ({"columns": ()}, "in that order"),
    ],
)
def test_labels_that_are_no_labels(changes: dict[str, Any], why: str) -> None:
    with pytest.raises(ValueError, match=why):
        layout.panel(label(**changes))


def test_a_long_reason_is_wrapped_below_the_box() -> None:
    keys = [row[0] for row in AMOUNTS]
    drawing = layout.panel(label(ONE, lines=open_lines(*keys, columns=ONE)))
    box = next(item for item in drawing.items if isinstance(item, Box))
    below = [t for t in drawing.texts if t.y > box.y + box.height]
    assert len(below) > 1
    assert " ".join(t.text for t in below).endswith("Iron, Potassium.")
    assert all(t.left + t.width < drawing.width and t.y < drawing.height for t in below)


def test_the_errors_of_a_label_stand_beneath_a_proof() -> None:
    notes = (
        Note("error", "no address \u30ab of the maker"),
        Note("warning", "this is only a warning"),
        *(Note("error", f"something else {i}") for i in range(5)),
    )
    drawing = layout.panel(replace(label(print_ready=False), notes=notes))
    below = " ".join(t.text for t in drawing.texts if t.y > drawing.box[1])
    assert below == (
        "Proof, not for print. No address ? of the maker. Something else 0. Something else 1. Something else 2. "
        "And 2 more."
    )


@pytest.mark.parametrize("long", [601, 1_000_000])
def test_a_text_longer_than_any_panel_is_refused_at_once(long: int) -> None:
    with pytest.raises(ValueError, match=f"it has {long} characters, and 600 are the most"):
        layout.panel(label(measure="c" * long))


def test_every_measure_is_at_least_the_legal_one() -> None:
    rows = resources.table("law", "us", "panel.csv")
    checked = [row for row in rows if row["least"]]
    assert len(checked) > 10
    assert all(float(row["used"]) >= float(row["least"]) for row in checked)
    assert all(float(row["tight"]) >= float(row["least"]) for row in checked if row["tight"])


def test_the_panel_has_a_place_for_every_line_of_a_label_in_the_same_order() -> None:
    of_labels = {row["key"]: row["mandatory"] for row in resources.table("law", "us", "nutrient_lines.csv")}
    of_panels = {entry.key: "yes" if entry.required else "no" for entry in rules.lines()}
    assert list(of_labels.items()) == list(of_panels.items())
    # 21 CFR 101.9(c): calories, ten lines above the bar, four vitamins and minerals below it.
    assert sum(entry.required for entry in rules.lines()) == 15


def test_missing_type_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(faces, "PACKAGE", "no_such_package_of_type")
    with pytest.raises(FileNotFoundError, match="install font-source-sans-pro"):
        faces.path("bold")
