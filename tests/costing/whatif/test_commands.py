"""Whole commands: ``prices effect``, ``what-if`` and ``cost --if``, as text and as JSON, and wrong usage."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from costing.desk import Shop
from costing.whatif.chance import chances
from costing.whatif.effect import book_on, effects
from tests.costing.command_line import CommandLine

SINCE = "2026-01-15"


def results(said: Any) -> list[dict[str, Any]]:
    assert said.code == 0, said.err
    document = said.json
    assert document["schema"] == 1
    found: list[dict[str, Any]] = document["results"]
    return found


def one(said: Any) -> dict[str, Any]:
    (found,) = results(said)
    return found


# prices effect -----------------------------------------------------------------------------------------------------


def test_effect_as_text(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("prices", "effect", quillfeather, "--since", SINCE)
    assert said.code == 0
    assert said.out.startswith("Quillfeather Creamery: prices of 2026-01-15 beside 2026-03-02\n")
    line = next(line for line in said.out.splitlines() if line.startswith("Duck fat caramel"))
    assert "pint $4.36 $4.46 +$0.09 heavy cream +$0.04" in " ".join(line.split())
    assert "falls below" in said.out
    assert "4 others" in said.out


def test_effect_as_json(creamery: CommandLine, quillfeather: Path) -> None:
    found = results(creamery("prices", "effect", quillfeather, "--since", SINCE, "--json"))
    shop = Shop.open(quillfeather)
    wanted, _ = effects(shop, book_on(shop, date(2026, 1, 15)))
    assert [each["recipe"] for each in found] == [each.recipe for each in wanted]
    for each in found:
        assert each["currency"] == "USD"
        assert each["prices"] == {"before": "2026-01-15", "after": "2026-03-02"}
        assert sum(part["adds"] for part in each["contributions"]) == pytest.approx(each["difference"], abs=1e-9)
        assert each["after"] == pytest.approx(shop[each["recipe"]].cost().per_container.total, abs=1e-9)
        assert {channel["name"] for channel in each["channels"]} == set(shop.model.channels)
    coffee = next(each for each in found if each["recipe"] == "coffee")
    stall = next(each for each in coffee["channels"] if each["name"] == "market stall")
    assert (stall["falls_below"], stall["met"], stall["new_price"]) == (True, False, 10.05)


def test_effect_uses_the_shops_price_endings(creamery: CommandLine, quillfeather: Path) -> None:
    file = quillfeather / "shop.yaml"
    file.write_text(file.read_text() + "\nprice endings: [.00, .49, .99]\n")
    coffee = one(creamery("prices", "effect", quillfeather, "coffee", "--since", SINCE, "--json"))
    stall = next(each for each in coffee["channels"] if each["name"] == "market stall")
    assert (stall["new_price"], stall["price_for_target"]) == (10.49, pytest.approx(10.0488, abs=1e-4))


def test_effect_on_another_day_and_between_lists(creamery: CommandLine, quillfeather: Path) -> None:
    quiet = one(
        creamery("prices", "effect", quillfeather, "quince", "--since", SINCE, "--as-of", "2026-02-01", "--json")
    )
    assert (quiet["difference"], quiet["contributions"]) == (0.0, [])
    lists = ("2026-01-12-saltmarsh.csv", "prices/2026-02-16-saltmarsh.csv")
    dairy = one(creamery("prices", "effect", quillfeather, "quince", "--between", *lists, "--json"))
    assert {each["name"] for each in dairy["contributions"]} == {"heavy cream", "whole milk", "skim milk powder"}
    assert dairy["prices"] == {"before": lists[0], "after": lists[1]}
    said = creamery("prices", "effect", quillfeather, "plum", "--between", *lists)
    assert "$0.00" in said.out
    assert "heavy cream" not in said.out


@pytest.mark.parametrize(
    ("words", "code", "what"),
    [
        ((), 2, "either --since DATE or --between LIST LIST"),
        (("--since", SINCE, "--between", "a", "b"), 2, "either --since DATE or --between"),
        (("--since", "soon"), 2, "soon"),
        (("--since", "2026-12-31"), 1, "lies after 2026-03-02"),
        (("--since", "2020-01-01"), 1, "no price list is as old"),
        (("--between", "2026-01-12-saltmarsk.csv", "b"), 1, "did you mean '2026-01-12-saltmarsh.csv'?"),
        (("qince", "--since", SINCE), 1, "did you mean 'quince'?"),
    ],
)
def test_effect_that_cannot_be(
    creamery: CommandLine, quillfeather: Path, words: tuple[str, ...], code: int, what: str
) -> None:
    said = creamery("prices", "effect", quillfeather, *words)
    assert (said.code, said.out) == (code, "")
    assert what in said.err
    if code == 1:
        found = creamery("prices", "effect", quillfeather, *words, "--json")
        assert found.code == 1
        assert any(each["level"] == "error" for each in found.json["findings"])


def test_effect_of_a_house_base_alone(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("prices", "effect", quillfeather, "house-base", "--since", SINCE)
    assert (said.code, said.out) == (0, "")
    assert "only in the flavours that use it" in said.err


# what-if -----------------------------------------------------------------------------------------------------------

CHANGES = ("--if", "heavy cream=+12%", "--if", "overrun=35%", "--if", "price[grocer]=7.49")


def test_sides_as_text(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("what-if", quillfeather, "quince", *CHANGES)
    assert said.code == 0
    assert "If heavy cream=+12%, overrun=35%, price[grocer]=7.49:" in said.out
    total = next(line for line in said.out.splitlines() if line.startswith("total, a pint"))
    assert total.split()[3:] == ["$4.46", "$4.18", "-$0.28"]
    assert "containers a batch" in said.out
    assert "chance to meet it" in said.out
    assert "4,096 draws" in said.out


def test_sides_as_json(creamery: CommandLine, quillfeather: Path) -> None:
    found = one(creamery("what-if", quillfeather, "prune", *CHANGES[:2], "--json"))
    assert (found["recipe"], found["as_of"], found["if"]) == ("prune", "2026-03-02", ["heavy cream=+12%"])
    assert set(found["before"]) == set(found["after"])
    shop = Shop.open(quillfeather)
    assert found["before"]["per_container"]["total"] == shop["prune"].cost().per_container.total
    likely = {each.channel: each.chance_pct for each in chances(shop, "prune")}
    assert {each["name"]: each["chance_pct"] for each in found["before"]["channels"]} == likely
    stall = next(each for each in found["after"]["channels"] if each["name"] == "market stall")
    assert stall["chance_pct"] < likely["market stall"]  # type: ignore[operator]
    assert stall["new_price"] >= stall["price_for_target"]


def test_as_it_is_and_without_chance(creamery: CommandLine, quillfeather: Path) -> None:
    found = one(creamery("what-if", quillfeather, "prune", "--json"))
    assert found["if"] == []
    assert "after" not in found
    assert found["before"]["channels"][0]["draws"] == 4096
    quick = one(creamery("what-if", quillfeather, "prune", "--no-chance", "--json"))
    assert quick["before"]["channels"][0]["chance_pct"] is None
    text = creamery("what-if", quillfeather, "brown-butter")
    assert text.code == 0
    assert "as it is" in text.out


def test_tornado(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("what-if", quillfeather, "quince", "--tornado", "--channel", "grocer")
    lines = said.out.splitlines()
    assert said.code == 0
    assert lines[2].split()[:3] == ["margin,", "grocer:", "$2.79"]
    assert lines[4].startswith("selling price, grocer")
    assert lines[4].endswith("-" * 20 + "|" + "+" * 20)
    assert "Nothing moves the margin in: base, cook: loses 2 %" in said.out
    found = one(creamery("what-if", quillfeather, "quince", "--tornado", "--by", "5%", "--json"))["tornado"]
    assert found["by_pct"] == 5.0
    assert found["bars"][0]["if"] == "price[scoop shop]"
    assert found["bars"][0]["up"] == pytest.approx(0.05 * 11.00 * 0.971)


def test_tornado_and_table_of_the_shop_as_it_might_be(creamery: CommandLine, quillfeather: Path) -> None:
    words = ("--if", "price[scoop shop]=20", "--tornado", "--table", "heavy cream=-10%..+10%/3", "--json")
    found = one(creamery("what-if", quillfeather, "quince", *words))
    assert found["tornado"]["margin"] == pytest.approx(found["after"]["channels"][0]["margin"])
    middle = found["table"]["cells"][1]
    assert middle["values"] == ["+0%"]
    assert middle["margin"] == pytest.approx(found["tornado"]["margin"])


def test_table(creamery: CommandLine, quillfeather: Path) -> None:
    over = ("--table", "heavy cream=-20%..+20%/5", "--table", "price[grocer]=6.99..8.99/5")
    said = creamery("what-if", quillfeather, "quince", *over)
    assert said.code == 0
    assert "Margin, grocer; * meets the target of 35.0%" in said.out
    assert "$2.53 36.2%*" in said.out
    assert "$2.42 34.6% " in said.out
    found = one(creamery("what-if", quillfeather, "quince", *over, "--json"))["table"]
    assert [each["if"] for each in found["axes"]] == ["heavy cream", "price[grocer]"]
    assert len(found["cells"]) == 25
    single = creamery("what-if", quillfeather, "quince", "--table", "overrun=0%..300%/4")
    assert "cannot be made in a kitchen" in single.out


@pytest.mark.parametrize(
    ("words", "code", "what"),
    [
        (("quince", "--if", "creme=+5%"), 1, "nothing is called 'creme'"),
        (("quince", "--if", "loses=5%"), 1, "say which"),
        (("quince", "--if", "overrun=300%"), 1, "cannot be churned"),
        (("quince", "--table", "x"), 1, "no row of values"),
        (("quince", "--tornado", "--channel", "grosser"), 1, "did you mean 'grocer'?"),
        (("quince", "--tornado", "--by", "ten"), 2, "write it like 10%"),
        (("quince", "--tornado", "--by", "0%"), 2, "write it like 10%"),
        (("house-base",), 1, "fills no container"),
        (("qince",), 1, "did you mean 'quince'?"),
        ((), 2, "Missing argument 'RECIPE'"),
    ],
)
def test_what_if_that_cannot_be(
    creamery: CommandLine, quillfeather: Path, words: tuple[str, ...], code: int, what: str
) -> None:
    said = creamery("what-if", quillfeather, *words)
    assert (said.code, said.out) == (code, "")
    assert what in said.err


def test_a_freight_that_is_left_out_says_so(creamery: CommandLine, quillfeather: Path) -> None:
    asked = ("what-if", quillfeather, "quince", "--no-chance", "--if", "freight[Wrenlock Kitchen Supply]=90 per order")
    assert "costs leave freight out, so this moves nothing" in creamery(*asked).err
    shop = quillfeather / "shop.yaml"
    shop.write_text(shop.read_text(encoding="utf-8") + "\ncount freight: yes\n", encoding="utf-8")
    said = creamery(*asked)
    assert said.code == 0
    assert "leave freight out" not in said.err


# cost --if ---------------------------------------------------------------------------------------------------------


def test_cost_with_changes(creamery: CommandLine, quillfeather: Path) -> None:
    plain = one(creamery("cost", quillfeather, "quince", "--json"))
    said = creamery("cost", quillfeather, "quince", "--if", "heavy cream=+100%", "--json")
    found = one(said)
    cream = next(each["cost"] for each in plain["lines"] if each["item"] == "heavy cream")
    assert found["cost"]["ingredients"] - plain["cost"]["ingredients"] == pytest.approx(cream)
    note = next(each for each in said.json["findings"] if each["where"] == "--if")
    assert (note["level"], note["what"]) == ("note", "these figures are not the shop's own: heavy cream=+100%")
    text = creamery("cost", quillfeather, "quince", "--if", "heavy cream=+100%")
    assert "not the shop's own: heavy cream=+100%" in text.err


def test_cost_of_every_flavour_with_changes_and_sizes(creamery: CommandLine, quillfeather: Path) -> None:
    found = results(creamery("cost", quillfeather, "--if", "wage[kitchen]=0", "--if", "wage[pastry]=0", "--json"))
    assert len(found) == 8
    assert all(each["cost"]["labour"] == 0 for each in found)
    sized = one(creamery("cost", quillfeather, "quince", "--for", "20 pints", "--if", "overrun=50%", "--json"))
    assert sized["batch"]["containers"] >= 20


def test_cost_with_a_change_that_cannot_be(creamery: CommandLine, quillfeather: Path) -> None:
    said = creamery("cost", quillfeather, "quince", "--if", "creme=+5%")
    assert (said.code, said.out) == (1, "")
    assert "nothing is called 'creme'" in said.err
    assert creamery("cost", quillfeather, "qince", "--if", "x=+5%").code == 1


@pytest.mark.parametrize("words", [("what-if",), ("prices", "effect"), ("cost",)])
def test_help(creamery: CommandLine, words: tuple[str, ...]) -> None:
    said = creamery(*words, "--help")
    assert said.code == 0
    for example in {
        "what-if": ("yield of duck fat=40%", "--tornado"),
        "prices": ("--since 2026-01-15",),
        "cost": ("--if",),
    }[words[0]]:
        assert example in said.out
