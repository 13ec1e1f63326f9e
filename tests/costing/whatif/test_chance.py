"""The chance to meet a target, against distributions that are known."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest

from costing.desk import Shop
from costing.kitchen.draws import Draws
from costing.whatif.chance import chances, of_brew
from tests.costing.kitchen.builders import recipe
from tests.costing.whatif.small import PLAIN, channel, desk
from tests.costing.whatif.test_changing import quillfeather


@cache
def ranged() -> dict[str, Any]:
    """Labour of 20 to 40 min: a pint costs 1.30 + 1.00 + 1.6667 to 3.3333, uniform; 4.80 in the middle."""
    frozen = [*PLAIN["frozen"][:2], {"fill": {"container": "pint", "net": "250 g"}, "labour": "20 min to 40 min"}]
    return {**PLAIN, "frozen": frozen}


def shop(price: float, target: float, parts: dict[str, Any] | None = None) -> Shop:
    return desk(recipe(parts or ranged(), key="plain"), channels={"shop": channel("shop", price, target)})


@pytest.mark.parametrize(
    ("price", "target", "wanted"),
    [
        (9.60, 0.50, 50.0),  # met where a pint costs at most 4.80, the middle
        (8.7667, 0.50, 25.0),  # at most 4.38335, a quarter of the way
        (10.4333, 0.50, 75.0),
        (5.0, 0.50, 0.0),
        (20.0, 0.50, 100.0),
        (4.80, 0.0, 50.0),
    ],
)
def test_the_chance_is_the_share_of_the_range(price: float, target: float, wanted: float) -> None:
    (found,) = chances(shop(price, target), "plain")
    assert found.draws == 4096
    assert found.target_pct == pytest.approx(100 * target)
    assert found.chance_pct == pytest.approx(wanted, abs=0.05)


def test_without_a_range_it_is_certain() -> None:
    for price, wanted in ((9.60, 100.0), (9.59, 0.0)):
        (found,) = chances(shop(price, 0.50, PLAIN), "plain")
        assert (found.chance_pct, found.draws) == (wanted, 1)


def test_impossible_draws_are_left_out() -> None:
    # 200 % is the most that can be churned, the middle of the range.
    fill = {"fill": {"container": "pint", "net": "100 g"}}
    frozen = [PLAIN["frozen"][0], {"churn": {"overrun": "190 % to 210 %"}}, fill]
    single = shop(9.60, 0.5, {**PLAIN, "frozen": frozen})
    (found,) = chances(single, "plain", 1000)
    assert found.draws == pytest.approx(500, abs=1)
    assert found.chance_pct == 100.0


def test_fees_own_prices_and_channels_without_a_target() -> None:
    own = recipe(ranged(), key="plain", prices={"b": 9.60})
    channels = {"a": channel("a", 9.60), "b": channel("b", 1.00, 0.50), "c": channel("c", 10.0, 0.45, 0.04, 0.30)}
    found = {one.channel: one for one in chances(desk(own, channels=channels), "plain")}
    assert set(found) == {"b", "c"}
    assert found["b"].chance_pct == pytest.approx(50.0, abs=0.05)
    # 10 x (1 - 0.04 - 0.45) - 0.30 = 4.80
    assert found["c"].chance_pct == pytest.approx(50.0, abs=0.05)


def test_a_missing_price_has_no_chance_and_a_house_base_none() -> None:
    bare = shop(9.60, 0.5)
    bare.book._rows = {}  # type: ignore[assignment]
    (found,) = chances(bare, "plain", 16)
    assert found.chance_pct is None
    assert chances(quillfeather(), "house-base") == ()


def test_it_is_what_numpy_counts_in_the_example_shop() -> None:
    from costing import spread
    from costing.purchases import Purchasing

    example = quillfeather()
    brew = example.brew("prune", Draws(4096))
    cost = spread.cost_per_container(brew, example.model, Purchasing(example.pantry, example.book))
    stall = example.model.channels["market stall"]
    price = brew.recipe.prices.get("market stall", stall.price)
    left = price * (1 - stall.fee_share) - stall.fee_fixed - cost
    wanted = 100.0 * float(np.mean(left / price >= stall.target_margin))
    found = next(one for one in of_brew(example, brew) if one.channel == "market stall")
    assert found.chance_pct == pytest.approx(wanted)
    assert 5 < wanted < 95
