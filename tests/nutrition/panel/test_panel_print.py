"""The printed panel, read back from its PDF, against 21 CFR 101.9(d) and (e).

The figures of the law stand in these tests once more, apart from the tables that the drawing is made with:
101.9(d)(1)(iii), (d)(3) for type sizes, (d)(1)(ii)(C) for leading, (d)(1)(iv) for what may be bold (from memory of the
regulation), and 7 and 3 pt bars from FDA's illustrations.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from typing import Any

import pytest
from panel_labels import AMOUNTS, BOTH, label, open_lines
from panel_reading import chars, lines, read

from nutrition.panel import layout, pdf

ONE = ("serving",)


def page(columns: tuple[str, ...] = BOTH, width: float | None = None, **changes: Any) -> Any:
    return read(pdf.data(layout.panel(label(columns, **changes), width)))


def test_single_column_says_everything_in_the_order_of_the_law() -> None:
    assert lines(page(ONE)) == [
        "Nutrition Facts",
        "About 3 servings per container",
        "Serving size 2/3 cup (95g)",
        "Amount per serving",
        "Calories 290",
        "% Daily Value*",
        "Total Fat 19g 24%",
        "Saturated Fat 12g 60%",
        "Trans Fat 0.5g",
        "Cholesterol 65mg 22%",
        "Sodium 70mg 3%",
        "Total Carbohydrate 26g 9%",
        "Dietary Fiber less than 1g 2%",
        "Total Sugars 24g",
        "Includes 14g Added Sugars 28%",
        "Protein 5g",
        "Vitamin D 0.6mcg 4%",
        "Calcium 140mg 10%",
        "Iron 0.2mg 0%",
        "Potassium 220mg 4%",
        "* The % Daily Value (DV) tells you how much a nutrient in a",
        "serving of food contributes to a daily diet. 2,000 calories a day is",
        "used for general nutrition advice.",
    ]


def test_two_columns_say_everything_in_the_order_of_the_law() -> None:
    said = lines(page(BOTH))
    assert said[:6] == [
        "Nutrition Facts",
        "About 3 servings per container",
        "Serving size 2/3 cup (95g)",
        "Per serving Per container",
        "Calories 290 870",
        "% Daily Value* % Daily Value*",
    ]
    assert said[6:20] == [
        "Total Fat 19g 24% 56g 72%",
        "Saturated Fat 12g 60% 34g 170%",
        "Trans Fat 0.5g 1.5g",
        "Cholesterol 65mg 22% 195mg 65%",
        "Sodium 70mg 3% 200mg 9%",
        "Total Carbohydrate 26g 9% 77g 28%",
        "Dietary Fiber less than 1g 2% 2g 7%",
        "Total Sugars 24g 71g",
        "Includes Added Sugars 14g 28% 41g 82%",
        "Protein 5g 15g",
        "Vitamin D 0.6mcg 4% 1.8mcg 10%",
        "Calcium 140mg 10% 410mg 30%",
        "Iron 0.2mg 0% 0.6mg 4%",
        "Potassium 220mg 4% 650mg 15%",
    ]
    assert " ".join(said[20:]) == (
        "* The % Daily Value (DV) tells you how much a nutrient in a serving of food contributes to a daily diet. "
        "2,000 calories a day is used for general nutrition advice."
    )


def test_one_container_as_the_serving_is_a_single_column() -> None:
    said = lines(page(("container",), servings="1", measure="1 container"))
    assert said[1:3] == ["1 serving per container", "Serving size 1 container (95g)"]
    assert "Calories 870" in said


@pytest.mark.parametrize("columns", [ONE, BOTH])
@pytest.mark.parametrize(
    ("words", "least"),
    [
        ("About 3 servings per container", 10),
        ("Serving size", 10),
        ("2/3 cup (95g)", 10),
        ("Calories", 16),
        ("290", 22),
        ("% Daily Value*", 6),
        ("Total Fat", 8),
        ("19g", 8),
        ("24%", 8),
        ("Saturated Fat", 8),
        ("Added Sugars", 8),
        ("Vitamin D", 8),
        ("Potassium", 8),
        ("general nutrition advice.", 6),
    ],
)
def test_type_is_at_least_as_large_as_the_law_wants(columns: tuple[str, ...], words: str, least: float) -> None:
    assert min(c["size"] for c in chars(page(columns), words)) >= least - 1e-6


@pytest.mark.parametrize("columns", [ONE, BOTH])
@pytest.mark.parametrize("width", [2.85, None, 6.0])
def test_title_is_the_largest_type_and_as_wide_as_the_box(columns: tuple[str, ...], width: float | None) -> None:
    drawn = page(columns, width)
    title = chars(drawn, "Nutrition Facts")
    assert title[0]["size"] > max(c["size"] for c in drawn.chars if c["size"] != title[0]["size"])
    thick = next(r for r in drawn.rects if round(r["height"], 2) == 7)
    # The character boxes hold the white beside N and s too, at most a tenth of the type size on either side.
    assert thick["x0"] - 0.1 * title[0]["size"] < title[0]["x0"] <= thick["x0"]
    assert thick["x1"] <= title[-1]["x1"] < thick["x1"] + 0.1 * title[0]["size"]


def test_bold_is_a_closed_list() -> None:
    for columns in (ONE, BOTH):
        drawn = page(columns)
        bold = "".join(c["text"] for c in drawn.chars if "Bold" in c["fontname"] and c["text"] != " ")
        rest = "".join(c["text"] for c in drawn.chars if "Bold" not in c["fontname"] and c["text"] != " ")
        heads = ["Amount per serving"] if columns == ONE else ["Per serving", "Per container"]
        allowed = ["Nutrition Facts", "Serving size", "2/3 cup (95g)", *heads, "Calories"]
        allowed += ["290"] if columns == ONE else ["290", "870"]
        allowed += ["% Daily Value*"] * len(columns)
        for _, name, _, _, serving, _, container in AMOUNTS[1:11]:
            if name in {"Total Fat", "Cholesterol", "Sodium", "Total Carbohydrate", "Protein"}:
                allowed.append(name)
            allowed += [f"{dv}%" for dv in (serving, container)[: len(columns)] if dv is not None]
        assert sorted(bold) == sorted("".join(allowed).replace(" ", ""))
        for words in ("SaturatedFat", "DietaryFiber", "TotalSugars", "VitaminD", "Calcium", "Iron", "Potassium"):
            assert words in rest


def test_trans_is_italic_and_nothing_else() -> None:
    drawn = page(BOTH)
    assert "".join(c["text"] for c in drawn.chars if c["fontname"].endswith("-It")) == "Trans"


@pytest.mark.parametrize("columns", [ONE, BOTH])
def test_four_points_between_nutrient_lines(columns: tuple[str, ...]) -> None:
    drawn = page(columns)
    names = [name if name != "Includes" else "Added Sugars" for _, name, *_ in AMOUNTS[1:]]
    found = [chars(drawn, name)[0] for name in names]
    for above, below in itertools.pairwise(found):
        assert below["top"] - above["bottom"] >= 4 - 1e-3
    assert {round(c["size"], 3) for c in found} == {8}


@pytest.mark.parametrize("columns", [ONE, BOTH])
def test_indents(columns: tuple[str, ...]) -> None:
    drawn = page(columns)
    left = {words: chars(drawn, words)[0]["x0"] for words in ("Total Fat", "Saturated Fat", "Includes", "Calcium")}
    for words in ("Trans Fat", "Dietary Fiber", "Total Sugars"):
        assert chars(drawn, words)[0]["x0"] == pytest.approx(left["Saturated Fat"], abs=0.01)
    assert left["Total Fat"] == pytest.approx(left["Calcium"], abs=0.01)
    assert left["Total Fat"] < left["Saturated Fat"] - 4
    assert left["Saturated Fat"] < left["Includes"] - 4


@pytest.mark.parametrize("columns", [ONE, BOTH])
def test_bars(columns: tuple[str, ...]) -> None:
    drawn = page(columns)
    flat = sorted((r for r in drawn.rects if r["width"] > 20 and r["height"] < 20), key=lambda r: r["top"])
    heavy = [round(r["height"], 2) for r in flat if r["height"] > 1]
    assert heavy == [7, 3, 7, 3]
    hairlines = [r for r in flat if r["height"] <= 1]
    # Under the title; above each of ten nutrients; between four vitamins.
    assert len(hairlines) == 1 + 10 + 3
    assert {round(r["height"], 3) for r in hairlines} == {0.25}
    thick = [r for r in flat if round(r["height"], 2) == 7]
    assert chars(drawn, "Serving size")[0]["bottom"] < thick[0]["top"]
    assert chars(drawn, "Protein")[0]["bottom"] < thick[1]["top"]
    assert thick[1]["bottom"] < chars(drawn, "Vitamin D")[0]["top"]


@pytest.mark.parametrize("columns", [ONE, BOTH])
@pytest.mark.parametrize("width", [None, 5.0])
def test_nothing_leaves_the_box(columns: tuple[str, ...], width: float | None) -> None:
    drawing = layout.panel(label(columns), width)
    drawn = read(pdf.data(drawing))
    assert (float(drawn.width), float(drawn.height)) == pytest.approx((drawing.width, drawing.height), abs=0.01)
    box = max(drawn.rects, key=lambda r: r["width"] * r["height"])
    assert (box["width"], box["height"]) == pytest.approx((drawing.width - 0.5, drawing.height - 0.5), abs=0.01)
    for c in drawn.chars:
        assert box["x0"] < c["x0"]
        assert c["x1"] < box["x1"]
        assert c["bottom"] < box["bottom"]
        # Of the title only the white above its letters may pass the line; its ink ends at 0.722 of its size.
        assert c["bottom"] - 0.25 * c["size"] - 0.722 * c["size"] > box["top"]


def test_numbers_stand_in_columns() -> None:
    drawn = page(BOTH)
    words = drawn.extract_words(x_tolerance=1.2)
    rights = defaultdict(set)
    for word in words:
        if word["text"].endswith("%") and word["text"] != "%":
            rights["per serving" if word["x1"] < drawn.width - 10 else "per container"].add(round(word["x1"], 2))
    assert {key: len(places) for key, places in rights.items()} == {"per serving": 1, "per container": 1}


def test_type_is_embedded_and_only_ours() -> None:
    drawn = page(BOTH)
    fonts = (
        {key: font.resolve() for key, font in drawn.page_obj.resources["Font"].resolve().items()}
        if hasattr(drawn.page_obj.resources["Font"], "resolve")
        else {key: font.resolve() for key, font in drawn.page_obj.resources["Font"].items()}
    )
    names = set()
    for font in fonts.values():
        descriptor = font["FontDescriptor"].resolve()
        assert len(descriptor["FontFile2"].resolve().get_data()) > 1000
        names.add(str(font["BaseFont"].name).split("+")[1])
    assert names == {"SourceSansPro-Regular", "SourceSansPro-Bold", "SourceSansPro-It"}


def test_one_black_on_white() -> None:
    drawn = page(BOTH)
    assert {tuple(c["non_stroking_color"]) for c in drawn.chars} <= {(0,), (0, 0, 0), (0.0,)}


def test_same_drawing_same_bytes() -> None:
    first = pdf.data(layout.panel(label()), "Pistachio")
    assert pdf.data(layout.panel(label()), "Pistachio") == first
    assert pdf.data(layout.panel(label()), "Walnut") != first


def test_proof_is_marked_and_says_why() -> None:
    drawing = layout.panel(label(print_ready=False, lines=open_lines("iron", "added_sugars")))
    drawn = read(pdf.data(drawing))
    said = lines(drawn)
    assert drawing.proof
    assert "Proof, not for print. Not settled yet: Added Sugars, Iron." in said
    light = [c for c in drawn.chars if c["non_stroking_color"] not in ((0,), (0, 0, 0))]
    assert "".join(c["text"] for c in light) == "PROOF"
    mark = drawing.texts[0]
    box = max(drawn.rects, key=lambda r: r["width"] * r["height"])
    along, up = math.radians(mark.turn), math.radians(mark.turn + 90)
    for side in (-mark.width / 2, mark.width / 2):
        for high in (0, 0.67 * mark.size):
            assert box["x0"] < mark.x + side * math.cos(along) + high * math.cos(up) < box["x1"]
            assert box["top"] < mark.y - side * math.sin(along) - high * math.sin(up) < box["bottom"]
    open_marks = [c for c in drawn.chars if c["text"] == "?"]
    assert len(open_marks) == 2 * 2 * 2  # two nutrients, amount and per cent, two columns
    reason = chars(drawn, "Proof, not for print")[0]
    assert reason["top"] > box["bottom"]


def test_a_label_ready_for_print_is_no_proof() -> None:
    drawing = layout.panel(label())
    assert not drawing.proof
    assert not any("PROOF" in text.text or "?" in text.text for text in drawing.texts)


@pytest.mark.parametrize(
    "changes",
    [
        {"print_ready": False},
        {"lines": open_lines("calcium")},
        {"measure": ""},
        {"servings": " "},
    ],
)
def test_anything_open_makes_a_proof(changes: dict[str, Any]) -> None:
    drawing = layout.panel(label(**changes))
    assert drawing.proof
    assert any(text.text == "PROOF" for text in drawing.texts)
