"""How the kitchen's time grows: with draws against plain numpy, with flavours against a straight line. Ratios only.

The yardstick for a sample of 4,096 draws is made of the kitchen's own work. In a first pass, which is not timed, every
array operation is counted together with how many numbers it goes over: an ndarray subclass notes each ufunc, reduction,
numpy function, copy and assignment, and passes itself on to whatever comes out; making room (``zeros``) counts for
nothing. The yardstick then does as many operations of the same sizes in plain numpy, each a contiguous multiplication
of float64 arrays into a fresh result. What the kitchen adds to that (Python, strides, sums over short axes, merging,
its balance check after every step) may cost four times as much again. The number of operations has a limit of its own,
or the yardstick would grow with what it measures.

Kitchen and yardstick take turns, and the best of each counts: other work on the machine can only make either slower.
"""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from costing.desk import Shop
from costing.kitchen.draws import Draws
from nutrition.resources import tree

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytest_benchmark.fixture import BenchmarkFixture

DRAWS = 4096
ROUNDS = 9
SAMPLE_LIMIT = 5.0
OPERATIONS_LIMIT = 600
"""array operations a step; checks, searches for a Brix or a volume, and the second pass that some recipes' money needs are
among them"""
FEW, MANY = 50, 1000
GROWTH_LIMIT = 1.2
GROWTH_ROUNDS = 3

seen: Counter[int] = Counter()
"""size of an operation, in numbers, to how often it was done"""


def _size(value: object) -> int:
    if isinstance(value, np.ndarray):
        return value.size
    if isinstance(value, (tuple, list)):
        return max((_size(one) for one in value), default=0)
    return 0


class Counting(np.ndarray):
    """An array that notes every operation done with it."""

    def __array_ufunc__(self, ufunc: Any, method: str, *inputs: Any, out: Any = None, **kwargs: Any) -> Any:
        plain = [np.asarray(one) if isinstance(one, np.ndarray) else one for one in inputs]
        if out is not None:
            kwargs["out"] = tuple(np.asarray(one) for one in out)
        if isinstance(kwargs.get("where"), np.ndarray):
            kwargs["where"] = np.asarray(kwargs["where"])
        found = getattr(ufunc, method)(*plain, **kwargs)
        seen[max(_size(inputs), _size(found))] += 1
        if out is not None:
            return out[0] if len(out) == 1 else out
        return found.view(Counting) if isinstance(found, np.ndarray) else found

    def __array_function__(self, func: Any, types: Any, args: Any, kwargs: Any) -> Any:
        found = super().__array_function__(func, [Counting], _plain(args), _plain(kwargs))
        seen[max(_size(args), _size(found))] += 1
        return found.view(Counting) if isinstance(found, np.ndarray) else found

    def __setitem__(self, key: Any, value: Any) -> None:
        target = np.asarray(self)
        seen[_size(target[key])] += 1
        target[key] = value

    def copy(self, *args: Any, **kwargs: Any) -> Any:
        seen[self.size] += 1
        return super().copy(*args, **kwargs)


def _plain(value: Any) -> Any:
    if isinstance(value, Counting):
        return np.asarray(value)
    if isinstance(value, (tuple, list)):
        return type(value)(_plain(one) for one in value)
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    return value


MADE = ("ones", "full", "ones_like", "array", "stack", "concatenate", "where", "divide", "repeat", "interp")
ROOM = ("zeros", "zeros_like")


def operations(shop: Shop, key: str, monkeypatch: pytest.MonkeyPatch) -> Counter[int]:
    """How many array operations one pass over a sample takes, by their size in numbers."""
    seen.clear()
    with monkeypatch.context() as patched:
        for name in MADE + ROOM:
            patched.setattr(np, name, _noting(getattr(np, name), name in MADE))
        shop.brew(key, Draws(DRAWS))
    return Counter({size: times for size, times in seen.items() if size})


def _noting(make: Callable[..., Any], counts: bool) -> Callable[..., Any]:
    """A numpy function that counts, if it is to, and so does everything that is done with what it gives."""

    def noting(*args: Any, **kwargs: Any) -> Any:
        found = make(*_plain(args), **_plain(kwargs))
        if counts:
            seen[max(_size(args), _size(found))] += 1
        return found.view(Counting) if isinstance(found, np.ndarray) and found.dtype == np.float64 else found

    return noting


def yardstick(work: list[tuple[np.ndarray[Any, Any], int]]) -> float:
    """Seconds that numpy takes for so many multiplications of each of these arrays with itself."""
    began = time.perf_counter()
    for numbers, times in work:
        for _ in range(times):
            np.multiply(numbers, numbers)
    return time.perf_counter() - began


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


def length(shop: Shop, key: str) -> int:
    """Steps of a flavour, those of its house base among them."""
    return sum(len(part.steps) for part in shop.brew(key).parts)


def test_a_sample_against_numpy_doing_as_much(
    benchmark: BenchmarkFixture, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    longest = max(shop.model.recipes, key=lambda key: length(shop, key))
    counts = operations(shop, longest, monkeypatch)
    work = [(np.full(size, 1.5), times) for size, times in counts.items()]
    shop.brew(longest, Draws(DRAWS))
    yardstick(work)
    ours: list[float] = []
    theirs: list[float] = []

    def one() -> None:
        began = time.perf_counter()
        shop.brew(longest, Draws(DRAWS))
        ours.append(time.perf_counter() - began)

    benchmark.pedantic(one, setup=lambda: theirs.append(yardstick(work)), rounds=ROUNDS)
    ratio = min(ours) / min(theirs)
    each = counts.total() / length(shop, longest)
    benchmark.extra_info |= {"yardstick_s": min(theirs), "kitchen_s": min(ours), "ratio": ratio, "operations": each}
    print(
        f"\n{longest}, {DRAWS:,} draws: {min(ours) * 1000:.0f} ms against {min(theirs) * 1000:.0f} ms for "
        f"{counts.total():,} numpy operations ({each:.0f} a step) on {sum(n * k for n, k in counts.items()) / 1e6:.0f} "
        f"million numbers: {ratio:.2f} times"
    )
    assert each <= OPERATIONS_LIMIT
    assert ratio <= SAMPLE_LIMIT


def menu(shop: Shop, count: int) -> Shop:
    """A shop with so many flavours, each one of the example's under a name of its own."""
    flavours = {key: recipe for key, recipe in shop.model.recipes.items() if recipe.makes is None}
    bases = {key: recipe for key, recipe in shop.model.recipes.items() if recipe.makes is not None}
    some = list(flavours.values())
    recipes = {
        f"flavour {i}": some[i % len(some)].model_copy(update={"key": f"flavour {i}"}, deep=True) for i in range(count)
    }
    return Shop(replace(shop.model, recipes={**recipes, **bases}), as_of=shop.day)


def test_a_thousand_flavours_take_a_thousand_times_as_long(benchmark: BenchmarkFixture, shop: Shop) -> None:
    few, many = menu(shop, FEW), menu(shop, MANY)
    short: list[float] = []
    long: list[float] = []

    def through(kitchen: Shop, count: int) -> None:
        for i in range(count):
            kitchen.brew(f"flavour {i}", Draws(), size=1.0 + i % 10 / 10)

    def before() -> None:
        # As many flavours by the way as in the measured round, so that neither has the better chance of a quiet machine.
        began = time.perf_counter()
        for _ in range(MANY // FEW):
            through(few, FEW)
        short.append((time.perf_counter() - began) / MANY)

    def measured() -> None:
        began = time.perf_counter()
        through(many, MANY)
        long.append((time.perf_counter() - began) / MANY)

    through(few, FEW)
    benchmark.pedantic(measured, setup=before, rounds=GROWTH_ROUNDS)
    ratio = min(long) / min(short)
    benchmark.extra_info |= {"few_s": min(short), "many_s": min(long), "ratio": ratio}
    print(
        f"\na flavour of {MANY:,}: {min(long) * 1000:.2f} ms, of {FEW}: {min(short) * 1000:.2f} ms: {ratio:.2f} times"
    )
    assert ratio <= GROWTH_LIMIT
