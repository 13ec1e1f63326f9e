"""The table of prices used, for the command line."""

from __future__ import annotations

import pytest

from costing.findings import ShopError
from costing.prices import compare, show
from costing.shop.models import Channel, Scoops
from tests.costing.prices.price_shops import DAY, row, shop


def test_used_price_and_rivals() -> None:
    model = shop(row("sugar", "1 kg", 2.0), row("sugar", "1 kg", 1.5, supplier="Corner"), row("tub", "500 ct", 115.0))
    sugar, tub, yolks, eggs = show.entries(model, DAY, ("sugar", "tub", "egg yolks", "eggs"))
    assert sugar["used"]["supplier"] == "Corner"
    assert sugar["used"]["per_kg"] == pytest.approx(1.5)
    assert [one["supplier"] for one in sugar["rivals"]] == ["Mill Lane"]
    assert tub["used"]["per_each"] == pytest.approx(0.23)
    assert yolks["from"] == {"eggs": 0.34}
    assert eggs["used"] is None
    text = show.text([sugar, tub, yolks, eggs], model)
    assert "$1.50" in text
    assert "$0.2300" in text
    assert "comes from: 34.0% of eggs" in text
    assert "no price" in text


def test_everything_is_shown_when_nothing_is_named() -> None:
    names = [entry["name"] for entry in show.entries(shop(), DAY)]
    assert names == ["cream", "sugar", "peaches", "eggs", "egg yolks", "water", "tub"]
    assert "free" in show.text(show.entries(shop(), DAY, ("water",)), shop())


def test_what_goes_out_with_a_scoop_has_a_price_too() -> None:
    window = Channel(name="window", where="shop.yaml:9", price=4.5, scoops=Scoops(70.0, 0.0, {"sugar cone": 1.0}))
    model = shop(row("sugar cone", "400 ct", 44.0), channels={"window": window})
    (cone,) = show.entries(model, DAY, ("sugar cone",))
    assert cone["used"]["per_each"] == pytest.approx(0.11)
    assert [one["name"] for one in compare.things(model, DAY, ["sugar cone"])] == ["sugar cone"]


def test_an_unknown_name_is_told_with_the_nearest() -> None:
    with pytest.raises(ShopError) as told:
        show.entries(shop(), DAY, ("suger", "zzz"))
    assert told.value.findings[0].mend == "did you mean 'sugar'?"
    assert len(told.value.findings) == 2
