"""Money in floats against the same money in exact decimals, over random shops: less than a millionth of a unit apart.

The oracle is written from the definitions and from the text of the shop, with ``Decimal`` at 50 digits; of the engine it takes
only the weights and volumes that filled containers have, which are no money.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal, localcontext

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costing.desk import Shop
from costing.selling import month, sales
from costing.shop.models import Channel, Container, Link, Overhead, PriceRow, Scoops, ShopModel, Stall
from costing.shop.suppliers import Supplier
from tests.costing.kitchen import builders

DAY = date(2026, 3, 2)
NEAR = Decimal("1e-6")
THINGS = ("cream", "milk", "sugar", "milk powder")
ABROAD = ("sugar",)
"""bought for euros"""
PIECES = ("pint tub", "cup lid")
PINTS, CUPS = "pint", "cup"


def cash(low: str, high: str, places: int = 2) -> st.SearchStrategy[Decimal]:
    return st.decimals(low, high, places=places, allow_nan=False, allow_infinity=False)


@dataclass(frozen=True)
class Way:
    """A channel in exact figures."""

    price: Decimal
    share: Decimal
    fixed: Decimal
    target: Decimal
    hands: tuple[Decimal, ...]
    returns: Decimal
    samples: Decimal
    stall: tuple[Decimal, int] | None
    scoop: tuple[Decimal, Decimal, Decimal] | None
    container: str | None


@dataclass(frozen=True)
class Exact:
    """A shop in exact figures."""

    grams: dict[str, Decimal]
    packs: dict[str, tuple[Decimal, Decimal]]
    pieces: dict[str, tuple[Decimal, int]]
    minutes: Decimal
    wage: Decimal
    per_batch: Decimal
    of_labour: Decimal
    cups: int
    ways: tuple[Way, ...]
    fixed: Decimal
    rate: Decimal
    freight: tuple[Decimal, Decimal, Decimal] | None
    """per order, share of it, usual order; None where the shop does not count it"""

    @property
    def landed(self) -> Decimal:
        """What a price is multiplied by for freight."""
        if self.freight is None:
            return Decimal(1)
        per_order, share, usual = self.freight
        return 1 + share + per_order / usual


def share(high: str) -> st.SearchStrategy[Decimal]:
    return cash("0", high, 3)


WAYS = st.builds(
    Way,
    price=cash("0.50", "60"),
    share=share("0.4"),
    fixed=cash("0", "2"),
    target=share("0.5"),
    hands=st.lists(share("0.6"), max_size=3).map(tuple),
    returns=share("0.3"),
    samples=share("0.3"),
    stall=st.none() | st.tuples(cash("0", "200"), st.integers(1, 300)),
    scoop=st.none() | st.tuples(cash("20", "120", 1), share("0.3"), cash("0", "0.9", 3)),
    container=st.sampled_from([None, PINTS, CUPS]),
)
SHOPS = st.builds(
    Exact,
    grams=st.fixed_dictionaries(
        {"cream": cash("800", "3000", 1), "milk": cash("800", "3000", 1), "sugar": cash("150", "600", 1)},
        optional={"milk powder": cash("10", "200", 1)},
    ),
    packs=st.fixed_dictionaries({name: st.tuples(cash("0.01", "400"), cash("0.1", "40", 3)) for name in THINGS}),
    pieces=st.fixed_dictionaries({name: st.tuples(cash("0.01", "900"), st.integers(1, 1200)) for name in PIECES}),
    minutes=cash("0", "400", 1),
    wage=cash("0", "90"),
    per_batch=cash("0", "60"),
    of_labour=share("0.5"),
    cups=st.integers(1, 4),
    ways=st.lists(WAYS, min_size=1, max_size=4).map(tuple),
    fixed=cash("1", "9000"),
    rate=cash("0.0005", "3", 4),
    freight=st.none() | st.tuples(cash("0", "90"), share("0.3"), cash("1", "900")),
)


def shop(exact: Exact) -> Shop:
    """The same shop for the engine."""
    recipe = builders.recipe(
        {
            "mix": [
                {"add": {name: f"{grams} g" for name, grams in exact.grams.items()}, "labour": f"{exact.minutes} min"},
                {"churn": {"machine": "freezer", "overrun": "28 %"}},
                {"fill": {"container": [{"container": CUPS, "count": exact.cups}, {"container": PINTS}]}},
            ]
        }
    )
    rows = [("sweet", name, f"{size} kg", price) for name, (price, size) in exact.packs.items()]
    rows += [("paper", name, f"{count} ct", price) for name, (price, count) in exact.pieces.items()]
    model: ShopModel = replace(
        builders.shop(recipe),
        wages={"kitchen": float(exact.wage)},
        overhead=Overhead.model_validate(
            {"per batch": str(exact.per_batch), "of labour": f"{exact.of_labour * 100} %"}
        ),
        fixed_costs={"rent": float(exact.fixed)},
        containers={
            PINTS: Container.model_validate({"name": PINTS, "where": "s:1", "holds": "1 pint", "made of": ["pint tub"]}),
            CUPS: Container.model_validate(
                {"name": CUPS, "where": "s:2", "holds": "4 fl oz", "made of": {"cup lid": "2 each"}}
            ),
        },
        prices=tuple(
            PriceRow(
                where=f"prices/a.csv:{n}", supplier=supplier, item=name, ingredient=name, pack=pack, price=float(price),
                currency="EUR" if name in ABROAD else "USD", date=DAY,
            )
            for n, (supplier, name, pack, price) in enumerate(rows, 2)
        ),
        rates={"EUR": {date(2026, 1, 1): 7.0, DAY: float(exact.rate), date(2026, 4, 1): 9.0}},
        suppliers=asked(exact),
        count_freight=exact.freight is not None,
        channels={f"way {n}": channel(f"way {n}", way) for n, way in enumerate(exact.ways)},
    )  # fmt: skip
    return Shop(model, as_of=DAY)


def asked(exact: Exact) -> dict[str, Supplier]:
    """What both suppliers ask for bringing an order; the paper's comes for nothing."""
    if exact.freight is None:
        return {}
    per_order, part, usual = exact.freight
    said = {
        "name": "sweet",
        "where": "s:4",
        "freight": f"{part * 100} % + {per_order} per order",
        "usual order": str(usual),
    }
    none = {"name": "paper", "where": "s:5", "freight": "none"}
    return {one["name"]: Supplier.model_validate(one, context={"currency": "USD"}) for one in (said, none)}


def channel(name: str, way: Way) -> Channel:
    chained = bool(way.hands) and way.scoop is None
    return Channel(
        name=name,
        where="s:3",
        price=float(way.price),
        fee_share=float(way.share),
        fee_fixed=float(way.fixed),
        target_margin=float(way.target),
        container=(way.container or PINTS) if way.scoop else way.container,
        chain=tuple(Link(f"hand {n}", float(hand)) for n, hand in enumerate(way.hands)) if chained else (),
        at_shelf=chained,
        stall=Stall(float(way.stall[0]), float(way.stall[1])) if way.stall else None,
        scoops=Scoops(float(way.scoop[0]), float(way.scoop[1]), {}, float(way.scoop[2])) if way.scoop else None,
        returns=float(way.returns),
        samples=float(way.samples),
    )


def near(found: float | None, exact: Decimal) -> bool:
    return found is not None and abs(Decimal(found) - exact) < NEAR


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(SHOPS)
def test_floats_stay_within_a_millionth_of_exact_decimals(exact: Exact) -> None:
    desk = shop(exact)
    answer = desk.answer("try")
    assert answer.cost is not None, answer.findings
    found = answer.cost
    with localcontext() as context:
        context.prec = 50
        labour = exact.minutes / 60 * exact.wage
        kinds = {
            "ingredients": sum(
                (
                    grams
                    * exact.packs[name][0]
                    * (exact.rate if name in ABROAD else 1)
                    * exact.landed
                    / (exact.packs[name][1] * 1000)
                    for name, grams in exact.grams.items()
                ),
                Decimal(0),
            ),
            "labour": labour,
            "overhead": exact.per_batch + exact.of_labour * labour,
        }
        packaging = {
            PINTS: exact.pieces["pint tub"][0] / exact.pieces["pint tub"][1],
            CUPS: 2 * exact.pieces["cup lid"][0] / exact.pieces["cup lid"][1],
        }
        filled = {one.container: one for one in answer.filled}
        for kind, money in kinds.items():
            assert near(getattr(found.cost, kind), money), kind
        if exact.freight is not None:
            assert found.freight is not None
            assert near(found.freight[0], kinds["ingredients"] * (1 - 1 / exact.landed))
        shared = sum(kinds.values(), Decimal(0))
        assert near(found.cost.total, shared + sum(packaging[n] * one.count for n, one in filled.items()))
        volume = sum((Decimal(one.fill_ml) * one.count for one in answer.filled), Decimal(0))
        each = {name: shared * Decimal(one.fill_ml) / volume + packaging[name] for name, one in filled.items()}
        assert near(found.per_container.total, each[answer.filled[0].container])
        assert near(found.also[0].cost.total, each[answer.filled[1].container])
        sold = {one.channel: one for one in sales.all_sales(desk, [answer])}
        assert len(sold) == len(exact.ways)
        for (name, one), way in zip(sorted(sold.items()), exact.ways, strict=True):
            kind = way.container or (PINTS if way.scoop else answer.filled[0].container)
            assert one.container == kind, name
            told = next(other for other in found.channels if other.name == name)
            compare(one, way, each[kind], Decimal(filled[kind].fill_g), filled[kind].count, exact.fixed)
            assert near(told.margin, Decimal(one.leaves.margin))
            assert near(told.price - told.fees - told.cost, Decimal(one.leaves.margin))
            assert near(told.batch_margin, Decimal(one.per_batch.margin))
        paid = month.month(list(sold.values()), float(exact.fixed), dict.fromkeys(sold, 1 / len(sold)))
        if paid.whole is not None and paid.whole.containers is not None:
            total = sum(row.litres * row.margin_per_litre for row in paid.mix if row.litres is not None)
            assert abs(total - float(exact.fixed)) < 1e-6 * max(1.0, *(abs(row.litres or 0) for row in paid.mix))


def compare(one: sales.Sale, way: Way, cost: Decimal, net_g: Decimal, count: int, fixed: Decimal) -> None:
    """One flavour in one channel, from the definitions."""
    units, cone, price = Decimal(1), Decimal(0), way.price
    if way.scoop:
        weight, waste, cone = way.scoop
        units = net_g * (1 - waste) / weight
    else:
        for hand in way.hands:
            price *= 1 - hand
    out_of = 1 - way.returns - way.samples
    day = way.stall[0] / way.stall[1] if way.stall else Decimal(0)
    cost /= units
    margin = price - price * way.share - way.fixed - cone - day - cost / out_of
    assert near(one.price, price)
    assert near(one.cost, cost)
    assert near(one.leaves.margin, margin)
    assert near(one.leaves.contribution, margin + day)
    assert near(one.fee + one.extras + one.day + one.unpaid, price - margin - cost)
    assert near(one.price_for_target, (cost / out_of + way.fixed + cone + day) / (1 - way.share - way.target))
    assert near(one.per_batch.margin, margin * units * out_of * count)
    left = margin * units * out_of
    if left > Decimal("0.01"):
        assert one.break_even is not None
        assert abs(Decimal(one.break_even) * left - fixed) < NEAR
    elif left < 0:
        assert one.break_even is None
