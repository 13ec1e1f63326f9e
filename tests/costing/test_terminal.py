"""Text tables for people."""

from __future__ import annotations

import dataclasses

from costing import terminal, terminal_yields
from costing.findings import Finding
from costing.results import Driver
from tests.costing.plain_answers import HOUSE_BASE, LABEL, QUINCE, WARNING


def test_cost_shows_lines_totals_channels_and_losses() -> None:
    text = terminal.cost(QUINCE, "en_US")
    assert "Brandied quince (quince), prices of 2026-03-02" in text
    assert "5,000 g in, 10 × pint of 390 g out" in text
    assert "overrun 28%" in text
    for figure in ("$20.00", "$4.14", "-$1.25", "$1.41", "56.7%", "$13.83", "12.3 g", "Saltmarsh"):
        assert figure in text, figure
    assert "520 g" in text  # a line without words of its own shows what was bought
    assert "Also 3 × small cup of 95.0 g, at $4.14 each." in text
    assert "fill" not in text  # nothing was lost there
    assert "Saved for later: 200 g." in text


def test_cost_of_a_house_base_points_to_its_yield() -> None:
    assert "creamery yield" in terminal.cost(HOUSE_BASE, "en_US")


def test_yields_show_every_step_and_what_the_part_costs() -> None:
    text = terminal_yields.text(QUINCE, "USD", "en_US")
    assert "base: 4,400 g, $4.55 a kg" in text
    assert "loses 12 %" in text
    other = dataclasses.replace(QUINCE, recipe="fig")
    assert "base, from quince: 4,400 g" in terminal_yields.text(other, "USD", "en_US")


def test_label_shows_what_is_printed_and_what_is_unknown() -> None:
    text = terminal.label(LABEL, "en_US")
    assert "Name of the food: frozen dessert (wanted: ice cream)" in text
    assert "17g" in text
    assert "22%" in text
    assert "17.04 g" in text
    assert "0.0 to 3.0 mcg" in text
    assert "Not ready to print" in text
    assert "note: the serving is rounded [21 CFR 101.9(b)(7)]" in text
    assert "told with the findings" not in text
    ready = dataclasses.replace(LABEL, print_ready=True)
    assert "Not ready" not in terminal.label(ready, "en_US")


def test_ranges_stand_in_brackets_with_what_to_weigh_next() -> None:
    sampled = dataclasses.replace(
        QUINCE,
        ranges={"per_container.total": (4.0, 4.3), "cost.total": (41.4, 41.4001)},
        drivers=(
            Driver("fat, render", "recipes/quince.yaml:6", 83.4),
            Driver("syrup, cook", "recipes/quince.yaml:9", 0.4),
        ),
        impossible_share=0.0004,
        size=12.5,
    )
    text = terminal.cost(sampled, "en_US")
    assert "$4.14 (4.00 to 4.30)" in text
    assert "$41.40 (" not in text  # both ends print the same
    assert "0.04% of the draws cannot be made" in text
    assert "83%" in text
    assert "syrup, cook" not in text
    assert "Amounts are 12.5 times those of the recipe." in text
    impossible = dataclasses.replace(QUINCE, ranges={}, impossible_share=1.0)
    assert "100.0% of the draws cannot be made" in terminal.cost(impossible, "en_US")
    assert "In brackets" not in terminal.cost(impossible, "en_US")
    # QUINCE itself has a range for its margin, written as the shop's locale has it.
    assert "(6,00 to 6,50)" in terminal.cost(QUINCE, "de_DE")


def test_findings_come_errors_first() -> None:
    text = terminal.findings([WARNING, Finding("error", "shop.yaml:2", "bad")])
    assert text.splitlines() == [
        "error: shop.yaml:2: bad",
        "warning: recipes/quince.yaml:9: no loss given",
        "    to mend: write loses: 2 %",
    ]


def test_a_name_cannot_command_the_terminal() -> None:
    hostile = "quince\x1b]0;owned\x07\u202eecniuq\r\nsecond\x9b31m\udc80"
    clean = terminal.clean(hostile)
    assert clean == "quince]0;ownedecniuq second31m"
    evil = dataclasses.replace(QUINCE, title=hostile)
    assert "\x1b" not in terminal_yields.text(evil, "USD", "en_US")
    assert "\x1b" not in terminal.findings([Finding("error", hostile, hostile, hostile)])


def test_columns_line_up_with_wide_and_combining_letters() -> None:
    lines = terminal.table(("n", "x"), [("無花果", "1"), ("cafe\u0301", "2"), ("🍨", "3")]).splitlines()
    assert {terminal.width(line) for line in lines} == {9}


def test_long_names_are_cut() -> None:
    line = terminal.table(("n",), [("x" * 100,)]).splitlines()[-1]
    assert terminal.width(line) <= terminal.WIDEST
    assert line.endswith("…")


def test_brackets_are_explained_only_where_there_are_any() -> None:
    answer = dataclasses.replace(HOUSE_BASE, ranges={"batch.out_g": (1.0, 2.0)})
    assert "In brackets" in terminal.spread(answer, "en_US", "cost $4.10 (4.02 to 4.31)")[0]
    assert "moves none of these figures" in terminal.spread(answer, "en_US", "cost (of all) $4.10")[0]
