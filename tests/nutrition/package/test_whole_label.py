"""The whole label read back from its PDF, against 21 CFR 101.1 to 101.7.

The figures of the law stand here once more, apart from the tables that the drawing is made with: 101.2(c) 1/16 in by
the small "o"; 101.7(f) bottom 30 %, a letter's height above and below, twice an N beside; 101.7(i) heights by area;
135.110(f) half heights (all from memory of the regulation). Heights of letters are worked out from the font's OS/2 table
(sxHeight 486, sCapHeight 660 of 1000), not from the drawing's own measuring.
"""

from __future__ import annotations

import itertools
import math
import xml.etree.ElementTree as ET
from dataclasses import replace
from typing import Any

import pytest
import zxingcpp
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st
from pdfminer.pdftypes import resolve1

from nutrition.law.us import flavor_names, label_space
from nutrition.law.us.label import NameAnswer
from nutrition.package import content, files, gtin, information, main_panel
from nutrition.package import label as package
from nutrition.package.refusals import CannotDrawError, NoRoomError
from nutrition.panel import faces, png
from nutrition.panel.drawing import Box, Ring, Text
from tests.nutrition.package.whole_labels import (
    HALF_GALLON,
    PINT,
    STATEMENT,
    UPC,
    baseline,
    drawn,
    found,
    inside,
    pages,
    said,
    trim,
)
from tests.nutrition.panel.panel_labels import label as panel_label
from tests.nutrition.panel.panel_labels import open_lines

BOLD_X_HEIGHT, X_HEIGHT = (TTFont(faces.path(name))["OS/2"].sxHeight / 1000 for name in ("bold", "regular"))
# 101.7(i): height of the letters, inches, by the area of the main panel, square inches.
HEIGHTS = ((5.0, 1 / 16), (25.0, 1 / 8), (100.0, 3 / 16), (400.0, 1 / 4), (math.inf, 1 / 2))


def least(area: float) -> float:
    return next(height for limit, height in HEIGHTS if area <= limit)


def quantity(page: Any) -> list[Any]:
    return found(inside(page), "1 PINT")


@pytest.mark.parametrize(
    ("space", "area", "sheet"),
    [
        (PINT, 0.4 * 12.1 * 3.3, 0),
        (PINT, math.pi * 4.0, 1),
        (HALF_GALLON, 0.4 * 17.2 * 4.8, 0),
        (HALF_GALLON, math.pi * 9.0, 1),
        (label_space.rectangle(11.0, 5.0), 55.0, 0),
        (label_space.rectangle(11.0, 5.0).with_main_panel(120.0), 120.0, 0),
    ],
)
def test_net_quantity_has_its_height_its_place_and_its_clear_space(
    space: label_space.LabelSpace, area: float, sheet: int
) -> None:
    page = pages(space)[sheet]
    _, top, _, bottom = trim(page)
    words = quantity(page)
    assert all("Bold" in c["fontname"] for c in words)
    size = words[0]["size"]
    # It has small letters ("mL"), so they are what is measured.
    assert BOLD_X_HEIGHT * size >= 72 * least(area) - 1e-4  # the file rounds sizes to five digits
    chars = inside(page)
    rest = found(chars, "(473 mL)")
    mine = [*words, *rest]
    lines = sorted({round(baseline(c), 3) for c in mine})
    high = 0.660 * size
    assert lines[0] - high >= bottom - 0.3 * (bottom - top) - 1e-6
    assert lines[-1] <= bottom
    n = TTFont(faces.path("bold"))["hmtx"]["N"][0] / 1000 * size
    x0, x1 = min(c["x0"] for c in mine), max(c["x1"] for c in mine)
    others = [c for c in chars if c not in mine]
    for other in others:
        tall = 0.72 * other["size"]
        apart_above = lines[0] - high - baseline(other) >= high
        apart_below = baseline(other) - tall - lines[-1] >= high
        apart_beside = other["x1"] <= x0 - 2 * n or other["x0"] >= x1 + 2 * n
        assert apart_above or apart_below or apart_beside, other["text"]
    for shape in (*page.rects, *page.curves):
        if shape["x0"] < x1 + 2 * n and shape["x1"] > x0 - 2 * n and shape["top"] < lines[-1] + high:
            assert shape["bottom"] <= lines[0] - 2 * high or shape["top"] >= lines[-1] or shape["bottom"] > bottom, (
                shape
            )


@pytest.mark.parametrize("space", [PINT, HALF_GALLON, None])
def test_letters_of_what_must_be_said_are_a_sixteenth_of_an_inch(space: label_space.LabelSpace | None) -> None:
    page = pages(space)[0]
    chars = inside(page)
    for words in (f"Ingredients: {STATEMENT}", "Contains: Milk.", "Quillfeather Creamery, 12 Ropewalk, Port Ellery, ME 04999",
                  "Keep frozen", "ice cream", "Toasted"):  # fmt: skip
        assert min(c["size"] for c in found(chars, words)) * X_HEIGHT >= 72 / 16 - 1e-6


def test_everything_stands_in_one_place_in_order() -> None:
    """101.2(e): nothing else between; 403(w): Contains right after the ingredients."""
    text = "".join(c["text"] for c in inside(pages(PINT)[0]))
    order = [
        "Toastedpistachio",
        "icecream",
        "1PINT(473mL)",
        "NutritionFacts",
        "Ingredients:",
        "Contains:Milk.QuillfeatherCreamery,12Ropewalk",
        "Keepfrozen",
    ]
    places = [text.index(words) for words in ("1PINT(473mL)", "NutritionFacts")]
    assert places[0] < places[1]
    assert all(words in text for words in order)
    after = text[text.index("Ingredients:") :]
    assert after.startswith(f"Ingredients:{STATEMENT}Contains:Milk.Quillfeather".replace(" ", ""))


def test_name_is_bold_level_and_in_proportion() -> None:
    for page in pages(PINT):
        chars = inside(page)
        flavour = [*found(chars, "Toasted pistachio"), *found(chars, "& sour cherry")]
        food = found(chars, "ice cream")
        assert all("Bold" in c["fontname"] for c in (*flavour, *food))
        assert all(c["upright"] and c["matrix"][1] == 0 for c in (*flavour, *food))
        # 135.110(f): letters of the flavour at least half as high as those of the food.
        assert min(c["size"] for c in flavour) >= 0.5 * food[0]["size"]
        # 101.3(d): reasonably related to the most prominent print of the panel.
        assert food[0]["size"] >= 0.5 * max(c["size"] for c in flavour)


@pytest.mark.parametrize("kind", ["I", "II", "III"])
@pytest.mark.parametrize("added", ["", "artificial almond flavor"])
@pytest.mark.parametrize("title", ["Vanilla", "Grandmother's best"])
@pytest.mark.parametrize("size", [(12.1, 3.3, 4.0), (9.0, 2.2, 2.6)])
def test_every_part_of_the_name_keeps_its_share(
    kind: str, added: str, title: str, size: tuple[float, float, float]
) -> None:
    """135.110(f)(2) to (5), from memory: flavor by the food, "flavored" and "added" by the flavor, each at least half."""
    parts = flavor_names.wording("vanilla", "ice cream", kind, added=added)
    said_ = said(title=title, name=NameAnswer("ice cream", "ice cream", (), parts=parts))
    for place in (
        main_panel.Rectangle(0.0, 0.0, 0.4 * size[0] * 72, size[1] * 72, 4.5),
        main_panel.Round(100.0, 100.0, size[2] * 36, 9.0),
    ):
        panel = main_panel.lay(said_, place, 10.0)
        bold = [
            item for item in panel.items if item.face == "bold" and "PINT" not in item.text and "mL" not in item.text
        ]

        def high(word: str, items: list[Text] = bold) -> float:
            return max(item.size for item in items if word.casefold() in item.text.casefold())

        assert high("vanilla") >= 0.5 * high("ice cream")
        if kind != "I":
            assert high("flavored") >= 0.5 * high("vanilla")
        if added:
            assert high("added") >= 0.5 * high("vanilla")
        assert min(item.size for item in bold) * BOLD_X_HEIGHT >= 72 / 16 - 1e-6
        text = " ".join(item.text for item in bold).casefold()
        said_words = ("grandmother's best " if title != "Vanilla" else "") + " ".join(part.text for part in parts)
        assert text == said_words
        # 101.3(d): half of the most prominent print is what is usually asked of the name.
        assert high("ice cream") >= 0.5 * max(item.size for item in bold)


@pytest.mark.parametrize(
    ("title", "flavor", "food", "shown"),
    [
        ("Red plum & ginger sorbet", "red plum and ginger", "sorbet", ("", "Red plum & ginger", "sorbet")),
        ("Vanilla", "", "ice cream", ("Vanilla", "ice cream")),
        ("Ice cream", "", "ice cream", ("", "ice cream")),
        ("Old fashioned ice cream", "", "ice cream", ("Old fashioned", "ice cream")),
        ("Midnight ice cream", "coffee", "ice cream", ("Midnight ice cream", "coffee", "ice cream")),
    ],
)
def test_a_title_that_is_the_name_does_not_stand_twice(
    title: str, flavor: str, food: str, shown: tuple[str, ...]
) -> None:
    name = NameAnswer(food, food, (), parts=flavor_names.wording(flavor, food))
    identity = said(title=title, name=name).identity
    assert (identity.title, *(part.text for part in identity.parts)) == shown


@pytest.mark.parametrize("space", [PINT, HALF_GALLON, None, label_space.rectangle(11.0, 5.0)])
def test_nothing_leaves_the_trimmed_label_and_no_mark_enters_it(space: label_space.LabelSpace | None) -> None:
    whole = drawn(space)
    for page, sheet in zip(pages(space), whole.sheets, strict=True):
        left, top, right, bottom = trim(page)
        assert (left, top) == pytest.approx(sheet.trim[:2], abs=1e-3)
        bleed = 72 / 8
        middle = ((left + right) / 2, (top + bottom) / 2)
        for c in page.chars:
            base = float(page.height) - c["matrix"][5]
            high, low = base - 0.75 * c["size"], base + 0.25 * c["size"]
            within = left <= c["x0"] and c["x1"] <= right and top <= high and low <= bottom
            outside = low <= top - bleed + 3.5 or high >= bottom + bleed
            assert within or outside, (c["text"], c["x0"], base)
            if within and sheet.round:
                for x, y in itertools.product((c["x0"], c["x1"]), (base - 0.66 * c["size"], base)):
                    assert math.hypot(x - middle[0], y - middle[1]) <= (right - left) / 2
        for r in page.rects:
            within = left <= r["x0"] and r["x1"] <= right and top <= r["top"] and r["bottom"] <= bottom
            outside = (
                r["x1"] <= left - bleed
                or r["x0"] >= right + bleed
                or r["bottom"] <= top - bleed + 0.5
                or r["top"] >= bottom + bleed
            )
            assert within != outside, r


def test_crop_marks_point_at_the_trimmed_edges() -> None:
    for page in pages(PINT):
        left, top, right, bottom = trim(page)
        thin = [
            r
            for r in page.rects
            if min(r["width"], r["height"]) < 0.3 and max(r["width"], r["height"]) == pytest.approx(18)
        ]
        upright = [r for r in thin if r["height"] > 1]
        level = [r for r in thin if r["width"] > 1]
        for x in (left, right):
            mine = [r for r in upright if (r["x0"] + r["x1"]) / 2 == pytest.approx(x, abs=0.01)]
            assert len(mine) == 2
            assert all(r["bottom"] <= top - 8.99 or r["top"] >= bottom + 8.99 for r in mine)
        for y in (top, bottom):
            mine = [r for r in level if (r["top"] + r["bottom"]) / 2 == pytest.approx(y, abs=0.01)]
            assert len(mine) == 2
            assert all(r["x1"] <= left - 8.99 or r["x0"] >= right + 8.99 for r in mine)


def test_pages_have_their_real_size_and_their_boxes() -> None:
    wrap, lid = pages(PINT)
    for page, size in ((wrap, (12.1, 3.3)), (lid, (4.0, 4.0))):
        left, top, right, bottom = trim(page)
        assert ((right - left) / 72, (bottom - top) / 72) == pytest.approx(size, abs=1e-4)
        bleed = [float(one) for one in page.page_obj.attrs["BleedBox"]]
        box = [float(one) for one in page.page_obj.attrs["TrimBox"]]
        assert [abs(a - b) for a, b in zip(bleed, box, strict=True)] == pytest.approx([9.0] * 4)


def test_the_knife_follows_the_ring_of_a_lid() -> None:
    lid = drawn(PINT).sheets[1]
    (ring,) = (item for item in lid.drawing.items if isinstance(item, Ring))
    assert ring.radius - ring.line / 2 == pytest.approx(4.0 * 72 / 2)


def test_type_is_embedded() -> None:
    for page in pages(PINT):
        for reference in resolve1(page.page_obj.resources["Font"]).values():
            assert len(reference.resolve()["FontDescriptor"].resolve()["FontFile2"].resolve().get_data()) > 1000


@pytest.mark.parametrize("number", [UPC, "4006381333931"])
def test_a_decoder_finds_the_bar_code_on_the_sheet(number: str) -> None:
    whole = drawn(PINT, number=number)
    picture = png.image(whole.sheets[0].drawing, 300.0)
    assert [one.text.zfill(13) for one in zxingcpp.read_barcodes(picture)] == [number.zfill(13)]
    assert whole.magnification == 1.0


def test_bars_of_the_printed_page_are_whole_modules() -> None:
    page = pages(PINT)[0]
    module = 0.330 * 72 / 25.4
    _, top, _, bottom = trim(page)
    bars = sorted(
        (r["x0"], r["width"])
        for r in page.rects
        if r["height"] > 60 and 0.5 < r["width"] < 5 and top < r["top"] < bottom
    )
    assert len(bars) == 30
    for _, width in bars:
        assert width / module == pytest.approx(round(width / module), abs=0.01)
    quiet = (bars[0][0] - 9 * module, bars[-1][0] + bars[-1][1] + 9 * module)
    for c in inside(page):
        if baseline(c) > bottom - 0.5 * 72 and quiet[0] < c["x0"] and c["x1"] < quiet[1]:
            assert c["text"].isdigit()


def test_a_small_tub_takes_a_smaller_bar_code() -> None:
    whole = drawn(label_space.wrap(6.6, 6.0), lot=None)
    assert whole.magnification < 1
    assert any(f"{item.text}" == "6" for item in whole.sheets[0].drawing.texts)


def test_an_empty_box_for_lot_and_date() -> None:
    sheet = drawn(PINT, lot=(1.3, 0.35)).sheets[0]
    assert any(item.text == "Lot and date" for item in sheet.drawing.texts)


def words_of(length: int) -> str:
    return ", ".join(
        itertools.islice(itertools.cycle(["organic cane sugar", "sweet cream", "ground mace", "sea salt"]), length)
    )


def test_a_long_statement_shrinks_to_the_law_and_is_then_refused_with_how_much() -> None:
    sizes = []
    for count in (20, 120, 220):
        statement = words_of(count)
        whole = drawn(label_space.wrap(18.0, 5.0), ingredients=statement)
        sizes.append(whole.text_size)
        assert X_HEIGHT * whole.text_size >= 4.5 - 1e-9
    assert sizes == sorted(sizes, reverse=True)
    assert len(words_of(220)) > 3000
    assert sizes[-1] < sizes[0]
    with pytest.raises(NoRoomError) as refused:
        drawn(PINT, ingredients=words_of(220))
    assert refused.value.lacking_in > 0
    assert f"{refused.value.lacking_in:.2f} in too high" in refused.value.what
    assert "1/16 in" in refused.value.what
    assert refused.value.rule == "21 CFR 101.2(c)"


@settings(max_examples=8, deadline=None)
@given(st.integers(0, 160), st.floats(3.0, 5.5), st.floats(9.0, 18.0), st.sampled_from([None, UPC]))
def test_any_label_is_legal_or_refused(count: int, high: float, wide: float, number: str | None) -> None:
    space = label_space.wrap(wide, high, 3.0)
    try:
        whole = drawn(space, number=number, ingredients=words_of(count + 1))
    except NoRoomError as refused:
        assert refused.mend
        return
    except ValueError as refused:
        assert "panel" in str(refused)
        return
    assert X_HEIGHT * whole.text_size >= 4.5 - 1e-9
    for sheet in whole.sheets:
        left, top, width, height = sheet.trim
        marks = [item for item in sheet.drawing.items if isinstance(item, Text) and top < item.y < top + height]
        for item in marks:
            assert item.left >= left - 1e-6
            assert item.left + item.width <= left + width + 1e-6
        x0, y0, x1, y1 = information.inked(
            [item for item in sheet.drawing.items if isinstance(item, Text) and top < item.y < top + height]
        )
        assert x0 >= left - 1e-6
        assert y0 >= top - 1e-6
        assert x1 <= left + width + 1e-6
        assert y1 <= top + height + 1e-6


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"business": content.Business("", ("12 Ropewalk",))}, "no business name"),
        ({"business": content.Business("Quillfeather", ())}, "no place of business"),
        ({"business": content.Business("Quillfeather", (" ",))}, "no place of business"),
        ({"title": "抹茶アイス"}, r"cannot print the title: its type has .*U\+62B9"),
        ({"ingredients": "milk, 砂糖"}, "the ingredient statement: its type has .*U\\+7802"),
        ({"ingredients": "  "}, "no ingredients"),
        ({"title": "\u202eevil"}, "its type has no"),
        ({"business": content.Business("Quill\u0000", ("x",))}, "the business name: its type has no"),
    ],
)
def test_what_cannot_be_drawn_says_so(change: dict[str, Any], says: str) -> None:
    with pytest.raises(CannotDrawError, match=says):
        drawn(PINT, **change)


@pytest.mark.parametrize(
    ("space", "says"),
    [
        (label_space.wrap(6.0, 1.2), "information panel is .* in too high for its place of|do not fit into"),
        (
            label_space.rectangle(1.0, 0.5),
            "the text does not fit into 0.55 in x 0.38 in",
        ),
        (
            label_space.rectangle(4.0, 2.5),
            "the net quantity 1 PINT .473 mL. does not fit: its letters must be 1/8 in high",
        ),
        (label_space.top(3.8), "a lid alone has no room"),
        (label_space.wrap(12.1, 3.3, 1.0), "does not fit"),
    ],
)
def test_too_small_for_anything(space: label_space.LabelSpace, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        drawn(space)


def test_a_very_long_name_is_refused() -> None:
    with pytest.raises(NoRoomError, match="does not fit on the main panel; shorten the title") as refused:
        drawn(PINT, title="Slow toasted heirloom pistachio " * 30)
    assert len(refused.value.what) < 160


def test_an_empty_box_that_leaves_no_room_is_the_one_that_is_blamed() -> None:
    with pytest.raises(NoRoomError, match=r"no place in .* for the bar code and the lot space beside Nutrition Facts"):
        drawn(PINT, lot=(40.0, 40.0))


def test_an_unknown_size_is_drawn_as_it_comes() -> None:
    whole = drawn(None)
    assert [one.name for one in whole.sheets] == ["label"]
    assert "nobody said how large" in " ".join(whole.notes)
    assert X_HEIGHT * whole.text_size >= 4.5


def test_no_number_no_bars() -> None:
    whole = drawn(PINT, number=None)
    assert whole.magnification == 0
    assert whole.symbol is None
    assert "no gtin" in whole.notes[0]


def test_a_proof_is_marked_on_every_sheet_and_says_why() -> None:
    base = panel_label(print_ready=False, lines=open_lines("iron", "added_sugars"))
    whole = package.draw(
        content.content(base, content.Business("Quillfeather", ("Port Ellery, ME 04999",)), gtin.read(UPC)), HALF_GALLON
    )
    assert whole.proof
    for sheet in whole.sheets:
        _, top, _, height = sheet.trim
        (mark,) = (text for text in sheet.drawing.texts if text.text == "PROOF")
        assert mark.grey > 0.5
        assert any("Not for print: not settled yet: Added Sugars, Iron".casefold() in text.text.casefold().replace("proof, ", "")
                   for text in sheet.drawing.texts if text.y > top + height)  # fmt: skip
    assert not drawn(HALF_GALLON).proof


def test_same_label_same_bytes() -> None:
    assert files.pdf(drawn()) == files.pdf(drawn())
    assert files.svgs(drawn()) == files.svgs(drawn())


def test_svgs_have_their_real_size() -> None:
    whole = drawn()
    made = files.svgs(whole)
    assert list(made) == ["", "lid"]
    for text, sheet in zip(made.values(), whole.sheets, strict=True):
        root = ET.fromstring(text)
        assert float(root.attrib["width"].removesuffix("pt")) == pytest.approx(sheet.drawing.width, abs=0.01)
        assert float(root.attrib["height"].removesuffix("pt")) == pytest.approx(sheet.drawing.height, abs=0.01)
    assert "<circle" in made["lid"]


def test_a_small_cup_may_take_a_smaller_form_where_the_rest_needs_the_room() -> None:
    """101.9(j)(13)(ii): at most 40 square inches, and the label does not accommodate the larger forms."""
    cup = label_space.wrap(8.3, 1.9, 2.9)
    assert cup.available_sq_in < 40
    base = panel_label(columns=("container",), servings="1", measure="1 container")
    made = content.content(
        replace(base, ingredients=STATEMENT, net_quantity="4 FL OZ (118 mL)"),
        content.Business("Quillfeather", ("Port Ellery, ME 04999",)),
        gtin.read(UPC),
    )
    whole = package.draw(made, cup)
    assert X_HEIGHT * whole.text_size >= 4.5 - 1e-9
    assert whole.magnification >= 0.8
    # A pint has more than 40 square inches, and gets no small form however much else there is to say.
    with pytest.raises(NoRoomError):
        drawn(PINT, ingredients=words_of(220))


def test_a_small_form_is_not_taken_for_the_sake_of_larger_letters() -> None:
    """101.9(j)(13)(ii)(A): only where the label does not accommodate the larger form, however small its text gets."""
    base = panel_label(columns=("container",), servings="1", measure="1 container")
    base = replace(base, ingredients=f"{STATEMENT}, {STATEMENT}")
    made = content.content(base, content.Business("Quillfeather", ("Port Ellery, ME 04999",)), None)
    tight = label_space.rectangle(10.6, 2.0)
    assert tight.available_sq_in < 40
    asked = package.draw(made, tight, "tabular")
    assert X_HEIGHT * asked.text_size >= 4.5 - 1e-9
    whole = package.draw(made, tight)
    assert (whole.form, whole.text_size) == ("tabular", asked.text_size)


def test_no_room_beside_a_form_that_fits_is_said_so() -> None:
    """The panel fits, and nothing else does: it is not the panel that is too large."""
    base = replace(panel_label(columns=("container",), servings="1", measure="1 container"), ingredients=STATEMENT)
    made = content.content(base, content.Business("Quillfeather", ("Port Ellery, ME 04999",)), None)
    with pytest.raises(NoRoomError, match=r"no place in .* for ingredients and address beside Nutrition Facts"):
        package.draw(made, label_space.wrap(8.3, 1.9, 2.9), "tabular")


def test_a_wide_place_does_not_stretch_the_panel() -> None:
    """Numbers far from their names are hard to read: the panel keeps the width that suits it, and so do the lines."""
    one = content.content(
        replace(panel_label(columns=("serving",)), ingredients=STATEMENT),
        content.Business("Quillfeather", ("Port Ellery, ME 04999",)),
        None,
    )
    boxes = [item for item in package.draw(one, HALF_GALLON).sheets[0].drawing.items if isinstance(item, Box)]
    assert max(box.width for box in boxes) < 3.5 * 72
