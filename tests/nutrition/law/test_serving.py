"""Serving, servings and columns. Source: 21 CFR 101.9(b)(5) to (8), (b)(12)(i), 101.12(b)."""

from __future__ import annotations

import math
from typing import Any

import pytest

from nutrition.law.us.serving import columns, household, reference_amount, serving
from nutrition.law.us.tables import rows

PINT = 473.176473


def test_a_pint_by_hand() -> None:
    # 281 g in 473.176473 mL: 281 / 473.176473 x 160 = 95.017 g; 473.176473 / 160 = 2.957 servings, 295.7 %
    found = serving(declared_ml=PINT, net_ml=PINT, net_g=281.0)
    assert found.grams == pytest.approx(95.0174, abs=1e-4)
    assert found.per_container == pytest.approx(2.95735, abs=1e-5)
    assert (found.measure, found.grams_text, found.per_container_text) == ("2/3 cup", "95g", "about 3")
    assert found.columns == ("serving", "container")
    assert "101.9(b)(12)(i)" in found.rule


def test_servings_come_from_what_is_declared_and_grams_from_what_is_filled() -> None:
    found = serving(declared_ml=PINT, net_ml=PINT * 1.01, net_g=281.0 * 1.01)
    assert found.grams == pytest.approx(281 / PINT * 160)
    assert found.per_container == pytest.approx(PINT / 160)


@pytest.mark.parametrize(
    ("declared_ml", "text", "shown"),
    [
        (100.0, "1", ("container",)),  # (b)(6): below 200 % the container is one serving
        (319.999, "1", ("container",)),
        (320.0, "2", ("serving", "container")),  # exactly 200 %
        (359.9, "about 2", ("serving", "container")),
        (360.0, "about 2.5", ("serving", "container")),
        (400.0, "2.5", ("serving", "container")),
        (414.0, "about 2.5", ("serving", "container")),  # 14 fl oz
        (480.0, "3", ("serving", "container")),  # exactly 300 %
        (480.001, "about 3", ("serving",)),
        (800.0, "5", ("serving",)),
        (839.9, "about 5", ("serving",)),
        (840.0, "about 5", ("serving",)),  # 5.25: above 5 to the nearest whole
        (880.0, "about 6", ("serving",)),  # 5.5 goes up
        (946.352946, "about 6", ("serving",)),
    ],
)
def test_servings_and_columns(declared_ml: float, text: str, shown: tuple[str, ...]) -> None:
    found = serving(declared_ml=declared_ml, net_ml=declared_ml, net_g=0.6 * declared_ml)
    assert (found.per_container_text, found.columns) == (text, shown)


def test_a_single_serving_is_the_whole_container() -> None:
    found = serving(declared_ml=118.0, net_ml=118.0, net_g=70.4)
    assert (found.measure, found.grams, found.grams_text, found.per_container) == ("1 container", 70.4, "70g", 1.0)


@pytest.mark.parametrize(
    ("grams", "text"),
    [(1.94, "1.9g"), (1.95, "2g"), (2.2, "2g"), (2.25, "2.5g"), (4.9, "5g"), (5.49, "5g"), (5.5, "6g")],
)
def test_small_weights_are_printed_finer(grams: float, text: str) -> None:
    assert serving(declared_ml=10.0, net_ml=10.0, net_g=grams).grams_text == text


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
@pytest.mark.parametrize("which", ["declared_ml", "net_ml", "net_g"])
def test_containers_that_cannot_be_are_refused(which: str, bad: float) -> None:
    given: dict[str, Any] = {"declared_ml": PINT, "net_ml": PINT, "net_g": 281.0} | {which: bad}
    with pytest.raises(ValueError, match="above zero"):
        serving(**given)


def test_unknown_category_names_those_that_are() -> None:
    with pytest.raises(KeyError, match="ice cream"):
        reference_amount("soup")


def test_reference_amounts_agree_with_the_label_cup() -> None:
    cup = next(float(row["amount"]) for row in rows("label_measures.csv") if row["unit"] == "cup")
    for row in rows("reference_amounts.csv"):
        assert row["measure"] == "2/3 cup"
        assert float(row["ml"]) == pytest.approx(cup * 2 / 3)


def test_columns_just_beside_the_limits() -> None:
    assert columns(199.999999)[0] == ("container",)
    assert columns(300.0)[0] == ("serving", "container")
    assert columns(300.000001)[0] == ("serving",)


def test_household_measures_are_those_of_the_reference_amounts() -> None:
    for row in rows("reference_amounts.csv"):
        assert household(float(row["ml"])) == row["measure"]


@pytest.mark.parametrize(
    ("ml", "text"),
    [
        (60, "1/4 cup"), (69, "1/4 cup"), (70, "1/3 cup"), (80, "1/3 cup"), (100, "1/2 cup"), (180, "3/4 cup"),
        (215, "1 cup"), (240, "1 cup"), (300, "1 1/4 cups"), (480, "2 cups"), (59.9, "3 tbsp"), (45, "3 tbsp"),
        (37.5, "3 tbsp"), (30, "2 tbsp"), (15, "1 tbsp"), (20, "1 1/3 tbsp"), (14.9, "2 tsp"), (7.4, "1 tsp"),
        (7.5, "2 tsp"), (1.25, "1/4 tsp"), (0.1, "1/8 tsp"),
    ],
)  # fmt: skip
def test_household_measures(ml: float, text: str) -> None:
    """21 CFR 101.9(b)(5)(i): cups by quarters and thirds, tablespoons and teaspoons by their list (from memory)."""
    assert household(ml) == text


def test_no_measure_of_nothing() -> None:
    with pytest.raises(ValueError, match="above zero"):
        household(0.0)
