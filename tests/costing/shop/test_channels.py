"""Channels of ``shop.yaml``: every way of selling is read, and what is wrong with one is told by line with its mend."""

from __future__ import annotations

import pytest

from costing.findings import Finding
from costing.shop.models import Link, Scoops, ShopModel, Stall
from costing.shop.reader import read
from tests.costing.shop.conftest import DAY, Folder

SHOP = "shop.yaml"
HERE = "  market: {price: 9.00, target margin: 50 %}"


def selling(folder: Folder, text: str) -> Folder:
    """The shop with these entries in place of its second channel."""
    return folder.edit(SHOP, HERE, "\n".join(f"  {line}" for line in text.splitlines()))


def model(folder: Folder) -> ShopModel:
    found, findings = read(folder.path, DAY)
    assert found is not None, "\n".join(map(str, findings))
    return found


def error(folder: Folder) -> Finding:
    found, findings = read(folder.path, DAY)
    errors = [one for one in findings if one.level == "error"]
    assert found is None
    assert len(errors) == 1, "\n".join(map(str, findings))
    return errors[0]


def test_a_plain_channel_has_nothing_but_its_price_and_fees(folder: Folder) -> None:
    counter = model(folder).channels["counter"]
    assert (counter.price, counter.fee_share, counter.fee_fixed, counter.target_margin) == (10.0, 0.029, 0.3, 0.6)
    assert (counter.chain, counter.at_shelf, counter.stall, counter.scoops, counter.container) == (
        (),
        False,
        None,
        None,
        None,
    )
    assert (counter.returns, counter.samples, counter.deposit, counter.sells) == (0.0, 0.0, 0.0, None)


@pytest.mark.parametrize(
    "chain",
    [
        "[{distributor: 25 %}, {grocer: 35 %}]",
        "{distributor: 25 %, grocer: 35 %}",
        "\n    - distributor: 25 %\n    - grocer: 35 %",
    ],
)
def test_a_chain_with_a_shelf_price(folder: Folder, chain: str) -> None:
    text = f"grocers:\n  chain: {chain}\n  shelf price: 8.99\n  target margin: 20 %\n  returns: 3 %\n  samples: 2 %"
    grocers = model(selling(folder, text)).channels["grocers"]
    assert grocers.chain == (Link("distributor", 0.25), Link("grocer", 0.35))
    assert (grocers.price, grocers.at_shelf, grocers.target_margin) == (8.99, True, 0.2)
    assert (grocers.returns, grocers.samples) == (0.03, 0.02)


def test_a_chain_with_the_makers_own_price(folder: Folder) -> None:
    grocers = model(selling(folder, "grocers: {price: 4.40, chain: [{grocer: 35 %}]}")).channels["grocers"]
    assert (grocers.price, grocers.at_shelf, len(grocers.chain)) == (4.4, False, 1)


@pytest.mark.parametrize(
    "entries",
    [
        "{price: 9.00, stall fee: 60 per day, sells 80}",  # the comma ends the entry in here, and nobody need know
        "{price: 9.00, stall fee: 60 USD per day, sells 80, deposit: 0.25}",
        '{price: 9.00, stall fee: "60 per day, sells 80 containers"}',
        "{price: 9.00, stall fee: {per day: 60, sells: 80}}",
        "\n    price: 9.00\n    stall fee: 60 per day, sells 80",
    ],
)
def test_a_stall(folder: Folder, entries: str) -> None:
    market = model(folder.edit(SHOP, HERE, f"  market: {entries}")).channels["market"]
    assert market.stall == Stall(60.0, 80.0)
    assert market.deposit == (0.25 if "deposit" in entries else 0.0)


def test_scoops_out_of_a_tub(folder: Folder) -> None:
    folder.edit(SHOP, "containers:", "containers:\n  tub: {holds: 5 L}")
    text = "cabinet: {container: tub, scoops: {weight: 70 g, price: 4.50, waste: 5 %, cone: pint lid}}"
    cabinet = model(selling(folder, text)).channels["cabinet"]
    assert cabinet.scoops == Scoops(70.0, 0.05, {"pint lid": 1.0}, 0.0)
    assert (cabinet.price, cabinet.container) == (4.5, "tub")


@pytest.mark.parametrize(
    ("cone", "things", "cash"),
    [
        ("0.12", {}, 0.12),
        ("0.12 USD", {}, 0.12),
        ("[pint lid, pint tub]", {"pint lid": 1.0, "pint tub": 1.0}, 0.0),
        ("{pint lid: 2 each}", {"pint lid": 2.0}, 0.0),
    ],
)
def test_what_goes_out_with_a_scoop(folder: Folder, cone: str, things: dict[str, float], cash: float) -> None:
    text = f"cabinet: {{container: pint, scoops: {{weight: 2.5 oz, price: 4.50, cone: {cone}}}}}"
    found = model(selling(folder, text)).channels["cabinet"].scoops
    assert found is not None
    assert (dict(found.cone), found.cone_money) == (things, cash)
    assert found.weight == pytest.approx(2.5 * 28.349523125)  # NIST Handbook 44, appendix C: the ounce


@pytest.mark.parametrize(
    ("entries", "what", "mend"),
    [
        ("{}", "a channel needs 'price'", "price"),
        ("{price: 9.00, shelf price: 8.99, chain: [{grocer: 35 %}]}", "'price' and 'shelf price' both say what is paid", "keep one"),
        ("{shelf price: 8.99}", "nobody between you and the shelf", "write price"),
        ("{price: 9.00, chain: 35 %}", "chain: this must be a list of who keeps what", "[{distributor: 25 %}"),
        ("{price: 9.00, chain: []}", "chain: this must be a list of who keeps what", "[{distributor: 25 %}"),
        ("{price: 9.00, chain: [grocer]}", "'grocer' does not say what share it keeps", "[{distributor: 25 %}"),
        ("{price: 9.00, chain: [{grocer: 100 %}]}", "'100 %' is not a share below 100 %", "such as"),
        ("{price: 9.00, chain: [{grocer: 0.35}]}", "chain: ", "%"),
        ("{price: 9.00, chain: [{grocer: 35 %}, {grocer: 20 %}]}", "'grocer' stands here twice", "a name of its own"),
        ("{price: 9.00, chain: [{grocer: [1]}]}", "'grocer' has no plain share", "[{distributor: 25 %}"),
        ("{price: 9.00, chain: {a: 1 %, b: 1 %, c: 1 %, d: 1 %, e: 1 %, f: 1 %, g: 1 %, h: 1 %, i: 1 %, j: 1 %, k: 1 %}}", "11 hands are more", "check the list"),
        ("{price: 9.00, chian: [{grocer: 35 %}]}", "a channel takes no 'chian'", "did you mean 'chain'?"),
        ("{price: 9.00, shelf prise: 4}", "a channel takes no 'shelf prise'", "did you mean 'shelf price'?"),
        ("{price: 9.00, stall fee: 60}", "'60' does not say what a day costs", "60 per day, sells 80"),
        ("{price: 9.00, stall fee: 60 per day}", "does not say how many are sold in a day", "60 per day, sells 80"),
        ("{price: 9.00, stall fee: 60 per day, sells 0}", "'0' is not a number that a stall sells", "60 per day"),
        ("{price: 9.00, stall fee: -60 per day, sells 80}", "below zero", ""),
        ("{price: 9.00, stall fee: 60 EUR per day, sells 80}", "not in USD", "USD"),
        ("{price: 9.00, stall fee: {per day: 60}}", "the fee of a day and how many", "60 per day, sells 80"),
        ("{price: 9.00, stall fee: [60, 80]}", "one line of text", "60 per day, sells 80"),
        ("{price: 9.00, container: pnit}", "there is no container called 'pnit'", "did you mean 'pint'?"),
        ("{price: 9.00, returns: 100 %}", "returns: '100 %' is not a share below 100 %", ""),
        ("{price: 9.00, returns: 60 %, samples: 40 %}", "returns and samples take 100 % of the containers", "below 100 %"),
        ("{price: 9.00, returns: 3}", "returns: ", ""),
        ("{price: 9.00, deposit: 25 %}", "deposit: ", ""),
        ("{price: 9.00, sells: 80}", "sells: ", "%"),
        ("{price: 9.00, sells: 0 %}", "'0 %' is not one share above 0 %", "60 %"),
        ("{scoops: {weight: 70 g, price: 4.50}}", "out of which container the scoops come", "add container"),
        ("{container: pint, scoops: {price: 4.50}}", "scoops needs 'weight'", "weight: 70 g"),
        ("{container: pint, scoops: {weight: 70 g}}", "scoops needs 'price'", "price: 4.50"),
        ("{container: pint, scoops: 70 g}", "scoops must be entries with names", "weight: 70 g"),
        ("{container: pint, scoops: {weight: 70, price: 4.50}}", "scoops: weight: '70' has no unit", "70 g"),
        ("{container: pint, scoops: {weight: 0 g, price: 4.50}}", "must be above zero", ""),
        ("{container: pint, scoops: {weight: 65 g to 75 g, price: 4.50}}", "is a range", "mean of twenty scoops"),
        ("{container: pint, scoops: {wieght: 70 g, price: 4.50}}", "scoops takes no 'wieght'", "did you mean 'weight'?"),
        ("{container: pint, scoops: {weight: 70 g, price: 4.50, waste: 120 %}}", "waste", ""),
        ("{container: pint, scoops: {weight: 70 g, price: 4.50, cone: {pint lid: 5 g}}}", "is not a count", "how many"),
        ("{container: pint, scoops: {weight: 70 g, price: 4.50}, price: 9.00}", "'price' and 'scoops' both say", "keep one"),
        ("{container: pint, scoops: {weight: 70 g, price: 4.50}, chain: [{grocer: 35 %}]}", "a chain sells containers", "two channels"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_channel_is_told_once_with_its_line(
    folder: Folder, entries: str, what: str, mend: str
) -> None:
    found = error(folder.edit(SHOP, HERE, f"  market: {entries}"))
    assert found.where == folder.line(SHOP, "market: ")
    assert what in found.what
    assert mend in found.mend


def test_a_cone_that_nobody_sells_costs_an_unknown_amount(folder: Folder) -> None:
    scoops = "{container: pint, scoops: {weight: 70 g, price: 4.50, cone: sugar cone}}"
    found, findings = read(folder.edit(SHOP, HERE, f"  market: {scoops}").path, DAY)
    assert found is not None
    (told,) = findings
    assert (told.level, told.where) == ("warning", folder.line(SHOP, "market: "))
    assert "'sugar cone', packaging" in told.what
    assert "add a row" in told.mend


def test_a_finding_stands_in_the_line_of_its_key(folder: Folder) -> None:
    text = "cabinet:\n  container: pint\n  scoops:\n    weight: 70 g\n    price: 4.50\n    waste: a lot\n  fees: 2 %"
    assert error(selling(folder, text)).where == folder.line(SHOP, "waste")


def test_every_problem_of_a_channel_is_told_at_once(folder: Folder) -> None:
    text = "grocers:\n  shelf price: x\n  chain: [grocer]\n  returns: x\n  fees: x"
    found = [one for one in selling(folder, text).findings() if one.level == "error"]
    assert {one.where for one in found} == {
        folder.line(SHOP, key) for key in ("shelf price:", "chain:", "returns:", "fees: x")
    }


def test_a_container_that_no_recipe_fills_is_a_warning(folder: Folder) -> None:
    folder.edit(SHOP, "containers:", "containers:\n  tub: {holds: 5 L}")
    selling(folder, "cabinet: {price: 60.00, container: tub}")
    found = next(one for one in folder.findings() if "no recipe fills one" in one.what)
    assert (found.level, found.where) == ("warning", folder.line(SHOP, "cabinet"))
    assert model(folder).channels["cabinet"].container == "tub"


@pytest.mark.parametrize(
    ("shares", "level"), [((60, 40), None), ((60, 30), "warning"), ((60, 50), "error"), ((100,), None)]
)
def test_shares_of_a_mix_make_up_the_whole(folder: Folder, shares: tuple[int, ...], level: str | None) -> None:
    selling(folder, "\n".join(f"way {n}: {{price: 9.00, sells: {share} %}}" for n, share in enumerate(shares)))
    found = [one for one in folder.findings() if "of the ice cream" in one.what]
    assert [one.level for one in found] == ([] if level is None else [level])
    if level:
        assert found[0].where == folder.line(SHOP, f"way {len(shares) - 1}")
        assert f"{sum(shares)} %" in found[0].what


def test_fixed_costs_are_per_month(folder: Folder) -> None:
    folder.edit(SHOP, "# fixed costs:", "fixed costs: {rent: 1400 per year}\n# fixed costs:")
    found = error(folder)
    assert "rent: '1400 per year'" in found.what
    assert found.mend == "write it as 1400 per month"


def test_one_price_for_containers_of_two_sizes_is_a_warning(folder: Folder) -> None:
    folder.edit(SHOP, "containers:", "containers:\n  tub: {holds: 5 L}")
    selling(folder, "market: {price: 9.00}\nwindow: {price: 60.00, container: tub}")
    vanilla = (folder.path / "recipes/vanilla.yaml").read_text(encoding="utf-8")
    tubs = vanilla.replace("container: pint", "container: tub")
    folder.write("recipes/tubs.yaml", tubs)
    told = [one for one in folder.findings() if "has one price for" in one.what]
    assert [one.what for one in told] == [
        f"{name} has one price for a tub of tubs and a pint of vanilla" for name in ("counter", "market")
    ]
    assert {one.level for one in told} == {"warning"}
    assert told[1].where == folder.line(SHOP, "  market:")
    folder.write("recipes/tubs.yaml", "prices: {counter: 90.00, market: 80.00}\n" + tubs)
    assert not [one for one in folder.findings() if "has one price for" in one.what]
