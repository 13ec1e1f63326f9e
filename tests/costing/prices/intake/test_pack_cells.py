"""Packs as they stand on lists, in words that the shop's own lists use."""

from __future__ import annotations

import pytest

from costing.digits import UnreadableError
from costing.prices import packs
from costing.prices.intake.pack_cells import inside, joined, plain

POUND = 453.59237  # NIST Handbook 44, appendix C
GALLON = 3785.411784
OUNCE = 28.349523125


@pytest.mark.parametrize(
    ("written", "decimals", "kind", "amount"),
    [
        ("4/1 GAL", "point", "volume", 4 * GALLON),
        ("CS 12x32oz", "point", "weight", 384 * OUNCE),
        ("50#", "point", "weight", 50 * POUND),
        ("2,5 kg", "comma", "weight", 2500.0),
        ("2,5 kg", "point", "weight", 2500.0),
        ("2,500 kg", "comma", "weight", 2500.0),
        ("2.500 kg", "point", "weight", 2500.0),
        ("1.000 g", "comma", "weight", 1000.0),
        ("1,000 g", "point", "weight", 1000.0),
        ("6 x 1,5 L", "comma", "volume", 9000.0),
        ("case of 6 x 500 mL", "point", "volume", 3000.0),
        ("dz", "point", "count", 12.0),
        ("15 DZ", "point", "count", 180.0),
        ("2/10# AVG", "point", "weight", 20 * POUND),
        ("~10 lb", "point", "weight", 10 * POUND),
        ("6 x 75 cl", "comma", "volume", 4500.0),
        ("12 Stk", "comma", "count", 12.0),
        ("1,000 ct", "point", "count", 1000.0),
    ],
)
def test_a_pack_is_read_as_the_list_means_it(written: str, decimals: str, kind: str, amount: float) -> None:
    pack = packs.parse(plain(written, decimals))
    assert pack.kind == kind
    assert pack.amount == pytest.approx(amount, rel=1e-12)


@pytest.mark.parametrize(
    ("written", "decimals"),
    [
        ("2,500 kg", "point"),
        ("2.500 kg", "comma"),
        ("2,500 kg", ""),
        ("1/2 GAL", "point"),
        ("6/#10", "point"),
        ("CASE", "point"),
        ("4-Jan", "point"),
    ],
)
def test_a_pack_with_two_meanings_or_none_is_refused(written: str, decimals: str) -> None:
    with pytest.raises(UnreadableError) as refused:
        plain(written, decimals)
    assert refused.value.what
    assert refused.value.mend


@pytest.mark.parametrize(
    ("columns", "pack"),
    [
        (("12", "32 OZ", ""), "12 x 32 OZ"),
        (("1", "50 LB", ""), "50 LB"),
        (("4", "1", "GAL"), "4 x 1 GAL"),
        (("", "2.5", "KG"), "2.5 KG"),
        (("6.0", "500 mL", ""), "6 x 500 mL"),
        (("12 ct", "1 pt", ""), "12 x 1 pt"),
        (("", "", "LB"), "LB"),
        (("500 ct", "", ""), "500 ct"),
        (("", "", ""), ""),
        (("4", "1/2 GAL", ""), "4 x 1/2 GAL"),
        (("6", "1,5 L", ""), "6 x 1.5 L"),
    ],
)
def test_a_pack_out_of_several_columns(columns: tuple[str, str, str], pack: str) -> None:
    assert joined(*columns, "comma") == pack


@pytest.mark.parametrize(
    ("item", "pack"),
    [
        ("Heavy cream 36% 12/32 oz UHT", "12/32 oz"),
        ("Sugar, cane, 50#", "50#"),
        ("Vollmilch 6 x 1,5 l", "6 x 1.5 l"),
        ("Eggs large 15 dz", "15 dz"),
        ("Chocolate 66% pistoles", ""),
        ("Cream 36", ""),
    ],
)
def test_a_pack_in_the_name_of_an_item(item: str, pack: str) -> None:
    assert inside(item, "comma") == pack
