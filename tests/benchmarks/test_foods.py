"""Foods: an import against pyarrow merely parsing the same files, look-ups, and searches against the bare query.

The download is made up, in USDA's columns and at its real size (``CREAMERY_FOODS=200000`` makes a smaller one).
"""

from __future__ import annotations

import contextlib
import csv
import os
import shutil
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pyarrow as pa
import pyarrow.csv as pacsv
import pytest

from nutrition import resources
from nutrition.foods import index, search, table
from nutrition.foods.fdc import layout
from nutrition.foods.fdc.store import Store
from tests.benchmarks import synthetic_fdc

FOODS = int(os.environ.get("CREAMERY_FOODS", "2000000"))
IMPORT = """
import re, resource, sys, time
from pathlib import Path
from nutrition.foods.fdc import intake
start = time.perf_counter()
taken = intake.take(Path(sys.argv[1]), Path(sys.argv[2]))
seconds = time.perf_counter() - start
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
status = Path("/proc/self/status")
if status.exists():
    # Linux hands the peak of the process that started this one down to it; the high-water mark is our own.
    peak = int(re.search(r"VmHWM:\\s+(\\d+) kB", status.read_text())[1])
print(seconds, peak * 1024, sum(part.foods for part in taken.parts))
"""
QUESTIONS = (
    "heavy cream",
    "chocolate",
    "milk",
    "frozen yogurt",
    "roasted pecan",
    "raw cherries",
    "beef",
    "dark rum cake",
)


def seconds(work: Callable[[], object], rounds: int = 1) -> float:
    """Least seconds of some rounds."""
    taken = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


@pytest.fixture(scope="module")
def download(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The download, unpacked; taken away afterwards, for it takes 2.6 GB."""
    home = tmp_path_factory.mktemp("download")
    yield synthetic_fdc.write(home, FOODS)
    shutil.rmtree(home)


@pytest.fixture(scope="module")
def measured(download: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[float, float, float, Path]]:
    """Seconds of the floor, seconds and peak bytes of the import, and the library that it made."""
    home = tmp_path_factory.mktemp("home")

    def parse() -> None:
        for path in sorted(download.glob("*.csv")):
            # The type that the parser would guess from the first foods does not hold to the last.
            types = {"food_category_id": pa.string(), "gtin_upc": pa.string()}
            for _ in pacsv.open_csv(
                path,
                parse_options=pacsv.ParseOptions(newlines_in_values=True),
                convert_options=pacsv.ConvertOptions(column_types=types),
            ):
                pass

    floor = seconds(parse)
    root = Path(__file__).parents[2]
    command = [sys.executable, "-c", IMPORT, str(download), str(home / "foods")]
    found = subprocess.run(command, cwd=root, check=True, capture_output=True, text=True)
    taken, peak, foods = (float(word) for word in found.stdout.split())
    assert foods > FOODS * 0.99
    # Before and after, so that another's work on this machine weighs on both.
    floor = (floor + seconds(parse)) / 2
    yield floor, taken, peak, home / "foods"
    shutil.rmtree(home)


def test_an_import_against_pyarrow_parsing_the_same_files(measured: tuple[float, float, float, Path]) -> None:
    floor, taken, peak, library = measured
    size = sum(path.stat().st_size for path in library.iterdir())
    print(f"\n{FOODS:,} foods: import {taken:.1f} s against {floor:.1f} s: {taken / floor:.2f} times; "
          f"peak {peak / 2**20:.0f} MB; library {size / 2**20:.0f} MB")  # fmt: skip
    assert taken / floor <= 3
    assert peak < 2**30


def test_a_search_among_all_of_them_against_the_bare_query(
    measured: tuple[float, float, float, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    *_, library = measured
    monkeypatch.setenv("CREAMERY_HOME", str(library.parent))
    monkeypatch.setenv("CREAMERY_CACHE", str(tmp_path / "cache"))
    search.search("milk")
    bare = sqlite3.connect(tmp_path / "bare.sqlite", isolation_level=None)
    bare.execute("PRAGMA journal_mode = OFF")
    bare.execute("CREATE VIRTUAL TABLE foods USING fts5(name, content = '')")
    number = 0
    for part in layout.parts(library):
        bare.execute("ATTACH ? AS part", (str(library / part.names),))
        bare.execute("INSERT INTO foods (rowid, name) SELECT ? + place, called FROM part.food", (number,))
        bare.execute("DETACH part")
        number += part.foods

    def plain(question: str) -> None:
        words = " AND ".join(f'"{word}"*' for word in question.split())
        bare.execute("SELECT rowid FROM foods WHERE foods MATCH ? ORDER BY rank LIMIT 20", (words,)).fetchall()

    ours = floor = worst = 0.0
    for question in QUESTIONS:
        one, two = seconds(lambda q=question: search.search(q), 3), seconds(lambda q=question: plain(q), 3)  # type: ignore[misc]
        print(f"\n{question}: {one * 1000:.1f} ms against {two * 1000:.1f} ms", end="")
        ours, floor, worst = ours + one, floor + two, max(worst, one / two)
    print(
        f"\n{number:,} foods, {len(QUESTIONS)} questions: {ours * 1000:.0f} ms against {floor * 1000:.0f} ms: {ours / floor:.2f} times"
    )
    bare.close()
    assert ours / floor <= 3


def test_one_food_of_the_library_against_reading_its_row(measured: tuple[float, float, float, Path]) -> None:
    *_, library = measured
    with Store.open(library) as store:
        ids = [int(hit.id[4:]) for hit in store.search("cream", 200)]
        part = store.parts[-1]
        with contextlib.closing(sqlite3.connect(library / part.values)) as values:
            bare = seconds(
                lambda: [values.execute("SELECT held FROM amounts WHERE id = ?", (i,)).fetchone() for i in ids], 3
            )
        ours = seconds(lambda: [store.food(i) for i in ids], 3)
    print(f"\na record: {ours / len(ids) * 1e6:.0f} us, its row alone {bare / len(ids) * 1e6:.0f} us")
    # A record is some 60 figures with bounds, estimates and label intervals; it must stay in the hundreds of a row.
    assert ours / bare < 600


def test_a_thousand_foods_of_the_embedded_table_against_reading_it_all() -> None:
    wanted = [row[0] for row in table.raw_rows()][::8][:1000]

    def ours() -> None:
        table.food.cache_clear()
        for number in wanted:
            table.food(number)

    def whole() -> None:
        # All figures of all foods, without bounds and without estimates.
        text = resources.data("foods", "sr28.csv").read_text(encoding="utf-8")
        for row in csv.reader(text.splitlines()):
            [float(cell) for cell in row if cell and cell[0].isdigit() and cell.replace(".", "").isdigit()]

    one, two = seconds(ours, 3), seconds(whole, 3)
    print(f"\n1,000 foods: {one * 1000:.0f} ms against {two * 1000:.0f} ms: {one / two:.2f} times")
    assert one / two < 3


def test_the_first_search_of_all_against_bare_indexing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CREAMERY_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("CREAMERY_CACHE", str(tmp_path / "cache"))

    def cold() -> None:
        shutil.rmtree(tmp_path / "cache", ignore_errors=True)
        index.stamp.cache_clear()
        search.search("heavy cream")

    def bare() -> None:
        (tmp_path / "bare.sqlite").unlink(missing_ok=True)
        with contextlib.closing(sqlite3.connect(tmp_path / "bare.sqlite")) as base, base:
            base.execute("CREATE VIRTUAL TABLE foods USING fts5(ndb UNINDEXED, name, prefix = '2 3')")
            base.executemany("INSERT INTO foods VALUES (?, ?)", ((row[0], row[1]) for row in table.raw_rows()))
            base.execute("SELECT ndb FROM foods WHERE foods MATCH 'heavy cream' ORDER BY rank LIMIT 20").fetchall()

    one, two = seconds(cold, 3), seconds(bare, 3)
    print(f"\nthe first search: {one * 1000:.0f} ms against {two * 1000:.0f} ms: {one / two:.2f} times")
    assert one / two < 4
