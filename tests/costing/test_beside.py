"""Work in a second process gives the same as in this one, and its errors are not lost."""

from __future__ import annotations

import os

import pytest

from costing import beside


@pytest.mark.parametrize("forks", [True, False])
def test_the_result_comes_back(forks: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    if not forks:
        monkeypatch.delattr(os, "fork")
    answers = [beside.start(lambda n=n: b"x" * n) for n in (1, 3_000_000)]  # more than a pipe holds
    assert [len(answer()) for answer in answers] == [1, 3_000_000]


def test_an_error_there_comes_up_here() -> None:
    def fail() -> None:
        raise ValueError("no such panel")

    answer = beside.start(fail)
    with pytest.raises(ValueError, match="no such panel"):
        answer()
