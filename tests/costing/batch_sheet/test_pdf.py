"""The printed batch sheet, read back by another program (pdfplumber)."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pdfplumber
import pytest

from costing.batch_sheet import layout, pdf, rows
from costing.batch_sheet.content import BatchSheet, Run
from costing.batch_sheet.setting import MISSING, fitted, lines, pieces, settable, width
from costing.batch_sheet.writing import sheet
from costing.desk import Asked, Shop
from costing.findings import ShopError
from nutrition.panel.drawing import Bar, Box, Text
from nutrition.resources import tree

if TYPE_CHECKING:
    from pathlib import Path

SIZES = (1.0, 3.0)


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


@pytest.fixture(scope="module")
def quince(shop: Shop) -> BatchSheet:
    return sheet(shop, "quince")


def keys() -> list[str]:
    return sorted(one.name.removesuffix(".yaml") for one in (tree("examples") / "quillfeather" / "recipes").iterdir())


def read(data: bytes) -> Any:
    return pdfplumber.open(io.BytesIO(data))


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("key", keys())
def test_two_pages_hold_it_with_allergens_on_top_every_weight_and_every_box(shop: Shop, key: str, size: float) -> None:
    content = sheet(shop, key, Asked(size=size))
    with read(pdf.data([content])) as found:
        assert len(found.pages) <= 2
        first = found.pages[0]
        (band,) = [line for line in first.extract_text_lines() if line["text"].startswith("ALLERGENS:")]
        assert band["top"] < 150
        for name in content.allergens:
            assert name.upper() in band["text"]
        assert content.title in flat(first.extract_text())
        assert content.size in flat(first.extract_text())
        text = flat(" ".join(page.extract_text() for page in found.pages))
        for weigh in content.weighs:
            assert re.search(rf"{re.escape(weigh.name)}.*?{re.escape(weigh.shown)}", text), weigh
        boxes = [r for page in found.pages for r in page.rects if r["stroke"] and not r["fill"]]
        assert len(boxes) == content.ticks + content.blanks
        assert "safe" not in text.casefold()
        for page in found.pages:
            assert min(c["x0"] for c in page.chars) >= 36 - 1e-3
            assert max(c["x1"] for c in page.chars) <= page.width - 36 + 1e-3
            assert min(c["top"] for c in page.chars) >= 36 - 1e-3
            assert max(c["bottom"] for c in page.chars) <= page.height - 30
            assert min(c["size"] for c in page.chars) >= rows.LEAST - 1e-6
            assert "page" in page.extract_text_lines()[-1]["text"]


def test_the_type_is_embedded_and_the_paper_is_the_locales(shop: Shop, quince: BatchSheet) -> None:
    data = pdf.data([quince])
    assert data.count(b"/FontFile2") == 2
    assert b"Helvetica" not in data
    with read(data) as found:
        assert (found.pages[0].width, found.pages[0].height) == (612, 792)
    german = sheet(Shop(replace(shop.model, locale="de_DE"), as_of=shop.day), "quince")
    with read(pdf.data([german])) as found:
        assert round(float(found.pages[0].height)) == 842


def test_the_same_sheet_gives_the_same_bytes(shop: Shop) -> None:
    assert pdf.render(shop, ["quince"]) == pdf.render(shop, ["quince"], Asked())


def test_several_recipes_go_into_one_document_each_at_its_own_size(shop: Shop) -> None:
    hows = {"quince": Asked(size=2.0), "plum": Asked(size=3.0)}
    with read(pdf.render(shop, ["quince", "plum"], hows)) as found:
        text = [flat(page.extract_text()) for page in found.pages]
    assert "2 batches: " in text[0]
    assert any("3 batches: " in page for page in text[1:])
    with read(pdf.render(shop)) as found:
        titles = flat(" ".join(page.extract_text() for page in found.pages))
    assert all(one.title in titles for one in shop.model.recipes.values())


def test_nothing_lies_on_anything_else(shop: Shop) -> None:
    for key in keys():
        for page in layout.pages(sheet(shop, key, Asked(size=2.67))):
            texts = sorted((item for item in page.items if isinstance(item, Text)), key=lambda t: (t.y, t.left))
            for i, one in enumerate(texts):
                for other in texts[i + 1 :]:
                    if other.y - one.y > one.size:
                        break
                    if abs(other.y - one.y) < 0.6 * min(one.size, other.size):
                        apart = one.left + one.width <= other.left + 0.01 or other.left + other.width <= one.left + 0.01
                        assert apart, (key, one.text, other.text)
            assert all(item.x + item.width <= page.width - 35 for item in page.items if isinstance(item, Bar | Box))


def test_letters_that_the_type_lacks_are_replaced_where_everybody_sees_it(quince: BatchSheet) -> None:
    assert settable("Crème brûlée, 無花果 🍨 e\u0301\u200d") == f"Crème brûlée, {MISSING * 3} {MISSING} é"
    assert settable("a\x00b\n\tc\ud800") == f"a{MISSING}b c{MISSING}"
    odd = replace(quince, title="無花果 & crème 🍨", shop="Ł\x07\ud800ódź", note="\u202eabc", allergens=("無",))
    with read(pdf.data([odd])) as found:
        text = flat(found.pages[0].extract_text())
    assert f"{MISSING * 3} & crème {MISSING}" in text
    assert "Ł" in text
    assert f"ALLERGENS: {MISSING}" in text


def test_words_without_end_are_broken_and_cut_inside_the_page(quince: BatchSheet) -> None:
    long = "x" * 400
    part = quince.sections[2]
    weigh = replace(part.steps[0].weighs[0], name=long, measure="y" * 20, remark=long, allergens=long)
    step = replace(part.steps[0], weighs=(weigh,), words=(Run(long, True), Run(f" {long}")), notes=(long,))
    odd = replace(quince, title=long, size=long, sections=(replace(part, title=long, steps=(step,)),))
    for page in layout.pages(odd):
        for item in page.items:
            if isinstance(item, Text):
                assert item.left >= 36 - 0.01
                assert item.left + item.width <= page.width - 36 + 0.01


def test_a_sheet_that_is_too_long_shrinks_first_and_then_says_so(quince: BatchSheet) -> None:
    def size_of(found: tuple[Any, ...]) -> float:
        return float(max(text.size for text in found[0].texts)) / 1.8

    sizes = []
    for times in (1, 2, 3, 9):
        long = replace(quince, sections=quince.sections * times)
        found = layout.pages(long)
        sizes.append((len(found), size_of(found)))
        drawn = sum(1 for page in found for item in page.items if isinstance(item, Box))
        assert drawn == long.ticks + long.blanks
    assert sizes[0][0] <= 2
    assert sizes[1][1] < sizes[0][1]
    assert sizes[-1][0] > 2
    assert sizes[-1][1] == rows.LEAST
    assert "keep its pages together" in " ".join(text.text for text in found[0].texts)
    assert "keep its pages together" not in " ".join(text.text for text in layout.pages(quince)[0].texts)


def test_a_short_sheet_takes_one_page_in_type_that_is_easy_to_read(shop: Shop) -> None:
    found = layout.pages(sheet(shop, "house-base"))
    assert len(found) == 1
    assert max(text.size for text in found[0].texts) / 1.8 >= layout.EASY


def test_lines_break_between_words_and_runs_keep_their_blanks() -> None:
    words = pieces((Run("Heat to "), Run("175 °F", True), Run(", hold "), Run("25 s", True), Run(".")))
    (one,) = lines(words, 10, 500)
    assert "".join(text for _, text in one) == "Heat to 175 °F, hold 25 s."
    for line in lines(words, 10, 60):
        assert sum(width(text, name, 10) for name, text in line) <= 60
    assert fitted("abc", "regular", 10, 500, 8) == ("abc", 10)
    cut, size = fitted("abcdefghij " * 20, "regular", 10, 80, 8)
    assert (cut[-1], size) == ("…", 8)


def test_it_is_written_whole_and_never_over_another(shop: Shop, tmp_path: Path) -> None:
    path = tmp_path / "new" / "sheets.pdf"
    assert pdf.write(shop, ["plum"], None, path) == path
    before = path.read_bytes()
    with pytest.raises(ShopError, match="exists already"):
        pdf.write(shop, ["quince"], None, path)
    assert path.read_bytes() == before
    pdf.write(shop, ["quince"], Asked(size=2.0), path, replace=True)
    assert path.read_bytes() != before
    assert [one.name for one in path.parent.iterdir()] == ["sheets.pdf"]


def test_many_allergens_stand_whole_on_every_page(quince: BatchSheet) -> None:
    many = tuple(f"Tree Nut (Kind {n})" for n in range(24))
    with read(pdf.data([replace(quince, allergens=many)])) as found:
        assert len(found.pages) > 1
        for page in found.pages:
            text = flat(page.extract_text())
            assert all(name.upper() in text for name in many)
