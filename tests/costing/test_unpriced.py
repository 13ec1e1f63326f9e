"""An ingredient that nobody has priced: what it goes into costs an unknown amount, and all else is answered."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from costing.desk import Shop
from tests.costing.command_line import CommandLine


@pytest.fixture
def unpriced(quillfeather: Path) -> Path:
    """The example shop, in which nobody has said what coffee beans cost."""
    for path in (quillfeather / "prices").glob("*.csv"):
        path.write_text(path.read_text(encoding="utf-8").replace(",coffee beans,", ",,"), encoding="utf-8")
    return quillfeather


def test_only_what_it_goes_into_is_unknown(unpriced: Path, tmp_path: Path) -> None:
    shop = Shop.open(unpriced)
    assert [one.what for one in shop.findings if one.level != "note"] == [
        "'coffee beans', an ingredient that a recipe uses, has no price"
    ]
    before = Shop.open(str(Path(__file__).parents[2] / "examples/quillfeather"), shop.day)
    for answer in shop.answers():
        usual = before.answer(answer.recipe)
        assert answer.label == usual.label
        if answer.cost is None or usual.cost is None:
            continue
        if answer.recipe == "coffee":
            assert math.isnan(answer.cost.per_container.total)
            assert math.isnan(answer.cost.channels[0].margin)
            assert math.isnan(answer.cost.channels[0].markup_pct or 0.0)
            assert answer.cost.per_container.labour == usual.cost.per_container.labour
        else:
            assert answer.cost.per_container == usual.cost.per_container


@pytest.mark.parametrize(
    ("ask", "line"),
    [
        (("cost", "coffee"), r"a pint +unknown +\$"),
        (("margins",), r"Slow-steeped coffee & dark chocolate +\$11.00 +unknown +unknown +unknown +55.0% +unknown"),
        (("what-if", "coffee", "--if", "heavy cream=+10%"), r"total, a pint +unknown +unknown +unknown"),
        (("prices effect", "--since", "2026-01-15"), r"Slow-steeped coffee & dark chocolate +pint +unknown +unknown"),
        (("label", "coffee"), r"Calories +330 "),
    ],
)
def test_every_command_says_so_and_goes_on(
    creamery: CommandLine, unpriced: Path, ask: tuple[str, ...], line: str
) -> None:
    first, *more = ask
    done = creamery(*first.split(), str(unpriced), *more)
    assert done.code == 0
    assert re.search(line, done.out), done.out
    assert re.search("coffee beans.*, has no price|coffee beans has no usable price", done.err), done.err


def test_the_unknown_has_no_place_and_is_not_called_below(creamery: CommandLine, unpriced: Path) -> None:
    said = creamery("margins", str(unpriced), "--json").json
    places = {one["recipe"]: one["channels"][0]["place"] for one in said["results"]}
    assert places.pop("coffee") is None
    assert sorted(places.values()) == list(range(1, 8))
    assert math.isnan(Shop.open(unpriced).margins().loc[("coffee", "grocer"), "place"])
    done = creamery("prices", "effect", str(unpriced), "coffee", "--since", "2026-01-15")
    line = r"Slow-steeped coffee & dark chocolate +grocer +not known +unknown +unknown +35.0% +\$7.25 +unknown"
    assert re.search(line, done.out), done.out
    assert done.err.count("coffee beans has no usable price before or now") == 1
    table = creamery("what-if", str(unpriced), "coffee", "--table", "heavy cream=-10%..+10%/3")
    assert "unknown unknown" not in table.out


def test_a_rate_that_is_wanting_stops_nothing_else(creamery: CommandLine, quillfeather: Path) -> None:
    for path in (quillfeather / "prices").glob("*wrenlock.csv"):
        path.write_text(path.read_text(encoding="utf-8").replace(",USD,", ",CAD,"), encoding="utf-8")
    for command in ("label", "cost"):
        done = creamery(command, str(quillfeather), "plum")
        assert done.code == 0, done.err
        assert "the price is in CAD, and the shop has no rate for it" in done.err


def test_the_workbook_has_it_too(creamery: CommandLine, unpriced: Path, tmp_path: Path) -> None:
    done = creamery("workbook", str(unpriced), "--out", str(tmp_path / "book.xlsx"), "--living")
    assert done.code == 0, done.err
    assert (tmp_path / "book.xlsx").exists()
