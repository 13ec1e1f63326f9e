"""Which row names the columns, and what each is taken for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from costing.prices.intake import heads
from costing.prices.intake.sheets import Sheet
from nutrition import resources


def sheet(*rows: Sequence[Any]) -> Sheet:
    return Sheet("", rows, range(1, len(rows) + 1), "list.csv")


def chosen(*names: str) -> dict[str, str]:
    return {column: those[0].heading for column, those in heads.guess(names).items()}


@pytest.mark.parametrize(
    ("names", "wanted"),
    [
        (("Item No", "Description", "Pack/Size", "Your Price"), {"code": "Item No", "item": "Description", "pack": "Pack/Size", "price": "Your Price"}),
        (("Artikel-Nr.", "Bezeichnung", "Gebinde", "Preis (€)"), {"code": "Artikel-Nr.", "item": "Bezeichnung", "pack": "Gebinde", "price": "Preis (€)"}),
        (("Désignation", "Conditionnement", "Prix HT"), {"item": "Désignation", "pack": "Conditionnement", "price": "Prix HT"}),
        (("Descripción", "Formato", "Precio"), {"item": "Descripción", "pack": "Formato", "price": "Precio"}),
        (("Product Name", "Units/Case", "Unit Size", "Price/LB", "Curr."), {"item": "Product Name", "count": "Units/Case", "pack": "Unit Size", "price by weight": "Price/LB", "currency": "Curr."}),
        (("Descripton", "Price"), {"item": "Descripton", "price": "Price"}),
        (("$/lb", "Item"), {"price by weight": "$/lb", "item": "Item"}),
        (("Price (USD)", "List Price", "Item"), {"price": "Price (USD)", "item": "Item"}),
        (("Artikel", "Alter Preis €", "Neuer Preis €"), {"item": "Artikel", "price": "Neuer Preis €"}),
        (("Item", "Old Price", "New Price"), {"item": "Item", "price": "New Price"}),
        (("Item", "Previous Case Price", "Case Price"), {"item": "Item", "price": "Case Price"}),
        (("Item", "SRP Price", "Cost"), {"item": "Item", "price": "Cost"}),
        (("Item", "Last Price"), {"item": "Item", "price": "Last Price"}),
        (("What", "How sold", "Price"), {"item": "What", "pack": "How sold", "price": "Price"}),
        (("EAN", "Product", "WSP (ex VAT)", "RSP"), {"code": "EAN", "item": "Product", "price": "WSP (ex VAT)"}),
        (("Item", "Price/L"), {"item": "Item", "price": "Price/L"}),
        (("Item", "Price per M", "Price per Case"), {"item": "Item", "price": "Price per Case"}),
        (("Item", "Price/Unit"), {"item": "Item", "price": "Price/Unit"}),
        (("Item", "Old price/kg", "New price/kg"), {"item": "Item", "price by weight": "New price/kg"}),
    ],
)  # fmt: skip
def test_headings_are_known_by_their_words(names: tuple[str, ...], wanted: dict[str, str]) -> None:
    assert chosen(*names) == wanted


def test_every_guess_has_a_reason_and_a_score() -> None:
    for those in heads.guess(("Descripton", "Case price in dollars", "Pack")).values():
        for one in those:
            assert 0 < one.score <= 100
            assert one.why


def test_the_heads_are_found_below_titles_and_once() -> None:
    rows = (["North Foods", ""], ["", ""], ["Item", "Price"], ["Salt", "3"], ["Item", "Price"])
    found = heads.find(sheet(*rows))
    assert found is not None
    assert (found[0].at, found[0].names) == (2, ("Item", "Price"))


def test_heads_in_two_lines_are_put_together() -> None:
    found = heads.find(sheet(["Item", "Case", "Pack"], ["Description", "Price", "Size"], ["Salt", "3.00", "1 lb"]))
    assert found is not None
    assert (found[0].depth, found[0].names) == (2, ("Item Description", "Case Price", "Pack Size"))


def test_a_heading_that_stands_twice_is_numbered() -> None:
    head = heads.named(["Item", "Price", "Price", "", None], 0)
    assert head.names == ("Item", "Price", "Price (2)")
    assert head.twice == ("Price",)


def test_a_list_without_heads_has_none() -> None:
    assert heads.find(sheet(["Salt", "12 x 3 lb", "28.80"], ["Sugar", "50 lb", "38.50"])) is None


def test_every_word_beside_a_price_says_something() -> None:
    rows = resources.table("prices", "price_marks.csv")
    assert {row["says"] for row in rows} == {"now", "before", "shelf"}
    assert all((int(row["worth"]) > 0) == (row["says"] == "now") for row in rows)
    assert len({row["word"] for row in rows}) == len(rows)
    (guess,) = heads.guess(("Item", "Old Price"))["price"]
    assert "until now" in guess.why


def test_the_table_names_only_columns_that_there_are_and_no_words_twice() -> None:
    rows = resources.table("prices", "head_words.csv")
    assert {row["column"] for row in rows} <= set(heads.COLUMNS)
    assert all(0 < int(row["rank"]) <= 100 for row in rows)
    assert all(row["words"] == heads.key(row["words"]) for row in rows)
    pairs = [(row["column"], row["words"]) for row in rows]
    assert len(pairs) == len(set(pairs))
