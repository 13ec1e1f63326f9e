"""What stands behind labels must stay quick, each against a floor measured in the same run.

Run with ``make bench``.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from costing import Shop
from costing.evidence.gather import gather
from nutrition.law.us import next_step
from nutrition.law.us.labelling import label
from nutrition.resources import tree
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


def test_chances_of_4096_amounts_against_printing_every_one() -> None:
    prints = next_step.printing(label(plain_pint()), "total_fat")
    amounts = np.random.default_rng(1).normal(17.0, 0.6, 4096)

    def one_by_one() -> None:
        for amount in amounts:
            prints(float(amount))

    ours, floor = best(lambda: next_step.chances(prints, amounts)), best(one_by_one)
    print(f"\n{ours * 1000:.2f} ms against {floor * 1000:.1f} ms: {ours / floor:.2f} times")
    assert ours / floor < 0.3


def test_all_evidence_of_a_flavour_against_answering_it() -> None:
    shop = Shop.open(str(tree("examples") / "quillfeather"))
    answer = shop.answer("quince")

    def answered() -> None:
        shop._answers.clear()
        shop._brews.clear()
        shop.answer("quince")

    ours, floor = best(lambda: gather(shop, answer)), best(answered)
    print(f"\n{ours * 1000:.1f} ms against {floor * 1000:.1f} ms: {ours / floor:.2f} times")
    assert ours / floor < 4.0
