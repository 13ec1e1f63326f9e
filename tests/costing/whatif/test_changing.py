"""Changed copies of a shop: worked out on paper, and everything that cannot be."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from costing.amounts import Kind
from costing.desk import Shop
from costing.findings import ShopError
from costing.results import CostAnswer
from costing.shop.models import ShopModel
from costing.whatif import sides, tornado
from costing.whatif.changes import parse, parse_all
from costing.whatif.changing import changed
from nutrition.resources import tree
from tests.costing.kitchen.builders import DAY, recipe
from tests.costing.whatif.small import PLAIN, boxed, channel, desk, model, row

FLAVOURS = ("brown-butter", "coffee", "custard", "oolong", "pistachio", "plum", "prune", "quince")


@cache
def quillfeather() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


def cost(shop: ShopModel, *changes: str, key: str = "plain") -> CostAnswer:
    return sides.costs(Shop(changed(shop, changes, day=DAY), (), DAY), key)


def test_a_weight_is_for_what_is_put_in_and_no_share_that_is_trimmed() -> None:
    shop = quillfeather().model
    made = changed(shop, ("red plums in plum juice=11 kg",), recipes=("plum",), day=DAY)
    add, trim = made.recipes["plum"].parts[0].steps[:2]
    assert add.things["red plums"].figure.mid == 11_000.0
    assert trim == shop.recipes["plum"].parts[0].steps[1]
    said = refusal(shop, "red plums in plum juice=93 %", recipes=("plum",))
    assert "could mean 2 figures of plum" in said


def refusal(shop: ShopModel, *changes: str, recipes: tuple[str, ...] = ()) -> str:
    with pytest.raises(ShopError) as stop:
        changed(shop, changes, recipes=recipes, day=DAY)
    assert all(one.level == "error" and one.where == "--if" and one.what for one in stop.value.findings)
    return " | ".join(f"{one.what}; {one.mend}" for one in stop.value.findings)


def test_the_shop_on_paper() -> None:
    found = cost(model())
    assert found.per_container.total == pytest.approx(4.80)
    assert [one.margin for one in found.channels] == pytest.approx([4.80, 6.00 - 0.48 - 4.80])


@pytest.mark.parametrize(
    ("change", "total"),
    [
        ("cream=+25%", 4.80 + 0.8 * 1.50 / 4),
        ("cream=-50 %", 4.80 - 0.8 * 3.00 / 4),
        ("Cream=9 USD/kg", 4.80 + 0.8 * 3.00 / 4),
        ("cream=9/kg", 4.80 + 0.8 * 3.00 / 4),
        ("cream=USD 9.00 per kg", 4.80 + 0.8 * 3.00 / 4),
        ("cream=90 USD per 10 kg", 4.80 + 0.8 * 3.00 / 4),
        ("cream=4.0823313 USD/lb", 4.80 + 0.8 * 3.00 / 4),
        ("sugar=+100%", 4.80 + 0.2 * 2.00 / 4),
        ("wage[kitchen]=24", 4.80 + 0.5),
        ("wage[kitchen]=24 per hour", 4.80 + 0.5),
        ("wages[Kitchen]=24 USD/h", 4.80 + 0.5),
        ("wage[kitchen]=+10%", 4.80 + 0.25),
        ("wage[packer]=99", 4.80),
        ("overhead per batch=8", 4.80 + 1.0),
        ("overhead per batch=-100%", 4.80 - 1.0),
        ("overhead of labour=10%", 4.80 + 0.25),
        ("labour=1 h", 4.80 + 2.5),
        ("labour=15 min per container", 4.80 + 2.5),
        ("labour of fill=+100%", 4.80 + 2.5),
        ("net=200 g", (5.20 + 10 + 4) / 5),
        ("sugar in base=400 g", (5.60 + 10 + 4) / 4),
        ("cream of base step 1=1.3 kg", (0.4 + 7.8 + 10 + 4) / 6),
        ("leaves of churn=250 g", (5.20 + 10 + 4) / 3),
        ("price[grocer]=7.49", 4.80),
    ],
)
def test_changes_on_paper(change: str, total: float) -> None:
    assert cost(model(), change).per_container.total == pytest.approx(total, rel=1e-8)


def test_several_at_once() -> None:
    found = cost(model(), "cream=+25%", "wage[kitchen]=24", "price[grocer]=7.00", "target margin[grocer]=20%")
    assert found.per_container.total == pytest.approx(5.60)
    grocer = found.channels[1]
    assert (grocer.price, grocer.target_pct) == (7.00, pytest.approx(20.0))
    assert grocer.margin == pytest.approx(7.00 * 0.97 - 0.30 - 5.60)


def test_fees_and_targets() -> None:
    assert cost(model(), "fees[grocer]=10 % + 0.50").channels[1].fees == pytest.approx(1.10)
    assert cost(model(), "fees[grocer]=+100%").channels[1].fees == pytest.approx(0.96)
    assert cost(model(), "target[shop]=+10%").channels[0].target_pct == pytest.approx(55.0)


def test_a_selling_price_also_moves_a_recipes_own() -> None:
    own = recipe(PLAIN, key="plain", prices={"shop": 12.0})
    assert cost(model(own), "price[shop]=+10%").channels[0].price == pytest.approx(13.20)
    assert cost(model(own), "price[shop]=8").channels[0].price == 8.0


def test_packaging_by_the_piece() -> None:
    packed = model(containers=boxed(), prices=(*model().prices, row("tub", 25.0, "100 ct")))
    assert cost(packed).per_container.total == pytest.approx(5.30)
    assert cost(packed, "tub=0.40 USD each").per_container.total == pytest.approx(5.60)
    assert cost(packed, "tub=0.40").per_container.total == pytest.approx(5.60)
    assert cost(packed, "tub=+20%").per_container.total == pytest.approx(5.40)
    assert cost(packed, "tub=10 USD per 100 ct").per_container.total == pytest.approx(5.00)


def test_a_relative_price_moves_every_supplier_and_a_new_one_replaces_them() -> None:
    rows = (*model().prices, row("cream", 5.0, supplier="Another"), row("cream", 7.0, supplier="Third"))
    rivals = model(prices=rows)
    assert cost(rivals).per_container.total == pytest.approx(4.60)
    assert cost(rivals, "cream=+20%").per_container.total == pytest.approx(4.80)
    found = cost(rivals, "cream=10 USD/kg")
    assert found.per_container.total == pytest.approx(5.60)
    assert next(line.supplier for line in found.lines if line.item == "cream") == "Another"


def test_a_fixed_supplier_stays_fixed() -> None:
    shop = model()
    fixed = shop.ingredients["cream"].model_copy(update={"supplier": "Stillwater Dry Goods"})
    shop = replace(shop, ingredients={**shop.ingredients, "cream": fixed})
    assert cost(shop, "cream=9 USD/kg").per_container.total == pytest.approx(5.40)


def test_currencies_with_a_rate() -> None:
    shop = model(rates={"EUR": 1.20})
    assert cost(shop, "cream=5 EUR/kg").per_container.total == pytest.approx(4.80)
    assert cost(shop, "cream=5 EUR/kg", "rate[eur]=1.80").per_container.total == pytest.approx(4.80 + 0.8 * 3 / 4)


def test_usable_share_leaves_and_giveaway() -> None:
    assert cost(model(), "usable[cream]=50%").per_container.total == pytest.approx(4.80 + 4.80 / 4)
    parts = {
        **PLAIN,
        "frozen": [PLAIN["frozen"][0], {"churn": {"machine": "freezer", "overrun": "0 %"}}, *PLAIN["frozen"][2:]],
    }
    shop = model(recipe(parts, key="plain"))
    assert cost(shop, "leaves[freezer]=0 g").per_container.total == pytest.approx(4.80)
    assert cost(shop, "leaves[freezer]=250 g").per_container.total == pytest.approx(19.20 / 3)
    # Two runs at half a litre leave 2 x 125 g.
    assert cost(shop, "leaves=125 g", "capacity[freezer]=600 mL").per_container.total == pytest.approx(19.20 / 3)
    by_volume = {**PLAIN, "frozen": [*PLAIN["frozen"][:2], {"fill": {"container": "cup"}}]}
    cups = model(recipe(by_volume, key="plain"))
    assert cost(cups, "giveaway[cup]=10%").batch.fill_ml == pytest.approx(cost(cups).batch.fill_ml * 1.1)


def test_the_shop_that_came_in_stays_as_it_is() -> None:
    shop = model()
    before = cost(shop)
    changed(shop, ("cream=+25%", "overrun=50%", "price[shop]=1", "wage[kitchen]=1"), day=DAY)
    assert cost(shop) == before
    assert changed(shop, (), day=DAY) is shop


def test_a_range_is_moved_as_a_whole_and_replaced_as_a_whole() -> None:
    ranged = {**PLAIN, "base": [*PLAIN["base"], {"cook": {"loses": "2 % to 4 %"}}]}
    shop = model(recipe(ranged, key="plain"))

    def loses(change: str) -> Any:
        return changed(shop, (change,)).recipes["plain"].parts[0].steps[1].loses.figure

    assert (loses("loses=+50%").low, loses("loses=+50%").high) == pytest.approx((0.03, 0.06))
    assert (loses("loses=5 %").low, loses("loses=5 %").high) == pytest.approx((0.05, 0.05))
    assert (loses("loss of cook=1 % to 3 %").low, loses("loses=1 % to 3 %").high) == pytest.approx((0.01, 0.03))


def test_names_of_steps() -> None:
    parts = {
        "syrup": [{"add": {"quince": "500 g", "sugar": "300 g"}}, {"trim": {"quince": "60 %"}}, {"cook": {"loses": "5 %"}}],
        "base": [{"add": {"cream": "800 g"}}, {"cook": {"loses": "3 %"}, "name": "hard boil"}],
        "frozen": [{"add": {"base": "all", "syrup": "all"}}, {"churn": {"overrun": "10 %"}}, {"fill": {"container": "cup"}}],
    }  # fmt: skip
    shop = model(recipe(parts, key="plain"))

    def step(part: int, number: int, change: str) -> Any:
        return changed(shop, (change,)).recipes["plain"].parts[part].steps[number - 1]

    for change in ("loses of hard boil=9%", "loses of base=9%", "loss of base, cook=9 %", "loses in Base Step 2=9%"):
        assert step(1, 2, change).loses.figure.mid == pytest.approx(0.09)
        assert step(0, 3, change).loses.figure.mid == pytest.approx(0.05)
    assert step(1, 2, "loses of plain/base step 2=9%").loses.figure.mid == pytest.approx(0.09)
    assert step(0, 2, "trim of quince=70%").things["quince"].mid == pytest.approx(0.70)
    assert step(0, 1, "quince of add=600 g").things["quince"].figure.mid == 600.0
    assert step(2, 1, "syrup=50%").things["syrup"].kind is Kind.SHARE
    said = refusal(shop, "loses=9%")
    assert said.startswith("'loses' could mean 2 figures of plain; say which: ")
    assert '"loses of plain/syrup step 3=9%", "loses of plain/base step 2=9%"' in said


def test_a_house_base_belongs_to_the_flavours_that_use_it() -> None:
    base = recipe({"mix": [{"add": {"cream": "2 kg"}}, {"cook": {"loses": "5 %"}}]}, key="house", makes="house mix")
    parts = {"frozen": [{"add": {"house mix": "1 kg"}}, {"churn": {"overrun": "0 %"}}, {"fill": {"container": "cup"}}]}
    shop = model(recipe(parts, key="plain"), base)
    new = changed(shop, ("loses=10%",), recipes=("plain",))
    assert new.recipes["house"].parts[0].steps[1].loses.figure.mid == pytest.approx(0.10)  # type: ignore[attr-defined]
    assert "could mean" not in str(new)
    more = cost(shop, "loses=10%").per_container.ingredients / cost(shop).per_container.ingredients
    assert more == pytest.approx(0.95 / 0.90)


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ("creme=+5%", "nothing is called 'creme'; did you mean 'cream'?"),
        ("overun=5%", "did you mean 'overrun'?"),
        ("price[shp]=5", "there is no channel called 'shp'; did you mean 'shop'?"),
        ("price=5", "'price' does not say which channel; write one of: price[shop], price[grocer]"),
        ("prise[shop]=5", "nothing is called 'prise[…]'; did you mean 'price'?"),
        ("wage[cook]=5", "there is no role in the wages called 'cook'"),
        ("loses of bse=5%", "nothing is called 'loses of bse'"),
        ("overrun of froze=5%", "overrun does not stand in anything called 'froze'; did you mean 'frozen'?"),
        ("overrun of zzz=5%", 'there is: "overrun of plain/frozen step 2=5%"'),
        ("cream", "is not a change"),
        ("=5", "is not a change"),
        ("cream=", "is not a change"),
        ("cream=+5", "'+5' for cream is neither"),
        ("cream=-101%", "cannot change by -101%"),
        ("cream=-100%", "cream cannot cost nothing"),
        ("cream=+999999999%", "cannot change by"),
        ("cream=5", "does not say per what cream is sold"),
        ("cream=5 XXQ/kg", "the price is in XXQ, and the shop has no rate for it"),
        ("cream=0 USD/kg", "a price is above zero"),
        ("cream=soon/kg", "is no price of cream"),
        ("cream=5,50 USD/kg", "cream: "),
        ("cream=5 USD/furlong", "'furlong' is not a unit of packs"),
        ("cream=5 USD per 10 ct", "cannot be turned into grams"),
        ("yolks=+5%", "it comes out of eggs"),
        ("yolks=5 USD/kg", "it comes out of eggs"),
        ("usable[yolks]=5%", "yolks comes out of eggs"),
        ("water=+5%", "water has no price that could change"),
        ("price[shop]=0", "a selling price is above zero"),
        ("price[shop]=-100%", "a selling price is above zero"),
        ("price[shop]=$5", "has a currency sign"),
        ("price[shop]=5 EUR", "is not in USD"),
        ("wage[kitchen]=-5", "'-5' for wage[kitchen] is neither"),
        ("wage[kitchen]=24 per month", "is per month"),
        ("fees[shop]=100 %", "leaves nothing of the price"),
        ("fees[grocer]=+4000%", "leaves nothing of the price"),
        ("target margin[shop]=100%", "is not a share below 100 %"),
        ("target margin[shop]=+100%", "is no target margin"),
        ("giveaway[pint]=101%", "giveaway[pint]: "),
        ("capacity[freezer]=0 L", "must be above zero"),
        ("usable[cream]=0%", "must be above zero"),
        ("rate[EUR]=1.1", "there is no currency with a rate called 'EUR'; the shop has none"),
        ("overhead per batch=lots", "is not an amount of money"),
        ("overhead of labour=12", "overhead of labour: "),
        ("overrun=35", "overrun: "),
        ("net=2 furlongs", "net: "),
        ("base=+5%", "is 'all', which cannot change"),
        ("sugar in base=200", "sugar in base: "),
        ("cream=" + "9" * 400, "characters cannot be read"),
    ],
)
def test_what_cannot_be(change: str, what: str) -> None:
    assert what in refusal(model(), change)


def test_shares_stop_at_the_whole() -> None:
    parts = {**PLAIN, "base": [*PLAIN["base"], {"cook": {"loses": "60 %"}}]}
    assert "would be 120 %; no share passes 100 %" in refusal(model(recipe(parts, key="plain")), "loses=+100%")
    assert changed(model(), ("overrun=+900%",)).recipes["plain"].parts[1].steps[1].overrun.mid == pytest.approx(2.0)  # type: ignore[attr-defined]


def test_a_figure_that_the_scale_settles() -> None:
    parts = {**PLAIN, "base": [*PLAIN["base"], {"cook": {"loses": "6 %"}}, {"weigh": "950 g"}]}
    shop = model(recipe(parts, key="plain"))
    assert "the weighing after that step settles it" in refusal(shop, "loses=10%")
    assert cost(shop, "weigh=750 g").batch.containers == 3


def test_temperatures_have_no_share() -> None:
    parts = {**PLAIN, "base": [*PLAIN["base"], {"cook": {"loses": "6 %", "temperature": "175 F"}}]}
    shop = model(recipe(parts, key="plain"))
    assert "which has no share" in refusal(shop, "temperature=+10%")
    assert changed(shop, ("temperature=185 F",)).recipes["plain"].parts[0].steps[1].temperature.mid == pytest.approx(
        85.0
    )  # type: ignore[attr-defined]


def test_everything_wrong_at_once_and_nothing_twice() -> None:
    said = refusal(model(), "creme=+5%", "overrun=35", "cream=+5%")
    assert "creme" in said
    assert "overrun: " in said
    assert "Cream is changed twice" in refusal(model(), "cream=+5%", "Cream =6 USD/kg")
    with pytest.raises(ShopError, match="more than anybody follows"):
        parse_all([f"a{i}=+1%" for i in range(101)])


@given(st.text(max_size=60))
def test_any_text_is_a_change_or_a_finding(text: str) -> None:
    try:
        change = parse(text)
    except ShopError as wrong:
        assert wrong.findings[0].what
        return
    try:
        changed(model(), (change,), day=DAY)
    except ShopError as wrong:
        assert wrong.findings[0].level == "error"


# Properties over the example shop -----------------------------------------------------------------------------------


@pytest.mark.parametrize("key", FLAVOURS)
def test_no_change_no_difference(key: str) -> None:
    shop = quillfeather()
    before = sides.costs(shop, key)
    channel = before.channels[0].name
    for moved in tornado.movable(shop, key, channel):
        after = sides.costs(sides.with_changes(shop, (f"{moved.target}=+0%",), (key,)), key)
        assert after.cost == before.cost, moved
        assert after.channels == before.channels


@pytest.mark.parametrize("key", FLAVOURS)
def test_doubling_a_price_adds_exactly_its_line(key: str) -> None:
    shop = quillfeather()
    before = sides.costs(shop, key)
    # A piece that two kinds of container are made of has two lines.
    sums: dict[tuple[str, str], float] = {}
    for line in before.lines:
        if line.kind in ("ingredient", "packaging") and line.cost:
            sums[line.item, line.kind] = sums.get((line.item, line.kind), 0.0) + line.cost
    assert len(sums) > 5
    for (item, kind), money in sums.items():
        after = sides.costs(sides.with_changes(shop, (f"{item}=+100%",), (key,)), key)
        field = "ingredients" if kind == "ingredient" else "packaging"
        assert getattr(after.cost, field) - getattr(before.cost, field) == pytest.approx(money, abs=1e-9)
        if before.cost.saved == 0:
            assert after.cost.total - before.cost.total == pytest.approx(money, abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(FLAVOURS), st.floats(-60, 200), st.floats(-60, 200), st.randoms(use_true_random=False))
def test_prices_change_no_weight_and_order_does_not_matter(key: str, one: float, two: float, random: Any) -> None:
    shop = quillfeather()
    names = random.sample(
        [line.item for line in sides.costs(shop, key).lines if line.kind == "ingredient" and line.cost], 2
    )
    changes = [f"{name}={'+' if by >= 0 else '-'}{abs(by):.3f}%" for name, by in zip(names, (one, two), strict=True)]
    found = sides.costs(sides.with_changes(shop, changes), key)
    again = sides.costs(sides.with_changes(shop, changes[::-1]), key)
    assert found.cost.total == pytest.approx(again.cost.total, abs=1e-9)
    assert found.batch == sides.costs(shop, key).batch


def test_a_desk_with_changes_shares_what_does_not_change() -> None:
    shop = desk()
    assert sides.with_changes(shop, ("cream=+1%",)).pantry is shop.pantry
    assert sides.with_changes(shop, ("usable[cream]=50%",)).pantry is not shop.pantry
    assert channel("x", 1.0).target_margin is None
