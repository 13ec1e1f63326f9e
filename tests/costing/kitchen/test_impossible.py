"""What a kitchen cannot do is an error that says where, what and how to mend it."""

from __future__ import annotations

from typing import Any

import pytest

from costing.kitchen.bench import KitchenError
from tests.costing.kitchen.builders import brew

SYRUP = {"add": {"water": "500 g", "sugar": "500 g"}}
MILK = {"add": {"milk": "1 kg"}}


@pytest.mark.parametrize(
    ("steps", "line", "words"),
    [
        ([SYRUP, {"reduce": {"to": "40 %"}}], 11, "more water would have to leave (600 g) than there is (500 g"),
        ([SYRUP, {"cook": {"loses": "55 %"}}], 11, "more water would have to leave"),
        ([SYRUP, {"reduce": {"to": "40 Brix"}}], 11, "boiling only raises the Brix"),
        ([SYRUP, {"reduce": {"to": "20 % by volume"}}], 11, "cannot be reached"),
        ([SYRUP, {"reduce": {"to": "2 kg"}}], 11, "cannot come to 2,000 g by boiling"),
        ([{"add": {"bacon": "1 kg"}}, {"render": {"of": "bacon", "yields": "70 %"}}], 11, "lower the yield"),
        ([{"add": {"quince": "1 kg"}}, {"press": {"of": "quince", "yields": "99 %"}}], 11, "lower the yield"),
        ([{"add": {"raisins": "500 g", "rum": "50 g"}}, {"soak": {"of": "raisins", "uptake": "30 %"}}], 11, "only 50 g of liquid"),
        ([SYRUP, {"strain": {"out": ["sugar"]}}], 11, "has dissolved or melted and cannot be strained out"),
        ([MILK, {"strain": {"out": ["mint"]}}], 11, "there is no 'mint' in the pot"),
        ([MILK, {"strain": {"out": ["fat"]}}], 11, "cool the pot before"),
        ([MILK, {"strain": {"out": ["solids"]}}], 11, "how: brown"),
        ([{"add": {"mint": "1 kg", "milk": "100 g"}}, {"strain": {"out": ["mint"], "holding": "50 %", "extracts": "0 %"}}], 11, "only 100 g"),
        ([MILK, {"lose": "1 kg"}], 11, "something must be left"),
        ([MILK, {"lose": "2 kg"}], 11, "would be lost"),
        ([{"weigh": "1 kg"}], 10, "nothing to weigh yet"),
        ([MILK, {"weigh": "900 g"}], 11, "nothing in it can follow from a weight"),
        ([MILK, {"cook": {"loses": "3 %"}}, {"weigh": "1.2 kg"}], 12, "1,000 g is the most there can be"),
        ([MILK, {"cook": {"loses": "3 %"}}, {"weigh": "50 g"}], 12, "more water would have to leave"),
        ([MILK, {"churn": {"overrun": "250 %"}}], 11, "overrun of 250 %"),
        ([MILK, {"churn": {"filled": "900 g"}}, {"fill": {"container": "pint"}}], 12, "denser than the mix"),
        ([MILK, {"churn": {"leaves": "1 kg", "overrun": "20 %"}}], 11, "something must be left"),
        ([{"add": {"milk": "100 g"}}, {"fill": {"container": "pint"}}], 11, "fill no whole pint"),
        ([MILK, {"fill": {"container": [{"container": "pint", "count": 5}]}}], 11, "there are only"),
        ([{"add": {"milk": "50 % of pot", "cream": "60 % of pot"}}], 10, "100 % or more"),
        ([MILK, {"add": {"cream": "up to 500 g"}}], 11, "more than the 500 g"),
        ([MILK, {"add": {"cream": "50 %"}}], 11, "is a share of nothing"),
        ([{"fill": {"container": "pint"}}], 10, "nothing is left to fill"),
    ],
)  # fmt: skip
def test_impossible_steps(steps: list[dict[str, Any]], line: int, words: str) -> None:
    with pytest.raises(KitchenError) as caught:
        brew({"pot": steps})
    finding = caught.value.finding
    assert finding.where == f"recipes/try.yaml:{line}"
    assert words in f"{finding.what} {finding.mend}"


def test_a_part_gives_no_more_than_there_is() -> None:
    parts = {
        "syrup": [SYRUP],
        "one": [{"add": {"syrup": "700 g"}}],
        "two": [{"add": {"syrup": "400 g", "one": "all"}}],
    }
    with pytest.raises(KitchenError, match=r"syrup is used to 110\.0 %"):
        brew(parts)


def test_a_part_made_for_nothing_is_no_plan() -> None:
    with pytest.raises(KitchenError, match="thrown away unused"):
        brew({"syrup": {"steps": [SYRUP], "rest": "discard"}, "mix": [MILK]})
