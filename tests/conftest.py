"""What holds for every test: none of them goes on-line, or looks into the food library of whoever runs them."""

from __future__ import annotations

import pytest


@pytest.fixture(autouse=True)
def _at_home(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    monkeypatch.setenv("CREAMERY_OFFLINE", "1")
    monkeypatch.setenv("CREAMERY_HOME", str(tmp_path_factory.getbasetemp() / "home"))
    monkeypatch.delenv("FDC_API_KEY", raising=False)
