"""Text that is safe in cells, tabs and footers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.workbook import text


@pytest.mark.parametrize("code", [0, 7, 8, 11, 12, 14, 31, 127, 0xFFFE, 0xD800])
def test_what_xml_forbids_is_replaced_visibly(code: int) -> None:
    assert text.clean(f"a{chr(code)}b") == "a\ufffdb"


def test_plain_text_and_line_ends_stay() -> None:
    assert text.clean("crème 🍑 “x”\ty\nz") == "crème 🍑 “x”\ty\nz"
    assert text.clean("\rx\r\ny") == "\nx\ny"


def test_text_too_long_for_a_cell_says_that_it_was_cut() -> None:
    # 32,767 characters: Excel specifications and limits, Microsoft.
    long = text.clean("x" * 40_000)
    assert len(long) == 32_767
    assert long.endswith("(cut here)")


def test_an_escape_of_the_format_is_escaped() -> None:
    assert text.clean("_x000D_=1+1") == "_x005F_x000D_=1+1"
    assert text.clean("a_x00 b") == "a_x00 b"


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_what_a_spreadsheet_might_calculate_is_risky(start: str) -> None:
    assert text.is_risky(f"{start}cmd|' /C calc'!A0")
    assert not text.is_risky(f"cream {start}")


@given(st.lists(st.text(max_size=60), max_size=12))
def test_tabs_are_lawful_and_unique(titles: list[str]) -> None:
    # At most 31 characters, none of []:*?/\, no apostrophe at an end, no two alike but for case (Excel, Microsoft).
    taken: set[str] = set()
    for title in titles:
        name = text.sheet_name(title, taken)
        assert 0 < len(name.encode("utf-16-le")) // 2 <= 31
        assert not set(name) & set("[]:*?/\\")
        assert not name.startswith("'")
        assert not name.endswith("'")
        assert name.casefold() not in {t.casefold() for t in taken}
        assert name.casefold() != "history"
        taken.add(name)


def test_tabs_are_cut_at_a_word() -> None:
    assert text.sheet_name("Duck fat caramel & brandied quince", set()) == "Duck fat caramel & brandied…"
    assert text.sheet_name("🍑" * 20, set()) == "🍑" * 15 + "…"
    assert text.sheet_name("", set()) == "Flavour"


def test_a_footer_takes_no_commands() -> None:
    assert text.footer("A&B &P\nC") == "A&&B &&P C"


@pytest.mark.parametrize(
    ("count", "thing", "words"), [(1, "pint", "1 pint"), (2, "box", "2 boxes"), (0, "tub", "0 tubs")]
)
def test_counts(count: int, thing: str, words: str) -> None:
    assert text.plural(count, thing) == words
