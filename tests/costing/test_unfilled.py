"""A kind of container of which a batch fills none: what one would cost is unknown, never nothing."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from costing.desk import Shop
from costing.selling import sales
from tests.costing.command_line import CommandLine


@pytest.fixture
def unfilled(quillfeather: Path) -> Path:
    """The example shop, in which the coffee leaves too little for a half-gallon, which the dipping cabinet sells."""
    recipe = quillfeather / "recipes/coffee.yaml"
    recipe.write_text(recipe.read_text(encoding="utf-8").replace("count: 10", "count: 14"), encoding="utf-8")
    shop = quillfeather / "shop.yaml"
    sold = "  cabinet: {container: half-gallon, scoops: {weight: 70 g, price: 4.50}, target margin: 60 %}\n"
    text = shop.read_text(encoding="utf-8")
    shop.write_text(
        text.replace("channels:", "price endings: [.00]\nchannels:").replace("  grocer:", f"{sold}  grocer:")
    )
    return quillfeather


def test_its_cost_and_margin_are_unknown_and_it_is_told(unfilled: Path) -> None:
    shop = Shop.open(unfilled)
    answer = shop.answer("coffee")
    assert answer.cost is not None
    assert [one.count for one in answer.filled] == [14, 0]
    (other,) = answer.cost.also
    assert math.isnan(other.cost.total)
    assert math.isnan(other.cost.packaging)
    assert math.isfinite(answer.cost.per_container.total)
    (cabinet,) = [one for one in answer.cost.channels if one.name == "cabinet"]
    assert math.isnan(cabinet.margin)
    assert math.isnan(cabinet.price_for_target or 0.0)
    assert sales.sale(shop, answer, shop.model.channels["cabinet"]) is None
    (told,) = [one for one in answer.findings if "half-gallon" in one.what]
    assert told.level == "warning"
    assert told.where == "recipes/coffee.yaml:18"
    assert "no half-gallon is filled" in told.what
    assert told.mend


def test_the_commands_say_so(unfilled: Path, creamery: CommandLine) -> None:
    told = creamery("cost", str(unfilled), "coffee")
    code, out = told.code, told.out
    assert code == 0, told.err
    assert "Also 0 × half-gallon: none is full, so what one costs is unknown." in out
    (row,) = [line for line in out.splitlines() if line.startswith("cabinet")]
    assert "unknown" in row
    assert "97" not in row
    told = creamery("what-if", str(unfilled), "coffee", "--tornado", "--channel", "cabinet")
    assert told.code == 1
    assert "is not known" in told.err
    told = creamery("cost", str(unfilled), "coffee", "--json")
    code, out = told.code, told.out
    assert code == 0, told.err
    assert '"total": null' in out
    for words in (("margins",), ("prices", "effect", "--since", "2026-01-15"), ("what-if", "--if", "overrun=27%")):
        at = words.index("effect") + 1 if "effect" in words else 1
        told = creamery(*words[:at], str(unfilled), "coffee", *words[at:])
        assert told.code == 0, told.err
        assert "none is enough" not in told.out
        assert "97" not in "".join(line for line in told.out.splitlines() if "cabinet" in line)
        assert words[0] != "margins" or "no half-gallon is filled" in told.out + told.err
