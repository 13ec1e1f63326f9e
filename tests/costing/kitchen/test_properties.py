"""What must hold for any recipe: nothing negative, no allergen gone, sizes, order, and samples."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costing.kitchen.bench import KitchenError
from costing.kitchen.draws import Draws
from costing.kitchen.materials import Pantry
from costing.kitchen.pot import MONEY, VALUE
from costing.kitchen.run import run
from costing.prices.book import PriceBook
from costing.purchases import Purchasing
from tests.costing.kitchen.builders import DAY, brew, recipe, shop
from tests.costing.kitchen.test_balance import recipes

if TYPE_CHECKING:
    from costing.kitchen.brew import Brew, StepRecord

SLOW = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)


def sized(parts: dict[str, Any], size: float) -> Brew:
    """A batch at another size."""
    made = recipe(parts)
    whole = shop(made)
    pantry = Pantry(whole.ingredients, whole.foods)
    return run(made, whole, pantry, Purchasing(pantry, PriceBook(whole, DAY)).pricing, Draws(), size=size)


def steps(batch: Brew) -> list[StepRecord]:
    return [step for part in batch.parts for step in part.steps]


# Signs and allergens ------------------------------------------------------------------------------------------------


@SLOW
@given(recipes())
def test_nothing_is_negative_and_no_verb_takes_an_allergen_away(parts: dict[str, Any]) -> None:
    try:
        batch = brew(parts)
    except KitchenError:
        return
    for step in steps(batch):
        for figure in (step.in_g, step.out_g, step.vapour_g, step.discarded_g, step.saved_g, step.out_ml):
            assert (figure >= -1e-9).all(), (step.verb, step.text)
        for money in (step.money_in, step.money_out, step.money_saved, step.lost_value):
            assert (money >= -1e-9).all(), (step.verb, step.text)
    entries = shop().ingredients
    for part in batch.parts:
        # what went into the part, itself or by way of an earlier one, has touched all that came out of it
        went_in = {use.source for use in batch.uses if use.into == part.name}
        for name in went_in & set(entries):
            assert set(entries[name].allergens) <= part.pot.touched, (part.name, name)
        for other in batch.parts:
            if other.name in went_in:
                assert other.pot.touched <= part.pot.touched
    for one in batch.saved:
        inside = {a for tag in one.pot.tags for a in entries[tag.ingredient].allergens}
        assert inside <= one.pot.touched


VERBS_THAT_TAKE_AWAY: list[dict[str, Any]] = [
    {"strain": {"out": ["pistachio"], "holding": "20 %"}},
    {"strain": {"out": {"pistachio": "60 %"}, "holding": "20 %", "save": "nuts"}},
    {"press": {"of": "pistachio", "yields": "5 %"}},
    {"trim": {"pistachio": "50 %"}},
    {"render": {"of": "pistachio", "yields": "20 %", "label": "oil", "purity": "99 %"}},
    {"lose": "50 %"},
    {"cook": {"how": "bake", "loses": "30 %"}},
    {"reduce": {"to": "70 %"}},
]


@pytest.mark.parametrize("step", VERBS_THAT_TAKE_AWAY, ids=lambda step: next(iter(step)))
def test_each_verb_leaves_every_allergen_behind(step: dict[str, Any]) -> None:
    # Milk and a tree nut go in; whatever is taken out, what stays has touched both. 21 USC 321(qq) exempts only
    # highly refined oils, and the shop's entry, not a verb, says what is one.
    batch = brew({"pot": [{"add": {"cream": "1 kg", "pistachio": "300 g"}}, step]})
    assert batch.pot.touched == {"milk", "tree nut: pistachio"}
    for one in batch.saved:
        assert "tree nut: pistachio" in one.pot.touched


# Size ---------------------------------------------------------------------------------------------------------------


def without_fixed_losses(parts: dict[str, Any]) -> dict[str, Any]:
    """The same recipe without what does not scale: a weight that sticks, the machine, whole containers."""

    def keeps(step: dict[str, Any]) -> bool:
        return "fill" not in step and not str(step.get("lose", "")).endswith("g")

    def change(step: dict[str, Any]) -> dict[str, Any]:
        return {"churn": {"overrun": step["churn"]["overrun"]}} if "churn" in step else step

    def clean(some: list[dict[str, Any]]) -> list[dict[str, Any]]:
        return [change(step) for step in some if keeps(step)]

    return {
        name: {**part, "steps": clean(part["steps"])} if isinstance(part, dict) else clean(part)
        for name, part in parts.items()
    }


@SLOW
@given(recipes(), st.floats(0.05, 40.0))
def test_any_size_scales_all_but_fixed_losses(parts: dict[str, Any], size: float) -> None:
    scaling = without_fixed_losses(parts)
    try:
        one = sized(scaling, 1.0)
    except KitchenError:
        return
    more = sized(scaling, size)
    for a, b in zip(steps(one), steps(more), strict=True):
        assert a.verb == b.verb
        for what in ("in_g", "out_g", "vapour_g", "discarded_g", "saved_g", "money_in", "money_out", "lost_value"):
            assert getattr(b, what)[0] == pytest.approx(getattr(a, what)[0] * size, rel=1e-8, abs=1e-8), (a.verb, what)
    assert more.pot.grams()[0] == pytest.approx(one.pot.grams()[0] * size, rel=1e-8)
    for ledger in (MONEY, VALUE):
        assert more.pot.ledger(ledger)[0] == pytest.approx(one.pot.ledger(ledger)[0] * size, rel=1e-8, abs=1e-9)
    for purchase, grams in one.used.items():
        assert more.used[purchase] == pytest.approx(grams * size, rel=1e-8, abs=1e-9)


@pytest.mark.parametrize("size", [0.3, 1.0, 2.0, 3.7])
def test_fixed_losses_stay_and_labour_goes_by_run(size: float) -> None:
    # 4 kg of milk take 3.89 L in a machine of 3 L that keeps 90 g a run; 30 g stick to the pot whatever its size.
    batch = sized(
        {
            "mix": [
                {"add": {"milk": "4 kg"}, "labour": "10 min"},
                {"lose": "30 g"},
                {"lose": "1 %"},
                {"churn": {"machine": "freezer", "overrun": "25 %"}, "labour": "6 min per run"},
                {"fill": {"container": "pint", "rest": "save"}, "labour": "20 s per container"},
            ]
        },
        size,
    )
    _, stuck, share, churned, _ = steps(batch)
    assert stuck.discarded_g[0] == pytest.approx(30.0)
    assert share.discarded_g[0] == pytest.approx(0.01 * (4000 * size - 30))
    runs = {0.3: 1, 1.0: 2, 2.0: 3, 3.7: 5}[size]
    assert churned.discarded_g[0] == pytest.approx(90.0 * runs)
    assert [use.seconds[0] for use in batch.labour] == [600.0, 360.0 * runs, 20.0 * batch.filled[0].count[0]]


# Order --------------------------------------------------------------------------------------------------------------

AMOUNTS = ["cream", "sugar", "milk", "milk powder", "rum", "water", "quince", "apple juice", "butter"]


@settings(max_examples=40, deadline=None)
@given(
    st.dictionaries(st.sampled_from(AMOUNTS), st.integers(10, 900).map(lambda n: f"{n} g"), min_size=1, max_size=6),
    st.dictionaries(st.sampled_from(["yolks", "mint"]), st.integers(1, 20).map(lambda n: f"{n} % of pot"), max_size=2),
    st.booleans(),
    st.randoms(use_true_random=False),
)
def test_order_inside_one_add_does_not_matter(
    weights: dict[str, str], shares: dict[str, str], tops_up: bool, chance: random.Random
) -> None:
    things = {**weights, **shares, **({"pistachio": "up to 9 kg"} if tops_up else {})}
    mixed = list(things.items())
    chance.shuffle(mixed)
    one, other = (brew({"pot": [{"add": dict(order)}, {"lose": "2 %"}]}) for order in (things.items(), mixed))
    for which in range(5):
        held, again = (
            {tag.ingredient: b.pot.mass[i, 0, which] for i, tag in enumerate(b.pot.tags)} for b in (one, other)
        )
        assert held == pytest.approx(again, rel=1e-12, abs=1e-12)
    assert one.pot.ledgers.sum(axis=0)[0] == pytest.approx(other.pot.ledgers.sum(axis=0)[0], rel=1e-12)
    assert one.pot.touched == other.pot.touched


# Samples ------------------------------------------------------------------------------------------------------------

LINEAR: list[dict[str, Any]] = [
    {"pot": [{"add": {"milk": "900 g to 1.1 kg", "sugar": "150 g to 250 g"}}]},
    {"pot": [{"add": {"milk": "1 kg"}}, {"lose": "2 % to 10 %"}]},
    {"pot": [{"add": {"milk": "1 kg", "sugar": "200 g"}}, {"cook": {"loses": "5 % to 25 %"}}]},
    {"pot": [{"add": {"milk": "1 kg"}}, {"reduce": {"to": "40 % to 80 %"}}]},
    {"pot": [{"add": {"quince": "1 kg"}}, {"trim": {"quince": "55 % to 70 %"}}]},
    {"pot": [{"add": {"bacon": "1 kg"}}, {"render": {"of": "bacon", "yields": "20 % to 38 %", "purity": "98 % to 100 %"}}]},
    {"pot": [{"add": {"quince": "1 kg"}}, {"press": {"of": "quince", "yields": "40 % to 60 %"}}]},
    {"pot": [{"add": {"mint": "100 g", "milk": "1 kg"}}, {"strain": {"out": ["mint"], "holding": "60 % to 140 %"}}]},
    {"pot": [{"add": {"milk": "5 kg"}}, {"churn": {"overrun": "20 % to 60 %", "leaves": "50 g to 150 g"}}]},
]  # fmt: skip


@pytest.mark.parametrize("parts", LINEAR, ids=lambda parts: next(iter(parts["pot"][-1])))
def test_the_mean_of_a_sample_is_the_plain_value_where_the_step_is_linear(parts: dict[str, Any]) -> None:
    plain, sample = brew(parts), brew(parts, draws=Draws(4096))
    assert sample.draws.possible.all()
    # 4,096 draws: the standard error of the mean of a range of +- 50 % is 0.45 %, and strips make it far smaller.
    for a, b in zip(steps(plain), steps(sample), strict=True):
        for what in ("in_g", "out_g", "vapour_g", "discarded_g", "out_ml"):
            assert float(getattr(b, what).mean()) == pytest.approx(float(getattr(a, what)[0]), rel=5e-4, abs=1e-6), what
    last = sample.parts[-1].steps[-1]
    assert float(np.ptp(last.out_g)) > 0 or float(np.ptp(last.out_ml)) > 0, "the range has travelled"
    assert sample.pot.ledger(MONEY).mean() == pytest.approx(plain.pot.ledger(MONEY)[0], rel=5e-4)


def test_one_range_used_twice_is_one_assumption() -> None:
    # Milk and cream weighed by two ranges are two assumptions; a part taken twice carries its own one along.
    parts = {
        "fat": [{"add": {"bacon": "1 kg"}}, {"render": {"of": "bacon", "yields": "20 % to 38 %"}}],
        "one": [{"add": {"fat": "50 %"}}],
        "two": [{"add": {"fat": "50 %", "one": "all"}}],
    }
    sample = brew(parts, draws=Draws(512))
    assert sample.pot.grams() == pytest.approx(sample.parts[0].pot.grams())


def test_money_that_nobody_knows_stays_with_what_it_was_paid_for() -> None:
    """Cream without a price beside pressed quince: what the cake carries is known, what the pot carries is not."""
    parts = {
        "base": [
            {"add": {"quince": "1 kg", "cream": "1 kg"}},
            {"press": {"of": "quince", "yields": "60 %", "save": "cake"}},
        ],
        "out": [{"add": {"base": "all"}}, {"churn": {"machine": "freezer", "overrun": "20 %"}}, {"fill": {"container": "pint"}}],
    }  # fmt: skip
    whole = shop(made := recipe(parts))
    whole = replace(whole, prices=tuple(row for row in whole.prices if row.ingredient != "cream"))
    pantry = Pantry(whole.ingredients, whole.foods)
    batch = run(made, whole, pantry, Purchasing(pantry, PriceBook(whole, DAY)).pricing, Draws())
    (cake,) = batch.saved
    known = brew(parts)
    assert cake.pot.ledger(MONEY) == pytest.approx(known.saved[0].pot.ledger(MONEY))
    assert np.isnan(batch.pot.ledger(MONEY)).all()
