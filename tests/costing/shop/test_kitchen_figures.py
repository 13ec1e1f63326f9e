"""Figures of kitchen steps that cannot be are found while reading: one clear finding each, with its line, and no shop."""

import pytest

from costing.shop.reader import read
from tests.costing.shop.conftest import DAY

RECIPE = "recipes/vanilla.yaml"
ADD = "- add: {heavy cream: 2 cups, sugar: 190 g}"
FILL = "- fill: {container: pint}"


@pytest.mark.parametrize(
    ("written", "what", "mend"),
    [
        # shares below nothing
        ("- cook: {loses: -3 %}", "loses: '-3 %' is below zero", "0 or more"),
        ("- cook: {to: -90 %}", "to: '-90 %' is below zero", "0 or more"),
        ("- reduce: -50 %", "'-50 %' is below zero", "0 or more"),
        ("- reduce: -50 % by volume", "below zero", "0 or more"),
        ("- render: {of: heavy cream, yields: -1 %}", "yields: '-1 %' is below zero", "0 or more"),
        ("- render: {of: heavy cream, yields: 10 %, purity: -99 %}", "purity: '-99 %' is below zero", "0 or more"),
        ("- press: {of: heavy cream, yields: -5 %}", "yields: '-5 %' is below zero", "0 or more"),
        ("- soak: {of: sugar, uptake: -30 %}", "uptake: '-30 %' is below zero", "0 or more"),
        ("- strain: {out: {sugar: -10 %}}", "'-10 %' is below zero", "0 or more"),
        ("- strain: {out: [sugar], holding: -10 %}", "holding: '-10 %' is below zero", "0 or more"),
        ("- strain: {out: [sugar], extracts: -10 %}", "extracts: '-10 %' is below zero", "0 or more"),
        ("- strain: {out: [sugar], caught: -10 g}", "caught: '-10 g' is below zero", "0 or more"),
        ("- trim: {sugar: -60 %}", "'-60 %' is below zero", "0 or more"),
        ("- lose: -2 %", "'-2 %' is below zero", "0 or more"),
        ("- lose: -20 g", "'-20 g' is below zero", "0 or more"),
        ("- weigh: -900 g", "'-900 g' is below zero", "0 or more"),
        ("- churn: {overrun: -5 %}", "overrun: '-5 %' is below zero", "0 or more"),
        ("- churn: {overrun: 30 %, leaves: -5 g}", "leaves: '-5 g' is below zero", "0 or more"),
        # shares above the whole
        ("- cook: {to: 101 %}", "to: '101 %' is more than 100 %", "from 0 % to 100 %"),
        ("- reduce: 150 %", "'150 %' is more than 100 %", "from 0 % to 100 %"),
        ("- reduce: 120 % by volume", "'120 %' is more than 100 %", "from 0 % to 100 %"),
        ("- render: {of: heavy cream, yields: 110 %}", "yields: '110 %' is more than 100 %", "from 0 % to 100 %"),
        ("- render: {of: heavy cream, yields: 10 %, purity: 100.5 %}", "purity: '100.5 %' is more", "from 0 % to 100 %"),
        ("- press: {of: heavy cream, yields: 105 %}", "yields: '105 %' is more than 100 %", "from 0 % to 100 %"),
        ("- press: {of: heavy cream, yields: 50 %, fibre: 105 %}", "fibre: '105 %' is more", "from 0 % to 100 %"),
        ("- strain: {out: {sugar: 101 %}}", "'101 %' is more than 100 %", "from 0 % to 100 %"),
        ("- strain: {out: [sugar], extracts: 130 %}", "extracts: '130 %' is more", "from 0 % to 100 %"),
        ("- trim: {sugar: 100.1 %}", "'100.1 %' is more than 100 %", "from 0 % to 100 %"),
        ("- lose: 101 %", "'101 %' is more than 100 %", "from 0 % to 100 %"),
        ("- cook: {loses: 90 % to 110 %}", "is more than 100 %", "from 0 % to 100 %"),
        ("- churn: {overrun: 1100 %}", "overrun: '1100 %' is more than 1000 %", "0 % to 1000 %"),
        # Brix
        ("- reduce: 101 Brix", "is more than 100 %|leaves no water", "100 %|65 Brix"),
        ("- reduce: {to: 60 Brix to 100 Brix}", "leaves no water at all", "65 Brix"),
        ("- reduce: -4 Brix", "'-4 Brix' is not a Brix", "65 Brix"),
        # nothing where there must be something
        ("- render: {of: heavy cream, yields: 10 %, purity: 0 %}", "purity: '0 %' must be above zero", "what it really is"),
        ("- weigh: 0 g", "weigh: '0 g' must be above zero", "what it really is"),
        ("- churn: {filled: 0 g}", "filled: '0 g' must be above zero", "what it really is"),
        # ranges that run backwards
        ("- cook: {loses: 9 % to 4 %}", "runs backwards", "smaller end first"),
        # keys that the verb does not take
        ("- render: {of: heavy cream, yields: 10 %, purety: 99 %}", "'render' takes no 'purety'", "did you mean 'purity'?"),
        ("- cook: {how: boil}", "how: 'boil' is not possible here", "simmer, bake, toast, brown"),
    ],
)  # fmt: skip
def test_figures_that_cannot_be(folder, written, what, mend):
    found = folder.recipe(ADD, written, FILL).only()
    assert found.where == folder.line(RECIPE, written)
    assert any(bit in found.what for bit in what.split("|")), found
    assert any(bit in found.mend for bit in mend.split("|")), found


def test_purity_is_read_as_a_share_or_a_range(folder):
    for written, low, high in (("99.5 %", 0.995, 0.995), ("98 % to 99.5 %", 0.98, 0.995)):
        step = f"- render: {{of: heavy cream, yields: 20 %, purity: {written}}}"
        model, found = read(folder.recipe(ADD, step, FILL).path, DAY)
        assert found == ()
        purity = model.recipes["vanilla"].parts[0].steps[1].purity
        assert (purity.low, purity.high) == (pytest.approx(low), pytest.approx(high))
