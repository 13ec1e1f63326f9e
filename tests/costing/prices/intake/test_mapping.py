"""The mapping of a supplier: text that people read and correct."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.prices.intake import mapping, mapping_text
from costing.prices.intake.mapping import Item, Mapped, load, slug
from costing.prices.intake.sheets import tidy
from tests.costing.prices.intake.lists import mapped

PLAIN = """\
supplier: North
confirmed: yes
columns: {item: Description, pack: Pack, price: Price}
heads: [Description, Pack, Price]
currency: USD
decimals: point
items:
  Hvy cream: {ingredient: heavy cream, confirmed: yes}
  Sugar: sugar
"""


def loaded(text: str) -> Mapped:
    one, findings = load(text, "prices/mappings/north.yaml")
    assert one is not None, findings
    return one


def wrong(text: str) -> str:
    one, findings = load(text, "prices/mappings/north.yaml")
    assert one is None
    assert all(found.mend and found.where.startswith("prices/mappings/north.yaml:") for found in findings)
    return "; ".join(f"{found.where.rpartition(':')[2]} {found.what}" for found in findings)


def test_a_mapping_by_hand_is_read() -> None:
    one = loaded(PLAIN)
    assert one.confirmed
    assert one.columns == {"item": "Description", "pack": "Pack", "price": "Price"}
    assert one.items["Hvy cream"] == Item("heavy cream", True, line=8)
    assert one.items["Sugar"] == Item("sugar", True, line=9)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("supplier: North\n", "", "1 the mapping does not name its supplier"),
        ("confirmed: yes\n", "confirmed: maybe\n", "2 'confirmed' must be yes or no"),
        ("price: Price}", "prize: Price}", "there is no column 'prize'"),
        ("price: Price}", "price: Pack}", "'Pack' is given to 'pack' and to 'price'"),
        ("decimals: point", "decimals: dot", "6 'decimals' cannot be 'dot'"),
        ("currency: USD", "money: USD", "5 there is no entry 'money'"),
        ("{ingredient: heavy cream,", "{ingredient: [heavy cream, sugar],", "8 the item 'Hvy cream' maps to heavy cream and to sugar"),
        ("  Sugar: sugar\n", "  Sugar: sugar\n  Sugar: brown sugar\n", "10 'Sugar' stands here twice"),
        ("  Sugar: sugar\n", "  Sugar: [sugar]\n", "9 'Sugar' must name one ingredient"),
        ("heads: [Description, Pack, Price]", "heads: {a: b}", "4 'heads' must be a list"),
        ("columns: {item: Description, pack: Pack, price: Price}", "columns: none", "3 'columns' must hold lines"),
        ("supplier: North", "supplier: [North", "1 "),
        ("supplier: North", "supplier: &a North", "links"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_by_line(old: str, new: str, said: str) -> None:
    assert old in PLAIN
    assert said in wrong(PLAIN.replace(old, new))


def test_two_ingredients_that_nobody_confirmed_are_no_error_yet() -> None:
    one = loaded(
        PLAIN.replace("{ingredient: heavy cream, confirmed: yes}", "{ingredient: [heavy cream, sugar], confirmed: no}")
    )
    assert one.items["Hvy cream"] == Item("heavy cream", False, rivals=("sugar",), line=8)


WORD = st.text(max_size=25).map(tidy)


@given(
    st.dictionaries(WORD.filter(bool), st.tuples(WORD, st.booleans(), st.integers(-1, 100), WORD), max_size=6),
    WORD.filter(bool),
    st.lists(WORD.filter(bool), max_size=3),
    st.dictionaries(WORD.filter(bool), WORD.filter(bool), max_size=3),
)
def test_what_is_written_is_read_back(
    items: dict[str, tuple[str, bool, int, str]], supplier: str, doubts: list[str], packs: dict[str, str]
) -> None:
    one = replace(
        mapped({"item": supplier, "price": f"{supplier} (2)"}),
        supplier=supplier,
        items={n: Item(i, c, s, k, why="a # reason: with signs") for n, (i, c, s, k) in items.items()},
        doubts=tuple(doubts),
        packs=packs,
        reasons={"item": "why\nnot"},
    )
    text = mapping_text.write(one, "list.csv", ("row 1: # | {", ""), 84)
    again = loaded(text)
    assert (again.supplier, again.columns, again.doubts, again.packs) == (supplier, one.columns, one.doubts, packs)
    assert {n: (i.ingredient, i.confirmed, i.score, i.code) for n, i in again.items.items()} == items


def test_confirming_changes_nothing_else_in_the_text() -> None:
    text = PLAIN.replace("confirmed: yes", "confirmed: no") + "# a note of the owner\n"
    one = loaded(text)
    changed = mapping_text.confirmed(text, [one.items["Hvy cream"].line], 2)
    assert changed == PLAIN + "# a note of the owner\n"


def test_more_items_go_below_the_others() -> None:
    more = {"Salt: fine": Item("salt", False, 90, "17", why="all words")}
    again = loaded(mapping_text.appended(PLAIN, more))
    assert list(again.items) == ["Hvy cream", "Sugar", "Salt: fine"]
    assert again.items["Salt: fine"].code == "17"


def test_only_sure_items_are_confirmed_together() -> None:
    items = {
        "a": Item("x", False, 90),
        "b": Item("x", False, 80),
        "c": Item("x", False, 95, rivals=("y",)),
        "d": Item("x", True),
    }
    done = mapping.confirm(replace(mapped({"item": "I", "price": "P"}), confirmed=False, items=items), 84)
    assert done.confirmed
    assert {name: item.confirmed for name, item in done.items.items()} == {"a": True, "b": False, "c": False, "d": True}


@pytest.mark.parametrize("name", ["../../etc", "a/b\\c", "CON", "", "…", "x" * 300, "Käserei Höfli", ".hidden"])
def test_a_supplier_makes_a_file_name_that_stays_in_its_folder(name: str) -> None:
    made = slug(name)
    assert made
    assert len(made) <= 60
    assert not set(made) & set("/\\.: ")


def test_headings_make_a_fingerprint_whatever_their_order() -> None:
    one = mapped({"item": "Description", "price": "Price"}, heads=("Description", "Price", "UOM"))
    assert one.is_of(["uom", "PRICE", "Description", ""])
    assert not one.is_of(["Description", "Price"])
    assert one.fits(["price", "x", "description"])
    assert not one.fits(["Price"])
