"""Price histories: changes and what was paid, against pandas group-by over random lists, and by hand."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import pandas as pd
import pytest

from costing.findings import ShopError
from costing.flow import png, svg
from costing.prices import history, history_picture
from costing.shop.models import PriceRow, ShopModel
from costing.shop.suppliers import Supplier
from nutrition.resources import tree
from tests.costing.command_line import CommandLine
from tests.costing.prices.price_shops import DAY, row, shop

RATES = {"EUR": {date(2025, 1, 1): 1.08, date(2025, 9, 15): 1.12, date(2026, 2, 1): 1.05}}


def lists(seed: int) -> tuple[PriceRow, ...]:
    """Random lists: three suppliers, two items each, packs that change, one of them in euros."""
    dice = random.Random(seed)
    rows = []
    for at in range(14):
        day = date(2025, 3, 1) + timedelta(days=27 * at + dice.randrange(9))
        for supplier, currency in (("North", "USD"), ("South", "EUR"), ("West", "USD")):
            for item in ("fine", "coarse"):
                if dice.random() < 0.6:
                    kilograms = dice.choice((5, 10, 25))
                    price = round(kilograms * dice.uniform(0.8, 2.4), 2)
                    rows.append(
                        row("sugar", f"{kilograms} kg", price, supplier=supplier, item=item, date=day, currency=currency,
                            where=f"prices/{at}.csv:{len(rows)}")
                    )  # fmt: skip
    dice.shuffle(rows)
    return tuple(rows)


def frame(rows: tuple[PriceRow, ...]) -> pd.DataFrame:
    made = pd.DataFrame([one.model_dump() for one in rows])
    made["per"] = made["price"] / made["pack"].str.removesuffix(" kg").astype(float)
    made["date"] = pd.to_datetime(made["date"])
    return made.sort_values(["date", "supplier", "item"])


@pytest.mark.parametrize("seed", range(4))
def test_changes_are_those_of_a_group_by(seed: int) -> None:
    rows = lists(seed)
    (found,) = history.of(shop(*rows, rates=RATES), DAY, ["sugar"])
    table = frame(rows)
    table["change"] = table.groupby(["supplier", "item"])["per"].pct_change()
    want = {
        (one.date.date(), one.supplier, one.item): (one.per, one.change)
        for one in table[table["date"] <= pd.Timestamp(DAY)].itertuples()
    }
    assert len(found.entries) == len(want)
    for entry in found.entries:
        per, change = want[entry.date, entry.supplier, entry.item]
        assert entry.per == pytest.approx(per, abs=1e-9)
        assert (entry.change is None) == pd.isna(change)
        assert entry.change is None or entry.change == pytest.approx(change, abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("prefer", ["cheapest", "newest"])
def test_what_was_paid_is_that_of_a_group_by(seed: int, prefer: str) -> None:
    rows = lists(seed)
    (found,) = history.of(shop(*rows, rates=RATES, prefer=prefer), DAY, ["sugar"])
    table = frame(rows)
    days = {*table["date"], *(pd.Timestamp(day) for day in RATES["EUR"] if pd.Timestamp(day) >= table["date"].min())}
    steps: list[tuple[date, str, float]] = []
    for day in sorted(one for one in days if one <= pd.Timestamp(DAY)):
        before = table[table["date"] <= day]
        newest = before.loc[before.groupby(["supplier", "item"])["date"].idxmax()].copy()
        rate = [worth for since, worth in RATES["EUR"].items() if pd.Timestamp(since) <= day][-1]
        newest["home"] = newest["per"].where(newest["currency"] == "USD", newest["per"] * rate)
        if prefer == "newest":
            newest = newest[newest["date"] == newest["date"].max()]
        best = newest.loc[newest["home"].idxmin()]
        if not steps or (best["supplier"], round(best["home"], 9)) != (steps[-1][1], round(steps[-1][2], 9)):
            steps.append((day.date(), best["supplier"], best["home"]))
    assert [(one.date, one.supplier) for one in found.paid] == [step[:2] for step in steps]
    assert [one.home for one in found.paid] == pytest.approx([step[2] for step in steps], abs=1e-9)
    first = steps[0][2]
    assert [one.since_first for one in found.paid] == pytest.approx([step[2] / first - 1 for step in steps], abs=1e-9)


def test_a_pack_is_compared_with_itself() -> None:
    rows = (
        row("sugar", "10 kg", 12.00, date=date(2026, 1, 5)),
        row("sugar", "25 kg", 25.00, date=date(2026, 1, 5)),
        row("sugar", "10 kg", 12.60, date=date(2026, 2, 5)),
        row("sugar", "20 kg", 21.00, date=date(2026, 2, 5)),
    )
    (found,) = history.of(shop(*rows), DAY, ["sugar"])
    told = {(one.date.month, one.pack): one.change for one in found.entries}
    assert told[2, "10 kg"] == pytest.approx(0.05)
    # A pack that it did not have is compared with the cheapest: 1.05 against 1.00 a kg.
    assert told[2, "20 kg"] == pytest.approx(0.05)
    assert told[1, "10 kg"] is None


def test_since_a_day_tells_what_held_on_it() -> None:
    rows = tuple(row("sugar", "10 kg", 10.0 + n, date=date(2026, n, 5)) for n in (1, 2, 3))
    (found,) = history.of(shop(*rows), date(2026, 3, 9), ["sugar"], date(2026, 2, 20))
    assert [one.date.month for one in found.entries] == [2, 3]
    assert [one.date.month for one in found.paid] == [2, 3]
    assert found.entries[0].change == pytest.approx(1 / 11)


def test_what_cannot_be_worked_out_is_not_made_up() -> None:
    rows = (
        row("sugar", "3 cups", 10.0, supplier="Odd"),
        row("sugar", "1 kg", 2.0, currency="GBP", supplier="Far"),
        row("tub", "500 ct", 100.0),
    )
    sugar, tub = history.of(shop(*rows), DAY, ["sugar", "tub"])
    odd = {one.supplier: one for one in sugar.entries}
    assert (odd["Odd"].per, odd["Odd"].home) == (None, None)
    assert (odd["Far"].per, odd["Far"].home) == (2.0, None)
    assert [(one.supplier, one.home) for one in sugar.paid] == [("", None)]
    assert (tub.unit, tub.paid[0].home) == ("piece", 0.2)
    assert history_picture.picture(sugar, "USD", "en_US", DAY) is None
    said = "\n".join(history.text(sugar, shop(*rows)))
    assert "not known" in said
    assert "nobody" in said
    with pytest.raises(ShopError, match="nothing is called 'suger'"):
        history.of(shop(*rows), DAY, ["suger"])


def test_counted_freight_is_in_what_was_paid_alone() -> None:
    known = {"Mill Lane": Supplier.model_validate({"name": "Mill Lane", "where": "", "freight": "10 %"})}
    model = shop(row("sugar", "1 kg", 2.0), suppliers=known, count_freight=True)
    (found,) = history.of(model, DAY, ["sugar"])
    assert found.entries[0].home == 2.0
    assert found.paid[0].home == pytest.approx(2.2)
    assert "a kg, with freight" in "\n".join(history.text(found, model))


# The picture -------------------------------------------------------------------------------------------------------


def drawn(model: ShopModel) -> history_picture.Picture:
    (found,) = history.of(model, DAY, ["sugar"])
    made = history_picture.picture(found, model.currency, model.locale, DAY)
    assert made is not None
    return made


@pytest.mark.parametrize("seed", range(4))
def test_what_was_paid_lies_on_the_lowest_line(seed: int) -> None:
    (found,) = history.of(shop(*lists(seed), rates=RATES), DAY, ["sugar"])
    lines = history_picture._lines(found)
    for paid in found.paid:
        stand = [[money for day, money in line.points if day <= paid.date][-1:] for line in lines]
        assert paid.home == pytest.approx(min(money for one in stand for money in one), abs=1e-9), paid.date


def test_a_price_in_another_currency_moves_with_the_rate() -> None:
    rates = {"EUR": {date(2025, 9, 15): 1.0, date(2026, 1, 20): 1.1}}
    rows = (
        row("sugar", "10 kg", 20.0, currency="EUR", supplier="South", date=date(2025, 9, 1)),
        row("sugar", "10 kg", 21.0, currency="EUR", supplier="South", date=date(2026, 1, 5)),
        row("sugar", "10 kg", 22.0, supplier="North", date=date(2026, 1, 5)),
    )
    (found,) = history.of(shop(*rows, rates=rates), DAY, ["sugar"])
    south = next(line for line in history_picture._lines(found) if line.name.startswith("South"))
    # Nobody knows what it cost here before the first rate; then 2.00, by the next list 2.10, by the next rate 2.31.
    assert south.points == (
        (date(2025, 9, 15), 2.0), (date(2026, 1, 5), pytest.approx(2.1)), (date(2026, 1, 20), pytest.approx(2.31)),
    )  # fmt: skip
    assert south.lists == {date(2025, 9, 1), date(2026, 1, 5)}
    assert [(one.date, one.supplier) for one in found.paid][-1] == (date(2026, 1, 20), "North")
    since = history.of(shop(*rows, rates=rates), DAY, ["sugar"], date(2026, 1, 10))[0]
    assert [one.date for one in since.rated] == [date(2026, 1, 20)]
    made = history_picture.picture(found, "USD", "en_US", DAY)
    assert made is not None
    assert any("without a mark: the rate" in text.text for text in made.texts)


@pytest.mark.parametrize(
    "rows",
    [
        (row("sugar", "1 kg", 2.0, date=DAY),),
        (row("sugar", "1 kg", 2.0), row("sugar", "1 kg", 2.0, date=date(2026, 1, 1))),
        (row("sugar", "1000 kg", 0.5), row("sugar", "1 g", 900.0, supplier="Dear")),
        tuple(row("sugar", "1 kg", 2.0 + n / 10, supplier=f"Supplier {n} & <Sons>", item="x" * 90) for n in range(9)),
        lists(1),
    ],
)
def test_everything_stands_inside_the_picture(rows: tuple[PriceRow, ...]) -> None:
    made = drawn(shop(*rows, rates=RATES))
    for text in made.texts:
        left, top, right, bottom = text.box
        assert 0 <= left <= right <= made.width + 1, text.text
        assert 0 <= top <= bottom <= made.height, text.text
    for shape in made.shapes:
        for x, y in (point for points in shape.path for point in points):
            assert 0 <= x <= made.width
            assert 0 <= y <= made.height
    names = sorted((text.box for text in made.texts if text.x > history_picture.RIGHT), key=lambda box: box[1])
    assert all(above[3] <= below[1] + 1e-6 for above, below in pairwise(names))


def test_lines_differ_in_more_than_colour() -> None:
    rows = tuple(row("sugar", "1 kg", 2.0 + n / 3, supplier=f"S{n}", date=date(2026, 1, 5)) for n in range(6))
    assert len(set(history_picture.DASHES)) == len(history_picture.INKS) == 6
    marks = {
        tuple((round(x - shape.path[0][0][0], 3), round(y - shape.path[0][0][1], 3)) for ((x, y),) in shape.path)
        for shape in drawn(shop(*rows)).shapes
        if shape.fill in history_picture.INKS and not shape.said
    }
    assert len(marks) >= 6


def test_it_is_written_as_svg_and_png(creamery: CommandLine, tmp_path: Path) -> None:
    example = str(tree("examples") / "quillfeather")
    said = creamery("prices", "history", example, "sugar", "pint tub", "--out", str(tmp_path))
    assert said.code == 0
    assert "+1.9%" in said.out
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "pint-tub-prices.png", "pint-tub-prices.svg", "sugar-prices.png", "sugar-prices.svg",
    ]  # fmt: skip
    assert "Cane sugar fine" in (tmp_path / "sugar-prices.svg").read_text(encoding="utf-8")
    again = creamery("prices", "history", example, "sugar", "--out", str(tmp_path))
    assert again.code == 1
    assert "exists" in again.err
    made = drawn(shop(row("sugar", "1 kg", 2.0)))
    assert svg.text(made) == svg.text(made)
    assert png.data(made).startswith(b"\x89PNG")


def test_json(creamery: CommandLine) -> None:
    example = str(tree("examples") / "quillfeather")
    (one,) = creamery("prices", "history", example, "sugar", "--json").json["results"]
    assert [price["price"] for price in one["prices"]] == [38.5, 22.4, 39.25, 21.9]
    assert one["paid"][-1]["supplier"] == "Barrow & Finch Provisioners"
    assert one["paid"][-1]["change"] == pytest.approx(39.25 / 38.5 - 1)
    days = replace(shop(), prices=())
    assert history.of(days, DAY, []) == []
