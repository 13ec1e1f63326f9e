"""What other people's programs make of our files: LibreOffice opens the workbook, poppler reads the panels.

On a desk without these programs the tests are skipped; in the run (``CI=true``) their absence is a failure.
"""

from __future__ import annotations

import csv
import os
import shutil
import subprocess
from datetime import date, datetime
from pathlib import Path

import pytest
from openpyxl import load_workbook

from costing import panels
from costing.demo import copy_example
from costing.desk import Shop
from costing.files import write_all
from costing.prices.intake import add
from costing.shop.sheets import turning
from costing.workbook import book
from nutrition.resources import tree


def program(name: str, package: str) -> str:
    found = shutil.which(name)
    if found:
        return found
    reason = f"{name} is missing; install {package}"
    if os.environ.get("CI"):
        pytest.fail(reason)
    pytest.skip(reason)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    folder = tmp_path_factory.mktemp("outside") / "quillfeather"
    copy_example(folder)
    return Shop.open(folder)


@pytest.fixture(scope="module")
def profile(tmp_path_factory: pytest.TempPathFactory) -> str:
    """LibreOffice's own settings; it takes longest to make them."""
    return f"-env:UserInstallation={(tmp_path_factory.mktemp('office') / 'profile').as_uri()}"


def test_libreoffice_opens_the_workbook_and_finds_no_error_in_it(shop: Shop, profile: str, tmp_path: Path) -> None:
    soffice = program("soffice", "libreoffice-calc")
    written = book.write(shop.model, shop.day, shop.answers(), tmp_path / "costs.xlsx")
    # -1 writes every sheet to a file of its own; numbers as they are shown.
    every_sheet = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,true,false,false,-1"
    subprocess.run(
        [soffice, profile, "--headless", "--convert-to", every_sheet,
         "--outdir", str(tmp_path), str(written)],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    sheets = [list(csv.reader(one.read_text(encoding="utf-8").splitlines())) for one in sorted(tmp_path.glob("*.csv"))]
    assert len(sheets) > 8
    cells = {cell for sheet in sheets for row in sheet for cell in row}
    assert not [cell for cell in cells if cell.startswith("###")]  # too wide for its column
    assert not [cell for cell in cells if cell.startswith(("Err:", "#REF!", "#NAME?", "#VALUE!", "#DIV/0!", "#N/A"))]
    for answer in shop.answers():
        if answer.cost is not None:
            assert answer.title in cells
            assert f"${answer.cost.per_container.total:.2f}" in cells, answer.title


def test_poppler_reads_the_words_of_every_panel(shop: Shop, tmp_path: Path) -> None:
    pdftotext = program("pdftotext", "poppler-utils")
    for answer in shop.answers():
        if answer.label is None:
            continue
        write_all(panels.files(answer, panels.draw(shop.model, answer), tmp_path, picture=False))
        said = subprocess.run(
            [pdftotext, "-layout", str(tmp_path / f"{answer.recipe}.pdf"), "-"],
            check=True, capture_output=True, text=True, timeout=60,
        )  # fmt: skip
        words = said.stdout.split()
        assert {"Nutrition", "Facts"} <= set(words)
        (energy,) = (line for line in answer.label.nutrients if line.key == "energy")
        (sodium,) = (line for line in answer.label.nutrients if line.key == "sodium")
        assert energy.declared["serving"] in words, answer.recipe
        assert sodium.declared["container"] in words, answer.recipe


def test_a_list_goes_into_a_workbook_that_libreoffice_saved(profile: str, tmp_path: Path) -> None:
    """Shared texts, styles and rows of its own."""
    soffice = program("soffice", "libreoffice-calc")
    turning.convert(Path(str(tree("examples") / "starter")), tmp_path / "shop.xlsx")
    subprocess.run(
        [soffice, profile, "--headless", "--convert-to", "xlsx", "--outdir", str(tmp_path / "office"),
         str(tmp_path / "shop.xlsx")],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    shop = tmp_path / "office/shop.xlsx"
    (tmp_path / "list.csv").write_text("Item,Pack,Price\nMILK WHL,4/1 GAL,16.10\nSUGAR GRAN CANE,50#,38.50\n")
    done = add.add(shop, tmp_path / "list.csv", supplier="North", day=date(2026, 2, 23), yes=True)
    assert (done.list_file, done.used) == ("Prices!A13:H14", 2)
    above, _, new = load_workbook(shop)["Prices"]["A12:H14"]
    assert above[0].value == "Example Packaging"
    assert [cell.value for cell in new] == [
        "North", "SUGAR GRAN CANE", "sugar", "50#", 38.5, "USD", datetime(2026, 2, 23), "2026-02-23-north",
    ]  # fmt: skip
    assert [cell.style_id for cell in new] == [cell.style_id for cell in above]
