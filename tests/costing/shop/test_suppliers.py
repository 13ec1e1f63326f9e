"""What suppliers ask beside their prices, and dated rates: how they are read, and what is said of slips."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from costing.digits import UnreadableError
from costing.findings import ShopError
from costing.prices.rates import worth
from costing.shop import reader
from costing.shop.suppliers import Freight, Supplier, every, freight
from costing.whatif.changing import changed
from tests.costing.shop.conftest import Folder

SHOP = "shop.yaml"


def supplier(**entries: str) -> Supplier:
    return Supplier.model_validate({"name": "North", "where": "shop.yaml:9"} | entries, context={"currency": "USD"})


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("18 per order", Freight(18.0, 0.0)),
        ("18.50 USD per order", Freight(18.5, 0.0)),
        ("18/order", Freight(18.0, 0.0)),
        ("4 %", Freight(0.0, 0.04)),
        ("4 % + 12 per delivery", Freight(12.0, 0.04)),
        ("12 per order + 4 %", Freight(12.0, 0.04)),
        ("none", Freight(0.0, 0.0)),
        ("0", Freight(0.0, 0.0)),
    ],
)
def test_freight_is_read(text: str, found: Freight) -> None:
    assert freight(text, "USD") == found


@pytest.mark.parametrize(
    "text", ["18", "18 EUR per order", "-3 per order", "4 % + 4 %", "3 per order + 2 per order", "110 %", "soon", ""]
)
def test_what_is_no_freight_is_refused(text: str) -> None:
    with pytest.raises(UnreadableError):
        freight(text, "USD")


@pytest.mark.parametrize(
    ("text", "days"), [("2 weeks", 14), ("week", 7), ("every 10 days", 10), ("fortnight", 14), ("month", 30.4375)]
)
def test_how_often(text: str, days: float) -> None:
    assert every(text) == days


@pytest.mark.parametrize("text", ["often", "0 days", "2", "99 months x"])
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(UnreadableError):
        every(text)


@pytest.mark.parametrize(
    ("entries", "share", "most"),
    [
        ({"freight": "18 per order", "usual order": "240"}, 0.075, 0.075),
        # By hand: (4 % of 400 + 12) / 400.
        ({"freight": "4 % + 12 per order", "usual order": "400"}, 0.07, 0.07),
        ({"freight": "18 per order", "usual order": "240", "free from": "200"}, 0.0, 0.0),
        ({"freight": "18 per order", "usual order": "240", "free from": "300", "minimum order": "150"}, 0.075, 0.12),
        ({"freight": "18 per order", "minimum order": "150"}, None, 0.12),
        ({"freight": "18 per order"}, None, None),
        ({"freight": "4 %"}, 0.04, 0.04),
        ({"freight": "4 %", "free from": "500"}, None, None),
        ({"freight": "none"}, 0.0, 0.0),
        ({"minimum order": "150"}, None, None),
    ],
)
def test_freight_over_a_usual_order(entries: dict[str, str], share: float | None, most: float | None) -> None:
    one = supplier(**entries)
    assert one.share == (None if share is None else pytest.approx(share, abs=1e-12))
    assert one.most == (None if most is None else pytest.approx(most, abs=1e-12))


def test_freight_a_month() -> None:
    one = supplier(freight="18 per order", **{"usual order": "240", "order every": "2 weeks"})
    assert one.monthly == pytest.approx(18 * 365.25 / 12 / 14)
    assert supplier(freight="18 per order").monthly is None


WELL = """suppliers:
  Northdale Dairy: {freight: 18 per order, usual order: 240, minimum order: 150, order every: 2 weeks}
"""


def test_they_are_read_and_checked(folder: Folder) -> None:
    folder.write(SHOP, folder.text(SHOP) + WELL)
    model, found = reader.read(folder.path)
    assert model is not None, found
    assert model.suppliers["Northdale Dairy"].share == pytest.approx(0.075)
    assert "no price list is of a supplier called 'Northdale Dairy'" in " ".join(one.what for one in found)


@pytest.mark.parametrize(
    ("old", "new", "what", "mend"),
    [
        ("18 per order", "18", "does not say for what it is", "18 per order"),
        ("240", "0", "an order of nothing is no order", "take the line out"),
        ("2 weeks", "often", "not how often something is ordered", "2 weeks"),
        ("freight:", "frieght:", "takes no 'frieght'", "did you mean 'freight'?"),
        ("240", "240 EUR", "is not in USD", "write it in USD"),
        ("{freight: 18", "[x]\n  B: {freight: 18", "must be entries with names", ""),
    ],
)
def test_slips_are_told_by_their_line(folder: Folder, old: str, new: str, what: str, mend: str) -> None:
    folder.write(SHOP, folder.text(SHOP) + WELL.replace(old, new, 1))
    one = folder.only()
    assert what in one.what
    assert mend in one.mend
    assert one.where.startswith("shop.yaml:")


def test_dated_rates(folder: Folder) -> None:
    folder.edit(SHOP, "# rates: {EUR: 1.08}", "rates: {EUR: {2026-02-15: 1.10, 2026-01-01: 1.08}, CAD: 0.73}")
    model, found = reader.read(folder.path)
    assert model is not None, found
    days = [date(2025, 12, 31), date(2026, 1, 1), date(2026, 2, 14), date(2026, 2, 15), date(2030, 1, 1)]
    assert [worth(model.rates, "EUR", day) for day in days] == [None, 1.08, 1.08, 1.10, 1.10]
    assert worth(model.rates, "CAD", days[0]) == 0.73
    assert worth(model.rates, "GBP", days[0]) is None


@pytest.mark.parametrize(
    ("new", "what"),
    [
        ("{EUR: {2026-13-01: 1.08}}", "a day that does not exist"),
        ("{EUR: {soon: 1.08}}", "is not a date"),
        ("{EUR: {2026-01-01: 0}}", "absurd"),
        ("{EUR: {2026-01-01: [1.08]}}", "is no number"),
        ("{EUR: [1.08]}", "is no number"),
    ],
)
def test_rates_that_cannot_be(folder: Folder, new: str, what: str) -> None:
    folder.edit(SHOP, "# rates: {EUR: 1.08}", f"rates: {new}")
    assert what in folder.only().what


def test_what_if_a_rate_or_freight_were_another(folder: Folder) -> None:
    folder.edit(SHOP, "# rates: {EUR: 1.08}", "rates: {EUR: {2026-01-01: 1.08, 2026-02-15: 1.10}}")
    folder.write(SHOP, folder.text(SHOP) + WELL)
    model, _ = reader.read(folder.path)
    assert model is not None
    day = date(2026, 2, 20)
    other = changed(model, ("rate[EUR]=+10%", "freight[northdale dairy]=24 per order + 1 %"), day=day)
    assert worth(other.rates, "EUR", day) == pytest.approx(1.21)
    assert other.suppliers["Northdale Dairy"].freight == Freight(24.0, 0.01)
    assert changed(model, ("freight=+50%",), day=day).suppliers["Northdale Dairy"].freight == Freight(27.0, 0.0)
    bare = changed(model, ("freight=4 %",), day=day).suppliers["Northdale Dairy"]
    alone = replace(model, suppliers={bare.name: bare.model_copy(update={"usual_order": None})})
    with pytest.raises(ShopError, match="over which order it falls"):
        changed(alone, ("freight=24 per order",), day=day)
    with pytest.raises(ShopError, match="has no rate on 2025-01-01"):
        changed(model, ("rate[EUR]=+10%",), day=date(2025, 1, 1))
    with pytest.raises(ShopError, match="no supplier with freight called 'Southdale'"):
        changed(model, ("freight[Southdale]=24 per order",), day=day)
