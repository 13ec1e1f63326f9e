"""Room for a label, against 21 CFR 101.1 as its paragraphs say it (from memory)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutrition.law.us import label_space, net_quantity

INCHES = st.floats(0.2, 40.0)


@given(INCHES, INCHES, st.one_of(st.just(0.0), INCHES))
def test_a_cylinder_counts_for_two_fifths(around: float, high: float, lid: float) -> None:
    space = label_space.wrap(around, high, lid)
    assert space.main_panel_sq_in == pytest.approx(0.4 * around * high)
    assert space.available_sq_in == pytest.approx(around * high + math.pi * (lid / 2) ** 2)
    assert space.main_width_in * space.label_height_in == pytest.approx(space.main_panel_sq_in)
    # Main panel and information panel share the wrap, and what the cutter needs is taken off both edges.
    assert space.width_in <= 0.68 * around
    assert space.beside(0.4).width_in <= min(space.width_in, 0.6 * around)
    assert space.height_in == pytest.approx(max(0.0, high - 0.125))


@given(INCHES, INCHES)
def test_a_rectangle_counts_whole(wide: float, high: float) -> None:
    assert label_space.rectangle(wide, high).main_panel_sq_in == pytest.approx(wide * high)


@given(INCHES)
def test_an_obvious_top_counts_whole_and_text_fits_into_its_circle(across: float) -> None:
    space = label_space.top(across)
    assert space.main_panel_sq_in == space.available_sq_in == pytest.approx(math.pi * (across / 2) ** 2)
    assert math.hypot(space.width_in, space.height_in) <= across


def test_type_of_the_net_quantity_follows_from_the_space() -> None:
    # A pint tub of 3.3 in by 11.4 in around: 15.05 sq in of main panel, so 1/8 in.
    assert net_quantity.type_height(label_space.wrap(11.4, 3.3).main_panel_sq_in).text == "1/8 in"
    assert net_quantity.type_height(label_space.wrap(8.3, 1.5).main_panel_sq_in).text == "1/16 in"
    assert net_quantity.type_height(label_space.wrap(17.2, 4.8).main_panel_sq_in).text == "3/16 in"


def test_a_measured_main_panel_stands_in() -> None:
    space = label_space.rectangle(4.0, 2.5).with_main_panel(30.0)
    assert (space.main_panel_sq_in, space.available_sq_in) == (30.0, 30.0)
    assert "measured" in space.rule
    assert label_space.wrap(11.4, 3.3, 3.8).with_main_panel(12.0).available_sq_in > 48


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan, math.inf])
def test_no_label_without_a_size(wrong: float) -> None:
    for make in (
        lambda: label_space.wrap(wrong, 3.0),
        lambda: label_space.rectangle(3.0, wrong),
        lambda: label_space.top(wrong),
    ):
        with pytest.raises(ValueError, match="above zero"):
            make()
    with pytest.raises(ValueError, match="above zero"):
        label_space.rectangle(3.0, 2.0).with_main_panel(wrong)


@given(st.floats(10.0, 10_000.0), st.floats(0.1, 10.0))
def test_no_tub_of_a_volume_has_less_surface(ml: float, slim: float) -> None:
    """Any other cylinder of that volume: radius r, height V / (pi r squared), side and top."""
    cubic_inches = ml / 16.387064
    radius = slim * (cubic_inches / math.pi) ** (1 / 3)
    surface = 2 * cubic_inches / radius + math.pi * radius**2
    assert label_space.least_surface(ml) <= surface * (1 + 1e-12)


def test_a_small_sticker_does_not_make_a_small_package() -> None:
    sticker = label_space.rectangle(3.0, 2.0)
    assert sticker.available_sq_in < 12
    assert sticker.with_available(label_space.least_surface(473.176473)).available_sq_in > 40
    assert label_space.wrap(11.4, 3.3, 3.8).with_available(1.0).available_sq_in > 48
    for wrong in (0.0, -1.0, math.nan):
        with pytest.raises(ValueError, match=r"above zero|more than nothing"):
            sticker.with_available(wrong)
        with pytest.raises(ValueError, match=r"above zero|more than nothing"):
            label_space.least_surface(wrong)
