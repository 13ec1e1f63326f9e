"""Ranges through a whole recipe: percentiles, shares of the spread, sizes of a batch."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from costing import Shop, figures, spread
from costing.contents import by_piece, totals
from costing.desk import Asked
from costing.findings import ShopError
from costing.kitchen.draws import Draws
from costing.purchases import Purchasing
from nutrition.resources import tree
from tests.costing.kitchen.builders import brew

FLAVOURS = ("brown-butter", "coffee", "custard", "oolong", "pistachio", "plum", "prune", "quince")
SYRUP = [
    {"add": {"sugar": "500 g", "water": "900 g to 1100 g"}},
    {"cook": {"loses": "10 % to 20 %"}},
]


@cache
def quillfeather() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


def test_the_mean_of_a_sample_is_the_plain_answer_where_the_step_is_linear() -> None:
    sample, plain = brew({"syrup": SYRUP}, draws=Draws(4096)), brew({"syrup": SYRUP})
    assert sample.pot.grams().mean() == pytest.approx(plain.pot.grams()[0], rel=1e-4)
    assert sample.pot.grams().min() >= (500 + 900) * 0.80
    assert sample.pot.grams().max() <= (500 + 1100) * 0.90


def test_one_range_is_one_draw_however_often_it_is_used() -> None:
    batch = brew(
        {"syrup": SYRUP, "a": [{"add": {"syrup": "50 %"}}], "b": [{"add": {"a": "all", "syrup": "50 %"}}]},
        draws=Draws(64),
    )
    whole = next(part for part in batch.parts if part.name == "syrup").pot.grams()
    assert batch.pot.grams() == pytest.approx(whole)
    assert len(batch.draws.assumptions) == 2


def test_every_strip_of_a_range_is_drawn_once() -> None:
    draws = Draws(256)
    place = np.sort(draws.strips())
    assert (np.floor(place * 256) == np.arange(256)).all()


def test_shares_of_the_spread_of_a_known_function() -> None:
    # y = 3 a + b with a, b uniform and independent: shares 9/10 and 1/10 of the variance.
    draws = Draws(4096)
    a, b, idle = draws.strips(), draws.strips(), draws.strips()
    y = 3 * a + b
    assert spread._share(y, a) == pytest.approx(0.9, abs=0.02)
    assert spread._share(y, b) == pytest.approx(0.1, abs=0.02)
    assert spread._share(y, idle) == pytest.approx(0.0, abs=0.01)


def test_a_product_of_two_leaves_a_share_to_both_together() -> None:
    # y = (a - 1/2)(b - 1/2): neither alone moves the mean, so the first-order shares are nil.
    draws = Draws(4096)
    a, b = draws.strips(), draws.strips()
    assert spread._share((a - 0.5) * (b - 0.5), a) == pytest.approx(0.0, abs=0.02)


@pytest.mark.parametrize("key", FLAVOURS)
def test_what_a_pot_holds_is_the_sum_of_its_pieces(key: str) -> None:
    batch = quillfeather().brew(key, Draws(8))
    one = totals(batch.pot, quillfeather().pantry)
    two = by_piece(batch.pot, quillfeather().pantry)[1].sum(axis=0)
    assert np.allclose(one, two, rtol=1e-9, atol=1e-12, equal_nan=True)


@pytest.mark.parametrize("key", FLAVOURS)
def test_money_of_the_plain_answer_is_money_of_one_draw(key: str) -> None:
    desk = quillfeather()
    batch = desk.brew(key)
    purchasing = Purchasing(desk.pantry, desk.book)
    whole = figures.batch(batch, desk.model, purchasing.bought(batch.used), desk.book)
    answer = desk[key].cost()
    assert float(whole.total[0]) == pytest.approx(sum(line.cost for line in answer.lines), rel=1e-12)
    kinds = {
        "ingredients": "ingredient",
        "packaging": "packaging",
        "labour": "labour",
        "overhead": "overhead",
        "saved": "saved",
    }
    for name, kind in kinds.items():
        lines = sum(line.cost for line in answer.lines if line.kind == kind)
        assert getattr(answer.cost, name) == pytest.approx(lines, rel=1e-12, abs=1e-12)
    each = figures.per_container(whole, batch, desk.book)
    count = [float(f.count[0]) for f in batch.filled]
    assert sum(n * float(one.total[0]) for n, one in zip(count, each, strict=True)) == pytest.approx(
        float(whole.total[0])
    )


def test_ranges_of_the_sample_recipe() -> None:
    # Duck fat at 38 % to 46 % of 900 g: 180 g of it carry 180/342 to 180/414 of what the skin cost, 9 pints a batch.
    answer = quillfeather().answer("quince", Asked(ranges=True))
    skin = next(line.cost for line in answer.cost.lines if line.item == "duck skin")  # type: ignore[union-attr]
    low, high = answer.ranges["per_container.total"]
    assert high - low == pytest.approx(0.9 * skin / 9 * (180 / 342 - 180 / 414), rel=0.05)
    assert low < answer.cost.per_container.total < high  # type: ignore[union-attr]
    (driver,) = answer.drivers
    assert (driver.what, driver.where) == ("duck fat, render: yields 38 % to 46 %", "recipes/quince.yaml:6")
    assert driver.share_pct == pytest.approx(100.0, abs=1.0)
    assert answer.ranges == quillfeather()._answer("quince", Asked(ranges=True)).ranges, "seeded: it comes out again"


def test_label_values_have_ranges_and_the_plain_value_lies_within() -> None:
    answer = quillfeather().answer("prune", Asked(ranges=True))
    for line in answer.label.nutrients:  # type: ignore[union-attr]
        low, high = answer.ranges.get(f"nutrients.{line.key}.per_serving", (line.per_serving, line.per_serving))
        assert line.per_serving is not None
        assert low is not None
        assert high is not None
        assert low - 0.02 * abs(low) <= line.per_serving <= high + 0.02 * abs(high), line.key


def test_a_flavour_without_ranges_has_none() -> None:
    answer = quillfeather().answer("pistachio", Asked(ranges=True))
    assert (answer.ranges, answer.drivers, answer.impossible_share) == ({}, (), 0.0)


def test_impossible_draws_are_counted_and_left_out() -> None:
    # Half of the draws would boil off more water than there is.
    batch = brew(
        {"syrup": [{"add": {"sugar": "500 g", "water": "500 g"}}, {"cook": {"loses": "40 % to 60 %"}}]},
        draws=Draws(512),
    )
    assert batch.draws.possible.mean() == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize(("count", "container"), [(24, "pint"), (2, "pint"), (10, "")])
def test_size_for_is_the_smallest_that_fills(count: int, container: str) -> None:
    desk = quillfeather()
    size = desk.size_for("quince", count, container)
    assert desk.brew("quince", size=size).filled[0].count[0] >= count
    assert desk.brew("quince", size=size * 0.998).filled[0].count[0] < count


def test_size_for_what_is_not_filled() -> None:
    with pytest.raises(ShopError, match="it fills: pint"):
        quillfeather().size_for("quince", 3, "bucket")


def test_a_larger_batch_scales_all_but_what_sticks() -> None:
    desk = quillfeather()
    one, three = desk.brew("quince"), desk.brew("quince", size=3.0)
    for purchase, grams in one.used.items():
        assert three.used[purchase][0] == pytest.approx(3 * grams[0], rel=1e-12)
    frozen = {batch: next(s for s in batch.parts[-1].steps if s.verb == "churn") for batch in (one, three)}
    assert [float(frozen[batch].discarded_g[0]) for batch in (one, three)] == pytest.approx([2 * 90.0, 4 * 90.0])
    assert sum(use.seconds[0] for use in one.labour) == sum(use.seconds[0] for use in three.labour)


def test_the_ranges_of_a_container_that_is_one_serving_are_those_of_the_container(tmp_path: Path) -> None:
    # 21 CFR 101.9(b)(6): below 200 % of the reference amount the container is the serving, whatever 2/3 cup holds.
    shop = tmp_path / "shop"
    shutil.copytree(str(tree("examples") / "quillfeather"), shop)
    recipe = shop / "recipes" / "coffee.yaml"
    pints = "[{container: pint, count: 10}, {container: half-gallon}]"
    assert pints in recipe.read_text()
    recipe.write_text(recipe.read_text().replace(pints, "small cup"))
    answer = Shop.open(shop)["coffee"].answer(Asked(ranges=True))
    assert answer.label is not None
    assert answer.label.serving.columns == ("container",)
    assert answer.ranges["nutrients.total_fat.per_serving"] == answer.ranges["nutrients.total_fat.per_container"]
    low, high = answer.ranges["serving.g"]
    assert low <= answer.label.serving.grams <= high
