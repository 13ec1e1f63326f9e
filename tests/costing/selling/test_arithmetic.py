"""Chain, markup, scoops, unpaid containers, stalls and break-even by hand, and what must hold for any figures.

The definitions are those of retail arithmetic and of cost-volume-profit analysis as every textbook of managerial
accounting has them: margin = (price - cost) / price, markup = (price - cost) / cost, contribution = price - variable
costs, break-even volume = fixed costs / contribution of one, and for a mix the weighted mean of the contributions.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from costing import margin
from costing.selling import break_even, chain, machine, ratios, scoops, stall, unpaid
from costing.selling.terms import Terms

MONEY = st.floats(0.01, 1e4)
SHARE = st.floats(0, 0.9)
HANDS = st.lists(st.floats(0, 0.9), max_size=5).map(tuple)


def test_a_chain_of_two_hands_by_hand() -> None:
    # 8.99 on the shelf; the grocer keeps 35 % of it and pays 5.8435; the distributor keeps 25 % of that.
    assert chain.maker_price(8.99, (0.25, 0.35)) == pytest.approx(4.382625, abs=1e-12)
    assert chain.prices(4.382625, (0.25, 0.35)) == pytest.approx((5.8435, 8.99), abs=1e-12)
    paid = (4.382625, 5.8435)
    sold = chain.prices(4.382625, (0.25, 0.35))
    kept = [(price - cost) / price for cost, price in zip(paid, sold, strict=True)]
    assert kept == pytest.approx([0.25, 0.35])


def test_margins_of_a_chain_do_not_add_up() -> None:
    # The usual slip: 25 % and 35 % are not 60 % of the shelf price. 0.75 x 0.65 = 0.4875 reaches the maker, not 0.40.
    assert chain.kept((0.25, 0.35)) == pytest.approx(0.4875)


@given(price=MONEY, hands=HANDS)
def test_there_and_back_along_any_chain(price: float, hands: tuple[float, ...]) -> None:
    assert chain.shelf_price(chain.maker_price(price, hands), hands) == pytest.approx(price, rel=1e-9)
    last = chain.prices(price, hands)[-1] if hands else price
    assert last == pytest.approx(chain.shelf_price(price, hands), rel=1e-9)


@given(
    cost=MONEY,
    target=SHARE,
    share=st.floats(0, 0.5),
    fixed=st.floats(0, 5),
    extras=st.floats(0, 1),
    day=st.floats(0, 10),
    paid=st.floats(0.05, 1),
    hands=HANDS,
)
def test_the_shelf_price_for_a_target_meets_it_through_any_chain(
    cost: float,
    target: float,
    share: float,
    fixed: float,
    extras: float,
    day: float,
    paid: float,
    hands: tuple[float, ...],
) -> None:
    terms = Terms(share, fixed, extras, day, paid, chain.kept(hands))
    assume(terms.left(target) > 1e-3)
    wanted = terms.price_for_target(cost, target)
    assert wanted is not None
    price = terms.price(chain.shelf_price(wanted, hands))
    assert terms.margin(price, cost) / price == pytest.approx(target, abs=1e-6)


@pytest.mark.parametrize(("share", "target"), [(0.03, 0.97), (0.5, 0.6)])
def test_no_price_is_high_enough_where_nothing_is_left_for_the_cost(share: float, target: float) -> None:
    assert Terms(share=share).price_for_target(4.0, target) is None


def test_margin_and_markup_are_the_same_money() -> None:
    # Bought at 6.50 and sold at 10.00: 35 % margin, 53.846 % markup.
    assert ratios.margin_pct(3.5, 10.0) == pytest.approx(35.0)
    assert ratios.markup_pct(3.5, 6.5) == pytest.approx(53.84615385)
    assert ratios.markup_from_margin(0.35) == pytest.approx(0.5384615385)
    assert ratios.margin_pct(1.0, 0.0) is None
    assert ratios.markup_pct(1.0, 0.0) is None


@given(st.floats(0, 0.99))
def test_markup_and_margin_turn_into_each_other(share: float) -> None:
    assert ratios.margin_from_markup(ratios.markup_from_margin(share)) == pytest.approx(share, abs=1e-12)


def test_a_tub_by_hand() -> None:
    # 5 kg, 5 % waste, 70 g: 4,750 / 70 = 67.857 scoops.
    assert scoops.scoops(5000.0, 70.0, 0.05) == pytest.approx(67.85714286)


def test_returns_and_samples_by_hand() -> None:
    # Of 100 pints at 4.00 each 3 come back and 2 are given away: 400 / 95 = 4.210526 for each that is paid for.
    share = unpaid.paid(0.03, 0.02)
    assert share == 0.95
    assert 4.0 + unpaid.burden(4.0, share) == pytest.approx(400 / 95)
    # 100 pints out at 10.00 bring 950; less 400 is 550, or 5.50 for each going out.
    assert Terms(paid=share).margin(10.0, 4.0) * share == pytest.approx(5.50)


def test_what_nobody_knows_of_a_cost_leaves_the_fees_known() -> None:
    assert Terms(share=0.1, fixed=0.3).fees(10.0, math.nan) == pytest.approx(1.3)
    assert math.isnan(Terms(share=0.1, paid=0.9).fees(10.0, math.nan))


def test_a_market_day_by_hand() -> None:
    # 60 a day over 80 pints is 0.75 each; at a contribution of 5.00 the day is paid from the 12th pint on.
    assert stall.share_of_fee(60.0, 80.0) == 0.75
    assert stall.pays_from(60.0, 5.0) == 12.0
    assert stall.pays_from(60.0, 0.0) is None
    assert stall.pays_from(0.0, -1.0) == 0.0


@given(fee=st.floats(0.01, 1e3), contribution=MONEY)
def test_the_day_that_is_just_paid_leaves_nothing(fee: float, contribution: float) -> None:
    sold = stall.pays_from(fee, contribution)
    assert sold is not None
    assert sold * contribution - fee == pytest.approx(0.0, abs=1e-6)


def test_break_even_by_hand() -> None:
    # 1,825 of fixed costs. At 5.00 left of a pint 365 pints. Sold 60 % at 5.00 and 40 % at 2.50 the weighted mean is
    # 4.00, and 456.25 pints are needed: 273.75 x 5.00 + 182.50 x 2.50 = 1,368.75 + 456.25 = 1,825.
    assert break_even.volume(1825.0, 5.0) == 365.0
    mean = break_even.mean((5.0, 2.5), (0.6, 0.4))
    assert mean == pytest.approx(4.0)
    volume = break_even.volume(1825.0, mean)
    assert volume == pytest.approx(456.25)
    assert volume is not None
    assert 0.6 * volume * 5.0 + 0.4 * volume * 2.5 == pytest.approx(1825.0)
    assert break_even.whole(456.25) == 457


@pytest.mark.parametrize("left", [0.0, -1.0, math.nan, -math.inf, 5e-324])
def test_no_number_is_enough_where_nothing_is_left(left: float) -> None:
    assert break_even.volume(1825.0, left) is None


def test_without_fixed_costs_nothing_has_to_be_sold() -> None:
    assert break_even.volume(0.0, -1.0) == 0.0


@given(fixed=st.floats(0.01, 1e6), left=st.floats(0.001, 1e4))
def test_the_break_even_volume_leaves_no_profit(fixed: float, left: float) -> None:
    volume = break_even.volume(fixed, left)
    assert volume is not None
    assert break_even.profit(volume, left, fixed) == pytest.approx(0.0, abs=1e-9 * fixed)
    assert break_even.profit(break_even.whole(volume), left, fixed) >= -1e-6 * fixed
    assert break_even.profit(break_even.whole(volume) - 1, left, fixed) < 1e-6 * fixed


@given(st.lists(st.tuples(st.floats(0.5, 50), st.floats(0.01, 1)), min_size=1, max_size=5), st.floats(1, 1e5))
def test_any_mix_breaks_even_at_its_volume(mix: list[tuple[float, float]], fixed: float) -> None:
    values, shares = zip(*mix, strict=True)
    volume = break_even.volume(fixed, break_even.mean(values, shares))
    assert volume is not None
    parts = [volume * share / sum(shares) for share in shares]
    assert sum(n * left for n, left in zip(parts, values, strict=True)) == pytest.approx(fixed)


def test_an_hour_of_the_machine_by_hand() -> None:
    # 14 pints at 6.00 out of two runs of 22 min: 84.00 / (44/60 h) = 114.545 an hour.
    assert machine.per_hour(84.0, 44 / 60) == pytest.approx(114.5454545)
    assert machine.per_hour(84.0, None) is None


def test_plain_terms_are_what_margins_have_always_been() -> None:
    terms = Terms(share=0.029, fixed=0.30)
    assert terms.margin(11.0, 4.0) == margin.margin(11.0, 4.0, 0.029, 0.30)
    assert terms.price_for_target(4.0, 0.65) == margin.price_for_target(4.0, 0.65, 0.029, 0.30)
