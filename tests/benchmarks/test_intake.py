"""A supplier's list of 20,000 rows, read here and read by pandas, in the same run: ratios only.

The floor is pandas reading the same file to cells and no further: ``read_csv`` with its own C engine, ``read_excel`` with
openpyxl, texts kept as Python's own, as they are where nothing but this project's requirements is installed. Here the
same file is read to goods: names without spare spaces, packs in words that the shop's lists use, prices as numbers with
their currency. Rounds of both alternate, and what counts is the least time of each: what else the machine does can only
add to it.

What pandas takes to give the same (tidy names, prices without their marks as numbers) is printed beside it.
"""

from __future__ import annotations

import csv
import gc
import random
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import openpyxl
import pandas as pd
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from costing.prices.intake import lines, opened
from costing.prices.intake.lines import Lines
from costing.prices.intake.mapping import Mapped

ROWS = 20_000
LIMIT = 2.0
DRESSED = 2.5
"""for lists in which rows, letters or prices have to be looked at more closely than pandas looks at them"""
ROUNDS = 81
HEADS = ("Item No", "Description", "Pack", "UOM", "Price")
MAPPED = Mapped(
    "North", True, {"item": "Description", "code": "Item No", "pack": "Pack", "unit": "UOM", "price": "Price"},
    HEADS, "USD", "point",
)  # fmt: skip


def goods() -> list[tuple[Any, ...]]:
    """Made-up goods: 100 packs, prices up to 2,000 dollars."""
    chance = random.Random(4)
    packs = [f"{a}/{b} OZ" for a in (6, 12, 24) for b in range(9, 40)] + [
        "4/1 GAL",
        "50#",
        "CS 12x32oz",
        "500 ct",
        "15 dz",
    ]
    return [
        (
            100_000 + i,
            f"CREAM {i} HVY {chance.randint(1, 99)}%",
            chance.choice(packs),
            "CS",
            round(chance.uniform(3, 2000), 2),
        )
        for i in range(ROWS)
    ]


@pytest.fixture(scope="module")
def csv_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("lists") / "list.csv"
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(HEADS)
        writer.writerows((*one[:4], f"${one[4]:,.2f}") for one in goods())
    return path


@pytest.fixture(scope="module")
def xlsx_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("lists") / "list.xlsx"
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("Prices")
    sheet.append(HEADS)
    for one in goods():
        sheet.append(one)
    book.save(path)
    return path


@pytest.fixture(autouse=True)
def as_the_command_runs() -> Iterator[None]:
    """Garbage is looked for as seldom as the command does (:func:`costing.cli.main`), for both sides."""
    before = gc.get_threshold()
    gc.set_threshold(200_000, 20, 100)
    with pd.option_context("mode.string_storage", "python"):
        yield
    gc.set_threshold(*before)


def taken(path: Path) -> Lines:
    """The goods of a list, from the file."""
    ((sheet, head),) = lines.locate(opened.read(path).sheets, MAPPED)
    return lines.take(sheet, head, MAPPED, "USD")


def by_pandas(path: Path) -> pd.DataFrame:
    """The same by pandas."""
    frame = pd.read_csv(path, dtype={"Item No": str})
    for name in ("Description", "Pack", "UOM"):
        frame[name] = frame[name].str.strip().str.replace(r"\s+", " ", regex=True)
    frame["Price"] = frame["Price"].str.replace(r"[$,]", "", regex=True).astype(float)
    return frame


def ratio(
    benchmark: BenchmarkFixture, ours: Callable[[], object], theirs: Callable[[], object], rounds: int
) -> tuple[float, float, float]:
    """Least seconds of both, rounds alternating, and how many times longer ours took."""
    mine: list[float] = []
    other: list[float] = []

    def timed(what: Callable[[], object], into: list[float]) -> None:
        began = time.perf_counter()
        what()
        into.append(time.perf_counter() - began)

    ours()
    theirs()
    benchmark.pedantic(lambda: timed(ours, mine), setup=lambda: timed(theirs, other), rounds=rounds)
    least = min(mine), min(other)
    benchmark.extra_info |= {"ours_s": least[0], "pandas_s": least[1], "ratio": least[0] / least[1]}
    return *least, least[0] / least[1]


def test_a_workbook_to_goods(benchmark: BenchmarkFixture, xlsx_file: Path) -> None:
    assert len(taken(xlsx_file).prices) == ROWS
    mine, other, times = ratio(benchmark, lambda: taken(xlsx_file), lambda: pd.read_excel(xlsx_file), 3)
    print(f"\nworkbook of {ROWS:,} rows to goods: {mine:.2f} s, pandas to cells {other:.2f} s: {times:.2f} times")
    assert times <= LIMIT


def test_a_csv_file_to_goods(benchmark: BenchmarkFixture, csv_file: Path) -> None:
    frame, found = by_pandas(csv_file), taken(csv_file)
    assert found.prices == frame["Price"].tolist()
    assert found.items == frame["Description"].tolist()
    mine, other, times = ratio(benchmark, lambda: taken(csv_file), lambda: pd.read_csv(csv_file), ROUNDS)
    began = time.perf_counter()
    by_pandas(csv_file)
    same = time.perf_counter() - began
    print(
        f"\nCSV of {ROWS:,} rows to goods: {1e3 * mine:.1f} ms, pandas to cells {1e3 * other:.1f} ms: {times:.2f} times "
        f"(pandas to the same goods {1e3 * same:.1f} ms)"
    )
    assert times <= LIMIT


def european(price: float) -> str:
    """A price with a comma and its mark behind."""
    return f"{price:,.2f} €".translate(str.maketrans(",.", ".,"))


@pytest.mark.parametrize("dress", ["accents", "marks behind", "sections", "spaces", "words for prices", "inches"])
def test_a_csv_file_in_another_dress_to_goods(benchmark: BenchmarkFixture, tmp_path: Path, dress: str) -> None:
    path = tmp_path / "list.csv"
    listed = [[*one[:4], f"${one[4]:,.2f}"] for one in goods()]
    mapped, sign = MAPPED, ","
    if dress == "accents":
        listed[::50] = [[one[0], one[1].replace("CREAM", "CRÈME"), *one[2:]] for one in listed[::50]]
    elif dress == "marks behind":
        listed = [[*one[:4], european(one[4])] for one in goods()]
        mapped, sign = replace(MAPPED, decimals="comma", currency="EUR"), ";"
    elif dress == "sections":
        listed = [row for at in range(0, ROWS, 500) for row in (["", "DAIRY", "", "", ""], *listed[at : at + 500])]
    elif dress == "spaces":
        listed = [[one[0], f"{one[1]}  ", *one[2:]] for one in listed]
    elif dress == "words for prices":
        listed[::100] = [[*one[:4], "CALL"] for one in listed[::100]]
    else:
        listed = [[one[0], f'{one[1]} 3"', *one[2:]] for one in listed]
    with path.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out, lineterminator="\n", delimiter=sign).writerows([HEADS, *listed])

    def ours() -> Lines:
        ((sheet, head),) = lines.locate(opened.read(path).sheets, mapped)
        return lines.take(sheet, head, mapped, "USD")

    assert len(ours().prices) == ROWS - (ROWS // 100 if dress == "words for prices" else 0)
    mine, other, times = ratio(benchmark, ours, lambda: pd.read_csv(path, sep=sign), ROUNDS // 3)
    print(f"\nCSV with {dress} to goods: {1e3 * mine:.1f} ms, pandas to cells {1e3 * other:.1f} ms: {times:.2f} times")
    assert times <= DRESSED


def test_a_csv_file_to_cells(benchmark: BenchmarkFixture, csv_file: Path) -> None:
    assert len(opened.read(csv_file).sheets[0].rows) == ROWS + 1
    mine, other, times = ratio(benchmark, lambda: opened.read(csv_file), lambda: pd.read_csv(csv_file), ROUNDS)
    print(f"\nCSV of {ROWS:,} rows to cells: {1e3 * mine:.1f} ms, pandas {1e3 * other:.1f} ms: {times:.2f} times")
    assert times <= LIMIT
