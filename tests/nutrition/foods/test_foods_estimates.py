"""Estimates: from what they come, and where none is made."""

from __future__ import annotations

import csv
import math

import numpy as np
import pytest

from nutrition import resources
from nutrition.foods import estimates, table
from nutrition.foods.estimates import fill
from nutrition.foods.names import Pattern
from nutrition.nutrients import keys
from tests.nutrition.foods.all_foods import all_foods


def known(food, key):
    return food.composition.amount(key)


def test_table_is_sound():
    for rule in estimates.rules():
        assert rule.nutrient in keys()
        assert rule.words
        assert rule.source
        assert not rule.low > rule.value
        assert not rule.value > rule.high
    assert {rule.nutrient for rule in estimates.rules()}.isdisjoint({"added_sugars", "sucrose", "glucose", "fructose"})


def test_alcohol_by_difference():
    # 80 proof is 40 % by volume; 40 * 0.789 / 0.948 = 33.3 % by weight (ethanol-water density tables).
    rum = table.food("14050")
    assert known(rum, "alcohol") == pytest.approx(33.3, abs=0.2)
    assert "difference" in rum.estimated["alcohol"]
    assert known(table.food("02050"), "alcohol") == pytest.approx(34.39)  # vanilla extract
    # Vinegar's 5 % is acetic acid and pepper's is oil: no alcohol there, but it bounds what could be.
    for ndb in ("02048", "02030"):
        assert known(table.food(ndb), "alcohol") == 0.0
        assert table.food(ndb).composition.bounds("alcohol")[1] > 4
    assert known(table.food("01053"), "alcohol") == 0.0
    # Whiskey sour mix holds none.
    assert known(table.food("14028"), "alcohol") == 0.0


def test_alcohol_only_in_drinks_and_extracts():
    assert {food.group for food in all_foods() if known(food, "alcohol")} == {"1400", "0200"}


def test_trans_fat_of_milkfat_and_yolk():
    """USDA SR26: butter 3.278 g in 81.11 g fat, frozen egg yolk 0.103 g in 25.24 g fat."""
    assert known(table.food("01001"), "trans_fat") == pytest.approx(3.278, abs=0.005)
    low, high = table.food("01053").composition.bounds("trans_fat")
    assert low < 0.0404 * 36.08 < high
    frozen = table.food("01126")
    assert known(frozen, "trans_fat") == pytest.approx(0.00408 * known(frozen, "total_fat"))
    assert known(table.food("01123"), "trans_fat") is not None


@pytest.mark.parametrize("ndb", ["01058", "01059", "01067", "01069", "01072", "01107", "01074", "19095", "04611"])
def test_no_milkfat_is_supposed_where_the_fat_is_another(ndb):
    """Filled milk, creamers, toppings, human milk, imitation sour cream, ice cream, margarine."""
    assert known(table.food(ndb), "trans_fat") is None


@pytest.mark.parametrize("ndb", ["01077", "01079", "01085", "01049", "01053", "01091", "01106", "01115", "01145"])
def test_sugars_of_plain_milk_and_cream_are_lactose(ndb):
    food = table.food(ndb)
    assert known(food, "lactose") == known(food, "total_sugars")
    assert "lactose" in food.estimated


@pytest.mark.parametrize(
    "ndb", ["01095", "01102", "01110", "01119", "01120", "01054", "01057", "01067", "01225", "01009"]
)
def test_no_lactose_is_supposed_in_sweetened_or_flavoured_dairy(ndb):
    assert known(table.food(ndb), "lactose") is None


def test_soured_milk_is_not_all_lactose():
    low, high = table.food("01116").composition.bounds("lactose")
    assert low < known(table.food("01116"), "total_sugars") == high


def test_plants_hold_no_cholesterol_and_no_vitamin_d_but_mushrooms_may():
    quince = table.food("09296")
    assert known(quince, "vitamin_d") == 0.0
    assert known(quince, "trans_fat") == 0.0
    assert quince.composition.bounds("trans_fat") == (0.0, pytest.approx(0.001))
    mushrooms = [f for f in all_foods() if f.group == "1100" and "mushroom" in f.name.lower()]
    assert mushrooms
    assert all("vitamin_d" not in f.estimated for f in mushrooms)


@pytest.mark.parametrize(
    ("name", "group", "key"),
    [
        ("Potatoes, french fried, in vegetable oil", "1100", "trans_fat"),
        ("Potatoes, mashed, with milk and butter", "1100", "cholesterol"),
        ("Soymilk, with added calcium, vitamins A and D", "1600", "vitamin_d"),
        ("Nuts, almonds, oil roasted", "1200", "trans_fat"),
        ("Orange juice, with added calcium and vitamin D", "0900", "vitamin_d"),
        ("Oil, soybean, (partially hydrogenated)", "0400", "trans_fat"),
        ("Beverages, coffee, with milk, sweetened", "1400", "cholesterol"),
        ("Noodles, egg, dry", "2000", "cholesterol"),
    ],
)
def test_nothing_is_said_where_nobody_can_say(name, group, key):
    amounts, _ = fill({"total_fat": 5.0, "total_carbohydrate": 20.0}, name=name, group=group)
    assert key not in amounts


def test_words_are_matched_whole():
    fits = Pattern.of({"groups": "", "starts": "", "has": "", "without": "egg|sauce"})
    assert fits("eggplant, raw", "1100")
    assert fits("applesauce, canned", "0900")
    assert not fits("eggs, raw", "0100")
    assert not fits("cranberry sauce", "0900")


def test_measured_values_are_never_replaced():
    amounts, words = fill({"total_fat": 10.0, "trans_fat": 0.7, "alcohol": 1.0}, name="Butter, salted", group="0100")
    assert amounts["trans_fat"] == 0.7
    assert amounts["alcohol"] == 1.0
    assert "trans_fat" not in words


def test_an_unknown_basis_gives_no_estimate():
    amounts, _ = fill({}, name="Butter, salted", group="0100")
    assert "trans_fat" not in amounts
    assert "lactose" not in amounts
    # Fibre unknown and without a rule for it: the middle of the sugars is unknown too, never zero.
    rule = next(r for r in estimates.rules() if r.basis == "digestible" and r.nutrient == "total_sugars")
    found = estimates._interval(rule, {"total_carbohydrate": 20.0})
    assert found is not None
    assert math.isnan(found[1])
    assert found[0] == 0.0


def test_mandatory_nutrients_of_ordinary_ingredients_are_known():
    """What an ice cream is made of: every kitchen name that is no branded or processed food has all label nutrients."""
    mandatory = (
        "energy total_fat saturated_fat trans_fat cholesterol sodium total_carbohydrate dietary_fiber total_sugars "
        "vitamin_d calcium iron potassium protein"
    )
    wanted = set(mandatory.split())
    missing = {}
    for ndb in sorted({row["ndb"] for row in resources.table("foods", "kitchen_names.csv") if row["ndb"]}):
        food = table.food(ndb)
        lacks = sorted(key for key in wanted if known(food, key) is None)
        if lacks:
            missing[ndb] = lacks
    # Nothing can honestly be said of these few.
    assert missing == EXPECTED_UNKNOWN


EXPECTED_UNKNOWN = {
    "01057": ["trans_fat"],  # eggnog: milk's and egg's in shares that the record does not say
    "04025": ["trans_fat"],  # mayonnaise: with which oil
    "08020": ["trans_fat"],  # cereals, made with or without added fat
    "08065": ["trans_fat"],
    "14091": ["trans_fat"],  # almond milk: with which oil, the record does not say
    "14181": ["trans_fat"],  # chocolate syrup
    "14311": ["trans_fat"],  # malted milk powder: milk's and another fat in shares that it does not say
    "14639": ["trans_fat"],  # rice milk, likewise
    "16123": ["trans_fat"],  # soy sauce
    "18120": ["trans_fat"],  # cakes, cookies and cones: butter or hardened fat
    "18166": ["trans_fat"],
    "18173": ["trans_fat"],  # graham crackers: with or without hardened fat
    "18178": ["trans_fat"],  # oatmeal cookies
    "18271": ["trans_fat"],
    "18272": ["trans_fat"],
    "19034": ["trans_fat"],  # popcorn
    "19070": ["trans_fat"],  # butterscotch: butter or hardened fat
    "19074": ["trans_fat"],  # caramels, likewise
    "19116": ["trans_fat"],  # marshmallows
    "19107": ["trans_fat"],  # hard candy
    "19310": ["total_sugars"],  # dry pectin: standardised with sugar or not
    "19348": ["trans_fat"],  # fudge sauce, marshmallow cream
    "19365": ["trans_fat"],
    "19383": ["trans_fat", "vitamin_d"],  # toffee
    "19411": ["trans_fat"],  # potato chips: fried in which oil
}


def test_peel_and_herb_are_as_their_one_neighbour():
    for ndb, words in (("09156", "lemon peel"), ("02044", "fresh basil")):
        get = table.food(ndb).composition.amount
        found = get("total_sugars") / (get("total_carbohydrate") - get("dietary_fiber"))
        rule = next(r for r in estimates.rules() if words in r.words)
        assert rule.value == pytest.approx(found, abs=0.001)


# --- the shares that come from SR28 itself are worked out again here -------------------------------------------------

GIVEN = {
    "82 raw fruits": ("0900", ", raw", "digestible", "total_sugars"),
    "272 fruits and juices": ("0900", "", "digestible", "total_sugars"),
    "26 spices": ("0200", "spices", "digestible", "total_sugars"),
    "71 nuts and seeds": ("1200", "", "digestible", "total_sugars"),
    "120 grains and flours": ("2000", "", "digestible", "total_sugars"),
    "131 raw vegetables": ("1100", ", raw", "digestible", "total_sugars"),
    "559 vegetables": ("1100", "", "digestible", "total_sugars"),
    "289 legumes": ("1600", "", "digestible", "total_sugars"),
    "101 raw fruits": ("0900", ", raw", "total_carbohydrate", "dietary_fiber"),
    "74 fruit juices": ("0900", "juice", "total_carbohydrate", "dietary_fiber"),
    "102 nuts and seeds": ("1200", "", "total_carbohydrate", "dietary_fiber"),
    "750 vegetables": ("1100", "", "total_carbohydrate", "dietary_fiber"),
    "161 grains and flours": ("2000", "", "total_carbohydrate", "dietary_fiber"),
    "5 table wines": ("1400", "wine, table", "total_carbohydrate", "total_sugars"),
}


@pytest.fixture(scope="module")
def cells():
    text = resources.data("foods", "sr28.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


@pytest.mark.parametrize("words", GIVEN)
def test_shares_taken_from_sr28(cells, words):
    group, has, basis, key = GIVEN[words]
    shares = []
    for row in cells:
        if row["group"] != group or has not in row["name"].lower() or not row[key]:
            continue
        whole = float(row["total_carbohydrate"])
        if basis == "digestible":
            if not row["dietary_fiber"]:
                continue
            whole -= float(row["dietary_fiber"])
        if whole >= 0.5:
            shares.append(min(1.0, float(row[key]) / whole))
    assert len(shares) == int(words.split()[0])
    low, middle, high = np.percentile(shares, [2.5, 50, 97.5])
    rules = [r for r in estimates.rules() if words in r.words and r.nutrient == key]
    assert rules
    for rule in rules:
        assert (rule.low, rule.value, rule.high) == pytest.approx((low, middle, high), abs=0.0006)
