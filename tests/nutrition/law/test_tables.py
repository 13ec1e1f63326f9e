"""The tables of the law: every row has its source, its days can be read, and the tables agree with each other."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pytest

from nutrition import resources
from nutrition.law.us import rounding
from nutrition.law.us.tables import nano, nearest, plain, rows, words
from nutrition.nutrients import nutrients

MINE = [
    "added_sugars_classes", "allergen_animals", "allergen_words", "allergens", "bioengineered", "bulky_flavours", "calorie_factors", "cautions",
    "class_names", "colors", "columns", "compound_names", "daily_values", "densities", "exemption", "fat_names", "fat_of_flavours", "flavor_letters", "food_names", "household_steps",
    "identity_standards", "identity_words", "insignificant", "inspection", "label_measures", "milk_gathered", "minor_thresholds", "name_words", "net_quantity_type",
    "nonfat_milk_solids", "nutrient_lines", "preservatives", "provisions", "rdi_increments", "reconstituted", "reference_amounts", "reference_foods", "rounding",
    "sherbet_fruit", "single_strength_brix", "small_percent", "states", "sulphites", "sweetener_words",
    "syrup_densities", "tree_nuts", "undried_fruit", "volume_units", "yolk",
]  # fmt: skip


@pytest.mark.parametrize("name", MINE)
def test_every_table_names_its_source_and_every_row_its_rule(name: str) -> None:
    text = resources.data("law", "us", f"{name}.csv").read_text(encoding="utf-8")
    head = " ".join(line for line in text.splitlines() if line.startswith("#"))
    assert "ource" in head or "CFR" in head or "SR28" in head
    for row in resources.table("law", "us", f"{name}.csv"):
        assert None not in row, row  # more cells than heads
        assert None not in row.values(), row  # fewer
        for key in ("reference", "rule"):
            if key in row and name != "cautions":
                assert row[key], row
        for key in ("from", "until"):
            if row.get(key):
                date.fromisoformat(row[key])


def test_lines_of_the_panel_are_nutrients_in_their_own_unit() -> None:
    units = {n.key: n.unit for n in nutrients()}
    for key, row in rounding.lines().items():
        if key != "sugar_alcohol":
            assert units[key] == row["unit"]


def test_both_tables_of_lines_agree() -> None:
    drawn = resources.table("law", "us", "panel_lines.csv")
    mandatory = [key for key, row in rounding.lines().items() if row["mandatory"] == "yes"]
    assert [row["key"] for row in drawn if row["required"] == "yes"] == mandatory
    assert {row["key"] for row in drawn} <= set(rounding.lines())


def test_bands_go_up_and_the_last_has_no_limit() -> None:
    for group in {row["group"] for row in rows("rounding.csv")}:
        *inner, last = [band.last for band in rounding.bands(group)]
        assert last is None
        assert all(a < b for a, b in pairwise(inner) if a is not None and b is not None)


def test_days_open_and_close_rows(monkeypatch: pytest.MonkeyPatch) -> None:
    table = ({"key": "a", "from": "2020-01-01", "until": "2021-01-01"}, {"key": "b", "from": "2021-01-01", "until": ""})
    monkeypatch.setattr(resources, "table", lambda *_: table)
    rows.cache_clear()
    try:
        assert [r["key"] for r in rows("x", date(2019, 12, 31))] == []
        assert [r["key"] for r in rows("x", date(2020, 1, 1))] == ["a"]
        assert [r["key"] for r in rows("x", date(2020, 12, 31))] == ["a"]
        assert [r["key"] for r in rows("x", date(2021, 1, 1))] == ["b"]
        assert [r["key"] for r in rows("x")] == ["b"]
    finally:
        rows.cache_clear()


def test_exact_numbers() -> None:
    assert nano(2.4999999999) == 2_500_000_000
    assert nano(12_345_678.9) == 12_345_678_900_000_000
    assert nearest(25, 10) == 30
    assert nearest(24, 10) == 20
    assert plain(nano(0.1)) == "0.1"
    assert words("Cherries, sour (red)") == {"cherries", "sour", "red"}
