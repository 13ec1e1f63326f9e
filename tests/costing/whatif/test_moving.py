"""Tornado and tables: worked out on paper."""

from __future__ import annotations

import pytest

from costing.desk import Shop
from costing.findings import ShopError
from costing.whatif import sides, tables, tornado
from tests.costing.kitchen.builders import recipe
from tests.costing.whatif.small import PLAIN, channel, desk
from tests.costing.whatif.test_changing import FLAVOURS, quillfeather


def bars(shop: Shop, by: float = 0.10, name: str = "") -> dict[str, tuple[float | None, float | None]]:
    return {bar.figure.target: (bar.down, bar.up) for bar in tornado.tornado(shop, "plain", by, name).bars}


def test_on_paper() -> None:
    found = bars(desk())
    assert found["price[shop]"] == pytest.approx((-0.96, 0.96))
    assert found["wage[kitchen]"] == pytest.approx((0.25, -0.25))
    assert found["cream"] == pytest.approx((0.12, -0.12))
    assert found["sugar"] == pytest.approx((0.01, -0.01))
    assert found["overhead per batch"] == pytest.approx((0.10, -0.10))
    assert found["labour of plain/frozen step 3"] == pytest.approx((0.25, -0.25))
    # 225 g a pint are still four of them; 275 g are three: 19.20 / 3 = 6.40
    assert found["net of plain/frozen step 3"] == pytest.approx((0.0, -1.60))
    assert found["overrun of plain/frozen step 2"] == (0.0, 0.0)
    assert "fees[shop]" not in found


def test_sorted_by_the_larger_effect() -> None:
    found = tornado.tornado(desk(), "plain", 0.2, "Grocer")
    assert found.channel == "grocer"
    assert found.margin == pytest.approx(0.72)
    sizes = [bar.size for bar in found.bars]
    assert sizes == sorted(sizes, reverse=True)
    assert "fees[grocer]" in {bar.figure.target for bar in found.bars}


def test_what_cannot_be_made_is_left_open() -> None:
    parts = {**PLAIN, "base": [*PLAIN["base"], {"cook": {"loses": "42 %"}}]}
    low, high = bars(desk(recipe(parts, key="plain")), 0.5)["loses of plain/base step 2"]
    assert low is not None
    assert high is None


def test_every_bar_can_be_asked_for_again_with_if() -> None:
    shop = quillfeather()
    for key in FLAVOURS[:3]:
        found = tornado.tornado(shop, key)
        targets = [bar.figure.target for bar in found.bars]
        assert len(set(targets)) == len(targets)
        for bar in found.bars:
            if bar.up is None:
                continue
            again = sides.costs(sides.with_changes(shop, (f"{bar.figure.target}=+10%",), (key,)), key)
            left = next(one.margin for one in again.channels if one.name == found.channel)
            assert left - found.margin == pytest.approx(bar.up, abs=1e-12)


def test_only_what_the_recipe_uses_is_moved() -> None:
    targets = [one.target for one in tornado.movable(quillfeather(), "quince", "grocer")]
    assert "quince" in targets
    assert "pitted prunes" not in targets
    assert "wage[pastry]" not in targets
    assert "leaves[batch freezer]" in targets
    assert not any("temperature" in one or "hold " in one for one in targets)


@pytest.mark.parametrize("by", [0.0, -0.1, 0.91])
def test_shares_that_cannot_be(by: float) -> None:
    with pytest.raises(ValueError, match="cannot move by"):
        tornado.tornado(desk(), "plain", by)


def test_channels_that_cannot_be() -> None:
    with pytest.raises(ShopError, match=r"no channel called 'shp' sells plain .*did you mean 'shop'"):
        tornado.tornado(desk(), "plain", 0.1, "shp")
    with pytest.raises(ShopError, match="no channel sells plain"):
        tornado.tornado(desk(channels={}), "plain")


# Tables -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "target", "values"),
    [
        ("cream=-20%..+20%/5", "cream", ("-20%", "-10%", "+0%", "+10%", "+20%")),
        ("cream = -20 % .. +20 % / 3", "cream", ("-20%", "+0%", "+20%")),
        ("cream=0..+10%/2", "cream", ("+0%", "+10%")),
        ("price[grocer]=6.99..8.99/5", "price[grocer]", ("6.99", "7.49", "7.99", "8.49", "8.99")),
        ("overrun=25%..35%/3", "overrun", ("25%", "30%", "35%")),
        ("overrun=25%..30%/3", "overrun", ("25%", "27.5%", "30%")),
        ("cream=5..6.5 USD/kg/4", "cream", ("5 USD/kg", "5.50 USD/kg", "6 USD/kg", "6.50 USD/kg")),
        ("net=1..2 kg/4", "net", ("1 kg", "1.333333 kg", "1.666667 kg", "2 kg")),
    ],
)
def test_axes(text: str, target: str, values: tuple[str, ...]) -> None:
    assert tables.axis(text) == tables.Axis(target, values)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("cream", "no row of values"),
        ("cream=1..2", "no row of values"),
        ("=1..2/3", "no row of values"),
        ("cream=1-2/3", "no row of values"),
        ("cream=1..2/x", "no row of values"),
        ("cream=+1..+2/3", "no row of values"),
        ("cream=a..b/3", "no row of values"),
        ("cream=1..2/1", "too few"),
        ("cream=1..2/26", "too many"),
        ("cream=1..2/99999999", "too many"),
        ("cream=2..1/3", "does not rise"),
        ("cream=1..1/3", "does not rise"),
        ("cream=1 USD/kg..2 USD/lb/3", "two units"),
        ("x" * 400 + "=1..2/3", "no row of values"),
    ],
)
def test_axes_that_cannot_be(text: str, what: str) -> None:
    with pytest.raises(ShopError, match=what):
        tables.axis(text)


def test_one_or_two_figures() -> None:
    with pytest.raises(ShopError, match="3 figures make no table"):
        tables.axes(["a=1..2/2", "b=1..2/2", "c=1..2/2"])
    with pytest.raises(ShopError, match="both sides"):
        tables.axes(["a=1..2/2", "A=1..3/2"])


def test_a_table_on_paper() -> None:
    over = tables.axes(["cream=-50%..+50%/3", "price[grocer]=6..7/2"])
    found = tables.table(desk(), "plain", over)
    assert (found.channel, found.target_pct) == ("grocer", pytest.approx(10.0))
    assert [cell.values for cell in found.cells[:3]] == [("-50%", "6"), ("-50%", "7"), ("+0%", "6")]
    assert [cell.cost for cell in found.cells] == pytest.approx([4.20, 4.20, 4.80, 4.80, 5.40, 5.40])
    assert [cell.margin for cell in found.cells] == pytest.approx([1.32, 2.29, 0.72, 1.69, 0.12, 1.09])
    assert found.cells[0].margin_pct == pytest.approx(22.0)


def test_a_table_over_one_figure_and_what_cannot_be_made() -> None:
    found = tables.table(desk(), "plain", tables.axes(["overrun=0%..300%/4"]))
    assert found.channel == "shop"
    assert [cell.margin for cell in found.cells] == [pytest.approx(4.80), pytest.approx(4.80), None, None]
    assert found.cells[2].cost is None


def test_what_nobody_knows_is_told_before_anything_is_made() -> None:
    with pytest.raises(ShopError, match="nothing is called 'creme'"):
        tables.table(desk(), "plain", tables.axes(["creme=-50%..+50%/3"]))
    with pytest.raises(ShopError, match="does not say per what"):
        tables.table(desk(), "plain", tables.axes(["cream=1..5/3"]))


def test_a_channel_that_sells_another_container_has_no_margin_here() -> None:
    cups = channel("cups", 9.60, 0.5).model_copy(update={"container": "cup"})
    shop = desk(channels={"cups": cups, "shop": channel("shop", 9.60, 0.5)})
    assert tornado.tornado(shop, "plain").channel == "shop"
    with pytest.raises(ShopError, match="no channel called 'cups' sells plain"):
        tables.table(shop, "plain", tables.axes(["price[cups]=1..2/2"]))
    found = sides.compare(shop, "plain", ("cream=+25%",))
    assert set(found.after.new_price) == set(found.after.chance) == {"shop"}


# Side by side -----------------------------------------------------------------------------------------------------


def test_sides_on_paper() -> None:
    found = sides.compare(desk(), "plain", ("cream=+25%", "wage[kitchen]=24", "price[shop]=10"))
    assert found.changes == ("cream=+25%", "wage[kitchen]=24", "price[shop]=10")
    assert found.before.cost.per_container.total == pytest.approx(4.80)
    assert found.after.cost.per_container.total == pytest.approx(5.60)
    assert [one.difference for one in found.alone] == pytest.approx([0.30, 0.50, 0.0])
    assert (found.before.written["shop"], found.after.written["shop"]) == (9.60, 10.0)
    assert str(found.after.new_price["shop"]) == "11.20"
    assert (found.before.chance["shop"].chance_pct, found.after.chance["shop"].chance_pct) == (100.0, 0.0)


def test_one_change_is_not_told_twice_and_chances_can_be_left_out() -> None:
    found = sides.compare(desk(), "plain", ("cream=+25%",), chances=False)
    assert (found.alone, found.before.chance, found.after.chance) == ((), {}, {})
    assert found.before.channel("nobody") is None


def test_a_change_that_only_works_with_another() -> None:
    """Cream is 57 % water, so of the mix with a fifth of sugar no half can boil off; with next to no sugar it can."""
    parts = {**PLAIN, "base": [*PLAIN["base"], {"cook": {"loses": "20 %"}}]}
    shop = desk(recipe(parts, key="plain"))
    found = sides.compare(shop, "plain", ("loses=50%", "sugar in base=10 g"), chances=False)
    assert found.alone[0] == sides.Alone("loses=50%", None, None)
    assert found.alone[1].difference is not None
    with pytest.raises(ShopError, match=r"recipes/plain\.yaml"):
        sides.compare(shop, "plain", ("loses=50%",))
