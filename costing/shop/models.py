"""The checked models of a shop: what the rest of the project may rely on.

Everything here has been read, parsed and checked; nothing here reads a file or works anything out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, PlainValidator

from costing import units
from costing.amounts import Figure
from costing.shop import fields as f
from costing.shop.steps import AnyStep
from nutrition.foods.record import FoodRecord

CLASSES = (
    "dairy", "sweetener", "fruit", "juice", "vegetable", "nut", "chocolate", "egg", "egg yolk", "meat", "fat", "grain",
    "starch", "spirit", "wine or beer", "coffee or tea", "spice", "flavouring", "stabiliser", "salt", "water", "other",
)  # fmt: skip
STATES = ("liquid", "dissolves", "melts", "solid")

Rate = Annotated[float, PlainValidator(units.money_per_hour)]
"""Money per hour, in the shop's currency."""
Monthly = Annotated[float, PlainValidator(units.money_per_month)]
Money = Annotated[float, PlainValidator(units.money)]
"""An amount of money in the shop's currency; more decimals than the currency has are kept."""


class SubIngredient(f.Checked):
    """A sub-ingredient by its common name, with its share of the ingredient where known."""

    name: str
    share: Figure | None = None


class Ingredient(f.Checked):
    """One entry of ``ingredients.yaml``. Shares run 0 to 1; ``sulphites_ppm`` is mg/kg as bought."""

    name: str
    where: str
    food: str
    label: str
    made_of: Annotated[tuple[SubIngredient, ...], PlainValidator(units.sub_ingredients)] = Field(
        default=(), alias="made of"
    )
    kind: Literal[CLASSES] = Field(default="other", alias="class")  # type: ignore[valid-type]
    allergens: tuple[str, ...] = ()
    measures: dict[str, f.Weight] = Field(default_factory=dict)
    usable: f.Share | None = None
    comes_from: dict[str, f.Share] = Field(default_factory=dict, alias="from")
    state: Literal[STATES] | None = None  # type: ignore[valid-type]
    supplier: str | None = None
    added_sugars: f.Share | None = Field(default=None, alias="added sugars")
    milkfat: f.Share | None = None
    nonfat_milk_solids: f.Share | None = Field(default=None, alias="nonfat milk solids")
    whey_solids: f.Share | None = Field(default=None, alias="whey solids")
    egg_yolk_solids: f.Share | None = Field(default=None, alias="egg yolk solids")
    cocoa_solids: f.Share | None = Field(default=None, alias="cocoa solids")
    sulphites_ppm: Annotated[float | None, PlainValidator(units.ppm)] = Field(default=None, alias="sulphites")
    highly_refined: Annotated[bool, PlainValidator(units.yes_no)] = Field(default=False, alias="highly refined")
    ready_to_eat: Annotated[bool, PlainValidator(units.yes_no)] = Field(default=False, alias="ready to eat")
    note: str | None = None


class Container(f.Checked):
    """A container: what it holds, how much more than that is filled in, and what it is made of."""

    name: str
    where: str
    holds: f.Volume
    giveaway: f.Share = Figure(0.0, 0.0, "0 %")
    made_of: dict[str, f.AnyAmount] = Field(alias="made of")
    """packaging item (a name in the price lists) to how many; a list in the file means one of each"""


class Machine(f.Checked):
    """A churning machine: how much mix it takes (mL), what stays in it (g a run), how long a run takes (s)."""

    name: str
    where: str
    capacity: f.Volume
    leaves: f.Weight = Figure(0.0, 0.0, "0 g")
    run: f.Duration | None = None


class Channel(f.Checked):
    """A way of selling one container. ``fee_share`` and ``target_margin`` run 0 to 1, money is in the shop's currency."""

    name: str
    where: str
    price: Money
    fee_share: float = Field(default=0.0, ge=0, lt=1)
    fee_fixed: float = Field(default=0.0, ge=0)
    target_margin: float | None = Field(default=None, ge=0, lt=1)


class Overhead(f.Checked):
    """Overhead: money a batch, and a share of labour."""

    per_batch: Money = Field(default=0.0, alias="per batch")
    of_labour: f.Share = Field(default=Figure(0.0, 0.0, "0 %"), alias="of labour")


class Part(f.Checked):
    """A part of a recipe: its steps in order."""

    name: str
    where: str
    steps: tuple[AnyStep, ...]
    label: str | None = None
    rest: Literal["save", "discard"] = "save"


class Recipe(f.Checked):
    """A recipe: its parts in order; the last is filled and sold, or makes the house base that ``makes`` names."""

    key: str
    """file name without its ending"""
    where: str
    title: str
    sold_as: str = Field(default="ice cream", alias="sold as")
    makes: str | None = None
    parts: tuple[Part, ...]
    prices: dict[str, Money] = Field(default_factory=dict)
    """channel to the recipe's own price there"""
    note: str | None = None


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


@dataclass(frozen=True, slots=True)
class ShopModel:
    """A whole shop folder, checked.

    Args:
        folder: where it lies.
        as_of: the shop's own day for prices, None: today.
        wages: role to money per hour; the first role is the one that works where none is named.
        rates: currency to what one unit of it costs in the shop's currency.
        prices: every row of every price list.
        foods: food id to record, for every ingredient.
        spec_files: the spec sheets that were read, relative to the folder.
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
    rates: Mapping[str, float] = field(default_factory=dict)
    containers: Mapping[str, Container] = field(default_factory=dict)
    machines: Mapping[str, Machine] = field(default_factory=dict)
    channels: Mapping[str, Channel] = field(default_factory=dict)
    ingredients: Mapping[str, Ingredient] = field(default_factory=dict)
    recipes: Mapping[str, Recipe] = field(default_factory=dict)
    prices: tuple[PriceRow, ...] = ()
    foods: Mapping[str, FoodRecord] = field(default_factory=dict)
    spec_files: tuple[str, ...] = ()
