"""Every formula of the living workbook of the example shop, worked out by programs other than LibreOffice.

Not part of the ordinary run, which asks the library ``formulas`` about one flavour. Run with ``make opinions``; Gnumeric's
``ssconvert`` must be there (``apt-get install gnumeric``).
"""

from __future__ import annotations

import importlib
import io
import shutil
import subprocess
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from costing.desk import Shop
from costing.workbook import book
from nutrition.resources import tree
from tests.costing.workbook.living.test_living import formulas, values

CLOSE = 1e-6


@pytest.fixture(scope="module")
def living() -> bytes:
    shop = Shop.open(str(tree("examples") / "quillfeather"))
    return book.render(shop.model, shop.day, shop.answers(), living=shop)


def differing(living: bytes, found: dict[tuple[str, str], Any]) -> list[tuple[str, str, Any, Any]]:
    """Formula cells that come to something else."""
    told = values(living)
    out = []
    for sheet, cell in formulas(living):
        got, want = found[sheet, cell], told[sheet][cell].value
        same = str(got) == want if isinstance(want, str) else abs(float(got) - want) <= CLOSE
        if not same:
            out.append((sheet, cell, got, want))
    print(f"\n{len(formulas(living))} formula cells, {len(out)} come to something else")
    return out


def test_the_library_formulas(living: bytes, tmp_path: Path) -> None:
    second: Any = importlib.import_module("formulas")
    file = tmp_path / "living.xlsx"
    file.write_bytes(living)
    model = second.ExcelModel().loads(str(file)).finish().calculate()
    found = {
        (sheet, cell): model["'[living.xlsx]{}'!{}".format(sheet.upper().replace("'", "''"), cell)].value[0, 0]
        for sheet, cell in formulas(living)
    }
    assert differing(living, found) == []


def test_gnumeric(living: bytes, tmp_path: Path) -> None:
    program = shutil.which("ssconvert")
    assert program is not None, "Gnumeric is not here: apt-get install gnumeric"
    # openpyxl writes formulas without the figures that they came to, so that none can be taken over.
    bare, out = tmp_path / "bare.xlsx", tmp_path / "out.xlsx"
    openpyxl.load_workbook(io.BytesIO(living)).save(bare)
    subprocess.run([program, "--recalc", str(bare), str(out)], check=True, capture_output=True, timeout=240)
    made = openpyxl.load_workbook(out, data_only=True)
    assert differing(living, {(sheet, cell): made[sheet][cell].value for sheet, cell in formulas(living)}) == []
