"""The workbook of 7 flavours and of 300, plain and living, against openpyxl writing the same cells with no thinking.

Answers are there before the clock starts: what is measured is the way from answers to the bytes of a file. A living
workbook follows the kitchen of every flavour once more, by formulas.
"""

from __future__ import annotations

import gc
import io
import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from openpyxl import Workbook

from costing.desk import Shop
from costing.workbook import book
from costing.workbook.values import Formula
from nutrition.resources import tree

MOST = 1.6


def shop_of(flavours: int) -> Shop:
    """The example shop with so many flavours, the same ones under other names where there are not enough."""
    shop = Shop.open(str(tree("examples") / "quillfeather"))
    sold = [recipe for recipe in shop.model.recipes.values() if not recipe.makes]
    recipes = {key: recipe for key, recipe in shop.model.recipes.items() if recipe.makes}
    for number in range(flavours):
        recipe = sold[number % len(sold)]
        key = f"{recipe.key}-{number}"
        recipes[key] = recipe.model_copy(update={"key": key, "title": f"{number} {recipe.title}"})
    return Shop(replace(shop.model, recipes=recipes), (), shop.day)


def best(work: Callable[[], object], rounds: int) -> float:
    """Least seconds of some rounds."""
    taken = []
    for _ in range(rounds):
        gc.collect()
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


@pytest.mark.parametrize(("flavours", "rounds"), [(7, 5), (300, 1)])
@pytest.mark.parametrize("living", [False, True], ids=["plain", "living"])
def test_a_workbook_against_openpyxl_writing_the_same_cells(flavours: int, rounds: int, living: bool) -> None:
    shop = shop_of(flavours)
    answers, alive = shop.answers(), shop if living else None
    made = book.build(shop.model, shop.day, answers, living=alive)
    sheets = [[[_bare(cell.value) for cell in row] for row in sheet.iter_rows()] for sheet in made.worksheets]
    del made

    def bare() -> None:
        workbook = Workbook()
        for rows in sheets:
            sheet = workbook.create_sheet()
            for row in rows:
                sheet.append(row)
        workbook.save(io.BytesIO())

    ours = best(lambda: book.render(shop.model, shop.day, answers, living=alive), rounds)
    floor = best(bare, rounds)
    cells = sum(len(row) for rows in sheets for row in rows)
    kind = "living" if living else "plain"
    print(f"\n{flavours} flavours, {kind}, {cells} cells: {ours:.2f} s against {floor:.2f} s: {ours / floor:.2f} times")
    assert ours / floor <= MOST


def _bare(value: Any) -> Any:
    return f"={value.text}" if isinstance(value, Formula) else value
