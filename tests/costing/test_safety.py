"""Pasteurising and cooling, against 21 CFR 135.3 (read) and FDA Food Code 3-501.14 (from memory).

135.3 and 7 CFR 58.635: 155 F for 30 minutes or 175 F for 25 seconds, or an equal. 3-501.14: 135 to 70 F within two
hours, 135 to 41 F within six in all.
"""

from __future__ import annotations

import ast
import re
from dataclasses import replace
from itertools import permutations
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from costing import safety
from costing.desk import Shop
from costing.safety.heat import Standing, judge
from costing.shop.models import Ingredient, Recipe, ShopModel
from costing.units import duration, temperature
from nutrition import resources
from tests.costing.kitchen.builders import recipe, shop

if TYPE_CHECKING:
    from collections.abc import Mapping

    from costing.findings import Finding

BASE = {"cream": "1 kg", "milk": "1 kg", "sugar": "300 g"}
HEAT: dict[str, Any] = {"cook": {"temperature": "175 F", "hold": "25 s", "loses": "1 %"}}
COOL: dict[str, Any] = {"cool": {"to": "40 F", "within": "4 h", "by_points": {"70 F": "2 h"}}}
READY: dict[str, Any] = {"ready_to_eat": True}
END: list[dict[str, Any]] = [{"churn": {"overrun": "25 %"}}, {"fill": {"container": "pint"}}]


def cook(temperature: str | None = None, hold: str | None = None, how: str | None = None) -> dict[str, Any]:
    given = {"temperature": temperature, "hold": hold, "how": how}
    return {"cook": {"loses": "1 %", **{key: value for key, value in given.items() if value}}}


def cool(**given: Any) -> dict[str, Any]:
    return {"cool": given}


Changes = dict[str, Any]


def larder(model: ShopModel, changes: Mapping[str, Changes]) -> ShopModel:
    """The same shop with entries changed, or new ones."""
    entries = dict(model.ingredients)
    for name, more in changes.items():
        if name in entries:
            entries[name] = entries[name].model_copy(update=more)
        else:
            plain = {"name": name, "where": "ingredients.yaml:1", "food": "water", "label": name}
            entries[name] = Ingredient.model_validate({**plain, **more})
    return replace(model, ingredients=entries)


def told(*recipes: Recipe, **changes: Changes) -> tuple[Finding, ...]:
    """What is told of the first recipe, in a shop with all of them."""
    return safety.of_recipe(recipes[0], larder(shop(*recipes), changes))


def one_pot(*steps: dict[str, Any], **changes: Changes) -> tuple[Finding, ...]:
    """What is told of a recipe of one part, which begins at line 10."""
    return told(recipe({"mix": [*steps, *END]}), **changes)


def levels(found: tuple[Finding, ...]) -> list[str]:
    return [one.level for one in found]


# --- the rule itself


@pytest.mark.parametrize(
    ("degrees", "hold", "standing"),
    [
        # 21 CFR 135.3: both rows, at their very figures and just below them.
        ("155 F", "30 min", Standing.COUNTS),
        ("175 F", "25 s", Standing.COUNTS),
        ("175 F", "24 s", Standing.SHORT),
        ("155 F", "29 min", Standing.SHORT),
        # Hotter or longer passes; hotter than one row with its hold passes too.
        ("212 F", "25 s", Standing.COUNTS),
        ("160 F", "30 min", Standing.COUNTS),
        ("155 F", "2 h", Standing.COUNTS),
        ("80 C", "25 s", Standing.COUNTS),  # 176 F
        ("68 C", "30 min", Standing.SHORT),  # 154.4 F, and not longer
        # Between the rows: by the line through both, 165 F needs the root of 1800 s times 25 s, 212 s.
        ("165 F", "213 s", Standing.EQUAL),
        ("165 F", "211 s", Standing.SHORT),
        ("180 F", "15 s", Standing.EQUAL),
        ("150 F", "90 min", Standing.EQUAL),  # the line wants 1800 s × 72^(1/4), 87.4 min
        ("150 F", "87 min", Standing.SHORT),
        # Nothing below the coolest vat heat of the Pasteurized Milk Ordinance, however long.
        ("144 F", "24 h", Standing.SHORT),
        # Ranges reach with their low ends and miss with their high ones.
        ("175 F to 180 F", "25 s to 40 s", Standing.COUNTS),
        ("170 F to 180 F", "25 s", Standing.UNKNOWN),
        ("175 F", "20 s to 30 s", Standing.UNKNOWN),
        ("130 F to 140 F", "30 min", Standing.SHORT),
    ],
)
def test_a_heat_against_the_rows(degrees: str, hold: str, standing: Standing) -> None:
    verdict = judge(temperature(degrees), duration(hold))
    assert verdict.standing is standing, verdict.why
    assert verdict.qualifies is {Standing.COUNTS: True, Standing.SHORT: False}.get(standing)
    assert verdict.rule == "21 CFR 135.3"


def test_a_missing_figure_cannot_be_told_unless_the_other_settles_it() -> None:
    assert judge(None, duration("30 min")).qualifies is None
    assert judge(temperature("175 F"), None).qualifies is None
    assert judge(None, None).qualifies is None
    assert judge(temperature("120 F"), None).qualifies is False


def test_the_temperature_of_an_oven_is_not_that_of_the_food() -> None:
    assert judge(temperature("350 F"), duration("20 min"), oven=True).qualifies is None
    assert (
        judge(temperature("140 F"), duration("8 h"), oven=True).qualifies is False
    )  # food is never hotter than its oven


def test_rows_of_both_tables_say_in_words_what_they_say_in_figures() -> None:
    for row in resources.table("law", "us", "pasteurising.csv"):
        assert temperature(row["words"].partition(" for ")[0]).low == pytest.approx(
            (float(row["temperature_f"]) - 32) / 1.8
        )
        assert duration(row["words"].partition(" for ")[2]).low == float(row["hold_s"])
    for row in resources.table("law", "us", "cooling.csv"):
        found = re.match(r"(\d+) to (\d+) F within (\d+ h)", row["words"])
        assert found is not None
        assert (found[1], found[2], duration(found[3]).low) == (row["from_f"], row["to_f"], float(row["limit_s"]))


@pytest.mark.parametrize("name", ["pasteurising", "cooling"])
def test_tables_name_their_source_and_every_row_its_rule(name: str) -> None:
    text = resources.data("law", "us", f"{name}.csv").read_text(encoding="utf-8")
    assert "Source:" in text
    for row in resources.table("law", "us", f"{name}.csv"):
        assert None not in row.values()
        assert row["rule"]
        assert row["mark"] in ("read", "from memory")


# --- the mix


def test_nothing_is_told_of_a_mix_that_is_heated_and_cooled() -> None:
    assert one_pot({"add": BASE}, HEAT, COOL) == ()


def test_no_milk_and_no_egg_is_no_matter_of_this_rule() -> None:
    sorbet = [{"add": {"quince": "1 kg", "water": "1 L", "sugar": "300 g"}}, cook(), {"reduce": {"to": "80 %"}}]
    assert one_pot(*sorbet) == ()
    assert one_pot({"add": {"quince": "1 kg"}}, cook("120 F", "1 min")) == ()
    model = shop(mix := recipe({"mix": [*sorbet, *END]}))
    assert safety.heats(mix, model) == ()


def test_a_mix_that_nothing_heats_is_a_strong_warning() -> None:
    (found,) = one_pot({"add": BASE}, COOL)
    assert found.level == "warning"
    assert found.where == "recipes/try.yaml:10"
    assert found.what.startswith("NOT PASTEURISED as written")
    assert "cream and milk" in found.what
    assert "sugar" not in found.what
    assert "155 F for 30 min or 175 F for 25 s" in found.mend
    assert "ready to eat: yes" in found.mend


def test_a_mix_of_things_marked_ready_to_eat_leaves_a_note() -> None:
    (found,) = one_pot({"add": BASE}, COOL, cream=READY, milk=READY)
    assert found.level == "note"
    assert "suppliers of cream and milk" in found.what
    (found,) = one_pot({"add": BASE}, COOL, cream=READY)
    assert (found.level, "cream" in found.what) == ("warning", False)  # the milk is not marked


def test_a_heat_known_to_be_too_little_is_an_error() -> None:
    (found,) = one_pot({"add": BASE}, cook("140 F", "10 min"), COOL)
    assert found.level == "error"
    assert found.where == "recipes/try.yaml:11"
    assert "140 F" in found.what
    assert "cream and milk" in found.what
    assert one_pot({"add": BASE}, cook("140 F", "10 min"), HEAT, COOL) == ()


def test_two_heats_that_are_too_little_do_not_add_up() -> None:
    (found,) = one_pot({"add": BASE}, cook("155 F", "20 min"), cook("155 F", "20 min"), COOL)
    assert (found.level, found.where) == ("error", "recipes/try.yaml:12")


@pytest.mark.parametrize(
    ("step", "says"),
    [
        (cook(), "no temperature is written"),
        (cook(hold="30 min"), "no temperature is written"),
        (cook("175 F"), "no hold is written"),
        (cook("170 F to 180 F", "25 s"), "the low end"),
        ({"reduce": {"to": "90 %"}}, "no temperature is written"),
        (cook("165 F", "10 min"), "approved it as an equal"),
    ],
)
def test_a_heat_of_which_it_cannot_be_told_is_a_warning(step: dict[str, Any], says: str) -> None:
    (found,) = one_pot({"add": BASE}, step, COOL)
    assert found.level == "warning"
    assert found.where == "recipes/try.yaml:11"
    assert says in found.what
    assert found.mend


def test_a_missing_figure_is_not_passed_over_even_where_a_later_heat_makes_up_for_it() -> None:
    (found,) = one_pot({"add": BASE}, cook(hold="5 min"), HEAT, COOL)
    assert (found.level, found.where) == ("note", "recipes/try.yaml:11")
    assert "no temperature is written" in found.what


def test_reducing_and_browning_with_temperature_count() -> None:
    assert one_pot({"add": BASE}, {"reduce": {"to": "90 %", "temperature": "212 F", "hold": "20 min"}}, COOL) == ()
    assert one_pot({"add": {"butter": "1 kg"}}, cook("290 F", "10 min", "brown"), COOL) == ()


def test_a_bake_is_a_note_where_it_is_folded_in_and_a_warning_where_it_is_churned() -> None:
    bake = [{"add": {"whites": "200 g", "sugar": "300 g"}}, cook("225 F", "2 h", "bake")]
    mix = [{"add": BASE}, HEAT, COOL]
    whole = {"add": {"mix": "all"}}
    (found,) = told(
        recipe({"meringue": bake, "mix": mix, "frozen": [whole, END[0], {"fold": {"meringue": "all"}}, END[1]]})
    )
    assert found.level == "note"
    assert "middle of the food" in found.what
    both = {"add": {"mix": "all", "meringue": "all"}}
    found, *_ = told(recipe({"meringue": bake, "mix": mix, "frozen": [both, *END]}))
    assert found.level == "warning"


# --- what goes in afterwards


@pytest.mark.parametrize("name", ["cream", "milk", "milk powder", "eggs", "yolks"])
@pytest.mark.parametrize("verb", ["add", "fold"])
def test_raw_milk_cream_or_egg_after_the_heat_is_an_error(name: str, verb: str) -> None:
    late = {verb: {name: "100 g"}}
    steps = [{"add": BASE}, HEAT, COOL]
    parts = [*steps, late, *END] if verb == "add" else [*steps, END[0], late, END[1]]
    (found,) = told(recipe({"mix": parts}))
    assert found.level == "error"
    assert found.where == f"recipes/try.yaml:{10 + parts.index(late)}"
    assert f"{name} goes into mix at step {1 + parts.index(late)} raw" in found.what
    assert "step 2 of mix" in found.what
    for way in ("put it in before that heat", "heat all of it again", "ready to eat: yes"):
        assert way in found.mend
    assert told(recipe({"mix": parts}), **{name: READY}) == ()


def test_the_same_thing_before_and_after_the_heat_is_told_of_at_the_step_after_it() -> None:
    (found,) = one_pot({"add": BASE}, HEAT, {"add": {"cream": "1 kg"}}, COOL)
    assert (found.level, found.where) == ("error", "recipes/try.yaml:12")


def test_heating_again_mends_it() -> None:
    assert one_pot({"add": BASE}, HEAT, {"add": {"yolks": "100 g"}}, HEAT, COOL) == ()
    (found,) = one_pot({"add": BASE}, HEAT, {"add": {"yolks": "100 g"}}, cook("160 F", "10 s"), COOL)
    assert found.level == "error"
    assert "160 F for 10 s does not reach" in found.what
    (found,) = one_pot({"add": BASE}, HEAT, {"add": {"yolks": "100 g"}}, cook(), COOL)
    assert found.level == "warning"


def test_raw_cream_into_a_pot_that_was_heated_without_any_milk_is_an_error() -> None:
    (found,) = one_pot(
        {"add": {"sugar": "1 kg", "water": "1 L"}}, cook("230 F", "5 min"), {"add": {"cream": "1 L"}}, COOL
    )
    assert (found.level, found.where) == ("error", "recipes/try.yaml:12")


def test_other_foods_that_hold_milk_are_a_warning_after_the_heat() -> None:
    toffee = {"class": "other", "allergens": ["Dairy"]}
    steps = [{"add": BASE}, HEAT, COOL, END[0], {"fold": {"toffee": "90 g"}}, END[1]]
    (found,) = told(recipe({"mix": steps}), toffee=toffee)
    assert (found.level, found.where) == ("warning", "recipes/try.yaml:14")
    assert told(recipe({"mix": steps}), toffee={**toffee, "ready to eat": "yes"}) == ()
    assert told(recipe({"mix": steps}), toffee={**toffee, "allergens": ["sesame"]}) == ()


def test_a_part_with_raw_egg_in_it_is_found_where_it_goes_in() -> None:
    parts = {
        "sabayon": [{"add": {"yolks": "100 g", "sugar": "100 g"}}],
        "mix": [{"add": BASE}, HEAT, {"add": {"sabayon": "all"}}, COOL, *END],
    }
    (found,) = told(recipe(parts))
    assert found.level == "error"
    assert found.where == "recipes/try.yaml:12"
    assert "sabayon goes into mix at step 3 with raw yolks in it" in found.what


@pytest.mark.parametrize("names", list(permutations(["mix", "cream", "sugar"])))
def test_order_inside_one_add_does_not_matter(names: tuple[str, ...]) -> None:
    amounts = {"mix": "all", "cream": "200 g", "sugar": "10 g"}
    frozen = [{"add": {name: amounts[name] for name in names}}, COOL, *END]
    (found,) = told(recipe({"mix": [{"add": BASE}, HEAT, COOL], "frozen": frozen}))
    assert found.level == "error"
    assert "cream goes into frozen at step 1 raw" in found.what


def test_a_pasteurised_mix_poured_over_raw_yolks_is_an_error_at_the_yolks() -> None:
    frozen = [{"add": {"yolks": "100 g"}}, {"add": {"mix": "all"}}, *END]
    (found,) = told(recipe({"mix": [{"add": BASE}, HEAT, COOL], "frozen": frozen}))
    assert (found.level, found.where) == ("error", "recipes/try.yaml:10")
    assert "yolks goes into frozen at step 1 raw" in found.what


def test_a_cooked_fruit_does_not_make_a_raw_mix_one_that_was_heated() -> None:
    parts = {
        "fruit": [{"add": {"quince": "1 kg"}}, cook("212 F", "20 min")],
        "mix": [{"add": BASE}, {"add": {"fruit": "all"}}, *END],
    }
    (found,) = told(recipe(parts))
    assert (found.level, found.what[:15]) == ("warning", "NOT PASTEURISED")


def test_saved_things_carry_what_was_in_the_pot() -> None:
    parts = {
        "poach": [{"add": {"quince": "1 kg", "milk": "1 L"}}, {"strain": {"out": ["quince"], "save": "milky quince"}}],
        "mix": [{"add": BASE}, HEAT, COOL, END[0], {"fold": {"milky quince": "all"}}, END[1]],
    }
    (found,) = told(recipe(parts))
    assert found.level == "error"
    assert "milky quince goes into mix at step 5 with raw milk in it" in found.what


def test_of_a_part_used_twice_the_worse_use_is_told() -> None:
    parts = {
        "dairy": [{"add": BASE}],
        "mix": [{"add": {"dairy": "50 %"}}, HEAT, COOL],
        "frozen": [{"add": {"mix": "all", "dairy": "50 %"}}, *END],
    }
    found = told(recipe(parts))
    assert levels(found) == ["error", "error"]


# --- house bases


def base(*steps: dict[str, Any]) -> Recipe:
    return recipe({"base": [{"add": BASE}, *steps]}, key="base", makes="house mix")


def flavour(*steps: dict[str, Any], key: str = "flavour") -> Recipe:
    return recipe({"mix": [{"add": {"house mix": "2 kg"}}, *steps, *END]}, key=key)


def test_a_heated_house_base_carries_over() -> None:
    assert told(flavour(), base(HEAT, COOL)) == ()
    (found,) = told(flavour({"add": {"cream": "1 kg"}}), base(HEAT, COOL))
    assert (found.level, found.where) == ("error", "recipes/flavour.yaml:11")
    assert "step 2 of base" in found.what


def test_a_raw_house_base_is_judged_by_its_flavours() -> None:
    raw, heated, cold = base(), flavour(HEAT, COOL), flavour(key="cold")
    assert told(heated, raw) == ()
    assert levels(told(raw, heated)) == ["note"]
    (found,) = told(cold, raw)
    assert (found.level, found.where) == ("warning", "recipes/base.yaml:10")
    assert told(raw, heated, cold) == (found,)
    assert levels(told(raw)) == ["warning"]  # nobody uses it: it is judged by itself


def test_raw_cream_in_a_base_is_no_error_where_every_flavour_heats_it_again() -> None:
    made = base(HEAT, {"add": {"cream": "1 kg"}}, COOL)
    heated, cold = flavour(HEAT, COOL), flavour(key="cold")
    assert "error" not in levels(told(made, heated))
    assert levels(told(made, heated, cold)) == ["error"]
    assert levels(told(cold, made, heated)) == ["error"]
    assert told(heated, made, cold) == ()


def test_bases_in_a_circle_come_to_an_end() -> None:
    one = recipe({"a": [{"add": {"second": "1 kg", **BASE}}]}, key="one", makes="first")
    two = recipe({"b": [{"add": {"first": "1 kg"}}]}, key="two", makes="second")
    assert isinstance(safety.findings(shop(one, two)), tuple)


def test_bases_that_stand_on_many_others_come_to_an_end() -> None:
    lowest = recipe({"p": [{"add": BASE}]}, key="r0", makes="b0")
    others = [recipe({"p": [{"add": {f"b{i - 1}": "1 kg"}}]}, key=f"r{i}", makes=f"b{i}") for i in range(1, 400)]
    (found,) = safety.of_recipe(others[-1], shop(lowest, *others))
    assert (found.level, found.where) == ("warning", "recipes/r0.yaml:10")


def test_all_recipes_of_a_shop_each_finding_once() -> None:
    model = shop(base(), flavour(), flavour(key="cold"))
    assert len(safety.findings(model)) == 1


# --- cooling


def cooled(*steps: dict[str, Any]) -> tuple[Finding, ...]:
    return one_pot({"add": BASE}, HEAT, *steps)


@pytest.mark.parametrize(
    ("steps", "level", "says"),
    [
        ([], "warning", "nothing says how this is cooled"),
        ([cool(to="40 F")], "warning", "nothing says how fast"),
        ([cool(to="40 F", hold="12 h")], "warning", "nothing says how fast"),
        ([cool(to="40 F", within="8 h")], "warning", "this may take 8 h, and the limit is 135 to 41 F within 6 h"),
        ([cool(to="40 F", within="5 h", by_points={"70 F": "3 h"})], "warning", "this may take 3 h"),
        ([cool(to="40 F", within="5 h", by_points={"90 F": "3 h"})], "warning", "135 to 70 F within 2 h"),
        ([cool(to="40 F", within="4 h")], "note", "135 to 70 F within 2 h"),
        ([cool(to="50 F", within="2 h")], "warning", "cools only to 50 F"),
        ([cool(to="70 F", within="2 h"), cool(to="40 F", within="5 h")], "warning", "this may take 7 h"),
        ([cool(to="60 F", within="2 h", hold="3 h"), cool(to="40 F", within="2 h")], "warning", "this may take 7 h"),
        ([cool(to="40 F", within="3 h to 7 h", by_points={"70 F": "1 h"})], "warning", "this may take 7 h"),
    ],
)
def test_cooling_that_is_not_written_or_too_slow(steps: list[dict[str, Any]], level: str, says: str) -> None:
    (found,) = cooled(*steps)
    assert found.level == level
    assert says in found.what
    assert found.mend


@pytest.mark.parametrize(
    "steps",
    [
        [cool(to="41 F", within="6 h", by_points={"70 F": "2 h"})],
        [cool(to="40 F", within="2 h")],
        [cool(to="5 C", within="90 min")],
        [cool(to="70 F", within="2 h"), cool(to="40 F", within="4 h")],
        [cool(to="40 F", within="5 h", by_points={"65 F": "2 h"})],
    ],
)
def test_cooling_within_the_limits_is_not_told_of(steps: list[dict[str, Any]]) -> None:
    assert cooled(*steps) == ()


def test_a_heat_after_cooling_wants_cooling_again() -> None:
    (found,) = cooled(COOL, HEAT)
    assert (found.level, found.where) == ("warning", "recipes/try.yaml:13")


def test_hardening_and_cold_steeping_are_no_cooling_after_heat() -> None:
    mix = [{"add": BASE}, HEAT, COOL, cool(to="38 F", hold="16 h"), *END, cool(to="0 F")]
    assert told(recipe({"mix": mix})) == ()


def test_a_warm_steep_is_told_of() -> None:
    (found,) = cooled(COOL, cool(to="60 F", hold="16 h"))
    assert (found.level, found.where) == ("warning", "recipes/try.yaml:13")
    assert "cools only to 60 F" in found.what


def test_a_hot_part_stays_hot_until_it_is_cooled() -> None:
    parts = {"mix": [{"add": BASE}, HEAT], "frozen": [{"add": {"mix": "all"}}, *END]}
    (found,) = told(recipe(parts))
    assert (found.level, found.where) == ("warning", "recipes/try.yaml:11")
    parts = {"mix": [{"add": BASE}, HEAT], "frozen": [{"add": {"mix": "all"}}, COOL, *END]}
    assert told(recipe(parts)) == ()


def test_a_house_base_that_nobody_uses_yet_wants_cooling_too() -> None:
    (found,) = told(base(HEAT))
    assert (found.level, found.where) == ("warning", "recipes/base.yaml:11")
    assert told(base(HEAT, COOL)) == ()
    assert told(base(HEAT), flavour(HEAT, COOL)) == ()


def test_a_cooked_cream_that_is_folded_in_wants_cooling_and_a_bake_does_not() -> None:
    def folded(*steps: dict[str, Any]) -> tuple[Finding, ...]:
        mix = [{"add": BASE}, HEAT, COOL, END[0], {"fold": {"swirl": "all"}}, END[1]]
        return told(recipe({"swirl": [{"add": {"butter": "500 g"}}, *steps], "mix": mix}), butter=READY)

    (found,) = folded(cook("230 F", "5 min"))
    assert "before swirl is folded in" in found.what
    assert folded(cook("230 F", "5 min"), COOL) == ()
    assert folded(cook("350 F", "20 min", "bake")) == ()


# --- for the batch sheet


def test_the_sheet_is_told_which_heat_is_whose() -> None:
    parts = {
        "caramel": [{"add": {"cream": "1 kg"}}, cook(hold="5 min")],
        "mix": [{"lose": "1 %"}, {"add": {"caramel": "all", "milk": "1 kg"}}, HEAT, COOL, *END],
    }
    mix = recipe(parts)
    first, second = safety.heats(mix, shop(mix))
    assert (first.part, first.step, first.temperature_c, first.hold_s, first.qualifies) == (
        "caramel",
        2,
        None,
        300,
        None,
    )
    assert (second.part, second.step, second.hold_s, second.qualifies) == ("mix", 3, 25, True)
    assert second.temperature_c == pytest.approx(79.444444)  # 175 F
    assert second.rule == "21 CFR 135.3"
    assert second.holds == ("cream", "milk")
    assert first.why == "no temperature is written"


def test_a_flavour_shows_the_heat_of_its_house_base() -> None:
    made, used = base(HEAT, COOL), flavour(HEAT, COOL)
    checks = safety.heats(used, shop(made, used))
    assert [(check.recipe, check.part) for check in checks] == [("base", "base"), ("flavour", "mix")]


def test_limits_of_cooling_for_the_sheet() -> None:
    assert [(round(limit.to_c, 3), limit.limit_s) for limit in safety.cooling_limits()] == [(21.111, 7200), (5, 21600)]


# --- the examples


def test_the_example_shop_has_nothing_worse_than_these_notes() -> None:
    model = Shop.open(str(resources.tree("examples") / "quillfeather")).model
    found = {one.where.partition(":")[0]: one for one in safety.findings(model)}
    # Egg whites are baked into a meringue that is folded in; and the sample recipe of the design has no way point.
    assert {place: one.level for place, one in found.items()} == {
        "recipes/custard.yaml": "note",
        "recipes/quince.yaml": "note",
    }
    assert len(safety.findings(model)) == 2
    assert "egg whites" in found["recipes/custard.yaml"].what
    assert "135 to 70 F" in found["recipes/quince.yaml"].what
    for key, one in model.recipes.items():
        milky = key != "plum"
        assert any(check.qualifies for check in safety.heats(one, model)) is milky


def test_the_starter_has_nothing_to_tell() -> None:
    assert safety.findings(Shop.open(str(resources.tree("examples") / "starter")).model) == ()


def test_places_are_lines_of_the_file(quillfeather: Path) -> None:
    path = quillfeather / "recipes" / "custard.yaml"
    text = path.read_text(encoding="utf-8")
    line = "    - churn: {machine: batch freezer, overrun: 27 %, leaves: 80 g}\n"
    assert line in text
    path.write_text(
        text.replace(line, "    - add:\n        sugar: 10 g\n        heavy cream: 100 g\n" + line), encoding="utf-8"
    )
    (found,) = [one for one in safety.findings(Shop.open(quillfeather).model) if one.level == "error"]
    number = text[: text.index(line)].count("\n") + 3
    assert found.where == f"recipes/custard.yaml:{number}"


# --- words


def test_nothing_here_ever_vouches_for_a_food() -> None:
    place = Path(safety.__file__).parent
    said = []
    for module in sorted(place.glob("*.py")):
        nodes = ast.walk(ast.parse(module.read_text(encoding="utf-8")))
        said += [node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)]
    for name in ("pasteurising", "cooling"):
        said += [cell for row in resources.table("law", "us", f"{name}.csv") for cell in row.values()]
    assert len(said) > 50
    assert not [text for text in said if re.search(r"\b(un)?safe(ly)?\b", text, re.IGNORECASE)]
