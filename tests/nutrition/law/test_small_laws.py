"""Net quantity, exemption, business name, alcohol, provisions. Sources beside the figures."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import pytest

from nutrition.law.us import alcohol, business, exemption, net_quantity, provisions

from .builders import holds

FL_OZ = 29.5735295625  # NIST Handbook 44, appendix C


@pytest.mark.parametrize(
    ("ounces", "text"),
    [  # 21 CFR 101.7: largest whole unit first
        (4, "4 FL OZ (118 mL)"),
        (8, "8 FL OZ (236 mL)"),
        (14, "14 FL OZ (414 mL)"),
        (16, "1 PINT (473 mL)"),
        (20, "1 PINT 4 FL OZ (591 mL)"),
        (32, "1 QUART (946 mL)"),
        (48, "1 QUART 1 PINT (1.41 L)"),
        (56, "1 QUART 1 PINT 8 FL OZ (1.65 L)"),
        (64, "2 QUARTS (1.89 L)"),
        (128, "1 GALLON (3.78 L)"),
        (256, "2 GALLONS (7.57 L)"),
        (3.5, "3.5 FL OZ (103 mL)"),
    ],
)
def test_net_quantity(ounces: float, text: str) -> None:
    assert net_quantity.declare(ounces * FL_OZ) == text


def test_metric_sizes_are_never_rounded_up() -> None:
    assert net_quantity.declare(500.0) == "1 PINT 0.9 FL OZ (500 mL)"
    assert net_quantity.declare(1000.0) == "1 QUART 1.8 FL OZ (1 L)"
    assert net_quantity.metric(473.99) == "473 mL"
    assert net_quantity.metric(12_345.6) == "12.3 L"
    assert net_quantity.metric(123_456.0) == "123 L"


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf, 0.1])
def test_quantities_that_cannot_be(bad: float) -> None:
    with pytest.raises(ValueError, match="tub"):
        net_quantity.declare(bad, "tub")


@pytest.mark.parametrize(
    ("area", "text"),
    [(5, "1/16 in"), (5.01, "1/8 in"), (25, "1/8 in"), (100, "3/16 in"), (400, "1/4 in"), (401, "1/2 in")],
)  # 21 CFR 101.7
def test_type_height(area: float, text: str) -> None:
    assert net_quantity.type_height(area).text == text


def test_main_panel_area() -> None:  # 21 CFR 101.1
    assert net_quantity.main_panel_area("rectangle", 4, 5) == 20
    assert net_quantity.main_panel_area("cylinder", 4, 10) == 16
    assert net_quantity.main_panel_area("top", 0, 4) == pytest.approx(12.566, abs=1e-3)
    with pytest.raises(ValueError, match="shape"):
        net_quantity.main_panel_area("cone", 1, 1)
    with pytest.raises(ValueError, match="above zero"):
        net_quantity.main_panel_area("rectangle", 0, 1)


BIG: dict[str, Any] = {
    "total_sales_usd": 5e6, "food_sales_usd": 5e6, "direct": True, "people": 150, "units": 200_000,
}  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "rules"),
    [  # 21 CFR 101.9(j)(1) and (j)(18)
        ({}, ()),
        ({"total_sales_usd": 500_000}, ("(j)(1)",)),
        ({"total_sales_usd": 500_000.01}, ()),
        ({"food_sales_usd": 50_000}, ("(j)(1)",)),
        ({"food_sales_usd": 50_000, "direct": False}, ()),
        ({"people": 99, "units": 99_999}, ()),
        ({"people": 99, "units": 99_999, "notice": True}, ("(j)(18)",)),
        ({"people": 100, "units": 99_999, "notice": True}, ()),
        ({"people": 99, "units": 100_000, "notice": True}, ()),
        ({"people": 9, "units": 9_999}, ("(j)(18)",)),
        ({"people": 10, "units": 9_999}, ()),
        ({"people": 9, "units": 10_000}, ()),
        ({"people": 9, "units": 9_999, "claims": True}, ()),
    ],
)
def test_exemption(changes: dict[str, Any], rules: tuple[str, ...]) -> None:
    found = exemption.exempt(**(BIG | changes))
    assert found.rules == tuple(f"21 CFR 101.9{rule}" for rule in rules)
    assert found.exempt is bool(rules)
    assert found.reasons


def test_a_notice_is_asked_for_where_it_would_help() -> None:
    assert exemption.exempt(**(BIG | {"people": 20, "units": 20_000})).notice_needed
    assert not exemption.exempt(**BIG).notice_needed
    for bad in (-1, math.nan):
        with pytest.raises(ValueError, match="negative"):
            exemption.exempt(**(BIG | {"people": bad}))


@pytest.mark.parametrize(
    ("name", "address", "missing"),
    [  # 21 CFR 101.5
        ("Q", ["12 Ropewalk", "Port Ellery, ME 04999"], []),
        ("Q", ["12 Ropewalk, Port Ellery, ME 04999-1234"], []),
        ("Q", ["12 Ropewalk", "Port Ellery"], ["state", "ZIP"]),
        ("Q", ["12 Ropewalk", "Port Ellery, ME"], ["ZIP"]),
        ("Q", ["12 Ropewalk", "Port Ellery, XX 04999"], ["state"]),
        ("Q", ["Port Ellery, ME 04999"], ["street"]),
        ("Q", [], ["place"]),
        (" ", ["12 Ropewalk", "Port Ellery, ME 04999"], ["name"]),
    ],
)
def test_business(name: str, address: list[str], missing: list[str]) -> None:
    notes = business.check(name, address)
    assert len(notes) == len(missing)
    for note, word in zip(notes, missing, strict=True):
        assert word in note.what


def test_alcohol_by_hand() -> None:
    # 100 g: water 60, fat 15, alcohol 2, other solids 23; mL: 60 + 16.129 + 2.535 + 14.557 = 93.221
    food = holds(100, water=60, total_fat=15, alcohol=2)
    found = alcohol.shares(food)
    assert found.weight_pct == 2.0
    assert found.volume_pct == pytest.approx(2.535 / 93.221 * 100, abs=1e-3)
    assert found.most_volume_pct == found.volume_pct


def test_unknown_alcohol_is_the_most_it_can_be() -> None:
    found = alcohol.shares(holds(100, water=60, total_fat=15, alcohol=(0.0, math.nan, 2.0)))
    assert found.weight_pct == found.most_weight_pct == 2.0
    with pytest.raises(ValueError, match="weight"):
        alcohol.shares(holds(0))


def test_provisions_have_their_days() -> None:
    def keys(on: date) -> set[str]:
        return {p.key for p in provisions.in_force(on)}

    assert "sesame" not in keys(date(2022, 12, 31))  # FASTER Act: from 1 January 2023
    assert "sesame" in keys(date(2023, 1, 1))
    assert "standards revocation" not in keys(date(2040, 1, 1))  # 90 FR 33334 is a proposal
    watched = {p.key for p in provisions.to_watch(date(2026, 3, 2))}
    assert {"standards revocation", "front of pack", "red 3", "healthy"} <= watched
    assert "sesame" not in watched
