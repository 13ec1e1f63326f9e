"""Statistics of trials, what sampling takes from them, and what a difference costs."""

from __future__ import annotations

import math
import statistics
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing import trials
from costing.desk import Asked, Shop
from costing.kitchen.draws import Draws
from costing.trials import SHARES, SOAKED, ratios, student, summary

# Two-sided 95 % points of Student's t: Fisher and Yates, Statistical Tables (1963), table III, as every textbook has it.
TABLE = {1: 12.706, 2: 4.303, 3: 3.182, 4: 2.776, 5: 2.571, 9: 2.262, 10: 2.228, 20: 2.086, 30: 2.042, 120: 1.980}


@pytest.mark.parametrize(("freedom", "point"), TABLE.items())
def test_student_against_the_printed_table(freedom: int, point: float) -> None:
    assert round(student(freedom, 0.975), 3) == point


def test_interval_by_hand() -> None:
    # Mean 0.88, s = 0.01, n = 4: half width 3.182 x 0.01 / 2 (t of three degrees of freedom, printed table).
    values = (0.88 - 0.01 * math.sqrt(1.5), 0.88 + 0.01 * math.sqrt(1.5), 0.88, 0.88)
    said = summary(values)
    assert (said.count, said.mean) == (4, pytest.approx(0.88))
    assert said.deviation == pytest.approx(0.01)
    assert said.interval is not None
    assert said.interval == pytest.approx((0.88 - 0.01591, 0.88 + 0.01591), abs=1e-5)


def test_few_trials_say_little() -> None:
    one, two = summary((0.9,)), summary((0.9, 0.8))
    assert (one.deviation, one.interval, one.spreads) == (None, None, False)
    assert two.interval is None
    assert two.deviation == pytest.approx(statistics.stdev((0.9, 0.8)))
    with pytest.raises(ValueError, match="at least one"):
        summary(())


def test_an_interval_ends_where_nature_does() -> None:
    assert summary((0.999, 0.95, 0.999)).interval[1] == 1.0  # type: ignore[index]
    assert summary((1.001, 1.05, 1.001), SOAKED).interval[0] == 1.0  # type: ignore[index]
    assert summary((0.01, 0.2, 0.01)).interval[0] == 0.0  # type: ignore[index]


def test_the_plain_answer_takes_the_mean() -> None:
    said = summary((0.86, 0.88, 0.93))
    for draws in (None, Draws()):
        assert ratios(said, draws).tolist() == pytest.approx([0.89])


def test_one_trial_is_fixed_two_are_a_range() -> None:
    draws = Draws(4096)
    assert ratios(summary((0.9,)), draws).tolist() == [0.9]
    assert ratios(summary((0.9, 0.9, 0.9)), draws).tolist() == pytest.approx([0.9])
    two = ratios(summary((0.8, 0.9)), draws)
    assert two.shape == (4096,)
    assert 0.8 <= two.min() < 0.801
    assert 0.899 < two.max() <= 0.9
    # A uniform distribution of width w has the variance w^2 / 12.
    assert two.std() == pytest.approx(0.1 / math.sqrt(12), rel=1e-3)


def test_three_and_more_are_the_mean_with_its_error_by_student() -> None:
    said = summary((0.48, 0.5, 0.52, 0.49, 0.51))
    drawn = ratios(said, Draws(4096))
    assert said.interval is not None
    assert np.percentile(drawn, [2.5, 97.5]) == pytest.approx(said.interval, abs=2e-4)
    assert drawn.mean() == pytest.approx(said.mean, abs=1e-4)
    # Far narrower than the trials themselves once there are many.
    many = ratios(summary((0.48, 0.5, 0.52, 0.49, 0.51) * 40), Draws(4096))
    assert np.ptp(np.percentile(many, [5, 95])) < 0.004


@given(
    values=st.lists(st.floats(0.001, 1.0), min_size=1, max_size=9),
    grows=st.booleans(),
    seed=st.integers(0, 2**32),
)
def test_every_draw_is_physically_possible(values: list[float], grows: bool, seed: int) -> None:
    shares, possible = ([1 + v for v in values], SOAKED) if grows else (values, SHARES)
    drawn = ratios(summary(shares, possible), Draws(256, seed))
    assert np.isfinite(drawn).all()
    assert (drawn >= possible[0]).all()
    assert (drawn <= possible[1]).all()


def test_draws_are_the_same_every_time() -> None:
    said = summary((0.86, 0.88, 0.93))
    assert np.array_equal(ratios(said, Draws(64)), ratios(said, Draws(64)))


# On the example shop --------------------------------------------------------------------------------------------------


def shop_with(folder: Path, *rows: str) -> Shop:
    for old in (folder / "trials").glob("*.csv"):
        old.unlink()
    (folder / "trials").mkdir(exist_ok=True)
    lines = ("date,recipe,part,step,in,out,note", *rows)
    (folder / "trials" / "mine.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return Shop.open(folder)


def test_measurements_come_in_the_order_of_the_recipe(quillfeather: Path) -> None:
    shop = shop_with(
        quillfeather,
        "2026-02-03,quince,quince syrup,reduce,2 kg,1.05 kg,",
        "2026-02-02,quince,duck fat,render,900 g,360 g,",
        "2026-02-01,quince,quince syrup,6,2 kg,0.99 kg,",
    )
    fat, syrup = trials.measurements(shop.model)
    assert (fat.key, fat.verb, fat.summary.mean) == (("quince", "duck fat", 2), "render", pytest.approx(0.4))
    assert [one.date.day for one in syrup.trials] == [1, 3]
    assert (syrup.summary.low, syrup.summary.high) == (pytest.approx(0.495), pytest.approx(0.525))
    assert trials.measured(shop.model)["quince", "quince syrup", 6].tolist() == pytest.approx([0.51])


def test_what_was_measured_becomes_the_recipe(quillfeather: Path) -> None:
    shop = shop_with(quillfeather, "2026-02-02,quince,duck fat,render,900 g,360 g,")
    with_trials = shop.answer("quince", Asked(trials=True))
    (fat,) = (part for part in with_trials.parts if part.name == "duck fat")
    assert fat.out_g == pytest.approx(360.0)
    assert fat.steps[1].free_figure == "yields 40.0 %"


def test_a_difference_costs_what_two_answers_differ_by(quillfeather: Path) -> None:
    # The same by hand: write the measured yield into the recipe and ask again.
    shop = shop_with(quillfeather, "2026-02-02,quince,duck fat,render,900 g,360 g,")
    (found,) = trials.compare(shop, "quince")
    assert found.assumed == pytest.approx(0.42)
    recipe = quillfeather / "recipes" / "quince.yaml"
    recipe.write_text(recipe.read_text(encoding="utf-8").replace("38 % to 46 %", "40 %"), encoding="utf-8")
    by_hand = Shop.open(quillfeather)["quince"].cost().per_container.total
    assert (found.unit, found.cost_measured) == ("pint", pytest.approx(by_hand, abs=1e-9))
    assert found.difference == pytest.approx(by_hand - shop["quince"].cost().per_container.total, abs=1e-9)
    assert found.difference > 0  # type: ignore[operator]  # less fat out of the same skin


def test_trials_of_a_house_base_reach_its_flavours(quillfeather: Path) -> None:
    shop = shop_with(quillfeather, "2026-02-02,house-base,base,pasteurise,10 kg,9.5 kg,")
    (oolong,) = trials.compare(shop, "oolong")
    (base,) = trials.compare(shop, "house-base")
    assert trials.compare(shop, "plum") == ()
    assert (oolong.unit, base.unit) == ("pint", "kg")
    # Boiled down further, a kilogram holds more of what was bought: 98 % of the weight is assumed, 95 % measured.
    assert base.cost_measured / base.cost > 0.98 / 0.95 - 0.001  # type: ignore[operator]
    assert oolong.difference > 0  # type: ignore[operator]


def test_a_soaked_thing_is_weighed_alone(quillfeather: Path) -> None:
    shop = shop_with(quillfeather, "2026-02-02,prune,brandy syrup,soak,1.1 kg,1.43 kg,")
    (found,) = trials.compare(shop, "prune")
    assert found.assumed == pytest.approx(1.32)  # the middle of 28 % to 36 %
    (syrup,) = (one for one in shop.answer("prune", Asked(trials=True)).parts if one.name == "brandy syrup")
    assert syrup.steps[1].free_figure == "uptake 30.0 %"
    recipe = quillfeather / "recipes" / "prune.yaml"
    text = recipe.read_text(encoding="utf-8")
    step = "      - soak: {of: pitted prunes, uptake: 28 % to 36 %, hold: 24 h}\n"
    recipe.write_text(text.replace(step, f"{step}      - weigh: 1.5 kg\n"), encoding="utf-8")
    (weighed,) = trials.compare(Shop.open(quillfeather), "prune")
    # 1.1 kg weighed 1.5 kg in the end, whatever the trial says.
    assert weighed.assumed == pytest.approx(1.5 / 1.1, abs=1e-3)
    assert weighed.difference == pytest.approx(0.0, abs=1e-9)


def test_a_mean_that_cannot_be_is_told_where_it_stands(quillfeather: Path) -> None:
    # 120 % of their weight in liquid goes with the peppercorns: nothing strained out at all is less than the corns.
    shop = shop_with(quillfeather, "2026-02-02,custard,custard base,strain,7 kg,7 kg,")
    (found,) = trials.compare(shop, "custard")
    assert (found.cost_measured, found.difference) == (None, None)
    assert found.problem is not None
    assert (found.problem.level, found.problem.where) == ("warning", "trials/mine.csv:2")
    assert "custard base, step 4, cannot be" in found.problem.what


def test_a_spread_of_trials_becomes_a_range_of_cost(quillfeather: Path) -> None:
    rows = [f"2026-02-0{i},plum,plum juice,press,10 kg,{kg} kg," for i, kg in enumerate((6.0, 6.4, 6.2), 1)]
    shop = shop_with(quillfeather, *rows)
    answer = shop.answer("plum", Asked(trials=True, ranges=True))
    low, high = answer.ranges["per_container.total"]
    assert answer.cost is not None
    assert low < answer.cost.per_container.total < high
    (press,) = (one for one in answer.drivers if "trials" in one.what)
    assert press.share_pct > 10


def test_a_press_that_lets_fibre_along_is_settled_by_its_weight(quillfeather: Path) -> None:
    # Half of the fibre weighs more than a yield of nothing, where the kitchen tries out what the scale said.
    recipe = quillfeather / "recipes" / "plum.yaml"
    recipe.write_text(recipe.read_text(encoding="utf-8").replace("fibre: 5 %", "fibre: 50 %"), encoding="utf-8")
    shop = shop_with(quillfeather, "2026-02-01,plum,plum juice,press,10 kg,6.2 kg,")
    (juice,) = (one for one in shop.answer("plum", Asked(trials=True)).parts if one.name == "plum juice")
    assert juice.steps[3].free_figure == "yields 62.0 %"
    assert juice.steps[3].out_g == pytest.approx(0.62 * juice.steps[3].in_g)
