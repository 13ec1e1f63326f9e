"""Mass and money balance after every step, for any recipe (the runner raises BalanceError otherwise)."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costing.kitchen.bench import KitchenError
from costing.kitchen.brew import Brew
from costing.kitchen.draws import Draws
from costing.kitchen.materials import Pantry
from costing.kitchen.pot import MONEY, VALUE
from costing.prices.book import PriceBook
from costing.purchases import Purchasing
from tests.costing.kitchen.builders import DAY, brew, shop

SOLIDS = ("quince", "raisins", "pistachio", "mint", "bacon")
LIQUIDS = ("cream", "milk", "sugar", "milk powder", "butter", "rum", "apple juice", "yolks", "whites", "water")


def percent(low: int, high: int) -> st.SearchStrategy[str]:
    single = st.integers(low, high).map(lambda n: f"{n} %")
    spread = st.tuples(st.integers(low, high), st.integers(0, 10)).map(
        lambda p: f"{p[0]} % to {min(p[0] + p[1], high)} %"
    )
    return st.one_of(single, spread)


def grams(low: int, high: int) -> st.SearchStrategy[str]:
    return st.integers(low, high).map(lambda n: f"{n} g")


def additions() -> st.SearchStrategy[dict[str, Any]]:
    return st.dictionaries(st.sampled_from(LIQUIDS), grams(20, 2000), min_size=1, max_size=5)


def cooking() -> st.SearchStrategy[dict[str, Any]]:
    return st.one_of(
        st.builds(
            lambda loses, hold, how: {"cook": {"loses": loses, **hold, **how}},
            percent(0, 25),
            st.sampled_from([{}, {"hold": "25 min"}]),
            st.sampled_from([{}, {"how": "bake"}, {"how": "simmer"}]),
        ),
        st.builds(
            lambda to, hold: {"reduce": {"to": to, **hold}}, percent(60, 99), st.sampled_from([{}, {"hold": "1 h"}])
        ),
        st.builds(lambda to: {"reduce": {"to": f"{to} % by volume"}}, st.integers(70, 99)),
        st.builds(lambda share: {"lose": share}, percent(0, 20)),
        st.builds(lambda share: {"lose": share}, grams(0, 30)),
    )


@st.composite
def recipes(draw: st.DrawFn) -> dict[str, Any]:
    """A flavour in three parts: something steeped or soaked and saved, a base, and the churned food."""
    solid = draw(st.sampled_from(SOLIDS))
    first: list[dict[str, Any]] = [{"add": {solid: draw(grams(50, 800)), **draw(additions())}}]
    if draw(st.booleans()):
        first.append({"trim": {solid: draw(percent(40, 100))}})
    if solid == "bacon" and draw(st.booleans()):
        save = draw(st.sampled_from([{}, {"save": "kept"}]))
        first.append({"render": {"of": "bacon", "yields": draw(percent(1, 25)), "label": "bacon fat", **save}})
    else:
        if draw(st.booleans()):
            first.append({"soak": {"of": solid, "uptake": draw(percent(0, 30))}})
        first += draw(st.lists(cooking(), max_size=2))
        out = draw(
            st.sampled_from(
                [
                    {"save": "kept"},
                    {},
                    {"save": "kept", "worth": "1.50 USD/kg"},
                    {"save": "kept", "worth": "0"},
                    {"save": "kept", "worth": "90 USD/kg"},
                ]
            )
        )
        share = draw(st.one_of(st.none(), percent(5, 100)))
        given_off = draw(st.sampled_from([{}, {"holding": "12 %"}, {"holding": "5 %", "extracts": "40 %"}]))
        first.append({"strain": {"out": {solid: share}, **given_off, **out}})
    first += draw(st.lists(cooking(), max_size=2))
    base = [{"add": draw(additions())}, *draw(st.lists(cooking(), max_size=2))]
    mix: dict[str, Any] = {"base": draw(st.sampled_from(["all", "80 %", "50 %"]))}
    mix["first"] = draw(st.sampled_from(["all", "50 %", "100 g"]))
    if draw(st.booleans()):
        mix["sugar"] = draw(st.sampled_from(["2 % of pot", "up to 6 kg", "120 g"]))
    frozen: list[dict[str, Any]] = [{"add": mix}, {"churn": {"machine": "freezer", "overrun": draw(percent(0, 60))}}]
    if any("save" in next(iter(step.values())) for step in first if "strain" in step or "render" in step):
        frozen.append({"fold": {"kept": draw(st.sampled_from(["all", "50 %", "5 %"]))}})
    rest = draw(st.sampled_from([{}, {"rest": "save"}]))
    frozen.append({"fill": {"container": draw(st.sampled_from(["pint", "cup"])), **rest}})
    return {
        "first": {"steps": first, "rest": draw(st.sampled_from(["save", "discard"]))},
        "base": {"steps": base, "rest": draw(st.sampled_from(["save", "discard"])), "label": "base"},
        "frozen": frozen,
    }


def check(batch: Brew) -> None:
    """Batch balance of mass, carried money and as-bought value; nothing negative; no allergen gone."""
    possible = batch.draws.possible
    whole = shop()
    purchasing = Purchasing(Pantry(whole.ingredients, whole.foods), PriceBook(whole, DAY))
    bought = purchasing.bought(batch.used)
    steps = [step for part in batch.parts for step in part.steps]
    into = sum(batch.used.values())
    out = batch.pot.grams() + sum(s.vapour_g + s.discarded_g for s in steps) + sum(s.pot.grams() for s in batch.saved)
    assert out[possible] == pytest.approx(np.broadcast_to(into, out.shape)[possible], rel=1e-9, abs=1e-9)
    paid = sum(one.cost for one in bought)
    carried = batch.pot.ledger(MONEY) + sum(one.pot.ledger(MONEY) for one in batch.saved)
    assert carried[possible] == pytest.approx(np.broadcast_to(paid, out.shape)[possible], rel=1e-9, abs=1e-9)
    unused = sum(one.cost - one.value_used for one in bought)
    value = (
        batch.pot.ledger(VALUE)
        + sum(one.pot.ledger(VALUE) for one in batch.saved)
        + sum(step.lost_value for step in steps)
        + unused
    )
    assert value[possible] == pytest.approx(np.broadcast_to(paid, out.shape)[possible], rel=1e-9, abs=1e-9)
    for pot in (batch.pot, *(one.pot for one in batch.saved), *(part.pot for part in batch.parts)):
        assert (pot.mass[:, possible] >= -1e-9).all()
        assert (pot.ledgers[:, possible] >= -1e-9).all()
        assert ((pot.kept >= 0) & (pot.kept <= 1)).all()
    for step in steps:
        assert step.in_g[possible] == pytest.approx(
            (step.out_g + step.vapour_g + step.discarded_g + step.saved_g)[possible], rel=1e-9, abs=1e-9
        )
        assert step.money_in[possible] == pytest.approx(
            (step.money_out + step.money_saved)[possible], rel=1e-9, abs=1e-9
        )


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(recipes())
def test_every_recipe_balances(parts: dict[str, Any]) -> None:
    try:
        batch = brew(parts)
    except KitchenError as problem:
        # What cannot be made must say so in words that name the step.
        assert problem.finding.where.startswith("recipes/")
        assert problem.finding.level == "error"
        return
    check(batch)
    touched = set()
    for name, _ in batch.used:
        touched |= set(shop().ingredients[name].allergens)
    reached = batch.pot.touched.union(*(one.pot.touched for one in batch.saved), *(p.pot.touched for p in batch.parts))
    assert reached == touched, "no verb removes an allergen"
    used_before = {a for part in ("first", "base") for a in next(p for p in batch.parts if p.name == part).pot.touched}
    assert used_before <= batch.pot.touched


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(recipes())
def test_draws_balance_too_and_agree_with_the_plain_answer(parts: dict[str, Any]) -> None:
    try:
        batch = brew(parts, draws=Draws(16))
        plain = brew(parts)
    except KitchenError:
        return
    check(batch)
    if "to" not in str(parts).replace("'to'", ""):  # no range written: every draw is the plain answer
        assert batch.pot.grams() == pytest.approx(np.full(16, plain.pot.grams()[0]), rel=1e-9)


@pytest.mark.parametrize("size", [0.5, 3.0])
def test_scaling_the_amounts_scales_the_batch(size: float) -> None:
    def parts(factor: float) -> dict[str, Any]:
        return {
            "base": [
                {"add": {"cream": f"{1000 * factor} g", "milk": f"{500 * factor} g", "sugar": f"{250 * factor} g"}},
                {"cook": {"loses": "3 %", "hold": "10 min"}},
                {"add": {"mint": f"{20 * factor} g"}},
                {"strain": {"out": ["mint"], "holding": "100 %", "extracts": "20 %"}},
            ],
            "out": [{"add": {"base": "all"}}, {"lose": "2 %"}],
        }

    one, more = brew(parts(1.0)), brew(parts(size))
    assert more.pot.grams()[0] == pytest.approx(one.pot.grams()[0] * size, rel=1e-12)
    assert more.pot.ledger(MONEY)[0] == pytest.approx(one.pot.ledger(MONEY)[0] * size, rel=1e-12)


def test_order_inside_one_add_does_not_matter() -> None:
    things = {"cream": "500 g", "sugar": "12 % of pot", "milk": "up to 1 kg", "milk powder": "3 % of pot"}
    one = brew({"base": [{"add": things}]})
    two = brew({"base": [{"add": dict(reversed(things.items()))}]})
    assert one.pot.grams()[0] == pytest.approx(1000.0)
    by_name = {tag.ingredient: w for tag, w in zip(one.pot.tags, one.pot.weights()[:, 0], strict=True)}
    assert by_name["sugar"] == pytest.approx(120.0)
    assert by_name["milk powder"] == pytest.approx(30.0)
    assert by_name["milk"] == pytest.approx(350.0)
    again = {tag.ingredient: w for tag, w in zip(two.pot.tags, two.pot.weights()[:, 0], strict=True)}
    assert again == pytest.approx(by_name)
