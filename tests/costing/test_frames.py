"""Answers as pandas frames: the same figures as the answers, tidy, with the same columns and types in every shop."""

from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

from costing import Shop, frames
from costing.findings import ShopError
from nutrition.resources import tree


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


def test_costs_are_those_of_the_answers(shop: Shop) -> None:
    frame = shop.costs()
    assert frame.index.name == "recipe"
    assert len(frame) == 8, "a house base has no cost of its own"
    for key, row in frame.iterrows():
        found = shop[str(key)].cost()
        assert row["total"] == found.per_container.total
        assert row["batch_total"] == found.cost.total
        assert row["per_serving"] == found.per_serving.total
        assert row["overrun_share"] == found.batch.overrun
        assert row["containers"] == shop.answer(str(key)).filled[0].count
    kinds = frame[["ingredients", "packaging", "labour", "overhead", "saved"]].sum(axis=1)
    pd.testing.assert_series_equal(kinds, frame["total"], check_names=False)
    assert (frame["saved"] <= 0).all()
    assert frame.attrs == {"currency": "USD", "as_of": "2026-03-02"}


def test_freight_is_told_where_it_counts(shop: Shop) -> None:
    assert shop.costs(["quince"])["freight"].isna().all(), "left out is not none"
    counting = Shop(replace(shop.model, count_freight=True), (), shop.day)
    found = counting["quince"].cost().freight
    assert found is not None
    assert counting.costs(["quince"]).loc["quince", "freight"] == found[1] > 0


def test_margins_are_those_of_the_answers(shop: Shop) -> None:
    frame = shop.margins()
    assert frame.index.names == ["recipe", "channel"]
    assert frame.index.is_unique
    assert len(frame) == 24
    for told in shop["quince"].cost().channels:
        row = frame.loc[("quince", told.name)]
        assert row["margin"] == pytest.approx(told.margin)
        assert row["margin_pct"] == pytest.approx(told.margin_pct)
        assert row["batch_margin"] == pytest.approx(told.batch_margin)
    assert frame["shelf_price"].isna().all()
    grocer = frame.xs("grocer", level="channel")
    assert grocer.sort_values("hour_contribution", ascending=False)["place"].tolist() == list(range(1, 9))


def test_labels_are_those_of_the_answers(shop: Shop) -> None:
    frame = shop.labels(["quince", "plum"])
    assert list(frame.index.unique("recipe")) == ["quince", "plum"]
    for key in ("quince", "plum"):
        found = shop[key].label()
        assert list(frame.loc[key].index) == [line.key for line in found.nutrients]
        for line in found.nutrients:
            row = frame.loc[(key, line.key)]
            assert row["per_serving"] == line.per_serving
            assert row["declared_serving"] == line.declared["serving"]
            dv = line.dv_pct.get("serving")
            assert math.isnan(row["dv_pct_serving"]) if dv is None else row["dv_pct_serving"] == dv


@pytest.mark.parametrize("make", [frames.costs, frames.margins, frames.labels])
def test_a_frame_without_rows_has_the_same_columns_and_types(shop: Shop, make) -> None:
    full, empty = make(shop), make(shop, ["house-base"])
    assert len(empty) == 0
    assert list(empty.columns) == list(full.columns)
    assert list(empty.index.names) == list(full.index.names)
    pd.testing.assert_series_equal(empty.dtypes, full.dtypes)
    assert len(pd.concat([full, empty])) == len(full)


@pytest.mark.parametrize("make", [frames.costs, frames.margins, frames.labels])
def test_an_unknown_recipe_is_a_key_error(shop: Shop, make) -> None:
    with pytest.raises(KeyError, match="no recipe 'quinse'"):
        make(shop, ["quinse"])


def test_a_recipe_that_cannot_be_made_says_why(quillfeather: Path) -> None:
    recipe = quillfeather / "recipes" / "quince.yaml"
    recipe.write_text(recipe.read_text(encoding="utf-8").replace("loses: 12 %", "loses: 99 %"), encoding="utf-8")
    broken = Shop.open(quillfeather)
    with pytest.raises(ShopError, match=r"quince\.yaml"):
        broken.costs()
    assert list(broken.costs(["plum"]).index) == ["plum"]


def test_pandas_is_loaded_only_for_a_frame() -> None:
    code = (
        "import sys; from costing import Shop; from nutrition.resources import tree; "
        "shop = Shop.open(str(tree('examples') / 'quillfeather')); shop.answer('plum'); assert 'pandas' not in sys.modules; "
        "shop.costs(['plum']); assert 'pandas' in sys.modules"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
