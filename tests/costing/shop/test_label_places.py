"""``label:`` of a container: where the label is printed."""

from __future__ import annotations

from pathlib import Path

import pytest

from costing.desk import Shop
from costing.shop.label_places import space_of
from costing.shop.reader import read
from nutrition.resources import tree
from tests.costing.shop.conftest import DAY, Folder

PINT = "pint: {holds: 1 pint,"


def with_label(folder: Folder, text: str) -> Folder:
    return folder.edit("shop.yaml", PINT, f"pint: {{label: {text}, holds: 1 pint,")


def test_a_wrap_and_a_lid(folder: Folder) -> None:
    with_label(folder, "{wrap: 11.4 in x 3.3 in, lid: 96 mm, main panel: 16 sq in}")
    model, found = read(folder.path, DAY)
    assert model is not None, found
    place = model.containers["pint"].label
    assert place is not None
    assert place.wrap is not None and place.wrap.text == "11.4 in x 3.3 in"  # noqa: PT018
    space = place.space
    assert (space.shape, space.main_panel_sq_in) == ("cylinder", 16.0)
    assert space.lid_in == pytest.approx(96 / 25.4)


@pytest.mark.parametrize(("text", "shape"), [("{panel: 4 x 2.5 in}", "rectangle"), ("{lid: 3.8 in}", "top")])
def test_a_flat_label_and_a_lid_alone(folder: Folder, text: str, shape: str) -> None:
    model, _ = read(with_label(folder, text).path, DAY)
    assert model is not None
    place = model.containers["pint"].label
    assert place is not None
    assert place.space.shape == shape


def test_nobody_has_to_say(folder: Folder) -> None:
    model, _ = read(folder.edit("shop.yaml", PINT, PINT).path, DAY)
    assert model is not None
    assert model.containers["pint"].label is None


@pytest.mark.parametrize(
    ("text", "what", "mend"),
    [
        ("{wrap: 11.4 x 3.3}", "label: wrap: '11.4 x 3.3' has no unit", "write 3.3 in or 3.3 cm"),
        ("{wrap: 11.4 in}", "is not a width and a height", "11.4 in x 3.3 in"),
        ("{wrap: 11.4 oz x 3 in}", "is not in a unit of length ('oz')", "in, cm or mm"),
        ("{lid: 3800 in}", "is no size of a label", "check the number"),
        ("{lit: 3.8 in}", "label takes no 'lit'", "did you mean 'lid'?"),
        ("{wrap: 11 x 3 in, panel: 4 x 2 in}", "it has a wrap and a panel", "keep the one"),
        ("{main panel: 12 sq in}", "nothing says where the label is printed", "wrap: 11.4 in x 3.3 in"),
        ("{lid: 3.8 in, main panel: 12 in}", "is not an area", "12 sq in"),
        ("11.4 in", "this must be entries with names", "label: {name: value}"),
    ],
)
def test_what_is_wrong_with_it(folder: Folder, text: str, what: str, mend: str) -> None:
    with_label(folder, text)
    found = [one for one in read(folder.path, DAY)[1] if one.level == "error"]
    assert any(what in one.what and mend in one.mend for one in found), "\n".join(map(str, found))
    assert all(one.where == folder.line("shop.yaml", "label:") for one in found)


def test_the_first_container_of_a_recipe_is_the_one_that_is_labelled() -> None:
    shop = Shop.open(Path(str(tree("examples") / "quillfeather")))
    space = space_of(shop.model, shop["plum"].answer())
    assert space is not None
    assert space.main_panel_sq_in == pytest.approx(0.4 * 11.4 * 3.3)
    assert space_of(shop.model, shop["house-base"].answer()) is None


@pytest.mark.parametrize(
    ("text", "what", "mend"),
    [
        ("14 oz", "'14 oz' is a weight, and frozen desserts are sold by fluid measure [21 CFR 101.7]", "14 fl oz"),
        ("400 g", "is a weight", "1 pint or 473 mL"),
        ("1 box", "is not a volume", "1 pint"),
        ("16", "has no unit", "16 mL"),
        ("0 mL", "must be above zero", ""),
    ],
)
def test_a_net_quantity_of_the_wrong_kind(folder: Folder, text: str, what: str, mend: str) -> None:
    found = folder.edit("shop.yaml", "holds: 1 pint", f"holds: {text}").only()
    assert what in found.what
    assert mend in found.mend
    assert found.where == folder.line("shop.yaml", "holds:")


def test_what_could_bear_labeling_counts_though_it_does_not(folder: Folder) -> None:
    with_label(folder, "{panel: 3 in x 2 in}")
    model, _ = read(folder.path, DAY)
    assert model is not None
    filled = Shop(model)["vanilla"].answer()
    space = space_of(model, filled)
    assert space is not None
    assert space.available_sq_in > 40
    model, _ = read(folder.edit("shop.yaml", "panel: 3 in x 2 in", "panel: 3 in x 2 in, available: 55 sq in").path, DAY)
    assert model is not None
    again = space_of(model, filled)
    assert again is not None
    assert again.available_sq_in == 55.0
