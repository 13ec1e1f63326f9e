"""The JSON documents: their keys are a promise to whoever reads them."""

from __future__ import annotations

import dataclasses
import json
import math
from datetime import date
from typing import Any

import numpy as np

from costing import answers
from costing.results import Driver
from nutrition.nutrients import keys
from tests.costing.plain_answers import HOUSE_BASE, QUINCE, WARNING


def through_json(answer: Any) -> Any:
    def refuse(word: str) -> None:
        raise AssertionError(word)

    return json.loads(answers.text(answer), parse_constant=refuse)


def test_the_cost_document_has_the_promised_keys_and_unrounded_figures() -> None:
    found = through_json(answers.cost(QUINCE))
    assert {
        "recipe",
        "title",
        "currency",
        "as_of",
        "batch",
        "cost",
        "per_container",
        "lines",
        "lost",
        "channels",
        "also",
    } <= found.keys()
    assert found["as_of"] == "2026-03-02"
    batch = {
        "in_g",
        "out_g",
        "vapour_g",
        "discarded_g",
        "saved_g",
        "containers",
        "rest_g",
        "container",
        "fill_g",
        "fill_ml",
    }
    assert batch <= found["batch"].keys()
    kinds = {"ingredients", "packaging", "labour", "overhead", "saved", "total"}
    assert found["cost"].keys() - {"total_range"} == found["per_container"].keys() == kinds
    assert found["cost"]["total"] == 41.4
    line = found["lines"][0]
    assert {k: line[k] for k in ("item", "kind", "bought_g", "cost", "supplier", "price_date")} == {
        "item": "heavy cream",
        "kind": "ingredient",
        "bought_g": 2000.0,
        "cost": 20.0,
        "supplier": "Saltmarsh",
        "price_date": "2026-03-02",
    }
    assert found["lines"][2]["kind"] == "saved"
    assert found["lines"][2]["cost"] < 0
    assert found["lost"][0] == {
        "part": "base",
        "step": 1,
        "verb": "cook",
        "vapour_g": 600.0,
        "discarded_g": 0.0,
        "value": 0.0,
    }
    assert {"name", "price", "fees", "margin", "margin_pct", "price_for_target"} <= found["channels"][0].keys()
    assert found["channels"][1]["margin_pct"] is None
    assert found["also"][0]["container"] == "small cup"


def test_ranges_stand_beside_their_figures() -> None:
    found = through_json(answers.cost(QUINCE))
    assert found["cost"]["total_range"] == [40.0, 43.0]
    assert found["channels"][0]["margin_range"] == [6.0, 6.5]
    assert found["lines"][0]["cost_range"] == [19.0, 21.0]
    assert "nowhere" not in found


def test_a_range_finds_a_name_with_points_and_no_name_that_two_bear() -> None:
    cost = QUINCE.cost
    assert cost is not None
    channel = dataclasses.replace(cost.channels[0], name="St. Mary's market")
    dotted = dataclasses.replace(
        QUINCE,
        cost=dataclasses.replace(cost, channels=(channel,)),
        ranges={"channels.St. Mary's market.margin": (1.0, 2.0)},
    )
    assert answers.cost(dotted)["channels"][0]["margin_range"] == [1.0, 2.0]  # type: ignore[index]
    (part,) = QUINCE.parts
    twice = dataclasses.replace(
        QUINCE, parts=(dataclasses.replace(part, recipe="fig"), part), ranges={"parts.1.out.g": (1.0, 2.0)}
    )
    assert ["g_range" in one["out"] for one in answers.yields(twice)["parts"]] == [False, True]
    once = dataclasses.replace(QUINCE, ranges={"parts.0.out.g": (1.0, 2.0), "parts.0.steps.0.in_g": (3.0, 4.0)})
    found = answers.yields(once)["parts"][0]
    assert (found["out"]["g_range"], found["steps"][0]["in_g_range"]) == ([1.0, 2.0], [3.0, 4.0])


def test_size_and_drivers_are_always_told() -> None:
    sampled = dataclasses.replace(
        QUINCE, drivers=(Driver("fat, render", "recipes/quince.yaml:6", 83.0),), impossible_share=0.25, size=2.0
    )
    for answer in (answers.cost, answers.yields, answers.label):
        plain, found = answer(QUINCE), answer(sampled)
        assert plain is not None
        assert found is not None
        assert (plain["size"], plain["drivers"], plain["impossible_share"]) == (1.0, [], 0.0)
        assert (found["size"], found["impossible_share"]) == (2.0, 0.25)
        assert found["drivers"] == [{"what": "fat, render", "where": "recipes/quince.yaml:6", "share_pct": 83.0}]


def test_the_yield_document() -> None:
    found = through_json(answers.yields(QUINCE))
    part = found["parts"][0]
    assert part["name"] == "base"
    step = {"step", "verb", "in_g", "out_g", "vapour_g", "discarded_g", "saved_g", "money_in", "money_out"}
    assert step <= part["steps"][0].keys()
    assert part["out"]["g"] == 4400.0
    assert part["out"]["ml"] == 4100.0
    assert math.isclose(part["out"]["cost_per_kg"], 20 / 4.4)
    assert tuple(part["out"]["per_100g"]) == keys()
    assert part["out"]["per_100g"]["protein"] == 2.0
    assert part["out"]["per_100g"]["calcium"] is None  # unknown is never zero


def test_an_empty_part_has_no_cost_per_kilogram() -> None:
    nothing = dataclasses.replace(QUINCE.parts[0], out_g=0.0)
    found = answers.yields(dataclasses.replace(QUINCE, parts=(nothing,), cost=None))
    assert found["parts"][0]["out"]["cost_per_kg"] is None


def test_the_label_document() -> None:
    found = through_json(answers.label(QUINCE))
    assert found["serving"] | {"measure": "2/3 cup", "g": 120.0, "per_container": "about 3"} == found["serving"]
    assert found["print_ready"] is False
    fat, vitamin = found["nutrients"]
    assert fat["declared"] == {"serving": "17g", "container": "51g"}
    assert fat["dv_pct"] == {"serving": 22, "container": 65}
    assert vitamin["per_serving"] is None
    assert vitamin["unknown_from"] == ["quince"]
    promised = {
        "key",
        "unit",
        "per_100g",
        "per_serving",
        "per_serving_low",
        "per_serving_high",
        "per_container",
        "rule",
        "estimated_from",
    }
    assert promised <= fat.keys()
    test = found["name"]["tests"][0]
    assert {k: test[k] for k in ("what", "value", "limit", "unit", "met", "rule")} == {
        "what": "milkfat",
        "value": 9.0,
        "limit": 10.0,
        "unit": "%",
        "met": False,
        "rule": "21 CFR 135.110(a)(2)",
    }
    assert (found["name"]["wanted"], found["name"]["allowed"]) == ("ice cream", "frozen dessert")
    assert found["contains"] == "Contains: Milk."
    assert found["net_quantity"] == "1 PINT (473 mL)"
    assert {"recipe", "law", "ingredients", "allergens"} <= found.keys()


def test_a_house_base_has_neither_cost_nor_label_but_a_yield() -> None:
    assert answers.cost(HOUSE_BASE) is None
    assert answers.label(HOUSE_BASE) is None
    assert "batch" not in answers.yields(HOUSE_BASE)


def test_the_whole_document() -> None:
    found = through_json(answers.document([answers.cost(QUINCE) or {}], [WARNING]))
    assert list(found) == ["schema", "results", "findings"]
    assert found["schema"] == 1
    assert found["findings"] == [
        {"level": "warning", "where": "recipes/quince.yaml:9", "what": "no loss given", "mend": "write loses: 2 %"}
    ]


def test_nothing_that_json_cannot_say() -> None:
    odd = {
        "nan": math.nan,
        "inf": np.float64("inf"),
        "n": np.float64(2.5),
        "i": np.int64(3),
        "d": date(2026, 1, 2),
        4: (True, None),
    }
    assert through_json(odd) == {"nan": None, "inf": None, "n": 2.5, "i": 3, "d": "2026-01-02", "4": [True, None]}
