"""What a kitchen cannot do is an error that says where, what and how to mend it."""

from __future__ import annotations

from typing import Any

import pytest

from costing.kitchen.bench import KitchenError
from tests.costing.kitchen.builders import brew

SYRUP = {"add": {"water": "500 g", "sugar": "500 g"}}
MILK = {"add": {"milk": "1 kg"}}
SPIRIT = {"add": {"rum": "100 g", "water": "600 g", "sugar": "300 g"}}
MINTED = {"add": {"milk": "900 g", "mint": "100 g"}}
BACON = {"add": {"bacon": "1 kg"}}
RAISINS = {"add": {"raisins": "500 g", "rum": "300 g"}}


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
        # reduced below the dry matter, however it is said
        ([SYRUP, {"reduce": {"to": "499 g"}}], 11, "more water would have to leave (501 g) than there is (500 g"),
        ([SYRUP, {"cook": {"to": "30 %"}}], 11, "more water would have to leave (700 g)"),
        ([SYRUP, {"cook": {"loses": "600 g"}}], 11, "more water would have to leave (600 g)"),
        ([SPIRIT, {"reduce": {"to": "20 %", "hold": "2 min"}}], 11, "more water would have to leave (800 g)"),
        ([{"add": {"sugar": "1 kg"}}, {"cook": {"how": "brown", "loses": "30 %"}}], 11, "sugar sheds at most 100 g"),
        # Brix below the present one, above what boiling can give, or of no liquid at all
        ([SYRUP, {"reduce": {"to": "49.9 Brix"}}], 11, "has 50.0 Brix now and 100.0 when all its water is gone"),
        ([MILK, {"cook": {"to": "5 Brix"}}], 11, "boiling only raises the Brix"),
        ([{"add": {"quince": "1 kg"}}, {"reduce": {"to": "60 Brix"}}], 11, "there is no liquid yet whose Brix"),
        # weighed above what went in
        ([SYRUP, {"reduce": {"to": "80 %"}}, {"weigh": "1.1 kg"}], 12, "1,000 g is the most there can be"),
        ([MINTED, {"strain": {"out": ["mint"], "extracts": "0 %"}}, {"weigh": "950 g"}], 12, "900 g is the most there can be"),
        ([MILK, {"lose": "3 %"}, {"weigh": "1001 g"}], 12, "1,000 g is the most"),
        ([MILK, {"churn": {"overrun": "20 %", "leaves": "50 g"}}, {"weigh": "1.2 kg"}], 12, "1,000 g is the most"),
        ([BACON, {"render": {"of": "bacon", "yields": "30 %"}}, {"weigh": "400 g"}], 12, "lower the yield"),
        ([RAISINS, {"soak": {"of": "raisins", "uptake": "20 %"}}, {"weigh": "900 g"}], 12, "only 300 g of liquid"),
        ([RAISINS, {"soak": {"of": "raisins", "uptake": "20 %"}}, {"weigh": "450 g"}], 12, "500 g is the least there can be"),
        # more than there is
        ([RAISINS, {"soak": {"of": "raisins", "uptake": "61 %"}}], 11, "305 g would have to be taken up and there are only 300 g"),
        ([RAISINS, {"soak": {"of": "rum", "uptake": "10 %"}}], 11, "rum is not solid here and takes up nothing"),
        ([MINTED, {"strain": {"out": ["mint"], "caught": "40 g", "extracts": "0 %"}}], 11, "less than the things alone (100 g)"),
        ([MINTED, {"strain": {"out": ["mint"], "caught": "1.2 kg", "extracts": "0 %"}}], 11, "1,100 g of liquid would go along"),
        # melted or dissolved on the way
        ([{"add": {"butter": "1 kg"}}, {"strain": {"out": ["butter"]}}], 11, "butter has dissolved or melted and cannot be strained out"),
        ([BACON, {"render": {"of": "bacon", "yields": "30 %"}}, {"strain": {"out": ["bacon"]}}], 12, "has dissolved or melted"),
        # air
        ([MILK, {"churn": {"overrun": "201 %"}}], 11, "overrun of 201 %"),
        ([MILK, {"churn": {"filled": "100 g"}}, {"fill": {"container": "pint"}}], 12, "means an overrun of"),
        ([MILK, {"churn": {"filled": "490 g"}}, {"fill": {"container": "pint"}}], 12, "denser than the mix"),
        # nothing left
        ([MILK, {"trim": {"milk": "0 %"}}], 11, "trimming cannot keep 0 %"),
        ([{"add": {"mint": "100 g"}}, {"strain": {"out": ["mint"], "holding": "0 %", "extracts": "0 %"}}], 11, "nothing is left in the pot"),
        ([{"add": {"milk": "0 g"}}, {"fill": {"container": "pint"}}], 11, "nothing is left to fill"),
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
