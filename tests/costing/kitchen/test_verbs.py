"""Each verb against figures worked by hand. Food values are USDA SR28's, written out where they are used."""

from __future__ import annotations

import numpy as np
import pytest

from costing.contents import composition
from costing.kitchen.brew import Brew, PartRecord
from costing.kitchen.density import brix, millilitres
from costing.kitchen.draws import Draws
from costing.kitchen.materials import Pantry
from costing.kitchen.pot import ADDED, ALCOHOL, BOILED, FAT, MONEY, SOLUBLES, VALUE, WATER
from costing.kitchen.run import run
from costing.prices.book import PriceBook
from costing.purchases import Purchasing
from tests.costing.kitchen.builders import DAY, brew, recipe, shop


def part(batch: Brew, name: str) -> PartRecord:
    return next(one for one in batch.parts if one.name == name)


def amount(batch: Brew, name: str, key: str) -> float:
    whole = shop()
    found = composition(part(batch, name).pot, Pantry(whole.ingredients, whole.foods)).amount(key)
    assert found is not None
    return found


def test_add_weighs_measures_by_the_food_record() -> None:
    # SR28 01053, heavy cream: 1 cup is 238 g; two quarts are eight cups.
    batch = brew({"base": [{"add": {"cream": "2 qt"}}]})
    assert batch.pot.grams()[0] == pytest.approx(8 * 238.0)
    assert batch.pot.ledger(MONEY)[0] == pytest.approx(8 * 238.0 / 1000 * 6.00)


def test_shares_of_a_part_are_of_its_finished_weight() -> None:
    batch = brew(
        {
            "syrup": [{"add": {"water": "1 kg", "sugar": "1 kg"}}, {"cook": {"loses": "25 %"}}],
            "one": [{"add": {"syrup": "20 %"}}],
            "two": [{"add": {"syrup": "all"}}],
        }
    )
    assert part(batch, "one").pot.grams()[0] == pytest.approx(300.0)
    assert part(batch, "two").pot.grams()[0] == pytest.approx(1200.0)
    assert [one.name for one in batch.saved] == ["one"]


def test_trim_adds_as_bought_and_passes_the_money_on() -> None:
    # 1.2 kg of quince as bought at 4.00 a kg, 61 % kept: 732 g that carry all 4.80, and 468 g lost worth 1.872.
    batch = brew({"fruit": [{"add": {"quince": "1.2 kg"}}, {"trim": {"quince": "61 %"}}]})
    step = part(batch, "fruit").steps[1]
    assert batch.pot.grams()[0] == pytest.approx(732.0)
    assert batch.pot.ledger(MONEY)[0] == pytest.approx(4.80)
    assert batch.pot.ledger(VALUE)[0] == pytest.approx(2.928)
    assert step.lost_value[0] == pytest.approx(1.872)
    assert batch.pot.ledger(ADDED)[0] == pytest.approx(732.0)


def test_trim_by_the_food_record() -> None:
    # SR28 09296, quinces: refuse 39 %.
    batch = brew({"fruit": [{"add": {"quince": "1 kg"}}, {"trim": {"quince": None}}]})
    assert batch.pot.grams()[0] == pytest.approx(610.0)


def test_what_is_not_trimmed_is_bought_with_its_unusable_share() -> None:
    # 61 g in the pot were 100 g as bought, SR28 refuse 39 %.
    batch = brew({"fruit": [{"add": {"quince": "610 g"}}]})
    assert batch.pot.ledger(MONEY)[0] == pytest.approx(4.00)
    assert batch.pot.ledger(VALUE)[0] == pytest.approx(2.44)


def test_cook_takes_water_from_the_liquid_first() -> None:
    batch = brew({"pot": [{"add": {"quince": "500 g", "water": "500 g"}}, {"cook": {"loses": "40 %", "hold": "1 h"}}]})
    assert batch.pot.grams()[0] == pytest.approx(600.0)
    fruit = next(i for i, tag in enumerate(batch.pot.tags) if tag.ingredient == "quince")
    assert batch.pot.weights()[fruit, 0] == pytest.approx(500.0)
    assert batch.pot.ledger(BOILED)[0] == pytest.approx(400.0)
    assert batch.pot.ledger(ADDED)[0] == pytest.approx(1000.0), "evaporation leaves the weight as added alone"


def test_toasting_takes_water_from_the_solids() -> None:
    # SR28 12151, pistachios: 4.37 g of water in 100 g.
    batch = brew({"nuts": [{"add": {"pistachio": "1 kg"}}, {"cook": {"how": "toast", "loses": "3 %"}}]})
    assert batch.pot.mass[0, 0, WATER] == pytest.approx(43.7 - 30.0, abs=0.5)


def test_cook_keeps_vitamins_by_the_table() -> None:
    # data/kitchen/vitamin_retention.csv: dairy keeps 90 % of thiamin in one cooking; SR28 01077: 0.046 mg in 100 g.
    batch = brew({"milk": [{"add": {"milk": "1 kg"}}, {"cook": {"loses": "0 %", "hold": "1 min"}}]})
    assert amount(batch, "milk", "thiamin") == pytest.approx(0.46 * 0.90)
    assert amount(batch, "milk", "calcium") == pytest.approx(1130.0)


def test_alcohol_leaves_by_the_table_when_a_time_is_given() -> None:
    # USDA retention factors, release 6 (from memory): simmered half an hour, 35 % of the alcohol is kept.
    batch = brew({"pot": [{"add": {"rum": "200 g", "water": "800 g"}}, {"cook": {"hold": "30 min", "loses": "20 %"}}]})
    start = brew({"pot": [{"add": {"rum": "200 g", "water": "800 g"}}]}).pot.mass[:, 0, ALCOHOL].sum()
    assert batch.pot.mass[:, 0, ALCOHOL].sum() == pytest.approx(0.35 * start)
    assert batch.pot.grams()[0] == pytest.approx(800.0)


def test_alcohol_leaves_ahead_of_water_when_no_time_is_given() -> None:
    batch = brew({"pot": [{"add": {"rum": "200 g", "water": "800 g"}}, {"reduce": {"to": "80 %"}}]})
    start = brew({"pot": [{"add": {"rum": "200 g", "water": "800 g"}}]}).pot
    alcohol = batch.pot.mass[:, 0, ALCOHOL].sum() / start.mass[:, 0, ALCOHOL].sum()
    water = batch.pot.mass[:, 0, WATER].sum() / start.mass[:, 0, WATER].sum()
    assert alcohol == pytest.approx(water**8)
    assert batch.pot.grams()[0] == pytest.approx(800.0)


def test_reduce_by_weight_volume_and_brix() -> None:
    syrup = {"add": {"water": "900 g", "sugar": "100 g"}}
    by_weight = brew({"pot": [syrup, {"reduce": {"to": "50 %"}}]})
    assert by_weight.pot.grams()[0] == pytest.approx(500.0)
    assert brix(by_weight.pot)[0] == pytest.approx(20.0, rel=1e-3)
    by_volume = brew({"pot": [syrup, {"reduce": {"to": "50 % by volume"}}]})
    start = brew({"pot": [syrup]})
    assert millilitres(by_volume.pot)[0] == pytest.approx(millilitres(start.pot)[0] / 2)
    assert by_volume.pot.grams()[0] > by_weight.pot.grams()[0]
    by_brix = brew({"pot": [syrup, {"reduce": {"to": "65 Brix"}}]})
    assert brix(by_brix.pot)[0] == pytest.approx(65.0)
    assert by_brix.pot.mass[:, 0, SOLUBLES].sum() == pytest.approx(100.0, rel=2e-3)
    to_weight = brew({"pot": [syrup, {"reduce": {"to": "300 g"}}]})
    assert to_weight.pot.grams()[0] == pytest.approx(300.0)


def test_render_leaves_fat_and_passes_money_and_allergens_on() -> None:
    batch = brew(
        {"fat": [{"add": {"bacon": "1 kg"}}, {"render": {"of": "bacon", "yields": "30 %", "label": "bacon fat"}}]}
    )
    step = part(batch, "fat").steps[1]
    assert batch.pot.grams()[0] == pytest.approx(300.0)
    assert batch.pot.mass[0, 0, FAT] == pytest.approx(300.0)
    assert batch.pot.ledger(MONEY)[0] == pytest.approx(10.0)
    assert batch.pot.tags[0].label == "bacon fat"
    assert step.vapour_g[0] > 0
    assert step.vapour_g[0] + step.discarded_g[0] == pytest.approx(700.0)


def test_saved_cracklings_take_their_share_of_the_money() -> None:
    batch = brew(
        {"fat": [{"add": {"bacon": "1 kg"}}, {"render": {"of": "bacon", "yields": "30 %", "save": "cracklings"}}]}
    )
    (saved,) = batch.saved
    assert batch.pot.ledger(MONEY)[0] + saved.pot.ledger(MONEY)[0] == pytest.approx(10.0)
    # A mend must be one that the verb takes: rendering has no worth.
    assert [finding.mend for finding in batch.findings if "saved here" in finding.what] == [
        "if it is a by-product, take save out: it is thrown away, and its money stays with the rest"
    ]


def test_press_leaves_fibre_and_fat_in_the_cake() -> None:
    batch = brew(
        {
            "juice": [
                {"add": {"quince": "610 g"}},
                {"press": {"of": "quince", "yields": "50 %", "label": "quince juice"}},
            ]
        }
    )
    assert batch.pot.grams()[0] == pytest.approx(305.0)
    assert amount(batch, "juice", "dietary_fiber") == 0.0
    assert amount(batch, "juice", "total_fat") == 0.0
    assert batch.pot.ledger(MONEY)[0] == pytest.approx(4.0)


def test_soak_takes_up_liquid_as_it_is_and_gives_it_back_to_nobody() -> None:
    batch = brew(
        {
            "raisins in rum": [
                {"add": {"raisins": "500 g", "rum": "400 g", "sugar": "100 g"}},
                {"soak": {"of": "raisins", "uptake": "30 %"}},
                {"strain": {"out": ["raisins"], "holding": "0 %", "extracts": "0 %", "save": "soaked"}},
            ],
            "mix": [{"add": {"soaked": "50 %"}}],
        }
    )
    # 150 g of a liquid of 400 g rum and 100 g sugar were taken up: 120 g rum and 30 g sugar; half of it all is used.
    taken = {tag.ingredient: w for tag, w in zip(batch.pot.tags, batch.pot.weights()[:, 0], strict=True)}
    assert taken == pytest.approx({"raisins": 250.0, "rum": 60.0, "sugar": 15.0})
    saved = next(one for one in batch.saved if one.name == "soaked")
    assert saved.pot.grams()[0] == pytest.approx(325.0)


def test_strain_holds_liquid_gives_solubles_and_declares_what_it_was() -> None:
    batch = brew(
        {
            "base": [
                {"add": {"milk": "900 g", "mint": "100 g"}},
                {"strain": {"out": ["mint"], "holding": "150 %", "extracts": "20 %"}},
            ]
        }
    )
    assert part(batch, "base").steps[1].discarded_g[0] == pytest.approx(250.0, abs=1.0)
    assert ("mint", ()) in batch.pot.steeped
    given = next(i for i, tag in enumerate(batch.pot.tags) if tag.ingredient == "mint")
    assert "given" in batch.pot.tags[given].marks
    assert batch.pot.ledger(MONEY)[0] == pytest.approx(0.9 * 1.0 + 0.1 / 0.8 * 12.0)


def test_strain_by_the_weight_caught() -> None:
    batch = brew(
        {
            "base": [
                {"add": {"milk": "900 g", "mint": "100 g"}},
                {"strain": {"out": ["mint"], "caught": "260 g", "extracts": "0 %"}},
            ]
        }
    )
    assert batch.pot.grams()[0] == pytest.approx(740.0)


def test_strain_fat_after_cooling_and_solids_after_browning() -> None:
    brown = brew(
        {
            "butter": [
                {"add": {"butter": "500 g"}},
                {"cook": {"how": "brown", "to": "83 %"}},
                {"strain": {"out": ["solids"]}},
            ]
        }
    )
    assert brown.pot.mass[:, 0, FAT].sum() / brown.pot.grams()[0] > 0.98
    milk = brew(
        {
            "m": [
                {"add": {"cream": "1 kg"}},
                {"cool": {"to": "4 C"}},
                {"strain": {"out": {"fat": "50 %"}, "holding": "0 %"}},
            ]
        }
    )
    # SR28 01053: 36.08 g of fat in 100 g.
    assert milk.pot.mass[:, 0, FAT].sum() == pytest.approx(180.4, rel=1e-3)


@pytest.mark.parametrize(
    ("worth", "carried"),
    [("0", 0.0), ("1.00 USD/kg", 0.5), ("1000 USD/kg", 4.0)],
)
def test_worth_says_what_the_saved_part_carries(worth: str, carried: float) -> None:
    batch = brew(
        {
            "pot": [
                {"add": {"quince": "500 g", "water": "500 g"}},
                {"strain": {"out": ["quince"], "holding": "0 %", "extracts": "0 %", "save": "fruit", "worth": worth}},
            ]
        }
    )
    saved = next(one for one in batch.saved if one.name == "fruit")
    total = 0.5 / 0.61 * 4.0
    assert saved.pot.ledger(MONEY)[0] == pytest.approx(min(carried, total))
    assert batch.pot.ledger(MONEY)[0] == pytest.approx(total - min(carried, total))


def test_lose_and_weigh() -> None:
    batch = brew({"pot": [{"add": {"milk": "1 kg"}}, {"lose": "3 %"}]})
    assert batch.pot.grams()[0] == pytest.approx(970.0)
    assert batch.pot.ledger(MONEY)[0] == pytest.approx(1.0)
    weighed = brew({"pot": [{"add": {"milk": "1 kg"}}, {"cook": {"loses": "3 %"}}, {"weigh": "912 g"}]})
    assert weighed.pot.grams()[0] == pytest.approx(912.0)
    assert part(weighed, "pot").steps[1].free_figure == "loses 8.8 %"
    assert part(weighed, "pot").steps[1].vapour_g[0] == pytest.approx(88.0)


@pytest.mark.parametrize(
    ("steps", "weight", "figure"),
    [
        ([{"add": {"rum": "300 g", "water": "700 g"}}, {"reduce": {"to": "90 %"}}], "610 g", "keeps 61.0 %"),
        ([{"add": {"bacon": "1 kg"}}, {"render": {"of": "bacon", "yields": "10 %"}}], "285 g", "yields 28.5 %"),
        ([{"add": {"quince": "1 kg"}}, {"press": {"of": "quince", "yields": "10 %"}}], "520 g", "yields 52.0 %"),
        ([{"add": {"raisins": "500 g", "rum": "400 g"}}, {"soak": {"of": "raisins", "uptake": "10 %"}}], "640 g", "uptake 28.0 %"),
        ([{"add": {"milk": "900 g", "mint": "100 g"}}, {"strain": {"out": ["mint"], "holding": "10 %", "extracts": "0 %"}}], "770 g", "holding 130.0 %"),
        ([{"add": {"milk": "2 kg"}}, {"churn": {"machine": "freezer", "overrun": "30 %"}}], "1.9 kg", "leaves 100 g"),
    ],
)  # fmt: skip
def test_the_scale_settles_the_free_figure(steps: list[dict[str, object]], weight: str, figure: str) -> None:
    batch = brew({"pot": [*steps, {"weigh": weight}]})
    assert part(batch, "pot").steps[1].free_figure == figure


def test_churn_runs_leaves_and_air() -> None:
    batch = brew({"mix": [{"add": {"milk": "7 kg"}}, {"churn": {"machine": "freezer", "overrun": "30 %"}}]})
    # Milk of SR28 01077 takes 6.8 L at the densities of the table: three runs of 3 L, 90 g left in the machine each time.
    step = part(batch, "mix").steps[1]
    assert step.runs is not None
    assert step.runs[0] == 3
    assert step.discarded_g[0] == pytest.approx(270.0)
    assert batch.pot.air[0] == pytest.approx(0.30 * millilitres(batch.pot)[0])


def test_fold_brings_volume_but_no_air() -> None:
    parts = {"mix": [{"add": {"cream": "2 kg"}}, {"churn": {"overrun": "50 %"}}, {"fold": {"pistachio": "200 g"}}]}
    batch = brew(parts)
    plain = brew({"mix": parts["mix"][:2]})
    assert batch.pot.air[0] == pytest.approx(plain.pot.air[0])
    assert batch.pot.folded[0] == pytest.approx(millilitres(batch.pot)[0] - millilitres(plain.pot)[0])


def test_filled_weight_gives_the_overrun() -> None:
    batch = brew({"mix": [{"add": {"cream": "2 kg"}}, {"churn": {"filled": "350 g"}}, {"fill": {"container": "pint"}}]})
    (filled,) = batch.filled
    assert filled.grams[0] == pytest.approx(350.0)
    density = 2000 / millilitres(brew({"mix": [{"add": {"cream": "2 kg"}}]}).pot)[0]
    assert batch.pot.air[0] / batch.pot.mix_ml[0] == pytest.approx(density * 473.176473 / 350.0 - 1)  # type: ignore[index]


def test_fill_whole_containers_and_the_rest() -> None:
    mix = [{"add": {"milk": "1 kg"}}]
    batch = brew({"mix": [*mix, {"fill": {"container": "pint"}}]})
    (filled,) = batch.filled
    assert filled.count[0] == 2
    assert batch.pot.ledger(MONEY)[0] == pytest.approx(1.0), "the money of the rest falls on the whole ones"
    saved = brew({"mix": [*mix, {"fill": {"container": "pint", "rest": "save"}}]})
    assert [one.name for one in saved.saved] == ["rest of mix"]
    both = brew({"mix": [*mix, {"fill": {"container": [{"container": "pint", "count": 1}, {"container": "cup"}]}}]})
    assert [f.count[0] for f in both.filled] == [1, 4]


def test_rest_discard_puts_its_money_on_what_is_used() -> None:
    parts = {
        "syrup": {"steps": [{"add": {"sugar": "500 g", "water": "500 g"}}], "rest": "discard"},
        "mix": [{"add": {"milk": "1 kg", "syrup": "40 %"}}],
    }
    batch = brew(parts)
    assert batch.pot.ledger(MONEY)[0] == pytest.approx(1.0 + 1.0)
    assert not batch.saved
    assert part(batch, "syrup").steps[-1].discarded_g[0] == pytest.approx(600.0)


def test_two_out_of_one_purchase_share_it() -> None:
    # 340 g of yolks (34 %) and 275 g of whites (55 %) both come out of eggs at 5.00 a kg: 1000 g for the yolks, 500 g
    # for the whites; 1000 g are bought once, and their 5.00 divide by weight.
    batch = brew({"mix": [{"add": {"yolks": "340 g", "whites": "275 g"}}]})
    assert batch.pot.ledger(MONEY)[0] == pytest.approx(5.0)
    yolk = next(i for i, tag in enumerate(batch.pot.tags) if tag.ingredient == "yolks")
    assert batch.pot.ledgers[yolk, 0, MONEY] == pytest.approx(5.0 * 340 / 615)


def test_a_house_base_is_made_at_the_size_that_is_taken() -> None:
    base = recipe(
        {
            "syrup": [{"add": {"sugar": "1 kg", "water": "1 kg"}}, {"lose": "10 %"}],
            "house": [{"add": {"milk": "4 kg", "syrup": "all"}}, {"cook": {"loses": "10 %", "hold": "1 min"}}],
        },
        key="base",
        makes="house base",
    )
    batch = brew({"mix": [{"add": {"house base": "2.61 kg"}}]}, base)
    # 4 kg + 1.8 kg less a tenth is 5.22 kg, so 2.61 kg is half a batch.
    assert sum(float(grams[0]) for grams in batch.used.values()) == pytest.approx(3000.0)
    assert batch.pot.ledger(MONEY)[0] == pytest.approx((2.0 * 1 + 4.0 * 1) / 2)
    steps = [step for one in batch.parts for step in one.steps]
    assert sum(float((s.vapour_g + s.discarded_g)[0]) for s in steps) == pytest.approx(390.0)
    assert np.isclose(batch.pot.grams()[0], 2610.0)


def test_labour_by_batch_run_and_container() -> None:
    batch = brew(
        {
            "mix": [
                {"add": {"milk": "7 kg"}, "labour": "10 min"},
                {"churn": {"machine": "freezer", "overrun": "30 %"}, "labour": "6 min per run"},
                {"fill": {"container": "pint"}, "labour": "20 s per container", "by": "packer"},
            ]
        }
    )
    count = batch.filled[0].count[0]
    assert [use.seconds[0] for use in batch.labour] == [600.0, 3 * 360.0, 20.0 * count]
    assert batch.labour[2].role == "packer"


def test_what_is_weighed_need_not_be_assumed() -> None:
    # No loss is written, and one is written that could not be: the scale settles both, without a word.
    for written in ({"hold": "5 min"}, {"loses": "99 %"}):
        batch = brew(
            {"pot": [{"add": {"milk": "1 kg"}}, {"cook": written}, {"note": {"text": "weigh it"}}, {"weigh": "912 g"}]}
        )
        assert batch.pot.grams()[0] == pytest.approx(912.0)
        assert not [finding for finding in batch.findings if finding.level == "warning"]


def test_a_trial_stands_in_for_an_assumption_that_could_not_be() -> None:
    parts = {"pot": [{"add": {"milk": "1 kg"}}, {"cook": {"loses": "99 %"}}]}
    made = recipe(parts)
    whole = shop(made)
    pantry = Pantry(whole.ingredients, whole.foods)
    measured = {("try", "pot", 2): np.array([0.9])}
    batch = run(made, whole, pantry, Purchasing(pantry, PriceBook(whole, DAY)).pricing, Draws(), measured=measured)
    assert batch.pot.grams()[0] == pytest.approx(900.0)
