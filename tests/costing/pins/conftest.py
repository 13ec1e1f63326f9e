"""A small shop, as a folder and as a workbook, and the stand-in for the web service."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from costing.shop.sheets import turning
from nutrition.resources import tree
from tests.service import BRANDED, Service, running, sr_legacy

STARTER = Path(str(tree("examples") / "starter"))
SUGAR = 169655


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return Path(shutil.copytree(STARTER, tmp_path / "shop"))


@pytest.fixture(scope="session")
def _written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("pins") / "shop.xlsx"
    turning.convert(STARTER, path)
    return path


@pytest.fixture
def workbook(tmp_path: Path, _written: Path) -> Path:
    return Path(shutil.copy(_written, tmp_path / "shop.xlsx"))


@pytest.fixture
def service(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Service]:
    monkeypatch.delenv("CREAMERY_OFFLINE")
    monkeypatch.setenv("CREAMERY_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("CREAMERY_CACHE", raising=False)
    with running([sr_legacy(SUGAR, "19335"), BRANDED]) as found:
        monkeypatch.setenv("CREAMERY_FDC_URL", found.url)
        yield found


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def from_the_web(shop: Path) -> None:
    edit(shop / "ingredients.yaml", "food: usda:19335", f"food: fdc:{SUGAR}")
