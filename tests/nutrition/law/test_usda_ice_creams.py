"""Three finished foods of USDA's table, labelled as one ingredient, against figures worked by hand.

Source: USDA SR28 19095 "Ice creams, vanilla" (half a cup 66 g), 19089 "Ice creams, vanilla, rich" (107 g) and 19097
"Sherbet, orange" (74 g); half a US cup is 118.294 mL, so a pint is four of them; a serving is 160 mL of it, 0.338140227
of the pint. Rounding by 21 CFR 101.9(c), the per cents from the unrounded amounts.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from nutrition.foods.table import food
from nutrition.law.us.label import Label
from nutrition.law.us.labelling import label

from .builders import part, product

Row = tuple[str, str, int | None, int | None]
"""printed for a serving and a container, per cents of both"""

# 264 g a pint, 89.269 g a serving; kcal 4 x 3.5 + 4 x 23.6 + 9 x 11 = 207.4 in 100 g
VANILLA: dict[str, Row] = {
    "energy": ("190", "550", None, None),  # 185.14; 547.54
    "total_fat": ("10g", "29g", 13, 37),  # 9.820 g, 12.59 %; 29.04 g, 37.2 %
    "saturated_fat": ("6g", "18g", 30, 90),  # 6.061, 30.3; 17.93, 89.6
    "cholesterol": ("40mg", "115mg", 13, 39),  # 39.28, 13.09; 116.16, 38.7
    "sodium": ("70mg", "210mg", 3, 9),  # 71.41, 3.10; 211.2, 9.18
    "total_carbohydrate": ("21g", "62g", 8, 23),  # 21.07, 7.66; 62.30, 22.7
    "dietary_fiber": ("less than 1g", "2g", 2, 7),  # 0.625, 2.23; 1.848, 6.6
    "total_sugars": ("19g", "56g", None, None),  # 18.94; 56.02
    "protein": ("3g", "9g", None, None),  # 3.124; 9.24
    "vitamin_d": ("0.2mcg", "0.5mcg", 0, 2),  # 0.179, 0.89; 0.528, 2.64
    "calcium": ("110mg", "340mg", 8, 25),  # 114.3, 8.79; 337.9, 25.99
    "iron": ("0.1mg", "0.2mg", 0, 0),  # 0.080, 0.45; 0.238, 1.32
    "potassium": ("180mg", "530mg", 4, 10),  # 177.6, 3.78; 525.4, 11.18
}
# 428 g a pint, 144.724 g a serving; kcal 14 + 89.16 + 145.8 = 248.96 in 100 g
RICH: dict[str, Row] = {
    "energy": ("360", "1070", None, None),  # 360.3; 1065.5
    "total_fat": ("23g", "69g", 30, 89),  # 23.45, 30.06; 69.34, 88.9
    "saturated_fat": ("15g", "44g", 75, 221),  # 14.95, 74.7; 44.21, 221.04
    "cholesterol": ("135mg", "395mg", 44, 131),  # 133.1, 44.4; 393.8, 131.25
    "sodium": ("90mg", "260mg", 4, 11),  # 88.28, 3.84; 261.1, 11.35
    "total_carbohydrate": ("32g", "95g", 12, 35),  # 32.26, 11.7; 95.40, 34.7
    "dietary_fiber": ("0g", "0g", 0, 0),
    "total_sugars": ("30g", "88g", None, None),  # 29.89; 88.38
    "protein": ("5g", "15g", None, None),  # 5.065; 14.98
    "vitamin_d": ("0.4mcg", "1.3mcg", 2, 6),  # 0.434, 2.17; 1.284, 6.42
    "calcium": ("170mg", "500mg", 15, 40),  # 169.3, 13.03; 500.8, 38.5
    "iron": ("0.5mg", "1.5mg", 2, 8),  # 0.492, 2.73; 1.455, 8.08
    "potassium": ("230mg", "670mg", 4, 15),  # 227.2, 4.83; 672.0, 14.3
}
# 296 g a pint, 100.0895 g a serving; kcal 4.4 + 121.6 + 18 = 144 in 100 g
SHERBET: dict[str, Row] = {
    "energy": ("140", "430", None, None),  # 144.13; 426.2
    "total_fat": ("2g", "6g", 3, 8),  # 2.002, 2.57; 5.92, 7.59
    "saturated_fat": ("1g", "3.5g", 6, 17),  # 1.161, 5.8; 3.434, 17.2
    "cholesterol": ("0mg", "less than 5mg", 0, 1),  # 1.0009, 0.33; 2.96, 0.99
    "sodium": ("45mg", "135mg", 2, 6),  # 46.04, 2.0018; 136.2, 5.92
    "total_carbohydrate": ("30g", "90g", 11, 33),  # 30.43, 11.06; 89.98, 32.7
    "dietary_fiber": ("1g", "4g", 5, 14),  # 1.301, 4.65; 3.848, 13.7
    "total_sugars": ("24g", "72g", None, None),  # 24.34; 71.99
    "protein": ("1g", "3g", None, None),  # 1.101; 3.256
    "vitamin_d": ("0mcg", "0mcg", 0, 0),
    "calcium": ("50mg", "160mg", 4, 10),  # 54.05, 4.16; 159.8, 12.3
    "iron": ("0.1mg", "0.4mg", 0, 2),  # 0.140, 0.78; 0.414, 2.30
    "potassium": ("100mg", "280mg", 2, 6),  # 96.09, 2.04; 284.2, 6.05
}


def labelled(ndb: str, half_cup_g: float, wanted: str) -> Label:
    record = food(ndb)
    grams = 4 * half_cup_g
    whole = replace(part(record.name, "other", grams), composition=record.composition * (grams / 100))
    return label(product(whole, wanted=wanted))


@pytest.mark.parametrize(
    ("ndb", "half_cup_g", "wanted", "expected"),
    [
        ("19095", 66.0, "ice cream", VANILLA),
        ("19089", 107.0, "ice cream", RICH),
        ("19097", 74.0, "sherbet", SHERBET),
    ],
)
def test_the_label_by_hand(ndb: str, half_cup_g: float, wanted: str, expected: dict[str, Row]) -> None:
    assert any(m.grams == half_cup_g for m in food(ndb).measures)
    found = labelled(ndb, half_cup_g, wanted)
    assert (found.serving.measure, found.serving.per_container_text) == ("2/3 cup", "about 3")
    assert found.serving.grams_text == {"19095": "89g", "19089": "145g", "19097": "100g"}[ndb]
    for key, (serving, container, dv_serving, dv_container) in expected.items():
        line = next(one for one in found.nutrients if one.key == key)
        assert line.declared == {"serving": serving, "container": container}, key
        assert (line.dv_pct.get("serving"), line.dv_pct.get("container")) == (dv_serving, dv_container), key
        assert line.print_ready, key


@pytest.mark.parametrize("ndb", ["19095", "19089", "19097"])
def test_what_usda_did_not_measure_is_not_printed_as_none(ndb: str) -> None:
    found = labelled(ndb, 66.0, "ice cream")
    lines = {line.key: line for line in found.nutrients}
    # Its table has no added sugars, and trans fat only as an estimate.
    assert lines["added_sugars"].declared == {"serving": "", "container": ""}
    assert not found.print_ready
    assert lines["trans_fat"].per_container_high > lines["trans_fat"].per_container_low
