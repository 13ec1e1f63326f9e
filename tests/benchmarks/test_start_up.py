"""How long people wait, measured against bare imports side by side: ratios, so that any machine will do.

Run by ``make bench``. Every round runs the yardstick first and the command straight after it, five times;
the medians are compared.
"""

from __future__ import annotations

import os
import shutil
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

ROUNDS = 5
HELP_LIMIT = 1.5
DEMO_LIMIT = 2.0


def seconds(command: Sequence[str], env: Mapping[str, str] | None = None) -> float:
    """How long a command takes, in s."""
    began = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=env, cwd="/")
    return time.perf_counter() - began


@pytest.fixture(scope="module")
def creamery() -> Path:
    """The installed command: of the environment that make names, else of the one that runs the tests."""
    named = os.environ.get("CREAMERY_INSTALLED") or shutil.which("creamery", path=str(Path(sys.executable).parent))
    if not named:
        pytest.skip("creamery is not installed; run `make bench`")
    return Path(named)


def compare(benchmark: BenchmarkFixture, yardstick: Sequence[str], command: Callable[[], Sequence[str]]) -> float:
    """Median of the command over median of the yardstick; both are run once before, to warm every cache."""
    yards: list[float] = []
    theirs: list[float] = []
    seconds(yardstick)
    seconds(command())

    def one_yard() -> None:
        yards.append(seconds(yardstick))

    benchmark.pedantic(lambda: theirs.append(seconds(command())), setup=one_yard, rounds=ROUNDS)
    yard, ours = statistics.median(yards), statistics.median(theirs)
    benchmark.extra_info |= {"yardstick_s": yard, "command_s": ours, "ratio": ours / yard}
    print(f"\n{ours:.3f} s against {yard:.3f} s: {ours / yard:.2f} times {' '.join(yardstick[1:])}")
    return ours / yard


def test_help_against_a_bare_import_of_typer(benchmark: BenchmarkFixture, creamery: Path) -> None:
    ratio = compare(benchmark, [sys.executable, "-c", "import typer"], lambda: [str(creamery), "--help"])
    assert ratio < HELP_LIMIT


def test_the_whole_demonstration_against_the_libraries_it_stands_on(
    benchmark: BenchmarkFixture, creamery: Path, tmp_path: Path
) -> None:
    python = creamery.parent / "python"
    yardstick = [str(python), "-c", "import pandas, openpyxl, pydantic, pint"]
    folders = (str(tmp_path / f"demo-{i}") for i in range(ROUNDS + 1))
    ratio = compare(benchmark, yardstick, lambda: [str(creamery), "demo", next(folders)])
    assert ratio < DEMO_LIMIT


def test_the_cold_first_run(benchmark: BenchmarkFixture, creamery: Path, tmp_path: Path) -> None:
    """No compiled modules, no cache of the user's: measured and told, held to no limit but a generous one."""
    times: list[float] = []

    def run() -> None:
        i = len(times)
        env = {
            **os.environ,
            "PYTHONPYCACHEPREFIX": str(tmp_path / f"code-{i}"),
            "XDG_CACHE_HOME": str(tmp_path / f"c-{i}"),
        }
        times.append(seconds([str(creamery), "demo", str(tmp_path / f"demo-{i}")], env))

    benchmark.pedantic(run, rounds=3)
    print(f"\ncold first run: {max(times):.2f} s")
    assert max(times) < 60
