"""``gtin:`` of a recipe."""

from __future__ import annotations

import pytest

from costing.shop import gtins
from costing.shop.reader import read
from tests.costing.shop.conftest import DAY, Folder

TITLE = "title:"


def with_gtin(folder: Folder, text: str) -> Folder:
    return folder.edit("recipes/vanilla.yaml", TITLE, f"gtin: {text}\n{TITLE}")


@pytest.mark.parametrize("text", ["614141000012", "{pint: 0614141000012}", '"6 14141 00001 2"'])
def test_a_number_for_the_first_container(folder: Folder, text: str) -> None:
    model, found = read(with_gtin(folder, text).path, DAY)
    assert model is not None, found
    recipe = model.recipes["vanilla"]
    number = gtins.of(recipe, "pint")
    assert number is not None
    assert number.shortest == "614141000012"
    assert gtins.of(recipe, "bucket") is None


@pytest.mark.parametrize(
    ("text", "what", "mend"),
    [
        ("614141000013", "its check digit is 2", "write 614141000012"),
        ("61414I000012", "more than digits in it (I)", "did you mean 614141000012?"),
        ("6141", "has 4 digits", "12 digits (UPC-A) or 13 (EAN-13)"),
        ("10614141000415", "number of a case", "the pint inside it is 614141000418"),
        ("96385074", "GTIN-8", "GTIN-12 or GTIN-13"),
        ("{quart: 614141000012}", "does not fill 'quart'", "it fills: pint"),
        ("{pint: 614141000013}", "pint: 614141000013 ends in 3", "write 614141000012"),
        ("[614141000012]", "a number or containers with numbers", "gtin: {pint: 036000291452}"),
        ("{pint: }", "there is no number", "GS1"),
    ],
)
def test_what_is_wrong_with_it(folder: Folder, text: str, what: str, mend: str) -> None:
    found = with_gtin(folder, text).only()
    assert what in found.what
    assert mend in found.mend
    assert found.where == folder.line("recipes/vanilla.yaml", "gtin:")


def test_a_number_that_two_flavours_have(folder: Folder) -> None:
    with_gtin(folder, "614141000012")
    folder.write("recipes/other.yaml", folder.text("recipes/vanilla.yaml").replace("614141000012", "0614141000012"))
    found = [one for one in folder.findings() if "already" in one.what]
    assert len(found) == 1
    assert "each flavour in each size" in found[0].mend


def test_a_number_of_a_range_for_other_things_is_a_warning(folder: Folder) -> None:
    model, found = read(with_gtin(folder, "212345678992").path, DAY)
    assert model is not None
    assert [one.level for one in found if "inside one shop" in one.what] == ["warning"]
