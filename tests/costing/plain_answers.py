"""One recipe's answer made by hand: what JSON documents and text tables are tried on, whatever the engine says."""

from __future__ import annotations

from datetime import date
from types import MappingProxyType

from costing.findings import Finding
from costing.results import (
    Batch,
    ChannelResult,
    Cost,
    CostAnswer,
    CostLine,
    Filled,
    LossLine,
    OtherContainer,
    PartResult,
    RecipeAnswer,
    StepResult,
)
from nutrition.composition import Composition
from nutrition.law.us.label import Label, NameAnswer, NameTest, Note, NutrientLine, Serving

DAY = date(2026, 3, 2)

COST = Cost(ingredients=20.0, packaging=5.5, labour=10.75, overhead=6.4, saved=-1.25, total=41.4)
EACH = Cost(ingredients=2.0, packaging=0.55, labour=1.075, overhead=0.64, saved=-0.125, total=4.14)

BATCH = Batch(
    in_g=5000.0,
    out_g=3900.0,
    vapour_g=600.0,
    discarded_g=300.0,
    saved_g=200.0,
    containers=10,
    rest_g=120.5,
    container="pint",
    fill_g=390.0,
    fill_ml=477.9,
    runs=2,
    overrun=0.28,
    mix_density=1.08,
    weight_per_gallon_lb=6.7,
)

STEP = StepResult(
    part="base",
    step=1,
    verb="cook",
    name="hard boil",
    where="recipes/quince.yaml:9",
    text="loses 12 %",
    in_g=5000.0,
    out_g=4400.0,
    vapour_g=600.0,
    discarded_g=0.0,
    saved_g=0.0,
    money_in=20.0,
    money_out=20.0,
    lost_value=0.0,
    out_ml=4100.0,
    free_figure="loses 12 %",
)

PART = PartResult(
    name="base",
    recipe="quince",
    steps=(STEP,),
    out_g=4400.0,
    out_ml=4100.0,
    composition=Composition.of(4400.0, {"protein": 88.0}),
    cost=20.0,
    used_share=1.0,
)

ANSWER = CostAnswer(
    recipe="quince",
    title="Brandied quince",
    currency="USD",
    as_of=DAY,
    batch=BATCH,
    cost=COST,
    per_container=EACH,
    per_serving=Cost(0.68, 0.19, 0.36, 0.22, -0.04, 1.41),
    lines=(
        CostLine(
            "heavy cream", "ingredient", 20.0, "2 kg", 2000.0, 2000.0, 10.0, "Saltmarsh", "4 x 1 gal", 61.2, DAY, "r:1"
        ),
        CostLine("sugar", "ingredient", 0.0, bought_g=520.0),
        CostLine("poached quince", "saved", -1.25, "200 g"),
    ),
    lost=(
        LossLine("base", 1, "cook", 600.0, 0.0, 0.0),
        LossLine("base", 0, "buy", 0.0, 12.34, 0.06),
        LossLine("", 9, "fill", 0.0, 0.0, 0.0),
    ),
    channels=(
        ChannelResult("scoop shop", 11.0, 0.619, 4.14, 6.241, 56.736, 150.75, 65.0, 13.83, 62.41),
        ChannelResult("gift", 0.0, 0.0, 4.14, -4.14, None, -100.0, None, None, -41.4),
    ),
    bought_value=20.0,
    lost_value=1.0,
    in_containers_value=17.75,
    saved_value=1.25,
    also=(OtherContainer("small cup", 3, 95.0, 118.0, EACH),),
)

FAT = NutrientLine(
    key="total_fat",
    name="Total Fat",
    unit="g",
    per_100g=14.2,
    per_serving=17.04,
    per_serving_low=17.0,
    per_serving_high=17.1,
    per_container=51.1,
    per_container_low=51.0,
    per_container_high=51.2,
    declared=MappingProxyType({"serving": "17g", "container": "51g"}),
    dv_pct=MappingProxyType({"serving": 22, "container": 65}),
    print_ready=True,
    unknown_from=(),
    estimated_from=(),
    rule="21 CFR 101.9(c)(2)",
)

VITAMIN = NutrientLine(
    key="vitamin_d",
    name="Vitamin D",
    unit="mcg",
    per_100g=None,
    per_serving=None,
    per_serving_low=0.0,
    per_serving_high=3.0,
    per_container=None,
    per_container_low=0.0,
    per_container_high=9.0,
    declared=MappingProxyType({"serving": "", "container": ""}),
    dv_pct=MappingProxyType({}),
    print_ready=False,
    unknown_from=("quince",),
    estimated_from=(),
    rule="21 CFR 101.9(c)(8)",
)

LABEL = Label(
    key="quince",
    title="Brandied quince",
    law="us",
    serving=Serving("2/3 cup", 120.0, "120g", 3.02, "about 3", ("serving", "container"), "21 CFR 101.9(b)"),
    nutrients=(FAT, VITAMIN),
    calorie_method="4-4-9",
    ingredients="Ingredients: Cream, Sugar.",
    contains="Contains: Milk.",
    allergens=("milk",),
    name=NameAnswer(
        "ice cream",
        "frozen dessert",
        (NameTest("milkfat", 9.0, 10.0, "%", False, "21 CFR 135.110(a)(2)"),),
        ("too lean",),
    ),
    net_quantity="1 PINT (473 mL)",
    added_sugars_record=("sugar: all of it",),
    notes=(
        Note("note", "the serving is rounded", "nothing", "21 CFR 101.9(b)(7)"),
        Note("warning", "told with the findings"),
    ),
    print_ready=False,
    alcohol_by_volume_pct=0.4,
    alcohol_by_weight_pct=0.3,
)

WARNING = Finding("warning", "recipes/quince.yaml:9", "no loss given", "write loses: 2 %")

QUINCE = RecipeAnswer(
    recipe="quince",
    title="Brandied quince",
    parts=(PART,),
    filled=(Filled("pint", 10, 390.0, 477.9, 473.176473),),
    cost=ANSWER,
    label=LABEL,
    findings=(WARNING,),
    ranges={
        "cost.total": (40.0, 43.0),
        "channels.scoop shop.margin": (6.0, 6.5),
        "lines.0.cost": (19.0, 21.0),
        "nowhere.at.all": (0, 1),
    },
)

HOUSE_BASE = RecipeAnswer(recipe="house", title="House base", parts=(PART,), filled=(), cost=None, label=None)
