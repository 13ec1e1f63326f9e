"""Which form the law allows in which room, and what is said where it allows none. 21 CFR 101.9 (from memory)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from panel_labels import AMOUNTS, BOTH, label, line
from panel_reading import crossed, outside, touching

from nutrition.law.us import label_space
from nutrition.law.us.label import Label
from nutrition.panel import choice, layout, rules
from nutrition.panel.drawing import Text
from nutrition.panel.room import FormRefusedError, PanelError, TooSmallError

ONE = ("serving",)
PINT = label_space.wrap(11.4, 3.3, lid_in=3.8)
CUP = label_space.wrap(8.3, 1.5, lid_in=2.9)
HALF_GALLON = label_space.wrap(17.2, 4.8, lid_in=6.0)


def cup() -> Label:
    """A container that is one serving."""
    return label(("container",), servings="1", measure="1 container")


@pytest.mark.parametrize(
    ("made", "room", "form"),
    [
        # Without any room said, the upright forms.
        (label(ONE), {}, "vertical"),
        (label(BOTH), {}, "dual"),
        (cup(), {}, "vertical"),
        # Height taken away: first the footnote moves, (d)(11)(i), then the panel lies down, (d)(11)(iii).
        (label(ONE), {"height_in": 4.3}, "vertical"),
        (label(ONE), {"height_in": 4.0}, "side-by-side"),
        (label(ONE), {"height_in": 2.9}, "tabular"),
        (label(BOTH), {"height_in": 4.3}, "dual"),
        (label(BOTH), {"height_in": 4.0}, "dual-side-by-side"),
        (label(BOTH), {"height_in": 3.1, "width_in": 6.0}, "dual-tabular"),
        # Containers of the example: a pint, a half-gallon with one column, a 4 ounce cup of 19 square inches.
        (label(BOTH), {"space": PINT}, "dual-tabular"),
        (label(ONE), {"space": HALF_GALLON}, "vertical"),
        (cup(), {"space": CUP}, "linear"),
        # (j)(13)(ii)(A): up to 40 square inches, and only where no standard form fits; running text comes last.
        (label(BOTH), {"width_in": 6.5, "height_in": 1.75, "area_sq_in": 40.0}, "small-dual-tabular"),
        (label(BOTH), {"width_in": 4.2, "height_in": 1.7, "area_sq_in": 40.0}, "small-tabular"),
        (label(BOTH), {"width_in": 3.0, "height_in": 1.4, "area_sq_in": 40.0}, "linear"),
    ],
)
def test_the_form_by_the_room(made: Label, room: dict[str, Any], form: str) -> None:
    drawing = layout.panel(made, **room)
    assert drawing.form == form
    assert drawing.rule == next(rule.rule for rule in rules.forms() if rule.key == form)
    wide, high = (72 * room.get(key, 99.0) for key in ("width_in", "height_in"))
    assert drawing.box[0] <= wide + 1e-6
    assert drawing.box[1] <= high + 1e-6


@pytest.mark.parametrize(
    ("made", "form", "room", "why", "paragraph"),
    [
        (label(BOTH), "vertical", {}, "200 to 300 %", "101.9(b)(12)(i)"),
        (label(BOTH), "tabular", {"height_in": 2.0}, "200 to 300 %", "101.9(b)(12)(i)"),
        (label(ONE), "dual", {}, "one column only", "101.9(b)(12)(i)"),
        (label(ONE), "side-by-side", {}, "nothing says how much", "101.9(d)(11)(i), (ii)"),
        (label(ONE), "side-by-side", {"height_in": 4.2}, "as a whole the upright form needs 4.1", "101.9(d)(11)(i), (ii)"),
        (label(BOTH), "dual-side-by-side", {"height_in": 9}, "there are 9.00 in of", "101.9(d)(11)(i), (ii), (e)(6)(i)"),
        (label(ONE), "tabular", {}, "nothing says how much", "101.9(d)(11)(iii)"),
        (label(ONE), "tabular", {"height_in": 5.0}, "there are 5.00 in of height", "101.9(d)(11)(iii)"),
        (label(BOTH), "dual-tabular", {"height_in": 4.2}, "down to potassium", "101.9(e)(6)(ii)"),
        (label(BOTH), "linear", {}, "nothing says how large", "101.9(j)(13)(ii)"),
        (label(BOTH), "linear", {"space": PINT}, "ends at 40 sq in", "101.9(j)(13)(ii)"),
        (label(ONE), "small-tabular", {"area_sq_in": 40.1}, "ends at 40 sq in", "101.9(j)(13)(ii)"),
        (label(ONE), "small-tabular", {"area_sq_in": 40.0}, "nothing says how much room", "101.9(j)(13)(ii)(A)(1)"),
        (
            label(ONE), "small-tabular", {"area_sq_in": 30.0, "width_in": 5.2, "height_in": 2.0},
            "the form tabular fits", "101.9(j)(13)(ii)(A)(1)",
        ),
        (label(ONE), "linear", {"area_sq_in": 11.0}, "a small table", "101.9(j)(13)(ii)(A)(2)"),
    ],
)  # fmt: skip
def test_a_form_that_is_not_allowed_is_refused(
    made: Label, form: str, room: dict[str, Any], why: str, paragraph: str
) -> None:
    with pytest.raises(FormRefusedError) as refused:
        layout.panel(made, form=form, **room)
    error = refused.value
    assert why in error.reason
    assert error.rule == f"21 CFR {paragraph}"
    assert str(error) == f"the form {form} is not allowed here: {error.reason} [{error.rule}]"
    # What it names instead can be had.
    for other in error.allowed:
        assert layout.panel(made, form=other, **room).form == other
    assert form not in error.allowed


def test_a_form_by_name_may_be_had_where_the_law_leaves_the_choice() -> None:
    assert layout.panel(label(BOTH), None, 4.1, form="dual-side-by-side").form == "dual-side-by-side"
    assert layout.panel(label(ONE), 3.4, 1.6, form="small-tabular", area_sq_in=11.5).form == "small-tabular"
    small = layout.panel(label(BOTH), 4.0, 1.8, form="small-tabular", area_sq_in=38.0)
    assert any("One column is printed" in note for note in small.notes)
    assert "870" not in [t.text for t in small.texts]


def test_below_twelve_square_inches_the_panel_may_be_left_off_and_that_is_said() -> None:
    drawing = layout.panel(label(ONE), area_sq_in=11.0)
    assert any("address or a telephone number" in note and "(j)(13)(i)]" in note for note in drawing.notes)
    with pytest.raises(TooSmallError) as refused:
        layout.panel(label(ONE), 0.6, 0.6, area_sq_in=11.0)
    assert "may be left off" in refused.value.mend
    assert layout.panel(label(ONE), area_sq_in=12.0).notes == ()


def test_a_height_of_three_inches_and_more_is_explained() -> None:
    (note,) = layout.panel(label(BOTH), space=PINT).notes
    assert "about 3 in of height, and there are 3.17 in" in note
    assert layout.panel(label(BOTH), 6.0, 2.99).notes == ()


@pytest.mark.parametrize(
    "room",
    [
        {"width_in": 2.0, "height_in": 1.0},
        {"height_in": 1.0},
        {"width_in": 1.0},
        {"space": label_space.rectangle(3.0, 1.0)},
        {"space": label_space.top(2.0)},
    ],
)
def test_a_label_too_small_for_any_form_says_by_how_much(room: dict[str, Any]) -> None:
    with pytest.raises(TooSmallError, match=r"no form of the panel that is allowed here fits into .* more$") as refused:
        layout.panel(label(BOTH), **room)
    wide, high = refused.value.short_in
    assert wide > 0 or high > 0
    space = room.pop("space", None)
    if space is None:
        given_wide, given_high = room.get("width_in", 8.0), room.get("height_in", 20.0)
        drawing = layout.panel(label(BOTH), min(8.0, given_wide + wide + 1e-6), min(20.0, given_high + high + 1e-6))
        assert drawing.box[0] <= 72 * (given_wide + wide) + 1e-3


@pytest.mark.parametrize("name", ["width_in", "height_in", "area_sq_in"])
@pytest.mark.parametrize("wrong", [0.0, -2.0, float("nan"), float("inf"), -float("inf")])
def test_lengths_that_are_none_are_refused(name: str, wrong: float) -> None:
    with pytest.raises(PanelError, match=r"a panel is more than 0|more than 0 square inches"):
        layout.panel(label(), **{name: wrong})


@pytest.mark.parametrize(("name", "huge"), [("width_in", 8.001), ("width_in", 1e300), ("height_in", 20.1)])
def test_huge_lengths_are_refused(name: str, huge: float) -> None:
    with pytest.raises(PanelError, match="and at most"):
        layout.panel(label(), **{name: huge})


@pytest.mark.parametrize("form", ["", "Linear", "columns", "dual ", "\u05d8"])
def test_an_unknown_form(form: str) -> None:
    if not form:
        assert layout.panel(label(), form=form).form == "dual"
        return
    with pytest.raises(PanelError, match="there is no form of the panel called") as refused:
        layout.panel(label(), form=form)
    assert "small-dual-tabular" in refused.value.mend


def test_every_form_of_the_table_can_be_drawn_and_has_a_paragraph() -> None:
    assert [rule.key for rule in rules.forms()] == list(choice.FORMS)
    assert all(rule.rule.startswith("21 CFR 101.9(") for rule in rules.forms())
    assert {rule.when for rule in rules.forms()} == {"standard", "beside", "low", "small", "last"}


SMALLEST = {"vertical": 6, "dual": 6, "side-by-side": 6, "dual-side-by-side": 6}
AMOUNT = st.sampled_from(["0g", "less than 5mg", "1,250mg", "120mg", "3.5g", "less than 1g", "99,999mcg DFE"])
EXTRA = st.lists(
    st.tuples(
        st.sampled_from(["vitamin_a", "thiamin", "pantothenic_acid", "biotin", "zinc"]),
        st.sampled_from(
            ["Zinc", "Pantothenic Acid", "Vitamin \u00c5\u00c9", "A very long name of a vitamin", "\u0416"]
        ),
    ),
    unique_by=lambda one: one[0],
    max_size=5,
)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(AMOUNT, min_size=15, max_size=15),
    st.lists(st.integers(0, 9999), min_size=15, max_size=15),
    EXTRA,
    st.sampled_from([ONE, BOTH]),
    st.sampled_from(["2/3 cup", "1/2 of the small container", "1 bar"]),
    st.one_of(st.none(), st.floats(1.0, 8.0)),
    st.one_of(st.none(), st.floats(0.8, 6.0)),
    st.one_of(st.none(), st.floats(5.0, 60.0)),
    st.booleans(),
)
def test_whatever_the_label_and_the_room_it_fits_legibly_or_is_refused(
    amounts: list[str],
    percents: list[int],
    extra: list[tuple[str, str]],
    columns: tuple[str, ...],
    measure: str,
    width: float | None,
    height: float | None,
    area: float | None,
    short: bool,
) -> None:
    shown = [
        replace(
            made := line(row, columns),
            declared=dict.fromkeys(columns, amounts[i] if i else "12,950"),
            dv_pct=dict.fromkeys(columns, percents[i]) if made.dv_pct else {},
        )
        for i, row in enumerate(AMOUNTS)
    ]
    shown += [line((key, name, "mg", "1mg", 2, "3mg", 4), columns) for key, name in extra]
    made = label(columns, lines=tuple(shown), measure=measure)
    if short:
        said = "Not a significant source of dietary fiber and vitamin D."
        made = replace(made, left_out=("dietary_fiber", "vitamin_d"), not_significant=said)
    try:
        drawing = layout.panel(made, width, height, area_sq_in=area)
    except TooSmallError as refused:
        assert max(refused.short_in) > 0
        return
    assert touching(drawing) == outside(drawing) == crossed(drawing) == []
    assert drawing.box[0] <= (width or 8.0) * 72 + 1e-6
    assert height is None or drawing.box[1] <= height * 72 + 1e-6
    small = drawing.form.startswith("small") or drawing.form == "linear"
    assert not small or (area is not None and area <= 40)
    figures = {text.size for text in drawing.texts if text.text == "12,950"}
    assert min(figures) >= (6 if small and area is not None and area < 12 else 14 if small else 22)
    assert min(text.size for text in drawing.texts if isinstance(text, Text)) >= 6
    if not small and columns == BOTH:
        assert "Per container" in [text.text for text in drawing.texts]


def test_a_place_of_no_size_is_lacking_in_both_ways() -> None:
    with pytest.raises(TooSmallError, match=r"in of width and .* in of height more"):
        layout.panel(label(), space=label_space.wrap(0.1, 0.1))
