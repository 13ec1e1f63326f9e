"""Margins by hand: net = price - price x fee share - fixed fee; margin = net - cost."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from costing import margin
from costing.shop.models import Channel

MONEY = st.floats(0.01, 1e4)
SHARE = st.floats(0, 0.95)


def selling(price: float, **other: float) -> Channel:
    """A channel whose money has been read already."""
    return Channel.model_construct(
        **{
            "name": "scoop shop",
            "where": "shop.yaml:30",
            "price": price,
            "fee_share": 0.0,
            "fee_fixed": 0.0,
            "target_margin": None,
        }
        | other
    )


def test_a_scoop_shop_by_hand() -> None:
    # 11.00 with 2.9 % + 0.30: fees 0.619, net 10.381; cost 4.00 leaves 6.381, 58.009 % of price, 159.525 % of cost.
    # For 65 %: (4.00 + 0.30) / (1 - 0.029 - 0.65) = 4.30 / 0.321 = 13.3956
    found = margin.channel(selling(11.0, fee_share=0.029, fee_fixed=0.30, target_margin=0.65), 4.0, 12)
    assert found.fees == pytest.approx(0.619)
    assert found.margin == pytest.approx(6.381)
    assert found.margin_pct == pytest.approx(58.0090909)
    assert found.markup_pct == pytest.approx(159.525)
    assert found.target_pct == pytest.approx(65.0)
    assert found.price_for_target == pytest.approx(13.39563862)
    assert found.batch_margin == pytest.approx(76.572)
    assert (found.name, found.price, found.cost) == ("scoop shop", 11.0, 4.0)


def test_the_recipes_own_price_stands_before_the_channels() -> None:
    found = margin.channel(selling(7.25, target_margin=0.45), 4.4, 10, own_price=7.99)
    assert found.price == 7.99
    assert found.margin == pytest.approx(3.59)
    assert found.price_for_target == pytest.approx(8.0)


def test_a_channel_at_a_loss_and_one_without_a_target() -> None:
    found = margin.channel(selling(3.0), 4.0, 5)
    assert found.margin == pytest.approx(-1.0)
    assert found.margin_pct == pytest.approx(-100 / 3)
    assert found.batch_margin == pytest.approx(-5.0)
    assert found.target_pct is None
    assert found.price_for_target is None


def test_nothing_is_divided_by_nothing() -> None:
    found = margin.channel(selling(0.0), 0.0, 5)
    assert found.margin_pct is None
    assert found.markup_pct is None


@pytest.mark.parametrize(("fee", "target"), [(0.03, 0.97), (0.3, 0.7), (0.1, 0.9), (0.5, 0.9)])
def test_no_price_is_high_enough_where_fees_and_target_take_it_all(fee: float, target: float) -> None:
    assert margin.price_for_target(4.0, target, fee) is None


def test_what_costs_less_than_nothing_needs_no_price() -> None:
    assert margin.price_for_target(-1.0, 0.5) == 0.0


@given(cost=MONEY, target=SHARE, fee=st.floats(0, 0.5), fixed=st.floats(0, 5))
def test_the_price_for_a_target_meets_it(cost: float, target: float, fee: float, fixed: float) -> None:
    price = margin.price_for_target(cost, target, fee, fixed)
    if price is None:
        assert fee + target >= 1 - 1e-12
        return
    assume(1 - fee - target > 1e-6)
    found = margin.channel(selling(price, fee_share=fee, fee_fixed=fixed, target_margin=target), cost, 1)
    assert found.margin_pct == pytest.approx(100 * target, abs=1e-6)


@given(price=MONEY, cost=MONEY, fee=SHARE, fixed=st.floats(0, 5))
def test_price_is_fees_and_cost_and_margin(price: float, cost: float, fee: float, fixed: float) -> None:
    found = margin.channel(selling(price, fee_share=fee, fee_fixed=fixed), cost, 3)
    assert found.fees + found.cost + found.margin == pytest.approx(price, abs=1e-9)


def test_an_unknown_cost_gives_an_unknown_price() -> None:
    found = margin.price_for_target(float("nan"), 0.5)
    assert found is not None
    assert math.isnan(found), "unknown, never zero"
