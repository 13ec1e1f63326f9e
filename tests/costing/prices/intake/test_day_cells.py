"""Days on lists. Day numbers of spreadsheets: 46349 is 2026-11-23 (ECMA-376 part 1, 18.17.4.1, 1900 base)."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest
from openpyxl.utils.datetime import from_excel

from costing.prices.intake.day_cells import inside, order, read

DAY = date(2026, 11, 23)


@pytest.mark.parametrize(
    "cell",
    [
        "2026-11-23", "2026/11/23", "20261123", "11/23/2026", "23/11/2026", "23.11.2026", "23.11.26", "Nov 23, 2026",
        "23 November 2026", "23. November 2026", "23 novembre 2026", "23 de noviembre de 2026", datetime(2026, 11, 23, 8, 30),
        DAY, 46349, 46349.0, "46349", 20261123, 20261123.0,
    ],
)  # fmt: skip
def test_a_day_in_every_dress(cell: Any) -> None:
    assert read(cell, "month first") == DAY


def test_a_number_of_a_spreadsheets_calendar_is_what_openpyxl_makes_of_it() -> None:
    for number in (36526, 45000, 46349):
        assert read(number, "") == from_excel(number).date()


@pytest.mark.parametrize(
    "cell", [None, "", True, 12.5, 3, "soon", "31/31/2026", "2026-02-30", date(1970, 1, 1), "x" * 60, 10**12]
)
def test_what_is_no_day_gives_none(cell: Any) -> None:
    assert read(cell, "month first") is None


def test_the_order_of_day_and_month_comes_from_the_list_or_from_nobody() -> None:
    assert order(["03/04/2026", "23/04/2026"]) == "day first"
    assert order(["03/04/2026", "04/23/2026"]) == "month first"
    assert order(["03/04/2026"]) == ""
    assert order(["23/04/2026", "04/23/2026", 5, None]) == ""
    assert inside("03/04/2026", "day first") == date(2026, 4, 3)
    assert inside("03/04/2026", "month first") == date(2026, 3, 4)
    assert inside("03/04/2026", "") is None
    assert inside("03.04.2026", "") == date(2026, 4, 3)


def test_a_day_in_a_title_or_a_file_name() -> None:
    assert inside("Prices effective 11/23/2026 until further notice", "month first") == DAY
    assert inside("barrow-north_2026-11-23_final", "") == DAY
    assert inside("list 123456789", "") is None
