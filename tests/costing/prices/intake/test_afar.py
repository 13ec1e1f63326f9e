"""Goods that would cost many times what the shop knows: a price for a case that was read as one for a pound."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from costing.prices.intake import afar
from costing.prices.intake.add import Added, add
from costing.shop.models import PriceRow
from tests.costing.prices.intake.lists import TODAY, text_file
from tests.costing.prices.price_shops import row, shop

NEW = date(2026, 3, 2)


def offer(pack: str, price: float, **other: Any) -> PriceRow:
    given = {"supplier": "North", "item": "SUGAR GRAN", "date": NEW, "where": "new.csv:7"} | other
    return row("sugar", pack, price, **given)


KNOWN = row("sugar", "50 lb", 40.0, date=date(2026, 2, 16))


@pytest.mark.parametrize(
    ("pack", "price", "told"),
    [
        ("1 lb", 40.0, True),
        ("50 lb", 119.0, False),
        ("50 lb", 121.0, True),
        ("50 lb", 13.0, True),
        ("50 lb", 14.0, False),
    ],
)
def test_more_than_three_times_either_way_is_told(pack: str, price: float, told: bool) -> None:
    assert bool(afar.afar([offer(pack, price)], shop(KNOWN), NEW)) == told


def test_it_says_what_the_other_costs() -> None:
    (one,) = afar.afar([offer("1 lb", 40.0)], shop(KNOWN), NEW)
    # 40 USD for 0.45359237 kg (NIST Handbook 44, appendix C), and for fifty times as much.
    assert "costs $88.18 a kg, 50 times that of Mill Lane, $1.76" in one.words


def test_goods_that_the_supplier_had_before_are_measured_against_that() -> None:
    before = offer("50 lb", 10.0, date=date(2026, 2, 16))
    assert not afar.afar([offer("50 lb", 10.5)], shop(KNOWN, before), NEW)


def test_two_suppliers_that_differ_leave_room_between_them() -> None:
    other = row("sugar", "50 lb", 100.0, supplier="South", date=date(2026, 2, 16))
    assert not afar.afar([offer("50 lb", 130.0)], shop(KNOWN, other), NEW)


def test_goods_of_one_list_measure_each_other_where_nothing_else_does() -> None:
    case, one = offer("12/4 lb", 42.12), offer("12/4 lb", 3.85, where="new.csv:8")
    assert [found.row for found in afar.afar([case, one], shop(), NEW)] == [case, one]


def take(folder: Path, path: Path, **other: Any) -> Added:
    return add(folder, path, supplier="North", today=TODAY, **other)


def test_one_thing_that_is_far_waits_for_a_person(quillfeather: Path, tmp_path: Path) -> None:
    done = take(
        quillfeather, text_file(tmp_path, "Item,Pack,Price\nGranulated sugar,1 lb,39.25\nSalt,25 lb,9\n"), yes=True
    )
    assert (done.state, done.used) == ("added", 1)
    text = (quillfeather / "prices/mappings/north.yaml").read_text(encoding="utf-8")
    (line,) = [one for one in text.splitlines() if "Granulated sugar" in one and "score" in one]
    assert "score: 83, confirmed: no" in line
    assert "costs $86.53 a kg, 45 times that of Wrenlock Kitchen Supply" in line


def test_where_most_things_are_far_the_reading_is_doubted(quillfeather: Path, tmp_path: Path) -> None:
    text = "Item,Pack,Price\nGranulated sugar,1 lb,39.25\nSalt,1 lb,19\nHoney,60 lb,210\n"
    done = take(quillfeather, text_file(tmp_path, text), yes=True)
    assert done.state == "proposed"
    (told,) = [one for one in done.findings if "and so it is with 1 more item;" in one.what]
    assert told.level == "warning"


def test_goods_that_are_new_on_a_later_list_are_measured_too(quillfeather: Path, tmp_path: Path) -> None:
    assert take(quillfeather, text_file(tmp_path, "Item,Pack,Price\nHoney,60 lb,210\n"), yes=True).state == "added"
    text = "Item,Pack,Price\nHoney,60 lb,210\nGranulated sugar,1 lb,39.25\n"
    done = take(quillfeather, text_file(tmp_path, text, "second.csv"), yes=True, day=date(2026, 3, 9))
    assert done.state == "added"
    (told,) = [one for one in done.findings if "times that of" in one.what]
    assert (told.level, told.where) == ("warning", "second.csv:3")
