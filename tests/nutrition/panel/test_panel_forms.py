"""Every form of the panel, read back from its PDF, against 21 CFR 101.9(d), (e), (j)(13).

The figures of the law stand here once more, apart from the tables that panels are drawn with (from memory of the
regulation); bars are those of FDA's illustrations, and so are the order and the wording of the lines.
"""

from __future__ import annotations

import functools
import itertools
import math
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from panel_labels import AMOUNTS, BOTH, label, line, open_lines
from panel_reading import chars, crossed, outside, read, touching

from nutrition.law.us.label import Label
from nutrition.panel import choice, pdf, png, svg
from nutrition.panel.content import content
from nutrition.panel.drawing import Bar, Box, Drawing
from nutrition.panel.room import Room

FORMS = tuple(choice.FORMS)
TABLES = tuple(form for form in FORMS if form != "linear")
ONE = ("serving",)
NUTRIENTS = [name if name != "Includes" else "Added Sugars" for _, name, *_ in AMOUNTS[1:11]]
VITAMINS = [name for _, name, *_ in AMOUNTS[11:]]
SHORT = {
    "Saturated Fat": "Sat. Fat", "Cholesterol": "Cholest.", "Total Carbohydrate": "Total Carb.", "Dietary Fiber": "Fiber",
    "Vitamin D": "Vit. D", "Potassium": "Potas.",
}  # fmt: skip
# (d)(1)(iii), (d)(3) to (d)(9): least type sizes in points, upright forms / (d)(11)(iii), (e)(6)(ii) / (j)(13)(ii)(A).
LEAST = {
    "servings": (10, 9, 9), "serving size": (8, 8, 8), "calories": (16, 10, 10), "figure": (22, 22, 14), "line": (8, 8, 8), "head": (6, 6, 6)
}  # fmt: skip
FURTHER = (
    ("vitamin_a", "Vitamin A", "mcg", "160mcg", 20, "480mcg", 50),
    ("vitamin_c", "Vitamin C", "mg", "1mg", 2, "3mg", 4),
    ("pantothenic_acid", "Pantothenic Acid", "mg", "0.5mg", 10, "1.5mg", 30),
)


def sort(form: str) -> int:
    return 2 if form.startswith("small") or form == "linear" else 1 if "tabular" in form else 0


def names(form: str, tight: bool, said: list[str]) -> list[str]:
    """Names as they are printed: short ones on small packages, and two of them in tight columns for two."""
    if sort(form) == 2:
        return [SHORT.get(name, name) for name in said]
    return [SHORT[n] if tight and "dual" in form and n == "Total Carbohydrate" else n for n in said]


def drawn(form: str, tight: bool, made: Label, which: int = 0, area: float = 30.0) -> Drawing:
    """One form with one look, at one of the widths that suit it, whether or not the law allows it here."""
    chooser = choice.Chooser(content(made), Room(area_sq_in=area))
    rule = chooser._rule(form)
    looks = [one for one in chooser._looks(rule) if one[1].tight == tight]
    said, look = looks[-1]
    width = choice.FORMS[form].widths(said, look)[which]
    return replace(choice.FORMS[form].draw(said, width, look, ()), form=form)


@functools.cache
def usual(form: str, tight: bool) -> Drawing:
    return drawn(form, tight, label(BOTH if "dual" in form else ONE), -1 if tight else 0)


@functools.cache
def page(form: str, tight: bool) -> Any:
    return read(pdf.data(usual(form, tight)))


every = pytest.mark.parametrize(("form", "tight"), list(itertools.product(FORMS, (False, True))))
every_table = pytest.mark.parametrize(("form", "tight"), list(itertools.product(TABLES, (False, True))))


@every
def test_type_is_at_least_as_large_as_the_law_wants(form: str, tight: bool) -> None:
    read_back, kind = page(form, tight), sort(form)

    def least(words: str) -> float:
        return float(min(c["size"] for c in chars(read_back, words))) + 1e-6

    assert least("bout 3") >= LEAST["servings"][kind]
    for words in ("2/3 cup", "(95g)"):
        assert least(words) >= LEAST["serving size"][kind]
    assert least("Calories") >= LEAST["calories"][kind]
    assert least("290") >= LEAST["figure"][kind]
    for words in (*names(form, tight, NUTRIENTS), *names(form, tight, VITAMINS), "19g", "24%", "0.6mcg", "10%"):
        assert least(words) >= LEAST["line"][kind], words
    assert min(c["size"] for c in read_back.chars) + 1e-6 >= LEAST["head"][kind]
    title = chars(read_back, "Nutrition")[0]["size"]
    assert {round(c["size"], 3) for c in chars(read_back, "Facts")} == {round(title, 3)}
    assert title > max(c["size"] for c in read_back.chars if round(c["size"], 3) != round(title, 3))


@every_table
def test_lines_stand_in_the_order_of_the_law(form: str, tight: bool) -> None:
    read_back = page(form, tight)
    upper = [chars(read_back, name)[0] for name in names(form, tight, NUTRIENTS)]
    lower = [chars(read_back, name)[0] for name in names(form, tight, VITAMINS)]
    # A table begins where an unindented name does; the second one, if any, with carbohydrate.
    second = upper[5]["x0"] if upper[5]["top"] <= upper[0]["top"] + 1 else math.inf

    def table(char: Any) -> int:
        return int(char["x0"] >= second - 0.01)

    assert sorted(upper, key=lambda c: (table(c), c["top"])) == upper
    assert sorted(lower, key=lambda c: (round(c["top"]), table(c))) == lower
    assert max(c["bottom"] for c in upper) < min(c["top"] for c in lower)
    for side in (0, 1):
        inside = [c for c in (*upper, *lower) if table(c) == side]
        for above, below in itertools.pairwise(sorted(inside, key=lambda c: c["top"])):
            assert below["top"] - above["bottom"] >= 4 - 1e-3  # (d)(1)(ii)(C)


def test_running_text_says_everything_in_the_order_of_the_law() -> None:
    # FDA's published sample of the linear display: order and wording of its parts (from memory).
    said = " ".join(t.text for t in usual("linear", False).texts)
    assert said == (
        "Nutrition Facts Servings: about 3, Serv. size: 2/3 cup (95g), Amount per serving: Calories  290 , "
        "Total Fat 19g ( 24%  DV), Sat. Fat 12g ( 60%  DV), Trans Fat 0.5g, Cholest. 65mg ( 22%  DV), "
        "Sodium 70mg ( 3%  DV), Total Carb. 26g ( 9%  DV), Fiber less than 1g ( 2%  DV), Total Sugars 24g, "
        "Incl. 14g Added Sugars ( 28%  DV), Protein 5g, Vit. D 0.6mcg ( 4%  DV), Calcium 140mg ( 10%  DV), "
        "Iron 0.2mg ( 0%  DV), Potas. 220mg ( 4%  DV). *% DV = % Daily Value"
    )


@every_table
def test_bars_stand_where_the_law_has_them(form: str, tight: bool) -> None:
    read_back = page(form, tight)
    thick, medium = ((4, 2), (3, 1.5))[tight] if sort(form) == 2 else (7, 3)
    flat = [r for r in read_back.rects if r["width"] > 20 and r["height"] < 20]
    weights = {round(r["height"], 2) for r in flat}
    assert weights == {thick, medium, 0.25}
    thicks = [r for r in flat if round(r["height"], 2) == thick]
    assert len(thicks) == 2
    serving = chars(read_back, "(95g)")[0]
    assert any(0 < r["top"] - serving["bottom"] < 4 for r in thicks)
    protein = chars(read_back, "Protein")[0]
    (between,) = (r for r in thicks if r["x0"] <= protein["x0"] + 0.01 <= r["x1"] and r["top"] > protein["bottom"] - 1)
    for name in names(form, tight, VITAMINS):
        vitamin = chars(read_back, name)[0]
        assert between["bottom"] < vitamin["top"]
        assert between["x0"] <= vitamin["x0"] + 0.01 < between["x1"]


@every
def test_nothing_leaves_the_box_touches_or_is_crossed(form: str, tight: bool) -> None:
    drawing, read_back = usual(form, tight), page(form, tight)
    assert (float(read_back.width), float(read_back.height)) == pytest.approx((drawing.width, drawing.height), abs=0.01)
    box = max(read_back.rects, key=lambda r: r["width"] * r["height"])
    # (d)(1)(i): a box of hairlines around everything.
    assert (box["width"], box["height"]) == pytest.approx((drawing.width - 0.5, drawing.height - 0.5), abs=0.01)
    for c in read_back.chars:
        assert box["x0"] + 1 < c["x0"]
        assert c["x1"] < box["x1"] - 1
        assert c["bottom"] - 0.25 * c["size"] < box["bottom"] - 1
        assert c["bottom"] - 0.25 * c["size"] - 0.722 * c["size"] > box["top"] + 1
    for r in read_back.rects:
        assert box["x0"] - 0.01 <= r["x0"]
        assert r["x1"] <= box["x1"] + 0.01
        assert box["top"] - 0.01 <= r["top"]
        assert r["bottom"] <= box["bottom"] + 0.01
    assert touching(drawing) == []
    assert outside(drawing) == []
    assert crossed(drawing) == []


@every
def test_bold_is_a_closed_list(form: str, tight: bool) -> None:
    # (d)(1)(iv): title, serving size, amount per serving, % Daily Value, unindented names, per cents of (d)(7)(ii).
    allowed = {
        "Nutrition Facts", "Nutrition", "Facts", "Serving size", "2/3 cup (95g)", "Serv.", "size:", "2/3", "cup", "(95g),",
        "Amount per serving", "Amount/serving", "Amount", "per", "serving:", "Per serving", "Per container",
        "Calories", "Calories ", "290", "870", "% Daily Value*", "% DV*",
        "Total Fat", "Total", "Fat", "Cholesterol", "Cholest.", "Sodium", "Total Carbohydrate", "Total Carb.", "Carb.", "Protein",
    }  # fmt: skip
    percents = {f"{dv}%" for row in AMOUNTS[1:11] for dv in (row[4], row[6]) if dv is not None}
    for text in usual(form, tight).texts:
        assert text.face != "bold" or text.text in allowed | percents, text
    said = [t for t in usual(form, tight).texts if t.face != "bold"]
    must = {"Nutrition Facts", "Sodium", "Protein", "24%", "290", "Calories", "Cholesterol", "Cholest."}
    assert not [t for t in said if t.text.strip() in must]
    assert [t.text for t in usual(form, tight).texts if t.face == "italic"] == ["Trans"]


@every
def test_every_letter_is_of_an_embedded_face(form: str, tight: bool) -> None:
    names = {font.split("+")[-1] for font in {c["fontname"] for c in page(form, tight).chars}}
    assert names == {"SourceSansPro-Regular", "SourceSansPro-Bold", "SourceSansPro-It"}
    fonts = page(form, tight).page_obj.resources["Font"]
    for font in getattr(fonts, "resolve", lambda: fonts)().values():
        assert len(font.resolve()["FontDescriptor"].resolve()["FontFile2"].resolve().get_data()) > 1000


@pytest.mark.parametrize("form", FORMS)
def test_svg_and_png_show_the_same_drawing(form: str) -> None:
    drawing = usual(form, False)
    root = ET.fromstring(svg.text(drawing))
    assert [t.text for t in root.iter("{http://www.w3.org/2000/svg}text")] == [t.text for t in drawing.texts]
    picture = png.image(drawing, 72.0)
    assert picture.size == (math.ceil(drawing.width), math.ceil(drawing.height))
    darkest, lightest = picture.getextrema()
    assert (darkest, lightest) == (0, 255)


@every
def test_only_small_packages_abbreviate(form: str, tight: bool) -> None:
    said = {word for text in usual(form, tight).texts for word in text.text.split()}
    short = said & {"Sat.", "Cholest.", "Carb.", "Incl.", "Vit.", "Potas.", "DV*", "Serv."}
    if sort(form) == 2:
        assert {"Sat.", "Cholest.", "Carb.", "Incl.", "Vit.", "Potas."} <= short
    else:
        # (j)(13)(ii)(B): these two may stand in two columns too.
        assert short == ({"Carb.", "Incl."} if tight and "dual" in form else set())


@every_table
def test_numbers_are_aligned(form: str, tight: bool) -> None:
    drawing = usual(form, tight)
    percents = [t for t in drawing.texts if t.text.endswith("%") and t.text[:-1].isdigit()]
    rights = {round(t.left + t.width, 3) for t in percents}
    columns = 2 if "dual" in form else 1
    folds = len(
        {round(t.left, 3) for t in drawing.texts if t.text in {"Total Fat", "Total Carbohydrate", "Total Carb."}}
    )
    assert len(rights) == columns * folds
    if columns == 2:
        ends = {
            round(t.left + t.width, 3)
            for t in drawing.texts
            if t.text[-1] == "g" and t.text[0] in "l0123456789" and t.anchor == "end"
        }
        assert len(ends) == 2 * folds


@every
def test_a_proof_is_marked_in_every_form(form: str, tight: bool) -> None:
    columns = BOTH if "dual" in form else ONE
    made = drawn(form, tight, label(columns, lines=open_lines("iron", "added_sugars", columns=columns)))
    assert made.proof
    mark = made.texts[0]
    assert (mark.text, mark.grey > 0.5) == ("PROOF", True)
    box = next(item for item in made.items if isinstance(item, Box))
    along, up = math.radians(mark.turn), math.radians(mark.turn + 90)
    for side, high in itertools.product((-mark.width / 2, mark.width / 2), (0, 0.67 * mark.size)):
        assert box.x < mark.x + side * math.cos(along) + high * math.cos(up) < box.x + box.width
        assert box.y < mark.y - side * math.sin(along) - high * math.sin(up) < box.y + box.height
    below = [t for t in made.texts if t.y > box.y + box.height]
    assert " ".join(t.text for t in below) == "Proof, not for print. Not settled yet: Added Sugars, Iron."
    assert sum(t.text.count("?") for t in made.texts) == 4 * (len(columns) if "dual" in form else 1)


@pytest.mark.parametrize("form", FORMS)
def test_lines_left_out_and_their_statement(form: str) -> None:
    columns = BOTH if "dual" in form else ONE
    statement = "Not a significant source of dietary fiber and vitamin D."
    made = drawn(
        form, False, replace(label(columns), left_out=("dietary_fiber", "vitamin_d"), not_significant=statement)
    )
    texts = [t.text for t in made.texts]
    said = " ".join(texts)
    assert "Fiber" not in said
    assert "Vitamin D" not in said
    assert "Vit. D" not in said
    assert statement in " ".join(said.split())
    # (c): at the bottom of the table of values in its type size, before the footnote.
    first = next(t for t in made.texts if t.text.startswith("Not"))
    assert first.size >= 8
    assert texts.index(first.text) > texts.index("Calcium" if "Calcium" in texts else ["Calcium", "140mg"][0])
    assert texts.index(first.text) < next(i for i, words in enumerate(texts) if words.startswith("*"))
    assert touching(made) == outside(made) == crossed(made) == []


@pytest.mark.parametrize("form", TABLES)
def test_the_simplified_form_has_a_short_footnote(form: str) -> None:
    columns = BOTH if "dual" in form else ONE
    gone = ("saturated_fat", "trans_fat", "cholesterol", "dietary_fiber", "vitamin_d", "calcium", "iron", "potassium")
    made = drawn(form, False, replace(label(columns), left_out=gone, simplified=True))
    texts = [t.text for t in made.texts]
    assert "% DV = % Daily Value" in texts  # (f)(5)
    assert "% DV*" in texts
    assert "Iron" not in texts
    assert [name for name in ("Total Fat", "Sodium", "Protein") if name not in texts] == []
    assert touching(made) == outside(made) == crossed(made) == []


@pytest.mark.parametrize("form", FORMS)
def test_further_vitamins_follow_potassium(form: str) -> None:
    columns = BOTH if "dual" in form else ONE
    more = tuple(line(row, columns) for row in FURTHER)
    made = drawn(form, False, label(columns, lines=(*more, *label(columns).nutrients)))
    said = " ".join(t.text for t in made.texts)
    where = [said.index(words) for words in ("Calcium", "Iron", "Thiamin" if "Thiamin" in said else "Vit")]
    assert min(where) >= 0
    for name in ("Pantothenic Acid", "Vitamin C" if sort(form) < 2 else "Vit. C"):
        assert name in said
        if "tabular" not in form:
            assert said.index(name) > said.index("Potas")
    assert touching(made) == outside(made) == crossed(made) == []
    if "side" in form:
        # (d)(11)(ii): what follows potassium stands to the right, behind a rule that sets it apart.
        rule = max(
            (b for b in made.items if isinstance(b, Bar) and b.height > 0.9 * made.height), key=lambda b: b.height
        )
        right = [t for t in made.texts if t.left > rule.x]
        assert [t.text for t in right if t.text in {"Vitamin A", "Potassium", "Pantothenic Acid"}] == [
            "Vitamin A", "Pantothenic Acid"
        ]  # fmt: skip


@pytest.mark.parametrize("form", ["small-tabular", "small-dual-tabular", "linear"])
def test_below_twelve_square_inches_all_type_is_at_least_six_point(form: str) -> None:
    # 21 CFR 101.9(j)(13)(i)(B).
    made = drawn(form, True, label(BOTH if "dual" in form else ONE), -1, area=11.9)
    sizes = {t.size for t in made.texts}
    assert 6 <= min(sizes) < 8
    assert touching(made) == outside(made) == crossed(made) == []
    assert made.box[0] * made.box[1] < usual(form, True).box[0] * usual(form, True).box[1]
