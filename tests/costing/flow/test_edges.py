"""The graph of a batch: every gram and every cent, from purchases to where it ends."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from costing.desk import Asked, Shop
from costing.findings import ShopError
from costing.flow import draw
from costing.kitchen.balance import BalanceError
from costing.kitchen.bench import KitchenError
from nutrition.resources import tree
from tests.costing.flow.flows import check, edge, graph_of, made
from tests.costing.kitchen import builders
from tests.costing.kitchen.test_balance import recipes

SHOPS = {name: Shop.open(str(tree("examples") / name)) for name in ("quillfeather", "starter")}
FLAVOURS = [(name, key) for name, shop in SHOPS.items() for key in shop.model.recipes]


def cents(value: float) -> Decimal:
    return Decimal(repr(round(value, 9))).quantize(Decimal("0.01"), ROUND_HALF_UP)


@pytest.mark.parametrize(("name", "key"), FLAVOURS)
def test_lost_and_in_containers_and_saved_are_what_was_bought(name: str, key: str) -> None:
    found = draw(SHOPS[name], key).graph
    check(found)
    totals = found.totals()
    assert cents(totals.lost + totals.contained + totals.saved) == cents(totals.bought)
    assert totals.bought > 0


@pytest.mark.parametrize(("name", "key"), FLAVOURS)
def test_the_graph_agrees_with_the_cost(name: str, key: str) -> None:
    answer = SHOPS[name].answer(key)
    if answer.cost is None:
        pytest.skip("a house base fills no container")
    cost, found = answer.cost, draw(SHOPS[name], key).graph
    money, mass = found.totals(), found.totals(grams=True)
    assert money.bought == pytest.approx(cost.bought_value, abs=1e-9)
    assert money.bought == pytest.approx(cost.cost.ingredients, abs=1e-9)
    assert money.lost == pytest.approx(cost.lost_value, abs=1e-9)
    assert money.contained == pytest.approx(cost.in_containers_value, abs=1e-9)
    assert money.saved == pytest.approx(cost.saved_value, abs=1e-9)
    assert mass.bought == pytest.approx(sum(line.bought_g or 0.0 for line in cost.lines), abs=1e-6)
    assert mass.vapour == pytest.approx(cost.batch.vapour_g, abs=1e-6)
    assert mass.contained == pytest.approx(cost.batch.out_g, abs=1e-6)
    assert mass.saved == pytest.approx(cost.batch.saved_g, abs=1e-6)
    assert mass.lost == pytest.approx(sum(line.discarded_g for line in cost.lost), abs=1e-6)
    for line in cost.lost:
        if line.verb != "buy" and line.discarded_g > 1e-6:
            assert any(
                e.step == line.step and e.verb == line.verb and e.value == pytest.approx(line.value, abs=1e-9)
                for e in found.into("lost")
            ), line


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(recipes())
def test_every_random_recipe_balances(parts: dict[str, Any]) -> None:
    try:
        batch = builders.brew(parts)
    except KitchenError:
        return
    check(graph_of(batch))


def test_by_hand() -> None:
    # 1,000 g of cream at 6 a kilogram; 10 % boils off; of the 900 g left, worth 6.00, 90 g stay in the pot: 0.60.
    found = made(
        {
            "pot": [{"add": {"cream": "1000 g"}}, {"cook": {"loses": "10 %"}}, {"lose": "90 g"}],
            "frozen": [{"add": {"pot": "all", "sugar": "100 g"}}, {"fill": {"container": "cup"}}],
        }
    )
    assert edge(found, "buy:cream", "part:try/pot") == pytest.approx((1000, 6.0))
    assert edge(found, "part:try/pot", "vapour") == pytest.approx((100, 0.0))
    assert edge(found, "part:try/pot", "lost", "left in the pot") == pytest.approx((90, 0.6))
    assert edge(found, "part:try/pot", "part:try/frozen") == pytest.approx((810, 5.4))
    assert edge(found, "buy:sugar", "part:try/frozen") == pytest.approx((100, 0.2))
    grams, value = edge(found, "part:try/frozen", "fill:cup")
    rest, rest_value = edge(found, "part:try/frozen", "lost", "fills no container")
    assert grams + rest == pytest.approx(910)
    assert value / grams == pytest.approx(5.6 / 910)
    assert rest_value / rest == pytest.approx(5.6 / 910)


def test_the_unusable_share_is_lost_where_it_was_bought() -> None:
    # mint is usable to 80 %: for 100 g in the pot 125 g are bought at 12 a kilogram
    found = made(
        {
            "pot": [
                {"add": {"milk": "1 kg", "mint": "100 g"}},
                {"cook": {"loses": "1 %"}},
                {"fill": {"container": "cup"}},
            ]
        }
    )
    assert edge(found, "buy:mint", "lost") == pytest.approx((25, 0.30))
    assert edge(found, "buy:mint", "part:try/pot") == pytest.approx((100, 1.20))


def test_two_things_of_one_purchase_leave_one_node() -> None:
    # 340 g of yolks and 275 g of whites: 1,000 g of eggs give the yolks, and the whites too
    found = made(
        {"pot": [{"add": {"yolks": "340 g", "whites": "275 g", "milk": "1 kg"}}, {"fill": {"container": "cup"}}]}
    )
    assert [node.name for node in found.of("purchase")] == ["eggs", "milk"]
    assert edge(found, "buy:eggs", "part:try/pot", "yolks") == pytest.approx((340, 1.70))
    assert edge(found, "buy:eggs", "part:try/pot", "whites") == pytest.approx((275, 1.375))
    assert edge(found, "buy:eggs", "lost") == pytest.approx((385, 1.925))


def test_what_is_saved_and_used_later_has_a_place_of_its_own() -> None:
    found = made(
        {
            "syrup": [
                {"add": {"quince": "500 g", "water": "500 g", "sugar": "200 g"}},
                {"trim": {"quince": "80 %"}},
                {"cook": {"loses": "10 %"}},
                {"strain": {"out": ["quince"], "holding": "10 %", "extracts": "20 %", "save": "kept"}},
            ],
            "frozen": [
                {"add": {"cream": "2 kg", "syrup": "50 %"}},
                {"fold": {"kept": "25 %"}},
                {"fill": {"container": "cup"}},
            ],
        }
    )
    check(found)
    (aside,) = found.of("aside")
    assert (aside.name, aside.recipe) == ("kept", "try")
    came, _ = edge(found, "part:try/syrup", aside.key)
    assert edge(found, aside.key, "part:try/frozen")[0] == pytest.approx(came / 4)
    assert edge(found, aside.key, "saved:try/kept")[0] == pytest.approx(came * 3 / 4)
    assert {node.name for node in found.of("saved")} == {"syrup", "kept"}


def base(name: str, parts: dict[str, Any]) -> Any:
    return builders.recipe(parts, key=name, makes=f"{name} mix")


def test_a_flavour_and_its_base_may_call_neighbouring_parts_alike() -> None:
    house = base("house", {"base": [{"add": {"cream": "2 kg", "milk": "2 kg"}}, {"lose": "100 g"}]})
    found = made(
        {
            "base": [{"add": {"house mix": "1950 g", "sugar": "100 g"}}, {"lose": "50 g"}],
            "frozen": [{"add": {"base": "all"}}, {"fill": {"container": "cup"}}],
        },
        house,
    )
    check(found)
    # the flavour takes half of what the base makes, so half of what the base bought and lost
    assert edge(found, "buy:cream", "part:house/base") == pytest.approx((1000, 6.0))
    assert edge(found, "part:house/base", "lost") == pytest.approx((50, 0.175))
    assert edge(found, "part:house/base", "part:try/base")[0] == pytest.approx(1950)
    assert edge(found, "buy:sugar", "part:try/base") == pytest.approx((100, 0.2))


def test_a_base_keeps_what_it_saves_under_its_own_key() -> None:
    steeped = [
        {"add": {"milk": "2 kg", "mint": "100 g"}},
        {"strain": {"out": ["mint"], "holding": "50 %", "extracts": "5 %", "save": "leaves"}},
    ]
    house = base("house", {"tea": steeped, "base": [{"add": {"tea": "50 %", "cream": "1 kg"}}]})
    found = made(
        {
            "tea": steeped,
            "frozen": [{"add": {"house mix": "all", "tea": "all"}}, {"fill": {"container": "cup"}}],
        },
        house,
    )
    check(found)
    assert {node.key for node in found.of("saved")} == {"saved:house/leaves", "saved:house/tea", "saved:try/leaves"}


def test_one_base_on_another_and_both_in_the_flavour() -> None:
    plain = base("plain", {"base": [{"add": {"cream": "1 kg", "milk": "1 kg"}}, {"lose": "40 g"}]})
    rich = base("rich", {"base": [{"add": {"plain mix": "980 g", "yolks": "340 g"}}]})
    found = made(
        {"frozen": [{"add": {"rich mix": "660 g", "plain mix": "490 g"}}, {"fill": {"container": "cup"}}]}, plain, rich
    )
    check(found)
    # 490 g of it go into half a rich mix, and 490 g straight into the flavour: half a plain batch
    assert edge(found, "buy:cream", "part:plain/base") == pytest.approx((500, 3.0))
    assert edge(found, "part:plain/base", "part:rich/base")[0] == pytest.approx(490)
    assert edge(found, "part:plain/base", "part:try/frozen")[0] == pytest.approx(490)


def test_a_house_base_ends_in_what_it_makes() -> None:
    found = draw(SHOPS["quillfeather"], "house-base").graph
    (end,) = found.of("containers")
    assert (end.name, end.count) == ("sweet cream base", 0)


def test_a_larger_batch_loses_more_by_share_and_the_same_by_run() -> None:
    shop = SHOPS["quillfeather"]
    one, three = (draw(shop, "quince", Asked(size=size)).graph for size in (1.0, 3.0))
    check(three)
    trimmed = "part:quince/quince syrup", "lost", "trimmed off"
    assert edge(three, *trimmed)[0] == pytest.approx(3 * edge(one, *trimmed)[0])
    runs = [shop.brew("quince", size=size).runs[0] for size in (1.0, 3.0)]
    machine = [edge(found, "part:quince/frozen", "lost", "left in the machine")[0] for found in (one, three)]
    assert machine[1] / machine[0] == pytest.approx(runs[1] / runs[0])
    assert runs[1] != 3 * runs[0]


def test_a_missing_price_is_unknown_and_not_nothing() -> None:
    found = made(
        {"pot": [{"add": {"cream": "1 kg", "sugar": "100 g"}}, {"lose": "10 g"}, {"fill": {"container": "cup"}}]},
        unpriced="sugar",
    )
    assert not found.priced
    assert edge(found, "buy:cream", "part:try/pot") == pytest.approx((1000, 6.0))
    assert math.isnan(edge(found, "buy:sugar", "part:try/pot")[1])
    assert math.isnan(found.totals().bought)
    assert found.totals(grams=True).bought == pytest.approx(1100)


def test_a_graph_that_does_not_balance_is_our_fault_and_said_so() -> None:
    parts = {
        "pot": [{"add": {"cream": "1 kg", "sugar": "100 g"}}],
        "frozen": [{"add": {"pot": "all"}}, {"fill": {"container": "cup"}}],
    }
    batch = builders.brew(parts)
    with pytest.raises(BalanceError, match="try, pot"):
        graph_of(replace(batch, uses=batch.uses[1:]))
    with pytest.raises(BalanceError, match="no part took pot into elsewhere"):
        graph_of(replace(batch, uses=(*batch.uses[:-1], replace(batch.uses[-1], into="elsewhere"))))


def test_what_cannot_be_made_cannot_be_drawn(tmp_path: Any) -> None:
    from costing.demo import copy_example

    copy_example(tmp_path / "shop")
    recipe = tmp_path / "shop" / "recipes" / "quince.yaml"
    recipe.write_text(recipe.read_text().replace("quince syrup: 200 g}", "quince syrup: 20 kg}"))
    with pytest.raises(ShopError, match="quince"):
        draw(Shop.open(tmp_path / "shop"), "quince")
    with pytest.raises(KeyError):
        draw(SHOPS["quillfeather"], "nobody")


def test_what_trials_measured_is_drawn_where_it_is_asked_for() -> None:
    shop = SHOPS["quillfeather"]
    how = Asked(trials=True)
    moved = 0
    for key in shop.model.recipes:
        found, cost = draw(shop, key, how).graph, shop.answer(key, how).cost
        check(found)
        if cost is not None:
            assert found.totals().lost == pytest.approx(cost.lost_value, abs=1e-9)
            moved += found.totals(grams=True) != draw(shop, key).graph.totals(grams=True)
    assert moved, "the example shop has trials, and they say something else than the recipes"
