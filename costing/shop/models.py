"""The checked models of a shop: what the rest of the project may rely on.

Everything here has been read, parsed and checked; nothing here reads a file or works anything out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, PlainValidator

from costing.amounts import Amount, Figure, SubIngredient
from costing.digits import UnreadableError
from costing.prices.rates import Rate
from costing.shop import fields as f
from costing.shop import gtins, label_choices, label_facts, label_places, words
from costing.shop.label_places import LabelPlace
from costing.shop.steps import VERBS, AnyStep, Step
from costing.shop.suppliers import Supplier
from nutrition.foods.pins import Pin
from nutrition.foods.record import FoodRecord
from nutrition.package.gtin import Gtin

CLASSES = (
    "dairy", "sweetener", "fruit", "juice", "vegetable", "nut", "chocolate", "egg", "egg yolk", "meat", "fat", "grain",
    "starch", "spirit", "wine or beer", "coffee or tea", "spice", "flavouring", "stabiliser", "salt", "water", "other",
)  # fmt: skip
PREFERENCES = ("cheapest", "newest")
"""How a supplier is chosen where none is fixed: the cheapest usable gram, or the newest price."""
STATES = ("liquid", "dissolves", "melts", "solid")

Money = f.Money
"""An amount of money in the shop's currency."""


class Ingredient(f.Placed):
    """One entry of ``ingredients.yaml``. Shares run 0 to 1; ``sulphites_ppm`` is mg/kg as bought."""

    name: str
    food: Annotated[str, PlainValidator(words.food)] = words.UNDECIDED
    """id of its food record; ``?`` where nobody has chosen one yet, which is an error to everything but a search"""
    label: f.Words
    made_of: Annotated[tuple[SubIngredient, ...], PlainValidator(words.sub_ingredients)] = Field(
        default=(), alias="made of"
    )
    kind: Literal[CLASSES] = Field(default="other", alias="class")  # type: ignore[valid-type]
    allergens: Annotated[tuple[str, ...], PlainValidator(words.allergens)] = ()
    """as written, in small letters; ``model_fields_set`` tells whether anybody said"""
    measures: Annotated[dict[str, Figure], PlainValidator(words.measures)] = Field(default_factory=dict)
    usable: f.SomeShare | None = None
    comes_from: dict[str, f.SomeShare] = Field(default_factory=dict, alias="from")
    state: Literal[STATES] | None = None  # type: ignore[valid-type]
    supplier: f.Words | None = None
    prefer: Literal[PREFERENCES] | None = None  # type: ignore[valid-type]
    added_sugars: f.Share | None = Field(default=None, alias="added sugars")
    milkfat: f.Share | None = None
    nonfat_milk_solids: f.Share | None = Field(default=None, alias="nonfat milk solids")
    whey_solids: f.Share | None = Field(default=None, alias="whey solids")
    egg_yolk_solids: f.Share | None = Field(default=None, alias="egg yolk solids")
    cocoa_solids: f.Share | None = Field(default=None, alias="cocoa solids")
    sulphites_ppm: Annotated[float, PlainValidator(words.ppm)] | None = Field(default=None, alias="sulphites")
    highly_refined: Annotated[bool, PlainValidator(words.yes_no)] = Field(default=False, alias="highly refined")
    ready_to_eat: Annotated[bool, PlainValidator(words.yes_no)] = Field(default=False, alias="ready to eat")
    bulky: Literal[label_facts.BULKY] | None = None  # type: ignore[valid-type]
    """how it counts as a bulky flavour, 21 CFR 135.110(a)(2); None: by its class"""
    artificial: Annotated[bool, PlainValidator(words.yes_no)] = False
    """an artificial flavour or colour, 21 CFR 101.22(a)"""
    preservative: Annotated[str, PlainValidator(label_facts.preserves)] | None = None
    """what it preserves for, where it is a chemical preservative, 21 CFR 101.22(j)"""
    bioengineered: Annotated[bool, PlainValidator(words.yes_no)] | None = None
    """7 CFR 66; None: nobody said"""
    single_strength: Annotated[float, PlainValidator(label_facts.brix)] | None = Field(
        default=None, alias="single strength"
    )
    """Brix of its single-strength juice, by analysis"""
    sugar_alcohols: Annotated[dict[str, Figure], PlainValidator(label_facts.polyols)] = Field(
        default_factory=dict, alias="sugar alcohols"
    )
    allulose: f.Share | None = None
    soluble_fiber: f.Share | None = Field(default=None, alias="soluble fiber")
    calorie_factors: Annotated[dict[str, float], PlainValidator(label_facts.factors)] = Field(
        default_factory=dict, alias="calorie factors"
    )
    note: f.Words | None = None


class Container(f.Placed):
    """A container: what it holds, how much more than that is filled in, and what it is made of."""

    name: str
    holds: Annotated[Figure, PlainValidator(label_places.holds)]
    giveaway: f.Share = Figure(0.0, 0.0, "0 %")
    made_of: Annotated[dict[str, Amount], PlainValidator(words.counted)] = Field(default_factory=dict, alias="made of")
    """packaging item (a name in the price lists) to how many; a list in the file means one of each"""
    label: LabelPlace | None = None
    """what of it bears the label; None: nobody said"""


class Machine(f.Placed):
    """A churning machine: how much mix it takes (mL), what stays in it (g a run), how long a run takes (s)."""

    name: str
    capacity: f.SomeVolume
    leaves: f.Weight = Figure(0.0, 0.0, "0 g")
    run: f.Duration | None = None


@dataclass(frozen=True, slots=True)
class Link:
    """One hand between the maker and the shelf.

    Args:
        name: who it is.
        margin: what it keeps, 0 to below 1 of the price at which it sells on.
    """

    name: str
    margin: float


@dataclass(frozen=True, slots=True)
class Stall:
    """What a day at a market costs.

    Args:
        fee: money a day.
        sells: how many containers (scoops, where it sells scoops) are sold in a day, above 0.
    """

    fee: float
    sells: float


@dataclass(frozen=True, slots=True)
class Scoops:
    """Scoops sold out of a container.

    Args:
        weight: of a scoop, g.
        waste: what of the container's weight never becomes a scoop that is paid for, 0 to below 1.
        cone: what goes out with each scoop (a name in the price lists) to how many.
        cone_money: money a scoop, where the cone is given as money.
    """

    weight: float
    waste: float = 0.0
    cone: Mapping[str, float] = field(default_factory=dict)
    cone_money: float = 0.0


class Channel(f.Placed):
    """A way of selling. Shares run 0 to 1, money is in the shop's money; what the figures do: :mod:`costing.selling`.

    ``price`` is as the owner wrote it: of a scoop where there are ``scoops``, on the shelf where ``at_shelf``, else
    what the maker gets for a container. ``sells`` is this channel's share of the ice cream, by volume.
    """

    name: str
    price: Money
    fee_share: float = Field(default=0.0, ge=0, lt=1)
    fee_fixed: float = Field(default=0.0, ge=0)
    target_margin: f.PlainShare | None = Field(default=None, alias="target margin")
    container: f.Words | None = None
    """the kind of container sold; None: the first that a recipe fills"""
    chain: tuple[Link, ...] = ()
    """from the maker to the shelf"""
    at_shelf: bool = False
    stall: Stall | None = None
    scoops: Scoops | None = None
    returns: f.PlainShare = 0.0
    samples: f.PlainShare = 0.0
    deposit: Money = 0.0
    sells: float | None = Field(default=None, gt=0, le=1)


class Overhead(f.Checked):
    """Overhead: money a batch, and a share of labour."""

    per_batch: Money = Field(default=0.0, alias="per batch")
    of_labour: f.Ratio = Field(default=Figure(0.0, 0.0, "0 %"), alias="of labour")


def _steps(value: object) -> tuple[Step, ...]:
    """Steps are checked one by one, each by its own verb; building them all into this model would take longer."""
    if not isinstance(value, (list, tuple)):
        raise UnreadableError("a part is a list of steps", "begin each step with '- '")
    return tuple(one if isinstance(one, Step) else VERBS[one["verb"]].model_validate(one) for one in value)


class Part(f.Placed):
    """A part of a recipe: its steps in order."""

    name: str
    steps: Annotated[tuple[AnyStep, ...], PlainValidator(_steps)]
    label: f.Words | None = None
    rest: Literal["save", "discard"] = "save"


class Recipe(f.Placed):
    """A recipe: its parts in order; the last is filled and sold, or makes the house base that ``makes`` names."""

    key: str
    """file name without its ending"""
    title: f.Words
    sold_as: f.Words = Field(default="ice cream", alias="sold as")
    makes: f.Words | None = None
    parts: tuple[Part, ...]
    prices: dict[str, Money] = Field(default_factory=dict)
    """channel to the recipe's own price there"""
    gtin: Annotated[dict[str, Gtin], PlainValidator(gtins.read)] = Field(default_factory=dict)
    """container to the number under its bar code; an empty name stands for the first container that is filled"""
    flavour: Annotated[label_choices.Flavour, BeforeValidator(label_choices.flavour)] | None = None
    label: label_choices.LabelChoices | None = None
    """choices of its own for its label"""
    units: label_choices.AYear | None = None
    """sold in the United States in a year, 21 CFR 101.9(j)(18)"""
    bulky: Annotated[tuple[str, ...], PlainValidator(words.names)] = ()
    """parts that are bulky flavours of no kind that the standard multiplies: cookies, candy, caramel"""
    note: f.Words | None = None


class PriceRow(f.Checked):
    """One row of a price list. Nothing is worked out here but the pack, by :mod:`costing.prices.packs`."""

    where: str
    supplier: str
    item: str
    ingredient: str
    pack: str
    price: float
    currency: str
    date: date


class Trial(f.Checked):
    """One row of a trial sheet: what was weighed before and after a step, g.

    After ``soak`` it is the soaked thing that was weighed, else the whole pot.

    Args:
        recipe: key of the recipe; of the house base where the part is one of its parts.
        step: number of the step in the part, from 1.
    """

    where: str
    date: date
    recipe: str
    part: str
    step: int
    in_g: float
    out_g: float
    note: str = ""

    @property
    def ratio(self) -> float:
        """Weight after over weight before."""
        return self.out_g / self.in_g


@dataclass(frozen=True, slots=True)
class ShopModel:
    """A whole shop folder, checked.

    Args:
        folder: where it lies.
        as_of: the shop's own day for prices, None: today.
        wages: role to money per hour; the first role is the one that works where none is named.
        rates: currency to what one unit of it costs in the shop's currency, always or from a day on
            (:mod:`costing.prices.rates`).
        suppliers: what they ask beside their prices, by name.
        prefer: how a supplier is chosen where an ingredient does not say.
        count_freight: whether freight is part of what things cost.
        price_endings: last digits that selling prices may have (:mod:`costing.endings`); none: to the smallest coin.
        label: what the label preparer chose for every label.
        business: what the law asks about the maker.
        prices: every row of every price list.
        foods: food id to record, for every ingredient.
        pins: id to what is pinned in the shop, used by an ingredient or not.
        origins: food id to where its record was found (:data:`nutrition.foods.library.Origin`).
        spec_files: the spec sheets that were read, relative to the folder.
        trials: every row of every trial sheet.
        lines: keys of the shop's own file to where they stand; under no name, where the whole of it is spoken of.
    """

    folder: Path
    name: str
    address: tuple[str, ...] = ()
    currency: str = "USD"
    locale: str = "en_US"
    law: str = "us"
    as_of: date | None = None
    wages: Mapping[str, float] = field(default_factory=dict)
    overhead: Overhead = field(default_factory=Overhead)
    fixed_costs: Mapping[str, float] = field(default_factory=dict)
    rates: Mapping[str, Rate] = field(default_factory=dict)
    containers: Mapping[str, Container] = field(default_factory=dict)
    machines: Mapping[str, Machine] = field(default_factory=dict)
    channels: Mapping[str, Channel] = field(default_factory=dict)
    ingredients: Mapping[str, Ingredient] = field(default_factory=dict)
    recipes: Mapping[str, Recipe] = field(default_factory=dict)
    prices: tuple[PriceRow, ...] = ()
    foods: Mapping[str, FoodRecord] = field(default_factory=dict)
    spec_files: tuple[str, ...] = ()
    trials: tuple[Trial, ...] = ()
    price_endings: tuple[str, ...] = ()
    label: label_choices.LabelChoices | None = None
    business: label_choices.Business | None = None
    pins: Mapping[str, Pin] = field(default_factory=dict)
    origins: Mapping[str, str] = field(default_factory=dict)
    suppliers: Mapping[str, Supplier] = field(default_factory=dict)
    prefer: str = "cheapest"
    count_freight: bool = False
    lines: Mapping[str, str] = field(default_factory=dict, repr=False, compare=False)

    def at(self, key: str) -> str:
        """Where the shop's own file says something, else the file: a line of it, or a cell of a workbook."""
        return self.lines.get(key) or self.lines.get("") or "shop.yaml"

    def packaging(self) -> tuple[str, ...]:
        """Everything from the price lists that food goes out in: what containers are made of, and cones; each once."""
        pieces = [item for one in self.containers.values() for item in one.made_of]
        cones = [item for one in self.channels.values() if one.scoops for item in one.scoops.cone]
        return tuple(dict.fromkeys((*pieces, *cones)))
