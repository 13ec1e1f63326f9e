"""Work that must stay quick, each against a floor measured in the same run.

Run with ``make bench``. A floor is the bare library doing the bare work, or our own work at a smaller size.
"""

from __future__ import annotations

import csv
import io
import time
from collections.abc import Callable

from openpyxl import Workbook

from costing.desk import PLAIN, Shop
from costing.workbook import book
from costing.workbook.proof import book as proof_book
from costing.workbook.proof.book import Proofs
from nutrition import resources
from nutrition.foods import table
from nutrition.law.us.labelling import label
from nutrition.resources import tree
from tests.costing.workbook import builders
from tests.nutrition.law.builders import plain_pint

ROUNDS = 5


def best(work: Callable[[], object]) -> float:
    """Least seconds of some rounds."""
    taken = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def test_a_workbook_against_openpyxl_writing_the_same_cells() -> None:
    model, answers = builders.shop(), builders.answers()
    made = book.build(model, builders.DAY, answers)
    sheets = [[[cell.value for cell in row] for row in sheet.iter_rows()] for sheet in made.worksheets]

    def bare() -> None:
        workbook = Workbook()
        for rows in sheets:
            sheet = workbook.create_sheet()
            for row in rows:
                sheet.append(row)
        workbook.save(io.BytesIO())

    ours, floor = best(lambda: book.render(model, builders.DAY, answers)), best(bare)
    cells = sum(len(row) for rows in sheets for row in rows)
    print(f"\n{cells} cells: {ours * 1000:.0f} ms against {floor * 1000:.0f} ms: {ours / floor:.2f} times")
    assert ours / floor < 1.6


def test_sheets_of_evidence_against_openpyxl_writing_the_same_cells() -> None:
    shop = Shop.open(str(tree("examples") / "quillfeather"))
    answers = shop.answers()
    proofs = proof_book.gather(shop, answers, {one.recipe: PLAIN for one in answers}, draws=1)
    bare_of_pictures = Proofs(proofs.evidence, {})
    made = book.build(shop.model, shop.day, answers, proofs=bare_of_pictures)
    sheets = [[[cell.value for cell in row] for row in sheet.iter_rows()] for sheet in made.worksheets]

    def bare() -> None:
        workbook = Workbook()
        for rows in sheets:
            sheet = workbook.create_sheet()
            for row in rows:
                sheet.append(row)
        workbook.save(io.BytesIO())

    ours = best(lambda: book.render(shop.model, shop.day, answers, proofs=bare_of_pictures))
    floor = best(bare)
    cells = sum(len(row) for rows in sheets for row in rows)
    print(f"\n{cells} cells: {ours * 1000:.0f} ms against {floor * 1000:.0f} ms: {ours / floor:.2f} times")
    assert ours / floor < 1.6


def test_a_thousand_labels_grow_linearly() -> None:
    """Values and statement of foods that all differ: no label is another's."""
    foods = [plain_pint(net_ml=480.0 + i / 100, declared_ml=400.0 + i / 20) for i in range(1000)]
    few, many = best(lambda: [label(food) for food in foods[::20]]), best(lambda: [label(food) for food in foods])
    print(f"\na label of 1,000: {many:.4f} ms, of 50: {few * 20:.4f} ms: {many / (few * 20):.2f} times")
    assert many / (few * 20) < 1.3


def test_thirty_foods_against_reading_the_whole_table() -> None:
    wanted = [f"{n:05d}" for n in range(1001, 1031)]

    def ours() -> None:
        table.food.cache_clear()
        for number in wanted:
            table.food(number)

    def whole() -> None:
        text = resources.data("foods", "sr28.csv").read_text(encoding="utf-8")
        list(csv.reader(text.splitlines()))

    one, two = best(ours), best(whole)
    print(f"\n30 foods: {one * 1000:.1f} ms against {two * 1000:.0f} ms: {one / two:.2f} times")
    assert one / two < 0.5
