"""What a batch sheet says, against the engine's own figures."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from costing import safety
from costing.batch_sheet.content import BatchSheet, StepLines, text_of
from costing.batch_sheet.writing import sheet
from costing.desk import Asked, Shop
from costing.findings import ShopError
from costing.kitchen.verbs import FREE
from nutrition.resources import data, tree
from tests.costing.kitchen.builders import DAY, recipe
from tests.costing.kitchen.builders import shop as small_shop

if TYPE_CHECKING:
    from collections.abc import Mapping

    from costing.shop.models import Recipe

SIZES = (1.0, 3.0)


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


def keys() -> list[str]:
    return sorted(one.name.removesuffix(".yaml") for one in (tree("examples") / "quillfeather" / "recipes").iterdir())


def of(parts: Mapping[str, Any], *others: Recipe, size: float = 1.0, **more: Any) -> BatchSheet:
    made = recipe(parts, **more)
    return sheet(Shop(small_shop(made, *others), as_of=DAY), made.key, Asked(size=size))


def steps(found: BatchSheet) -> list[StepLines]:
    return [step for part in found.sections for step in part.steps]


def step(found: BatchSheet, verb: str) -> StepLines:
    return next(one for one in steps(found) if one.verb == verb)


MIX = [{"add": {"cream": "2 qt", "milk": "1 qt", "sugar": "300 g"}}]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("key", keys())
def test_everything_that_goes_in_is_weighed_as_the_engine_weighs_it(shop: Shop, key: str, size: float) -> None:
    found, brew = sheet(shop, key, Asked(size=size)), shop.brew(key, size=size)
    assert sorted((w.name, w.grams) for w in found.weighs) == sorted((u.source, float(u.grams[0])) for u in brew.uses)
    bought: dict[str, float] = {}
    for weigh in found.weighs:
        if weigh.name in shop.model.ingredients:
            bought[weigh.name] = bought.get(weigh.name, 0.0) + weigh.grams
    used: dict[str, float] = {}
    for (name, _), grams in brew.used.items():
        used[name] = used.get(name, 0.0) + float(grams[0])
    assert bought == pytest.approx(used)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("key", keys())
def test_every_step_has_the_weight_and_the_order_of_the_engine(shop: Shop, key: str, size: float) -> None:
    found, brew = sheet(shop, key, Asked(size=size)), shop.brew(key, size=size)
    assert [part.name for part in found.sections] == [part.name for part in brew.parts]
    for part, record in zip(found.sections, brew.parts, strict=True):
        assert [(s.number, s.verb) for s in part.steps] == [(r.number, r.verb) for r in record.steps]
        for one, done in zip(part.steps, record.steps, strict=True):
            if one.after_g is not None and one.verb != "soak":
                assert one.after_g == float(done.out_g[0])
            assert one.measured == (one.verb in FREE or one.verb == "weigh")
            assert not one.measured or one.after


@pytest.mark.parametrize("key", keys())
def test_three_batches_take_three_times_as_much(shop: Shop, key: str) -> None:
    one, three = sheet(shop, key), sheet(shop, key, Asked(size=3.0))
    assert len(one.weighs) == len(three.weighs)
    for single, triple in zip(one.weighs, three.weighs, strict=True):
        # What is made on the way can be a little more than three times as much: what sticks to a pot does not grow.
        assert triple.grams == pytest.approx(3 * single.grams, rel=0.03)
        if single.name in shop.model.ingredients and "pot" not in single.measure:
            assert triple.grams == pytest.approx(3 * single.grams, rel=0.01)
    assert three.size.startswith("3 batches: ")


def test_a_house_base_comes_first_at_the_size_that_is_taken(shop: Shop) -> None:
    found = sheet(shop, "oolong", Asked(size=2.0))
    base = found.sections[0]
    assert (base.recipe, base.title, base.base) == ("house-base", "Sweet cream base", "sweet cream base")
    full = float(shop.brew("house-base").pot.grams()[0])
    # The recipe takes 6 kg of it, twice.
    assert f"{12000 / full * 100:.1f}% of a full house batch" in base.lead[0]
    assert "12,000 g" in base.lead[0]
    cream = next(w for w in base.steps[1].weighs if w.name == "heavy cream")
    whole = next(w for w in sheet(shop, "house-base").weighs if w.name == "heavy cream")
    assert cream.grams == pytest.approx(whole.grams * 12000 / full)
    assert "for a full house batch" in base.steps[1].time


def test_cautions_temperatures_and_pointers(shop: Shop) -> None:
    found = sheet(shop, "quince")
    said = " ".join(found.cautions)
    # 21 CFR 135.3; FDA Food Code 3-501.14; 9 CFR 381.15: the tables of data/law/us.
    for words in (
        "155 F for 30 min or 175 F for 25 s",
        "135 to 70 F within 2 h",
        "inspected source",
        "change-over log",
    ):
        assert words in said
    assert [check.what for check in found.checks] == ["heat to 175 °F (80 °C)", "down to 40 °F (4 °C)"]
    custard = sheet(shop, "custard")
    assert any("pasteurised eggs" in one for one in custard.cautions)
    assert custard.checks[0].what.startswith("middle of the food, oven at")


@pytest.mark.parametrize("key", keys())
def test_every_heat_of_milk_or_egg_and_every_cooling_is_signed_for(shop: Shop, key: str) -> None:
    found = sheet(shop, key)
    model = shop.model.recipes[key]
    cools = [s for s in steps(found) if s.verb == "cool"]
    heats = [c for c in found.checks if not c.what.startswith("down to")]
    assert len(heats) == len(safety.heats(model, shop.model))
    assert len([c for c in found.checks if c.what.startswith("down to")]) >= len(cools)


def test_a_sorbet_has_no_caution_about_milk(shop: Shop) -> None:
    found = sheet(shop, "plum")
    assert found.allergens == ()
    assert not any("pasteurised" in one for one in found.cautions)


def test_measures_remarks_and_shares_are_said(shop: Shop) -> None:
    weighs = {w.name: w for w in sheet(shop, "quince", Asked(size=2.67)).weighs}
    assert (weighs["heavy cream"].measure, weighs["heavy cream"].shown) == ("5 1/3 qt", "5,084 g")
    assert weighs["quince"].remark == "as bought, trimmed in step 2"
    assert weighs["poached quince"].measure == "50 % of it"
    assert weighs["poached quince"].remark == "from quince syrup"
    assert weighs["heavy cream"].allergens == "Milk"


def test_allergens_of_what_no_container_gets_stand_apart() -> None:
    found = of(
        {
            "nuts": {"steps": [{"add": {"pistachio": "100 g", "sugar": "50 g"}}]},
            "mix": [*MIX, {"cook": {"temperature": "180 F", "hold": "1 min", "loses": "2 %"}}],
            "frozen": [{"add": {"mix": "all"}}, {"churn": {"overrun": "25 %"}}, {"fill": {"container": "pint"}}],
        }
    )
    assert found.allergens == ("Milk", "Tree Nut (Pistachio)")
    assert found.beside == ("Tree Nut (Pistachio)",)


def test_what_was_steeped_and_thrown_away_is_still_an_allergen() -> None:
    found = of(
        {
            "mix": [
                *MIX,
                {"add": {"pistachio": "200 g"}},
                {"cook": {"temperature": "180 F", "hold": "1 min", "loses": "2 %"}},
                {"strain": {"out": ["pistachio"], "holding": "30 %"}},
                {"churn": {"overrun": "25 %"}},
                {"fill": {"container": "pint"}},
            ]
        }
    )
    assert found.allergens == ("Milk", "Tree Nut (Pistachio)")
    assert found.beside == ()


def test_weights_in_sentences_grow_with_the_batch() -> None:
    parts = {
        "mix": [
            *MIX,
            {"cook": {"temperature": "180 F", "hold": "1 min", "loses": "100 g"}},
            {"reduce": {"to": "2 kg"}},
            {"weigh": "1990 g"},
            {"churn": {"machine": "freezer", "overrun": "25 %"}},
            {"fill": {"container": [{"container": "pint", "count": 2}, {"container": "cup"}]}},
        ]
    }
    found = of(parts, size=3.0)
    assert "About 300 g boils off." in text_of(step(found, "cook").words)
    assert "6,000 g" in text_of(step(found, "reduce").words)
    assert "The recipe counts on 5,970 g" in text_of(step(found, "weigh").words)
    assert "Fill 6 pints" in text_of(step(found, "fill").words)
    runs = round(float(Shop(small_shop(recipe(parts)), as_of=DAY).brew("try", size=3.0).runs[0]))
    assert runs > 1
    assert f"in {runs} runs of" in text_of(step(found, "churn").words)
    assert found.size.startswith("3 batches: 6 pints, ")


def test_missing_temperatures_and_times_are_said_not_passed_over() -> None:
    found = of(
        {
            "mix": [
                *MIX,
                {"cook": {"temperature": "180 F", "hold": "1 min", "loses": "2 %"}},
                {"cool": {"to": "40 F"}},
                {"cook": {"loses": "1 %"}},
                {"churn": {"overrun": "25 %"}},
                {"fill": {"container": "pint"}},
            ]
        }
    )
    assert "no time is written" in text_of(step(found, "cool").words)
    assert "neither temperature nor time is written" in text_of(steps(found)[3].words)
    assert [check.limit for check in found.checks].count("no time is written") == 2
    assert step(found, "cool").warnings


def test_what_is_soaked_is_weighed_by_itself() -> None:
    found = of(
        {
            "raisins": [
                {"add": {"raisins": "400 g", "rum": "500 g"}},
                {"soak": {"of": ("raisins",), "uptake": "30 %", "hold": "24 h"}},
                {"strain": {"out": ["raisins"], "holding": "5 %", "save": "drunk raisins"}},
            ],
            "mix": [*MIX, {"cook": {"temperature": "180 F", "hold": "1 min", "loses": "2 %"}}],
            "frozen": [
                {"add": {"mix": "all"}},
                {"churn": {"overrun": "25 %"}},
                {"fold": {"drunk raisins": "50 %"}},
                {"fold": {"drunk raisins": "all"}},
                {"fill": {"container": "pint"}},
            ],
        }
    )
    soak = step(found, "soak")
    # 400 g take up 30 % of their weight.
    assert (soak.after, soak.what) == ("520 g", "soaked, lifted out")
    assert [w.measure for w in found.weighs if w.name == "drunk raisins"] == ["50 % of it", "all that is left"]


def test_money_is_no_matter_for_the_wall(shop: Shop) -> None:
    words = " ".join(w for key in keys() for s in steps(sheet(shop, key)) for w in s.warnings)
    assert "money" not in words
    assert "cost" not in words
    assert shop["quince"].answer().findings  # there are such findings


def test_what_the_kitchen_was_told_stands_at_its_step() -> None:
    found = of(
        {
            "mix": [
                *MIX,
                {"cook": {"temperature": "180 F", "hold": "1 min"}},
                {"churn": {"overrun": "25 %"}},
                {"fill": {"container": "pint"}},
            ]
        }
    )
    assert any("nothing says what this loses" in one.casefold() for one in step(found, "cook").warnings)


def test_a_recipe_that_cannot_be_made_says_why() -> None:
    with pytest.raises(ShopError, match=r"2,000 x pint"):
        of(
            {
                "mix": [
                    *MIX,
                    {"churn": {"overrun": "25 %"}},
                    {"fill": {"container": [{"container": "pint", "count": 2000}]}},
                ]
            }
        )
    with pytest.raises(KeyError):
        sheet(Shop(small_shop(recipe({"mix": MIX})), as_of=DAY), "nothing")


def test_measured_trials_stand_in_where_asked(shop: Shop) -> None:
    how = Asked(trials=True)
    measured, answer = sheet(shop, "quince", how), shop["quince"].answer(how)
    for part, result in zip(measured.sections, answer.parts, strict=True):
        assert [s.after_g for s in part.steps if s.after_g is not None] == pytest.approx(
            [r.out_g for s, r in zip(part.steps, result.steps, strict=True) if s.after_g is not None]
        )
    assert steps(measured) != steps(sheet(shop, "quince"))


def test_the_words_on_the_sheet_never_vouch_for_a_food(shop: Shop) -> None:
    for key in keys():
        for size in SIZES:
            assert "safe" not in repr(sheet(shop, key, Asked(size=size))).casefold()
    assert "safe" not in data("kitchen", "batch_sheet.csv").read_text(encoding="utf-8").casefold()


def test_the_locale_decides_paper_and_scales(shop: Shop) -> None:
    german = Shop(replace(shop.model, locale="de_DE"), as_of=shop.day)
    found = sheet(german, "quince")
    assert not found.letter
    assert "80 °C (175 °F)" in found.checks[0].what
    assert next(w for w in found.weighs if w.name == "heavy cream").shown == "1.904 g"
    lost = sheet(Shop(replace(shop.model, locale="xx_YY"), as_of=shop.day), "quince")
    assert (lost.locale, lost.letter) == ("en_US", True)


def test_a_house_base_alone_says_what_it_holds_and_makes() -> None:
    found = of(
        {
            "fat": [
                {"add": {"bacon": "500 g"}},
                {"render": {"of": ("bacon",), "yields": "35 %", "label": "bacon fat"}},
            ],
            "base": [
                *MIX,
                {"add": {"fat": "100 g", "rum": "50 g", "yolks": "200 g"}},
                {"cook": {"temperature": "180 F", "hold": "1 min", "loses": "2 %"}},
                {"cool": {"to": "40 F", "within": "4 h", "by_points": {"70 F": "2 h"}}},
            ],
        },
        makes="rum base",
    )
    said = " ".join(found.cautions)
    assert "animal tissue or its fat: bacon" in said
    assert "alcohol: rum" in said
    assert "155 F for 30 min" in said
    assert "pasteurised eggs" in said
    assert [one.what for one in found.counts if "made" in one.what] == ["Rum base, made"]
    assert found.size == f"1 batch: {step(found, 'cool').after}"
    assert "Render bacon over low heat until the fat has run out: 35 % of its weight. Throw the crisp rest away" in (
        text_of(step(found, "render").words)
    )


def test_a_base_of_a_base_is_made_at_the_size_of_both() -> None:
    milk = recipe({"milk mix": MIX, "white base": [{"add": {"milk mix": "all"}}]}, key="white", makes="white base")
    sweet = recipe({"sweet": [{"add": {"white base": "1 kg", "sugar": "100 g"}}]}, key="sweet", makes="sweet base")
    parts = {
        "frozen": [{"add": {"sweet base": "2200 g"}}, {"churn": {"overrun": "25 %"}}, {"fill": {"container": "pint"}}]
    }
    found = of(parts, milk, sweet, size=2.0)
    assert [(part.recipe, part.title) for part in found.sections] == [
        ("white", "White base: milk mix"),
        ("white", "White base: white base"),
        ("sweet", "Sweet base"),
        ("try", "Frozen"),
    ]
    weighs = {weigh.name: weigh.grams for weigh in found.weighs}
    # 4.4 kg are four times the sweet base of 1.1 kg.
    assert weighs["sweet base"] == pytest.approx(4400)
    assert weighs["white base"] == pytest.approx(4000)
    assert [bool(part.base) for part in found.sections] == [True, False, True, False]
    assert "400.0% of a full house batch of 1,100 g" in found.sections[2].lead[0]


@pytest.mark.parametrize(
    ("cooking", "said"),
    [
        ({"cook": {"how": "simmer", "temperature": "205 F", "hold": "1 h", "to": "30 Brix"}}, "Until it has 30 Brix."),
        ({"cook": {"hold": "1 h", "to": "700 g"}}, "Until it weighs 1,400 g."),
        ({"cook": {"hold": "1 h", "to": "80 %"}}, "Until 80 % is left."),
        ({"reduce": {"to": "30 Brix", "temperature": "212 F"}}, "Boil down to 30 Brix, at 212 °F (100 °C)."),
        (
            {"reduce": {"to": "50 % by volume"}},
            "Boil down to 50 % by volume: from about 2 qt (1.92 L) to about 1 qt (959 mL), both cold",
        ),
        ({"lose": "2 %"}, "Empty the pot: about 40 g sticks to it and to the tools."),
    ],
)
def test_how_far_something_is_cooked_down(cooking: dict[str, Any], said: str) -> None:
    found = of({"juice": [{"add": {"apple juice": "1 kg"}}, cooking, {"fill": {"container": "cup"}}]}, size=2.0)
    assert said in text_of(steps(found)[1].words)
