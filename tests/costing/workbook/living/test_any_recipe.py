"""Any recipe by formulas: what they come to, with figures changed at random, is what the engine says.

The formulas are worked out here by a few lines of Python, for LibreOffice takes its time; what LibreOffice makes of
them is held against the engine in ``test_living.py``.
"""

from __future__ import annotations

import math
import os
import random
import re
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costing.kitchen.bench import KitchenError
from costing.kitchen.brew import Brew
from costing.kitchen.draws import Draws
from costing.kitchen.materials import Pantry
from costing.kitchen.pot import MONEY
from costing.kitchen.run import run
from costing.prices.book import PriceBook
from costing.purchases import Purchasing
from costing.shop.models import Recipe, ShopModel
from costing.workbook.living.facts import _same
from costing.workbook.living.inputs import Names
from costing.workbook.living.kitchen.cooking import Cook, Made
from costing.workbook.living.kitchen.family import Family, mentioned
from costing.workbook.living.kitchen.paper import Paper
from costing.workbook.living.kitchen.work import NeedsEngineError, Shared
from costing.workbook.living.terms import Term, const
from tests.costing.kitchen.builders import DAY, recipe, shop
from tests.costing.kitchen.test_balance import recipes
from tests.costing.workbook.living.changes import Cells, apply

EXAMPLES = 60 * int(os.environ.get("CREAMERY_SEEDS", "1"))


class Number(float):
    """A figure as spreadsheets have it: what cannot be worked out is an error that spreads, never an exception."""

    def __add__(self, other: float) -> Number:
        return Number(float(self) + float(other))

    __radd__ = __add__

    def __sub__(self, other: float) -> Number:
        return Number(float(self) - float(other))

    def __mul__(self, other: float) -> Number:
        return Number(float(self) * float(other))

    def __truediv__(self, other: float) -> Number:
        return Number(float(self) / float(other)) if float(other) else Number(math.nan)

    def __pow__(self, other: float) -> Number:  # type: ignore[override]
        return Number(float(self) ** float(other)) if float(self) >= 0 else Number(math.nan)

    def __neg__(self) -> Number:
        return Number(-float(self))


WORDS: dict[str, Any] = {
    "UNKNOWN": Number(math.nan),
    "IF": lambda test, yes, no: yes if test else no,
    "AND": lambda *tests: all(tests),
    "COUNT": lambda *cells: sum(isinstance(c, float) and math.isfinite(c) for c in cells),
    "MIN": lambda a, b: Number(min(a, b)) if math.isfinite(a) and math.isfinite(b) else Number(math.nan),
    "MAX": lambda a, b: Number(max(a, b)) if math.isfinite(a) and math.isfinite(b) else Number(math.nan),
    "ROUNDDOWN": lambda a, _: Number(math.floor(a)) if math.isfinite(a) else a,
    "ROUNDUP": lambda a, _: Number(math.ceil(a)) if math.isfinite(a) else a,
    "ROUND": lambda a, _: Number(round(a)) if math.isfinite(a) else a,
}


class Spreadsheet:
    """Works out the rows of the sheet Workings."""

    def __init__(self, paper: Paper, inputs: dict[str, float]) -> None:
        self._texts: dict[str, str] = {}
        for place, row in enumerate(paper.rows, start=paper.start):
            for column, what in row.cells.items():
                self._texts[f"{'ABCDEFGHIJ'[column - 1]}{place}"] = what.text if isinstance(what, Term) else what
        self._inputs = {name: Number(value) for name, value in inputs.items()}
        self._known: dict[str, Any] = {}

    def cell(self, at: str) -> Any:
        if at not in self._known:
            self._known[at] = self.work(self._texts[at])
        return self._known[at]

    def work(self, text: str) -> Any:
        parts = re.split(r'("[^"]*")', text)
        for i in range(0, len(parts), 2):
            bare = re.sub(r"(?<![<>=])=(?!=)", "==", parts[i])
            bare = re.sub(r"§([A-Z]+\d+)", r"CELL('\1')", bare)
            bare = bare.replace("^", "**")
            parts[i] = re.sub(r"(?<![\w'.])(\d+\.?\d*(?:E[-+]?\d+)?)(?![\w'])", r"Number(\1)", bare)
        found = eval("".join(parts), {"Number": Number, "CELL": self.cell, **WORDS, **self._inputs})
        return Number(math.nan) if found == "unknown" else found


def follow(model: ShopModel) -> tuple[Made, Paper, Shared]:
    """The recipe ``try`` of a shop by formulas."""
    purchasing = Purchasing(Pantry(model.ingredients, model.foods), PriceBook(model, DAY))
    locked: dict[str, str] = {}
    while True:
        shared = Shared(model, purchasing.pantry, Names(), locked, mentioned(model), frozenset(model.recipes))
        cook = Cook(shared, purchasing, _Prices(purchasing), _Shares(purchasing))
        paper = Paper(5)
        try:
            return cook.cook(model.recipes["try"], 1.0, paper, Family(model).fine("try"), {}), paper, shared
        except NeedsEngineError as refused:
            locked |= dict.fromkeys(refused.needs, refused.why)


class _Prices(dict[str, Term]):
    def __init__(self, purchasing: Purchasing) -> None:
        super().__init__()
        self._purchasing = purchasing

    def __missing__(self, name: str) -> Term:
        priced = self._purchasing.book.ingredient(name)
        return const(priced.per_gram) if priced else Term("UNKNOWN", math.nan)


class _Shares(dict[tuple[str, bool], Term]):
    def __init__(self, purchasing: Purchasing) -> None:
        super().__init__()
        self._purchasing = purchasing

    def __missing__(self, purchase: tuple[str, bool]) -> Term:
        return const(self._purchasing.share(purchase))


def made_by_engine(model: ShopModel) -> Brew:
    purchasing = Purchasing(Pantry(model.ingredients, model.foods), PriceBook(model, DAY))
    return run(model.recipes["try"], model, purchasing.pantry, purchasing.pricing, Draws())


def agree(sheet: Spreadsheet, made: Made, brew: Brew) -> None:
    """What the formulas come to is what the engine says."""
    pairs = [(f"used {p[0]}", made.used[p], float(grams[0])) for p, grams in brew.used.items()]
    for (name, *terms), filled in zip(made.filled, brew.filled, strict=True):
        engine = (filled.count, filled.grams, filled.ml)
        pairs += [(f"{name} {i}", term, float(one[0])) for i, (term, one) in enumerate(zip(terms, engine, strict=True))]
    saved = {one.name: one.pot for one in brew.saved}
    for kept in made.saved:
        pot = saved.get(kept.name)
        pairs.append((f"{kept.name} g", kept.grams, float(pot.grams()[0]) if pot else 0.0))
        pairs.append((f"{kept.name} money", kept.money, float(pot.ledger(MONEY)[0]) if pot else 0.0))
    assert saved.keys() <= {one.name for one in made.saved}
    for part in brew.parts:
        for step, record in zip(made.parts[part.name], part.steps, strict=False):
            at = f"{part.name} {step.number} {record.verb}"
            pairs += [
                (f"{at} out", step.out_g, float(record.out_g[0])),
                (f"{at} vapour", step.vapour_g, float(record.vapour_g[0])),
                (f"{at} gone", step.gone_g, float(record.discarded_g[0])),
                (f"{at} saved", step.saved_g, float(record.saved_g[0])),
                (f"{at} money", step.money_out, float(record.money_out[0])),
                (f"{at} mL", step.ml, float(record.out_ml[0])),
            ]
    for what, term, engine_says in pairs:
        assert sheet.work(term.text) == pytest.approx(engine_says, rel=1e-9, abs=1e-6, nan_ok=True), what


def model_of(made: Recipe) -> ShopModel:
    return replace(shop(), recipes={"try": made})


def held(parts: dict[str, Any], seed: int) -> bool:
    """Hold formulas against the engine, as written and with figures changed; whether the recipe can be made at all."""
    model = model_of(recipe(parts))
    try:
        brew = made_by_engine(model)
    except KitchenError:
        return False
    made, paper, shared = follow(model)
    _same(made, brew)
    names = {one.name: one for one in shared.inputs.values() if one.name}
    plain = {name: one.value for name, one in names.items()}
    agree(Spreadsheet(paper, plain), made, brew)
    dice = random.Random(seed)
    changed = dict(plain)
    for name in dice.sample(sorted(names), min(len(names), 6)):
        top = 1.0 if names[name].rule in ("share", "kept", "part") else 1e7
        changed[name] = min(top, round(plain[name] * dice.uniform(0.8, 1.2) + dice.choice((0, 0, 0.003)), 6))
    other = model
    for name, value in changed.items():
        if value != plain[name]:
            other = apply(other, Cells(names, {}, {}), name, value)
    sheet = Spreadsheet(paper, changed)
    try:
        brew = made_by_engine(other)
    except KitchenError:
        assert made.ok
        assert sheet.work(made.ok) != "ok"
        return True
    assert not made.ok or sheet.work(made.ok) == "ok"
    agree(sheet, made, brew)
    return True


FREEZE = [{"add": {"base": "all"}}, {"churn": {"machine": "freezer", "overrun": "30 %"}}]
MILK = {"cream": "2 kg", "milk": "3 kg", "sugar": "900 g"}
PINTS = [{"fill": {"container": "pint"}}]
SPECIAL: dict[str, dict[str, Any]] = {
    "press, saved, with fibre": {
        "juice": [{"add": {"quince": "3 kg", "sugar": "100 g"}}, {"press": {"of": "quince", "yields": "60 %", "fibre": "10 %", "save": "cake", "label": "juice"}}],
        "base": [{"add": {**MILK, "juice": "500 mL"}}],
        "frozen": [*FREEZE, {"fold": {"cake": "20 %"}}, *PINTS],
    },
    "press, thrown away, weighed": {
        "base": [{"add": {"quince": "4 kg", "water": "1 kg"}}, {"press": {"of": "quince", "yields": "1.5 kg"}}, {"weigh": "3.2 kg"}],
        "frozen": [*FREEZE, *PINTS],
    },
    "to Brix, with solids in": {
        "base": [{"add": {"raisins": "500 g", "sugar": "1 kg", "water": "3 L"}}, {"reduce": {"to": "40 Brix"}}, {"strain": {"out": ["raisins"], "holding": "40 %"}}],
        "frozen": [*FREEZE, *PINTS],
    },
    "by volume, then weighed": {
        "base": [{"add": MILK}, {"reduce": {"to": "90 % by volume"}}, {"cook": {"loses": "1 %"}}, {"weigh": "5 kg"}],
        "frozen": [*FREEZE, *PINTS],
    },
    "a spirit by the table": {
        "base": [{"add": {**MILK, "rum": "600 mL"}}, {"cook": {"loses": "4 %", "hold": "20 min"}}, {"reduce": {"to": "95 %", "hold": "5 min"}}],
        "frozen": [*FREEZE, *PINTS],
    },
    "a spirit without a time": {
        "syrup": [{"add": {"rum": "300 mL", "sugar": "200 g"}}, {"reduce": {"to": "50 Brix"}}, {"add": {"water": "30 g"}}],
        "base": [{"add": {**MILK, "syrup": "80 %"}}],
        "frozen": [*FREEZE, *PINTS],
    },
    "a spirit to Brix by the table, with solids in": {
        "syrup": [{"add": {"raisins": "300 g", "rum": "300 mL", "water": "300 g", "sugar": "200 g"}}, {"reduce": {"to": "45 Brix", "hold": "20 min"}}, {"strain": {"out": ["raisins"], "holding": "20 %"}}],
        "base": [{"add": {**MILK, "syrup": "all"}}],
        "frozen": [*FREEZE, *PINTS],
    },
    "a strong spirit to a weight, without a time": {
        "syrup": [{"add": {"rum": "500 g", "quince": "100 g"}}, {"reduce": {"to": "60 %"}}, {"cook": {"loses": "20 %"}}, {"weigh": "280 g"}],
        "base": [{"add": {**MILK, "syrup": "all"}}],
        "frozen": [*FREEZE, *PINTS],
    },
    "a spirit by volume": {
        "syrup": [{"add": {"rum": "300 g", "sugar": "100 g"}}, {"reduce": {"to": "80 % by volume"}}],
        "base": [{"add": {**MILK, "syrup": "all"}}],
        "frozen": [*FREEZE, *PINTS],
    },
    "sugar browns": {
        "caramel": [{"add": {"sugar": "400 g"}}, {"cook": {"how": "brown", "loses": "6 %"}}],
        "base": [{"add": {**MILK, "caramel": "all"}}],
        "frozen": [*FREEZE, *PINTS],
    },
    "butter browns": {
        "brown": {"steps": [{"add": {"butter": "700 g", "rum": "20 g"}}, {"cook": {"how": "brown", "loses": "14 %", "hold": "9 min"}}, {"strain": {"out": ["solids"], "caught": "60 g", "save": "bits", "worth": "9 USD/kg"}}], "rest": "discard"},
        "base": [{"add": {**MILK, "brown": "80 %", "bits": "50 %"}}],
        "frozen": [*FREEZE, *PINTS],
    },
    "fat lifted off": {
        "stock": [{"add": {"bacon": "900 g", "cream": "1 kg", "water": "2 L"}}, {"cool": {"to": "40 F"}}, {"strain": {"out": {"fat": "80 %", "bacon": None}, "holding": "10 %"}}],
        "base": [{"add": {**MILK, "stock": "30 %"}}],
        "frozen": [*FREEZE, *PINTS],
    },
    "rendered, not pure, weighed": {
        "fat": [{"add": {"bacon": "2 kg", "butter": "100 g"}}, {"render": {"of": "bacon", "yields": "20 %", "purity": "97 %", "save": "cracklings"}}, {"weigh": "460 g"}],
        "base": [{"add": {**MILK, "fat": "300 g"}}],
        "frozen": [*FREEZE, {"fold": {"cracklings": "100 g"}}, *PINTS],
    },
    "soaked and strained by the scale": {
        "liquor": [{"add": {"raisins": "600 g", "rum": "500 g", "sugar": "100 g"}}, {"soak": {"of": "raisins", "uptake": "20 %"}}, {"weigh": "740 g"}, {"strain": {"out": ["raisins"], "save": "soaked"}}, {"note": {"text": "keep"}}, {"weigh": "400 g"}],
        "base": [{"add": {**MILK, "liquor": "all"}}, {"lose": "2 %"}, {"weigh": "6.2 kg"}],
        "frozen": [*FREEZE, {"weigh": "6 kg"}, {"fold": {"soaked": "60 %"}}, *PINTS],
    },
    "eggs of one purchase": {
        "meringue": {"steps": [{"add": {"whites": "300 g", "sugar": "300 g"}}, {"cook": {"how": "bake", "loses": "30 %"}}], "rest": "discard"},
        "base": [{"add": {**MILK, "yolks": "400 g"}}, {"add": {"mint": "60 g"}}, {"strain": {"out": ["mint"]}}],
        "frozen": [*FREEZE, {"fold": {"meringue": "200 g"}}, *PINTS],
    },
    "containers by count and share, by the weight of a full one": {
        "base": [{"add": MILK}],
        "frozen": [{"add": {"base": "all"}}, {"churn": {"machine": "freezer", "filled": "400 g"}}, {"fill": {"container": [{"container": "pint", "count": 6}, {"container": "cup"}], "rest": "save"}}],
    },
    "containers by net weight": {
        "base": [{"add": MILK}],
        "frozen": [*FREEZE, {"fill": {"container": [{"container": "pint", "share": "40 %"}, {"container": "pint"}], "net": "380 g"}}],
    },
    "containers by net volume": {"base": [{"add": MILK}], "frozen": [*FREEZE, {"fill": {"container": "pint", "net": "470 mL"}}]},
}  # fmt: skip


@pytest.mark.parametrize("name", SPECIAL)
def test_what_random_recipes_leave_out(name: str) -> None:
    for seed in range(4):
        assert held(SPECIAL[name], seed), "the recipe itself must be one that can be made"


@settings(
    max_examples=EXAMPLES, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
@given(recipes(), st.integers(0, 2**32))
def test_any_recipe_with_figures_changed_is_what_the_engine_says(parts: dict[str, Any], seed: int) -> None:
    held(parts, seed)


@pytest.mark.parametrize("name", SPECIAL)
def test_a_price_that_nobody_knows_is_unknown_wherever_the_engine_has_it_so(name: str) -> None:
    model = model_of(recipe(SPECIAL[name]))
    for thing in {purchase[0] for purchase in made_by_engine(model).used} - {"water"}:
        without = replace(model, prices=tuple(row for row in model.prices if row.ingredient != thing))
        made, paper, shared = follow(without)
        plain = {one.name: one.value for one in shared.inputs.values() if one.name}
        agree(Spreadsheet(paper, plain), made, made_by_engine(without))
