"""What is wrong with prices is told by file and line, with how to mend it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from costing.amounts import Figure
from costing.findings import Finding
from costing.prices import book
from costing.prices.checks import MOST_ROWS, findings, wanted
from tests.costing.prices.price_shops import DAY, ingredient, row, shop


def good(*more: object) -> tuple[object, ...]:
    return (row("sugar", "1 kg", 1.0), row("tub", "500 ct", 115.0), *more)


def only(found: tuple[Finding, ...]) -> Finding:
    assert len(found) == 1, found
    return found[0]


def test_a_shop_with_all_its_prices_has_nothing_to_mend() -> None:
    assert findings(shop(*good(), uses=("sugar", "water")), DAY) == ()
    assert book.findings(shop(*good(), uses=("sugar",)), DAY) == ()


def test_a_missing_price_is_a_warning_where_the_ingredient_stands() -> None:
    found = only(findings(shop(row("tub", "500 ct", 115.0), uses=("sugar",)), DAY))
    assert (found.level, found.where) == ("warning", "ingredients.yaml:5")
    assert "'sugar'" in found.what
    assert "no price" in found.what
    assert "'ingredient'" in found.mend


def test_packaging_without_a_price_is_a_warning_where_the_container_stands() -> None:
    found = only(findings(shop(row("sugar", "1 kg", 1.0), uses=("sugar",)), DAY))
    assert (found.level, found.where) == ("warning", "shop.yaml:9")
    assert "'tub'" in found.what


def test_what_no_recipe_uses_needs_no_price() -> None:
    assert findings(shop(), DAY) == ()


def test_yolks_need_a_price_of_eggs() -> None:
    found = only(findings(shop(row("tub", "500 ct", 1.0), uses=("egg yolks",)), DAY))
    assert "'eggs'" in found.what
    ingredients, packaging = wanted(shop(uses=("egg yolks", "sugar")))
    assert set(ingredients) == {"eggs", "sugar"}
    assert packaging == {"tub": "shop.yaml:9"}


def test_things_that_come_from_each_other_end() -> None:
    half = Figure(0.5, 0.5, "50 %")
    circle = {"a": ingredient("a", **{"from": {"b": half}}), "b": ingredient("b", **{"from": {"a": half}})}
    assert wanted(shop(uses=("a",), ingredients=circle))[0] == {}


def test_prices_that_all_lie_after_the_day() -> None:
    model = shop(row("sugar", "1 kg", 1.0, date=date(2026, 4, 1)), row("tub", "500 ct", 115.0), uses=("sugar",))
    found = only(findings(model, DAY))
    assert found.level == "warning"
    assert "only prices after 2026-03-02, the first on 2026-04-01" in found.what
    assert "--as-of 2026-04-01" in found.mend


def test_a_day_before_all_prices_is_one_mistake() -> None:
    model = shop(row("sugar", "1 kg", 1.0), row("tub", "500 ct", 115.0), uses=("sugar",))
    found = only(findings(model, date(2020, 1, 1)))
    assert (found.level, found.where) == ("error", "prices")
    assert found.mend.endswith("--as-of 2026-02-16")


def test_a_missing_rate_is_told_once() -> None:
    rows = [row("sugar", "1 kg", 1.0 + i, currency="EUR", item=f"s{i}", where=f"prices/list.csv:{i}") for i in range(9)]
    found = findings(shop(*good(*rows), uses=("sugar",)), DAY)
    assert "EUR" in only(found).what
    assert found[0].where == "prices/list.csv:0"
    assert "rates: {EUR: ...}" in found[0].mend


def test_a_list_older_than_ninety_days_is_a_warning_once() -> None:
    old = date(2025, 12, 1)
    rows = (
        row("sugar", "1 kg", 1.0, date=old),
        row("cream", "1 kg", 1.0, date=old),
        row("tub", "500 ct", 1.0, where="prices/new.csv:2"),
    )
    model = shop(*rows, uses=("sugar", "cream"))
    assert findings(model, date(2026, 3, 1)) == ()  # the ninetieth day
    found = only(findings(model, date(2026, 3, 2)))
    assert (found.level, found.where) == ("warning", "prices/list.csv")
    assert "91 days" in found.what


def test_an_old_list_that_gives_no_price_any_more_is_history() -> None:
    rows = (
        row("sugar", "1 kg", 1.0, date=date(2020, 1, 1), where="prices/old.csv:2"),
        row("sugar", "1 kg", 1.1),
        row("tub", "9 ct", 1.0),
    )
    assert findings(shop(*rows, uses=("sugar",)), DAY) == ()


def test_a_pack_that_cannot_be_read() -> None:
    found = findings(
        shop(*good(row("sugar", "1/2 gal", 3.0, item="odd", where="prices/list.csv:7")), uses=("sugar",)), DAY
    )
    one = only(found)
    assert (one.level, one.where) == ("error", "prices/list.csv:7")
    assert "can be read in two ways" in one.what
    assert "'0.5 gal'" in one.mend


def test_a_pack_that_cannot_be_turned_into_grams() -> None:
    one = only(findings(shop(*good(row("sugar", "1 gal", 3.0, item="odd")), uses=("sugar",)), DAY))
    assert one.level == "warning", "nothing is wrong with the row; it waits for a weight"
    assert "cannot be turned into grams" in one.what
    assert "measures: {1 cup: 240 g}" in one.mend
    counted = only(findings(shop(*good(row("sugar", "4 ct", 3.0, item="odd")), uses=("sugar",)), DAY))
    assert "1 each" in counted.mend


def test_packaging_that_is_not_counted() -> None:
    one, missing = findings(shop(row("sugar", "1 kg", 1.0), row("tub", "5 kg", 9.0), uses=("sugar",)), DAY)
    assert "does not say how many pieces" in one.what
    assert "no price that can be used" in missing.what


def test_a_price_of_nothing() -> None:
    for price in (0.0, -4.0):
        one, missing = findings(shop(row("sugar", "1 kg", price), row("tub", "9 ct", 1.0), uses=("sugar",)), DAY)
        assert one.level == missing.level == "error"
        assert f"is {price:g}" in one.what


def test_mistakes_in_what_nobody_uses_are_warnings_and_old_ones_are_history() -> None:
    unused = only(findings(shop(*good(row("cream", "a lot", 3.0)), uses=("sugar",)), DAY))
    assert unused.level == "warning"
    replaced = (row("sugar", "a lot", 1.0, date=date(2026, 1, 1)), row("sugar", "1 kg", 1.0), row("tub", "9 ct", 1.0))
    assert findings(shop(*replaced, uses=("sugar",)), DAY) == ()


def test_a_list_with_a_thousand_mistakes_is_not_told_a_thousand_times() -> None:
    rows = [row("sugar", "a lot", 1.0, item=f"s{i}", where=f"prices/bad.csv:{i}") for i in range(1000)]
    found = findings(shop(*good(*rows), uses=("sugar",)), DAY)
    assert len(found) == MOST_ROWS + 1
    assert found[-1] == Finding("error", "prices/bad.csv", "950 more rows of this list cannot be used either")


def test_a_fixed_supplier_that_sells_it_no_more() -> None:
    known = shop().ingredients
    model = shop(*good(), uses=("sugar",), ingredients={**known, "sugar": ingredient("sugar", supplier="Gone")})
    found = only(findings(model, DAY))
    assert "'Gone'" in found.what
    assert "Mill Lane" in found.mend


def test_two_prices_for_one_pack_on_one_day() -> None:
    found = only(findings(shop(*good(row("sugar", "1 kg", 2.0, where="prices/list.csv:3")), uses=("sugar",)), DAY))
    assert (found.level, found.where) == ("warning", "prices/list.csv:3")
    assert "two prices" in found.what


def test_a_name_that_the_shop_does_not_know() -> None:
    found = only(findings(shop(*good(row("suger", "1 kg", 2.0, where="prices/list.csv:3")), uses=("sugar",)), DAY))
    assert (found.level, found.mend) == ("warning", "did you mean 'sugar'?")
    assert findings(shop(*good(row("", "1 kg", 2.0)), uses=("sugar",)), DAY) == ()


def test_a_shell_that_only_the_food_record_knows_of() -> None:
    rows = good(row("peaches", "1 kg", 3.0))
    usual = shop(*rows, uses=("peaches",))
    assert not findings(usual, DAY), "stones are a quarter, and peaches are bought with them"
    record = replace(usual.foods["spec:peaches"], refuse=0.59)
    in_shell = replace(usual, foods={**usual.foods, "spec:peaches": record})
    one = only(findings(in_shell, DAY))
    assert (one.level, one.where) == ("warning", in_shell.ingredients["peaches"].where)
    assert "only 41 % is counted as used" in one.what
    assert "'usable: 100 %'" in one.mend
    said = in_shell.ingredients["peaches"].model_copy(update={"usable": Figure(1.0, 1.0, "100 %")})
    assert not findings(replace(in_shell, ingredients={**in_shell.ingredients, "peaches": said}), DAY)
